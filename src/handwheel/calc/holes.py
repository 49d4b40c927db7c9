"""Holes and their edges: how far the tip of a drill, spot drill or chamfer tool has to travel.

Depths are from the surface where the tool enters. A tip is taken as a sharp cone unless a flat tip
is given; a real drill with a thinned web comes out a little shorter.
"""

from itertools import accumulate
from math import ceil, radians, tan
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import Example, Quantity, calculation
from handwheel.calc.materials import MaterialName, find_material
from handwheel.calc.quantities import Depth, Diameter, Length, Pitch, PointAngle
from handwheel.errors import InputError

__all__ = [
    "blind_hole_depth",
    "chamfer_depth",
    "chamfer_diameter",
    "countersink_depth",
    "drill_point_length",
    "drill_travel",
    "peck_plan",
    "spot_depth",
]

_CONE = "geometry of the cone; Machinery's Handbook, 31st ed., drill point and countersink depths"

TipDiameter = Annotated[float, Quantity("mm", "dt", at_least=0, usual=(0, 20))]
HoleDiameter = Annotated[float, Quantity("mm", "dh", at_least=0, usual=(0, 500))]
ChamferDiameter = Annotated[float, Quantity("mm", "D", kind="size", above=0, usual=(0.1, 500))]
IncludedAngle = Annotated[float, Quantity("deg", "sigma", above=0, below=180, usual=(60, 150))]
Leg = Annotated[float, Quantity("mm", "c", kind="size", above=0, usual=(0.05, 20))]
Clearance = Annotated[float, Quantity("mm", "a", at_least=0, usual=(0, 20))]
OpenHole = Annotated[float, Quantity("mm", "dh", above=0, usual=(0.1, 500))]
TipDepth = Annotated[float, Quantity("mm", "z", kind="depth")]
ZeroDepth = Annotated[float, Quantity("mm", "z", kind="depth", at_least=0)]


@calculation(
    title="Length of a drill's point",
    formula="length = d / (2 * tan(radians(sigma) / 2))",
    source=_CONE,
    examples=(
        Example({"diameter": 10, "point_angle": 140}, {"length": 1.8199}, "arithmetic of the formula"),
    ),
    second=lambda diameter, point_angle=118: diameter / 2 * tan(radians(90 - point_angle / 2)),
    result="length",
)
def drill_point_length(
    *, diameter: Diameter, point_angle: PointAngle = 118
) -> Annotated[float, Quantity("mm", "length", kind="depth")]:
    """Give the length [mm] of the cone below the full diameter [mm] of a drill."""
    return diameter / (2 * tan(radians(point_angle) / 2))


@calculation(
    title="Travel of a drill's tip for a depth at full diameter, or through a thickness",
    formula="z = t + a + d / (2 * tan(radians(sigma) / 2))",
    source=_CONE,
    examples=(
        Example(
            {"depth": 20, "diameter": 10, "point_angle": 140, "clearance": 1},
            {"tip_depth": 22.8199},
            "arithmetic of the formula",
        ),
    ),
    second=lambda depth, diameter, point_angle=118, clearance=0: (
        depth + diameter / 2 * tan(radians(90 - point_angle / 2)) + clearance
    ),
    result="tip_depth",
)
def drill_travel(
    *, depth: Depth, diameter: Diameter, point_angle: PointAngle = 118, clearance: Clearance = 0
) -> TipDepth:
    """Give the depth of the tip [mm] at which the full diameter has reached a depth [mm].

    For a through hole `depth` is the thickness and `clearance` how far the full diameter comes out
    below; for a blind hole the clearance stays 0.
    """
    return depth + clearance + drill_point_length(diameter=diameter, point_angle=point_angle)


@calculation(
    title="Depth of a spot drill for a chamfer's diameter",
    formula="z = (D - dt) / (2 * tan(radians(sigma) / 2))",
    source=_CONE,
    examples=(
        Example(
            {"chamfer_diameter": 10.5, "point_angle": 142}, {"depth": 1.8077}, "arithmetic of the formula"
        ),
    ),
    second=lambda chamfer_diameter, point_angle=90, tip_diameter=0: (
        (chamfer_diameter - tip_diameter) / 2 * tan(radians(90 - point_angle / 2))
    ),
    result="depth",
)
def spot_depth(
    *, chamfer_diameter: ChamferDiameter, point_angle: PointAngle = 90, tip_diameter: TipDiameter = 0
) -> ZeroDepth:
    """Give the depth of the tip [mm] at which a spot drill cuts a diameter [mm] at the surface."""
    if tip_diameter > chamfer_diameter:
        raise InputError(
            f"the flat tip, {tip_diameter:g} mm, is wider than {chamfer_diameter:g} mm; "
            f"expected a tip of at most {chamfer_diameter:g} mm"
        )
    return (chamfer_diameter - tip_diameter) / (2 * tan(radians(point_angle) / 2))


