"""Machine, chuck, speed, holding, bars: each fault planted in a sound job of a lathe is told at its place."""

from __future__ import annotations

import inspect
import re
from pathlib import Path
from typing import NamedTuple

import pytest
from origins import assert_numbers_open
from planting import change, line_with

from handwheel.demo import make_demo
from handwheel.plan.finding import Finding
from handwheel.plan.findings import RULES
from handwheel.present.answers import finding_json
from handwheel.store.jobs import OpenedJob, load_job, place_of

SUBJECTS = ("chucks", "holding", "gripped", "turning", "fire")

JOB = """
schema = 1

[job]
title = "Guide roller for a loom, all sizes invented"
units = "mm"
material = "C45"
hardness = "200 HB"

[stock]
form = "round"
length = "95 mm"
diameter = "50 mm"
slant_a = "0.3 deg"
slant_b = "0.3 deg"
leaning = "same"
skin = "0.2 mm"
basis = "measured"

[[features]]
id = "front-face"
kind = "face"
thickness = "92 mm"
from = "back-face"

[[features]]
id = "back-face"
kind = "face"
side = "bottom"
from = "top"

[[features]]
id = "rim"
kind = "outside"
diameter = "46 mm"
length = "44 mm"
from = "front-face"

[[features]]
id = "body"
kind = "outside"
diameter = "46.5 mm"
length = "50 mm"
from = "back-face"
side = "bottom"

[[features]]
id = "hub-bore"
kind = "bore"
diameter = "25 mm"
depth = "30 mm"
from = "front-face"

[[setups]]
id = "A"
machine = "lathe"
workholding = "chuck"
jaws = "outside"
gripped_on = "the raw outside"
grip_diameter = "50 mm"
grip_depth = "25 mm"
stick_out = "70 mm"
located_on = ["the sawn end in the chuck"]
trued_on = "the raw outside"
side = "bottom"
zero = "the axis; Z on the back face"

[[setups]]
id = "B"
machine = "lathe"
workholding = "chuck"
jaws = "outside"
gripped_on = "body"
grip_diameter = "46.5 mm"
grip_depth = "24 mm"
stick_out = "66 mm"
located_on = ["back-face"]
trued_on = "body"
turned_about = "x"
zero = "the axis; Z on the front face"

[[operations]]
number = 10
setup = "A"
recipe = "true-up"

[[operations]]
number = 20
setup = "A"
recipe = "face"
feature = "back-face"
tool = "turning-tool"

[[operations]]
number = 30
setup = "A"
recipe = "turn"
feature = "body"
tool = "turning-tool"

[[operations]]
number = 40
setup = "B"
recipe = "turn-over"

[[operations]]
number = 50
setup = "B"
recipe = "true-up"

[[operations]]
number = 60
setup = "B"
recipe = "face"
feature = "front-face"
tool = "turning-tool"

[[operations]]
number = 70
setup = "B"
recipe = "turn"
feature = "rim"
tool = "turning-tool"

[[operations]]
number = 80
setup = "B"
recipe = "centre-drill"
feature = "hub-bore"
tool = "centre-drill"

[[operations]]
number = 90
setup = "B"
recipe = "drill-tailstock"
feature = "hub-bore"
tool = "drill-20"

[[operations]]
number = 100
setup = "B"
recipe = "bore"
feature = "hub-bore"
tool = "bar-14"
"""

