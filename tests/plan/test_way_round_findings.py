"""Which way round: spindle, piece and jaws. Each fault planted is told, and its like is not."""

from __future__ import annotations

import re
from typing import NamedTuple

import pytest
from pydantic import ValidationError
from slips import plan_of, texts_of

from handwheel.plan.findings import RULES
from handwheel.plan.resolve import Plan
from handwheel.present.answers import finding_json
from handwheel.store.jobs import place_of

SUBJECTS = ("backward", "raw", "ending", "dials")


class Planted(NamedTuple):
    """A fault in the carrier: what is changed, what has to be said, and a part of the line pointed at."""

    changes: tuple[tuple[str, str], ...]
    code: str
    severity: str
    operation: int
    feature: str | None
    line: str


def texts(changes: tuple[tuple[str, str], ...]) -> dict[str, str]:
    """Give the files of the carrier with the changes made; each is at one place of one file."""
    found = dict(texts_of("carrier"))
    for old, new in changes:
        where = [name for name, text in found.items() if old in text]
        assert len(where) == 1 and found[where[0]].count(old) == 1, f"{where} {old}"
        found[where[0]] = found[where[0]].replace(old, new)
    return found


def planned(*changes: tuple[str, str]) -> Plan:
    return plan_of("carrier", texts(changes))


def codes(*changes: tuple[str, str]) -> set[str]:
    return {one.code for one in planned(*changes).findings}


def reverse(number: int) -> tuple[str, str]:
    return f"number = {number}\n", f'number = {number}\nspindle = "reverse"\n'


def hollow(size: str) -> tuple[str, str]:
    return 'form = "round"', f'form = "tube"\nbore_diameter = "{size}"'


GRIP_A = 'jaws = "outside"\ngripped_on = "the raw outside, in reversed jaws"'
INSIDE_A = (GRIP_A, GRIP_A.replace('jaws = "outside"', 'jaws = "inside"'))
RAW_BORE = (GRIP_A, 'jaws = "inside"\ngripped_on = "the raw bore"')
ON_PARALLELS = 'located_on = ["back-face on parallels"]'


def located(words: str) -> tuple[str, str]:
    return ON_PARALLELS, f'located_on = ["{words}"]'


def dropped(number: int) -> tuple[str, str]:
    """Leave an operation without a feature out."""
    text = texts_of("carrier")["job.toml"]
    begin = text.rindex("[[operations]]", 0, text.index(f"number = {number}\n"))
    end = text.find("[[operations]]", begin + 1)
    return text[begin : end if end >= 0 else None], ""


DRILL_REACH = 'length = "jobber"\nreach = "63 mm"'
SEAT_EDGE = 'id = "seat-edge"\nkind = "edge"\nof = "bearing-seat"'
TURNED_EDGE = (SEAT_EDGE, SEAT_EDGE.replace("bearing-seat", "spigot"))

TRUED_A = ('trued_on = "the raw outside"\nside = "bottom"', 'side = "bottom"')

INDICATOR = 'slide_indicator = "0.002 mm"'

SWAPPED = (
    ("number = 90\n", "number = 85\n"),
    ("number = 80\n", "number = 90\n"),
)

