"""What a drawing is made of: lines, hatched areas, centre lines, dimensions and places, all in mm.

X is to the right and Y up, as on paper. A dimension holds the value it shows, so that what is read on
the drawing can be asked where it comes from.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, NamedTuple

from handwheel.present.numbers import System, shown
from handwheel.values import Value

__all__ = [
    "Area",
    "Box",
    "CentreLine",
    "Dimension",
    "Drawing",
    "Outline",
    "Place",
    "PlaceState",
    "Point",
]

OutlineKind = Literal[
    "edge",  # an edge of the part
    "work",  # an edge that the operation in hand makes
    "thread",  # the root of a full thread
    "lead",  # where a tap's lead leaves no full thread
    "tool",  # how deep a tool goes that leaves nothing of its own there
    "around",  # an outline that only says where one is: the stock, the circle of holes
]

PlaceState = Literal["done", "now", "to come"]


class Point(NamedTuple):
    """A point of a drawing [mm]."""

    x: float
    y: float


class Box(NamedTuple):
    """What a drawing covers [mm]."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        """From left to right [mm]."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From bottom to top [mm]."""
        return self.top - self.bottom


@dataclass(frozen=True, slots=True)
class Outline:
    """A line from point to point; an arc is given as many short ones."""

    points: tuple[Point, ...]
    kind: OutlineKind = "edge"


@dataclass(frozen=True, slots=True)
class CentreLine:
    """An axis."""

    start: Point
    end: Point


@dataclass(frozen=True, slots=True)
class Area:
    """Material that is cut through: a closed polygon, drawn hatched."""

    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Dimension:
    """A size along X or Y from `start` to `end`, with the value it shows and the name of that value.

    `running` dimensions share their start, the face that depths count from. `before` stands in front of the
    number (Ø, X, Y), `words` behind it.
    """

    start: Point
    end: Point
    name: str
    value: Value
    words: str = ""
    before: str = ""
    along: Literal["x", "y"] = "y"
    running: bool = False

    def label(self, system: System) -> str:
        """The number with its unit, and what it is."""
        return f"{self.number(system)} {self.words}".rstrip()

    def number(self, system: System) -> str:
        """The number with its unit alone."""
        return f"{self.before}{shown(self.value, system)}"


@dataclass(frozen=True, slots=True)
class Place:
    """One hole of a pattern: its number from 1, its middle, its diameter [mm], and whether it was made."""

    number: int
    at: Point
    diameter: float | None
    state: PlaceState


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing: what it shows, from where it is seen, and what is not known of it.

    `key` names it among the drawings of an operation: "section" or "places".
    """

    key: str
    title: str
    seen: str
    system: System = "mm"
    outlines: tuple[Outline, ...] = ()
    areas: tuple[Area, ...] = ()
    centre_lines: tuple[CentreLine, ...] = ()
    dimensions: tuple[Dimension, ...] = ()
    places: tuple[Place, ...] = ()
    zero: Point | None = None
    unknown: tuple[str, ...] = ()

    @property
    def values(self) -> dict[str, Value]:
        """Every value that a dimension shows, by its name."""
        return {one.name: one.value for one in self.dimensions}

    @property
    def empty(self) -> bool:
        """Whether there is nothing to draw."""
        return not (self.outlines or self.areas or self.places)

    @property
    def box(self) -> Box:
        """What the drawing covers; at least a thousandth of a millimetre each way."""
        points = list(self._points()) or [Point(0, 0)]
        left, right = min(one.x for one in points), max(one.x for one in points)
        bottom, top = min(one.y for one in points), max(one.y for one in points)
        return Box(left, bottom, max(right, left + _LEAST), max(top, bottom + _LEAST))

    def _points(self) -> Iterator[Point]:
        for outline in self.outlines:
            yield from outline.points
        for area in self.areas:
            yield from area.points
        for axis in self.centre_lines:
            yield from (axis.start, axis.end)
        for place in self.places:
            radius = (place.diameter or 0) / 2
            yield Point(place.at.x - radius, place.at.y - radius)
            yield Point(place.at.x + radius, place.at.y + radius)
        for one in self.dimensions:
            yield from (one.start, one.end)
        if self.zero is not None:
            yield self.zero


_LEAST = 1e-3
