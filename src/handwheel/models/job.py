"""The job: one part, from drawing to signed-off record, as the person plans it in `job.toml`.

A dimension is entered once and belongs to a feature; operations refer to features and hold no size.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from functools import cached_property
from typing import Annotated, Literal

from pydantic import Field, StrictBool, model_validator

from handwheel.errors import nearest
from handwheel.models.base import Identifier, Shape, Text
from handwheel.models.sizes import (
    Angle,
    AnyLength,
    Basis,
    ConeAngle,
    Coordinate,
    Hardness,
    Length,
    SpindleSpeed,
    Units,
)

__all__ = [
    "SCHEMA",
    "Chamfer",
    "Circle",
    "Face",
    "Feature",
    "Grid",
    "Head",
    "Hole",
    "Job",
    "Operation",
    "Setup",
    "SpeedSetting",
    "Stock",
    "Thread",
    "base_of",
]

SCHEMA = 1
MOST_POSITIONS = 2000


class Head(Shape):
    """What the job is: title, unit system, material, and the class of untoleranced sizes."""

    title: Text
    units: Units = "mm"
    material: Text
    hardness: Hardness | None = None
    general_tolerance: Literal["f", "m", "c", "v"] = "m"
    remark: Text | None = None


class Stock(Shape):
    """The raw piece."""

    form: Literal["plate", "round", "hexagon", "tube"]
    length: Length
    width: Length | None = None
    thickness: Length | None = None
    diameter: Length | None = None
    bore_diameter: Length | None = None
    basis: Basis = "estimate"

    @model_validator(mode="after")
    def _sizes_of_its_form(self) -> Stock:
        needs = {
            "plate": ("width", "thickness"),
            "round": ("diameter",),
            "hexagon": ("width",),
            "tube": ("diameter", "bore_diameter"),
        }[self.form]
        for name in needs:
            if getattr(self, name) is None:
                raise ValueError(f'{self.form} stock needs "{name}", such as {name} = "22 mm"')
        return self


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


class _Toleranced(_Feature):
    upper: Coordinate | None = None
    lower: Coordinate | None = None

    @model_validator(mode="after")
    def _both_deviations(self) -> _Toleranced:
        if (self.upper is None) != (self.lower is None):
            raise ValueError('a tolerance needs both, such as upper = "0.1 mm" and lower = "-0.1 mm"')
        if self.upper and self.lower and self.upper.plain <= self.lower.plain:
            raise ValueError(f"upper ({self.upper.text}) has to be above lower ({self.lower.text})")
        return self


class Face(_Toleranced):
    """A plane face at a distance (`thickness`) from the face opposite."""

    kind: Literal["face"]
    thickness: Length
    from_: Identifier = Field(default="bottom", alias="from")


class Hole(_Toleranced):
    """One hole or several alike: `at` given places, on a `circle`, or in a `grid`."""

    kind: Literal["hole"]
    diameter: Length
    depth: Length | None = None
    through: StrictBool = False
    from_: Identifier = Field(alias="from")
    at: tuple[tuple[Coordinate, Coordinate], ...] | None = Field(default=None, max_length=MOST_POSITIONS)
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


Feature = Annotated[Face | Hole | Thread | Chamfer, Field(discriminator="kind")]


class Setup(Shape):
    """A machine, a workholding, the surfaces located on, the zero.

    `zero` says in words where it is, `origin` where it lies on a plate, so that walls to its edges can be
    reckoned: X to the right, Y to the back.
    """

    id: Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9-]*$", max_length=20)]
    machine: Identifier
    workholding: Identifier
    jaws: Text | None = None
    gripped_on: Text
    located_on: tuple[Text, ...] = ()
    stands_out: AnyLength | None = None
    stick_out: AnyLength | None = None
    grip_depth: Length | None = None
    side: Identifier = "top"
    zero: Text
    origin: Literal["middle", "front left", "front right", "back left", "back right"] | None = None
    basis: Basis = "estimate"


class SpeedSetting(Shape):
    """A set speed changed by the person, with the reason; never above the ruling limit."""

    spindle_speed: SpindleSpeed
    reason: Text


class Operation(Shape):
    """A recipe applied to a feature, or to the setup itself, with a tool. Never a size."""

    number: int = Field(ge=1, le=99999)
    setup: str
    recipe: Identifier
    feature: Identifier | None = None
    tool: Identifier | None = None
    leave: AnyLength | None = None
    settings: SpeedSetting | None = None
    remark: Text | None = None
    basis: Basis = "drawing"


class Job(Shape):
    """A job as planned."""

    schema_: int = Field(alias="schema", default=SCHEMA)
    job: Head
    stock: Stock
    features: tuple[Feature, ...] = ()
    setups: tuple[Setup, ...] = ()
    operations: tuple[Operation, ...] = ()

    @model_validator(mode="after")
    def _names_are_known(self) -> Job:
        _once("features", (feature.id for feature in self.features))
        _once("setups", (setup.id for setup in self.setups))
        _once("operations", (str(operation.number) for operation in self.operations))
        for feature in self.features:
            if isinstance(feature, (Thread, Chamfer)):
                base = self.feature(feature.of, f"features.{feature.id}.of")
                if not isinstance(base, Hole):
                    raise ValueError(f'features.{feature.id}.of: "{base.id}" is a {base.kind}, not a hole')
            if isinstance(feature, Hole) and feature.from_ not in self.sides:
                key = f"features.{feature.id}.from"
                if not isinstance(self.feature(feature.from_, key), Face):
                    raise ValueError(
                        f'{key}: "{feature.from_}" is no face; expected one, or a side such as top'
                    )
        self._holes_have_depths()
        self._threads_stand_alone()
        setups = {setup.id for setup in self.setups}
        for operation in self.operations:
            if operation.setup not in setups:
                raise ValueError(
                    f'operations.{operation.number}.setup: there is no setup "{operation.setup}"'
                    f"{nearest(operation.setup, setups)}; setups: {', '.join(sorted(setups)) or 'none'}"
                )
            if operation.feature is not None:
                self.feature(operation.feature, f"operations.{operation.number}.feature")
        return self

    def _holes_have_depths(self) -> None:
        threaded = {feature.of for feature in self.features if isinstance(feature, Thread)}
        for hole in self.features:
            if isinstance(hole, Hole) and not (hole.through or hole.depth or hole.id in threaded):
                raise ValueError(
                    f"features.{hole.id}.depth: a hole is through = true, has a depth such as "
                    'depth = "14 mm", or a thread of it that says how deep'
                )

    def _threads_stand_alone(self) -> None:
        threads: dict[str, str] = {}
        for thread in self.features:
            if isinstance(thread, Thread):
                other = threads.setdefault(thread.of, thread.id)
                if other != thread.id:
                    raise ValueError(f"features.{thread.id}.of: {thread.of} has a thread already, {other}")
                hole = self.feature(thread.of)
                if isinstance(hole, Hole) and hole.upper is not None:
                    raise ValueError(
                        f"features.{hole.id}.upper: the class of its thread, {thread.id}, gives the "
                        "limits of this hole; remove upper and lower"
                    )

    @property
    def sides(self) -> frozenset[str]:
        """Sides of the piece that exist without a feature of their own."""
        return frozenset({"bottom", "top", "left", "right", "front", "back"})

    def feature(self, id: str, key: str = "") -> Face | Hole | Thread | Chamfer:
        """Give the feature `id`; a `ValueError` that names the nearest one where there is none."""
        if id in self._features_by_id:
            return self._features_by_id[id]
        known = list(self._features_by_id)
        raise ValueError(
            f'{key}: there is no feature "{id}"{nearest(id, known)} features: {", ".join(known)}'.lstrip(": ")
        )

    @cached_property
    def _features_by_id(self) -> dict[str, Face | Hole | Thread | Chamfer]:
        return {feature.id: feature for feature in self.features}

    @cached_property
    def operations_by_base(self) -> dict[str, tuple[Operation, ...]]:
        """The operations on a face or a hole and on what stands of it, by its id."""
        found: dict[str, list[Operation]] = {}
        for operation in self.operations:
            if operation.feature is not None:
                base = base_of(self, self.feature(operation.feature))
                found.setdefault(base.id, []).append(operation)
        return {id: tuple(operations) for id, operations in found.items()}

    @cached_property
    def _setups_by_id(self) -> dict[str, Setup]:
        return {setup.id: setup for setup in self.setups}

    def setup(self, id: str) -> Setup:
        """Give the setup `id`."""
        return self._setups_by_id[id]


def base_of(job: Job, feature: Face | Hole | Thread | Chamfer) -> Face | Hole | Thread | Chamfer:
    """Give the hole that a thread or chamfer stands of, or the feature itself."""
    return job.feature(feature.of) if isinstance(feature, (Thread, Chamfer)) else feature


def _once(what: str, names: Iterable[str]) -> None:
    twice = [name for name, count in Counter(names).items() if count > 1]
    if twice:
        raise ValueError(f"{what}.{twice[0]}: it stands twice; each needs a name of its own")