PLANTED = {
    "a drill that turns backward": Planted(
        (reverse(50),), "tool-turned-backward", "stop", 50, "shaft-bore", 'spindle = "reverse"'
    ),
    "a centre drill that turns backward": Planted(
        (reverse(40),), "tool-turned-backward", "stop", 40, "shaft-bore", 'spindle = "reverse"'
    ),
    "a drill on the mill that turns backward": Planted(
        (reverse(210),), "tool-turned-backward", "stop", 210, "flange-holes", 'spindle = "reverse"'
    ),
    "a turning tool of no known hand": Planted(
        (reverse(30),), "hand-of-the-tool-unknown", "doubt", 30, "flange", 'spindle = "reverse"'
    ),
    "a boring bar of no known hand": Planted(
        (reverse(60),), "hand-of-the-tool-unknown", "doubt", 60, "shaft-bore", 'spindle = "reverse"'
    ),
    "a tube as wide as its bore": Planted(
        (hollow("32 mm"),), "no-stock-in-bore", "stop", 40, "shaft-bore", 'diameter = "32 mm"'
    ),
    "jaws inside a solid bar": Planted(
        (INSIDE_A,), "gripped-inside-solid-stock", "stop", 20, "back-face", 'jaws = "inside"'
    ),
    "jaws inside the outside of a tube": Planted(
        (INSIDE_A, hollow("20 mm")), "gripped-inside-solid-stock", "stop", 20, "back-face", 'jaws = "inside"'
    ),
    "located on the face that is worked": Planted(
        (located("front-face on parallels"),),
        "located-on-the-side-that-is-worked",
        "stop",
        180,
        None,
        "front-face on parallels",
    ),
    "located on the spigot that looks up": Planted(
        (located("spigot on parallels"),),
        "located-on-the-side-that-is-worked",
        "stop",
        180,
        None,
        "spigot on parallels",
    ),
    "inspected before the burrs are off": Planted(
        (("number = 260\n", "number = 245\n"),), "inspected-too-soon", "doubt", 245, None, "[[operations]]"
    ),
    "inspected by nobody": Planted((dropped(260),), "never-inspected", "note", 250, None, "[[operations]]"),
    "said to be trued, and not trued": Planted(
        (dropped(10),), "trued-by-nobody", "doubt", 20, "back-face", 'trued_on = "the raw outside"'
    ),
    "two edges of one spigot": Planted(
        (TURNED_EDGE,), "same-edge-twice", "doubt", 170, "seat-edge", 'of = "spigot"'
    ),
    "a drill of no known reach": Planted(
        ((DRILL_REACH, 'length = "jobber"'),), "reach-not-on-file", "note", 210, "flange-holes", "[[tools]]"
    ),
    "an indicator with a digit too few": Planted(
        ((INDICATOR, 'slide_indicator = "0.0002 mm"'),),
        "indicator-of-an-odd-graduation",
        "doubt",
        10,
        None,
        "0.0002 mm",
    ),
    "trued up, then turned over": Planted(
        SWAPPED, "set-before-turned-over", "stop", 85, None, "[[operations]]"
    ),
}

SOUND = {
    "everything turns forward": ((), "tool-turned-backward"),
    "a tube with metal for every bore": ((hollow("30 mm"),), "no-stock-in-bore"),
    "a solid bar gripped from outside": ((), "gripped-inside-solid-stock"),
    "the raw bore of a tube gripped from inside": ((RAW_BORE, hollow("30 mm")), "gripped-inside-solid-stock"),
    "located in vees on an outside": (
        (located("flange in vees"),),
        "located-on-the-side-that-is-worked",
    ),
    "located on pins in holes that go through": (
        (located("flange-holes on pins"),),
        "located-on-the-side-that-is-worked",
    ),
    "raw stock in words of which one is an id": (
        (located("the raw spigot end"),),
        "located-on-the-side-that-is-worked",
    ),
    "turned over, then trued up": ((), "set-before-turned-over"),
    "inspected in the end": ((), "inspected-too-soon"),
    "inspected at all": ((), "never-inspected"),
    "trued as it is said": ((), "trued-by-nobody"),
    "nothing said of truing": ((dropped(10), TRUED_A), "trued-by-nobody"),
    "edges of one spigot on two sides": (
        ((SEAT_EDGE, SEAT_EDGE.replace("bearing-seat", "spigot") + '\nside = "bottom"'),),
        "same-edge-twice",
    ),
    "each tool measured": ((), "reach-not-on-file"),
}


@pytest.mark.parametrize("name", PLANTED)
def test_a_planted_fault_is_told(name: str) -> None:
    """Code, severity, operation and feature are right, the place is its line, and the texts read well."""
    planted = PLANTED[name]
    files = texts(planted.changes)
    told = [one for one in plan_of("carrier", files).findings if one.code == planted.code]
    wanted = (planted.severity, planted.operation, planted.feature)
    found = [one for one in told if (one.severity, one.operation, one.feature) == wanted]
    assert len(found) == 1, [(one.severity, one.operation, one.feature) for one in told]
    place = place_of(found[0], files)
    at = re.match(r"(\w+\.toml):(\d+) ", place)
    assert at and planted.line in files[at[1]].splitlines()[int(at[2]) - 1], place
    said = finding_json(found[0], place, "mm")
    for part in ("what", "why", "cure"):
        assert said[part] and "{" not in said[part], said[part]


@pytest.mark.parametrize("name", SOUND)
def test_its_like_is_not_told(name: str) -> None:
    """What only looks like the fault is let be."""
    changes, code = SOUND[name]
    assert code not in codes(*changes)


