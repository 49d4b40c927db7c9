from math import isclose, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc import CalculationError
from handwheel.calc.finish import feed_for_roughness, roughness

noses = st.floats(0.1, 6)
shares = st.floats(0.02, 0.5)


@given(noses, shares)
def test_rt_and_ra_are_those_of_a_profile_of_true_arcs(nose: float, share: float) -> None:
    feed = share * nose
    steps = 2000
    places = [(number + 0.5) / steps * feed - feed / 2 for number in range(steps)]
    heights = [1000 * (nose - sqrt(nose**2 - place**2)) for place in places]
    mean = sum(heights) / steps
    ra = sum(abs(height - mean) for height in heights) / steps
    answer = roughness(feed=feed, nose_radius=nose)
    assert isclose(answer.ra, ra, rel_tol=0.02)
    assert isclose(answer.rt, max(heights) - min(heights), rel_tol=0.02)


@given(noses, shares)
def test_the_feed_for_a_roughness_leaves_that_roughness(nose: float, share: float) -> None:
    ra = roughness(feed=share * nose, nose_radius=nose).ra
    assert isclose(feed_for_roughness(ra=ra, nose_radius=nose).feed, share * nose, rel_tol=1e-9)


@given(noses, shares)
def test_half_the_feed_leaves_a_quarter_and_twice_the_nose_half(nose: float, share: float) -> None:
    one = roughness(feed=share * nose, nose_radius=nose)
    assert isclose(roughness(feed=share * nose / 2, nose_radius=nose).rt, one.rt / 4, rel_tol=1e-9)
    assert isclose(roughness(feed=share * nose, nose_radius=2 * nose).ra, one.ra / 2, rel_tol=1e-9)


def test_every_answer_says_that_it_is_the_best_case() -> None:
    assert roughness(feed=0.2, nose_radius=0.8).warnings[0].startswith("theoretical, the best case")
    assert feed_for_roughness(ra=1.6, nose_radius=0.8).warnings[0].startswith("theoretical, the best case")


def test_marks_that_do_not_meet_are_no_marks_of_the_nose() -> None:
    with pytest.raises(CalculationError, match=r"no less than twice the nose radius, 0\.4 mm"):
        roughness(feed=0.8, nose_radius=0.4)
    with pytest.raises(
        CalculationError, match=r"for this Ra the feed of .* no less than twice the nose radius"
    ):
        feed_for_roughness(ra=25, nose_radius=0.1)
