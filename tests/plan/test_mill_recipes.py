"""A block with faces, a reamed hole, seats, flats and slots: what the recipes of the mill make of it."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import pytest
from answers import good_answer

from handwheel.models.record import Event
from handwheel.plan.resolve import Plan
from handwheel.present.numbers import shown
from handwheel.present.run_view import live_text, refusal_text
from handwheel.run.act import Answer, Refusal, act
from handwheel.run.left import expected_of, left_to_remove
from handwheel.run.live import Item, live
from handwheel.run.settings import as_set
from handwheel.run.state import State, apply, fold
from handwheel.store.jobs import OpenedJob, load_job
from handwheel.values import Missing, leaves

BLOCK = """
schema = 1

[job]
title = "A guide block for a loom, all sizes invented"
units = "mm"
material = "S235"

[stock]
form = "plate"
length = "120 mm"
width = "60 mm"
thickness = "28 mm"
basis = "measured"

[[features]]
id = "top-face"
kind = "face"
thickness = "25 mm"
upper = "0.1 mm"
lower = "-0.1 mm"

[[features]]
id = "left-end"
kind = "face"
side = "left"

[[features]]
id = "recess"
kind = "flat"
from = "top"
depth = "4 mm"
width = "40 mm"
length = "60 mm"
at = ["30 mm", "0 mm"]

[[features]]
id = "pin-hole"
kind = "hole"
diameter = "10 mm"
zone = "H7"
through = true
from = "recess"
at = [["30 mm", "0 mm"]]

[[features]]
id = "screw-holes"
kind = "hole"
diameter = "6.6 mm"
through = true
from = "top"
at = [["-45 mm", "-15 mm"], ["-45 mm", "15 mm"]]

[[features]]
id = "seats"
kind = "counterbore"
of = "screw-holes"
screw = "M6"

[[features]]
id = "cover-holes"
kind = "hole"
diameter = "5.5 mm"
depth = "12 mm"
from = "top"
at = [["-10 mm", "-20 mm"], ["-10 mm", "20 mm"]]

[[features]]
id = "cover-sinks"
kind = "countersink"
of = "cover-holes"
screw = "M5"

[[features]]
id = "key-slot"
kind = "slot"
from = "top"
width = "14 mm"
upper = "0.15 mm"
lower = "0 mm"
length = "40 mm"
depth = "5 mm"
at = ["-20 mm", "0 mm"]

[[features]]
id = "window"
kind = "slot"
from = "recess"
width = "10 mm"
length = "24 mm"
through = true
at = ["42 mm", "18 mm"]
angle = "15 deg"

[[setups]]
id = "A"
machine = "mill"
workholding = "vice"
gripped_on = "the long edges"
grip_depth = "10 mm"
zero = "the middle of the block"
origin = "middle"
"""

OPERATIONS = (
    (10, "set-zero", None, None, ""),
    (20, "face", "top-face", "face-mill-50", ""),
    (30, "face", "left-end", "end-mill-16", ""),
    (40, "flat", "recess", "end-mill-16", ""),
    (50, "spot", "pin-hole", "spot-10", ""),
    (60, "spot", "screw-holes", "spot-10", ""),
    (70, "spot", "cover-holes", "spot-10", ""),
    (80, "drill", "pin-hole", "drill-9-8", 'leave = "0.1 mm"'),
    (90, "ream", "pin-hole", "reamer-10", ""),
    (100, "drill", "screw-holes", "drill-6-6", ""),
    (110, "counterbore", "seats", "counterbore-11", ""),
    (120, "drill", "cover-holes", "drill-5-5", ""),
    (130, "countersink", "cover-sinks", "countersink-16", ""),
    (140, "slot", "key-slot", "end-mill-10", ""),
    (150, "slot", "window", "end-mill-10", ""),
    (160, "deburr", None, None, ""),
)

ROUND = """
schema = 1

[job]
title = "A shaft end with a flat, all sizes invented"
units = "mm"
material = "C45"

[stock]
form = "round"
length = "80 mm"
diameter = "20 mm"

[[features]]
id = "key-flat"
kind = "flat"
across = "18 mm"
zone = "h11"
width = "12 mm"
length = "25 mm"

[[setups]]
id = "A"
machine = "mill"
workholding = "vice"
gripped_on = "the round, in a vee"
grip_depth = "12 mm"
zero = "the axis, at the end"
"""

SHOP = """
schema = 1
people = ["AK"]

