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
from handwheel.models.features import (
    AnyFeature,
    Bore,
    Edge,
    Face,
    Feature,
    Flat,
    Groove,
    Hole,
    OfAnother,
    Outside,
    Spigot,
    Thread,
    Turned,
)
from handwheel.models.sizes import (
    AnyLength,
    Basis,
    Deviation,
    Hardness,
    Length,
    Size,
    Slant,
    SpindleSpeed,
    Units,
)

__all__ = ["SCHEMA", "Head", "Job", "Mate", "Operation", "Setup", "SpeedSetting", "Stock", "base_of"]

SCHEMA = 1


class Head(Shape):
    """What the job is: title, unit system, material, and the class of untoleranced sizes."""

    title: Text
    units: Units = "mm"
    material: Text
    hardness: Hardness | None = None
    general_tolerance: Literal["f", "m", "c", "v"] = "m"
    remark: Text | None = None


class Stock(Shape):
    """The raw piece.

    `slant_a` and `slant_b` say by how much each sawn end is out of square, as an angle, `leaning` whether
    both lean the same way, `skin` how deep scale and saw marks go.
    """

    form: Literal["plate", "round", "hexagon", "tube"]
    length: Length
    width: Length | None = None
    thickness: Length | None = None
    diameter: Length | None = None
    bore_diameter: Length | None = None
    slant_a: Slant | None = None
    slant_b: Slant | None = None
    leaning: Literal["same", "opposite"] | None = None
    skin: AnyLength | None = None
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


class Mate(Shape):
    """A real part that a feature has to fit: what it is, its catalogue size, and what was measured of it.

    `is` says whether the mate is the shaft or the hole of the pair. The clearances are what the fit is to
    have [µm on diameter]; less than nothing is interference. `measured` is one size or several; until it was
    measured in an operation it counts as an estimate. `fitted` is for a mate that nothing owned can measure:
    it is offered up between light cuts. `depth` is how deep its recess is, or how wide it is itself.
    """

    id: Identifier
    what: Text
    is_: Literal["shaft", "hole"] = Field(alias="is")
    nominal: Length
    measured: tuple[Length, ...] | Length | None = None
    fitted: StrictBool = False
    min_clearance: Deviation | None = None
    max_clearance: Deviation | None = None
    depth: Length | None = None
    basis: Basis = "estimate"

    @model_validator(mode="after")
    def _both_clearances(self) -> Mate:
        least, most = self.min_clearance, self.max_clearance
        if (least is None) != (most is None):
            raise ValueError('a fit has both, such as min_clearance = "-4 µm" and max_clearance = "12 µm"')
        if least and most and least.plain >= most.plain:
            raise ValueError(f"max_clearance ({most.text}) has to be above min_clearance ({least.text})")
        return self

    @property
    def sizes(self) -> tuple[Size, ...]:
        """What was measured, as a list."""
        if self.measured is None:
            return ()
        return self.measured if isinstance(self.measured, tuple) else (self.measured,)


class Setup(Shape):
    """A machine, a workholding, the surfaces located on, the zero.

    `zero` says in words where it is, `origin` where it lies on a plate, so that walls to its edges can be
    reckoned: X to the right, Y to the back. `gripped_on` and `trued_on` name a feature by its id, or say it
    in words; what is raw stock says so. `jaws` is how a chuck holds: from outside, or from inside a bore.
    `stick_out` is how far the piece stands out of what holds it, `bar_behind` how far a bar stands out at
    the back of the spindle. A piece that was turned over was turned about X or Y, and `clocked_on` says by
    what its angle about the axis was found again.
    """

    id: Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9-]*$", max_length=20)]
    machine: Identifier
    workholding: Identifier
    jaws: Literal["outside", "inside"] | None = None
    soft_jaws: StrictBool = False
    gripped_on: Text
    grip_diameter: Length | None = None
    grip_depth: Length | None = None
    located_on: tuple[Text, ...] = ()
    stick_out: AnyLength | None = None
    support: Literal["centre", "steady"] | None = None
    bar_behind: AnyLength | None = None
    trued_on: Text | None = None
    turned_about: Literal["x", "y"] | None = None
    clocked_on: Text | None = None
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
    mate: Identifier | None = None
    tool: Identifier | None = None
    spindle: Literal["forward", "reverse"] = "forward"
    leave: AnyLength | None = None
    settings: SpeedSetting | None = None
    remark: Text | None = None
    basis: Basis = "drawing"


