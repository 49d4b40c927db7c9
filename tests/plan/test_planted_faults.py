"""One fault planted in the text of the demo, or in its shop: the check names it, and points at its place."""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest
from origins import assert_numbers_open
from planting import change, line_with

from handwheel.plan.finding import Finding
from handwheel.plan.findings import RULES
from handwheel.present.answers import finding_json
from handwheel.store.jobs import OpenedJob, load_job, place_of
from handwheel.values import Entered, leaves


class Planted(NamedTuple):
    """A fault: what is done to the files, and what the check has to say about it.

    `line` is a part of the one line of the file, as changed, that the finding points at.
    """

    changes: tuple[tuple[str, str, str], ...]
    code: str
    severity: str
    operation: int | None
    feature: str | None
    line: str
    file: str = "job.toml"


def job(old: str, new: str) -> tuple[str, str, str]:
    return "job.toml", old, new


def shop(old: str, new: str) -> tuple[str, str, str]:
    return "shop.toml", old, new


def operation(number: int, recipe: str, feature: str = "", tool: str = "") -> str:
    """Give the text of an operation of the demo."""
    lines = ["[[operations]]", f"number = {number}", 'setup = "A"', f'recipe = "{recipe}"']
    lines += [f'feature = "{feature}"'] if feature else []
    lines += [f'tool = "{tool}"'] if tool else []
    return "\n".join(lines) + "\n"


SPOT_FRAME = operation(30, "spot", "frame-holes", "spot-10")
DRILL_FRAME = operation(50, "drill", "frame-holes", "drill-9")
DRILL_MOTOR = operation(60, "drill", "motor-holes", "drill-6-8")
CHAMFER = operation(70, "chamfer", "motor-chamfers", "countersink-16")
TAP = operation(80, "tap-by-hand", "motor-threads", "tap-m8")
REVERSES = shop("reverses = false", "reverses = true")
UNDER_POWER = (shop('kind = "hand-tap"', 'kind = "tap"'), job('recipe = "tap-by-hand"', 'recipe = "tap"'))

SUBJECTS = ("names", "order", "tools", "cutters", "depths", "machine", "measuring", "walls")
"""The modules whose rules have their faults here; the others have a test of their own."""

