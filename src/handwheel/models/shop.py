"""The shop: what the person owns, as `shop.toml` lists it. Settings of the program stand here too."""

from __future__ import annotations

from collections import Counter
from functools import cached_property
from typing import Annotated, Literal

from pydantic import Field, StrictBool, model_validator

from handwheel.models.base import Identifier, Shape, Text
from handwheel.models.sizes import (
    AnyLength,
    ConeAngle,
    Force,
    Length,
    Mass,
    Power,
    Seconds,
    SpindleSpeed,
    Torque,
    Units,
)

__all__ = [
    "LATHE_TOOLS",
    "SCHEMA",
    "Instrument",
    "Keys",
    "Machine",
    "Shop",
    "Tool",
    "ToolKind",
    "Use",
    "UseName",
    "Workholding",
]

SCHEMA = 1

MachineKind = Literal["mill", "lathe", "drill-press", "bench"]
ToolKind = Literal[
    "face-mill", "end-mill", "spot-drill", "centre-drill", "drill", "reamer", "counterbore", "countersink",
    "chamfer-mill", "tap", "hand-tap",
    "turning-tool", "boring-bar", "grooving-tool", "internal-grooving-tool", "parting-tool",
    "chamfering-tool",
]  # fmt: skip
LATHE_TOOLS = frozenset(
    {
        "turning-tool", "boring-bar", "grooving-tool", "internal-grooving-tool", "parting-tool",
        "chamfering-tool",
    }
)  # fmt: skip
"""Tools with a single edge, that have no diameter of their own."""

UseName = Literal["outside", "inside", "depth", "rim", "groove"]
"""Over a part, in a bore, down a step, across the rim of a chamfer, in a groove of a bore: an instrument is
as good as its use."""


class Machine(Shape):
    """A machine with the speeds it has: steps, or anything between a lowest and a highest speed.

    `reads` says whether the cross slide of a lathe counts on diameter or on radius, `readout` whether there
    is one (otherwise the dials count), `backlash` how much its screws are loose, `dial_turn` what one turn
    of the cross slide's dial counts and `graduation` one line of it; `slide_indicator` is one line of an
    indicator that last cuts are set by, counted as the slide counts. `nose` names how chucks sit on the
    spindle; `longest_bar_behind` is how far a bar may stand out at the back of it. `light_factor` is the
    share of the published cutting speed and depth of cut that a light machine is given; without it all of it.
    """

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
    reads: Literal["diameter", "radius"] = "diameter"
    backlash: AnyLength | None = None
    dial_turn: Length | None = None
    graduation: Length | None = None
    slide_indicator: Length | None = None
    constant_surface_speed: StrictBool = False
    nose: Literal["taper", "screwed", "flange"] | None = None
    longest_bar_behind: Length | None = None
    light_factor: Annotated[float, Field(ge=0.2, le=1, strict=True)] | None = None

    @model_validator(mode="after")
    def _has_speeds(self) -> Machine:
        if self.kind != "bench" and not self.speeds and not (self.lowest_speed and self.highest_speed):
            raise ValueError(
                'a machine needs its speeds, such as speeds = ["300 1/min", "850 1/min"], '
                "or lowest_speed and highest_speed"
            )
        return self


class Tool(Shape):
    """A cutting tool as it lies in the drawer; sizes measured on it, not read off the box.

    `pilot_diameter` is that of the pin of a counterbore, `bevel` how long the lead of a reamer is.
    `overhang` is how far it stands out of its holder, `bar_diameter` how thick the bar of a boring tool is,
    `smallest_bore` the smallest bore that it goes into, `width` that of a blade, `nose_radius` that of the
    corner that cuts.
    """

    id: Identifier
    title: Text
    kind: ToolKind
    material: Literal["HSS", "HSS-Co", "carbide", "carbide-insert"]
    diameter: Length | None = None
    width: Length | None = None
    nose_radius: Length | None = None
    overhang: Length | None = None
    bar_diameter: Length | None = None
    bar_material: Literal["steel", "carbide"] | None = None
    smallest_bore: Length | None = None
    teeth: int | None = Field(default=None, ge=1, le=40)
    point_angle: ConeAngle | None = None
    tip_diameter: AnyLength | None = None
    pilot_diameter: Length | None = None
    bevel: AnyLength | None = None
    length: Literal["stub", "jobber", "long"] | None = None
    reach: Length | None = None
    thread: Text | None = None
    lead: Annotated[float, Field(gt=0, le=12)] | None = None
    tap_point: AnyLength | None = None
    highest_speed: SpindleSpeed | None = None
    remark: Text | None = None

    @model_validator(mode="after")
    def _a_round_tool_has_a_diameter(self) -> Tool:
        if self.diameter is None and self.kind not in LATHE_TOOLS:
            raise ValueError(f'a {self.kind} needs its diameter, such as diameter = "10 mm"')
        return self


class Use(Shape):
    """One use of an instrument: over what range, and how far a reading may be out (U, k = 2).

    `repeatability` is by how much two readings of the same place may differ; where it is not said, two
    readings have to agree within the uncertainty.
    """

    use: UseName
    smallest: AnyLength
    largest: Length
    uncertainty: Length
    repeatability: Length | None = None

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
    """A vice, a chuck, clamps.

    Of a chuck: the maker's `highest_speed`; how hard it holds, as the `static_force` of all jaws together, or
    as the `key_torque` pulled with the maker's pair of `rated_force` and `rated_torque`; the mass of one jaw
    and the radius of its centre of gravity, by which it lets go as it turns.
    """

    id: Identifier
    title: Text
    kind: Literal["vice", "clamps", "chuck", "collet", "faceplate", "hand"]
    highest_speed: SpindleSpeed | None = None
    opening: Length | None = None
    jaw_height: Length | None = None
    jaws: int | None = Field(default=None, ge=2, le=8)
    independent: StrictBool = False
    static_force: Force | None = None
    key_torque: Torque | None = None
    rated_force: Force | None = None
    rated_torque: Torque | None = None
    jaw_mass: Mass | None = None
    jaw_radius: Length | None = None


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
        return self._machines_by_id.get(id)

    def tool(self, id: str | None) -> Tool | None:
        """Give the tool `id`, or None."""
        return self._tools_by_id.get(id) if id is not None else None

    def workholding(self, id: str) -> Workholding | None:
        """Give the workholding `id`, or None."""
        return self._workholdings_by_id.get(id)

    @cached_property
    def _machines_by_id(self) -> dict[str, Machine]:
        return {one.id: one for one in self.machines}

    @cached_property
    def _tools_by_id(self) -> dict[str, Tool]:
        return {one.id: one for one in self.tools}

    @cached_property
    def _workholdings_by_id(self) -> dict[str, Workholding]:
        return {one.id: one for one in self.workholdings}
