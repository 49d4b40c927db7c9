"""One fault of the part, its mates, its setups or its tools planted in a ready job: the check names it."""

from __future__ import annotations

import re
from functools import cache
from typing import NamedTuple

import pytest
from origins import assert_numbers_open
from slips import plan_of, texts_of

from handwheel.models.recipe import Recipe
from handwheel.plan.finding import Finding
from handwheel.plan.findings import RULES, lengths
from handwheel.plan.findings.part import run
from handwheel.plan.resolve import Plan
from handwheel.present.answers import finding_json
from handwheel.store.jobs import place_of
from handwheel.values import Value

SUBJECTS = ("mates", "seats", "lengths", "rounds", "sides", "stages", "roughing", "blades", "slips")


class Change(NamedTuple):
    """A change in the block of a file that has this id or number; without `old` the block goes."""

    file: str
    id: str
    old: str
    new: str


class Planted(NamedTuple):
    """What is done to the files, and what the check has to say: code, severity, operation, feature."""

    changes: tuple[Change, ...]
    code: str
    severity: str
    operation: int | None
    feature: str | None
    example: str = "carrier"


def job(id: str, old: str, new: str) -> Change:
    return Change("job.toml", id, old, new)


def shop(id: str, old: str, new: str) -> Change:
    return Change("shop.toml", id, old, new)


def without(number: int) -> Change:
    """Take an operation out."""
    return Change("job.toml", str(number), "", "")


def renumbered(number: int, new: int) -> Change:
    """Move an operation to another place of the order."""
    return job(str(number), f"number = {number}", f"number = {new}")


def more(text: str) -> Change:
    """Add a block at the end of the job."""
    return Change("job.toml", "", "", text)


def stop(
    code: str, operation: int | None, feature: str | None, *changes: Change, example: str = "carrier"
) -> Planted:
    return Planted(changes, code, "stop", operation, feature, example)


def doubt(
    code: str, operation: int | None, feature: str | None, *changes: Change, example: str = "carrier"
) -> Planted:
    return Planted(changes, code, "doubt", operation, feature, example)


NO_MEASURED = job("bearing", 'measured = "46.994 mm"', "")
RECESS = """
[[features]]
id = "recess"
kind = "bore"
diameter = "60 mm"
depth = "{depth}"
from = "back-face"
side = "bottom"
"""
BELOW = """
[[features]]
id = "dowel-hole"
kind = "hole"
diameter = "6 mm"
depth = "8 mm"
from = "back-face"
side = "bottom"
at = [["{x} mm", "{y} mm"]]
"""
MANY = """
[[features]]
id = "many-{side}"
kind = "hole"
diameter = "3 mm"
depth = "20 mm"
from = "{side}-face"
side = "{of}"
at = [{at}]
"""
HEAD = """
[[features]]
id = "heads"
kind = "counterbore"
of = "flange-holes"
screw = "{screw}"
"""
ROUGHED = """
[[operations]]
number = 145
setup = "B"
recipe = "bore"
feature = "bearing-seat"
tool = "boring-bar-16"
leave = "0.2 mm"
"""
TIGHT_FLAT = job("bracket-seat", 'depth = "2 mm"', 'depth = "2 mm"\nupper = "0.05 mm"\nlower = "-0.05 mm"')
ON_PARALLELS = job("C", "Z on the flange", "Z on the parallels")
NO_RING = job("ring-groove", "ring = true", "ring = false")
SEAT, SPIGOT, GROOVE, HOLES = "bearing-seat", "spigot", "ring-groove", "flange-holes"

