"""One size of the job changed in its text: exactly the values that rest on it change, in every operation."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from formulas import inputs_behind
from pydantic import BaseModel

from handwheel.calc import CATALOGUE
from handwheel.demo import EXAMPLES, make_demo
from handwheel.models.job import Job
from handwheel.models.sizes import Size
from handwheel.plan.resolve import Plan
from handwheel.resources import demo_files
from handwheel.store.faults import line_of
from handwheel.store.jobs import index_path, load_job
from handwheel.values import Computed, Entered, Value, leaves

TEXTS = {
    example: next(file for file in demo_files(example) if file.name == "job.toml").read_text(encoding="utf-8")
    for example in sorted(EXAMPLES)
}

# Results that a choice from a list, a limit that rules among others, or a table by classes stands behind:
# they may stay as they were for a size that is a little different, and so may all that follows from them.
CHOSEN = {
    "nearest_spindle_speed": {"spindle_speed"},
    "ruling_spindle_speed": {"spindle_speed"},
    "instrument_for": {"uncertainty", "ratio"},
    "general_tolerance": {"tolerance", "angle_tolerance"},
    "acceptance": {"ratio"},  # a size that moves both limits alike leaves their distance
    "peck_plan": {"count", "first_peck"},
    "pass_plan": {"count", "before_last", "after_rough", "rough_from", "next_size"},
    "tap_plan": {"count"},
    "dial_settings": {"turns", "shows", "end", "cuts"},
    "dial_setting": {"turns"},
    "rough_settings": {"begin", "end"},  # each rests on one of the two sizes
    "centre_of_two": {"offset"},  # two limits that move alike keep their distance
    "milling_tracks": {"tracks", "width_of_cut", "along"},  # the longer side is one of the two
    "chip_thinning": {"feed_per_tooth", "factor"},  # nothing from half the cutter on
    "start_values": {
        f"{kind}{end}"
        for kind in ("cutting_speed", "feed", "feed_per_tooth", "depth_of_cut")
        for end in ("", "_low", "_high")
    }
    | {"hardness_used"},  # a row holds for a band of hardness and of diameters
    "overhang_ratio": {"limit", "farthest"},  # go by what supports, not by the length
    "stick_out_speed": {"limit"},  # nothing as long as it is short
    "zone_with_mate": {"min_size", "max_size", "aim", "tolerance"},  # the nearer of two limits
    "size_for_mate": {
        "min_size",
        "max_size",
        "lower_acceptance",
        "upper_acceptance",
        "ratio",
    },  # one clearance each
    "limits": {"tolerance", "upper_deviation", "lower_deviation"},  # of a band of sizes
    "first_face": {"stays"},  # of a wedge the slant of this end alone
}

FINE = ("mates.bearing.measured", "mates.frame-bore.measured", "features.spigot.diameter")
"""Sizes of a fit: a tenth of a millimetre more and no zone would be left to make."""

OF_A_SERIES = ("features.bearing-seat.diameter",)
"""There is no retaining ring for a bore a little larger: the plan refuses it."""


class Changed(NamedTuple):
    """A size of a ready job: the names under which it is known, its text, and another one near to it."""

    example: str
    where: str
    keys: tuple[str, ...]
    text: str
    new: str


def sizes(model: BaseModel, path: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], Size]]:
    """Walk a model for its sizes; parts in a list are named by their id or number."""
    for name, info in type(model).model_fields.items():
        given, key = getattr(model, name), info.alias or name
        if isinstance(given, Size):
            yield (*path, key), given
        elif isinstance(given, BaseModel):
            yield from sizes(given, (*path, key))
        elif isinstance(given, tuple):
            for part in (one for one in given if isinstance(one, BaseModel)):
                named = getattr(part, "id", None) or str(getattr(part, "number", ""))
                yield from sizes(part, (*path, key, named))


def a_little_more(text: str, where: str) -> str:
    """Give a size that is a tenth larger, of a fit a micrometre; the demo stays a job that can be made."""
    number = re.match(r"-?[0-9.]+", text)
    assert number is not None
    return f"{float(number[0]) + (0.001 if where in FINE else 0.1):g}{text[number.end() :]}"


ALL = [
    Changed(example, f"job.toml {'.'.join(keys)}", keys, size.text, a_little_more(size.text, ".".join(keys)))
    for example, text in TEXTS.items()
    for keys, size in sizes(Job.model_validate(tomllib.loads(text), context={"units": "mm"}), ())
]


def changed_text(one: Changed) -> str:
    """Change the text of the file at the line where the size stands, and nowhere else."""
    text = TEXTS[one.example]
    line = line_of(text, index_path(text, one.keys))
    assert line is not None
    lines = text.split("\n")
    assert lines[line - 1].count(f'"{one.text}"') == 1
    lines[line - 1] = lines[line - 1].replace(f'"{one.text}"', f'"{one.new}"')
    return "\n".join(lines)


def values_of(plan: Plan) -> dict[tuple[int, str], Value]:
    """Give every value of every operation, and of the lists that are asked before them."""
    found = {(one.number, name): value for one in plan.operations for name, value in one.values.items()}
    for step in (*plan.session, *plan.restart):
        found |= {(0, f"{step.id} {name}"): value for name, value in step.on_show(1).items()}
    return found


def rests_on(value: Value, where: str) -> bool:
    return any(isinstance(leaf.origin, Entered) and leaf.origin.where == where for leaf in leaves(value))


def must_follow(value: Value, where: str) -> bool:
    """Tell whether some way from the value to the size has no choice from a list on it."""
    if not isinstance(value.origin, Computed):
        return rests_on(value, where)
    call, result = value.origin.call, value.origin.result
    if isinstance(value.plain, (str, bool)) or result in CHOSEN.get(call.calculation, ()):
        return False
    behind = inputs_behind(CATALOGUE[call.calculation], result)
    return any(must_follow(given, where) for name, given in call.inputs.items() if name in behind)


@pytest.fixture(scope="module")
def folders(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    place = tmp_path_factory.mktemp("perturbed")
    return {example: make_demo(str(place / example), example)[0] for example in TEXTS}


@pytest.fixture(scope="module")
def as_planned(folders: dict[str, Path]) -> dict[str, dict[tuple[int, str], Value]]:
    return {example: values_of(load_job(folder).plan) for example, folder in folders.items()}


@pytest.mark.parametrize(
    "one",
    [one for one in ALL if ".".join(one.keys) not in OF_A_SERIES],
    ids=lambda one: f"{one.example} {one.where.removeprefix('job.toml ')}",
)
def test_exactly_what_rests_on_a_size_changes(
    folders: dict[str, Path], as_planned: dict[str, dict[tuple[int, str], Value]], one: Changed
) -> None:
    """Nothing but what rests on the size changes, all that follows from it does, and no other file does."""
    folder, before = folders[one.example], as_planned[one.example]
    others = {path: path.read_bytes() for path in folder.iterdir() if path.name != "job.toml"}
    (folder / "job.toml").write_text(changed_text(one), encoding="utf-8")
    try:
        plan = load_job(folder).plan
    finally:
        (folder / "job.toml").write_text(TEXTS[one.example], encoding="utf-8")
    assert not [operation.problem for operation in plan.operations if operation.problem]
    after = values_of(plan)
    assert after.keys() == before.keys()
    changed = {key for key in before if before[key].plain != after[key].plain}
    resting = {key for key, value in before.items() if rests_on(value, one.where)}
    assert changed <= resting, f"changed without resting on it: {changed - resting}"
    following = {key for key in resting if must_follow(before[key], one.where)}
    assert following <= changed, f"rests on it and did not change: {following - changed}"
    assert {path: path.read_bytes() for path in others} == others


@pytest.mark.parametrize("example", sorted(TEXTS))
def test_the_walk_finds_the_sizes_of_a_ready_job(example: str) -> None:
    """Every typed size of the file is among those that are changed."""
    pattern = r'^\w+ = "(-?[0-9.]+ (?:mm|deg|HB|µm))"'
    typed: list[Any] = re.findall(pattern, TEXTS[example], flags=re.MULTILINE)
    walked = sorted(one.text for one in ALL if one.example == example)
    assert walked == sorted(typed)
    assert len(walked) > 15


def test_a_size_of_the_shop_reaches_the_settings(folders: dict[str, Path]) -> None:
    """The same holds for the tool in the drawer: another diameter, another speed to set."""
    folder = folders["plate"]
    shop = folder / "shop.toml"
    text = shop.read_text(encoding="utf-8")
    speed = load_job(folder).plan.by_number[50].values["wanted.spindle_speed"]
    shop.write_text(text.replace('diameter = "9 mm"', 'diameter = "8.9 mm"'), encoding="utf-8")
    try:
        after = load_job(folder).plan.by_number[50].values["wanted.spindle_speed"]
    finally:
        shop.write_text(text, encoding="utf-8")
    assert after.number == pytest.approx(speed.number * 9 / 8.9, rel=0.02)


@pytest.mark.parametrize(
    ("tool", "recipe"), [("boring-bar-16", "bore"), ("groove-bar-185", "internal-groove")]
)
def test_a_bar_of_carbide_springs_less_than_one_of_steel(
    folders: dict[str, Path], as_planned: dict[str, dict[tuple[int, str], Value]], tool: str, recipe: str
) -> None:
    """What a bar is made of moves its spring, in every operation with it and in no other."""
    folder = folders["carrier"]
    shop = folder / "shop.toml"
    text = shop.read_text(encoding="utf-8")
    before, tool_text = text.split(f'id = "{tool}"')
    shop.write_text(
        before
        + f'id = "{tool}"'
        + tool_text.replace('bar_material = "steel"', 'bar_material = "carbide"', 1),
        encoding="utf-8",
    )
    try:
        plan = load_job(folder).plan
    finally:
        shop.write_text(text, encoding="utf-8")
    after = values_of(plan)
    springs = [
        (one.number, f"spring.{name}") for one in plan.operations for name in ("deflection", "diameter_error")
    ]
    moved = {
        key[0] for key in springs if key in after and after[key].plain != as_planned["carrier"][key].plain
    }
    made = {one.number for one in plan.operations if one.operation.tool == tool}
    assert moved == made and any(plan.by_number[number].recipe.id == recipe for number in made)
    for number in made:
        key = (number, "spring.deflection")
        assert after[key].number == pytest.approx(as_planned["carrier"][key].number * 205 / 550)


@pytest.mark.parametrize("example", sorted(TEXTS))
def test_used_names_every_size_an_operation_rests_on(
    folders: dict[str, Path], as_planned: dict[str, dict[tuple[int, str], Value]], example: str
) -> None:
    """What the record keeps of an operation holds the text of each entered leaf of its values."""
    folder, before = folders[example], as_planned[example]
    for operation in load_job(folder).plan.operations:
        resting = {
            leaf.origin.where: leaf.origin.text
            for (number, _), value in before.items()
            if number == operation.number
            for leaf in leaves(value)
            if isinstance(leaf.origin, Entered)
        }
        assert operation.used == resting