PLANTED = {
    "something left on that nobody leaves": Planted(
        (job('tool = "face-mill-50"', 'tool = "face-mill-50"\nleave = "0.5 mm"'),),
        "leave-without-effect",
        "stop",
        20,
        "top-face",
        'leave = "0.5 mm"',
    ),
    "a spot drill of one millimetre": Planted(
        (
            shop('title = "spot drill 10 mm, 90 deg"', 'title = "spot"'),
            shop('diameter = "10 mm"', 'diameter = "1 mm"'),
        ),
        "tool-smaller-than-rim",
        "stop",
        30,
        "frame-holes",
        "number = 30#+4",
    ),
    "a tip wider than its hole": Planted(
        (shop('tip_diameter = "3.2 mm"', 'tip_diameter = "7 mm"'),),
        "tip-wider-than-hole",
        "stop",
        70,
        "motor-chamfers",
        '"countersink-16"',
    ),
    "a chamfer of another angle": Planted(
        (job('included_angle = "90 deg"', 'included_angle = "60 deg"'),),
        "tool-of-another-angle",
        "stop",
        70,
        "motor-chamfers",
        '"countersink-16"',
    ),
    "a tap of no known thread": Planted(
        (shop('thread = "M8"\n', ""),), "tap-without-thread", "stop", 80, "motor-threads", '"tap-m8"'
    ),
    "a point angle with a point": Planted(
        (shop('diameter = "9 mm"\npoint_angle = "118 deg"', 'diameter = "9 mm"\npoint_angle = "11.8 deg"'),),
        "unusual-number",
        "doubt",
        50,
        "frame-holes",
        "number = 50#-1",
    ),
    "a tolerance as wide as a hand": Planted(
        (job('diameter = "9 mm"', 'diameter = "9 mm"\nupper = "100 mm"\nlower = "-100 mm"'),),
        "wide-tolerance",
        "doubt",
        50,
        "frame-holes",
        "number = 50#-1",
    ),
    "a speed between the steps": Planted(
        (
            job(
                'tool = "drill-9"',
                'tool = "drill-9"\nsettings = { spindle_speed = "500 1/min", reason = "x" }',
            ),
        ),
        "speed-not-a-step",
        "doubt",
        50,
        "frame-holes",
        "settings =",
    ),
    "a setup without a zero": Planted(
        (job(operation(10, "set-zero"), ""),), "no-zero", "doubt", 20, "top-face", "number = 20#+1"
    ),
    "no deburring": Planted(
        (job(operation(90, "deburr"), ""),), "never-deburred", "doubt", 80, "motor-threads", "number = 80#-1"
    ),
    "a face cut again at the end": Planted(
        (job("number = 20", "number = 85"),), "face-after-holes", "stop", 85, "top-face", "number = 85#-1"
    ),
    "a hole drilled twice": Planted(
        (job(DRILL_FRAME, DRILL_FRAME + operation(55, "drill", "frame-holes", "drill-9")),),
        "done-twice",
        "doubt",
        55,
        "frame-holes",
        "number = 55#-1",
    ),
    # what is named has to exist, and to fit
    "a recipe that is nowhere": Planted(
        (job('recipe = "deburr"', 'recipe = "debur"'),), "unknown-recipe", "stop", 90, None, '"debur"'
    ),
    "a machine that is nowhere": Planted(
        (job('machine = "mill"', 'machine = "mil"'),), "unknown-machine", "stop", 20, "top-face", '"mil"'
    ),
    "a vice that is nowhere": Planted(
        (job('"vice"', '"vise"'),), "unknown-workholding", "stop", 20, "top-face", '"vise"'
    ),
    "a tool that is nowhere": Planted(
        (job('"drill-9"', '"drill-90"'),), "unknown-tool", "stop", 50, "frame-holes", '"drill-90"'
    ),
    "a recipe for another feature": Planted(
        (job(DRILL_FRAME, DRILL_FRAME.replace("frame-holes", "top-face")),),
        "recipe-does-not-fit",
        "stop",
        50,
        "top-face",
        "number = 50#+3",
    ),
    "a tool of another kind": Planted(
        (job('"drill-6-8"', '"tap-m8"  # x'),), "recipe-does-not-fit", "stop", 60, "motor-holes", "# x"
    ),
    "a recipe for another machine": Planted(
        (shop('kind = "mill"', 'kind = "drill-press"'),),
        "recipe-does-not-fit",
        "stop",
        20,
        "top-face",
        'recipe = "face"',
    ),
    "a list in the place of an operation": Planted(
        (job('recipe = "deburr"', 'recipe = "session"'),),
        "recipe-does-not-fit",
        "stop",
        90,
        None,
        '"session"',
    ),
    "a cut without a tool": Planted(
        (job('tool = "drill-9"\n', ""),), "recipe-does-not-fit", "stop", 50, "frame-holes", "number = 50#-1"
    ),
    "a material nobody knows": Planted(
        (job('"S235"', '"unobtainium"'),), "cannot-be-computed", "stop", 50, "frame-holes", "number = 50#-1"
    ),
    "a thread nobody cuts": Planted(
        (job('thread = "M8"', 'thread = "Q8"'),),
        "cannot-be-computed",
        "stop",
        80,
        "motor-threads",
        "number = 80#-1",
    ),
    "a tap without its lead": Planted(
        (shop("lead = 2.5\n", ""),), "not-on-file", "stop", 60, "motor-holes", 'id = "tap-m8"#-1', "shop.toml"
    ),
    "teeth that nobody counted": Planted(
        (shop("teeth = 4\n", ""),),
        "not-on-file",
        "stop",
        20,
        "top-face",
        'id = "face-mill-50"#-1',
        "shop.toml",
    ),
    # order
    "a spot removed": Planted((job(SPOT_FRAME, ""),), "no-spot", "stop", 50, "frame-holes", "number = 50#-1"),
    "a spot that comes too late": Planted(
        (job(SPOT_FRAME, SPOT_FRAME.replace("30", "55")),),
        "no-spot",
        "stop",
        50,
        "frame-holes",
        "number = 50#-1",
    ),
    "a tap before its hole": Planted(
        (job(TAP, TAP.replace("80", "45")),), "tap-before-hole", "stop", 45, "motor-threads", "number = 45#-1"
    ),
    "a chamfer before its hole": Planted(
        (job(CHAMFER, CHAMFER.replace("70", "45")),),
        "chamfer-before-hole",
        "stop",
        45,
        "motor-chamfers",
        "number = 45#-1",
    ),
    "a tap without a chamfer": Planted(
        (job(CHAMFER, ""),), "no-chamfer", "doubt", 80, "motor-threads", "number = 80#-1"
    ),
    "a face cut after its spots": Planted(
        (job("number = 20", "number = 45"),), "datum-first", "stop", 30, "frame-holes", "number = 30#-1"
    ),
    "a feature that nobody makes": Planted(
        (job(TAP, ""),),
        "feature-without-operation",
        "doubt",
        None,
        "motor-threads",
        'id = "motor-threads"#-1',
    ),
    "a hole that is never drilled": Planted(
        (job(DRILL_MOTOR, ""),), "hole-never-drilled", "stop", None, "motor-holes", 'id = "motor-holes"#-1'
    ),
    # tools
    "the neighbour's drill, larger": Planted(
        (job('"drill-6-8"', '"drill-9"  # x'),), "tool-larger-than-hole", "stop", 60, "motor-holes", "# x"
    ),
    "the neighbour's drill, smaller": Planted(
        (job('"drill-9"', '"drill-6-8"  # x'),), "tool-smaller-than-hole", "stop", 50, "frame-holes", "# x"
    ),
    "a countersink below its chamfer": Planted(
        (shop('diameter = "16.5 mm"', 'diameter = "8.5 mm"'),),
        "tool-smaller-than-rim",
        "stop",
        70,
        "motor-chamfers",
        '"countersink-16"',
    ),
    "a drill too short": Planted(
        (shop('reach = "81 mm"', 'reach = "20 mm"'),),
        "tool-too-short",
        "stop",
        50,
        "frame-holes",
        '"drill-9"',
    ),
    "a tap too short": Planted(
        (shop('reach = "22 mm"', 'reach = "10 mm"'),),
        "tool-too-short",
        "stop",
        80,
        "motor-threads",
        '"tap-m8"',
    ),
    "a tap of another thread": Planted(
        (shop('thread = "M8"', 'thread = "M8x1"'),),
        "tap-of-another-thread",
        "stop",
        80,
        "motor-threads",
        '"tap-m8"',
    ),
    "swapped digits": Planted(
        (job('"6.8 mm"', '"8.6 mm"'),),
        "hole-does-not-suit-thread",
        "stop",
        80,
        "motor-threads",
        '"8.6 mm"\nfrom',
    ),
    "inch for millimetre": Planted(
        (job('"6.8 mm"', '"6.8 in"'),), "tool-smaller-than-hole", "stop", 60, "motor-holes", '"drill-6-8"'
    ),
    "the thread of the size above": Planted(
        (job('thread = "M8"', 'thread = "M10"'),),
        "hole-does-not-suit-thread",
        "stop",
        80,
        "motor-threads",
        '"6.8 mm"',
    ),
    # depths
    "a thread too deep for the plate": Planted(
        (job('depth = "10 mm"', 'depth = "18 mm"'),), "no-floor", "stop", 60, "motor-holes", '"18 mm"'
    ),
    "a plate turned to inches of the wrong kind": Planted(
        (job('thickness = "20 mm"', 'thickness = "2.0 mm"'),),
        "no-floor",
        "stop",
        60,
        "motor-holes",
        '"10 mm"',
    ),
    "a tap too long in its lead for the floor": Planted(
        (shop("lead = 2.5", "lead = 6.5"),), "no-floor", "stop", 60, "motor-holes", '"10 mm"'
    ),
    "a floor that is thin": Planted(
        (job('depth = "10 mm"', 'depth = "12.9 mm"'),), "thin-floor", "doubt", 60, "motor-holes", '"12.9 mm"'
    ),
    "a blind hole through the plate": Planted(
        (job("through = true\n", 'depth = "20 mm"\n'),),
        "no-floor",
        "stop",
        50,
        "frame-holes",
        'depth = "20 mm"',
    ),
    "a hole too shallow for its thread": Planted(
        (job('diameter = "6.8 mm"', 'diameter = "6.8 mm"\ndepth = "11 mm"'),),
        "hole-too-shallow",
        "stop",
        60,
        "motor-holes",
        '"11 mm"',
    ),
    "stock too thin": Planted(
        (job('"22 mm"', '"20 mm"  # x'),), "no-stock-to-face", "stop", 20, "top-face", "# x"
    ),
    "stock in inches": Planted(
        (job('"22 mm"', '"22 in"'),), "much-stock-to-face", "doubt", 20, "top-face", '"22 in"'
    ),
    "jaws above the face": Planted(
        (job('"8 mm"', '"20.5 mm"'),), "cutter-meets-jaws", "stop", 20, "top-face", '"20.5 mm"'
    ),
    # speed, torque, machine
    "a machine that is too fast": Planted(
        (shop('"95 1/min", "160 1/min", "210 1/min", "330 1/min"', '"480 1/min"'),),
        "speed-out-of-range",
        "stop",
        70,
        "motor-chamfers",
        "number = 70#+1",
    ),
    "a speed set above the limit": Planted(
        (
            job(
                'tool = "drill-9"',
                'tool = "drill-9"\nsettings = { spindle_speed = "2200 1/min", reason = "in a hurry" }',
            ),
        ),
        "speed-above-limit",
        "stop",
        50,
        "frame-holes",
        "in a hurry",
    ),
    "a spindle too weak for the drill": Planted(
        (shop('"1.1 kW"', '"0.02 kW"'),), "torque-beyond-spindle", "stop", 50, "frame-holes", "number = 50#+2"
    ),
    "a spindle too weak for a worn tap": Planted(
        (*UNDER_POWER, REVERSES, shop('"1.1 kW"', '"0.05 kW"')),
        "torque-beyond-spindle",
        "stop",
        80,
        "motor-threads",
        'recipe = "tap"',
    ),
    "a spindle that does not reverse": Planted(
        UNDER_POWER, "spindle-does-not-reverse", "stop", 80, "motor-threads", 'recipe = "tap"'
    ),
    # measuring, trust
    "an instrument too coarse": Planted(
        (job('diameter = "9 mm"', 'diameter = "9 mm"\nupper = "0.01 mm"\nlower = "-0.01 mm"'),),
        "size-cannot-be-proven",
        "stop",
        50,
        "frame-holes",
        "number = 50#+3",
    ),
    "no instrument at all": Planted(
        (shop('use = "rim"', 'use = "depth"'),),
        "size-cannot-be-proven",
        "stop",
        70,
        "motor-chamfers",
        "number = 70#+3",
    ),
    "an instrument that takes much of the tolerance": Planted(
        (job('"96 mm"', '"96 mm"'),), "coarse-instrument", "note", 70, "motor-chamfers", "number = 70#+3"
    ),
    "a feature carried over": Planted(
        (job('depth = "10 mm"', 'depth = "10 mm"\nbasis = "carried"'),),
        "carried-not-confirmed",
        "stop",
        80,
        "motor-threads",
        'depth = "10 mm"',
    ),
    "one size carried over": Planted(
        (job('"96 mm"', '{ size = "96 mm", basis = "carried" }'),),
        "carried-not-confirmed",
        "stop",
        50,
        "frame-holes",
        '"96 mm"',
    ),
    # walls
    "holes that run into each other": Planted(
        (job('pitch_x = "48 mm"', 'pitch_x = "6 mm"'),),
        "no-wall",
        "stop",
        None,
        "motor-holes",
        'id = "motor-holes"#-1',
    ),
    "holes with a thin wall": Planted(
        (job('pitch_x = "48 mm"', 'pitch_x = "9 mm"'),),
        "thin-wall",
        "doubt",
        None,
        "motor-holes",
        'id = "motor-holes"#-1',
    ),
    "a circle wider than the plate": Planted(
        (job('"96 mm"', '"121 mm"'),), "hole-breaks-out", "stop", None, "frame-holes", 'id = "frame-holes"#-1'
    ),
    "a circle close to the edge": Planted(
        (job('"96 mm"', '"108 mm"'),),
        "thin-wall-at-edge",
        "doubt",
        None,
        "frame-holes",
        'id = "frame-holes"#-1',
    ),
    "a plate wider than the vice": Planted(
        (job('width = "124 mm"', 'width = "140 mm"'),),
        "piece-wider-than-vice",
        "stop",
        10,
        None,
        'workholding = "vice"',
    ),
    "a circle that meets the grid": Planted(
        (job('"96 mm"', '"60 mm"'),), "no-wall", "stop", None, "frame-holes", 'id = "frame-holes"#-1'
    ),
    "a circle with a digit too many": Planted(
        (job('"96 mm"', '"960 mm"'),),
        "place-off-the-stock",
        "stop",
        None,
        "frame-holes",
        'id = "frame-holes"#-1',
    ),
    "a pitch in inches": Planted(
        (job('pitch_x = "48 mm"', 'pitch_x = "48 in"'),),
        "place-off-the-stock",
        "stop",
        None,
        "motor-holes",
        'id = "motor-holes"#-1',
    ),
    "a chamfer below its thread": Planted(
        (job('"8.6 mm"', '"7.8 mm"  # x'),),
        "chamfer-below-thread",
        "doubt",
        70,
        "motor-chamfers",
        'id = "motor-chamfers"#-1',
    ),
    "a chamfer below its hole": Planted(
        (job('"8.6 mm"', '"6.5 mm"'),), "cannot-be-computed", "stop", 70, "motor-chamfers", "number = 70#-1"
    ),
}