SHOP = """
schema = 1
people = ["AK"]

[[machines]]
id = "lathe"
title = "centre lathe with a gearbox"
kind = "lathe"
speeds = [
  "70 1/min", "125 1/min", "200 1/min", "320 1/min", "500 1/min", "800 1/min", "1250 1/min", "2000 1/min",
]
rated_power = "2.2 kW"
base_speed = "70 1/min"
reads = "diameter"
readout = true
reverses = true
nose = "flange"
longest_bar_behind = "120 mm"

[[workholdings]]
id = "chuck"
title = "three-jaw chuck 160 mm"
kind = "chuck"
highest_speed = "2500 1/min"
opening = "160 mm"
jaw_height = "42 mm"
jaws = 3
key_torque = "75 N·m"
rated_force = "31 kN"
rated_torque = "80 N·m"
jaw_mass = "0.55 kg"
jaw_radius = "48 mm"

[[tools]]
id = "turning-tool"
title = "turning and facing tool, nose 0.8 mm"
kind = "turning-tool"
material = "carbide-insert"
nose_radius = "0.8 mm"

[[tools]]
id = "bar-14"
title = "boring bar 14 mm"
kind = "boring-bar"
material = "carbide-insert"
nose_radius = "0.4 mm"
bar_diameter = "14 mm"
bar_material = "steel"
overhang = "40 mm"
reach = "38 mm"
smallest_bore = "18 mm"

[[tools]]
id = "blade"
title = "parting blade"
kind = "parting-tool"
material = "HSS"
width = "3 mm"
overhang = "28 mm"

[[tools]]
id = "centre-drill"
title = "centre drill A4"
kind = "centre-drill"
material = "HSS"
diameter = "4 mm"
point_angle = "60 deg"

[[tools]]
id = "drill-20"
title = "drill 20 mm"
kind = "drill"
material = "HSS"
diameter = "20 mm"
point_angle = "118 deg"
length = "jobber"
reach = "140 mm"

[[instruments]]
id = "caliper"
title = "caliper 150 mm"

[[instruments.uses]]
use = "outside"
smallest = "0 mm"
largest = "150 mm"
uncertainty = "0.04 mm"

[[instruments.uses]]
use = "inside"
smallest = "10 mm"
largest = "150 mm"
uncertainty = "0.05 mm"

[[instruments.uses]]
use = "depth"
smallest = "0 mm"
largest = "150 mm"
uncertainty = "0.05 mm"
"""

OWN_RECIPE = """
schema = 1
id = "{id}"
title = "A recipe of one's own"
does = "{does}"
features = ["outside", "face"]
machines = ["lathe"]
tools = ["turning-tool", "parting-tool"]
use = ["spindle"]

[[steps]]
id = "cut"
kind = "cut"
text = "Cut it."

[[steps]]
id = "done"
kind = "sign-off"
text = "Done."
"""

PART_OFF = """
[[operations]]
number = 110
setup = "B"
recipe = "own-parting"
feature = "rim"
tool = "blade"
"""

HAS_PARTING = ("job.toml", "", PART_OFF)
"""Nothing is replaced: the text goes to the end."""


class Planted(NamedTuple):
    """A fault: what is done to the files, and what has to be said, where, about which operation."""

    changes: tuple[tuple[str, str, str], ...]
    code: str
    severity: str
    operation: int
    line: str
    file: str = "job.toml"


def job(old: str, new: str) -> tuple[str, str, str]:
    return "job.toml", old, new


def shop(old: str, new: str) -> tuple[str, str, str]:
    return "shop.toml", old, new


NO_LIMIT = shop('highest_speed = "2500 1/min"\n', "")
FOLLOWS = shop("reverses = true", "reverses = true\nconstant_surface_speed = true")
BACKWARD = job('recipe = "turn"\nfeature = "body"', 'recipe = "turn"\nspindle = "reverse"\nfeature = "body"')
SCREWED = shop('nose = "flange"', 'nose = "screwed"')
NO_NOSE = shop('nose = "flange"\n', "")
CHUCK = 'id = "chuck"#-1'