class Countersink(NamedTuple):
    """Travel of the tip below the surface, and travel after touching the edge of the hole [mm]."""

    depth_from_surface: Annotated[float, Quantity("mm", "z_surface", kind="depth")]
    depth_from_edge: Annotated[float, Quantity("mm", "z_edge", kind="depth")]


@calculation(
    title="Depth of a countersink, from the surface and from touching the hole's edge",
    formula=(
        "z_surface = (D - dt) / (2 * tan(radians(sigma) / 2)); "
        "z_edge = (D - max(dh, dt)) / (2 * tan(radians(sigma) / 2))"
    ),
    source=_CONE,
    examples=(
        Example(
            {"major_diameter": 13.44, "hole_diameter": 6.6, "included_angle": 90},
            {"depth_from_surface": 6.72, "depth_from_edge": 3.42},
            "arithmetic for an ISO 10642 screw M6",
        ),
    ),
    second=lambda major_diameter, included_angle, hole_diameter=0, tip_diameter=0: (
        (major_diameter - tip_diameter) / 2 * tan(radians(90 - included_angle / 2)),
        (major_diameter - max(hole_diameter, tip_diameter)) / 2 * tan(radians(90 - included_angle / 2)),
    ),
)
def countersink_depth(
    *,
    major_diameter: ChamferDiameter,
    hole_diameter: HoleDiameter = 0,
    included_angle: IncludedAngle,
    tip_diameter: TipDiameter = 0,
) -> Countersink:
    """Give both travels of the tip [mm] for a diameter at the surface [mm].

    A flat tip wider than the hole touches the surface first: then both travels are the same.
    """
    touched = max(hole_diameter, tip_diameter)
    if touched > major_diameter:
        raise InputError(
            f"the countersink, {major_diameter:g} mm, is smaller than {touched:g} mm below it; "
            f"expected at least {touched:g} mm"
        )
    factor = 1 / (2 * tan(radians(included_angle) / 2))
    return Countersink((major_diameter - tip_diameter) * factor, (major_diameter - touched) * factor)


@calculation(
    title="Diameter of a chamfer at the surface",
    formula="D = dh + 2 * c * tan(radians(sigma) / 2)",
    source="geometry of the cone",
    examples=(Example({"hole_diameter": 6.8, "leg": 0.9}, {"diameter": 8.6}, "arithmetic of the formula"),),
    second=lambda hole_diameter, leg, included_angle=90: (
        hole_diameter + 2 * leg / tan(radians(90 - included_angle / 2))
    ),
    result="diameter",
)
def chamfer_diameter(
    *, hole_diameter: HoleDiameter, leg: Leg, included_angle: IncludedAngle = 90
) -> ChamferDiameter:
    """Give the diameter [mm] that a chamfer with an axial leg [mm] has at the surface."""
    return hole_diameter + 2 * leg * tan(radians(included_angle) / 2)


class Chamfer(NamedTuple):
    """Depth of the tip [mm], and how far the tool's axis stands from the hole's axis [mm]."""

    depth: Annotated[float, Quantity("mm", "z", kind="depth")]
    tool_offset: Annotated[float, Quantity("mm", "offset", kind="size")]


@calculation(
    title="Depth and offset of a chamfer tool that runs round a hole",
    formula="z = c + a; offset = dh / 2 - dt / 2 - a * tan(radians(sigma) / 2)",
    source="geometry of the cone: at the lower end of the chamfer the tool is as far out as the hole",
    examples=(
        Example(
            {"leg": 0.5, "tip_diameter": 1, "tip_clearance": 1, "hole_diameter": 10},
            {"depth": 1.5, "tool_offset": 3.5},
            "drawn to scale: 5 mm less half the tip and 1 mm at 45 degrees",
        ),
    ),
    second=lambda leg, hole_diameter, included_angle=90, tip_diameter=0, tip_clearance=0: (
        leg + tip_clearance,
        # seen at the surface instead: half the chamfer's diameter less the tool's radius there
        chamfer_diameter(hole_diameter=hole_diameter, leg=leg, included_angle=included_angle) / 2
        - (tip_diameter / 2 + (leg + tip_clearance) * tan(radians(included_angle) / 2)),
    ),
)
def chamfer_depth(
    *,
    leg: Leg,
    included_angle: IncludedAngle = 90,
    tip_diameter: TipDiameter = 0,
    tip_clearance: Clearance = 0,
    hole_diameter: OpenHole,
) -> Chamfer:
    """Give depth and offset [mm] for a chamfer with an axial leg [mm] at the edge of a hole [mm].

    `tip_clearance` is how far the tip runs below the chamfer's lower end, clear of the weak tip. A
    tool that is wider there than the hole is refused.
    """
    offset = hole_diameter / 2 - tip_diameter / 2 - tip_clearance * tan(radians(included_angle) / 2)
    if offset < 0:
        raise InputError(
            f"the tool does not go into the hole of {hole_diameter:g} mm with {tip_clearance:g} mm below "
            "the chamfer; take a smaller clearance, or plunge on the axis (countersink_depth)"
        )
    return Chamfer(leg + tip_clearance, offset)


