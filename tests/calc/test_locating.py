from math import cos, hypot, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc import CalculationError
from handwheel.calc.locating import AngleReading, FaceReading, level, run_out, touch_off

off = st.floats(-1, 1)


@given(st.floats(-200, 200), st.floats(1, 20), st.floats(0, 1))
def test_an_edge_touched_from_both_sides_is_one(at: float, tip: float, feeler: float) -> None:
    """The same edge touched along plus and along minus, a tip and two papers further, is at one place."""
    further = at + tip + 2 * feeler
    there = touch_off(touched_at=at, tip_diameter=tip, side="+", feeler=feeler)
    back = touch_off(touched_at=further, tip_diameter=tip, side="-", feeler=feeler)
    assert there == pytest.approx(back, abs=1e-9)
    assert there > at


@given(off, off, off, st.sampled_from([3, 4, 6, 8]), st.floats(0, 90))
def test_moving_the_work_as_told_trues_it(x: float, y: float, mean: float, count: int, first: float) -> None:
    """Readings made from an eccentric round give it back, and after the move nothing is left."""
    angles = [first + number * 360 / count for number in range(count)]
    answer = run_out(
        readings=tuple(
            AngleReading(angle, mean + x * cos(radians(angle)) + y * sin(radians(angle))) for angle in angles
        )
    )
    assert answer.eccentricity == pytest.approx(hypot(x, y), abs=1e-9)
    assert answer.move_x == pytest.approx(-x, abs=1e-9)
    assert answer.move_y == pytest.approx(-y, abs=1e-9)
    if answer.direction is not None:
        assert answer.eccentricity * cos(radians(answer.direction)) == pytest.approx(x, abs=1e-6)
        assert answer.eccentricity * sin(radians(answer.direction)) == pytest.approx(y, abs=1e-6)
    assert answer.tir <= 2 * answer.eccentricity + 1e-9
    assert answer.out_of_round is None or answer.out_of_round == pytest.approx(0, abs=1e-9)


def test_an_oval_is_not_taken_for_run_out() -> None:
    """A round that is only oval has no eccentricity, and moving it is said to be no help."""
    readings = [(0, 0.1), (45, 0.0), (90, -0.1), (135, 0), (180, 0.1), (225, 0), (270, -0.1), (315, 0)]
    oval = run_out(readings=tuple(AngleReading(*one) for one in readings))
    assert oval.eccentricity == pytest.approx(0, abs=1e-9)
    assert oval.direction is None
    assert oval.out_of_round == pytest.approx(0.2)
    shifted = run_out(readings=tuple(AngleReading(a, r + 0.05 * cos(radians(a))) for a, r in readings))
    assert "less round" in shifted.warnings[0]


def test_too_few_angles_tell_no_direction() -> None:
    two = run_out(readings=(AngleReading(0, 0.3), AngleReading(180, 0.1)))
    assert (two.tir, two.eccentricity) == pytest.approx((0.2, 0.1))
    assert two.direction is two.move_x is two.out_of_round is None
    assert "at least three" in two.warnings[0]
    close = run_out(readings=tuple(AngleReading(a, 0.1 * a) for a in (0, 5, 10)))
    assert close.direction is None
    with pytest.raises(CalculationError, match="at least two readings"):
        run_out(readings=(AngleReading(0, 0.1),))


@given(
    st.floats(-0.001, 0.001),
    st.floats(-0.001, 0.001),
    off,
    st.lists(st.tuples(st.floats(-200, 200), st.floats(-200, 200)), max_size=4),
    st.floats(10, 500),
)
def test_a_plane_is_found_again(
    bx: float, by: float, mean: float, more: list[tuple[float, float]], length: float
) -> None:
    """Readings on a tilted plane give its slopes, whatever further places are read."""
    places = [(0.0, 0.0), (100.0, 0.0), (0.0, 80.0), *more]
    answer = level(
        readings=tuple(FaceReading(x, y, mean + bx * x + by * y) for x, y in places), length=length
    )
    assert answer.tilt_x == pytest.approx(bx * length, abs=1e-9)
    assert answer.tilt_y == pytest.approx(by * length, abs=1e-9)
    assert answer.error_over_length == pytest.approx(hypot(bx, by) * length, abs=1e-9)
    heights = [bx * x + by * y for x, y in places]
    assert answer.shim == pytest.approx(max(heights) - min(heights), abs=1e-9)
    if answer.downhill is not None:
        down = radians(answer.downhill)
        assert bx * cos(down) + by * sin(down) == pytest.approx(-hypot(bx, by), abs=1e-9)


def test_a_twisted_face_is_level_and_not_flat() -> None:
    corners = ((-50, -50, 0.01), (50, -50, -0.01), (50, 50, 0.01), (-50, 50, -0.01))
    answer = level(readings=tuple(FaceReading(*one) for one in corners), length=100)
    assert answer.shim == pytest.approx(0, abs=1e-12)
    assert answer.out_of_flat == pytest.approx(0.02)
    assert answer.downhill is None


def test_readings_along_one_axis_tell_one_tilt() -> None:
    along = level(readings=(FaceReading(0, 5, 0), FaceReading(200, 5, 0.04)), length=1000)
    assert along.tilt_x == pytest.approx(0.2) and along.tilt_y is None
    assert along.warnings == ("the readings tell no tilt along Y",)
    across = level(readings=(FaceReading(3, 0, 0), FaceReading(3, 50, -0.01)), length=100)
    assert across.tilt_y == pytest.approx(-0.02) and across.tilt_x is None
    assert across.downhill is None


@pytest.mark.parametrize(
    ("places", "words"),
    [
        ([(0, 0)], "at least two readings"),
        ([(5, 5), (5, 5)], "one place"),
        ([(0, 0), (10, 10), (20, 20)], "one more beside it"),
    ],
)
def test_places_that_tell_nothing_are_refused(places: list[tuple[float, float]], words: str) -> None:
    with pytest.raises(CalculationError, match=words):
        level(readings=tuple(FaceReading(x, y, 0.01) for x, y in places), length=100)