PLANTED = {
    # the chuck and its spindle
    "a chuck without its limit": Planted((NO_LIMIT,), "chuck-limit-unknown", "stop", 20, CHUCK, "shop.toml"),
    "a chuck slower than the slowest step": Planted(
        (shop('"2500 1/min"', '"60 1/min"'),), "chuck-beyond-its-limit", "stop", 30, "number = 30#+1"
    ),
    "a speed set above the chuck": Planted(
        (
            shop('"2500 1/min"', '"1000 1/min"'),
            job(
                'feature = "body"\n',
                'feature = "body"\nsettings = { spindle_speed = "1250 1/min", reason = "x" }\n',
            ),
        ),
        "chuck-beyond-its-limit",
        "stop",
        30,
        "settings =",
    ),
    "a spindle that follows the diameter, and no limit": Planted(
        (NO_LIMIT, FOLLOWS), "surface-speed-without-limit", "stop", 20, CHUCK, "shop.toml"
    ),
    "a recipe that sets no highest speed": Planted(
        (
            FOLLOWS,
            job('recipe = "face"\nfeature = "back-face"', 'recipe = "own-face"\nfeature = "back-face"'),
        ),
        "surface-speed-without-limit",
        "stop",
        20,
        '"own-face"',
    ),
    "a screwed chuck in reverse": Planted(
        (SCREWED, BACKWARD), "screwed-chuck-in-reverse", "stop", 30, 'spindle = "reverse"'
    ),
    "tapping under power with a screwed chuck": Planted(
        (SCREWED, job('recipe = "turn"\nfeature = "body"', 'recipe = "own-tap"\nfeature = "body"')),
        "screwed-chuck-in-reverse",
        "stop",
        30,
        '"own-tap"',
    ),
    "a nose nobody wrote down": Planted(
        (NO_NOSE,), "nose-not-on-file", "doubt", 10, 'id = "lathe"#-1', "shop.toml"
    ),
    "a nose nobody wrote down, in reverse": Planted(
        (NO_NOSE, BACKWARD), "nose-not-on-file", "stop", 30, 'id = "lathe"#-1', "shop.toml"
    ),
    "a spindle that turns one way": Planted(
        (BACKWARD, shop("reverses = true", "reverses = false")),
        "spindle-turns-one-way",
        "stop",
        30,
        'spindle = "reverse"',
    ),
    # what is on file
    "a stick-out nobody measured": Planted(
        (job('stick_out = "70 mm"\n', ""),), "holding-not-said", "doubt", 20, 'id = "A"#-1'
    ),
    "a grip diameter nobody measured": Planted(
        (job('grip_diameter = "50 mm"\n', ""),), "holding-not-said", "note", 20, 'id = "A"#-1'
    ),
    "a chuck of unknown force": Planted(
        (shop('jaw_mass = "0.55 kg"\n', ""),), "chuck-force-unknown", "note", 20, CHUCK, "shop.toml"
    ),
    "a key pulled harder than its maker says": Planted(
        (shop('"75 N·m"', '"95 N·m"'),), "chuck-pulled-too-hard", "stop", 20, '"95 N·m"', "shop.toml"
    ),
    "a force beyond the maker's": Planted(
        (shop('key_torque = "75 N·m"', 'static_force = "36 kN"'),),
        "chuck-pulled-too-hard",
        "stop",
        20,
        '"36 kN"',
        "shop.toml",
    ),
    # grip and stick-out
    "a chuck hardly pulled": Planted(
        (shop('"75 N·m"', '"12 N·m"'),), "grip-too-weak", "stop", 30, 'grip_diameter = "50 mm"'
    ),
    "a drill that turns the piece in the jaws": Planted(
        (shop('"75 N·m"', '"4 N·m"'),), "grip-too-weak", "stop", 90, 'grip_diameter = "46.5 mm"'
    ),
    "a short grip that tips without its safety": Planted(
        (job('grip_depth = "25 mm"', 'grip_depth = "24.5 mm"'),),
        "piece-tips-out",
        "doubt",
        30,
        'stick_out = "70 mm"',
    ),
    "a short grip that tips": Planted(
        (shop('"75 N·m"', '"40 N·m"'), job('grip_depth = "25 mm"', 'grip_depth = "24.5 mm"')),
        "piece-tips-out",
        "stop",
        30,
        'stick_out = "70 mm"',
    ),
    "a grip of a fifth of the stick-out": Planted(
        (job('grip_depth = "25 mm"', 'grip_depth = "14 mm"'),), "grip-short", "doubt", 20, '"14 mm"'
    ),
    "a grip by the edge": Planted(
        (job('grip_depth = "25 mm"', 'grip_depth = "2.5 mm"'),), "grip-short", "stop", 20, '"2.5 mm"'
    ),
    "a stick-out of four diameters": Planted(
        (job('stick_out = "70 mm"', 'stick_out = "188 mm"'),),
        "stick-out-without-support",
        "doubt",
        20,
        '"188 mm"',
    ),
    "a stick-out of seven diameters": Planted(
        (job('stick_out = "70 mm"', 'stick_out = "350 mm"'),),
        "stick-out-without-support",
        "stop",
        20,
        '"350 mm"',
    ),
    "a stick-out of eleven diameters with a steady": Planted(
        (job('stick_out = "70 mm"', 'stick_out = "560 mm"\nsupport = "steady"'),),
        "stick-out-beyond-support",
        "doubt",
        20,
        '"560 mm"',
    ),
    "a thin journal on a thick piece": Planted(
        (job('diameter = "46.5 mm"\nlength', 'diameter = "16 mm"\nlength'),),
        "stick-out-without-support",
        "doubt",
        30,
        'stick_out = "70 mm"',
    ),
    "more held than there is": Planted(
        (job('grip_depth = "25 mm"', 'grip_depth = "52 mm"'),),
        "holds-more-than-there-is",
        "stop",
        20,
        '"70 mm"',
    ),
    # the bar at the back
    "a bar far out at the back": Planted(
        (
            job('length = "95 mm"', 'length = "950 mm"'),
            job('stick_out = "70 mm"', 'stick_out = "70 mm"\nbar_behind = "300 mm"'),
        ),
        "bar-too-far-behind",
        "stop",
        20,
        'bar_behind = "300 mm"',
    ),
    "a bar at the back of a lathe that has no limit": Planted(
        (
            job('length = "95 mm"', 'length = "950 mm"'),
            job('stick_out = "70 mm"', 'stick_out = "70 mm"\nbar_behind = "30 mm"'),
            shop('longest_bar_behind = "120 mm"\n', ""),
        ),
        "bar-limit-unknown",
        "doubt",
        20,
        'id = "lathe"#-1',
        "shop.toml",
    ),
    "a bar of which nobody says whether it comes out": Planted(
        (job('length = "95 mm"', 'length = "950 mm"'),), "bar-behind-not-said", "doubt", 20, 'id = "A"#-1'
    ),
    # what the chuck takes
    "a piece larger than the chuck opens": Planted(
        (shop('opening = "160 mm"', 'opening = "48 mm"'),),
        "piece-larger-than-chuck",
        "stop",
        20,
        'zero = "the axis; Z on the back face"#-9',
    ),
    "a grip deeper than the jaws": Planted(
        (shop('jaw_height = "42 mm"', 'jaw_height = "24 mm"'),),
        "grip-deeper-than-jaws",
        "stop",
        20,
        'grip_depth = "25 mm"',
    ),
    "a vice on a lathe": Planted(
        (shop('kind = "chuck"', 'kind = "vice"'),),
        "holding-does-not-turn",
        "stop",
        20,
        'zero = "the axis; Z on the back face"#-9',
    ),
    "a piece held by hand": Planted(
        (shop('kind = "chuck"', 'kind = "hand"'),),
        "held-by-hand",
        "stop",
        20,
        'zero = "the axis; Z on the back face"#-9',
    ),
    # what it is gripped on
    "a stale diameter of the raw stock": Planted(
        (job('grip_diameter = "50 mm"', 'grip_diameter = "55 mm"'),),
        "grip-diameter-unlike-its-surface",
        "stop",
        20,
        '"55 mm"',
    ),
    "swapped digits in the gripped diameter": Planted(
        (job('grip_diameter = "46.5 mm"', 'grip_diameter = "64.5 mm"'),),
        "grip-diameter-unlike-its-surface",
        "stop",
        60,
        '"64.5 mm"',
    ),
    "a diameter that nothing has": Planted(
        (
            job('gripped_on = "body"', 'gripped_on = "what was turned"'),
            job('"46.5 mm"\ngrip', '"47 mm"\ngrip'),
        ),
        "grip-diameter-of-nothing",
        "doubt",
        60,
        '"47 mm"',
    ),
    "an outside gripped from inside": Planted(
        (
            job(
                'jaws = "outside"\ngripped_on = "body"',
                'jaws = "inside"\ngripped_on = "body"',
            ),
        ),
        "gripped-from-the-wrong-side",
        "stop",
        60,
        'jaws = "inside"',
    ),
    "a cut on what is gripped": Planted(
        (
            job('gripped_on = "body"', 'gripped_on = "rim"'),
            job('"46.5 mm"\ngrip', '"46 mm"\ngrip'),
        ),
        "cuts-what-it-grips",
        "stop",
        70,
        'gripped_on = "rim"',
    ),
    # bars, blades, motor
    "a bar nobody measured": Planted(
        (shop('overhang = "40 mm"\n', ""),), "bar-not-on-file", "doubt", 100, 'id = "bar-14"#-1', "shop.toml"
    ),
    "a bar of five diameters": Planted(
        (shop('overhang = "40 mm"', 'overhang = "70 mm"'),),
        "bar-too-long",
        "doubt",
        100,
        '"70 mm"',
        "shop.toml",
    ),
    "a bar of seven diameters": Planted(
        (shop('overhang = "40 mm"', 'overhang = "98 mm"'),),
        "bar-too-long",
        "stop",
        100,
        '"98 mm"',
        "shop.toml",
    ),
    "a bar that needs a larger pilot": Planted(
        (shop('smallest_bore = "18 mm"', 'smallest_bore = "22 mm"'),),
        "bar-too-big-for-the-hole",
        "stop",
        100,
        'tool = "bar-14"',
    ),
    "a bar as thick as its pilot": Planted(
        (shop('smallest_bore = "18 mm"\n', ""), shop('bar_diameter = "14 mm"', 'bar_diameter = "20 mm"')),
        "bar-too-big-for-the-hole",
        "stop",
        100,
        'tool = "bar-14"',
    ),
    "a bar that reaches further than it is long": Planted(
        (shop('reach = "38 mm"', 'reach = "83 mm"'),),
        "reach-beyond-overhang",
        "doubt",
        100,
        '"83 mm"',
        "shop.toml",
    ),
    "a bar too short for its bore": Planted(
        (shop('reach = "38 mm"', 'reach = "28 mm"'),), "bar-too-short", "stop", 100, 'tool = "bar-14"'
    ),
    "a bar too short for a bore through": Planted(
        (job('depth = "30 mm"', "through = true"),), "bar-too-short", "stop", 100, 'tool = "bar-14"'
    ),
    "a blade that does not reach the middle": Planted(
        (HAS_PARTING, shop('overhang = "28 mm"', 'overhang = "9 mm"')),
        "blade-too-short",
        "stop",
        110,
        'tool = "blade"',
    ),
    "parting inside the jaws": Planted(
        (
            HAS_PARTING,
            job('recipe = "own-parting"\nfeature = "rim"', 'recipe = "own-parting"\nfeature = "front-face"'),
        ),
        "blade-meets-jaws",
        "stop",
        110,
        'stick_out = "66 mm"',
    ),
    "a blade far out": Planted(
        (HAS_PARTING, shop('overhang = "28 mm"', 'overhang = "45 mm"')),
        "blade-too-long",
        "doubt",
        110,
        '"45 mm"',
        "shop.toml",
    ),
    "a blade very far out": Planted(
        (HAS_PARTING, shop('overhang = "28 mm"', 'overhang = "82 mm"')),
        "blade-too-long",
        "stop",
        110,
        '"82 mm"',
        "shop.toml",
    ),
    "parting on the centre": Planted(
        (HAS_PARTING, job('stick_out = "66 mm"', 'stick_out = "66 mm"\nsupport = "centre"')),
        "parting-on-a-centre",
        "stop",
        110,
        'support = "centre"',
    ),
    "a motor too weak for the cut": Planted(
        (shop('"2.2 kW"', '"0.5 kW"'),), "power-beyond-machine", "doubt", 30, "number = 30#+2"
    ),
}