class BlindHole(NamedTuple):
    """Depths of drill and tap [mm], turns of the tap from its first bite, floor left below the tip [mm]."""

    full_diameter_depth: Annotated[float, Quantity("mm", "t1", kind="depth", bound="at least")]
    tip_depth: Annotated[float, Quantity("mm", "t2", kind="depth")]
    tap_tip_depth: Annotated[float, Quantity("mm", "t3", kind="depth")]
    turns: Annotated[float, Quantity("", "turns", kind="turns")]
    floor: Annotated[float, Quantity("mm", "floor", kind="depth", bound="at most")] | None
    warnings: tuple[str, ...] = ()


def _blind_hole_by_turns(
    thread_depth: float,
    pitch: float,
    tap_lead: float,
    drill_diameter: float,
    clearance: float | None = None,
    tap_point: float = 0,
    point_angle: float = 118,
    thickness: float | None = None,
) -> tuple[float, float, float, float, float | None]:
    """Count the tap's turns and let each go a pitch deep; take the drill's cone from its flank's slope."""
    turns = (thread_depth + tap_lead * pitch) / pitch
    tap_tip = tap_point + turns * pitch
    full = tap_tip + pitch if clearance is None else tap_tip + clearance
    cone = drill_diameter / 2 * tan(radians(90 - point_angle / 2))
    floor = None if thickness is None else (thickness - cone) - full
    return full, full + cone, tap_tip, turns, floor


ThreadDepth = Annotated[float, Quantity("mm", "b", above=0, usual=(1, 200))]
TapLead = Annotated[float, Quantity("", "lead", at_least=0, at_most=15, usual=(1, 8))]
TapPoint = Annotated[float, Quantity("mm", "p", at_least=0, usual=(0, 10))]


@calculation(
    title="Depth of a blind hole for a tap",
    formula=(
        "t1 = b + lead * P + p + (P if a is None else a); t2 = t1 + d / (2 * tan(radians(sigma) / 2)); "
        "t3 = b + lead * P + p; turns = b / P + lead; floor = l - t2"
    ),
    source=(
        "thread + chamfered threads of the tap + one pitch, the least in print (a tap maker's guide); "
        "DIN 76-1 asks for more, BS 1936 at times for less"
    ),
    examples=(
        Example(
            {"thread_depth": 12, "pitch": 1.25, "tap_lead": 2, "drill_diameter": 6.8},
            {"full_diameter_depth": 15.75, "tip_depth": 17.7929, "tap_tip_depth": 14.5, "turns": 11.6},
            "arithmetic: 12 + 2.5 + 1.25; drill point 2.0429",
        ),
    ),
    second=_blind_hole_by_turns,
)
def blind_hole_depth(
    *,
    thread_depth: ThreadDepth,
    pitch: Pitch,
    tap_lead: TapLead,
    clearance: Clearance | None = None,
    tap_point: TapPoint = 0,
    drill_diameter: Diameter,
    point_angle: PointAngle = 118,
    thickness: Length | None = None,
) -> BlindHole:
    """Give the depths [mm] of drill and tap for a depth of full thread [mm].

    `tap_lead` is the number of chamfered threads of the tap (DIN 2197: form C 2 to 3, form D 3.5 to
    5, form E 1.5 to 2), `tap_point` how far a male point stands out before them, `clearance` what
    stays between the tap's end and the end of the full diameter: one pitch unless given. The point
    is kept above the drill's cone, which is the cautious reading. `turns` count from the first bite.
    """
    gap = pitch if clearance is None else clearance
    tap_tip_depth = thread_depth + tap_lead * pitch + tap_point
    full = tap_tip_depth + gap
    tip = full + drill_point_length(diameter=drill_diameter, point_angle=point_angle)
    floor = None if thickness is None else thickness - tip
    warnings = []
    if gap < pitch:
        warnings.append(f"the tap ends {gap:g} mm above the full diameter's end; less than one pitch")
    if floor is not None and floor <= 0:
        warnings.append(f"the drill breaks through: its tip goes {-floor:.2f} mm beyond the thickness")
    turns = thread_depth / pitch + tap_lead
    return BlindHole(full, tip, tap_tip_depth, turns, floor, tuple(warnings))


