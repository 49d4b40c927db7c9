"""Plans of cuts and what the dials show: they add up, end in two cuts alike, and rub nowhere."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from handwheel.calc import CATALOGUE, CalculationError
from handwheel.calc.passes import (
    Pass,
    Passes,
    dial_setting,
    dial_settings,
    pass_plan,
    rough_settings,
    slide_setting,
    slide_size,
)
from handwheel.cli import main

SIZES = st.floats(5, 200)
STOCK = st.floats(0.001, 20)
DEEP = st.floats(0.2, 3)
MODES = st.sampled_from(["diameter", "radius", "length"])
WAYS = st.sampled_from([-1, 1])
COUNTS_ON = st.sampled_from(["diameter", "radius"])


def plan(start: float, target: float, deep: float, thin: float, leave: float, mode: str) -> Passes:
    return pass_plan(
        start=start, target=target, max_depth=deep, min_depth=thin, finish_allowance=leave, mode=mode
    )


@given(SIZES, STOCK, WAYS, DEEP, st.floats(0.01, 0.15), st.floats(0, 1), MODES)
def test_a_plan_takes_off_the_whole_and_ends_in_two_cuts_alike(
    start: float, stock: float, way: int, deep: float, thin: float, leave: float, mode: str
) -> None:
    """All depths are what is to come off; none is too deep or too thin; sizes go one way to the target."""
    assume(start + way * stock > 0)
    sides = 2 if mode == "diameter" else 1
    target = start + way * stock
    answer = plan(start, target, deep, thin, leave, mode)
    depths = [one.depth for one in answer.passes]
    each = abs(start - target) / sides
    assert sum(depths) == pytest.approx(each)
    assert answer.passes[-1].size == target
    assert max(depths) <= deep * (1 + 1e-8) or each < 2 * thin
    if each >= 2 * thin:
        assert min(depths) >= thin * (1 - 1e-8)
        assert depths[-1] == pytest.approx(depths[-2])
        assert answer.passes[-2].measure_after
        assert answer.before_last == pytest.approx(target - way * sides * depths[-1])
    sizes = [start, *(one.size for one in answer.passes)]
    assert all(way * (after - before) > 0 for before, after in pairwise(sizes))


@given(SIZES, STOCK, DEEP, st.floats(0, 1))
def test_a_hole_is_a_shaft_in_the_mirror(start: float, stock: float, deep: float, leave: float) -> None:
    """The same stock goes in the same depths, inside or outside."""
    assume(start > stock)
    one, other = (plan(start, start + way * stock, deep, 0.05, leave, "length") for way in (-1, 1))
    assert sum(row.depth for row in one.passes) == pytest.approx(sum(row.depth for row in other.passes))
    if one.count == other.count:  # the last bit of the stock may make one cut more
        assert [row.depth for row in one.passes] == pytest.approx([row.depth for row in other.passes])
        assert [row.kind for row in one.passes] == [row.kind for row in other.passes]


@given(SIZES, STOCK, DEEP, st.integers(1, 5))
def test_spring_passes_take_nothing_and_stand_at_the_end(
    start: float, stock: float, deep: float, spring: int
) -> None:
    """A spring pass repeats the last size; the plan before it stays as it is."""
    given_: dict[str, Any] = {
        "start": start,
        "target": start + stock,
        "max_depth": deep,
        "min_depth": 0.05,
        "finish_allowance": 0.2,
        "mode": "diameter",
    }
    bare, more = pass_plan(**given_), pass_plan(**given_, spring_passes=spring)
    assert more.passes[: bare.count] == bare.passes
    assert [(one.depth, one.size) for one in more.passes[bare.count :]] == [(0, start + stock)] * spring


def rough(start: float, steps: list[float], way: int) -> tuple[Pass, ...]:
    """Put rough cuts of so much on the size one after the other."""
    size, rows = start, []
    for number, step in enumerate(steps, start=1):
        size += way * step
        rows.append(Pass(number, size, step / 2, "rough", False))
    return (*rows, Pass(len(steps) + 1, size + way * 0.2, 0.1, "finish", True))


STEPS = st.lists(st.floats(0.05, 4), min_size=1, max_size=8)


@given(st.floats(50, 150), STEPS, WAYS, COUNTS_ON)
def test_advances_add_up_to_the_way_of_the_slide(
    start: float, steps: list[float], way: int, counts_on: str
) -> None:
    """From where it begins to where it ends the slide goes by the advances, and each stands at its size."""
    passes = rough(start, steps, way)
    answer = rough_settings(start=start, passes=passes, counts_on=counts_on)
    assert sum(one.advance for one in answer.cuts) == pytest.approx(abs(answer.end - answer.begin))
    for row, one in zip(answer.cuts, passes, strict=False):
        assert slide_size(setting=row.set_to, counts_on=counts_on) == pytest.approx(one.size)
        assert slide_setting(size=one.size, counts_on=counts_on) == pytest.approx(row.set_to)


@given(
    st.floats(50, 150),
    STEPS,
    WAYS,
    COUNTS_ON,
    st.sampled_from([1.0, 2.0, 2.5, 3.0, 4.0, 5.0]),
    st.sampled_from([0.01, 0.02, 0.025, 0.05]),
)
def test_dials_stand_on_a_line_and_leave_metal_on(
    start: float, steps: list[float], way: int, counts_on: str, turn: float, line: float
) -> None:
    """Turns and dial are a whole number of lines, less than a line short of the size and not past it."""
    passes = rough(start, steps, way)
    answer = dial_settings(start=start, passes=passes, counts_on=counts_on, dial_turn=turn, graduation=line)
    share = 0.5 if counts_on == "radius" else 1.0
    wound = 0.0
    for row, one in zip(answer.cuts, passes, strict=False):
        wound += row.advance
        assert row.turns * turn + row.dial == pytest.approx(wound)
        assert 0 <= row.dial < turn
        assert wound / line == pytest.approx(round(wound / line), abs=1e-6)
        short = abs(one.size - start) * share - wound
        assert -2e-6 * line <= short < line * (1 + 1e-6)
    assert (answer.turns, answer.shows) == (answer.cuts[-1].turns, answer.cuts[-1].dial)
    assert answer.end == pytest.approx(start * share + way * wound)


@given(st.integers(0, 20000), st.integers(0, 20000), COUNTS_ON, st.sampled_from(["1", "2", "2.5", "4", "5"]))
def test_a_dial_is_what_exact_fractions_say(size: int, touched: int, counts_on: str, turn: str) -> None:
    """Of sizes in hundredths the quotient and the rest are those of whole fractions."""
    wound = abs(Fraction(size, 100) - Fraction(touched, 100)) / (2 if counts_on == "radius" else 1)
    turns, shows = divmod(wound, Fraction(turn))
    answer = dial_setting(size=size / 100, touched=touched / 100, counts_on=counts_on, dial_turn=float(turn))
    assert answer.turns == turns
    assert answer.shows == pytest.approx(float(shows), abs=1e-7)


@given(st.floats(0.5, 60))
def test_a_guiding_spot_is_no_wider_than_its_hole(diameter: float) -> None:
    """It is half the hole or 2 mm, and never more than the hole."""
    spot = CATALOGUE["guide_spot"].function(hole_diameter=diameter)
    assert min(2, diameter) <= spot <= min(diameter, max(2, diameter / 2))


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (
            "pass_plan start=22 target=20 max_depth=0.1 min_depth=0.2 finish_allowance=0.2 mode=length",
            "expected the thinnest cut below the deepest, such as 0.1 mm and 1 mm",
        ),
        (
            "pass_plan start=500 target=0 max_depth=0.1 min_depth=0.05 finish_allowance=0.2 mode=length",
            "look at the two sizes, or cut deeper",
        ),
        (
            "pass_plan start=22 target=-1 max_depth=1 min_depth=0.1 finish_allowance=0.2 mode=length",
            "target is -1 mm; it has to be",
        ),
        ("rough_settings start=22 counts_on=radius passes=[]", "passes is empty"),
        ("dial_setting size=20 touched=22 counts_on=diameter dial_turn=0", "dial_turn is 0 mm; it has to be"),
        ("dial_setting size=20 touched=22 counts_on=side dial_turn=4", "counts_on"),
        ("guide_spot hole_diameter=-3", "hole_diameter is -3 mm; it has to be above 0"),
    ],
)
def test_what_cannot_be_is_told_in_one_line(
    capsys: pytest.CaptureFixture[str], words: str, said: str
) -> None:
    assert main(["calc", *words.split()]) == 2
    out, err = capsys.readouterr()
    assert out == "" and err.count("\n") == 1
    assert said in err


def test_nothing_to_take_off_and_a_hair_are_told() -> None:
    """No stock is no cut; less than the thinnest cut is one that may only rub."""
    none = plan(20, 20, 1, 0.1, 0.2, "length")
    assert none.count == 0 and none.warnings == ("there is nothing to take off",)
    hair = plan(20.05, 20, 1, 0.1, 0.2, "length")
    assert hair.count == 1 and "may only rub" in hair.warnings[0]


def test_more_cuts_than_a_person_makes_are_refused() -> None:
    with pytest.raises(CalculationError, match="more than 500 cuts"):
        plan(200, 0, 0.1, 0.05, 0.2, "length")
