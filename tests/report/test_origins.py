"""Every number on a sheet leads to where it comes from."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from planting import change
from sheets import Sheet, read_page, sheet_of

from handwheel.plan.resolve import Plan
from handwheel.present.numbers import System, shown
from handwheel.report.document import parts_of
from handwheel.run.live import Item, units_of
from handwheel.run.state import fold
from handwheel.store.jobs import OpenedJob
from handwheel.values import Computed, Entered, Gathered, Listed, Missing, Value

_ORIGIN_OR_NONE = frozenset({"number", "cell", "counted", "unit"})
REFERENCE = re.compile(r"(?<![\w\]])\[(\d+)\]")


def values_of_steps(plan: Plan) -> Iterator[tuple[str, Value, System]]:
    """Give every value that a step shows or takes, in the units that it is worked in."""
    for operation in plan.operations:
        for planned in operation.items:
            step = planned.step
            system = units_of(plan, Item(step.step.kind, planned.first, operation, step))
            found = {"big": step.big, "limit": step.limit, "instrument": step.instrument}
            found |= {
                name: step.value(name)
                for name in ("expect", "low", "high", "lower_acceptance", "upper_acceptance")
            }
            if step.step.kind not in ("setting", "cut"):
                found.pop("big")
            if "{expect}" not in step.step.text:
                found.pop("expect")
            found |= {
                name: value
                for name, value in step.on_show(planned.position).items()
                if not name.startswith("place.")
            }
            for name, value in found.items():
                if value is not None:
                    yield f"op {operation.number} {step.id} {name}", value, system


def every_value_is_told(sheet: Sheet) -> None:
    """Hold every part of a sheet that is a number, and every entry, against each other."""
    entries = sheet.ledger.entries
    assert [one.number for one in entries] == list(range(1, len(entries) + 1))
    reached: set[int] = set()
    for part in parts_of(sheet.document):
        assert (part.value is not None) == (part.kind in ("number", "cell")), part
        if part.value is None:
            continue
        number = sheet.ledger.number(part)
        reached.add(number)
        entry = entries[number - 1]
        if part.kind == "number" and part.text and not isinstance(part.value.plain, tuple):
            assert part.text == entry.text
    for entry in entries:
        assert entry.source
        match entry.value.origin:
            case Computed(call, _):
                assert entry.how is not None and entry.how.formula
                inputs = [one for given in call.inputs.values() for one in with_terms(given)]
                for number, given in zip(entry.inputs, inputs, strict=True):
                    assert entries[number - 1].text == shown(given, entry.system)
                reached.update(entry.inputs)
            case Entered(where, _, basis):
                assert where in entry.source and basis in entry.source
            case Gathered(terms):
                assert terms and entry.how is None and "put together from" in entry.source
            case Listed(where, _) | Missing(where, _):
                assert entry.how is None and where.split("\n")[0] in entry.source
    assert reached == set(range(1, len(entries) + 1)), "an entry that nothing leads to"


def with_terms(value: Value) -> Iterator[Value]:
    """Give an input, and after rows what they were put together from."""
    yield value
    if isinstance(value.origin, Gathered):
        for term in value.origin.terms:
            yield from with_terms(term)


def test_every_value_of_every_demo_has_its_entry(every_demo: OpenedJob) -> None:
    """Whatever the steps of a demo show or take stands on its sheet, with an entry of the same text."""
    sheet = sheet_of(every_demo.folder, fold(()))
    every_value_is_told(sheet)
    count = 0
    for name, value, system in values_of_steps(every_demo.plan):
        try:
            number = sheet.ledger.number_of(value, system)
        except KeyError:
            pytest.fail(f"{name} is not on the sheet: {shown(value, system)}")
        assert sheet.ledger.entries[number - 1].text == shown(value, system)
        count += 1
    assert count > 100


def test_what_was_done_has_its_origin_too(built: Sheet) -> None:
    """A number that was set or read leads to the entry of the record that holds it."""
    every_value_is_told(built)
    numbers = [index for index, event in enumerate(built.state.events) if event.value is not None]
    sources = "\n".join(entry.source for entry in built.ledger.entries)
    for index in numbers:
        assert re.search(rf"record\.toml event {index + 1}\b", sources)
    assert len(numbers) > 10


@pytest.mark.parametrize("which", ["planned", "built"])
def test_no_number_of_a_page_stands_without_its_origin(which: str, request: pytest.FixtureRequest) -> None:
    """In the body of a page a digit is in a number with a link, or in what counts: dates, names, places."""
    sheet: Sheet = request.getfixturevalue(which)
    page = read_page(sheet.html)
    wild = []
    for told in page.texts:
        tags = [tag for tag, _ in told.inside]
        classes = {name for _, names in told.inside for name in names.split()}
        if (
            "main" in tags
            and "svg" not in tags
            and re.search(r"\d", told.text)
            and not classes & _ORIGIN_OR_NONE
        ):
            wild.append(told.text)
    assert wild == []
    with_link = sum(tag == "a" and one.get("class") in ("ref", "cell") for tag, one in page.tags)
    assert with_link >= sum(part.kind in ("number", "cell") for part in parts_of(sheet.document)) > 200


@pytest.mark.parametrize("which", ["planned", "built"])
def test_what_counts_is_no_number_of_the_work(which: str, request: pytest.FixtureRequest) -> None:
    """A part without an origin that has digits is a date, a count, a name or a place: never with a unit."""
    sheet: Sheet = request.getfixturevalue(which)
    known = {one for operation in sheet.opened.plan.operations for one in (operation.recipe.id,)}
    known |= {one.code for one in sheet.opened.plan.findings}
    counted = {part.text for part in parts_of(sheet.document) if part.kind == "counted"}
    for text in counted - known:
        assert not re.search(r"\d\s*(mm|in|µm|1/min|m/min|mm/min|deg|°|N|N·m|kW|kg|%|HB)\b", text), text
        assert not re.search(r"\d[.,]\d", text.rpartition(".toml")[0] or text.replace(".toml", "")), text
    loose = {part.text for part in parts_of(sheet.document) if part.kind in ("words", "strong")}
    assert [text for text in loose if re.search(r"\d", text)] == []


@pytest.mark.parametrize("which", ["planned", "built"])
def test_references_and_entries_fit_in_every_format(which: str, request: pytest.FixtureRequest) -> None:
    """A page leads to entries that are there, once each; so do the references of Markdown and text."""
    sheet: Sheet = request.getfixturevalue(which)
    count = len(sheet.ledger.entries)
    wanted = {str(number) for number in range(1, count + 1)}
    page = read_page(sheet.html)
    ids = [one["id"] for tag, one in page.tags if "id" in one and tag != "pattern"]
    assert sorted(ids) == sorted(f"n{number}" for number in wanted)
    assert {one["href"] for _, one in page.tags if "href" in one} == {f"#n{number}" for number in wanted}
    for text, start in ((sheet.md, r"^- \[(\d+)\] "), (sheet.txt, r"^\[(\d+)\] ")):
        body, _, listed = text.partition("Where the numbers come from")
        assert re.findall(start, listed, re.MULTILINE) == [str(number) for number in range(1, count + 1)]
        assert {int(found) for found in REFERENCE.findall(body)} == set(range(1, sheet.ledger.shown + 1))
        assert set(REFERENCE.findall(text)) == wanted


def test_an_entry_gives_formula_values_source_and_inputs(planned: Sheet) -> None:
    """The set speed rests on the wanted one, that on the cutting speed and the diameter, that on the file."""
    for text in (planned.txt, planned.md.replace("\\", ""), read_page(planned.html).text):
        squeezed = " ".join(text.split())
        for wanted in (
            "n = 1000 * v / (pi * d)",
            "n = 1000 * 19.5072 / (pi * 9)",
            "second route: gives the same",
        ):
            assert wanted in squeezed
        assert re.search(r"d = 9\.00 mm, diameter ?\[\d+\]", squeezed)
        assert 'estimate: shop.toml tools.drill-9.diameter ("9 mm")' in squeezed
        assert 'drawing: job.toml features.frame-holes.diameter ("9 mm")' in squeezed


def test_one_number_from_one_place_is_one_entry(planned: Sheet) -> None:
    """What says the same and comes from the same has one number, however often it is worked out."""
    told = [(one.text, one.source, one.how, one.inputs) for one in planned.ledger.entries if one.how is None]
    assert len(told) == len(set(told))
    computed = [(one.text, one.how.title if one.how else "", one.inputs) for one in planned.ledger.entries]
    twice = {one for one in computed if computed.count(one) > 1 and one[2]}
    for text, title, inputs in twice:  # two results of one calculation may come to the same
        results = {
            one.value.origin.result
            for one in planned.ledger.entries
            if one.inputs == inputs and one.text == text and isinstance(one.value.origin, Computed)
        }
        assert len(results) == computed.count((text, title, inputs))


def test_a_job_in_inches_is_told_in_inches_and_its_machine_in_its_own(demo: Path) -> None:
    """The sheet reads in the units of the job; what a hand sets stands in those of the machine."""
    change(demo / "job.toml", 'units = "mm"', 'units = "inch"')
    sheet = sheet_of(demo, fold(()))
    every_value_is_told(sheet)
    assert "diameter 0.3543 in" in sheet.txt
    assert re.search(r"tip depth +23\.70 mm", sheet.txt)


def test_what_is_not_on_file_is_told_and_asked_for(demo: Path) -> None:
    """A number that rests on nothing stands as such, and its entry says what to find out."""
    change(demo / "shop.toml", 'diameter = "9 mm"\npoint_angle = "118 deg"\n', 'diameter = "9 mm"\n')
    sheet = sheet_of(demo, fold(()))
    every_value_is_told(sheet)
    missing = [one for one in sheet.ledger.entries if isinstance(one.value.origin, Missing)]
    assert any("the point angle of the drill" in one.source for one in missing)
    assert re.search(r"tip depth +not on file \[\d+\]", sheet.txt)
