from itertools import pairwise
from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc.geometry import (
    Point,
    bolt_circle,
    flat_depth,
    floor_between,
    hole_grid,
    turn_over_positions,
    wall_between,
)
from handwheel.errors import InputError

places = st.floats(-500, 500)


@given(
    st.integers(2, 60),
    st.floats(5, 500),
    st.floats(-359, 359),
    places,
    places,
    st.sampled_from(["ccw", "cw"]),
)
def test_holes_lie_on_the_circle_a_chord_apart(
    count: int, circle: float, start: float, x: float, y: float, direction: str
) -> None:
    holes = bolt_circle(
        count=count, circle_diameter=circle, start_angle=start, centre_x=x, centre_y=y, direction=direction
    )
    assert len(holes.positions) == count
    for one, other in zip(holes.positions, (*holes.positions[1:], holes.positions[0]), strict=True):
        assert hypot(one.x - x, one.y - y) == pytest.approx(circle / 2)
        assert hypot(one.x - other.x, one.y - other.y) == pytest.approx(holes.chord, abs=1e-9)
        assert 0 <= one.angle < 360


def test_direction_turns_the_order_and_not_the_angles() -> None:
    there = bolt_circle(count=4, circle_diameter=10)
    back = bolt_circle(count=4, circle_diameter=10, direction="cw")
    assert [hole.angle for hole in there.positions] == [0, 90, 180, 270]
    assert [hole.angle for hole in back.positions] == [0, 270, 180, 90]
    assert there.positions[1].y == pytest.approx(5)


def test_one_hole_has_no_chord() -> None:
    assert bolt_circle(count=1, circle_diameter=10).chord == 0


@given(
    st.integers(1, 8),
    st.integers(1, 8),
    st.floats(1, 50),
    st.floats(1, 50),
    st.floats(-359, 359),
    places,
    places,
)
def test_a_grid_keeps_its_pitches_when_it_is_turned(
    rows: int, columns: int, pitch_x: float, pitch_y: float, angle: float, x: float, y: float
) -> None:
    holes = hole_grid(
        rows=rows, columns=columns, pitch_x=pitch_x, pitch_y=pitch_y, origin_x=x, origin_y=y, angle=angle
    ).positions
    assert len(holes) == rows * columns
    assert holes[0] == (x, y)
    far = hypot((columns - 1) * pitch_x, (rows - 1) * pitch_y)
    assert hypot(holes[-1].x - x, holes[-1].y - y) == pytest.approx(far, abs=1e-9)
    for index, (one, other) in enumerate(pairwise(holes), 1):
        if index % columns:
            assert hypot(other.x - one.x, other.y - one.y) == pytest.approx(pitch_x)


def test_rows_are_drilled_from_the_same_end() -> None:
    assert hole_grid(rows=2, columns=2, pitch_x=1, pitch_y=5).positions == ((0, 0), (1, 0), (0, 5), (1, 5))


def test_too_many_holes_are_refused() -> None:
    with pytest.raises(InputError, match="2000"):
        hole_grid(rows=50, columns=50, pitch_x=1, pitch_y=1)


@given(places, places, places, places, st.floats(1, 50), st.floats(1, 50))
def test_a_wall_is_the_same_from_both_sides(
    x1: float, y1: float, x2: float, y2: float, first: float, second: float
) -> None:
    one = wall_between(x1=x1, y1=y1, diameter1=first, x2=x2, y2=y2, diameter2=second)
    other = wall_between(x1=x2, y1=y2, diameter1=second, x2=x1, y2=y1, diameter2=first)
    assert one == other
    assert bool(one.warnings) == (one.wall <= 0)


def test_no_floor_is_said() -> None:
    assert floor_between(thickness=10, depth_a=8, point_a=2.5).warnings == (
        "nothing is left between the two",
    )
    assert floor_between(thickness=10, depth_a=3, depth_b=4).floor == 3


points = st.lists(st.builds(Point, places, places), min_size=1, max_size=6).map(tuple)


@given(points, st.sampled_from(["x", "y"]), places)
def test_turning_over_twice_is_no_change(holes: tuple[Point, ...], about: str, shift: float) -> None:
    there = turn_over_positions(positions=holes, about=about, shift=shift).positions
    back = turn_over_positions(positions=there, about=about, shift=shift).positions
    for one, other in zip(back, holes, strict=True):
        assert one == pytest.approx(other, abs=1e-9)


@given(points, places, places)
def test_turning_over_about_both_axes_is_half_a_turn(
    holes: tuple[Point, ...], across: float, along: float
) -> None:
    once = turn_over_positions(positions=holes, about="x", shift=across).positions
    both = turn_over_positions(positions=once, about="y", shift=along).positions
    for one, other in zip(both, holes, strict=True):
        assert one == pytest.approx((along - other.x, across - other.y), abs=1e-9)


def test_a_ring_of_holes_turned_over_runs_the_other_way_round() -> None:
    ring = bolt_circle(count=5, circle_diameter=40).positions
    turned = turn_over_positions(positions=tuple(Point(one.x, one.y) for one in ring), about="x").positions
    back = bolt_circle(count=5, circle_diameter=40, direction="cw").positions
    for one, other in zip(turned, back, strict=True):
        assert one == pytest.approx((other.x, other.y), abs=1e-9)


@given(st.floats(1, 200), st.floats(0.01, 1))
def test_the_ends_of_a_flat_lie_on_the_round(diameter: float, share: float) -> None:
    across = share * diameter
    flat = flat_depth(diameter=diameter, across=across)
    assert flat.depth + across == pytest.approx(diameter)
    assert hypot(across - diameter / 2, flat.width / 2) == pytest.approx(diameter / 2, abs=1e-6)


def test_a_flat_outside_the_round_is_refused() -> None:
    with pytest.raises(InputError, match="more than the round"):
        flat_depth(diameter=10, across=10.5)