MORE_TOOLS = """[[tools]]
id = "counterbore-15"
title = "counterbore for M8"
kind = "counterbore"
material = "HSS"
diameter = "15 mm"
pilot_diameter = "8.9 mm"

[[tools]]
id = "reamer-9"
title = "machine reamer 9 H7"
kind = "reamer"
material = "HSS"
diameter = "9.01 mm"

[[tools]]
id = "tap-m8"
"""
SEATS = """[[features]]
id = "frame-seats"
kind = "counterbore"
of = "frame-holes"
screw = "M8"

[[setups]]
"""


def with_counterbore(of_tool: str = "", becomes: str = "") -> tuple[tuple[str, str, str], ...]:
    """Give the frame holes a counterbore, made by a tool of the shop that is changed in one place."""
    tools = MORE_TOOLS.replace(of_tool, becomes) if of_tool else MORE_TOOLS
    return (
        shop('[[tools]]\nid = "tap-m8"\n', tools),
        job("[[setups]]\n", SEATS),
        job(DRILL_MOTOR, operation(55, "counterbore", "frame-seats", "counterbore-15") + "\n" + DRILL_MOTOR),
    )


def with_reamer(leave: str, of_tool: str = "", becomes: str = "") -> tuple[tuple[str, str, str], ...]:
    """Let the drill leave something on the frame holes, and ream them."""
    tools = MORE_TOOLS.replace(of_tool, becomes) if of_tool else MORE_TOOLS
    return (
        shop('[[tools]]\nid = "tap-m8"\n', tools),
        job('tool = "drill-9"', f'tool = "drill-9"\nleave = "{leave}"'),
        job(DRILL_MOTOR, operation(55, "ream", "frame-holes", "reamer-9") + "\n" + DRILL_MOTOR),
    )