@pytest.fixture
def roller(tmp_path: Path) -> Path:
    """Give the sound job of a lathe, with recipes of one's own beside it."""
    folder = tmp_path / "roller"
    (folder / "recipes").mkdir(parents=True)
    (folder / "job.toml").write_text(JOB, encoding="utf-8")
    (folder / "shop.toml").write_text(SHOP, encoding="utf-8")
    for id, does in (("own-parting", "part-off"), ("own-face", "face"), ("own-tap", "tap")):
        text = OWN_RECIPE.format(id=id, does=does)
        (folder / "recipes" / f"{id}.toml").write_text(text, encoding="utf-8")
    return folder


def plant(folder: Path, changes: tuple[tuple[str, str, str], ...]) -> OpenedJob:
    for file, old, new in changes:
        if old:
            change(folder / file, old, new)
        else:
            (folder / file).write_text((folder / file).read_text(encoding="utf-8") + new, encoding="utf-8")
    return load_job(folder)


def expected_line(text: str, mark: str) -> int:
    """Give the line that a mark names: a part of it, or one so many lines away from it (`#-1`)."""
    part, _, away = mark.partition("#")
    return line_with(text, part) + int(away or 0)


def of_these_rules(opened: OpenedJob) -> list[Finding]:
    """Give what the rules of machine, chuck, speed and holding say of a job."""
    own = [rule for rule in RULES if rule.__module__.rpartition(".")[2] in SUBJECTS]
    return [finding for rule in own for finding in rule(opened.plan)]


