"""A job with one feature of every kind that is drawn, all sizes invented, and how it is opened in memory."""

from __future__ import annotations

from pathlib import Path

from handwheel.demo import make_demo

__all__ = ["FLANGE", "make_flange"]

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
"""A flange with every kind of feature; most of its recipes do not exist, which is no hindrance to a drawing."""


def make_flange(folder: Path, text: str = FLANGE, *, lathe: bool = True) -> Path:
    """Write the flange into a new folder, in the shop of the example."""
    made = make_demo(str(folder), "plate")[0]
    (made / "job.toml").write_text(text, encoding="utf-8")
    shop = made / "shop.toml"
    if lathe:
        words = shop.read_text(encoding="utf-8").replace('kind = "mill"', 'kind = "lathe"')
        shop.write_text(words, encoding="utf-8")
    return made
