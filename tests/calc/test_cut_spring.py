"""What the next cut rests on: offsets, the line through them, the dial not to pass, one cut or two."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from handwheel.calc import CATALOGUE
from handwheel.calc.cut_spring import (
    Offset,
    Reading,
    cut_line,
    cut_offsets,
    cut_spring,
    dial_for_cut,
    furthest_dial,
)
from handwheel.calc.next_cut import cut_zone, next_cut, planned_cut
from handwheel.calc.one_cut_or_two import one_cut_or_two
from handwheel.cli import main

WAYS = st.sampled_from([-1, 1])
DEPTHS = st.lists(st.floats(0.05, 0.8), min_size=1, max_size=4)
ZERO = st.floats(-0.1, 0.1)
SHARE = st.floats(0, 0.4)


def read(way: int, depths: list[float], zero: float, share: float) -> tuple[Reading, ...]:
    """Read cuts from 50 mm that follow the law without noise."""
    size, rows = 50.0, []
    for depth in depths:
        size += way * depth
        rows.append(Reading(size + way * (zero + share * depth), size))
    return tuple(rows)


@given(WAYS, DEPTHS, ZERO, SHARE)
def test_offsets_are_the_law_that_made_them(way: int, depths: list[float], zero: float, share: float) -> None:
    """Each cut is found again with its metal, and short by zero error and share."""
    found = cut_offsets(readings=read(way, depths, zero, share), start=50)
    assert [one.metal for one in found.cuts] == pytest.approx(depths)
    assert [one.short for one in found.cuts] == pytest.approx(
        [zero + share * one for one in depths], abs=1e-9
    )
    assert (found.idle, found.way, found.supposed, found.most) == ((), way, 0.15, 0.5)


@given(st.floats(0.05, 0.8), st.floats(1.3, 4), ZERO, SHARE)
def test_a_line_without_suppositions_goes_through_two_cuts(
    depth: float, times: float, zero: float, share: float
) -> None:
    """With a spread that supposes next to nothing the two cuts alone settle zero error and share."""
    rows = tuple(Offset(metal, zero + share * metal) for metal in (depth, times * depth))
    found = cut_line(cuts=rows, metal=depth, spread=1000)
    assert found.share == pytest.approx(share, abs=1e-5)
    assert found.zero == pytest.approx(zero, abs=1e-5)
    assert depth <= found.mean <= times * depth


@given(DEPTHS, ZERO, SHARE, st.floats(0.05, 0.8))
def test_who_knows_more_is_surer(depths: list[float], zero: float, share: float, metal: float) -> None:
    """The touch-off makes the line surer, and a known share surer still."""
    rows = tuple(Offset(one, zero + share * one) for one in depths)
    alone, told = (cut_line(cuts=rows, metal=metal, touch_spread=one) for one in (None, 0.12))
    assert told.u_line <= alone.u_line * (1 + 1e-9) and told.u_share <= alone.u_share * (1 + 1e-9)
    assert alone.u_alike <= alone.u_line * (1 + 1e-9)
    found = cut_spring(readings=read(1, depths, zero, share), start=50, metal=metal)
    assert found.alike <= found.without_touch * (1 + 1e-9)
    assert found.uncertainty <= found.without_touch * (1 + 1e-9)
    assert 0 <= found.spring <= 0.5


@given(WAYS, DEPTHS, ZERO, SHARE, st.floats(0.02, 1))
def test_a_limit_further_on_lets_the_dial_go_further(
    way: int, depths: list[float], zero: float, share: float, room: float
) -> None:
    """The furthest dial goes with the limit, and a hole is a shaft in the mirror."""
    rows = read(way, depths, zero, share)
    limits = (rows[-1].got + way * room, rows[-1].got + way * (room + 0.1))
    near, far = (furthest_dial(readings=rows, start=50, far_limit=one, metal=room) for one in limits)
    assert way * (far - near) >= 0.1 * (1 - 1e-9)
    mirrored = read(-way, depths, zero, share)
    limit = mirrored[-1].got - way * room
    other = furthest_dial(readings=mirrored, start=50, far_limit=limit, metal=room)
    assert way * (near - 50) == pytest.approx(way * (50 - other), abs=1e-6)


@given(WAYS, DEPTHS, ZERO, SHARE, st.floats(0.05, 0.5))
def test_a_dial_is_never_past_the_furthest(
    way: int, depths: list[float], zero: float, share: float, metal: float
) -> None:
    """The dial for a cut stays on the near side of the furthest, and removes no more than was asked for."""
    rows = read(way, depths, zero, share)
    limit = rows[-1].got + way * (metal + 0.01)
    found = dial_for_cut(readings=rows, start=50, far_limit=limit, metal=metal)
    assert found.furthest is not None and way * (found.furthest - found.dial) >= -1e-9
    assert way * (found.size - rows[-1].got) <= metal * (1 + 1e-9)


def test_a_dial_that_reached_no_metal_lowers_the_spring() -> None:
    """0.1 mm beyond a light cut took nothing: there is less spring than was supposed."""
    rows = (Reading(29.6, 29.66), Reading(29.56, 29.658))
    found = cut_offsets(readings=rows, start=30)
    assert found.idle[0] == pytest.approx((0.002, 0.098))
    assert (found.most, found.supposed, found.spread) == (0.02, 0.01, 0.005)
    assert cut_spring(readings=rows, start=30, metal=0.2).spring <= 0.02


@given(st.floats(0.02, 2), st.floats(0.02, 2), st.floats(0.001, 0.2))
def test_two_cuts_are_about_halves_and_none_is_too_thin(left: float, last: float, thin: float) -> None:
    """The first of two takes 42 to 55 parts of a hundred; where half is too thin there is one."""
    found = one_cut_or_two(left=left, room=0.02, depths=(last,), thinnest=thin)
    if found.cuts == 2:
        assert left / 2 >= thin and 0.42 * left * (1 - 1e-9) <= found.metal <= 0.55 * left * (1 + 1e-9)
        assert not last / 1.8 < left < last * 1.8 and found.why
    else:
        assert found.metal == left
        assert last / 1.8 <= left <= last * 1.8 or left / 2 < thin


@given(
    st.floats(0.02, 2),
    DEPTHS,
    st.floats(-0.01, 0.05),
    st.floats(0.002, 0.1),
    st.floats(0.1, 1),
    st.floats(0.001, 0.2),
    st.floats(0.001, 0.3),
)
def test_both_routes_choose_alike(
    left: float, depths: list[float], room: float, free: float, part: float, thin: float, most: float
) -> None:
    """Rule by rule, or by the bounds within which a cut is a copy: the same cut."""
    given_: dict[str, Any] = {
        "left": left,
        "room": room,
        "depths": tuple(depths),
        "without_touch": free,
        "alike": free * part,
        "thinnest": thin,
        "most": most,
    }
    second = CATALOGUE["one_cut_or_two"].second
    assert callable(second)
    one, other = one_cut_or_two(**given_), second(**given_)
    assert (one.cuts, one.why) == (other.cuts, other.why)
    assert one.metal == pytest.approx(other.metal)


@given(WAYS, DEPTHS, ZERO, SHARE, st.floats(0.03, 0.8))
def test_next_cut_is_its_plan_in_its_zone(
    way: int, depths: list[float], zero: float, share: float, left: float
) -> None:
    """Asked alone, zone and plan give what the next cut says."""
    rows = read(way, depths, zero, share)
    now, dial = rows[-1].got, rows[-1].dial
    aim = now + way * left
    given_: dict[str, Any] = {"aim": aim, "current": now, "dial": dial, "start": 50.0, "readings": rows}
    zone, whole = cut_zone(**given_), next_cut(**given_)
    assume(not zone.done and whole.cuts)
    plan = planned_cut(readings=zone.rows, start=50, aim=aim, room=zone.room, far_limit=zone.far_limit)
    assert (whole.target, whole.expected) == pytest.approx((plan.dial, plan.size))
    assert whole.cuts == plan.cuts
    assert whole.uncertainty == pytest.approx(plan.uncertainty)
    assert (whole.planned, whole.furthest) == pytest.approx((plan.metal, plan.furthest))


ROW = '[{"dial":46.5,"got":46.46}]'
IDLE = '[{"dial":46.5,"got":46}]'


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("cut_offsets readings=[] start=46", "readings is empty; expected at least one row"),
        (f"cut_spring readings={IDLE} start=46 metal=0.4", "expected sizes that go on from start, such as"),
        (
            f"furthest_dial readings={IDLE} start=46 far_limit=47 metal=0.4",
            "there is no reading after which metal was gone",
        ),
        ('cut_line cuts=[{"metal":0.4,"short":0.04}] metal=-1', "metal is -1 mm; it has to be above 0"),
        ('cut_line cuts=[{"metal":0.4,"short":0.04}] metal=1 spread=0', "spread is 0; it has to be above 0"),
        ('cut_line cuts=[{"metal":0.4}] metal=1', "short"),
        ("one_cut_or_two left=-0.2 room=0.01", "left is -0.2 mm; it has to be above 0"),
        ("one_cut_or_two left=0.2 room=0.01 depths=[]", "depths"),
        (
            f"planned_cut readings={ROW} start=46 aim=46.4 room=0.01 far_limit=46.5",
            "is at the aim of 46.4 mm or past it; expected readings that stop short of it",
        ),
        (
            f"cut_zone aim=47 current=46.46 dial=46.5 start=46 readings={ROW} lower_limit=47.1",
            "has to lie between the limits",
        ),
        (f"cut_zone aim=46 current=46.46 dial=46.5 start=46 readings={ROW}", "start and aim are both 46 mm"),
    ],
)
def test_what_cannot_be_is_told_in_one_line(
    capsys: pytest.CaptureFixture[str], words: str, said: str
) -> None:
    assert main(["calc", *words.split()]) == 2
    out, err = capsys.readouterr()
    assert out == "" and err.count("\n") == 1
    assert said in err
    assert "next_cut" not in err
