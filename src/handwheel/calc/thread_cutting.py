"""Cutting threads with one point and measuring them over wires; the chamfered threads of taps."""

from collections.abc import Mapping
from functools import cache
from itertools import pairwise
from math import cos, isclose, radians, sin, sqrt, tan
from typing import Annotated, Any, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation
from handwheel.calc.quantities import Pitch, Thread
from handwheel.calc.threads import parse_thread, thread_dimensions
from handwheel.errors import InputError
from handwheel.tables import table

__all__ = ["over_wires", "tap_lead", "thread_infeed"]

_FLANKS = {"metric": 60.0, "unified": 60.0, "G": 55.0, "Tr": 30.0}
"""Included angle of the profile [deg]: ISO 68-1, ASME B1.1, ISO 228-1, ISO 2901."""
_DEPTHS = {60.0: 0.613434, 55.0: 0.640327}
"""Depth of a bolt's thread over its pitch: ISO 68-1 (h3 = 17/24 H), ISO 228-1."""
_MOST_PASSES = 200

InfeedDepth = Annotated[float, Quantity("mm", "h", kind="depth", above=0, usual=(0.1, 4))]
Passes = Annotated[int, Quantity("", "N", at_least=1, at_most=_MOST_PASSES, usual=(3, 40))]
FlankAngle = Annotated[float, Quantity("deg", "flank", above=0, below=180, usual=(29, 60))]
CompoundAngle = Annotated[float, Quantity("deg", "beta", at_least=0, below=90, usual=(0, 30))]
Wire = Annotated[float, Quantity("mm", "w", kind="size", above=0, usual=(0.1, 6))]
BestWire = Annotated[float, Quantity("mm", "wb", kind="size", above=0)]
PitchDiameter = Annotated[float, Quantity("mm", "E", kind="size", above=0, usual=(0.5, 200))]
Measurement = Annotated[float, Quantity("mm", "M", kind="size", above=0)]
HalfFlank = Annotated[float, Quantity("deg", "a", above=0)]
Form = Annotated[str, Quantity("", "form", example="C")]
Lead = Annotated[float, Quantity("", "lead", above=0)]
LeadLow = Annotated[float, Quantity("", "lo", above=0)]
LeadHigh = Annotated[float, Quantity("", "hi", above=0)]
Use = Annotated[str, Quantity("", "use")]


class Infeed(NamedTuple):
    """One cut of a thread: how far the tool stands in, radially and along the compound slide [mm]."""

    radial: Annotated[float, Quantity("mm", "radial", kind="depth", above=0)]
    along_compound: Annotated[float, Quantity("mm", "along", kind="depth", above=0)]
    increment: Annotated[float, Quantity("mm", "increment", kind="depth", above=0)]


class Infeeds(NamedTuple):
    """Every cut, and the depth that they come to [mm]."""

    infeeds: Annotated[tuple[Infeed, ...], Quantity("", "infeeds")]
    total: Annotated[float, Quantity("mm", "t", kind="depth", above=0)]
    warnings: tuple[str, ...] = ()


class OverWires(NamedTuple):
    """The wire that touches at the pitch line, and what is read over three wires [mm]."""

    best_wire: BestWire
    measurement: Measurement
    used_wire: Annotated[float, Quantity("mm", "wu", kind="size", above=0)]
    pitch_diameter_used: Annotated[float, Quantity("mm", "Eu", kind="size", above=0)]
    half_angle: HalfFlank
    warnings: tuple[str, ...] = ()


class TapLead(NamedTuple):
    """Chamfered threads of a tap's form [pitches], and what it is for."""

    lead: Lead
    lead_low: LeadLow
    lead_high: LeadHigh
    use: Use


def _infeed_again(
    pitch: float,
    passes: int,
    depth: float | None = None,
    flank_angle: float = 60,
    compound_angle: float = 29.5,
) -> tuple[tuple[Infeed, ...], float]:
    """Add up increments instead: each cut takes as much area as the first, h² / N over the first depth."""
    whole = _depth(pitch, depth, flank_angle)
    area, stands, cuts = whole**2 / passes, 0.0, []
    for _ in range(passes):
        deeper = sqrt(stands**2 + area)
        cuts.append(Infeed(deeper, deeper / cos(radians(compound_angle)), area / (deeper + stands)))
        stands = deeper
    return tuple(cuts), whole


@calculation(
    title="Infeeds of a thread that is cut with one point",
    formula=(
        "t = h or (0.640327 if flank == 55 else 0.613434) * P; infeeds = [(t * sqrt(i / N), "
        "t * sqrt(i / N) / cos(radians(beta)), t * (sqrt(i / N) - sqrt((i - 1) / N))) for i "
        "in range(1, N + 1)]"
    ),
    source=(
        "depth 0.613434 P: ISO 68-1, 17/24 of the triangle (55 degrees: ISO 228-1); chips "
        "of equal area, so that "
        "the depth grows with the root of the cut's number: threading in tool makers' handbooks, from memory"
    ),
    examples=(
        Example(
            {"pitch": 1.5, "passes": 4},
            {"total": 0.920151},
            "ISO 965-2 and handbook tables: depth of M10, 0.920 mm",
        ),
        Example({"pitch": 2, "passes": 6, "depth": 1.2}, {"total": 1.2}, "a depth of one's own"),
    ),
    second=_infeed_again,
)
def thread_infeed(
    *,
    pitch: Pitch,
    passes: Passes,
    depth: InfeedDepth | None = None,
    flank_angle: FlankAngle = 60,
    compound_angle: CompoundAngle = 29.5,
) -> Infeeds:
    """Give where the tool stands for each cut of a thread [mm], radially and by the compound slide's dial.

    The depth is that of the standard for 60 and 55 degree threads, of others it has to be said. Every cut
    takes the same area off, so the first ones are the deepest. Not more than half of the flank angle on the
    compound slide, or the tool cuts the trailing flank away; the spring cuts come on top.
    """
    whole = _depth(pitch, depth, flank_angle)
    if compound_angle > flank_angle / 2:
        raise InputError(
            f"the compound slide at {compound_angle:g} deg would cut into the trailing flank; "
            f"at most half of the flank angle, for example {flank_angle / 2 - 0.5:g} deg"
        )
    stands = [whole * sqrt(number / passes) for number in range(passes + 1)]
    slope = cos(radians(compound_angle))
    cuts = tuple(Infeed(now, now / slope, now - before) for before, now in pairwise(stands))
    return Infeeds(cuts, whole)


