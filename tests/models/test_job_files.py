"""Job and shop files with faults: each is told with file, line and key, and nothing else is ever raised."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest
import tomli_w
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from planting import change, line_with

from handwheel.errors import Fault, FaultsError, HandwheelError
from handwheel.models.job import Job
from handwheel.models.recipe import Recipe
from handwheel.models.shop import Shop
from handwheel.present.answers import plan_json
from handwheel.store.jobs import load_job, place_of


def faults_of(folder: Path) -> tuple[Fault, ...]:
    with pytest.raises(FaultsError) as told:
        load_job(folder)
    assert all(line.isprintable() for line in str(told.value).splitlines())
    return told.value.faults


# What is planted in job.toml: the text that is replaced, the new text, the place whose line is told (a part
# of its line), the key, and a part of what is said.
PLANTED = {
    "an unknown key": (
        'diameter = "9 mm"',
        'diametre = "9 mm"',
        "diametre",
        "frame-holes.diametre",
        "diameter",
    ),
    "an unknown table": ("[stock]", "[stok]", "[stok]", "stok", "stock"),
    "a unit of another kind": ('"9 mm"', '"9 N"', '"9 N"', "frame-holes.*diameter", "is in N"),
    "an unknown unit": ('"9 mm"', '"9 nm"', '"9 nm"', "frame-holes.*diameter", "no unit known"),
    "two readings": ('"96 mm"', '"9,600 mm"', '"9,600 mm"', "circle.diameter", "two ways"),
    "a size below zero": ('"9 mm"', '"-9 mm"', '"-9 mm"', "frame-holes.*diameter", "above 0 mm"),
    "a size of zero": ('"9 mm"', '"0 mm"', '"0 mm"', "frame-holes.*diameter", "above 0 mm"),
    "a list for a size": ('"9 mm"', '["9 mm"]', '["9 mm"]', "frame-holes.*diameter", "expected a size"),
    "an unknown basis": (
        '"9 mm"',
        '{ size = "9 mm", basis = "guess" }',
        "guess",
        "frame-holes.*diameter",
        "estimate",
    ),
    "a text for a count": ("count = 6", 'count = "six"', '"six"', "circle.count", ""),
    "a count too large": ("count = 6", "count = 2001", "2001", "circle.count", "2000"),
    "a yes for a text": ('material = "S235"', "material = true", "material = true", "job.material", ""),
    "an unknown class": (
        'general_tolerance = "m"',
        'general_tolerance = "k"',
        '"k"',
        "job.general_tolerance",
        "",
    ),
    "an unknown kind": ('kind = "face"', 'kind = "fase"', "fase", "top-face", "face"),
    "missing stock size": ('thickness = "22 mm"\n', "", "[stock]", "stock", 'needs "thickness"'),
    "two patterns": (
        "[features.grid]",
        'at = [["0 mm", "0 mm"]]\n[features.grid]',
        'id = "motor-holes"',
        "motor-holes",
        "given: at and grid",
    ),
    "a through hole with a depth": (
        "through = true",
        'through = true\ndepth = "5 mm"',
        'id = "frame-holes"',
        "frame",
        "no depth",
    ),
    "a thread without a depth": ('depth = "10 mm"\n', "", "", "motor-threads", "has a depth"),
    "a chamfer without a size": (
        'diameter = "8.6 mm"\n',
        "",
        'id = "motor-chamfers"',
        "motor-chamfers",
        "leg",
    ),
    "a hole without a depth": (
        "through = true",
        "through = false",
        'id = "frame-holes"',
        "frame-holes.depth",
        "depth",
    ),
    "an unknown feature": (
        'feature = "motor-chamfers"',
        'feature = "motor-chamfer"',
        '"motor-chamfer"',
        "operations.70.feature",
        'did you mean "motor-chamfers"',
    ),
    "an unknown base": (
        'of = "motor-holes"\ndiameter',
        'of = "motor-hole"\ndiameter',
        '"motor-hole"',
        "motor-chamfers.of",
        'did you mean "motor-holes"',
    ),
    "a base that is no hole": (
        'of = "motor-holes"\ndiameter',
        'of = "top-face"\ndiameter',
        'of = "top-face"',
        "motor-chamfers.of",
        "not a hole",
    ),
    "an unknown face": (
        'diameter = "6.8 mm"\nfrom = "top-face"',
        'diameter = "6.8 mm"\nfrom = "top-fase"',
        "top-fase",
        "motor-holes.from",
        "top-face",
    ),
    "an unknown setup": (
        'number = 30\nsetup = "A"',
        'number = 30\nsetup = "B"',
        'setup = "B"',
        "operations.30.setup",
        "setups: A",
    ),
    "a size in an operation": (
        'tool = "drill-9"',
        'tool = "drill-9"\ndiameter = "9 mm" # planted',
        'diameter = "9 mm" # planted',
        "operations.50.diameter",
        "",
    ),
    "an operation number of zero": ("number = 90", "number = 0", "number = 0", "operations.0.number", "1"),
}


@pytest.mark.parametrize("planted", PLANTED)
def test_a_fault_is_told_with_its_place(demo: Path, planted: str) -> None:
    """The message names the file, the line, the key, and what was expected there."""
    old, new, place, key, said = PLANTED[planted]
    text = change(demo / "job.toml", old, new)
    faults = faults_of(demo)
    matching = [one for one in faults if said in one.what]
    assert matching, [str(one) for one in faults]
    told = matching[0]
    assert told.file.endswith("job.toml")
    assert told.line == expected_line(text, place, told), str(told)
    assert re.search(key, told.key), told.key


def expected_line(text: str, place: str, told: Fault) -> int | None:
    """Give the line of the planted place; a fault of a whole feature stands at the header above its id."""
    if not place:
        return told.line
    return line_with(text, place) - place.startswith("id = ")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('id = "motor-threads"', 'id = "motor-holes"', "features.motor-holes: it stands twice"),
        ("number = 90", "number = 80", "operations.80: it stands twice"),
    ],
)
def test_a_name_stands_once(demo: Path, old: str, new: str, said: str) -> None:
    """Two features or operations of one name are refused, with the name."""
    change(demo / "job.toml", old, new)
    assert any(said in str(fault) for fault in faults_of(demo))


def test_every_fault_of_every_file_is_told_at_once(demo: Path) -> None:
    """Three faults in two files are three lines."""
    change(demo / "job.toml", '"9 mm"', '"9 N"')
    change(demo / "job.toml", '"96 mm"', '"96 N"')
    change(demo / "shop.toml", 'tip_diameter = "0 mm"', 'tip_diameter = "-1 mm"')
    faults = faults_of(demo)
    assert [Path(fault.file).name for fault in faults] == ["job.toml", "job.toml", "shop.toml"]
    assert all(fault.line for fault in faults)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('id = "drill-9"', 'id = "drill-6-8"', 'tools: "drill-6-8" stands twice'),
        ('rated_power = "1.1 kW"', 'rated_power = "1.1 mm"', "is in mm"),
        ('kind = "hand-tap"', 'kind = "handtap"', "hand-tap"),
        ("teeth = 4", "teeth = 0", "teeth"),
    ],
)
def test_a_fault_of_the_shop_is_told(demo: Path, old: str, new: str, said: str) -> None:
    """The shop file is held to its shape too."""
    change(demo / "shop.toml", old, new)
    faults = faults_of(demo)
    assert any(said in str(fault) for fault in faults)
    assert all(fault.file.endswith("shop.toml") for fault in faults)


def test_a_machine_without_speeds_is_refused(demo: Path) -> None:
    """A mill needs steps, or a lowest and a highest speed."""
    text = (demo / "shop.toml").read_text()
    line = next(line for line in text.splitlines() if line.startswith("speeds ="))
    change(demo / "shop.toml", line, "")
    assert any("a machine needs its speeds" in fault.what for fault in faults_of(demo))


def test_a_job_in_inches_takes_bare_numbers_in_inches(demo: Path) -> None:
    """A bare size takes the unit of its file; a written unit wins over it."""
    change(demo / "job.toml", 'units = "mm"', 'units = "inch"')
    change(demo / "job.toml", 'length = "164 mm"', "length = 6.5")
    stock = load_job(demo).plan.job.stock
    assert stock.length.plain == 165.1
    assert stock.width is not None and stock.width.plain == 124.0


@pytest.mark.parametrize("shape", [Job, Shop, Recipe])
def test_the_schema_of_every_file_can_be_printed(shape: Any) -> None:
    """A JSON Schema comes out, and it refuses unknown keys as the model does."""
    schema = shape.model_json_schema()
    assert schema["additionalProperties"] is False
    assert schema["properties"]


# --- whatever a file holds ---------------------------------------------------------------------------------

ODD = st.sampled_from(
    [
        True,
        0,
        -1,
        7,
        1e308,
        float("nan"),
        float("inf"),
        "",
        "x",
        "0 mm",
        "-5 mm",
        "9 in",
        "9**9**9 mm",
        "M8",
        "a[/b]c",
        "\x1b[31m",
        "{feature.diameter}",
        [],
        ["1 mm"],
        [[1, 2]],
        {},
        {"size": "5 mm"},
        {"size": "5 mm", "basis": "carried"},
        "1e60 mm",
        "1e-60 mm",
        "S235",
        "top-face",
        "motor-holes",
        "drill",
        "tap",
        "mill",
    ]
)


def paths(data: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Give the path of every value of a file."""
    if path:
        yield path
    if isinstance(data, (dict, list)):
        keys = data if isinstance(data, dict) else range(len(data))
        for key in keys:
            yield from paths(data[key], (*path, key))