def test_a_sound_job_has_nothing_of_it(roller: Path) -> None:
    """Neither stop nor doubt nor note: all is on file, and it holds."""
    assert [(one.code, one.operation, one.values) for one in of_these_rules(load_job(roller))] == []


def test_parting_off_with_a_short_blade_has_nothing_of_it(roller: Path) -> None:
    """The blade that the planted faults change is sound as it is."""
    assert [one.code for one in of_these_rules(plant(roller, (HAS_PARTING,)))] == []


@pytest.mark.parametrize("example", ["carrier", "plate"])
def test_ready_jobs_have_nothing_of_it(tmp_path: Path, example: str) -> None:
    """Both ready jobs are held soundly."""
    opened = load_job(make_demo(str(tmp_path / example), example)[0])
    assert [(one.code, one.operation) for one in of_these_rules(opened)] == []


@pytest.mark.parametrize("name", PLANTED)
def test_a_planted_fault_is_told_at_its_place(roller: Path, name: str) -> None:
    """Code, severity and operation are right, the finding points at the line of the fault, and reads well."""
    planted = PLANTED[name]
    opened = plant(roller, planted.changes)
    same = [one for one in opened.plan.findings if one.code == planted.code]
    assert same, [(one.code, one.operation, one.severity) for one in opened.plan.findings]
    assert planted.operation in [one.operation for one in same]
    found = [one for one in same if one.operation == planted.operation]
    assert [one.severity for one in found] == [planted.severity]
    wanted = f"{planted.file}:{expected_line(opened.texts[planted.file], planted.line)}"
    assert place_of(found[0], opened.texts).partition(" ")[0] == wanted
    assert_numbers_open(of_these_rules(opened))
    for one in of_these_rules(opened):
        told = finding_json(one, place_of(one, opened.texts), "mm")
        for part in ("where", "what", "why", "cure"):
            assert told[part] and told[part].isprintable()
            assert "{" not in told[part], told[part]


