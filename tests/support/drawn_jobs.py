"""Jobs with one feature of every kind that is drawn, and a shop for them; all sizes are invented."""

from __future__ import annotations

import tempfile
from collections.abc import Collection
from pathlib import Path

from handwheel.drawing.make import drawings
from handwheel.drawing.shapes import Drawing
from handwheel.plan.resolve import Plan
from handwheel.store.jobs import load_job

__all__ = ["FLANGE", "PLANS", "PLATE", "drawn", "make_job"]

SHOP = """
schema = 1
units = "mm"
people = ["AK"]
reasons = ["trial piece"]
[keys]
guard = "0 s"
[[machines]]
id = "mill"
title = "mill"
kind = "MACHINE"
units = "mm"
speeds = ["95 1/min", "330 1/min", "870 1/min", "1400 1/min"]
rated_power = "1.1 kW"
base_speed = "95 1/min"
[[workholdings]]
id = "vice"
title = "vice"
kind = "vice"
[[tools]]
id = "spot-10"
title = "spot drill 10 mm"
kind = "spot-drill"
material = "HSS"
diameter = "10 mm"
point_angle = "90 deg"
tip_diameter = "0 mm"
[[tools]]
id = "drill-9"
title = "drill 9.0 mm"
kind = "drill"
material = "HSS"
diameter = "9 mm"
point_angle = "118 deg"
length = "jobber"
reach = "81 mm"
[[tools]]
id = "drill-6-8"
title = "drill 6.8 mm"
kind = "drill"
material = "HSS"
diameter = "6.8 mm"
point_angle = "118 deg"
length = "jobber"
reach = "69 mm"
[[tools]]
id = "tap-m8"
title = "hand tap M8"
kind = "hand-tap"
material = "HSS"
thread = "M8"
diameter = "8 mm"
lead = 2.5
tap_point = "0 mm"
[[instruments]]
id = "caliper"
title = "caliper"
uses = [
  { use = "inside", smallest = "2 mm", largest = "150 mm", uncertainty = "0.04 mm" },
  { use = "depth", smallest = "0 mm", largest = "150 mm", uncertainty = "0.04 mm" },
]
"""

PLATE = """
schema = 1
[job]
title = "Plate for a hand press"
units = "mm"
material = "S235"
[stock]
form = "plate"
length = "160 mm"
width = "120 mm"
thickness = "22 mm"
[[features]]
id = "top-face"
kind = "face"
thickness = "20 mm"
from = "bottom"
[[features]]
id = "frame-holes"
kind = "hole"
diameter = "9 mm"
through = true
from = "top-face"
circle = { count = 6, diameter = "96 mm", start = "30 deg" }
[[features]]
id = "motor-holes"
kind = "hole"
diameter = "6.8 mm"
from = "top-face"
[features.grid]
rows = 2
columns = 2
pitch_x = "48 mm"
pitch_y = "40 mm"
origin_x = "-24 mm"
origin_y = "-20 mm"
[[features]]
id = "motor-chamfers"
kind = "chamfer"
of = "motor-holes"
diameter = "8.6 mm"
included_angle = "90 deg"
[[features]]
id = "motor-threads"
kind = "thread"
of = "motor-holes"
thread = "M8"
depth = "10 mm"
[[features]]
id = "listed-holes"
kind = "hole"
diameter = "30 mm"
depth = "8 mm"
from = "top-face"
at = [["-50 mm", "0 mm"], ["50 mm", "20 mm"]]
[[setups]]
id = "A"
machine = "mill"
workholding = "vice"
gripped_on = "the long edges"
zero = "the middle"
origin = "middle"
""" + "".join(
    f"""
[[operations]]
number = {number}
setup = "A"
recipe = "{recipe}"
feature = "{feature}"
tool = "{tool}"
"""
    for number, recipe, feature, tool in (
        (10, "spot", "motor-holes", "spot-10"),
        (20, "drill", "frame-holes", "drill-9"),
        (30, "drill", "motor-holes", "drill-6-8"),
        (40, "tap-by-hand", "motor-threads", "tap-m8"),
        (50, "drill", "listed-holes", "drill-9"),
    )
)
"""Holes on a circle, in a grid with chamfer and thread, and listed one by one."""