def _depth(pitch: float, depth: float | None, flank_angle: float) -> float:
    if depth is not None:
        return depth
    if flank_angle not in _DEPTHS:
        raise CalculationError(
            f"thread_infeed: no depth is on file for a flank angle of {flank_angle:g} deg; "
            "give the depth, for example depth=1.25 mm, or an angle of 60 or 55 deg"
        )
    return _DEPTHS[flank_angle] * pitch


def _over_wires_again(
    thread: str, wire_diameter: float | None = None, pitch_diameter: float | None = None
) -> tuple[float, float, float, float, float]:
    """Go from the axis to the wire's centre instead: it lies in the groove of two flanks at E."""
    size = thread_dimensions(thread=thread)
    half = radians(_flank(thread) / 2)
    best = size.pitch / 2 / cos(half)
    wire = wire_diameter or best
    effective = pitch_diameter or size.pitch_diameter
    vertex = effective / 2 - size.pitch / 4 / tan(half)
    centre = vertex + wire / 2 / sin(half)
    return best, 2 * (centre + wire / 2), wire, effective, _flank(thread) / 2


@calculation(
    title="Measuring a thread over three wires",
    formula=(
        "table: d, d2, P and the half angle a of the thread; wb = P / (2 * cos(radians(a))); "
        "M = Eu + wu * (1 + 1 / sin(radians(a))) - P / 2 / tan(radians(a))"
    ),
    source=(
        "Machinery's Handbook, 31st ed., measuring screw threads by three wires (M = E - 0.866025 P + 3 W at "
        "60 degrees), without the correction for the lead angle; Eu is the basic pitch diameter unless given"
    ),
    examples=(
        Example(
            {"thread": "M10"},
            {"best_wire": 0.866, "measurement": 10.325},
            "arithmetic of the handbook's M = 9.026 - 1.299 + 3 x 0.866",
        ),
        Example(
            {"thread": "1/2-13 UNC", "wire_diameter": 1.2},
            {"measurement": 13.342},
            "arithmetic of the handbook's formula: 11.430 - 1.692 + 3.6",
        ),
    ),
    second=_over_wires_again,
)
def over_wires(
    *, thread: Thread, wire_diameter: Wire | None = None, pitch_diameter: PitchDiameter | None = None
) -> OverWires:
    """Give the best wire [mm] and what a micrometer reads over three of them [mm].

    Without a wire the best one is taken, without a pitch diameter the basic one: give the limit that is
    aimed at to get its reading. A wire that does not touch the flanks, or lies below the crests, is refused.
    The lead angle is left out, a few micrometres on coarse threads.
    """
    size = thread_dimensions(thread=thread)
    half = radians(_flank(thread) / 2)
    best = size.pitch / (2 * cos(half))
    wire = best if wire_diameter is None else wire_diameter
    effective = size.pitch_diameter if pitch_diameter is None else pitch_diameter
    over = effective + wire * (1 + 1 / sin(half)) - size.pitch / 2 / tan(half)
    touches = over - wire - wire * sin(half)
    if not size.external_minor < touches < size.major_diameter or over <= size.major_diameter:
        raise InputError(
            f"a wire of {wire:.4g} mm does not lie on the flanks of {thread}; the best one is {best:.4g} mm"
        )
    said = (
        ()
        if isclose(wire, best, rel_tol=0.05)
        else ("not near the best wire: an error of the flank angle goes into the reading",)
    )
    return OverWires(best, over, wire, effective, _flank(thread) / 2, said)


def _flank(thread: str) -> float:
    family = parse_thread(thread).family
    if family not in _FLANKS:
        raise InputError(
            f"{thread} is tapered: over wires a single diameter is measured, such as that of M10"
        )
    return _FLANKS[family]


@calculation(
    title="Chamfered threads of a tap",
    formula="table: tap_leads, the least lo and the most hi of the form; lead = hi",
    source="DIN 2197 and ASME B94.9, from memory; the longest is taken, so that a blind hole is deep enough",
    examples=(
        Example({"form": "C"}, {"lead": 3, "lead_low": 2, "lead_high": 3}, "DIN 2197 form C, from memory"),
    ),
    second="a row of a table has no second route",
)
def tap_lead(*, form: Form) -> TapLead:
    """Give the chamfered threads of a tap [pitches] by its form: A to F, or taper, plug, bottoming."""
    row = _leads().get(form.strip().casefold())
    if row is None:
        known = ", ".join(str(row["form"]) for row in _leads().values())
        raise CalculationError(f'tap_lead: form "{form}" is not one of: {known}')
    return TapLead(row["most"], row["least"], row["most"], row["use"])


@cache
def _leads() -> Mapping[str, Mapping[str, Any]]:
    return {row["form"].casefold(): row for row in table("tap_leads").rows}
