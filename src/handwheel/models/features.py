"""Features: one geometric element of the part and its sizes, each written once.

A feature says which face its depths start `from`, and what it has to be true to. What stands `of` another
feature (a thread of a hole, a groove of a bore, the edge of a spigot) has no place of its own.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StrictBool, StringConstraints, model_validator

from handwheel.models.base import Identifier, Shape, Text
from handwheel.models.sizes import Angle, Basis, ConeAngle, Coordinate, Length

__all__ = [
    "FEATURE_KINDS",
    "AnyFeature",
    "Bore",
    "Chamfer",
    "Circle",
    "Counterbore",
    "Countersink",
    "Edge",
    "Face",
    "Feature",
    "FeatureKind",
    "Flat",
    "Grid",
    "Groove",
    "Hole",
    "OfAnother",
    "OfHole",
    "Outside",
    "Slot",
    "Spigot",
    "Thread",
    "Toleranced",
    "Turned",
]

MOST_POSITIONS = 2000

FeatureKind = Literal[
    "face", "outside", "spigot", "bore", "groove", "edge",
    "hole", "thread", "chamfer", "counterbore", "countersink", "flat", "slot",
]  # fmt: skip
FEATURE_KINDS: tuple[FeatureKind, ...] = FeatureKind.__args__  # type: ignore[attr-defined]

Zone = Annotated[str, StringConstraints(pattern=r"^[A-Za-z]{1,2}[0-9]{1,2}$", max_length=5)]
"""A tolerance zone of ISO 286 as it is written behind a size: `J7` for a hole, `h6` for a shaft."""

Place = tuple[Coordinate, Coordinate]


class Circle(Shape):
    """Holes on a circle: the first at `start`, the rest counter-clockwise at equal angles."""

    count: int = Field(strict=True, ge=1, le=MOST_POSITIONS)
    diameter: Length
    start: Angle | None = None
    centre_x: Coordinate | None = None
    centre_y: Coordinate | None = None


class Grid(Shape):
    """Holes in rows (along X) and columns (along Y), the first at the origin."""

    rows: int = Field(strict=True, ge=1, le=MOST_POSITIONS)
    columns: int = Field(strict=True, ge=1, le=MOST_POSITIONS)
    pitch_x: Length
    pitch_y: Length
    origin_x: Coordinate | None = None
    origin_y: Coordinate | None = None
    angle: Angle | None = None

    @model_validator(mode="after")
    def _not_too_many(self) -> Grid:
        if self.rows * self.columns > MOST_POSITIONS:
            raise ValueError(f"{self.rows} x {self.columns} holes are more than {MOST_POSITIONS}")
        return self


class _Feature(Shape):
    id: Identifier
    basis: Basis = "drawing"
    side: Identifier = "top"
    carried_from: Text | None = None
    remark: Text | None = None


class Toleranced(_Feature):
    """A size with its own limits: two deviations, or a zone of ISO 286."""

    upper: Coordinate | None = None
    lower: Coordinate | None = None
    zone: Zone | None = None

    @model_validator(mode="after")
    def _one_tolerance(self) -> Toleranced:
        if (self.upper is None) != (self.lower is None):
            raise ValueError('a tolerance needs both, such as upper = "0.1 mm" and lower = "-0.1 mm"')
        if self.upper and self.lower and self.upper.plain <= self.lower.plain:
            raise ValueError(f"upper ({self.upper.text}) has to be above lower ({self.lower.text})")
        if self.zone and self.upper:
            raise ValueError("a size has a zone, or upper and lower; remove one of them")
        return self

    @property
    def toleranced(self) -> bool:
        """Whether the size has limits of its own."""
        return self.upper is not None or self.zone is not None


class _Fitted(Toleranced):
    """A cylinder that may have to fit a real part, and to run true to another feature."""

    diameter: Length
    from_: Identifier = Field(default="top", alias="from")
    mate: Identifier | None = None
    true_to: Identifier | None = None


class _Round(_Fitted):
    """An outside cylinder: a capital letter would be the zone of a hole."""

    @model_validator(mode="after")
    def _zone_of_a_shaft(self) -> _Round:
        _zone_case(self.zone, hole=False)
        return self


class Face(Toleranced):
    """A plane face at a distance (`thickness`) from the face opposite; without one it is only cleaned up."""

    kind: Literal["face"]
    thickness: Length | None = None
    from_: Identifier = Field(default="bottom", alias="from")


class Outside(_Round):
    """An outside diameter; without a `length` it runs as far as the piece stands out of the jaws."""

    kind: Literal["outside"]
    length: Length | None = None


class Spigot(_Round):
    """A raised register with its shoulder: a diameter, and how far it stands above the shoulder."""

    kind: Literal["spigot"]
    length: Length


class Bore(_Fitted):
    """A bore on the axis, through or to a depth."""

    kind: Literal["bore"]
    depth: Length | None = None
    through: StrictBool = False

    @model_validator(mode="after")
    def _depth_or_through(self) -> Bore:
        if self.through == (self.depth is not None):
            raise ValueError('a bore is through = true, or has a depth such as depth = "14 mm"')
        _zone_case(self.zone, hole=True)
        return self


class Groove(Toleranced):
    """A groove in a bore (`of`): its own diameter, its width, and where its near wall stands from the face.

    For a retaining ring `ring` is true: then width and diameter are held against the standard of the ring.
    """

    kind: Literal["groove"]
    of: Identifier
    diameter: Length
    width: Length
    position: Length
    ring: StrictBool = False


class Edge(_Feature):
    """The outer or inner edge of a face, an outside diameter, a spigot or a bore (`of`), broken by `leg`."""

    kind: Literal["edge"]
    of: Identifier
    leg: Length


class Hole(Toleranced):
    """One hole or several alike: `at` given places, on a `circle`, or in a `grid`."""

    kind: Literal["hole"]
    diameter: Length
    depth: Length | None = None
    through: StrictBool = False
    from_: Identifier = Field(alias="from")
    at: tuple[Place, ...] | None = Field(default=None, max_length=MOST_POSITIONS)
    circle: Circle | None = None
    grid: Grid | None = None

    @model_validator(mode="after")
    def _one_pattern(self) -> Hole:
        patterns = [name for name in ("at", "circle", "grid") if getattr(self, name)]
        if len(patterns) != 1:
            given = " and ".join(patterns) or "none"
            raise ValueError(f"a hole has one of at, circle, grid; given: {given}")
        if self.through and self.depth is not None:
            raise ValueError("a through hole has no depth of its own; remove depth, or through")
        _zone_case(self.zone, hole=True)
        return self


class Thread(_Feature):
    """An internal thread in a hole (`of`): its places and diameter are the hole's."""

    kind: Literal["thread"]
    of: Identifier
    thread: Text
    depth: Length | None = None
    through: StrictBool = False
    class_: Literal["4H", "5H", "6H", "7H", "6G"] = Field(default="6H", alias="class")

    @model_validator(mode="after")
    def _depth_or_through(self) -> Thread:
        if self.through == (self.depth is not None):
            raise ValueError('a thread is through = true, or has a depth such as depth = "12 mm"')
        return self


