"""What moving, turning and mirroring a part leaves as it is: walls, rims, reaches, circles of holes."""

from __future__ import annotations

from math import cos, hypot, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc import CalculationError, walls
from handwheel.calc.geometry import (
    Point,
    bolt_circle,
    floor_between,
    hole_grid,
    pitch_span,
    reach_of_places,
    reach_of_rectangle,
    rims_on_rectangle,
    turn_over_positions,
    wall_between,
)
from handwheel.calc.speeds import last_spindle_speed, nearest_spindle_speed, stick_out_speed
from handwheel.calc.walls import HoleRow, PitRow, pits_over, thinnest_wall, wall_to_edge

places = st.floats(-300, 300)
turns = st.floats(-350, 350)
holes = st.lists(
    st.builds(HoleRow, st.sampled_from("abcdefgh"), places, places, st.floats(0.5, 40)),
    min_size=2,
    max_size=14,
).map(tuple)


def turned(x: float, y: float, angle: float) -> tuple[float, float]:
    c, s = cos(radians(angle)), sin(radians(angle))
    return x * c - y * s, x * s + y * c


@given(holes)
def test_the_sweep_finds_the_thinnest_of_all_walls(rows: tuple[HoleRow, ...]) -> None:
    assert thinnest_wall(holes=rows).wall == min(walls._every_pair(rows)[:1])


@given(holes, turns, places, places)
def test_the_thinnest_wall_stays_when_the_plate_is_turned_and_moved(
    rows: tuple[HoleRow, ...], angle: float, dx: float, dy: float
) -> None:
    moved = []
    for one in rows:
        x, y = turned(one.x, one.y, angle)
        moved.append(one._replace(x=x + dx, y=y + dy))
    assert thinnest_wall(holes=tuple(moved)).wall == pytest.approx(thinnest_wall(holes=rows).wall, abs=1e-9)


@given(places, places, st.floats(1, 50), places, places, st.floats(1, 50), turns)
def test_a_wall_between_two_holes_does_not_know_where_zero_is(
    x1: float, y1: float, d1: float, x2: float, y2: float, d2: float, angle: float
) -> None:
    here = wall_between(x1=x1, y1=y1, diameter1=d1, x2=x2, y2=y2, diameter2=d2).wall
    (u1, v1), (u2, v2) = turned(x1, y1, angle), turned(x2, y2, angle)
    there = wall_between(x1=u1 + 7, y1=v1 - 3, diameter1=d1, x2=u2 + 7, y2=v2 - 3, diameter2=d2).wall
    assert there == pytest.approx(here, abs=1e-9)
    two = (HoleRow("a", x1, y1, d1), HoleRow("b", x2, y2, d2))
    assert thinnest_wall(holes=two).wall == pytest.approx(here, abs=1e-9)


@pytest.mark.parametrize(
    ("origin", "dx", "dy"),
    [("front left", 100, 30), ("front right", -100, 30), ("back left", 100, -30), ("back right", -100, -30)],
)
@given(holes)
def test_the_wall_to_an_edge_is_the_same_from_every_zero(
    origin: str, dx: float, dy: float, rows: tuple[HoleRow, ...]
) -> None:
    """A plate of 200 by 60 measured from its middle or from a corner is one plate."""
    middle = wall_to_edge(holes=rows, length=200, width=60, origin="middle")
    moved = tuple(one._replace(x=one.x + dx, y=one.y + dy) for one in rows)
    corner = wall_to_edge(holes=moved, length=200, width=60, origin=origin)
    assert corner.wall == pytest.approx(middle.wall, abs=1e-9)


def test_one_hole_has_no_wall_between() -> None:
    with pytest.raises(CalculationError, match="expected at least two holes"):
        thinnest_wall(holes=(HoleRow("a", 0, 0, 5),))


pits = st.lists(
    st.builds(PitRow, st.sampled_from("abcd"), places, places, st.floats(1, 80), st.floats(0, 20)),
    min_size=1,
    max_size=8,
).map(tuple)


@given(pits, pits)
def test_what_lies_over_from_above_lies_under_from_below(
    above: tuple[PitRow, ...], below: tuple[PitRow, ...]
) -> None:
    """Seen from either side the same holes meet, or none do."""
    seen = pits_over(above=above, below=below).meetings
    other = pits_over(above=below, below=above).meetings
    assert bool(seen) == bool(other)
    assert {one.below for one in seen} <= {one.above for one in other}


points = st.lists(st.builds(Point, places, places), min_size=1, max_size=10).map(tuple)


@given(points, turns)
def test_the_reach_of_places_stays_when_they_are_turned(where: tuple[Point, ...], angle: float) -> None:
    here = reach_of_places(positions=where)
    there = reach_of_places(positions=tuple(Point(*turned(*one, angle)) for one in where))
    assert there == pytest.approx(here, abs=1e-9)
    assert here.nearest <= here.furthest


