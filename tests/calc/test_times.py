from math import isclose

from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc.times import drilling_time, facing_time, milling_time, tapping_time, turning_time

diameters = st.floats(0.5, 300)
feeds = st.floats(0.01, 1)
turns = st.floats(10, 5000)


@given(diameters, diameters, diameters, feeds, turns)
def test_facing_in_two_parts_takes_the_time_of_the_whole(
    one: float, two: float, three: float, feed: float, n: float
) -> None:
    outer, middle, inner = sorted((one, two, three), reverse=True)
    whole = facing_time(start_diameter=outer, end_diameter=inner, feed=feed, spindle_speed=n)
    first = facing_time(start_diameter=outer, end_diameter=middle, feed=feed, spindle_speed=n)
    second = facing_time(start_diameter=middle, end_diameter=inner, feed=feed, spindle_speed=n)
    assert isclose(first + second, whole, rel_tol=1e-9, abs_tol=1e-12)


@given(diameters, feeds, turns)
def test_facing_outward_takes_as_long_as_inward(diameter: float, feed: float, n: float) -> None:
    inward = facing_time(start_diameter=diameter, end_diameter=0.2, feed=feed, spindle_speed=n)
    outward = facing_time(start_diameter=0.2, end_diameter=diameter, feed=feed, spindle_speed=n)
    assert inward == outward


@given(st.floats(0.5, 200), st.floats(0.5, 50), feeds, turns, st.floats(60, 140))
def test_the_point_is_part_of_the_way_and_a_flatter_one_is_shorter(
    depth: float, diameter: float, feed: float, n: float, angle: float
) -> None:
    time = drilling_time(depth=depth, diameter=diameter, feed=feed, spindle_speed=n, point_angle=angle)
    flatter = drilling_time(depth=depth, diameter=diameter, feed=feed, spindle_speed=n, point_angle=angle + 1)
    assert depth / (feed * n) < flatter < time


@given(st.floats(1, 100), st.floats(0.2, 6), turns, turns)
def test_tapping_takes_the_turns_in_and_the_turns_out(
    depth: float, pitch: float, n: float, back: float
) -> None:
    time = tapping_time(depth=depth, pitch=pitch, spindle_speed=n, reverse_spindle_speed=back)
    assert isclose(time, depth / pitch * (1 / n + 1 / back), rel_tol=1e-12)
    same = tapping_time(depth=depth, pitch=pitch, spindle_speed=n)
    assert isclose(same, 2 * depth / pitch / n, rel_tol=1e-12)


@given(st.floats(1, 1000), feeds, turns, st.integers(1, 20))
def test_turning_takes_its_feed_rate_along_the_length_once_a_pass(
    length: float, feed: float, n: float, passes: int
) -> None:
    time = turning_time(length=length, feed=feed, spindle_speed=n, passes=passes)
    assert isclose(time * feed * n / passes, length, rel_tol=1e-12)
    assert isclose(turning_time(length=length, feed=feed, spindle_speed=n) * passes, time, rel_tol=1e-12)


@given(st.floats(1, 1000), diameters, st.floats(5, 3000), st.integers(1, 20))
def test_a_cutter_travels_its_own_diameter_beyond_the_length(
    length: float, diameter: float, rate: float, passes: int
) -> None:
    time = milling_time(length=length, diameter=diameter, feed_rate=rate, passes=passes)
    assert isclose(time * rate / passes - length, diameter, rel_tol=1e-6)
    wider = milling_time(length=length, diameter=2 * diameter, feed_rate=rate, passes=passes)
    assert wider > time