PLANTED |= {
    "a pilot larger than its hole": Planted(
        with_counterbore("8.9 mm", "9.1 mm"),
        "pilot-larger-than-hole",
        "stop",
        55,
        "frame-seats",
        'tool = "counterbore-15"',
    ),
    "a counterbore of another screw": Planted(
        with_counterbore('"15 mm"', '"11 mm"'),
        "tool-of-another-size",
        "stop",
        55,
        "frame-seats",
        'tool = "counterbore-15"',
    ),
    "a counterbore before its hole": Planted(
        (
            with_counterbore()[0],
            with_counterbore()[1],
            job(
                DRILL_FRAME,
                operation(45, "counterbore", "frame-seats", "counterbore-15") + "\n" + DRILL_FRAME,
            ),
        ),
        "counterbore-before-hole",
        "stop",
        45,
        "frame-seats",
        "number = 45#-1",
    ),
    "a reamer of another size": Planted(
        with_reamer("0.1 mm", "9.01 mm", "9.3 mm"),
        "tool-of-another-size",
        "stop",
        55,
        "frame-holes",
        'tool = "reamer-9"',
    ),
    "a millimetre left to the reamer": Planted(
        with_reamer("1 mm"), "much-to-ream", "doubt", 55, "frame-holes", "number = 55#-1"
    ),
    "next to nothing left to the reamer": Planted(
        with_reamer("0.01 mm"), "little-to-ream", "doubt", 55, "frame-holes", "number = 55#-1"
    ),
    "a stage drilled with the drill of the hole": Planted(
        with_reamer("0.1 mm"), "tool-larger-than-hole", "stop", 50, "frame-holes", 'tool = "drill-9"'
    ),
}