class Peck(NamedTuple):
    """One peck: the depth of the tip when it ends, and how far it went [mm]."""

    depth: Annotated[float, Quantity("mm", "depth", kind="depth")]
    increment: Annotated[float, Quantity("mm", "increment", kind="depth")]


class PeckPlan(NamedTuple):
    """The first peck [mm], all pecks, and how many there are."""

    first_peck: Annotated[float, Quantity("mm", "first", kind="depth", bound="at most")]
    pecks: Annotated[tuple[Peck, ...], Quantity("", "pecks")]
    count: Annotated[int, Quantity("", "count")]  # type: ignore[assignment]  # the contract's name
    warnings: tuple[str, ...] = ()


_DEEP = 5.0
"""From this many diameters on a tool maker's table cuts the speed by 30 % and the feed by 20 %."""


def _pecks_by_trying(
    diameter: float, depth: float, material: str
) -> tuple[float, tuple[tuple[float, float], ...], int]:
    """Put one more peck behind the first until none is longer than half of it; add them up."""
    first = min(_first_peck_in_diameters(material) * diameter, depth)
    left, later = depth - first, 0
    while left / (first / 2) - later > 1e-9:
        later += 1
    steps = [first, *[left / later] * later] if later else [depth]
    return steps[0], tuple(zip(accumulate(steps), steps, strict=True)), len(steps)


@calculation(
    title="Pecks of a drill, to a depth of its tip",
    formula=(
        "table: materials, its chips: the first peck is 3 d (short chips), 2 d (long-chipping steel), 1 d "
        "(all others), no deeper than t; n = max(0, ceil((t - first) / (first / 2) - 1e-9)); count = n + 1; "
        "ends = [first + (t - first) / max(n, 1) * i for i in range(count)]; "
        "pecks = [(one, one - (ends[i - 1] if i else 0)) for i, one in enumerate(ends)]"
    ),
    source=(
        "common practice, no source: thresholds in print go from 1 D to 4 D and no standard rules; "
        "taken is the cautious one of each kind of chip"
    ),
    examples=(
        Example(
            {"diameter": 6, "depth": 30, "material": "C45"},
            {"first_peck": 12.0, "count": 4},
            "arithmetic: 12 mm, then 18 mm in pecks of at most 6 mm",
        ),
    ),
    second=_pecks_by_trying,
)
def peck_plan(*, diameter: Diameter, depth: Depth, material: MaterialName) -> PeckPlan:
    """Split a travel of the drill's tip [mm] into pecks after which the drill comes out to clear chips.

    `depth` is the depth of the tip, as `drill_travel` or `blind_hole_depth` gives it: it is what a
    stop or a dial is set to. The first peck is the longest; the later ones are at most half of it,
    and equal, so that none is left over as a sliver. The last row is the depth itself.
    """
    first_limit = _first_peck_in_diameters(material) * diameter
    # the slack keeps a rounding error from adding a peck
    later = max(0, ceil((depth - first_limit) / (first_limit / 2) - 1e-9))
    first = first_limit if later else depth
    if later > 2000:
        raise InputError(
            f"{depth:g} mm with a drill of {diameter:g} mm: no drill goes {later} pecks deep; "
            f"expected at most {1000 * first_limit:g} mm"
        )
    step = (depth - first) / later if later else 0.0
    depths = [first + step * number for number in range(later)] + [depth] if later else [depth]
    starts = [0.0, *depths[:-1]]
    pecks = tuple(Peck(end, end - start) for start, end in zip(starts, depths, strict=True))
    return PeckPlan(first, pecks, len(pecks), _deep_hole(depth, diameter))


def _first_peck_in_diameters(material: str) -> float:
    """Give the first peck in drill diameters: short chips fall out, tough and sticky ones wind up."""
    found = find_material(material)
    if found.chips == "short":
        return 3.0
    return 2.0 if found.group == "P" else 1.0


def _deep_hole(depth: float, diameter: float) -> tuple[str, ...]:
    if depth < _DEEP * diameter:
        return ()
    return (
        f"the hole is {depth / diameter:.1f} diameters deep: from 5 on makers' tables cut the speed by 30 % "
        "and the feed by 20 %",
    )