class Job(Shape):
    """A job as planned."""

    schema_: int = Field(alias="schema", default=SCHEMA)
    job: Head
    stock: Stock
    mates: tuple[Mate, ...] = ()
    features: tuple[Feature, ...] = ()
    setups: tuple[Setup, ...] = ()
    operations: tuple[Operation, ...] = ()

    @model_validator(mode="after")
    def _names_are_known(self) -> Job:
        _once("mates", (mate.id for mate in self.mates))
        _once("features", (feature.id for feature in self.features))
        _once("setups", (setup.id for setup in self.setups))
        _once("operations", (str(operation.number) for operation in self.operations))
        for feature in self.features:
            if feature.id in self.sides:
                raise ValueError(
                    f'features.{feature.id}.id: "{feature.id}" is the name of a side of the piece; '
                    f"give the feature another, such as {feature.id}-face"
                )
            self._references_of(feature)
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
            if operation.mate is not None:
                self.mate(operation.mate, f"operations.{operation.number}.mate")
        return self

    def _references_of(self, feature: AnyFeature) -> None:
        """Hold every name of another feature or mate against what there is."""
        here = f"features.{feature.id}"
        if isinstance(feature, OfAnother):
            base = self.feature(feature.of, f"{here}.of")
            if isinstance(feature, Groove):
                fits, words = isinstance(base, Bore), "a bore"
            elif isinstance(feature, Edge):
                fits, words = isinstance(base, Turned), "a face, an outside, a spigot or a bore"
            else:
                fits, words = isinstance(base, Hole), "a hole"
            if not fits:
                raise ValueError(f'{here}.of: "{base.id}" is a {base.kind}, not {words}')
        elif feature.from_ not in self.sides and not isinstance(
            self.feature(feature.from_, f"{here}.from"), (Face, Spigot, Flat)
        ):
            raise ValueError(
                f'{here}.from: "{feature.from_}" is no face; expected one, or a side such as top'
            )
        if isinstance(feature, (Outside, Spigot, Bore)):
            if feature.mate is not None:
                self.mate(feature.mate, f"{here}.mate")
            if feature.true_to is not None:
                self.feature(feature.true_to, f"{here}.true_to")

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

    def mate(self, id: str, key: str = "") -> Mate:
        """Give the mate `id`; a `ValueError` that names the nearest one where there is none."""
        found = {mate.id: mate for mate in self.mates}
        if id in found:
            return found[id]
        raise ValueError(f'{key}: there is no mate "{id}"{nearest(id, found)}'.lstrip(": "))

    def mate_of(self, operation: Operation) -> Mate | None:
        """Give the mate that an operation measures, or that its feature has to fit."""
        feature = self.feature(operation.feature) if operation.feature else None
        id = operation.mate or getattr(feature, "mate", None)
        return self.mate(id) if id else None

    @property
    def sides(self) -> frozenset[str]:
        """Sides of the piece that exist without a feature of their own."""
        return frozenset({"bottom", "top", "left", "right", "front", "back"})

    def feature(self, id: str, key: str = "") -> AnyFeature:
        """Give the feature `id`; a `ValueError` that names the nearest one where there is none."""
        if id in self._features_by_id:
            return self._features_by_id[id]
        known = list(self._features_by_id)
        raise ValueError(
            f'{key}: there is no feature "{id}"{nearest(id, known)} features: {", ".join(known)}'.lstrip(": ")
        )

    @cached_property
    def _features_by_id(self) -> dict[str, AnyFeature]:
        return {feature.id: feature for feature in self.features}

    @cached_property
    def operations_by_base(self) -> dict[str, tuple[Operation, ...]]:
        """The operations on a feature and on what stands of it, by its id."""
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


def base_of(job: Job, feature: AnyFeature) -> AnyFeature:
    """Give the feature that another stands of (the hole of a thread, the bore of a groove), or itself."""
    return job.feature(feature.of) if isinstance(feature, OfAnother) else feature


def _once(what: str, names: Iterable[str]) -> None:
    twice = [name for name, count in Counter(names).items() if count > 1]
    if twice:
        raise ValueError(f"{what}.{twice[0]}: it stands twice; each needs a name of its own")
