"""The thinnest wall between many holes, walls to edges, and what lies over what from two sides."""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Callable, Iterator
from itertools import pairwise
from math import frexp, hypot
from operator import attrgetter
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation
from handwheel.values import SLACK

Coordinate = Annotated[float, Quantity("mm", "x", kind="position")]


class HoleRow(NamedTuple):
    """A hole of a plate: its name, its place, its diameter."""

    name: Annotated[str, Quantity("", "name")]
    x: Coordinate
    y: Coordinate
    diameter: Annotated[float, Quantity("mm", "d", above=0)]


class ThinnestWall(NamedTuple):
    """The thinnest wall [mm], negative where holes run into each other, and the two holes at it.

    `share` is that wall over the diameter of the smaller hole.
    """

    wall: Annotated[float, Quantity("mm", "w", kind="depth", bound="at most")]
    first: Annotated[str, Quantity("", "first")]
    second: Annotated[str, Quantity("", "second")]
    smaller: Annotated[float, Quantity("mm", "d_min", kind="size")]
    share: Annotated[float, Quantity("", "share")]


def _every_pair(holes: tuple[HoleRow, ...]) -> ThinnestWall:
    """Try every pair: slow, and the second route for the sweep."""
    walls = [_wall(one, other) for index, one in enumerate(holes) for other in holes[index + 1 :]]
    return min(walls)