def plant(folder: Path, planted: Planted) -> OpenedJob:
    for file, old, new in planted.changes:
        change(folder / file, old, new)
    return load_job(folder)


def expected_line(text: str, mark: str) -> int:
    """Give the line that a mark names: a part of it, or one so many lines away from it (`#-1`)."""
    part, _, away = mark.partition("#")
    if "#" in mark and re.fullmatch(r"[-+]\d", away):
        return line_with(text, part) + int(away)
    if "\n" in mark:
        return text[: text.index(mark)].count("\n") + 1
    return line_with(text, mark)


@pytest.mark.parametrize("name", PLANTED)
def test_a_planted_fault_is_caught_at_its_place(demo: Path, name: str) -> None:
    """Code, severity, operation and feature are right, and the finding points at the line of the fault."""
    planted = PLANTED[name]
    opened = plant(demo, planted)
    same = [one for one in opened.plan.findings if one.code == planted.code]
    assert same, [(one.code, one.operation) for one in opened.plan.findings]
    found = [one for one in same if (one.operation, one.feature) == (planted.operation, planted.feature)]
    assert found, [(one.operation, one.feature) for one in same]
    assert found[0].severity == planted.severity
    wanted = f"{planted.file}:{expected_line(opened.texts[planted.file], planted.line)}"
    places = [place_of(one, opened.texts).partition(" ")[0] for one in found]
    assert wanted in places
    assert_numbers_open(opened.plan.findings)
    for one in opened.plan.findings:
        assert_reads_well(one, opened)


