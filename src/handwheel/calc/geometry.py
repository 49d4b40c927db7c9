"""Positions of holes, the material left between them, and the flat on a round."""

from math import atan2, cos, degrees, hypot, pi, radians, sin
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import Example, Quantity, calculation
from handwheel.calc.quantities import Angle, Diameter, Length
from handwheel.errors import InputError

__all__ = [
    "Point",
    "Position",
    "bolt_circle",
    "flat_depth",
    "floor_between",
    "hole_grid",
    "pitch_span",
    "reach_of_places",
    "reach_of_rectangle",
    "rims_on_rectangle",
    "turn_over_positions",
    "wall_between",
]

_MOST_HOLES = 2000
"""More positions than this are a slip of the finger."""

X = Annotated[float, Quantity("mm", "x", kind="position")]
Y = Annotated[float, Quantity("mm", "y", kind="position")]
OriginX = Annotated[float, Quantity("mm", "x0", kind="position", at_least=-1e5, at_most=1e5)]
OriginY = Annotated[float, Quantity("mm", "y0", kind="position", at_least=-1e5, at_most=1e5)]
PitchX = Annotated[float, Quantity("mm", "px", kind="position", at_least=-1e4, at_most=1e4)]
PitchY = Annotated[float, Quantity("mm", "py", kind="position", at_least=-1e4, at_most=1e4)]
Count = Annotated[int, Quantity("", "n", at_least=1, at_most=_MOST_HOLES, usual=(1, 100))]
Rows = Annotated[int, Quantity("", "rows", at_least=1, at_most=_MOST_HOLES, usual=(1, 30))]
Columns = Annotated[int, Quantity("", "columns", at_least=1, at_most=_MOST_HOLES, usual=(1, 30))]
Direction = Annotated[str, Quantity("", "direction", choices=("ccw", "cw"))]
Wall = Annotated[float, Quantity("mm", "wall", kind="size", bound="at most")]
PointLength = Annotated[float, Quantity("mm", "p", at_least=0)]
OtherDepth = Annotated[float, Quantity("mm", "tb", at_least=0)]


class Position(NamedTuple):
    """A hole on a circle: x and y [mm], and its angle [deg] from the circle's centre, 0 to 360."""

    x: X
    y: Y
    angle: Angle


class Point(NamedTuple):
    """A position: x and y [mm]."""

    x: X
    y: Y


class BoltCircle(NamedTuple):
    """The holes in the order of drilling, and the straight distance from one to the next [mm]."""

    positions: Annotated[tuple[Position, ...], Quantity("", "positions")]
    chord: Annotated[float, Quantity("mm", "chord", kind="position")]


@calculation(
    title="Holes on a circle",
    formula=(
        "positions = [(x0 + d / 2 * cos(radians(a)), y0 + d / 2 * sin(radians(a)), a % 360) for a in "
        "[alpha + k * (360 if direction == 'ccw' else -360) / n for k in range(n)]]; chord = d * sin(pi / n)"
    ),
    source="trigonometry; Machinery's Handbook, lengths of chords for spacing off circles",
    examples=(
        Example(
            {"count": 7, "circle_diameter": 1},
            {"chord": 0.433884},
            "Machinery's Handbook, chords, from memory",
        ),
    ),
    second=lambda count, circle_diameter, **where: _bolt_circle_by_turning(count, circle_diameter, **where),
)
def bolt_circle(
    *,
    count: Count,
    circle_diameter: Diameter,
    start_angle: Angle = 0,
    centre_x: OriginX = 0,
    centre_y: OriginY = 0,
    direction: Direction = "ccw",
) -> BoltCircle:
    """List the holes [mm, deg] from the start angle on, counter-clockwise or clockwise.

    Angles are 0 along +X and grow counter-clockwise seen from the spindle, whichever way the holes
    are counted. One hole alone has no chord: it is 0.
    """
    turn = (360 if direction == "ccw" else -360) / count
    radius = circle_diameter / 2
    positions = []
    for number in range(count):
        angle = _within_a_turn(start_angle + number * turn)
        x = centre_x + radius * cos(radians(angle))
        y = centre_y + radius * sin(radians(angle))
        positions.append(Position(x, y, angle))
    return BoltCircle(tuple(positions), circle_diameter * sin(pi / count) if count > 1 else 0.0)