def test_every_rule_has_a_planted_fault() -> None:
    """No rule of these modules is without a fault that it tells."""
    silent = {rule.__name__ for rule in RULES if rule.__module__.rpartition(".")[2] in SUBJECTS}
    for planted in PLANTED.values():
        plan = planned(*planted.changes)
        for rule in RULES:
            if rule.__name__ in silent and any(one.code == planted.code for one in rule(plan)):
                silent.discard(rule.__name__)
    assert silent == {"dial_is_fine_enough"}, "that one has tests of its own below"


def test_words_for_raw_stock_may_hold_the_id_of_a_feature() -> None:
    """A feature called flange is not meant where the raw flange is gripped; without the word it is."""
    raw = (GRIP_A, 'jaws = "outside"\ngripped_on = "the raw flange"')
    cut = (GRIP_A, 'jaws = "outside"\ngripped_on = "the flange"')
    assert "held-on-what-is-not-there" not in codes(raw)
    assert "held-on-what-is-not-there" in codes(cut)


def test_a_feature_is_not_called_as_a_side() -> None:
    """`front` names a side of the piece: as an id it would be read as that, so the job says so at once."""
    with pytest.raises(ValidationError, match=r'features\.front\.id: "front" is the name of a side'):
        planned(
            ('id = "flange-edge"', 'id = "front"'),
            ('feature = "flange-edge"', 'feature = "front"'),
        )


CENTRE = """
[[features]]
id = "centre"
kind = "bore"
diameter = "8.5 mm"
depth = "8 mm"
from = "front-face"

[[operations]]
number = 105
setup = "B"
recipe = "centre-drill"
feature = "centre"
tool = "centre-drill-4"
"""
DRILLED = """
[[operations]]
number = 106
setup = "B"
recipe = "drill-tailstock"
feature = "centre"
tool = "drill-20"
"""
LAST = '[[operations]]\nnumber = 260\nsetup = "C"\nrecipe = "inspect"\n'


def test_a_centre_for_the_tailstock_is_no_bore_to_bore() -> None:
    """A bore that only a centre drill touches is a centre; one that was drilled as well wants boring."""
    assert "bore-never-bored" not in codes((LAST, LAST + CENTRE))
    assert "bore-never-bored" in codes((LAST, LAST + CENTRE + DRILLED))


SHAFT = """
schema = 1

[job]
title = "Pin for a gate, all sizes invented"
units = "mm"
material = "C45"

[stock]
form = "round"
diameter = "40 mm"
length = "122 mm"
slant_a = "0.3 deg"
slant_b = "0.3 deg"
leaning = "same"
skin = "0.3 mm"
basis = "measured"

[[mates]]
id = "eye"
what = "the bore of the eye of the gate"
is = "hole"
nominal = "25 mm"
measured = "25.008 mm"
min_clearance = "-15 µm"
max_clearance = "19 µm"
depth = "30 mm"

[[features]]
id = "end-face"
kind = "face"

[[features]]
id = "body"
kind = "outside"
diameter = "36 mm"
length = "60 mm"
from = "end-face"

[[features]]
id = "pin"
kind = "spigot"
diameter = "25 mm"
zone = "k6"
length = "28 mm"
from = "end-face"
mate = "eye"

[[setups]]
id = "A"
machine = "lathe"
workholding = "chuck-160"
jaws = "outside"
gripped_on = "the raw outside"
trued_on = "the raw outside"
grip_diameter = "40 mm"
grip_depth = "30 mm"
stick_out = "90 mm"
located_on = ["the sawn end in the chuck"]
zero = "the axis; Z on the end face"

[[operations]]
number = 10
setup = "A"
recipe = "true-up"

[[operations]]
number = 20
setup = "A"
recipe = "face"
feature = "end-face"
tool = "turning-tool"

[[operations]]
number = 30
setup = "A"
recipe = "turn"
feature = "body"
tool = "turning-tool"

[[operations]]
number = 40
setup = "A"
recipe = "measure-mate"
mate = "eye"

[[operations]]
number = 50
setup = "A"
recipe = "shoulder"
feature = "pin"
tool = "turning-tool"

[[operations]]
number = 60
setup = "A"
recipe = "deburr"

[[operations]]
number = 70
setup = "A"
recipe = "inspect"
"""
PART_OFF = """
[[operations]]
number = 55
setup = "A"
recipe = "part-off"
feature = "far-face"
tool = "turning-tool"
"""
FAR_FACE = """
[[features]]
id = "far-face"
kind = "face"
side = "bottom"
thickness = "38 mm"
from = "end-face"
"""