PLANTED = {
    # mates
    "a mate that nobody measured": stop("mate-not-measured", 140, SEAT, without(130), NO_MEASURED),
    "a mate that is typed and not read": doubt("mate-is-an-estimate", 140, SEAT, without(130)),
    "a mate read after the cut": doubt("mate-is-an-estimate", 140, SEAT, renumbered(130, 145)),
    "a reading of no mate": stop("measures-no-mate", 130, None, job("130", 'mate = "bearing"', "")),
    "a mate of nothing": doubt("mate-of-nothing", 130, None, job(SEAT, 'mate = "bearing"', "")),
    "a bearing as a hole": stop(
        "mate-of-the-wrong-sort", 107, SEAT, job("bearing", 'is = "shaft"', 'is = "hole"')
    ),
    "a stale diameter": stop("mate-of-another-size", 107, SEAT, job(SEAT, '"47 mm"', '"52 mm"')),
    "a catalogue size in inches": stop(
        "mate-of-another-size", 107, SEAT, job("bearing", 'nominal = "47 mm"', 'nominal = "47 in"')
    ),
    "a catalogue size a little off": doubt(
        "mate-of-another-size", 107, SEAT, job("bearing", 'nominal = "47 mm"', 'nominal = "47.1 mm"')
    ),
    "a mate with its digits swapped": stop(
        "measured-unlike-nominal", 107, SEAT, job("bearing", '"46.994 mm"', '"49.694 mm"')
    ),
    "a mate half a turn off": doubt(
        "measured-unlike-nominal", 107, SEAT, job("bearing", '"46.994 mm"', '"46.794 mm"')
    ),
    "a mate too large for the zone": stop(
        "zone-and-mate-contradict", 140, SEAT, job("bearing", '"46.994 mm"', '"47.090 mm"')
    ),
    "a mate at the edge of the zone": doubt(
        "mate-leaves-little", 140, SEAT, job("bearing", '"46.994 mm"', '"47.007 mm"')
    ),
    "a mate read too coarsely": stop(
        "mate-not-measured-finely", 140, SEAT, shop("micrometer-50", '"0.004 mm"', '"0.04 mm"')
    ),
    "a fit that is not said": doubt(
        "fit-not-said",
        107,
        SEAT,
        job("bearing", 'min_clearance = "-6 µm"', ""),
        job("bearing", 'max_clearance = "26 µm"', ""),
    ),
    "a clearance with its digits swapped": doubt(
        "clearances-far-wider-than-zone", 107, SEAT, job("bearing", '"26 µm"', '"62 µm"')
    ),
    # seats
    "a register that bottoms": stop("register-bottoms", 104, SPIGOT, job("frame-bore", '"22 mm"', '"18 mm"')),
    "a register that nearly bottoms": doubt(
        "register-bottoms", 104, SPIGOT, job("frame-bore", '"22 mm"', '"18.3 mm"')
    ),
    "a recess ten times as deep": doubt(
        "recess-far-deeper", 104, SPIGOT, job("frame-bore", '"22 mm"', '"220 mm"')
    ),
    "a bearing wider than its seat": stop(
        "seat-too-shallow", 107, SEAT, job("bearing", 'depth = "14 mm"', 'depth = "21 mm"')
    ),
    "a seat far deeper than its bearing": doubt(
        "seat-far-deeper", 107, SEAT, NO_RING, job("bearing", 'depth = "14 mm"', 'depth = "4 mm"')
    ),
    "a shoulder over the inner ring": doubt(
        "shoulder-unlike-its-bearing", 40, "shaft-bore", job("shaft-bore", '"32 mm"', '"23 mm"')
    ),
    "a groove behind its bearing": stop(
        "groove-behind-its-mate", 150, GROOVE, job(GROOVE, '"4.1 mm"', '"5.1 mm"')
    ),
    "a ring that lets its bearing wander": doubt(
        "ring-leaves-play", 150, GROOVE, job(SEAT, 'depth = "20 mm"', 'depth = "22 mm"')
    ),
    "a ring far from its bearing": stop(
        "ring-leaves-play", 150, GROOVE, job(SEAT, 'depth = "20 mm"', 'depth = "24 mm"')
    ),
    "a groove smaller than its bore": stop(
        "groove-smaller-than-bore", 150, GROOVE, job(GROOVE, '"49.5 mm"', '"45.9 mm"')
    ),
    "a groove in the floor": stop("groove-beyond-its-bore", 150, GROOVE, job(GROOVE, '"4.1 mm"', '"19 mm"')),
    "a bore that no ring is made for": stop(
        "no-ring-for-this-bore", 150, GROOVE, job(SEAT, '"47 mm"', '"46.5 mm"')
    ),
    "a groove of another ring": stop(
        "groove-unlike-its-ring", 150, GROOVE, job(GROOVE, '"49.5 mm"', '"50.5 mm"')
    ),
    "a groove too narrow for its ring": stop(
        "groove-unlike-its-ring", 150, GROOVE, job(GROOVE, '"1.85 mm"', '"1.58 mm"')
    ),
    "a groove at the edge": stop("groove-near-the-edge", 150, GROOVE, job(GROOVE, '"4.1 mm"', '"1.4 mm"')),
    "limits of another groove": doubt(
        "groove-limits-unlike-its-ring", 150, GROOVE, job(GROOVE, '"0.25 mm"', '"0.52 mm"')
    ),
    "limits with a digit too few": doubt(
        "groove-limits-narrow", 150, GROOVE, job(GROOVE, '"0.25 mm"', '"0.025 mm"')
    ),
    # lengths
    "stock too short": stop(
        "stock-too-short", 100, "front-face", Change("job.toml", "stock", '"36 mm"', '"33 mm"')
    ),
    "stock just long enough, its ends unknown": doubt(
        "stock-hardly-long-enough",
        100,
        "front-face",
        Change("job.toml", "stock", '"36 mm"', '"33 mm"'),
        Change("job.toml", "stock", 'slant_a = "0.4 deg"', ""),
        Change("job.toml", "stock", 'slant_b = "0.3 deg"', ""),
        Change("job.toml", "stock", 'leaning = "opposite"', ""),
    ),
    "stock with its digits swapped": doubt(
        "stock-far-longer", 100, "front-face", Change("job.toml", "stock", '"36 mm"', '"63 mm"')
    ),
    "stock too thin": stop(
        "stock-too-thin", 30, "flange", Change("job.toml", "stock", '"115 mm"', '"110.2 mm"')
    ),
    "stock far too thick": doubt(
        "stock-far-thicker", 30, "flange", Change("job.toml", "stock", '"115 mm"', '"151 mm"')
    ),
    "a spigot as long as the part": stop(
        "longer-than-the-part", 104, SPIGOT, job(SPIGOT, 'length = "18 mm"', 'length = "32 mm"')
    ),
    "a band left raw": stop("raw-band-left", 30, "flange", job("flange", '"16 mm"', '"12 mm"')),
    "a cut into the jaws": stop("cut-reaches-the-jaws", 120, SPIGOT, job("B", '"24 mm"', '"15 mm"')),
    "two recesses that meet": stop("sides-break-through", 107, SEAT, more(RECESS.format(depth="13 mm"))),
    "two recesses that nearly meet": doubt(
        "thin-floor-between-sides", 107, SEAT, more(RECESS.format(depth="11.5 mm"))
    ),
    "a hole that meets one from below": stop(
        "sides-break-through", 230, "bracket-holes", more(BELOW.format(x=46, y=11))
    ),
    "a chain of lengths": stop("chain-wider-than-tolerance", 190, "bracket-seat", TIGHT_FLAT, ON_PARALLELS),
    # rounds
    "a spigot inside its groove": stop(
        "no-turned-wall", 150, GROOVE, job(SPIGOT, 'diameter = "62 mm"', 'diameter = "49 mm"')
    ),
    "a thin wall over the groove": doubt(
        "thin-turned-wall", 150, GROOVE, job(SPIGOT, 'diameter = "62 mm"', 'diameter = "53 mm"')
    ),
    "a spigot as wide as its flange": stop(
        "no-shoulder", 104, SPIGOT, job(SPIGOT, 'diameter = "62 mm"', 'diameter = "110 mm"')
    ),
    "a bore as wide as the seat before it": stop(
        "no-floor-to-seat-on", 107, SEAT, job("shaft-bore", '"32 mm"', '"47 mm"')
    ),
    "a circle into the spigot": stop("hole-runs-into", 200, HOLES, job(HOLES, '"86 mm"', '"68 mm"')),
    "a circle out of the flange": stop("hole-runs-into", 200, HOLES, job(HOLES, '"86 mm"', '"106 mm"')),
    "a circle close to the spigot": doubt("thin-wall-beside", 200, HOLES, job(HOLES, '"86 mm"', '"72 mm"')),
    "holes off their flat": stop(
        "hole-off-its-flat", 230, "bracket-holes", job("bracket-seat", '"36 mm"', '"20 mm"')
    ),
    "a circle turned onto the flat": doubt(
        "hole-across-a-flat", 200, HOLES, job(HOLES, '"30 deg"', '"3 deg"')
    ),
    "a flat into the spigot": stop(
        "flat-cuts-the-spigot", 190, "bracket-seat", job("bracket-seat", '["46 mm"', '["36 mm"')
    ),
    "a flat off the part": stop(
        "flat-off-the-part", 190, "bracket-seat", job("bracket-seat", '["46 mm"', '["64 mm"')
    ),
    "a flat of a tenth": doubt(
        "flat-hardly-deep", 190, "bracket-seat", job("bracket-seat", '"2 mm"', '"0.2 mm"')
    ),
    "an edge as a cone": doubt("edge-far-broken", 170, "seat-edge", job("seat-edge", '"0.5 mm"', '"5 mm"')),
    "an edge that stays sharp": doubt(
        "edge-hardly-broken", 170, "seat-edge", job("seat-edge", '"0.5 mm"', '"0.05 mm"')
    ),
    "a screw that does not go through": stop(
        "screw-does-not-go-through", 200, HOLES, more(HEAD.format(screw="M8"))
    ),
    "a hole wide for its screw": doubt("hole-wide-for-its-screw", 200, HOLES, more(HEAD.format(screw="M4"))),
    "a thread of one turn": doubt(
        "thread-hardly-deep", 240, "bracket-threads", job("bracket-threads", '"6 mm"', '"0.6 mm"')
    ),
    "a thread in inches": doubt(
        "thread-very-deep", 240, "bracket-threads", job("bracket-threads", '"6 mm"', '"6 in"')
    ),
    "one of two places a tenth": doubt(
        "places-look-like-a-slip", 230, "bracket-holes", job("bracket-holes", '"-11 mm"', '"-1.1 mm"')
    ),
    "a pitch with its digits swapped": doubt(
        "places-look-like-a-slip",
        40,
        "motor-holes",
        job("motor-holes", '"48 mm"', '"84 mm"'),
        example="plate",
    ),
    # sides
    "back to a setup": stop("comes-back-to-a-setup", 185, "seat-edge", renumbered(170, 185)),
    "a setup of the other side": stop(
        "worked-from-the-other-side", 190, "bracket-seat", job("C", 'side = "top"', 'side = "bottom"')
    ),
    "a pattern mirrored": stop(
        "worked-from-the-other-side",
        210,
        HOLES,
        job(HOLES, 'from = "spigot"', 'from = "back-face"'),
        job(HOLES, '"30 deg"', '"10 deg"'),
    ),
    "a side against its from": stop(
        "side-and-from-differ", 30, "flange", job("flange", 'side = "bottom"', 'side = "top"')
    ),
    "gripped on raw stock again": doubt(
        "raw-surface-again", 80, None, job("B", 'gripped_on = "flange"', 'gripped_on = "the raw outside"')
    ),
    "located on raw stock again": stop(
        "raw-surface-again", 80, None, job("B", "back-face on the steps", "raw end on the steps")
    ),
    "gripped on what is not there": stop(
        "held-on-what-is-not-there", 10, None, job("A", "the raw outside, in reversed jaws", "flange")
    ),
    "gripped on what is only roughed": doubt(
        "held-on-what-is-rough",
        80,
        None,
        job("30", 'tool = "turning-tool"', 'tool = "turning-tool"\nleave = "1 mm"'),
    ),
    "turned over by nobody": doubt("not-turned-over", 100, "front-face", without(80)),
    "turned about nothing": doubt(
        "turned-about-not-said", 100, "front-face", job("B", 'turned_about = "x"', "")
    ),
    "located on the side that is worked": stop(
        "located-on-the-side-that-is-worked", 180, None, job("C", "back-face on", "front-face on")
    ),
    "trued up before it is turned over": stop("set-before-turned-over", 90, None, renumbered(80, 95)),
    "trued up after a cut": doubt("trued-up-after-a-cut", 25, None, renumbered(10, 25)),
    "not trued up": doubt("not-trued-up", 100, "front-face", without(90)),
    "a fine bore before the heavy cuts": doubt(
        "finished-before-the-other-side-is-roughed",
        60,
        "shaft-bore",
        job("shaft-bore", "through = true", 'through = true\nzone = "H8"'),
    ),
    "true to what another holding made": stop(
        "true-features-split", 120, SPIGOT, job(SPIGOT, 'true_to = "bearing-seat"', 'true_to = "shaft-bore"')
    ),
    "an angle that is not found again": stop(
        "not-clocked", 200, HOLES, renumbered(190, 175), job("175", 'setup = "C"', 'setup = "B"')
    ),
    "burrs under the seat": doubt("burrs-before-seating", 60, "shaft-bore", without(70)),
    "a fit in hard jaws": doubt(
        "fine-surface-in-hard-jaws",
        80,
        None,
        job("flange", 'diameter = "110 mm"', 'diameter = "110 mm"\nzone = "h8"'),
    ),
    # stages
    "stock left on for good": stop(
        "left-unfinished",
        140,
        SEAT,
        job("140", 'tool = "boring-bar-16"', 'tool = "boring-bar-16"\nleave = "0.3 mm"'),
    ),
    "roughed after it was finished": stop("roughed-after-finishing", 145, SEAT, more(ROUGHED)),
    "a bore only drilled": stop("bore-never-bored", 40, "shaft-bore", without(60)),
    "the drill of another bore": stop(
        "drill-larger-than-bore",
        50,
        "shaft-bore",
        shop("drill-20", 'diameter = "20 mm"', 'diameter = "33 mm"'),
    ),
    "a drill that leaves nothing": doubt(
        "little-left-to-bore",
        50,
        "shaft-bore",
        shop("drill-20", 'diameter = "20 mm"', 'diameter = "31.8 mm"'),
    ),
    "a drill for a screw": doubt(
        "drill-far-smaller-than-bore",
        50,
        "shaft-bore",
        shop("drill-20", 'diameter = "20 mm"', 'diameter = "7 mm"'),
    ),
    "drilled after boring": stop("drilled-after-boring", 50, "shaft-bore", renumbered(60, 47)),
    "centred after drilling": stop("centred-after-drilling", 55, "shaft-bore", renumbered(40, 55)),
    "a seat roughed after its neighbour is finished": doubt(
        "finished-before-roughed", 120, SPIGOT, without(107)
    ),
    "a large drill without a pilot": doubt("much-thrust-by-hand", 50, "shaft-bore", without(45)),
    "a groove before its bore": stop("groove-before-bore", 135, GROOVE, renumbered(150, 135)),
    "a flat before its shoulder": stop("ground-not-there", 190, "bracket-seat", renumbered(120, 195)),
    "a face after its lengths": stop("face-after-lengths", 65, "back-face", renumbered(20, 65)),
    # tools of the neighbour
    "a blade too wide": stop(
        "blade-wider-than-groove",
        150,
        GROOVE,
        shop("groove-bar-185", 'width = "1.85 mm"', 'width = "2.15 mm"'),
    ),
    "a blade too narrow": doubt(
        "blade-narrower-than-groove",
        150,
        GROOVE,
        shop("groove-bar-185", 'width = "1.85 mm"', 'width = "1.6 mm"'),
    ),
    "a blade that does not reach": stop(
        "blade-does-not-reach", 150, GROOVE, shop("groove-bar-185", '"40 mm"', '"4 mm"')
    ),
    "a mill too wide": stop(
        "mill-wider-than-its-cut", 190, "bracket-seat", shop("end-mill-12", '"12 mm"', '"21 mm"')
    ),
    "a mill too thin": doubt(
        "mill-far-smaller-than-its-cut", 190, "bracket-seat", shop("end-mill-12", '"12 mm"', '"1.2 mm"')
    ),
    "a centre drill larger than the drill": stop(
        "centre-drill-of-an-odd-size", 40, "shaft-bore", shop("centre-drill-4", '"4 mm"', '"40 mm"')
    ),
    "a centre drill like a needle": doubt(
        "centre-drill-of-an-odd-size", 40, "shaft-bore", shop("centre-drill-4", '"4 mm"', '"0.4 mm"')
    ),
    "a point like a needle": doubt(
        "point-of-an-odd-angle", 40, "shaft-bore", shop("centre-drill-4", '"60 deg"', '"6 deg"')
    ),
    "a nose like a ball": doubt(
        "nose-of-an-odd-radius", 20, "back-face", shop("turning-tool", '"0.8 mm"', '"8 mm"')
    ),
    "a bar thicker than its bore": stop(
        "bar-thicker-than-its-bore", 60, "shaft-bore", shop("boring-bar-16", '"18 mm"', '"12 mm"')
    ),
    "a tool too large for its bore": stop(
        "tool-too-large-for-bore", 150, GROOVE, shop("groove-bar-185", '"24 mm"', '"50 mm"')
    ),
    "a drill too short": stop("drill-too-short", 50, "shaft-bore", shop("drill-20", '"140 mm"', '"30 mm"')),
    "a holder over the spigot": doubt(
        "holder-meets-spigot", 190, "bracket-seat", shop("end-mill-12", '"26 mm"', '"15 mm"')
    ),
    "a mill like a rod": doubt(
        "tool-of-an-odd-length", 190, "bracket-seat", shop("end-mill-12", '"26 mm"', '"260 mm"')
    ),
    "a spot drill like a plate": doubt(
        "cone-far-wider-than-rim", 220, "bracket-chamfers", shop("spot-10", '"10 mm"', '"100 mm"')
    ),
    "a tap of ten times": stop(
        "tap-of-another-diameter", 240, "bracket-threads", shop("tap-m5", '"5 mm"', '"50 mm"')
    ),
    "a tip like a needle": doubt(
        "tip-of-an-odd-size",
        70,
        "motor-chamfers",
        shop("countersink-16", '"3.2 mm"', '"0.32 mm"'),
        example="plate",
    ),
    # the shop against itself
    "a size unlike its title": doubt(
        "size-unlike-its-title", 210, HOLES, shop("drill-6-6", '"6.6 mm"', '"66 mm"')
    ),
    "a step of ten times": doubt(
        "speeds-out-of-step", 10, None, shop("lathe", '["70 1/min"', '["700 1/min"')
    ),
    "a base speed that is no step": doubt(
        "base-speed-not-a-step", 10, None, shop("lathe", 'base_speed = "70 1/min"', 'base_speed = "7 1/min"')
    ),
    "a millimetre of play": doubt("backlash-very-large", 10, None, shop("lathe", '"0.1 mm"', '"1 mm"')),
    "a caliper like a micrometer": doubt(
        "instrument-too-fine", 20, "back-face", shop("caliper", '"0.04 mm"', '"0.004 mm"')
    ),
    "readings apart further than they are out": doubt(
        "repeatability-unlike-uncertainty",
        104,
        SPIGOT,
        shop("micrometer-75", 'repeatability = "0.003 mm"', 'repeatability = "0.03 mm"'),
    ),
    "a caliper like a rule": doubt(
        "instrument-very-coarse", 30, "flange", shop("caliper", '"0.08 mm"', '"0.8 mm"')
    ),
    "two beginnings of one caliper": doubt(
        "uses-look-like-a-slip", 30, "flange", shop("caliper", '"5 mm"', '"50 mm"')
    ),
    "a dial of two thousandths": doubt("dial-very-fine", 10, None, shop("lathe", '"0.02 mm"', '"0.002 mm"')),
    "a motor of a factory": doubt("power-very-large", 10, None, shop("lathe", '"2.2 kW"', '"22 kW"')),
    "a chuck like a grinding wheel": doubt(
        "chuck-speed-very-high", 10, None, shop("chuck-160", '"2500 1/min"', '"25000 1/min"')
    ),
    "jaws outside their chuck": doubt(
        "jaws-outside-the-chuck", 10, None, shop("chuck-160", '"48 mm"', '"84 mm"')
    ),
    "a vice like a gate": doubt(
        "vice-of-odd-sizes", 10, None, shop("vice", '"130 mm"', '"1300 mm"'), example="plate"
    ),
    "a grip deeper than the jaws": stop(
        "grip-deeper-than-jaws", 10, None, shop("vice", '"40 mm"', '"4 mm"'), example="plate"
    ),
    "a grip of a hair": doubt("grip-very-short", 10, None, job("A", '"8 mm"', '"0.8 mm"'), example="plate"),
}


