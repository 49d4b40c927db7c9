"""Dividing a round on circles of holes, and the round that a polygon is milled from."""

from fractions import Fraction
from math import cos, hypot, pi, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc import CalculationError
from handwheel.calc.dividing import dividing, polygon_stock

PLATES = (15.0, 16, 17, 18, 19, 20, 21, 23, 27, 29, 31, 33, 37, 39, 41, 43, 47, 49)
plates = st.lists(st.integers(10, 66).map(float), min_size=1, max_size=8).map(tuple)
ratios = st.sampled_from([5.0, 40, 60, 72, 90, 180])


@given(st.integers(2, 300), plates, ratios)
def test_the_crank_ends_in_the_nearest_hole_there_is(
    divisions: int, circles: tuple[float, ...], ratio: float
) -> None:
    """No hole of any circle comes nearer to the turn wanted, and there are fewer holes than on the circle."""
    if ratio * max(circles) < divisions:
        return
    found = dividing(divisions=divisions, plates=circles, worm_ratio=ratio)
    wanted = Fraction(ratio) / divisions
    off = abs(found.turns + Fraction(found.holes, found.plate) - wanted)
    nearest = min(
        abs(Fraction(holes, int(circle)) - wanted)
        for circle in circles
        for holes in (int(wanted * int(circle)), int(wanted * int(circle)) + 1)
    )
    assert off == nearest
    assert found.plate in circles and 0 <= found.holes < found.plate


@given(st.integers(2, 300), plates, ratios)
def test_what_each_division_is_out_adds_up_all_round(
    divisions: int, circles: tuple[float, ...], ratio: float
) -> None:
    """The angle of a division is its share of the round and its error; all of them are the round again."""
    if ratio * max(circles) < divisions:
        return
    found = dividing(divisions=divisions, plates=circles, worm_ratio=ratio)
    assert found.angle == pytest.approx(360 / divisions + found.error, abs=1e-12)
    assert divisions * found.angle == pytest.approx(360 + found.error_all_round)
    assert bool(found.warnings) == (found.error != 0)


@given(st.integers(2, 400))
def test_a_circle_with_as_many_holes_as_divisions_always_divides(divisions: int) -> None:
    found = dividing(divisions=divisions, plates=(float(divisions),))
    assert found.error == 0 and found.warnings == ()
    assert (found.turns * divisions + found.holes) == 40


@given(st.integers(2, 120), plates, st.floats(10, 66).map(round).map(float))
def test_one_more_circle_never_makes_it_worse(
    divisions: int, circles: tuple[float, ...], one_more: float
) -> None:
    few = dividing(divisions=divisions, plates=circles)
    more = dividing(divisions=divisions, plates=(*circles, one_more))
    assert abs(more.error) <= abs(few.error) + 1e-12


def test_of_circles_that_divide_alike_the_largest_is_taken() -> None:
    """Its holes are furthest apart from the shaft, so that a slip in one is the least."""
    assert dividing(divisions=6, plates=PLATES)[:3] == (6, 26, 39)
    assert dividing(divisions=6, plates=tuple(reversed(PLATES)))[:3] == (6, 26, 39)


@pytest.mark.parametrize(
    ("plates", "divisions", "said"),
    [
        ((15.5,), 7, "a circle of 15.5 holes; expected whole numbers such as 15"),
        ((15.0, 20.0), 801, "801 divisions are more than the 800 .* expected fewer, or a circle with more"),
    ],
)
def test_what_cannot_be_divided_is_refused(plates: tuple[float, ...], divisions: int, said: str) -> None:
    with pytest.raises(CalculationError, match=said):
        dividing(divisions=divisions, plates=plates)


@given(st.integers(3, 40), st.floats(0.5, 300))
def test_the_corners_of_the_polygon_lie_on_the_round(sides: int, across: float) -> None:
    """Drawn in its round with one flat below, the polygon is as wide as asked for, from the flat up."""
    radius = polygon_stock(sides=sides, across_flats=across) / 2
    turns = [2 * pi * (one + 0.5) / sides for one in range(sides)]
    heights = [-radius * cos(turn) for turn in turns]
    assert max(heights) - min(heights) == pytest.approx(across)
    assert all(hypot(radius * sin(turn), radius * cos(turn)) == pytest.approx(radius) for turn in turns)


@given(st.integers(3, 60), st.floats(1, 300))
def test_two_more_sides_take_less_round(sides: int, across: float) -> None:
    """The more sides of one kind, the nearer the round is to the width; it is never below it."""
    round_ = polygon_stock(sides=sides, across_flats=across)
    assert across < polygon_stock(sides=sides + 2, across_flats=across) < round_