def test_every_rule_has_a_planted_fault() -> None:
    """No rule of these subjects is without a fault that it tells."""
    planted = {one.code for one in PLANTED.values()} | {"fire-not-told"}
    for rule in RULES:
        module = inspect.getmodule(rule)
        assert module is not None
        if module.__name__.rpartition(".")[2] in SUBJECTS:
            codes = set(re.findall(r'"([a-z]+(?:-[a-z]+)+)"', inspect.getsource(rule)))
            text = inspect.getsource(module)
            helpers = set(re.findall(r"yield from (_\w+)\(", inspect.getsource(rule)))
            for helper in helpers:
                codes |= set(re.findall(r'"([a-z]+(?:-[a-z]+)+)"', _body_of(text, helper)))
            assert codes & planted, rule.__name__


def _body_of(text: str, function: str) -> str:
    return text.partition(f"def {function}(")[2].partition("\n\n\n")[0]


def test_what_was_turned_and_bored_away_need_not_be_parted(roller: Path) -> None:
    """By hand: of 46 mm outside and 25 mm inside the blade parts 10.5 mm a side, not 25 mm of the raw bar."""
    opened = plant(roller, (HAS_PARTING, shop('overhang = "28 mm"', 'overhang = "11 mm"')))
    assert [one.code for one in of_these_rules(opened)] == []
    change(roller / "shop.toml", 'overhang = "11 mm"', 'overhang = "10 mm"')
    assert [one.code for one in of_these_rules(load_job(roller))] == ["blade-too-short"]


