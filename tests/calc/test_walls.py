from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc.geometry import bolt_circle
from handwheel.calc.walls import edge_wall

sizes = st.floats(10, 300)


@given(sizes, sizes, st.floats(0.5, 30), st.integers(1, 12), st.floats(0, 350))
def test_the_wall_is_what_every_hole_of_the_circle_leaves(
    edge: float, circle: float, hole: float, count: int, start: float
) -> None:
    """Each hole, placed on its circle, is so far from the edge along its own radius."""
    wall = edge_wall(edge_diameter=edge, circle_diameter=circle, hole_diameter=hole).wall
    for one in bolt_circle(count=count, circle_diameter=circle, start_angle=start).positions:
        assert edge / 2 - hypot(one.x, one.y) - hole / 2 == pytest.approx(wall, abs=1e-9)


@given(sizes, sizes, st.floats(0.5, 30))
def test_a_ring_is_shared_by_both_walls_and_the_hole(inner: float, width: float, hole: float) -> None:
    """Wall to the bore, hole, and wall to the outside make up the ring."""
    outer = inner + width
    middle = (inner + outer) / 2
    walls = [
        edge_wall(edge_diameter=diameter, circle_diameter=middle, hole_diameter=hole, edge=edge).wall
        for diameter, edge in ((inner, "inside"), (outer, "outside"))
    ]
    assert sum(walls) + hole == pytest.approx(width / 2)
    assert walls[0] == pytest.approx(walls[1], abs=1e-9)


def test_breaking_through_is_said_and_a_point_has_no_share() -> None:
    assert edge_wall(edge_diameter=50, circle_diameter=45, hole_diameter=6).warnings == (
        "the holes break through the outside edge",
    )
    assert edge_wall(edge_diameter=50, circle_diameter=40, hole_diameter=0) == (5, None, ())