def shaft(*changes: tuple[str, str]) -> Plan:
    text = SHAFT
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return plan_of("carrier", {**texts_of("carrier"), "job.toml": text})


def test_a_piece_faced_at_one_end_needs_no_rest_for_the_other() -> None:
    """The face is only cleaned up: nothing is asked of the length that stays, all can be computed."""
    plan = shaft()
    assert "cannot-be-computed" not in {one.code for one in plan.findings}
    assert "stays" not in [step.step.id for step in plan.by_number[20].steps]
    both = planned()
    assert "stays" in [step.step.id for step in both.by_number[20].steps]


def test_a_standard_fit_is_not_too_wide_for_a_shaft() -> None:
    """H7 on k6 lets -15 to 19 µm, 2.6 times the zone; with its digits swapped, to 91 µm, it is a slip."""
    code = "clearances-far-wider-than-zone"
    assert code not in {one.code for one in shaft().findings}
    assert code in {one.code for one in shaft(('"19 µm"', '"91 µm"')).findings}


def test_a_piece_turned_from_one_end_may_stay_raw_behind() -> None:
    """With one setup the raw rest is a note; the carrier, which is turned over, is stopped."""
    plan = shaft(('kind = "face"\n', 'kind = "face"\nthickness = "120 mm"\n'))
    assert [one.severity for one in plan.findings if one.code == "raw-band-left"] == ["note"]
    turned = planned(('diameter = "110 mm"\nlength = "16 mm"', 'diameter = "110 mm"\nlength = "12 mm"'))
    assert [one.severity for one in turned.findings if one.code == "raw-band-left"] == ["stop"]


def test_much_stays_of_a_bar_that_is_parted() -> None:
    """A bar three times as long as the part is right for parting off, and doubted for facing."""
    parted = (
        ("[[setups]]", FAR_FACE + "\n[[setups]]"),
        ("[[operations]]\nnumber = 60", PART_OFF + "\n[[operations]]\nnumber = 60"),
    )
    assert "much-stock-to-face" not in {one.code for one in shaft(*parted).findings}
    faced = shaft(parted[0], (parted[1][0], parted[1][1].replace('"part-off"', '"face"')))
    assert "much-stock-to-face" in {one.code for one in faced.findings}


def test_a_centre_takes_the_force_against_tipping_away() -> None:
    """`support` of the setup reaches the grip that is needed."""
    free, held = shaft(), shaft(('stick_out = "90 mm"', 'stick_out = "90 mm"\nsupport = "centre"'))
    assert free.by_number[30].scope["need.force_tipping"].plain is not None
    assert held.by_number[30].scope["need.force_tipping"].plain is None


def coarse(*changes: tuple[str, str]) -> set[str | None]:
    """Give the features for which a dial is told to be too coarse."""
    return {one.feature for one in planned(*changes).findings if one.code == "dial-too-coarse"}


def test_a_dial_that_is_too_coarse_for_a_tight_size_is_doubted() -> None:
    """0.02 mm a line for 0.020 mm and 0.015 mm that can be proven; the wide flange is let be."""
    assert coarse((INDICATOR + " #", "#")) == {"spigot", "bearing-seat"}
    assert coarse() == set()


def test_a_dial_on_radius_counts_twice_on_diameter() -> None:
    """Lines of 0.005 mm are fine enough counted on diameter; on radius they are 0.010 mm of it."""
    fine = (INDICATOR, 'slide_indicator = "0.005 mm"')
    assert coarse(fine) == set()
    assert coarse(fine, ('reads = "diameter"', 'reads = "radius"')) == {"bearing-seat"}


def test_a_drill_before_a_reamer_is_told_of_leave() -> None:
    """A drill smaller than its bored or reamed hole says what it leaves; alone it is the wrong drill."""
    ream = '[[operations]]\nnumber = 215\nsetup = "C"\nrecipe = "ream"\nfeature = "flange-holes"\n\n'
    wide = ('diameter = "6.6 mm"\nthrough', 'diameter = "7 mm"\nthrough')
    flat = "[[operations]]\nnumber = 220\n"

    def cure(*changes: tuple[str, str]) -> str:
        found = planned(*changes).findings
        return next(one.cure for one in found if one.code == "tool-smaller-than-hole")

    assert "leave" not in cure(wide)
    assert "leave" in cure(wide, (flat, ream + flat))