def _within_a_turn(angle: float) -> float:
    """Bring an angle into [0, 360); -1e-15 degrees are none, not 360."""
    turned = angle % 360
    return turned if turned < 360 - 1e-9 else 0.0


def _bolt_circle_by_turning(
    count: int,
    circle_diameter: float,
    start_angle: float = 0,
    centre_x: float = 0,
    centre_y: float = 0,
    direction: str = "ccw",
) -> BoltCircle:
    """Turn each hole into the next as a complex number, and measure the first two holes for the chord."""
    step = complex(cos(2 * pi / count), sin(2 * pi / count) * (1 if direction == "ccw" else -1))
    arm = circle_diameter / 2 * complex(cos(radians(start_angle)), sin(radians(start_angle)))
    positions = []
    for _ in range(count):
        angle = _within_a_turn(degrees(atan2(arm.imag, arm.real)))
        positions.append(Position(centre_x + arm.real, centre_y + arm.imag, angle))
        arm *= step
    first, next_one = positions[0], positions[1 % count]
    return BoltCircle(tuple(positions), hypot(next_one.x - first.x, next_one.y - first.y))


class HoleGrid(NamedTuple):
    """The holes in the order of drilling."""

    positions: Annotated[tuple[Point, ...], Quantity("", "positions")]


@calculation(
    title="Holes on a grid",
    formula=(
        "positions = [(x0 + i * px * cos(radians(alpha)) - j * py * sin(radians(alpha)), "
        "y0 + i * px * sin(radians(alpha)) + j * py * cos(radians(alpha))) "
        "for j in range(rows) for i in range(columns)]"
    ),
    source="trigonometry: a grid turned about its first hole",
    examples=(
        Example(
            {"rows": 2, "columns": 2, "pitch_x": 10, "pitch_y": 20},
            {"positions": (Point(0, 0), Point(10, 0), Point(0, 20), Point(10, 20))},
            "by drawing",
        ),
    ),
    second=lambda rows, columns, pitch_x, pitch_y, origin_x=0, origin_y=0, angle=0: HoleGrid(
        tuple(
            Point(origin_x + one.real, origin_y + one.imag)
            for row in range(rows)
            for column in range(columns)
            for one in (
                complex(column * pitch_x, row * pitch_y) * complex(cos(radians(angle)), sin(radians(angle))),
            )
        )
    ),
)
def hole_grid(
    *,
    rows: Rows,
    columns: Columns,
    pitch_x: PitchX,
    pitch_y: PitchY,
    origin_x: OriginX = 0,
    origin_y: OriginY = 0,
    angle: Angle = 0,
) -> HoleGrid:
    """List the holes [mm] of a grid, the first at the origin, turned about it by an angle [deg].

    Rows lie along X and follow each other along Y before turning. Every row is drilled from the same
    end: the way back is longer, but backlash is taken up in one direction at every hole.
    """
    if rows * columns > _MOST_HOLES:
        raise InputError(
            f"{rows} rows of {columns} holes are more than {_MOST_HOLES} positions; "
            f"expected at most {_MOST_HOLES // columns} rows of as many"
        )
    along, across = cos(radians(angle)), sin(radians(angle))
    positions = []
    for row in range(rows):
        for column in range(columns):
            x, y = column * pitch_x, row * pitch_y
            positions.append(Point(origin_x + x * along - y * across, origin_y + x * across + y * along))
    return HoleGrid(tuple(positions))


@calculation(
    title="Span of a row of holes, from the first to the last",
    formula="s = (n - 1) * p",
    source="arithmetic: there is one pitch fewer than there are holes",
    examples=(Example({"count": 6, "pitch": 25}, {"span": 125.0}, "by hand: 5 times 25"),),
    second=lambda count, pitch: sum([pitch] * (count - 1)),
    result="span",
)
def pitch_span(
    *, count: Count, pitch: Annotated[float, Quantity("mm", "p", kind="position", at_least=-1e4, at_most=1e4)]
) -> Annotated[float, Quantity("mm", "s", kind="position")]:
    """Give how far [mm] the last of `count` holes lies from the first; negative along a negative pitch."""
    return (count - 1) * pitch


class Reach(NamedTuple):
    """The circles about the zero [mm, diameters] through the nearest of some places, and the furthest."""

    nearest: Annotated[float, Quantity("mm", "dn", kind="size")]
    furthest: Annotated[float, Quantity("mm", "df", kind="size")]