def test_the_limit_of_the_chuck_is_asked_once_and_stops_every_cut(roller: Path) -> None:
    """One finding asks for the limit; every cut that needs a speed is stopped by the missing number."""
    findings = plant(roller, (NO_LIMIT,)).plan.findings
    assert [one.operation for one in findings if one.code == "chuck-limit-unknown"] == [20]
    stopped = {one.operation for one in findings if one.code == "not-on-file" and one.severity == "stop"}
    assert {20, 30, 60, 70, 100} <= stopped


def test_the_limit_of_the_chuck_removed_from_the_ready_job_is_a_stop(tmp_path: Path) -> None:
    """It names the first operation that cuts in that chuck, and points at the chuck."""
    folder = make_demo(str(tmp_path / "carrier"), "carrier")[0]
    text = (folder / "shop.toml").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if not line.startswith('highest_speed = "2500 1/min"')]
    (folder / "shop.toml").write_text("\n".join(lines) + "\n", encoding="utf-8")
    opened = load_job(folder)
    found = [one for one in opened.plan.findings if one.code == "chuck-limit-unknown"]
    assert [(one.severity, one.operation, one.feature) for one in found] == [("stop", 20, "back-face")]
    at = line_with(opened.texts["shop.toml"], 'id = "chuck-160"') - 1
    assert place_of(found[0], opened.texts).startswith(f"shop.toml:{at} ")


def test_reversing_a_screwed_chuck_is_a_danger_in_words(roller: Path) -> None:
    """The finding says DANGER first (HF-41)."""
    opened = plant(roller, (SCREWED, BACKWARD))
    found = next(one for one in opened.plan.findings if one.code == "screwed-chuck-in-reverse")
    assert found.what.startswith("DANGER: ")


def test_the_support_that_is_asked_for_leaves_the_tool_room(roller: Path) -> None:
    """Where the end is faced a steady is named, where the outside alone is turned a centre."""
    opened = plant(roller, (job('stick_out = "70 mm"', 'stick_out = "188 mm"'),))
    facing = next(one for one in opened.plan.findings if one.code == "stick-out-without-support")
    assert "steady" in facing.cure and "centre" not in facing.cure
    change(roller / "job.toml", 'stick_out = "188 mm"', 'stick_out = "70 mm"')
    change(roller / "job.toml", 'diameter = "46.5 mm"\nlength', 'diameter = "16 mm"\nlength')
    turning = next(one for one in load_job(roller).plan.findings if one.code == "stick-out-without-support")
    assert "centre" in turning.cure


def test_a_steady_takes_the_doubt_away(roller: Path) -> None:
    """Four diameters with a steady are usual."""
    opened = plant(roller, (job('stick_out = "70 mm"', 'stick_out = "188 mm"\nsupport = "steady"'),))
    assert not [one for one in opened.plan.findings if one.code.startswith("stick-out-")]


def test_a_slim_bore_does_not_make_a_piece_slim(roller: Path) -> None:
    """What stands out is held against the piece: a bore of 19 mm in a piece of 46.5 mm asks for no steady."""
    change(roller / "shop.toml", 'diameter = "20 mm"', 'diameter = "18 mm"')
    opened = plant(roller, (job('diameter = "25 mm"', 'diameter = "19 mm"'),))
    assert not [one for one in opened.plan.findings if one.code.startswith("stick-out-")]
    scope = opened.plan.by_number[100].scope
    assert scope["piece.ratio"].number == pytest.approx(66 / 46.5)
    assert scope["long_piece.limit"].number == pytest.approx(scope["fastest.spindle_speed"].number)


def test_a_chuck_on_the_table_of_a_mill_has_no_speed(demo: Path) -> None:
    """It stands still there: its limit is not asked for, and limits no spindle."""
    change(demo / "shop.toml", 'kind = "vice"', 'kind = "chuck"')
    opened = load_job(demo)
    assert not [one for one in opened.plan.findings if one.severity == "stop"]
    assert opened.plan.by_number[20].scope["set.spindle_speed"].plain == 540


