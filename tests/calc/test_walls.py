from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc import walls
from handwheel.calc.geometry import bolt_circle
from handwheel.calc.walls import PitRow, edge_wall, pits_over

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


pits = st.lists(
    st.builds(
        PitRow,
        st.sampled_from(["a", "b", "c", "d"]),
        st.integers(-40, 40).map(float),
        st.integers(-40, 40).map(float),
        st.sampled_from([1.0, 3.0, 4.0, 12.0, 60.0]),
        st.integers(0, 9).map(float),
    ),
    min_size=1,
    max_size=12,
).map(tuple)


@given(pits, pits)
def test_the_sweep_leaves_no_pair_out(above: tuple[PitRow, ...], below: tuple[PitRow, ...]) -> None:
    """Narrow and wide pits at any places: what the sweep finds is what trying every pair finds."""
    assert pits_over(above=above, below=below) == walls._pits_by_every_pair(above, below)


def test_thousands_of_pits_are_swept_without_trying_every_pair(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of two grids of 1,600 pits, and a wide one below them, only neighbours are held against each other."""
    tried = []
    lie_over = walls._lie_over

    def counted(one: PitRow, other: PitRow) -> bool:
        tried.append(other)
        return lie_over(one, other)

    monkeypatch.setattr(walls, "_lie_over", counted)
    above, below = (
        tuple(
            PitRow(f"{side} {number}", 10.0 * (number % 40), 10.0 * (number // 40), 5.0, 4.0)
            for number in range(1600)
        )
        for side in ("above", "below")
    )
    found = pits_over(above=above, below=(*below, PitRow("wide", 0.0, 0.0, 90.0, 1.0)))
    assert len(found.meetings) == 1600 and len(tried) < 100_000