def changed(example: str, changes: tuple[Change, ...]) -> dict[str, str]:
    """Give the files of a ready job with the changes made, each in its own block."""
    texts = dict(texts_of(example))
    for file, id, old, new in changes:
        text = texts[file]
        if not id:
            texts[file] = text + new
            continue
        mark = next(
            one
            for one in re.finditer(r'^(?:\[stock\]|id = "[^"]+"|number = \d+)', text, re.M)
            if one[0] in ("[stock]" if id == "stock" else f'id = "{id}"', f"number = {id}")
        )
        begin = mark.start() if id == "stock" else text.rindex("[[", 0, mark.start())
        end = text.find("\n[[", mark.end())
        while end >= 0 and "." in text[end : text.index("\n", end + 1)]:
            end = text.find("\n[[", end + 1)
        block = text[begin : end if end >= 0 else len(text)]
        assert old in block, f"{old} is not in the block of {id}"
        texts[file] = text.replace(block, block.replace(old, new, 1) if old else "", 1)
    return texts


def of_these_rules(plan: Plan) -> list[Finding]:
    """Give what the rules of the part say of a job."""
    own = [rule for rule in RULES if rule.__module__.rpartition(".")[2] in SUBJECTS]
    return [finding for rule in own for finding in rule(plan)]


