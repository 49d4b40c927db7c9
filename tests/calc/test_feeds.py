from math import acos, isclose, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc import CalculationError
from handwheel.calc.feeds import chip_thinning, milling_feed, turning_feed

feeds = st.floats(0.005, 2)
turns = st.floats(10, 30000)


@given(feeds, st.integers(1, 40), turns)
def test_one_tooth_after_the_other_makes_the_feed_of_a_revolution(feed: float, teeth: int, n: float) -> None:
    by_teeth = milling_feed(feed_per_tooth=feed / teeth, teeth=teeth, spindle_speed=n)
    assert isclose(by_teeth, turning_feed(feed=feed, spindle_speed=n), rel_tol=1e-12)


@given(st.floats(0.0005, 0.1), turns)
def test_inches_per_minute_are_the_same_feed_rate(inches: float, n: float) -> None:
    assert isclose(turning_feed(feed=inches * 25.4, spindle_speed=n) / 25.4, inches * n, rel_tol=1e-12)


@given(st.floats(2, 200), st.floats(0.01, 1), st.floats(0.01, 0.5))
def test_the_thickest_chip_on_the_way_of_a_tooth_is_the_one_wanted(
    diameter: float, share: float, wanted: float
) -> None:
    answer = chip_thinning(diameter=diameter, width_of_cut=share * diameter, chip_thickness=wanted)
    end = acos(1 - 2 * share)
    thickest = max(answer.feed_per_tooth * sin(end * step / 2000) for step in range(2001))
    assert isclose(thickest, wanted, rel_tol=1e-5)
    assert isclose(answer.feed_per_tooth, answer.factor * wanted, rel_tol=1e-12)


@given(st.floats(2, 200), st.floats(0.01, 0.49), st.floats(0.01, 0.5))
def test_a_narrower_cut_asks_for_more_feed(diameter: float, share: float, wanted: float) -> None:
    wide = chip_thinning(diameter=diameter, width_of_cut=share * diameter, chip_thickness=wanted)
    narrow = chip_thinning(diameter=diameter, width_of_cut=share * diameter / 2, chip_thickness=wanted)
    assert narrow.feed_per_tooth > wide.feed_per_tooth > wanted


def test_over_half_the_diameter_nothing_is_made_up_for_and_past_the_diameter_nothing_is_computed() -> None:
    assert chip_thinning(diameter=10, width_of_cut=5, chip_thickness=0.1) == (0.1, 1)
    assert chip_thinning(diameter=10, width_of_cut=10, chip_thickness=0.1) == (0.1, 1)
    with pytest.raises(CalculationError, match="width_of_cut 11 mm is above the cutter's diameter, 10 mm"):
        chip_thinning(diameter=10, width_of_cut=11, chip_thickness=0.1)