def test_nothing_at_the_back_is_an_answer(roller: Path) -> None:
    """A long bar of which it is said that nothing comes out at the back is not asked about again."""
    opened = plant(
        roller,
        (
            job('length = "95 mm"', 'length = "450 mm"'),
            job('stick_out = "70 mm"', 'stick_out = "70 mm"\nbar_behind = "0 mm"'),
        ),
    )
    codes = {one.code for one in opened.plan.findings if one.operation == 20}
    assert not {code for code in codes if code.startswith("bar-")}


OWN_LIST = """
schema = 1
id = "setup-lathe"
title = "The piece on the lathe, in one's own words"
belongs = "setup"
machines = ["lathe"]

[[steps]]
id = "held"
kind = "item"
text = "The piece is held."
"""

MAGNESIUM = job('material = "C45"\nhardness = "200 HB"', 'material = "magnesium"')


def test_chips_that_burn_and_no_list_that_says_so(roller: Path) -> None:
    """A list of one's own without the hazard of the fire stops each setup at its first cut (HF-22)."""
    (roller / "recipes" / "setup-lathe.toml").write_text(OWN_LIST, encoding="utf-8")
    opened = plant(roller, (MAGNESIUM,))
    found = [one for one in opened.plan.findings if one.code == "fire-not-told"]
    assert [(one.severity, one.operation) for one in found] == [("stop", 20), ("stop", 60)]
    at = line_with(opened.texts["job.toml"], "number = 20") + 1
    assert place_of(found[0], opened.texts).startswith(f"job.toml:{at} ")


def test_the_lists_of_the_program_tell_of_the_fire(roller: Path, demo: Path) -> None:
    """On the lathe and on the mill the hazard stands in the list of the setup, and nothing is stopped."""
    change(demo / "job.toml", '"S235"', '"magnesium"')
    for opened in (plant(roller, (MAGNESIUM,)), load_job(demo)):
        assert not [one for one in opened.plan.findings if one.code == "fire-not-told"]


def test_steel_needs_no_word_of_fire(roller: Path) -> None:
    """A list without the hazard is enough for a material whose chips do not burn."""
    (roller / "recipes" / "setup-lathe.toml").write_text(OWN_LIST, encoding="utf-8")
    assert not [one for one in load_job(roller).plan.findings if one.code == "fire-not-told"]


def test_a_grip_from_inside_has_a_speed_to_set(roller: Path) -> None:
    """Jaws that press harder with speed give no limit of their own: the speed is set by the others."""
    change(roller / "job.toml", 'form = "round"', 'form = "tube"\nbore_diameter = "24 mm"')
    opened = plant(
        roller,
        (
            job(
                'jaws = "outside"\ngripped_on = "the raw outside"',
                'jaws = "inside"\ngripped_on = "the raw bore"',
            ),
            job('grip_diameter = "50 mm"', 'grip_diameter = "24 mm"'),
        ),
    )
    for number in (20, 30):
        scope = opened.plan.by_number[number].scope
        assert scope["hold.speed_for_grip"].plain is None
        assert scope["set.spindle_speed"].plain == 800
    assert [(one.code, one.severity) for one in of_these_rules(opened)] == []


def test_a_chuck_that_never_holds_the_cut_is_stopped_without_a_speed(roller: Path) -> None:
    """At rest already the force is too small: it is told for every cut, each at its own setup."""
    found = plant(roller, (shop('"75 N·m"', '"9 N·m"'),)).plan.findings
    assert [one.operation for one in found if one.code == "grip-too-weak"] == [20, 30, 60, 70, 90, 100]


def test_the_motor_is_held_against_the_cut_that_is_made(roller: Path) -> None:
    """From 50 mm to 46.5 mm no cut is as deep as may be: force and power go down with the depth."""
    from handwheel.plan.findings.turning import _able, _load

    operation = load_job(roller).plan.by_number[30]
    load, able = _load(operation), _able(operation)
    assert load is not None and able is not None
    speed = operation.scope["real.cutting_speed"].number
    force = operation.scope["cut.cutting_force"].number
    passes = operation.scope["cuts.passes"].plain
    assert isinstance(passes, tuple)
    deepest = max(one.depth for one in passes)
    allowed = operation.scope["start.depth_of_cut"].number
    assert load.number == pytest.approx(force * deepest / allowed * speed / 60000, rel=1e-6)
    assert able.number == pytest.approx(0.8 * 2.2, rel=1e-6)