FLANGE = """
schema = 1
[job]
title = "Flange of a hand press a[/b]c"
units = "mm"
material = "C45"
[stock]
form = "round"
diameter = "115 mm"
length = "42 mm"
[[mates]]
id = "bearing"
what = "ball bearing"
is = "shaft"
nominal = "47 mm"
[[features]]
id = "top-face"
kind = "face"
thickness = "38 mm"
from = "bottom"
[[features]]
id = "rim"
kind = "outside"
diameter = "110 mm"
length = "30 mm"
[[features]]
id = "register"
kind = "spigot"
diameter = "72 mm"
length = "6 mm"
zone = "h7"
[[features]]
id = "seat"
kind = "bore"
diameter = "47 mm"
zone = "J7"
depth = "18 mm"
mate = "bearing"
[[features]]
id = "passage"
kind = "bore"
diameter = "32 mm"
through = true
[[features]]
id = "ring-groove"
kind = "groove"
of = "seat"
diameter = "49.5 mm"
width = "1.85 mm"
position = "2.5 mm"
ring = true
[[features]]
id = "register-edge"
kind = "edge"
of = "register"
leg = "1 mm"
[[features]]
id = "screws"
kind = "hole"
diameter = "6.6 mm"
through = true
from = "register"
circle = { count = 6, diameter = "90 mm", start = "30 deg" }
[[features]]
id = "heads"
kind = "counterbore"
of = "screws"
diameter = "11 mm"
depth = "6.4 mm"
[[features]]
id = "sinks"
kind = "countersink"
of = "screws"
diameter = "13.4 mm"
included_angle = "90 deg"
[[features]]
id = "pads"
kind = "flat"
from = "top-face"
depth = "2 mm"
width = "20 mm"
length = "14 mm"
at = ["45 mm", "0 mm"]
[[features]]
id = "wrench-flat"
kind = "flat"
across = "104 mm"
width = "34 mm"
length = "12 mm"
[[features]]
id = "key-slot"
kind = "slot"
width = "8 mm"
length = "24 mm"
depth = "4 mm"
from = "top-face"
at = ["-44 mm", "0 mm"]
[[features]]
id = "drain"
kind = "slot"
width = "6 mm"
length = "15 mm"
through = true
angle = "30 deg"
at = ["0 mm", "-48 mm"]
[[setups]]
id = "A"
machine = "mill"
workholding = "vice"
gripped_on = "raw outside diameter"
zero = "the middle, Z on the face"
""" + "".join(
    f"""
[[operations]]
number = {number}
setup = "A"
recipe = "{recipe}"
feature = "{feature}"
"""
    for number, recipe, feature in (
        (10, "face", "top-face"),
        (20, "turn-outside", "rim"),
        (30, "turn-outside", "register"),
        (40, "bore-hole", "seat"),
        (50, "bore-hole", "passage"),
        (60, "groove-bore", "ring-groove"),
        (70, "break-edge", "register-edge"),
        (80, "drill", "screws"),
        (90, "sink", "heads"),
        (100, "sink", "sinks"),
        (110, "mill-flat", "pads"),
        (120, "mill-flat", "wrench-flat"),
        (130, "mill-slot", "key-slot"),
        (140, "mill-slot", "drain"),
    )
)
"""A flange with every kind of feature; most of its recipes do not exist, which hinders no drawing."""


def make_job(folder: Path, text: str, *, machine: str = "mill") -> Path:
    """Write a job and its shop into a new folder; give the folder."""
    folder.mkdir(parents=True)
    (folder / "job.toml").write_text(text, encoding="utf-8")
    (folder / "shop.toml").write_text(SHOP.replace("MACHINE", machine), encoding="utf-8")
    return folder


def drawn(
    plan: Plan, number: int, key: str = "section", position: int = 0, done: Collection[int] = ()
) -> Drawing:
    """Give one drawing of an operation by its key."""
    found = {one.key: one for one in drawings(plan, plan.by_number[number], position, done)}
    return found[key]


def _plans() -> tuple[Plan, ...]:
    with tempfile.TemporaryDirectory() as name:
        jobs = (("plate", PLATE, "mill"), ("flange", FLANGE, "lathe"))
        return tuple(load_job(make_job(Path(name) / id, text, machine=kind)).plan for id, text, kind in jobs)


PLANS = _plans()
"""The plate on a mill, the flange on a lathe."""