@pytest.mark.parametrize("example", ["carrier", "plate"])
def test_a_correct_job_has_neither_stop_nor_doubt(example: str) -> None:
    """The rules of the part are silent on both ready jobs; the room of the ring is a note."""
    told = of_these_rules(plan_of(example, {}))
    assert [(one.code, one.operation) for one in told if one.severity != "note"] == []
    notes = ["ring-room-by-tolerances"] if example == "carrier" else []
    assert [one.code for one in told] == notes


@cache
def planned(name: str) -> tuple[dict[str, str], Plan]:
    """Give the files with a planted fault and their plan, made once for all tests that look at it."""
    planted = PLANTED[name]
    texts = changed(planted.example, planted.changes)
    return texts, plan_of(planted.example, texts)


@pytest.mark.parametrize("name", PLANTED)
def test_a_planted_fault_is_told(name: str) -> None:
    """Code, severity, operation and feature are right, the place is in the file, and the texts read well."""
    planted = PLANTED[name]
    texts, plan = planned(name)
    told = of_these_rules(plan)
    found = [one for one in told if one.code == planted.code]
    assert found, [(one.code, one.operation, one.feature) for one in told]
    wanted = (planted.severity, planted.operation, planted.feature)
    assert wanted in [(one.severity, one.operation, one.feature) for one in found]
    assert_numbers_open(told)
    for one in told:
        place = place_of(one, texts)
        assert re.match(rf"{one.file}:\d+ ", place), place
        said = finding_json(one, place, "mm")
        for part in ("what", "why", "cure"):
            assert said[part] and "{" not in said[part], said[part]