def assert_reads_well(finding: Finding, opened: OpenedJob) -> None:
    """The three texts of a finding are there, with every field filled in."""
    told = finding_json(finding, place_of(finding, opened.texts), "mm")
    for part in ("where", "what", "why", "cure"):
        assert told[part] and told[part].isprintable()
        assert "{" not in told[part], told[part]


def test_the_demo_as_it_is_has_no_stop_and_no_doubt(opened: OpenedJob) -> None:
    """Nothing keeps the demo from being made."""
    assert {one.severity for one in opened.plan.findings} <= {"note"}


def test_every_rule_has_a_planted_fault(codes_by_rule: dict[str, set[str]]) -> None:
    """No rule of the check is without a fault that only it tells."""
    planted = {one.code for one in PLANTED.values()} | {"first-not-measured"}
    unproven = {name: codes for name, codes in codes_by_rule.items() if not codes & planted}
    assert unproven == {}


@pytest.fixture(scope="module")
def codes_by_rule() -> dict[str, set[str]]:
    """Give the codes that each rule can tell, from its own text."""

    def codes(rule: Callable[..., object]) -> set[str]:
        return set(re.findall(r'"([a-z]+(?:-[a-z]+)+)"', inspect.getsource(rule)))

    named = {
        "names_are_known": {"unknown-tool"},
        "order": {"no-spot"},
        "reamer_has_the_size": {"tool-of-another-size"},
        "recipe_fits": {"recipe-does-not-fit"},
        "cone_reaches_its_rim": {"tool-smaller-than-rim"},
    }
    here = (rule for rule in RULES if rule.__module__.rpartition(".")[2] in SUBJECTS)
    return {rule.__name__: named.get(rule.__name__) or codes(rule) for rule in here} | {
        "tap_is_the_threads_own": {"tap-of-another-thread"}
    }