@calculation(
    title="Circles about the zero through the nearest and the furthest place",
    formula=(
        "dn = min([2 * sqrt(x**2 + y**2) for x, y in positions]); "
        "df = max([2 * sqrt(x**2 + y**2) for x, y in positions])"
    ),
    source="Pythagoras",
    examples=(
        Example(
            {"positions": (Point(3, -4), Point(-6, 8))}, {"nearest": 10.0, "furthest": 20.0}, "3, 4, 5"
        ),
    ),
    second=lambda positions: (
        min(abs(complex(*one)) for one in positions) * 2,
        max(abs(complex(*one)) for one in positions) * 2,
    ),
)  # fmt: skip
def reach_of_places(*, positions: Annotated[tuple[Point, ...], Quantity("", "positions")]) -> Reach:
    """Give the diameters [mm] of the circles about the zero, or the axis of a round, that places lie on."""
    out = [hypot(one.x, one.y) for one in positions]
    return Reach(2 * min(out), 2 * max(out))


MiddleX = Annotated[float, Quantity("mm", "xm", kind="position", at_least=-1e5, at_most=1e5)]
MiddleY = Annotated[float, Quantity("mm", "ym", kind="position", at_least=-1e5, at_most=1e5)]
SizeX = Annotated[float, Quantity("mm", "sx", kind="size", above=0, usual=(1, 1000))]
SizeY = Annotated[float, Quantity("mm", "sy", kind="size", above=0, usual=(1, 1000))]


class RectangleReach(NamedTuple):
    """The circles about the zero [mm, diameters] that touch a rectangle, and go through its middle.

    `nearest` is 0 where the zero lies within the rectangle.
    """

    nearest: Annotated[float, Quantity("mm", "dn", kind="size")]
    middle: Annotated[float, Quantity("mm", "dm", kind="size")]


def _rectangle_by_clamping(
    middle_x: float, middle_y: float, size_x: float, size_y: float
) -> tuple[float, float]:
    """Move the zero to the nearest place of the rectangle, and measure how far that was."""
    near_x = min(max(0.0, middle_x - size_x / 2), middle_x + size_x / 2)
    near_y = min(max(0.0, middle_y - size_y / 2), middle_y + size_y / 2)
    return 2 * abs(complex(near_x, near_y)), 2 * abs(complex(middle_x, middle_y))


@calculation(
    title="Circles about the zero that touch a rectangle, and go through its middle",
    formula=(
        "dn = 2 * sqrt(max(abs(xm) - sx / 2, 0)**2 + max(abs(ym) - sy / 2, 0)**2); "
        "dm = 2 * sqrt(xm**2 + ym**2)"
    ),
    source="Pythagoras",
    examples=(
        Example(
            {"middle_x": 40, "middle_y": 0, "size_x": 20, "size_y": 30},
            {"nearest": 60.0, "middle": 80.0},
            "by drawing: its near side lies 30 mm from the zero",
        ),
        Example(
            {"middle_x": 13, "middle_y": -14, "size_x": 20, "size_y": 20},
            {"nearest": 10.0},
            "by drawing: its near corner lies at 3, -4",
        ),
    ),
    second=_rectangle_by_clamping,
)
def reach_of_rectangle(
    *, middle_x: MiddleX, middle_y: MiddleY, size_x: SizeX, size_y: SizeY
) -> RectangleReach:
    """Give the diameters [mm] about the zero of a rectangle with its sides along X and Y.

    Seen from the axis of a round part: how large a spigot it leaves, and where its middle lies.
    """
    out_x, out_y = max(abs(middle_x) - size_x / 2, 0.0), max(abs(middle_y) - size_y / 2, 0.0)
    return RectangleReach(2 * hypot(out_x, out_y), 2 * hypot(middle_x, middle_y))


class RimsOnRectangle(NamedTuple):
    """How far rims lie within a rectangle and reach into it [mm].

    `inside` is the least way from a rim to the edge, negative where one lies across the edge or off it;
    `overlap` is the furthest that a rim reaches over the edge, negative where all stay clear of it.
    """

    inside: Annotated[float, Quantity("mm", "i", kind="size")]
    overlap: Annotated[float, Quantity("mm", "o", kind="size")]


