"""Plan and record side by side: what was really set, read, waived, taken back, signed; or blank lines."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from answers import good_answer
from planting import change
from sheets import Sheet, read_page, sheet_of

from handwheel.models.features import Bore
from handwheel.models.sizes import Length
from handwheel.report.document import Drawing, Heading, Table
from handwheel.report.shapes import fields_of, one_after_another
from handwheel.run.act import Answer
from handwheel.sitting import Sitting
from handwheel.values import Entered


def section(sheet: Sheet, heading: str) -> str:
    """Give the part of a sheet in Markdown below a heading."""
    text = sheet.md
    found = re.search(rf"^(#+) {re.escape(heading)}.*?$", text, re.MULTILINE)
    assert found is not None, f"there is no heading {heading}"
    rest = text[found.end() :]
    following = re.search(rf"^#{{1,{len(found[1])}}} ", rest, re.MULTILINE)
    return rest[: following.start()] if following else rest


def row(text: str, part: str) -> list[str]:
    """Give the cells of the one row of a table that holds a part, without the escapes of Markdown."""
    rows = [line for line in text.splitlines() if line.startswith("|") and part in plain(line)]
    assert len(rows) == 1, f"{part} stands in {len(rows)} rows"
    return [plain(cell.strip()) for cell in rows[0].removeprefix("|").removesuffix("|").split(" | ")]


def plain(markdown: str) -> str:
    """Take the escapes out of Markdown."""
    return re.sub(r"\\(.)", r"\1", markdown)


def last_cells(sheet: Sheet) -> list[str]:
    """Give the kinds of all parts in the last cells of the tables that have a column as built."""
    kinds: list[str] = []
    for block in sheet.document.blocks:
        if isinstance(block, Table) and [part.text for part in block.head[-1]] == ["as built"]:
            for cells in block.rows:
                kinds += [part.kind for line in cells[-1] for part in line]
    return kinds


def test_without_a_record_the_lines_are_to_be_filled(planned: Sheet) -> None:
    """Every place for what is done is a blank line; the plan stands beside it in full."""
    assert set(last_cells(planned)) == {"blank"} and len(last_cells(planned)) > 100
    assert "nothing is recorded yet" in planned.txt and "0 of 9 operations signed" in planned.txt
    assert row(section(planned, "op 50"), "spindle speed")[1].startswith("540 1/min")
    assert "__________ 1/min" in row(section(planned, "op 50"), "spindle speed")[2]
    assert "__________ mm" in row(section(planned, "op 50"), "Measure its diameter")[3]
    assert row(section(planned, "Signatures"), "Drill · frame-holes")[2:] == ["__________"] * 2


def test_head_setups_and_features_are_told(planned: Sheet) -> None:
    """Title, material, stock, class, setup with its zero, and each feature with sizes and basis."""
    text = planned.md
    assert "# Mounting plate for a belt-driven pottery wheel" in text
    assert row(text, "| material")[1].startswith("S235 [")
    assert row(text, "general tolerance")[1] == "m"
    stock = row(text, "| stock |")[1]
    assert "length 164.00 mm" in stock and "(measured)" in stock and "form plate" in stock
    setup = section(planned, "Setup A")
    assert "milling vice, 125 mm jaws" in row(setup, "workholding")[1]
    assert row(setup, "zero")[1] == "the middle of the plate, Z on the raw face"
    assert row(setup, "gripped on")[1] == "the long edges, on parallels"
    assert "back edge on the solid jaw" in row(setup, "located on")[1]
    hole = row(section(planned, "Features"), "frame-holes")
    assert "diameter 9.00 mm" in hole[1] and "through" in hole[1] and "circle count 6" in hole[1]
    assert hole[2] == "drawing"


def test_an_operation_has_tool_numbers_hazards_readings_and_rows(planned: Sheet) -> None:
    """Signal words, instrument and limits, and the tables of pecks and places stand with the operation."""
    drill = section(planned, "op 50 · Drill · frame-holes")
    assert "jobber drill 9.0 mm" in row(drill, "| tool")[1]
    assert row(drill, "swings a loose piece")[1] == "**WARNING**"
    reading = re.sub(r" \[\d+\]", "", row(drill, "Measure its diameter")[2])
    assert "with pin-gauges (inside)" in reading
    assert "at least 8.80 mm, at most 9.20 mm" in reading
    assert "proven from 8.82 mm, proven up to 9.18 mm" in reading
    assert row(drill, "feed rate")[1].startswith("72 mm/min")
    assert "at most 1185 1/min" in row(drill, "Set the spindle")[2]
    bare = re.sub(r" \[\d+\]", "", drill)
    assert "| 2 | 23.70 | 5.70 |" in bare and "| 1 | 41.57 | 24.00 | 30 |" in bare
    assert "ease the feed" in drill


def test_findings_stand_with_their_cures(built: Sheet) -> None:
    """What the check found, why, the cure, the place; and the waiver with its reason and time."""
    check = section(built, "The check of the plan")
    stop = row(check, "no-spot")
    assert "**stop**" in stop[0]
    assert "why: a long drill wanders" in stop[1] and "cure: put a spot operation on frame-holes" in stop[1]
    assert "job.toml:" in stop[1]
    assert "because: the face is punched" in stop[2] and re.search(r"2024-03-01 \d\d:\d\d", stop[2])


def test_what_was_really_set_stands_beside_the_plan(built: Sheet) -> None:
    """A speed typed at the machine stands as built, and the feed that followed from it."""
    drill = section(built, "op 50")
    planned, really = row(drill, "spindle speed")[1:]
    assert planned.startswith("540 1/min") and really.startswith("530 1/min")
    planned, really = row(drill, "feed rate")[1:]
    assert planned.startswith("72 mm/min") and really.startswith("71 mm/min")
    assert row(section(built, "op 70"), "spindle speed")[2] == "__________ 1/min"
    source = next(one.source for one in built.ledger.entries if one.text == "530 1/min")
    assert source.startswith("measured: record.toml event ")


def test_readings_have_instrument_verdict_and_time(built: Sheet) -> None:
    """What was read stands with the step and with its feature."""
    told = r"read 9\.00 mm \[\d+\] · \*\*pass\*\* · with pin-gauges \(inside\) · 2024-03-01"
    assert re.search(told, row(section(built, "op 50"), "Measure its diameter")[3])
    assert re.search(f"op 50 size, place 1: {told}", row(section(built, "Features"), "frame-holes")[3])


def test_what_was_taken_back_keeps_its_old_value(built: Sheet) -> None:
    """An undone reading stands with its number, when it was read and when it was taken back."""
    cell = row(section(built, "op 50"), "Measure its diameter")[3]
    back = r"\*\*taken back\*\* 2024-03-01 \d\d:\d\d: read 9\.02 mm \[\d+\] · \*\*pass\*\*"
    assert re.search(back, cell)
    assert cell.index("9.02 mm") < cell.index("9.00 mm")


def test_a_reading_passed_on_purpose_has_its_reason(built: Sheet) -> None:
    """Past the limit, waived, and why: both entries stand at the step."""
    cell = row(section(built, "op 60"), "Measure its diameter")[3]
    assert "6.60 mm" in cell and "waived" in cell
    assert re.search(r"because: agreed, 2 of 4 are enough \[\d+\]", cell)


def test_signatures_holds_and_remarks_are_told(built: Sheet) -> None:
    """Who signed what and when; when work was held and taken up again; what somebody wanted to keep."""
    assert row(section(built, "Signatures"), "Drill · frame-holes")[2] == "AK"
    assert row(section(built, "Signatures"), "motor-threads")[2] == "__________"
    sittings = section(built, "Sittings and holds")
    assert "work held" in sittings and "went on" in sittings and "sat down at the job" in sittings
    assert "belt squeals above 1/2 load" in section(built, "op 40")
    signed = sum(number in built.opened.plan.by_number for number in built.state.signed)
    assert f"{signed} of 8 operations signed" in built.txt and signed >= 4


def test_every_entry_of_the_record_is_on_the_sheet(built: Sheet) -> None:
    """Each entry was made at a minute of its own: all of them stand there."""
    minutes = [event.at[:16].replace("T", " ") for event in built.state.events]
    assert len(set(minutes)) == len(minutes) > 60
    for text in (built.md, built.txt, read_page(built.html).text):
        squeezed = re.sub(r"\s+", " ", text)
        assert [minute for minute in minutes if minute not in squeezed] == []


def test_what_changed_since_it_was_signed_is_told(worked: Path) -> None:
    """A size changed after the signature stands with what it was, what it is, and what was shown then."""
    change(worked / "job.toml", 'diameter = "6.8 mm"', 'diameter = "6.9 mm"')
    sheet = sheet_of(worked)
    drilled = section(sheet, "op 60")
    changed = section(sheet, "op 60").partition("Changed since it was signed")[2]
    cells = row(changed, "features.motor-holes.diameter")
    assert cells[1].startswith("6.8 mm") and cells[2].startswith("6.9 mm")
    assert "shown then: " in drilled
    assert "Changed since" not in section(sheet, "op 50")


def test_entries_of_steps_that_are_gone_are_told_all_the_same(worked: Path) -> None:
    """An operation taken out of the plan after it was worked leaves its entries on the sheet."""
    text = (worked / "job.toml").read_text(encoding="utf-8")
    start = text.index("[[operations]]\nnumber = 10")
    end = text.index("[[operations]]", start + 1)
    (worked / "job.toml").write_text(text[:start] + text[end:], encoding="utf-8")
    sheet = sheet_of(worked)
    assert not any(isinstance(one, Heading) and "Set zero" in str(one.line) for one in sheet.document.blocks)
    others = section(sheet, "Other entries of the record")
    assert "op 10 zero-x" in others or "op 10" in others
    minutes = [event.at[:16].replace("T", " ") for event in sheet.state.events]
    squeezed = re.sub(r"\s+", " ", sheet.txt)
    assert [minute for minute in minutes if minute not in squeezed] == []


class Taper(Bore):
    """A feature that the program does not have: its sizes are told all the same."""

    rise: Length
    marks: tuple[Length, ...] = ()


def test_a_new_kind_of_feature_appears_by_itself() -> None:
    """Sizes, lists of sizes, names and flags of any shape are told, each size with where it is written."""
    data = {
        "id": "seat",
        "kind": "bore",
        "diameter": "47 mm",
        "depth": "14 mm",
        "zone": "J7",
        "mate": "bearing",
    }
    feature = Taper.model_validate(
        {**data, "rise": {"size": "0.125 mm", "basis": "measured"}, "marks": ["1 mm", "2 mm"]}
    )
    where = "job.toml features.seat"
    told = dict(fields_of(feature, where, "mm", names=frozenset({"bearing"})))
    assert "".join(part.text for part in told["diameter"]) == "47.00 mm"
    assert "".join(part.text for part in told["rise"]) == "0.125 mm (measured)"
    rise = told["rise"][0].value
    assert rise is not None and rise.origin == Entered(f"{where}.rise", "0.125 mm", "measured")
    assert "".join(part.text for part in told["marks"]) == "1.00 mm, 2.00 mm"
    assert told["mate"][0].kind == "counted" and told["zone"][0].kind == "number"
    line = one_after_another(fields_of(feature, where, "mm", leave_out=frozenset({"id", "kind"})))
    assert "diameter 47.00 mm; " in "".join(part.text for part in line)


MATE = """[[mates]]
id = "slide-6"
what = "motor slide, 6 mm dowel"
is = "shaft"
nominal = "6 mm"
measured = ["5.996 mm", "5.994 mm"]

