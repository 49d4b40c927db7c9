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

SUBJECTS = ("backward", "raw")


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
    "a tube wider than its seat": Planted(
        (hollow("50 mm"),), "no-stock-in-bore", "stop", 140, "bearing-seat", 'diameter = "47 mm"'
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
    at = re.match(r"job\.toml:(\d+) ", place)
    assert at and planted.line in files["job.toml"].splitlines()[int(at[1]) - 1], place
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
    assert not silent


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