@calculation(
    title="Thinnest wall between holes",
    formula=(
        "pairs = [(a, b) for i, a in enumerate(holes) for b in holes[:i]]; "
        "both = min([(hypot(a.x - b.x, a.y - b.y) - (a.diameter + b.diameter) / 2, "
        "min(a.diameter, b.diameter)) for a, b in pairs]); w = both[0]; d_min = both[1]; share = w / d_min"
    ),
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
    wall = apart - (one.diameter + other.diameter) / 2
    return ThinnestWall(wall, first, second, smaller, wall / smaller)


Length = Annotated[float, Quantity("mm", "l", above=0, usual=(1, 2000))]
Width = Annotated[float, Quantity("mm", "b", above=0, usual=(1, 2000))]
Origin = Annotated[
    str,
    Quantity("", "origin", choices=("middle", "front left", "front right", "back left", "back right")),
]


class EdgeWall(NamedTuple):
    """The thinnest wall to an edge [mm], negative where a hole breaks out, and the hole at it."""

    wall: Annotated[float, Quantity("mm", "w", kind="depth", bound="at most")]
    hole: Annotated[str, Quantity("", "hole")]
    share: Annotated[float, Quantity("", "share")]


def _by_corners(holes: tuple[HoleRow, ...], length: float, width: float, origin: str) -> EdgeWall:
    """Measure from the front left corner instead of from the zero."""
    right = {"middle": length / 2}.get(origin, length if origin.endswith("right") else 0.0)
    back = {"middle": width / 2}.get(origin, width if origin.startswith("back") else 0.0)
    walls = []
    for hole in holes:
        x, y = hole.x + right, hole.y + back
        wall = min(x, y, length - x, width - y) - hole.diameter / 2
        walls.append(EdgeWall(wall, hole.name, wall / hole.diameter))
    return min(walls)


@calculation(
    title="Thinnest wall between a hole and an edge of the plate",
    formula=(
        "x0 = 0 if 'left' in origin else l if 'right' in origin else l / 2; "
        "y0 = 0 if 'front' in origin else b if 'back' in origin else b / 2; "
        "one = min([(min(h.x + x0, l - x0 - h.x, h.y + y0, b - y0 - h.y) - h.diameter / 2, "
        "h.name, h.diameter) "
        "for h in holes]); w = one[0]; share = w / one[2]"
    ),
    source="geometry",
    examples=(
        Example(
            {"holes": (HoleRow("a", 40, 0, 10), HoleRow("b", 0, -20, 6)), "length": 100, "width": 60,
             "origin": "middle"},
            {"wall": 5, "hole": "a", "share": 0.5},
            "by hand: 50 - 40 - 5",
        ),
    ),
    second=_by_corners,
)  # fmt: skip
def wall_to_edge(
    *,
    holes: Annotated[tuple[HoleRow, ...], Quantity("", "holes")],
    length: Length,
    width: Width,
    origin: Origin,
) -> EdgeWall:
    """Give the thinnest wall [mm] from any hole to an edge of a plate, X along its length, zero at `origin`.

    `share` is that wall over the diameter of its hole.
    """
    left, right = _reach(length, origin, "left", "right")
    front, back = _reach(width, origin, "front", "back")
    walls = []
    for hole in holes:
        clear = min(hole.x - left, right - hole.x, hole.y - front, back - hole.y)
        wall = clear - hole.diameter / 2
        walls.append(EdgeWall(wall, hole.name, wall / hole.diameter))
    return min(walls)


def _reach(size: float, origin: str, near: str, far: str) -> tuple[float, float]:
    """Give where the two edges of one way lie, seen from the zero."""
    if near in origin:
        return 0.0, size
    return (-size, 0.0) if far in origin else (-size / 2, size / 2)


EdgeDiameter = Annotated[float, Quantity("mm", "De", above=0, usual=(5, 1000))]
CircleDiameter = Annotated[float, Quantity("mm", "Dc", at_least=0, usual=(2, 1000))]
HoleDiameter = Annotated[float, Quantity("mm", "dh", at_least=0, usual=(0.5, 100))]
RoundEdge = Annotated[str, Quantity("", "edge", choices=("outside", "inside"))]


class RoundEdgeWall(NamedTuple):
    """The material between a circle of holes and a round edge [mm]; negative where the holes break out.

    `share` is that wall over the diameter of the holes; None for points, which have none.
    """

    wall: Annotated[float, Quantity("mm", "w", kind="depth", bound="at most")]
    share: Annotated[float, Quantity("", "share")] | None
    warnings: tuple[str, ...] = ()


def _by_radii(
    edge_diameter: float, circle_diameter: float, hole_diameter: float, edge: str = "outside"
) -> RoundEdgeWall:
    """Measure along one radius, from the side of the hole to the edge."""
    radius = edge_diameter / 2
    centre, half = circle_diameter / 2, hole_diameter / 2
    wall = radius - (centre + half) if edge == "outside" else (centre - half) - radius
    return RoundEdgeWall(wall, wall / (2 * half) if half else None)


@calculation(
    title="Wall between a circle of holes and a round edge",
    formula="w = ((De - Dc) if edge == 'outside' else (Dc - De)) / 2 - dh / 2; share = w / dh",
    source="geometry",
    examples=(
        Example(
            {"edge_diameter": 115, "circle_diameter": 95, "hole_diameter": 9},
            {"wall": 5.5, "share": 0.6111},
            "by hand: 57.5 - 47.5 - 4.5",
        ),
        Example(
            {"edge_diameter": 47, "circle_diameter": 70, "hole_diameter": 6.6, "edge": "inside"},
            {"wall": 8.2},
            "by hand: 35 - 3.3 - 23.5",
        ),
    ),
    second=_by_radii,
)
def edge_wall(
    *,
    edge_diameter: EdgeDiameter,
    circle_diameter: CircleDiameter,
    hole_diameter: HoleDiameter,
    edge: RoundEdge = "outside",
) -> RoundEdgeWall:
    """Give the wall [mm] from holes on a circle to the outside edge of a round part, or to its bore."""
    room = edge_diameter - circle_diameter if edge == "outside" else circle_diameter - edge_diameter
    wall = (room - hole_diameter) / 2
    warnings = () if wall > 0 else (f"the holes break through the {edge} edge",)
    return RoundEdgeWall(wall, wall / hole_diameter if hole_diameter else None, warnings)


class PitRow(NamedTuple):
    """A round pit seen along the axis: its name, its place, its diameter, how deep it goes."""

    name: Annotated[str, Quantity("", "name")]
    x: Coordinate
    y: Annotated[float, Quantity("mm", "y", kind="position")]
    diameter: Annotated[float, Quantity("mm", "d", above=0)]
    depth: Annotated[float, Quantity("mm", "t", at_least=0)]


class Meeting(NamedTuple):
    """A pit from above, and of those from below that it lies over the one that comes nearest to it."""

    above: Annotated[str, Quantity("", "above")]
    below: Annotated[str, Quantity("", "below")]


class PitsOver(NamedTuple):
    """Each pit from above that lies over one from below, once, with the deepest of those."""

    meetings: Annotated[tuple[Meeting, ...], Quantity("", "meetings")]


def _pits_by_every_pair(above: tuple[PitRow, ...], below: tuple[PitRow, ...]) -> PitsOver:
    """Try every pair: slow, and the second route for the sweep."""
    pairs = [(one, other) for one in above for other in below if _lie_over(one, other)]
    names = dict.fromkeys(one.name for one, _ in pairs)
    deepest = (
        max((pair for pair in pairs if pair[0].name == name), key=lambda pair: _sunk(*pair)) for name in names
    )
    return PitsOver(tuple(Meeting(one.name, other.name) for one, other in deepest))


@calculation(
    title="Pits from above that lie over pits from below",
    formula=(
        "pairs = [(a, b) for a in above for b in below "
        "if hypot(a.x - b.x, a.y - b.y) < (a.diameter + b.diameter) / 2 - 1e-6]; "
        "names = [a.name for i, a in enumerate(above) if a.name in [one.name for one, under in pairs] "
        "and a.name not in [one.name for one in above[:i]]]; "
        "meetings = [(name, max([(a.depth + b.depth, b.name) for a, b in pairs if a.name == name])[1]) "
        "for name in names]"
    ),
    source="geometry",
    examples=(
        Example(
            {
                "above": (PitRow("a", 0, 0, 10, 5), PitRow("b", 40, 0, 10, 5)),
                "below": (PitRow("c", 6, 0, 8, 3), PitRow("d", 0, 7, 8, 4), PitRow("e", 60, 0, 8, 9)),
            },
            {"meetings": (Meeting("a", "d"),)},
            "by drawing: a lies over c and d, of which d is deeper; b and e over nothing",
        ),
    ),
    second=_pits_by_every_pair,
)
def pits_over(
    *,
    above: Annotated[tuple[PitRow, ...], Quantity("", "above")],
    below: Annotated[tuple[PitRow, ...], Quantity("", "below")],
) -> PitsOver:
    """Give where the floors [mm] between two sides are thinnest, in a sweep, so that far pairs are not tried.

    Places of both are as seen from above. Several rows of one name are one pit at several places: it is
    told once. Pits that only touch do not lie over each other.
    """
    near = _by_width(below)
    deepest: dict[str, tuple[PitRow, PitRow]] = {}
    for one in above:
        for other in near(one):
            best = deepest.get(one.name)
            if (best is None or _sunk(one, other) > _sunk(*best)) and _lie_over(one, other):
                deepest[one.name] = one, other
    return PitsOver(tuple(Meeting(one.name, other.name) for one, other in deepest.values()))


def _sunk(one: PitRow, other: PitRow) -> tuple[float, str]:
    """Give how much [mm] of the thickness two pits take together; of equals the last name counts."""
    return one.depth + other.depth, other.name


def _lie_over(one: PitRow, other: PitRow) -> bool:
    return hypot(other.x - one.x, other.y - one.y) < (one.diameter + other.diameter) / 2 - SLACK


def _by_width(pits: tuple[PitRow, ...]) -> Callable[[PitRow], Iterator[PitRow]]:
    """Sort pits into classes about as wide, each along X and Y, and give what looks up those near a pit.

    A wide pit is looked for far around; were it in one list with narrow ones, so would all of them be.
    """
    classes: dict[int, list[PitRow]] = defaultdict(list)
    for pit in pits:
        classes[frexp(pit.diameter)[1]].append(pit)
    sorted_ways = {
        width: [
            (sorted(one, key=way), sorted(map(way, one))) for way in (attrgetter("x"), attrgetter("y"))
        ]
        for width, one in classes.items()
    }  # fmt: skip

    def near(pit: PitRow) -> Iterator[PitRow]:
        for width, ways in sorted_ways.items():
            reach = (pit.diameter + 2.0**width) / 2
            spans = [
                (in_order, bisect_left(at, middle - reach), bisect_right(at, middle + reach))
                for (in_order, at), middle in zip(ways, (pit.x, pit.y), strict=True)
            ]
            in_order, first, last = min(spans, key=lambda span: span[2] - span[1])
            yield from in_order[first:last]

    return near