def at(data: Any, path: tuple[Any, ...]) -> Any:
    for key in path:
        data = data[key]
    return data


def mutate(draw: st.DataObject, data: Any) -> None:
    """Delete, swap, repeat or retype one value."""
    path = draw.draw(st.sampled_from(sorted(paths(data), key=repr)))
    holder, key = at(data, path[:-1]), path[-1]
    match draw.draw(st.sampled_from(["delete", "odd", "swap", "repeat"])):
        case "delete":
            del holder[key]
        case "odd":
            holder[key] = deepcopy(draw.draw(ODD))
        case "swap":
            other = draw.draw(st.sampled_from(sorted(paths(data), key=repr)))
            shorter = min(len(path), len(other))
            if path[:shorter] != other[:shorter]:
                theirs, name = at(data, other[:-1]), other[-1]
                holder[key], theirs[name] = theirs[name], holder[key]
        case _:
            if isinstance(holder, list):
                holder.insert(key, deepcopy(holder[key]))


def opens_or_is_refused(folder: Path) -> None:
    """Either there is a plan, and its whole answer can be made, or a refusal of printable lines."""
    try:
        opened = load_job(folder)
    except HandwheelError as refusal:
        assert str(refusal)
        assert all(line.isprintable() for line in str(refusal).splitlines())
    else:
        plan_json(opened.plan, lambda one: place_of(one, opened.texts))


@pytest.mark.parametrize("name", ["job.toml", "shop.toml"])
@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(draw=st.data())
def test_whatever_a_file_holds_it_is_planned_or_refused(demo: Path, name: str, draw: st.DataObject) -> None:
    """A file with values deleted, swapped, repeated and retyped gives a plan or a refusal, nothing else."""
    mutated_opens_or_is_refused(demo, name, draw)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["job.toml", "shop.toml"])
@settings(max_examples=2000, derandomize=False, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(draw=st.data())
def test_many_more_files_are_planned_or_refused(demo: Path, name: str, draw: st.DataObject) -> None:
    """The same over thousands of files."""
    mutated_opens_or_is_refused(demo, name, draw)


def mutated_opens_or_is_refused(folder: Path, name: str, draw: st.DataObject) -> None:
    original = (folder / name).read_bytes()
    data = tomllib.loads(original.decode())
    for _ in range(draw.draw(st.integers(1, 3))):
        mutate(draw, data)
    try:
        (folder / name).write_text(tomli_w.dumps(data), encoding="utf-8")
        opens_or_is_refused(folder)
    finally:
        (folder / name).write_bytes(original)