def _rims_by_edges(
    positions: tuple[Point, ...],
    diameter: float,
    middle_x: float,
    middle_y: float,
    size_x: float,
    size_y: float,
) -> tuple[float, float]:
    """Measure from each of the four edges to both sides of every rim."""
    edges = [
        (x - (middle_x - size_x / 2), (middle_x + size_x / 2) - x) for x, _ in positions
    ], [(y - (middle_y - size_y / 2), (middle_y + size_y / 2) - y) for _, y in positions]  # fmt: skip
    ways = [min(*along, *across) for along, across in zip(*edges, strict=True)]
    return min(way - diameter / 2 for way in ways), max(way + diameter / 2 for way in ways)


@calculation(
    title="Rims of holes on a rectangle",
    formula=(
        "i = min([min(sx / 2 - abs(x - xm), sy / 2 - abs(y - ym)) for x, y in positions]) - d / 2; "
        "o = max([min(sx / 2 - abs(x - xm), sy / 2 - abs(y - ym)) for x, y in positions]) + d / 2"
    ),
    source="geometry, along X and along Y: at a corner a rim counts as a square about it",
    examples=(
        Example(
            {"positions": (Point(40, 5), Point(40, -5)), "diameter": 6, "middle_x": 40, "middle_y": 0,
             "size_x": 20, "size_y": 30},
            {"inside": 7.0, "overlap": 13.0},
            "by drawing: 10 mm to the long edges, 3 mm of radius",
        ),
    ),
    second=_rims_by_edges,
)  # fmt: skip
def rims_on_rectangle(
    *,
    positions: Annotated[tuple[Point, ...], Quantity("", "positions")],
    diameter: Diameter,
    middle_x: MiddleX,
    middle_y: MiddleY,
    size_x: SizeX,
    size_y: SizeY,
) -> RimsOnRectangle:
    """Give how far holes of one diameter lie within a rectangle [mm], and how far they reach into it."""
    ways = [min(size_x / 2 - abs(one.x - middle_x), size_y / 2 - abs(one.y - middle_y)) for one in positions]
    return RimsOnRectangle(min(ways) - diameter / 2, max(ways) + diameter / 2)


class WallLeft(NamedTuple):
    """The material left between two holes [mm]; negative where they run into each other."""

    wall: Wall
    warnings: tuple[str, ...] = ()


Coordinate1 = Annotated[float, Quantity("mm", "x1", kind="position")]
Ordinate1 = Annotated[float, Quantity("mm", "y1", kind="position")]
Coordinate2 = Annotated[float, Quantity("mm", "x2", kind="position")]
Ordinate2 = Annotated[float, Quantity("mm", "y2", kind="position")]
Diameter1 = Annotated[float, Quantity("mm", "d1", above=0)]
Diameter2 = Annotated[float, Quantity("mm", "d2", above=0)]


@calculation(
    title="Wall between two holes",
    formula="wall = sqrt((x2 - x1)**2 + (y2 - y1)**2) - (d1 + d2) / 2",
    source="Pythagoras",
    examples=(
        Example(
            {"x1": 0, "y1": 0, "diameter1": 4, "x2": 3, "y2": 4, "diameter2": 2}, {"wall": 2.0}, "3, 4, 5"
        ),
    ),
    second=lambda x1, y1, diameter1, x2, y2, diameter2: (
        abs(complex(x2, y2) - complex(x1, y1)) - diameter1 / 2 - diameter2 / 2,
    ),
)
def wall_between(
    *,
    x1: Coordinate1,
    y1: Ordinate1,
    diameter1: Diameter1,
    x2: Coordinate2,
    y2: Ordinate2,
    diameter2: Diameter2,
) -> WallLeft:
    """Give the wall [mm] between two parallel holes; negative, with a warning, where they overlap."""
    wall = hypot(x2 - x1, y2 - y1) - (diameter1 + diameter2) / 2
    return WallLeft(wall, () if wall > 0 else ("the two holes run into each other",))


class FloorLeft(NamedTuple):
    """The material left below a depth, or between two depths from opposite faces [mm]."""

    floor: Annotated[float, Quantity("mm", "floor", kind="depth", bound="at most")]
    warnings: tuple[str, ...] = ()