[[machines]]
id = "mill"
title = "small milling machine"
kind = "mill"
speeds = [
  "95 1/min", "160 1/min", "210 1/min", "330 1/min", "540 1/min", "870 1/min", "1400 1/min", "2200 1/min",
]
rated_power = "1.1 kW"
base_speed = "95 1/min"
readout = true
backlash = "0.2 mm"
nose = "taper"

[[workholdings]]
id = "vice"
title = "milling vice"
kind = "vice"
opening = "130 mm"
jaw_height = "40 mm"
"""

TOOLS = (
    ("face-mill-50", "face-mill", "carbide-insert", "50 mm", "teeth = 4"),
    ("end-mill-16", "end-mill", "HSS", "16 mm", "teeth = 4"),
    ("end-mill-10", "end-mill", "HSS", "10 mm", "teeth = 3"),
    ("spot-10", "spot-drill", "HSS", "10 mm", 'point_angle = "90 deg"\ntip_diameter = "0 mm"'),
    ("drill-9-8", "drill", "HSS", "9.8 mm", 'point_angle = "118 deg"'),
    ("drill-6-6", "drill", "HSS", "6.6 mm", 'point_angle = "118 deg"'),
    ("drill-5-5", "drill", "HSS", "5.5 mm", 'point_angle = "118 deg"'),
    ("reamer-10", "reamer", "HSS", "10.008 mm", 'bevel = "1.5 mm"'),
    ("counterbore-11", "counterbore", "HSS", "11 mm", 'pilot_diameter = "6.5 mm"'),
    ("countersink-16", "countersink", "HSS", "16.5 mm", 'point_angle = "90 deg"\ntip_diameter = "3.2 mm"'),
)

INSTRUMENTS = (
    ("caliper", "outside", "0 mm", "150 mm", "0.04 mm"),
    ("caliper", "inside", "5 mm", "150 mm", "0.05 mm"),
    ("caliper", "depth", "0 mm", "150 mm", "0.05 mm"),
    ("caliper", "rim", "5 mm", "150 mm", "0.08 mm"),
    ("micrometer", "outside", "0 mm", "50 mm", "0.006 mm"),
    ("plug-gauges", "inside", "8 mm", "20 mm", "0.004 mm"),
    ("depth-micrometer", "depth", "0 mm", "25 mm", "0.01 mm"),
)


def shop_text() -> str:
    """Give the shop: the mill above, its tools, its instruments."""
    tools = [
        f'[[tools]]\nid = "{id}"\ntitle = "{id}"\nkind = "{kind}"\nmaterial = "{material}"\n'
        f'diameter = "{diameter}"\n{more}\n'
        for id, kind, material, diameter, more in TOOLS
    ]
    instruments = [
        f'[[instruments]]\nid = "{id}"\ntitle = "{id}"\n[[instruments.uses]]\nuse = "{use}"\n'
        f'smallest = "{least}"\nlargest = "{most}"\nuncertainty = "{unsure}"\n'
        for id, use, least, most, unsure in _once_each(INSTRUMENTS)
    ]
    return "\n".join([SHOP, *tools, *instruments])


def _once_each(rows: tuple[tuple[str, ...], ...]) -> list[tuple[str, ...]]:
    """Name an instrument anew for each of its uses, as each stands in a list of its own."""
    return [(f"{id}-{use}", use, *rest) for id, use, *rest in rows]


def operations(rows: tuple[tuple[int, str, str | None, str | None, str], ...]) -> str:
    """Give the operations of a job as text."""
    lines: list[str] = []
    for number, recipe, feature, tool, more in rows:
        lines += ["[[operations]]", f"number = {number}", 'setup = "A"', f'recipe = "{recipe}"']
        lines += [f'feature = "{feature}"'] if feature else []
        lines += [f'tool = "{tool}"'] if tool else []
        lines += [more, ""]
    return "\n".join(lines)


def open_job(folder: Path, job: str, changes: tuple[tuple[str, str], ...] = ()) -> OpenedJob:
    """Write a job and its shop, each change made once in either of them, and open it."""
    folder.mkdir(parents=True, exist_ok=True)
    texts = {"job.toml": job, "shop.toml": shop_text()}
    for old, new in changes:
        (name,) = [name for name, text in texts.items() if text.count(old) == 1]
        texts[name] = texts[name].replace(old, new)
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8")
    return load_job(folder)


@pytest.fixture(scope="module")
def block(tmp_path_factory: pytest.TempPathFactory) -> OpenedJob:
    return open_job(tmp_path_factory.mktemp("mill") / "block", BLOCK + "\n" + operations(OPERATIONS))


@pytest.fixture(scope="module")
def round_job(tmp_path_factory: pytest.TempPathFactory) -> OpenedJob:
    rows = ((20, "flat", "key-flat", "end-mill-16", ""), (30, "deburr", None, None, ""))
    return open_job(tmp_path_factory.mktemp("mill") / "round", ROUND + "\n" + operations(rows))


def test_nothing_is_missing_and_nothing_is_stopped(block: OpenedJob, round_job: OpenedJob) -> None:
    """Each operation has its steps and every value of it is on file; the check finds no stop."""
    for plan in (block.plan, round_job.plan):
        assert [one.problem for one in plan.operations if one.problem] == []
        missing = {
            (one.number, name, leaf.origin.where)
            for one in plan.operations
            for name, value in one.values.items()
            for leaf in leaves(value)
            if isinstance(leaf.origin, Missing)
        }
        assert missing == set()
        assert [(one.code, one.operation, one.what) for one in plan.findings if one.severity == "stop"] == []


# Worked by hand from the sizes above, the tables that are named, and the rules of each recipe.
WORKED = {
    # 130 m/min on 50 mm is 828, the step below 540; two tracks of 30 mm; 28 - 25 - 0.5 in four cuts
    20: {
        "set.spindle_speed": "540 1/min",
        "tracks.tracks": "2",
        "tracks.width_of_cut": "30.00 mm",
        "cuts.after_rough": "25.50 mm",
        "given.max_size": "25.10 mm",
    },
    # the left end: 60 mm wide and 28 mm high, stock of 120 mm behind it
    30: {"tracks.along": "60.00 mm", "tracks.tracks": "3", "raw.max_size": "125.00 mm"},
    # 25 mm less 4 mm; 30 mm to 10 mm and 50 mm; 4 mm less 0.4 mm; 40 mm in tracks of at most 12 mm
    40: {
        "edges.x_low": "10.00 mm",
        "edges.x_high": "50.00 mm",
        "floor.floor": "21.00 mm",
        "cuts.after_rough": "3.60 mm",
        "tracks.width_of_cut": "10.00 mm",
        "general.max_size": "4.10 mm",
    },
    # below the recess 25 - 4 mm; a stage of 9.8 mm; 21 + 1 + 4.9 / tan 59 deg
    80: {
        "under.floor": "21.00 mm",
        "stage.size": "9.80 mm",
        "travel.tip_depth": "24.94 mm",
        "stage_limits.max_size": "9.90 mm",
    },
    # half of 24.384 m/min on 10.008 mm is 388; 21 + 1.5 + 1 mm; ISO 286-2: 10 H7 is 0 to +15 µm
    90: {
        "before.size": "9.80 mm",
        "set.spindle_speed": "330 1/min",
        "way.depth": "23.50 mm",
        "zone.max_size": "10.015 mm",
        "zone.min_size": "10.00 mm",
    },
    # DIN 974-1 for M6; a quarter of 24.384 m/min on 11 mm is 176; 25 - 6.4 mm
    110: {
        "seat.diameter": "11.00 mm",
        "seat.depth": "6.40 mm",
        "set.spindle_speed": "160 1/min",
        "floor.floor": "18.60 mm",
    },
    # ISO 10642 for M5: 11.20 mm; (11.20 - 5.5) / 2
    130: {"screw_head.major_diameter": "11.20 mm", "sink.depth_from_edge": "2.85 mm"},
    # 21.336 m/min on 10 mm is 679; -20 mm less and more 15 mm; 5 less 0.3 mm; 14.075 less 0.4 mm
    140: {
        "set.spindle_speed": "540 1/min",
        "walls.x_low": "-35.00 mm",
        "walls.x_high": "-5.00 mm",
        "aside.low": "-1.84 mm",
        "aside.high": "1.84 mm",
        "cuts.after_rough": "4.70 mm",
        "widen.after_rough": "13.675 mm",
        "given.max_size": "14.15 mm",
    },
    # a cutter of the slot's width, about the slot's own middle; 21 + 1 mm
    150: {"walls.x_low": "-7.00 mm", "axis.centre": "0.00 mm", "way.depth": "22.00 mm"},
}


@pytest.mark.parametrize("number", WORKED)
def test_the_numbers_are_those_worked_by_hand(block: OpenedJob, number: int) -> None:
    """Every feature of the block gets the numbers that its sizes give by hand."""
    values = block.plan.by_number[number].values
    assert {name: shown(values[name]) for name in WORKED[number]} == WORKED[number]


def test_a_flat_on_a_round_is_reckoned_from_its_size_across(round_job: OpenedJob) -> None:
    """By hand: 20 - 18 mm, a chord of 2 sqrt(18 x 2); 18 h11 is 0 to -110 µm, 0.4 mm left on its middle."""
    values = round_job.plan.by_number[20].values
    wanted = {
        "below.depth": "2.00 mm",
        "below.width": "12.00 mm",
        "cuts.after_rough": "18.345 mm",
        "zone.max_size": "18.00 mm",
        "zone.min_size": "17.89 mm",
    }
    assert {name: shown(values[name]) for name in wanted} == wanted


def test_a_through_hole_from_a_flat_on_a_round_has_the_size_across_under_it(tmp_path: Path) -> None:
    """What stays under a flat on a round is what is measured across it."""
    hole = (
        '[[features]]\nid = "cross"\nkind = "hole"\ndiameter = "6.6 mm"\nthrough = true\n'
        'from = "key-flat"\nat = [["0 mm", "10 mm"]]\n\n[[setups]]'
    )
    rows = (
        (20, "flat", "key-flat", "end-mill-16", ""),
        (30, "spot", "cross", "spot-10", ""),
        (40, "drill", "cross", "drill-6-6", ""),
    )
    opened = open_job(tmp_path, ROUND.replace("[[setups]]", hole) + "\n" + operations(rows))
    assert opened.plan.by_number[40].values["travel.tip_depth"].number == pytest.approx(
        18 + 1 + 1.9829, abs=1e-4
    )
    assert "datum-first" not in [one.code for one in opened.plan.findings]


# --- order, and what is left ---------------------------------------------------------------------------


def codes_of(opened: OpenedJob, number: int) -> set[str]:
    return {one.code for one in opened.plan.findings if one.operation == number}


def test_a_reamed_hole_that_was_drilled_to_its_size_has_nothing_to_ream(tmp_path: Path) -> None:
    """Without leave at the drill it is asked what was left, at the operation that left it."""
    text = BLOCK + "\n" + operations(OPERATIONS)
    opened = open_job(tmp_path, text, (('leave = "0.1 mm"', ""),))
    told = [one for one in opened.plan.findings if one.operation == 90 and one.code == "not-on-file"]
    assert [one.keys for one in told] == [("operations", "80", "leave")]
    assert "tool-smaller-than-hole" in codes_of(opened, 80)


def test_order_is_data_of_the_recipes(tmp_path: Path) -> None:
    """A hole is not reamed, sunk or counterbored before it is drilled, nor a slot milled before its face."""
    later = {"drill": 301, "face": 402, "flat": 503}
    rows = tuple(
        sorted((number + later.get(recipe, 0), recipe, *rest) for number, recipe, *rest in OPERATIONS)
    )
    opened = open_job(tmp_path, BLOCK + "\n" + operations(rows))
    assert "ream-before-hole" in codes_of(opened, 90)
    assert "counterbore-before-hole" in codes_of(opened, 110)
    assert "countersink-before-hole" in codes_of(opened, 130)
    assert "slot-before-face" in codes_of(opened, 140)
    assert "slot-before-face" in codes_of(opened, 150)


def test_a_cutter_wider_than_its_slot_stops_the_plan(tmp_path: Path) -> None:
    """A slot narrower than its cutter cannot be computed, and the plan says why."""
    text = (BLOCK + "\n" + operations(OPERATIONS)).replace('width = "10 mm"', 'width = "9.9 mm"')
    told = [one for one in open_job(tmp_path, text).plan.findings if one.operation == 150]
    assert "cannot-be-computed" in [one.code for one in told]


@pytest.mark.parametrize(("upper", "lower"), [("-0.3 mm", "-0.5 mm"), ("0.5 mm", "0.3 mm")])
def test_roughing_stays_out_of_the_zone_wherever_it_lies(tmp_path: Path, upper: str, lower: str) -> None:
    """A zone far from the nominal size moves the roughing with it: the last cuts are left on."""
    own = 'width = "14 mm"\nupper = "0.15 mm"\nlower = "0 mm"'
    text = (BLOCK + "\n" + operations(OPERATIONS)).replace(
        own, f'width = "14 mm"\nupper = "{upper}"\nlower = "{lower}"'
    )
    values = open_job(tmp_path, text).plan.by_number[140].values
    left = values["given.min_size"].number - values["widen.after_rough"].number
    assert 0.2 < left < 0.4


def test_a_counterbore_through_the_part_leaves_no_floor(tmp_path: Path) -> None:
    """A seat as deep as the part is thick is a stop."""
    own = 'of = "screw-holes"\ndiameter = "11 mm"\ndepth = "25 mm"'
    text = BLOCK + "\n" + operations(OPERATIONS)
    opened = open_job(tmp_path, text, (('of = "screw-holes"\nscrew = "M6"', own),))
    assert "no-floor" in codes_of(opened, 110)


# --- the run ---------------------------------------------------------------------------------------------


class Person:
    """Somebody at a job who measures what the machine makes: a little short of where the tool stood."""

    def __init__(self, plan: Plan, short: float = 0.0) -> None:
        self.as_planned, self.short = plan, short
        self.state: State = fold(())
        self.now = datetime.fromisoformat("2026-11-24T08:00:00+01:00")
        self.kinds: list[tuple[int, str, int]] = []

    @property
    def plan(self) -> Plan:
        return as_set(self.as_planned, self.state)

    @property
    def item(self) -> Item:
        return live(self.plan, self.state)

    def answer(self, text: str) -> Event:
        """Answer the live item; what is refused fails the test with its reason."""
        item = self.item
        self.now += timedelta(seconds=1)
        answer = Answer("typed", text) if text else Answer("enter")
        outcome = act(self.plan, self.state, answer, self.now.isoformat())
        if isinstance(outcome, Refusal):
            raise AssertionError(f"{item.key} {text}: {refusal_text(outcome.why, outcome.values, 'mm')}")
        self.state = apply(self.state, outcome)
        self.kinds.append((item.key.operation, item.key.step, item.key.cut_pass))
        return outcome

    def measured(self, item: Item) -> str:
        """Give what is typed at an item: towards an aim, where the tool stood less what it gave way."""
        takes = item.step.step.takes if item.step is not None else None
        expected = expected_of(item, self.state)
        if takes is None or takes.aim is None or takes.removing is None or expected is None:
            return good_answer(item)
        off = self.short if item.key.cut_pass == 1 else 0.0
        return f"{expected.number + (off if takes.removing == 'from outside' else -off):.4f}"

    def work_to(self, operation: int, step: str) -> None:
        while self.item.key[:2] != (operation, step):
            assert self.item.kind not in ("finished", "stop"), f"{step} never came: {self.item}"
            self.answer(self.measured(self.item))

    def finish(self) -> None:
        while self.item.kind != "finished":
            assert self.item.kind != "stop", self.item.finding
            self.answer(self.measured(self.item))


@pytest.mark.parametrize("short", [0.0, 0.03])
def test_the_run_comes_to_its_last_signature(block: OpenedJob, round_job: OpenedJob, short: float) -> None:
    """Whoever answers well, with a tool that gives way a little, signs every operation in order."""
    for opened in (block, round_job):
        person = Person(opened.plan, short)
        person.finish()
        signed = [event.operation for event in person.state.events if event.kind == "signed"]
        assert signed == [one.number for one in opened.plan.operations]
        verdicts = {event.verdict for event in person.state.events if event.kind == "read"}
        assert verdicts <= {"pass", "more to come off", "as it should be"}


def test_the_last_cuts_of_a_face_follow_its_readings(block: OpenedJob) -> None:
    """After roughing it is read, then cut by what the reading left, and read, until it is proven."""
    person = Person(block.plan, short=0.04)
    person.finish()
    face = [(step, cut_pass) for number, step, cut_pass in person.kinds if number == 20]
    begin = face.index(("cut", 1))
    assert face[begin : begin + 4] == [("cut", 1), ("thickness", 1), ("last-cuts", 2), ("thickness", 2)]
    passes = [cut_pass for step, cut_pass in face if step == "thickness"]
    assert 2 <= passes[-1] <= 4
    last = [event for event in person.state.events if event.operation == 20 and event.step == "thickness"][-1]
    assert last.verdict == "pass" and last.value == pytest.approx(25, abs=0.08)


@pytest.mark.parametrize(
    ("operation", "reading", "start"),
    [(20, "thickness", 26.125), (40, "depth", 2.88), (140, "depth", 4.0285714), (140, "width", 12.45)],
)
def test_the_next_cut_says_where_to_go(block: OpenedJob, operation: int, reading: str, start: float) -> None:
    """The next cut goes on from the last of the roughing, and never past the limit on the far side."""
    person = Person(block.plan, short=0.03)
    person.work_to(operation, reading)
    step = person.item.step
    assert step is not None
    begin, aim, dial = (step.value(name) for name in ("start", "aim", "dial"))
    assert begin is not None and aim is not None and dial is not None
    assert begin.number == pytest.approx(start)
    event = person.answer(person.measured(person.item))
    assert event.verdict == "more to come off"
    left = left_to_remove(person.item, person.state)
    assert left["left.amount"].number == pytest.approx(abs(aim.number - (event.value or 0)))
    way = 1 if aim.number > start else -1
    assert way * (left["left.expected"].number - (event.value or 0)) > 0
    assert way * (aim.number - left["left.expected"].number) >= -1e-9
    limit = step.value("high" if way > 0 else "low")
    assert limit is not None and way * (limit.number - left["left.expected"].number) > 0
    text = live_text(person.plan, person.state, person.item)
    assert "not on file" not in text and "{" not in text


def test_the_slot_is_widened_only_with_a_narrower_cutter(block: OpenedJob) -> None:
    """A cutter of the slot's width has no walls to cut, a narrower one says what it does to the ends."""
    wide = [step.id for step in block.plan.by_number[140].steps]
    own = [step.id for step in block.plan.by_number[150].steps]
    assert {"widen", "last-walls", "width", "ends"} <= set(wide) and "width-of-cutter" not in wide
    assert {"cut-through", "width-of-cutter", "angle"} <= set(own)
    assert not {"widen", "last-walls", "width", "ends", "depth", "last-depth"} & set(own)