class Chamfer(_Feature):
    """A chamfer on the edge of a hole (`of`), by its leg or by its diameter at the surface."""

    kind: Literal["chamfer"]
    of: Identifier
    leg: Length | None = None
    diameter: Length | None = None
    included_angle: ConeAngle | None = None

    @model_validator(mode="after")
    def _one_size(self) -> Chamfer:
        if (self.leg is None) == (self.diameter is None):
            raise ValueError('a chamfer has either leg = "0.8 mm" or diameter = "8.4 mm"')
        return self


class Counterbore(_Feature):
    """A counterbore of a hole (`of`): by the screw whose head goes in, or by its own diameter and depth."""

    kind: Literal["counterbore"]
    of: Identifier
    screw: Text | None = None
    diameter: Length | None = None
    depth: Length | None = None

    @model_validator(mode="after")
    def _screw_or_sizes(self) -> Counterbore:
        own = (self.diameter is not None, self.depth is not None)
        if own not in ((True, True), (False, False)) or (self.screw is None) != all(own):
            raise ValueError('a counterbore has screw = "M6", or diameter = "11 mm" and depth = "6.4 mm"')
        return self


class Countersink(_Feature):
    """A countersink of a hole (`of`): by its flat-head screw, or by its diameter at the surface and angle."""

    kind: Literal["countersink"]
    of: Identifier
    screw: Text | None = None
    diameter: Length | None = None
    included_angle: ConeAngle | None = None

    @model_validator(mode="after")
    def _screw_or_sizes(self) -> Countersink:
        own = (self.diameter is not None, self.included_angle is not None)
        if own not in ((True, True), (False, False)) or (self.screw is None) != all(own):
            raise ValueError(
                'a countersink has screw = "M6", or diameter = "13.4 mm" and included_angle = "90 deg"'
            )
        return self


class Flat(Toleranced):
    """A flat. On a round it is given `across`, to the side opposite; into a face by its depth.

    `width` is along X and `length` along Y; `at` is its middle, as seen from its side. A flat on a round has
    no middle: it lies across the axis.
    """

    kind: Literal["flat"]
    from_: Identifier = Field(default="top", alias="from")
    across: Length | None = None
    depth: Length | None = None
    width: Length
    length: Length
    at: Place | None = None

    @model_validator(mode="after")
    def _across_or_depth(self) -> Flat:
        if (self.across is None) == (self.depth is None):
            raise ValueError('a flat has across = "18 mm" on a round, or depth = "2 mm" below a face')
        if self.depth is not None and self.at is None:
            raise ValueError('a flat below a face says where its middle is, such as at = ["40 mm", "0 mm"]')
        return self


class Slot(Toleranced):
    """A slot with round ends: `width` across it is its toleranced size, `length` over the ends along X."""

    kind: Literal["slot"]
    from_: Identifier = Field(default="top", alias="from")
    width: Length
    length: Length
    depth: Length | None = None
    through: StrictBool = False
    at: Place
    angle: Angle | None = None

    @model_validator(mode="after")
    def _depth_or_through(self) -> Slot:
        if self.through == (self.depth is not None):
            raise ValueError('a slot is through = true, or has a depth such as depth = "6 mm"')
        if self.length.plain < self.width.plain:
            raise ValueError(f"length ({self.length.text}) has to be at least width ({self.width.text})")
        _zone_case(self.zone, hole=True)
        return self


def _zone_case(zone: str | None, *, hole: bool) -> None:
    if zone is not None and zone[0].isupper() != hole:
        what, letter = ("a hole", "H7, a capital") if hole else ("a shaft", "h7, a small")
        raise ValueError(f'zone "{zone}": this is {what}; expected one such as {letter} letter')


OfHole = Thread | Chamfer | Counterbore | Countersink
"""What stands of a hole: it has the places of the hole."""

OfAnother = Thread | Chamfer | Counterbore | Countersink | Groove | Edge
"""What stands of another feature."""

Turned = Face | Outside | Spigot | Bore
"""What an edge may be of."""

AnyFeature = Face | Outside | Spigot | Bore | Hole | Flat | Slot | OfAnother

Feature = Annotated[AnyFeature, Field(discriminator="kind")]
