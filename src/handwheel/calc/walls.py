"""The thinnest wall between many holes."""

from collections.abc import Callable
from itertools import pairwise
from math import hypot
from operator import attrgetter
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation

Coordinate = Annotated[float, Quantity("mm", "x", kind="position")]


class HoleRow(NamedTuple):
    """A hole of a plate: its name, its place, its diameter."""

    name: Annotated[str, Quantity("", "name")]
    x: Coordinate
    y: Coordinate
    diameter: Annotated[float, Quantity("mm", "d", above=0)]


class ThinnestWall(NamedTuple):
    """The thinnest wall [mm], negative where holes run into each other, and the two holes at it."""

    wall: Annotated[float, Quantity("mm", "w", kind="depth", bound="at most")]
    first: Annotated[str, Quantity("", "first")]
    second: Annotated[str, Quantity("", "second")]
    smaller: Annotated[float, Quantity("mm", "d_min", kind="size")]


def _every_pair(holes: tuple[HoleRow, ...]) -> ThinnestWall:
    """Try every pair: slow, and the second route for the sweep."""
    walls = [_wall(one, other) for index, one in enumerate(holes) for other in holes[index + 1 :]]
    return min(walls)


@calculation(
    title="Thinnest wall between holes",
    formula="w = min over pairs of (hypot(x2 - x1, y2 - y1) - (d1 + d2) / 2)",
    source="geometry",
    examples=(
        Example(
            {"holes": (HoleRow("a", 0, 0, 9), HoleRow("b", 12, 16, 7), HoleRow("c", 90, 0, 9))},
            {"wall": 12, "first": "a", "second": "b"},
            "by hand: 20 mm apart, less 4.5 mm and 3.5 mm",
        ),
    ),
    second=_every_pair,
)
def thinnest_wall(*, holes: Annotated[tuple[HoleRow, ...], Quantity("", "holes")]) -> ThinnestWall:
    """Give the thinnest wall [mm] between any two holes, in a sweep, so that far pairs are not tried."""
    if len(holes) < 2:
        raise CalculationError("thinnest_wall: expected at least two holes")
    along = _long_way(holes)
    in_order = sorted(holes, key=along)
    best = min(_wall(one, other) for one, other in pairwise(in_order))
    widest = max(hole.diameter for hole in holes)
    for index, one in enumerate(in_order):
        for other in in_order[index + 1 :]:
            if along(other) - along(one) > best.wall + widest:
                break
            best = min(best, _wall(one, other))
    return best


def _long_way(holes: tuple[HoleRow, ...]) -> Callable[[HoleRow], float]:
    """Sweep the way along which the holes are spread further: a column of holes is one X."""
    xs, ys = [hole.x for hole in holes], [hole.y for hole in holes]
    return attrgetter("x" if max(xs) - min(xs) >= max(ys) - min(ys) else "y")


def _wall(one: HoleRow, other: HoleRow) -> ThinnestWall:
    apart = hypot(other.x - one.x, other.y - one.y)
    smaller = min(one.diameter, other.diameter)
    first, second = sorted((one.name, other.name))
    return ThinnestWall(apart - (one.diameter + other.diameter) / 2, first, second, smaller)