def test_backlash_is_said_only_where_there_is_some(block: OpenedJob, tmp_path: Path) -> None:
    """On a mill whose screws are loose each milling operation says which way the table goes (HF-42)."""
    milled = [one for one in block.plan.operations if one.number in (20, 30, 40, 140)]
    assert all("against" in [step.id for step in one.steps] for one in milled)
    assert "against" not in [step.id for step in block.plan.by_number[150].steps]  # it has no side to choose
    tight = open_job(tmp_path, BLOCK + "\n" + operations(OPERATIONS), (('backlash = "0.2 mm"\n', ""),))
    assert not any("against" in [step.id for step in one.steps] for one in tight.plan.operations)


def test_an_operation_asks_at_most_three_items(block: OpenedJob, round_job: OpenedJob) -> None:
    """Besides what setup and tool ask, an operation asks three things before the spindle turns (HF-44)."""
    for one in (*block.plan.operations, *round_job.plan.operations):
        own = [step for step in one.steps if step.owner == "operation"]
        if one.recipe.does != "deburr":
            assert sum(step.step.kind == "item" for step in own) <= 3
        assert own[0].step.kind == "hazard"


def test_a_face_that_is_only_cleaned_up_has_no_thickness_to_read(block: OpenedJob) -> None:
    """It is cut until it is bright, and looked at."""
    steps = [step.id for step in block.plan.by_number[30].steps if step.owner == "operation"]
    assert steps[-3:] == ["clean", "cleaned", "done"]
    assert "touch" not in steps and "thickness" not in steps


def test_the_thickness_that_was_measured_replaces_the_one_on_file(block: OpenedJob) -> None:
    """Typed at the touching, another thickness of the stock moves every cut of the list."""
    person = Person(block.plan)
    person.work_to(20, "touch")
    person.answer("27.4")
    values = person.plan.by_number[20].values
    assert shown(values["cuts.after_rough"]) == "25.50 mm"
    first = values["cuts.passes"].plain
    assert isinstance(first, tuple) and first[0].depth == pytest.approx((27.4 - 25 - 0.5) / 3)
