from math import isclose

from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc.feeds import milling_feed, turning_feed

feeds = st.floats(0.005, 2)
turns = st.floats(10, 30000)


@given(feeds, st.integers(1, 40), turns)
def test_one_tooth_after_the_other_makes_the_feed_of_a_revolution(feed: float, teeth: int, n: float) -> None:
    by_teeth = milling_feed(feed_per_tooth=feed / teeth, teeth=teeth, spindle_speed=n)
    assert isclose(by_teeth, turning_feed(feed=feed, spindle_speed=n), rel_tol=1e-12)


@given(st.floats(0.0005, 0.1), turns)
def test_inches_per_minute_are_the_same_feed_rate(inches: float, n: float) -> None:
    assert isclose(turning_feed(feed=inches * 25.4, spindle_speed=n) / 25.4, inches * n, rel_tol=1e-12)
