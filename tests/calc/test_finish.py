from math import isclose, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc import CalculationError
from handwheel.calc.finish import feed_for_roughness, process_finish, roughness
from handwheel.tables import table

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


@pytest.mark.parametrize("row", table("process_finish").rows, ids=lambda row: row["process"])
def test_a_process_is_found_however_it_is_typed_and_its_ranges_run_upward(row: dict[str, str]) -> None:
    name = row["process"]
    for typed in (name, name.upper(), f" {name.replace(' ', '-')} ", name.replace(" ", "  ")):
        answer = process_finish(process=typed)
        assert 0 < answer.ra_low < answer.ra_high
        assert (answer.grade_fine is None) == (answer.grade_coarse is None)
        if answer.grade_fine is not None and answer.grade_coarse is not None:
            assert 1 <= answer.grade_fine < answer.grade_coarse <= 18


def test_an_unknown_process_is_answered_with_the_nearest_and_with_all() -> None:
    with pytest.raises(CalculationError, match=r'did you mean "turning"\? processes: sawing, drilling'):
        process_finish(process="turming")


def test_a_long_or_odd_process_is_answered_on_one_line() -> None:
    with pytest.raises(CalculationError) as fault:
        process_finish(process="x\n" * 100_000)
    assert "\n" not in str(fault.value)
    assert len(str(fault.value)) < 600