[[setups]]
id = "A"
"""


@pytest.mark.parametrize("form", ["md", "txt", "html"])
def test_mates_are_told_with_what_was_measured(demo: Path, form: str) -> None:
    """A mate stands on the sheet with its catalogue size, every size measured of it, and its basis."""
    change(demo / "job.toml", '[[setups]]\nid = "A"\n', MATE)
    text = re.sub(r"<[^>]*>|\\", "", str(getattr(sheet_of(demo), form)))
    squeezed = re.sub(r"\s+", " ", re.sub(r" ?\[\d+\]", "", text))
    assert "Mates" in squeezed and "slide-6" in squeezed
    assert "nominal 6.00 mm" in squeezed and "5.996 mm, 5.994 mm" in squeezed and "estimate" in squeezed


def test_an_operation_is_drawn_with_every_size_told(planned: Sheet, built: Sheet) -> None:
    """Picture and signs stand with the operation; each size in them stands below with its origin."""
    drawn = [one for one in planned.document.blocks if isinstance(one, Drawing)]
    assert len(drawn) > 8
    for one in drawn:
        assert one.svg.startswith("<svg") and any(one.signs)
        assert one.svg.encode("ascii", "xmlcharrefreplace").decode() in planned.html
        sizes = [part.text for part in one.sizes if part.kind == "number"]
        labels = re.findall(r"<text[^>]*>([^<]*)</text>", one.svg)
        for text in sizes:
            assert any(text in label for label in labels), text
        numbers = [label for label in labels if re.search(r"\d (mm|in|deg)\b", label)]
        assert [label for label in numbers if not any(text in label for text in sizes)] == []
    patterns = re.findall(r'<pattern id="([^"]+)"', planned.html)
    assert len(patterns) == len(set(patterns)) == len(drawn)
    holes = section(built, "op 50")
    assert "● done 6" in holes and "○ to come 6" in section(planned, "op 50")


def test_a_reading_that_is_not_settled_leaves_a_line(demo: Path) -> None:
    """A reading past its limit stands with its verdict, and the step is open: there is a line to fill."""
    sitting = Sitting.open(demo)
    try:
        while (sitting.item.key.operation, sitting.item.key.step) != (50, "size"):
            typed = good_answer(sitting.item)
            assert not sitting.answer(Answer("typed", typed) if typed else Answer("enter"))
        assert not sitting.answer(Answer("typed", "9.4"))
    finally:
        sitting.close()
    cell = row(section(sheet_of(demo), "op 50"), "Measure its diameter")[3]
    assert "9.40 mm" in cell and cell.endswith("<br>__________ mm")