def test_every_rule_of_the_part_has_a_planted_fault() -> None:
    """No rule of the part is without a fault that it tells."""
    silent = {rule.__name__ for rule in RULES if rule.__module__.rpartition(".")[2] in SUBJECTS}
    for name, planted in PLANTED.items():
        _, plan = planned(name)
        for rule in RULES:
            if rule.__name__ in silent and any(one.code == planted.code for one in rule(plan)):
                silent.discard(rule.__name__)
    assert silent == {"fine_sizes_are_read"}, "that one has a test of its own below"


def test_a_recipe_that_reads_nothing_is_told() -> None:
    """An own recipe that bores a seat without a reading is a stop: nobody would know its size."""
    own = Recipe.model_validate(
        {
            "id": "quick-bore",
            "does": "bore",
            "title": "Bore without looking",
            "features": ["bore"],
            "steps": [
                {"id": "cut", "kind": "cut", "text": "Bore it."},
                {"id": "done", "kind": "sign-off", "text": "Done."},
            ],
        }
    )
    texts = changed("carrier", (without(107), job("140", 'recipe = "bore"', 'recipe = "quick-bore"')))
    told = [one for one in plan_of("carrier", texts, own).findings if one.code == "size-never-read"]
    assert [(one.severity, one.operation, one.feature) for one in told] == [("stop", 140, SEAT)]


