from math import isclose, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc import CalculationError
from handwheel.calc.surface_speed import SurfaceSpeed, constant_surface_speed

speeds = st.floats(20, 400)
diameters = st.floats(0, 300)
feeds = st.floats(0.02, 0.6)
highest = st.floats(200, 6000)
shares = st.floats(0, 1)


def face(v: float, one: float, two: float, feed: float, high: float, low: float = 0) -> SurfaceSpeed:
    return constant_surface_speed(
        cutting_speed=v,
        start_diameter=one,
        end_diameter=two,
        feed=feed,
        max_spindle_speed=high,
        min_spindle_speed=low,
    )


@given(speeds, diameters, diameters, feeds, highest, shares)
def test_the_time_is_what_small_steps_along_the_radius_add_up_to(
    v: float, one: float, two: float, feed: float, high: float, share: float
) -> None:
    low = share * high
    steps = 4000
    width = abs(one - two) / steps
    added = 0.0
    for step in range(steps):
        diameter = min(one, two) + (step + 0.5) * width
        spindle = min(high, max(low, 1000 * v / (pi * diameter))) if diameter else high
        added += width / 2 / (feed * spindle)
    assert isclose(face(v, one, two, feed, high, low).time, added, rel_tol=1e-5, abs_tol=1e-9)


@given(speeds, diameters, diameters, diameters, feeds, highest)
def test_a_face_in_two_parts_takes_the_time_of_the_whole(
    v: float, one: float, two: float, three: float, feed: float, high: float
) -> None:
    outer, middle, inner = sorted((one, two, three), reverse=True)
    parts = face(v, outer, middle, feed, high).time + face(v, middle, inner, feed, high).time
    assert isclose(parts, face(v, outer, inner, feed, high).time, rel_tol=1e-9, abs_tol=1e-9)


@given(speeds, diameters, diameters, feeds, highest)
def test_outward_is_inward_turned_round(v: float, one: float, two: float, feed: float, high: float) -> None:
    there, back = face(v, one, two, feed, high), face(v, two, one, feed, high)
    assert there.time == back.time
    assert there.start_spindle_speed == back.end_spindle_speed


@given(speeds, diameters, diameters, feeds, highest, st.floats(1.01, 3))
def test_a_higher_clamp_never_takes_longer(
    v: float, one: float, two: float, feed: float, high: float, more: float
) -> None:
    slower, faster = face(v, one, two, feed, high).time, face(v, one, two, feed, high * more).time
    assert faster <= slower * (1 + 1e-9)


@given(speeds, feeds, highest)
def test_at_the_clamp_diameter_the_cutting_speed_is_just_reached(v: float, feed: float, high: float) -> None:
    clamp = face(v, 100, 0, feed, high).clamp_diameter
    assert isclose(pi * clamp * high / 1000, v, rel_tol=1e-12)


def test_at_the_centre_the_spindle_has_its_highest_speed_and_a_warning_says_that_it_cuts_slower() -> None:
    answer = face(100, 200, 0, 0.1, 1000)
    assert answer.end_spindle_speed == 1000
    assert answer.low_clamp_diameter is None
    assert answer.warnings == ("inside 31.83 mm the spindle stays at 1000 1/min and the cutting speed falls",)


def test_between_the_limits_there_is_nothing_to_say_and_at_the_low_one_there_is() -> None:
    assert face(100, 200, 100, 0.1, 1000).warnings == ()
    assert "outside 159.2 mm the lowest speed, 200 1/min" in face(100, 200, 100, 0.1, 1000, 200).warnings[0]


def test_a_face_of_no_width_takes_no_time() -> None:
    assert face(100, 50, 50, 0.1, 1000).time == 0


def test_limits_that_contradict_each_other_are_refused() -> None:
    with pytest.raises(CalculationError, match=r"min_spindle_speed 900 .* is above max_spindle_speed 800"):
        face(100, 50, 0, 0.1, 800, 900)