@calculation(
    title="Floor between two depths from opposite faces",
    formula="floor = l - ta - p - tb",
    source="a sum of lengths",
    examples=(
        Example({"thickness": 20, "depth_a": 12, "point_a": 2, "depth_b": 3}, {"floor": 3.0}, "arithmetic"),
    ),
    second=lambda thickness, depth_a, point_a=0, depth_b=0: ((thickness - depth_b) - (depth_a + point_a),),
)
def floor_between(
    *,
    thickness: Length,
    depth_a: Annotated[float, Quantity("mm", "ta", at_least=0)],
    point_a: PointLength = 0,
    depth_b: OtherDepth = 0,
) -> FloorLeft:
    """Give the floor [mm] under a depth with its drill point, less a depth from the other face."""
    floor = thickness - depth_a - point_a - depth_b
    return FloorLeft(floor, () if floor > 0 else ("nothing is left between the two",))


class TurnedOver(NamedTuple):
    """The positions as they lie after turning the part over, in the same order."""

    positions: Annotated[tuple[Point, ...], Quantity("", "turned")]


@calculation(
    title="Positions after turning the part over",
    formula=(
        "turned = [(x, shift - y) if about == 'x' else (shift - x, y) for x, y in positions]"
    ),
    source="geometry: turning over about an axis is a mirror image seen from the spindle",
    examples=(
        Example(
            {"positions": (Point(30, 10), Point(-20, 5)), "about": "y"},
            {"positions": (Point(-30, 10), Point(20, 5))},
            "by drawing: left and right change places",
        ),
        Example(
            {"positions": (Point(30, 10),), "about": "x", "shift": 60},
            {"positions": (Point(30, 50),)},
            "by drawing: a plate 60 mm wide with its zero on the front edge, before and after",
        ),
    ),
    second=lambda positions, about, shift=0: TurnedOver(
        tuple(_reflected(complex(*point), about, shift) for point in positions)
    ),
)  # fmt: skip
def turn_over_positions(
    *,
    positions: Annotated[tuple[Point, ...], Quantity("", "positions")],
    about: Annotated[str, Quantity("", "about", choices=("x", "y"))],
    shift: Annotated[float, Quantity("mm", "shift", kind="position", at_least=-1e5, at_most=1e5)] = 0,
) -> TurnedOver:
    """Give where positions [mm] lie after the part was turned over about an axis along X or along Y.

    About X the front and back change places, about Y left and right. With the zero in the middle
    before and after, there is no shift; with the zero on an edge that stays on the same side of the
    machine, the shift is the width of the part across the axis [mm].
    """
    if about == "x":
        return TurnedOver(tuple(Point(x, shift - y) for x, y in positions))
    return TurnedOver(tuple(Point(shift - x, y) for x, y in positions))


def _reflected(point: complex, about: str, shift: float) -> Point:
    """Reflect about the line half the shift away: conjugate about X, and turned by half a turn about Y."""
    middle = complex(0, shift / 2) if about == "x" else complex(shift / 2, 0)
    flipped = (point - middle).conjugate() * (1 if about == "x" else -1) + middle
    return Point(flipped.real, flipped.imag)


class Flat(NamedTuple):
    """How deep to mill from the top of the round, and how wide the flat comes out [mm]."""

    depth: Annotated[float, Quantity("mm", "t", kind="size")]
    width: Annotated[float, Quantity("mm", "w", kind="size")]


def _flat_by_chord(diameter: float, across: float) -> Flat:
    """Take the angle at the centre that the flat spans, and from it sagitta and chord."""
    angle = 2 * atan2((across * (diameter - across)) ** 0.5, across - diameter / 2)
    return Flat(diameter / 2 * (1 - cos(angle / 2)), diameter * abs(sin(angle / 2)))


@calculation(
    title="Depth of a flat on a round, from the size across it",
    formula="t = d - s; w = 2 * sqrt(s * (d - s))",
    source="geometry: Euclid, Elements III.35, chords that cut each other",
    examples=(
        Example(
            {"diameter": 10, "across": 8}, {"depth": 2.0, "width": 8.0}, "by hand: 2 times the root of 16"
        ),
    ),
    second=_flat_by_chord,
)
def flat_depth(
    *,
    diameter: Diameter,
    across: Annotated[float, Quantity("mm", "s", kind="size", above=0, usual=(0.1, 500))],
) -> Flat:
    """Give the depth [mm] of a flat below the top of a round of a diameter [mm].

    `across` [mm] is measured from the flat to the opposite side of the round.
    """
    if across > diameter:
        raise InputError(
            f"flat_depth: {across:g} mm across is more than the round of {diameter:g} mm; expected the "
            "distance from the flat to the opposite side"
        )
    depth = diameter - across
    return Flat(depth, 2 * (across * depth) ** 0.5)