@given(places, places, st.floats(1, 200), st.floats(1, 200))
def test_a_rectangle_reaches_as_far_as_its_nearest_place(
    x: float, y: float, size_x: float, size_y: float
) -> None:
    """None of a grid of places on it lies nearer to the zero; mirrored it reaches as far."""
    found = reach_of_rectangle(middle_x=x, middle_y=y, size_x=size_x, size_y=size_y)
    fine = [one / 8 - 0.5 for one in range(9)]
    on_it = tuple(Point(x + size_x * across, y + size_y * up) for across in fine for up in fine)
    assert found.nearest <= reach_of_places(positions=on_it).nearest + 1e-9
    assert reach_of_rectangle(middle_x=-x, middle_y=-y, size_x=size_x, size_y=size_y) == found


@given(points, st.floats(0.5, 30), places, places, st.floats(1, 200), st.floats(1, 200))
def test_a_larger_hole_lies_less_within_and_reaches_further(
    where: tuple[Point, ...], diameter: float, x: float, y: float, size_x: float, size_y: float
) -> None:
    def rims(of: float) -> tuple[float, float]:
        found = rims_on_rectangle(
            positions=where, diameter=of, middle_x=x, middle_y=y, size_x=size_x, size_y=size_y
        )
        return found.inside, found.overlap

    (inside, overlap), (less, more) = rims(diameter), rims(diameter + 2)
    assert less == pytest.approx(inside - 1) and more == pytest.approx(overlap + 1)
    assert inside + diameter <= overlap + 1e-9


@given(st.integers(2, 24), st.floats(5, 300), st.floats(-180, 180), st.sampled_from(["x", "y"]))
def test_a_circle_of_holes_turned_over_is_the_same_circle_run_the_other_way(
    count: int, diameter: float, start: float, about: str
) -> None:
    ring = bolt_circle(count=count, circle_diameter=diameter, start_angle=start).positions
    over = turn_over_positions(positions=tuple(Point(x, y) for x, y, _ in ring), about=about).positions
    mirrored = -start if about == "x" else 180 - start
    again = bolt_circle(
        count=count, circle_diameter=diameter, start_angle=mirrored % 360, direction="cw"
    ).positions
    for one, other in zip(over, again, strict=True):
        assert hypot(one.x - other.x, one.y - other.y) < 1e-9 * diameter


@given(st.integers(2, 24), st.floats(5, 300), st.floats(-180, 180), places, places)
def test_the_middle_of_a_circle_of_holes_is_its_centre(
    count: int, diameter: float, start: float, x: float, y: float
) -> None:
    ring = bolt_circle(
        count=count, circle_diameter=diameter, start_angle=start, centre_x=x, centre_y=y
    ).positions
    assert sum(one.x for one in ring) / count == pytest.approx(x, abs=1e-9)
    assert sum(one.y for one in ring) / count == pytest.approx(y, abs=1e-9)


@given(st.integers(1, 12), st.integers(1, 12), st.floats(-50, 50), st.floats(-50, 50), turns)
def test_a_grid_spans_a_pitch_fewer_than_its_holes(
    rows: int, columns: int, px: float, py: float, angle: float
) -> None:
    """First and last hole are as far apart as both spans say, however the grid is turned."""
    grid = hole_grid(rows=rows, columns=columns, pitch_x=px, pitch_y=py, angle=angle).positions
    spans = pitch_span(count=columns, pitch=px), pitch_span(count=rows, pitch=py)
    apart = hypot(grid[-1].x - grid[0].x, grid[-1].y - grid[0].y)
    assert len(grid) == rows * columns and apart == pytest.approx(hypot(*spans), abs=1e-9)


@given(st.floats(1, 100), st.floats(0, 60), st.floats(0, 5), st.floats(0, 60))
def test_a_floor_is_the_same_from_below(thickness: float, a: float, point: float, b: float) -> None:
    one = floor_between(thickness=thickness, depth_a=a, point_a=point, depth_b=b)
    other = floor_between(thickness=thickness, depth_a=b, point_a=point, depth_b=a)
    assert one.floor == pytest.approx(other.floor, abs=1e-9)


steps = st.lists(st.floats(20, 4000), min_size=1, max_size=12).map(tuple)


@given(st.floats(20, 5000), steps)
def test_the_nearest_step_is_no_further_than_the_lower_one(wanted: float, has: tuple[float, ...]) -> None:
    lower = nearest_spindle_speed(spindle_speed=wanted, steps=has).spindle_speed
    near = nearest_spindle_speed(spindle_speed=wanted, steps=has, rule="nearest").spindle_speed
    assert {lower, near} <= set(has)
    assert abs(near - wanted) <= abs(lower - wanted) and near >= lower


@given(st.floats(20, 2000), st.floats(20, 5000), steps)
def test_the_last_cuts_are_never_slower_and_never_over_the_limit(
    now: float, limit: float, has: tuple[float, ...]
) -> None:
    last = last_spindle_speed(spindle_speed=now, limit=limit, steps=has)
    assert last.spindle_speed >= now
    assert last.is_faster == (last.spindle_speed > now)
    assert not last.is_faster or (last.spindle_speed <= limit and last.spindle_speed in has)


@given(st.floats(100, 3000), st.floats(0.5, 12), st.floats(2, 8), st.floats(0.1, 4))
def test_a_longer_bar_never_turns_faster(speed: float, ratio: float, free: float, more: float) -> None:
    here = stick_out_speed(spindle_speed=speed, ratio=ratio, free_ratio=free)
    assert stick_out_speed(spindle_speed=speed, ratio=ratio + more, free_ratio=free) <= here <= speed
