"""The shop: what the person owns, as `shop.toml` lists it. Settings of the program stand here too."""

from __future__ import annotations

from collections import Counter
from typing import Annotated, Literal

from pydantic import Field, StrictBool, model_validator

from handwheel.models.base import Identifier, Shape, Text
from handwheel.models.sizes import AnyLength, ConeAngle, Length, Power, Seconds, SpindleSpeed, Units

__all__ = ["SCHEMA", "Instrument", "Keys", "Machine", "Shop", "Tool", "Use", "UseName", "Workholding"]

SCHEMA = 1

MachineKind = Literal["mill", "lathe", "drill-press", "bench"]
UseName = Literal["outside", "inside", "depth", "rim"]
"""Over a part, in a bore, down a step, across the rim of a chamfer: an instrument is as good as its use."""


class Machine(Shape):
    """A machine with the speeds it has: steps, or anything between a lowest and a highest speed."""

    id: Identifier
    title: Text
    kind: MachineKind
    units: Units = "mm"
    speeds: tuple[SpindleSpeed, ...] = ()
    lowest_speed: SpindleSpeed | None = None
    highest_speed: SpindleSpeed | None = None
    rated_power: Power | None = None
    base_speed: SpindleSpeed | None = None
    reverses: StrictBool = False
    readout: StrictBool = False
    nose: Literal["taper", "screwed", "flange"] | None = None

    @model_validator(mode="after")
    def _has_speeds(self) -> Machine:
        if self.kind != "bench" and not self.speeds and not (self.lowest_speed and self.highest_speed):
            raise ValueError(
                'a machine needs its speeds, such as speeds = ["300 1/min", "850 1/min"], '
                "or lowest_speed and highest_speed"
            )
        return self


class Tool(Shape):
    """A cutting tool as it lies in the drawer; sizes measured on it, not read off the box."""

    id: Identifier
    title: Text
    kind: Literal[
        "face-mill", "end-mill", "spot-drill", "drill", "countersink", "chamfer-mill", "tap", "hand-tap"
    ]
    material: Literal["HSS", "HSS-Co", "carbide", "carbide-insert"]
    diameter: Length
    teeth: int | None = Field(default=None, ge=1, le=40)
    point_angle: ConeAngle | None = None
    tip_diameter: AnyLength | None = None
    length: Literal["stub", "jobber", "long"] | None = None
    reach: Length | None = None
    thread: Text | None = None
    lead: Annotated[float, Field(gt=0, le=12)] | None = None
    tap_point: AnyLength | None = None
    highest_speed: SpindleSpeed | None = None
    remark: Text | None = None


class Use(Shape):
    """One use of an instrument: over what range, and how far a reading may be out (U, k = 2)."""

    use: UseName
    smallest: AnyLength
    largest: Length
    uncertainty: Length

    @model_validator(mode="after")
    def _has_a_range(self) -> Use:
        if self.largest.plain <= self.smallest.plain:
            raise ValueError(f"largest ({self.largest.text}) has to be above smallest ({self.smallest.text})")
        return self


class Instrument(Shape):
    """A measuring instrument, with each use it has."""

    id: Identifier
    title: Text
    uses: tuple[Use, ...]


class Workholding(Shape):
    """A vice, a chuck, clamps."""

    id: Identifier
    title: Text
    kind: Literal["vice", "clamps", "chuck", "collet", "faceplate", "hand"]
    highest_speed: SpindleSpeed | None = None
    opening: Length | None = None
    jaw_height: Length | None = None


GUARD = 0.3
"""Seconds within which a second Enter is dropped, unless the shop says otherwise (HF-4)."""


class Keys(Shape):
    """How the keyboard behaves: a second Enter within `guard` is dropped, and says so; 0 s is none."""

    guard: Seconds | None = None


class Shop(Shape):
    """What the person owns and how they like to work."""

    schema_: int = Field(alias="schema", default=SCHEMA)
    units: Units = "mm"
    people: tuple[Text, ...] = ()
    reasons: tuple[Text, ...] = ()
    keys: Keys = Keys()
    machines: tuple[Machine, ...] = ()
    tools: tuple[Tool, ...] = ()
    instruments: tuple[Instrument, ...] = ()
    workholdings: tuple[Workholding, ...] = ()

    @model_validator(mode="after")
    def _names_stand_once(self) -> Shop:
        for what in ("machines", "tools", "instruments", "workholdings"):
            twice = [id for id, n in Counter(one.id for one in getattr(self, what)).items() if n > 1]
            if twice:
                raise ValueError(f'{what}: "{twice[0]}" stands twice; each needs a name of its own')
        return self

    def machine(self, id: str) -> Machine | None:
        """Give the machine `id`, or None."""
        return next((one for one in self.machines if one.id == id), None)

    def tool(self, id: str | None) -> Tool | None:
        """Give the tool `id`, or None."""
        return next((one for one in self.tools if one.id == id), None)

    def workholding(self, id: str) -> Workholding | None:
        """Give the workholding `id`, or None."""
        return next((one for one in self.workholdings if one.id == id), None)