def test_a_recipe_that_measures_nothing_is_doubted(demo: Path) -> None:
    """An own recipe that cuts a whole pattern without a reading is told (HF-43)."""
    (demo / "recipes").mkdir()
    (demo / "recipes" / "quick.toml").write_text(
        """
schema = 1
id = "quick"
title = "Drill without looking"
features = ["hole"]
use = ["places"]

[[steps]]
id = "cut"
kind = "cut"
text = "Drill hole {place.number}."
each = ["pattern.positions", "feature.places"]

[[steps]]
id = "done"
kind = "sign-off"
text = "Done."
""",
        encoding="utf-8",
    )
    change(
        demo / "job.toml",
        'recipe = "drill"\nfeature = "frame-holes"',
        'recipe = "quick"\nfeature = "frame-holes"',
    )
    found = [one for one in load_job(demo).plan.findings if one.code == "first-not-measured"]
    assert [(one.operation, one.severity) for one in found] == [(50, "doubt")]


def test_stops_come_first_then_doubts_then_notes(demo: Path) -> None:
    """Findings are told in the order of their weight, each weight in the order of the operations."""
    change(demo / "job.toml", SPOT_FRAME, "")
    change(demo / "job.toml", CHAMFER, "")
    weights = [one.severity for one in load_job(demo).plan.findings]
    assert weights == sorted(weights, key=["stop", "doubt", "note"].index)
    assert {"stop", "doubt"} <= set(weights)


@pytest.mark.parametrize(
    ("side", "size", "through"),
    [("left", "length", 164.0), ("back", "width", 124.0)],
)
def test_a_hole_from_a_side_goes_through_what_lies_behind_it(
    demo: Path, side: str, size: str, through: float
) -> None:
    """A through hole from the left end goes through the length of the stock, not through its thickness."""
    change(demo / "job.toml", 'through = true\nfrom = "top-face"', f'through = true\nfrom = "{side}"')
    values = load_job(demo).plan.by_number[50].scope
    assert values["part.thickness"].plain == through
    assert values["travel.tip_depth"].number > through
    assert any(
        isinstance(leaf.origin, Entered) and leaf.origin.where == f"job.toml stock.{size}"
        for leaf in leaves(values["travel.tip_depth"])
    )