def test_a_symmetrical_pattern_may_be_drilled_from_either_side() -> None:
    """Through holes that fall on themselves when the part is turned over are not told as mirrored."""
    texts = changed("carrier", (job(HOLES, 'from = "spigot"', 'from = "back-face"'),))
    told = plan_of("carrier", texts).findings
    assert "worked-from-the-other-side" not in [one.code for one in told]


def test_a_hole_beside_one_from_below_is_not_over_it() -> None:
    """What lies elsewhere once the part is turned over about X leaves the floor of a hole alone."""
    told = plan_of("carrier", changed("carrier", (more(BELOW.format(x=-46, y=11)),))).findings
    assert "sides-break-through" not in [one.code for one in told]


def test_hundreds_of_holes_from_either_side_are_swept_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each pit from the top is held against the deepest below it, not against every other."""
    ran: list[str] = []

    def counted(calculation: str, **inputs: Value | str) -> dict[str, Value] | None:
        ran.append(calculation)
        return run(calculation, **inputs)

    monkeypatch.setattr(lengths, "run", counted)
    at = ", ".join(f'["{5 * (n % 20) - 47.5} mm", "{5 * (n // 20) - 47.5} mm"]' for n in range(400))
    sides = (("front", "top"), ("back", "bottom"))
    text = "".join(MANY.format(side=side, of=of, at=at) for side, of in sides)
    told = plan_of("carrier", changed("carrier", (more(text),))).findings
    through = [one.feature for one in told if one.code == "sides-break-through"]
    assert "many-front" in through
    assert ran.count("pits_over") == 1 and ran.count("floor_between") < 10


def test_a_depth_taken_from_its_own_face_is_no_chain() -> None:
    """With the zero on the shoulder a tight depth is taken there, and not through other lengths."""
    told = plan_of("carrier", changed("carrier", (TIGHT_FLAT,))).findings
    assert "chain-wider-than-tolerance" not in [one.code for one in told]


def test_a_fitted_mate_need_not_be_measured() -> None:
    """What nothing owned can measure is offered up: no stop and no doubt asks for its size."""
    fitted = job("bearing", 'nominal = "47 mm"', 'nominal = "47 mm"\nfitted = true')
    told = plan_of("carrier", changed("carrier", (without(130), NO_MEASURED, fitted))).findings
    assert not {"mate-not-measured", "mate-is-an-estimate"} & {one.code for one in told}


def test_roughing_and_finishing_are_not_the_same_operation_twice() -> None:
    """An operation that leaves stock on and one that takes it off are two of one kind, and in order."""
    rough = ROUGHED.replace("145", "135")
    told = plan_of("carrier", changed("carrier", (without(107), more(rough)))).findings
    assert not {"done-twice", "left-unfinished", "roughed-after-finishing"} & {one.code for one in told}
