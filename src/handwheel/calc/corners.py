"""What a round cutter leaves in an inside corner, and how it goes down in a helix."""

from math import cos, pi, radians, sin, sqrt, tan
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import Example, Quantity, calculation
from handwheel.errors import InputError

__all__ = ["corner_relief", "helical_entry"]

CutterDiameter = Annotated[float, Quantity("mm", "dc", above=0, usual=(0.5, 50))]
CornerAngle = Annotated[float, Quantity("deg", "theta", above=0, below=180, usual=(30, 150))]
MateEdge = Annotated[float, Quantity("mm", "r", at_least=0, usual=(0, 20))]
Fits = Annotated[bool, Quantity("", "fits")]
ShiftX = Annotated[float, Quantity("mm", "sx", kind="position", at_least=0, bound="at least")]
ShiftY = Annotated[float, Quantity("mm", "sy", kind="position", at_least=0, bound="at least")]
HoleDiameter = Annotated[float, Quantity("mm", "D", above=0, usual=(1, 300))]
RampAngle = Annotated[float, Quantity("deg", "beta", above=0, below=90, usual=(0.2, 10))]
PathDiameter = Annotated[float, Quantity("mm", "dp", kind="position", above=0)]
LeadPerTurn = Annotated[float, Quantity("mm", "lead", kind="depth", above=0)]


class CornerRelief(NamedTuple):
    """Whether the mate goes into the corner as milled, and how far to mill on into it [mm]."""

    fits: Fits
    shift_x: ShiftX
    shift_y: ShiftY
    warnings: tuple[str, ...] = ()


class HelicalEntry(NamedTuple):
    """The circle that the cutter's centre runs on, and how deep it goes in one turn [mm]."""

    path_diameter: PathDiameter
    lead_per_turn: LeadPerTurn
    warnings: tuple[str, ...] = ()


def _relief_again(
    cutter_diameter: float, mate_edge: float, corner_angle: float = 90
) -> tuple[bool, float, float]:
    """Take the way between two centres instead: both halve the corner, each its radius from the walls."""
    half = radians(corner_angle) / 2
    short, long = sorted((cutter_diameter / 2, mate_edge))
    fits = long == mate_edge and mate_edge >= cutter_diameter / 2
    far = (sqrt(1 + 1 / tan(half) ** 2) - 1) * (long - short)
    return fits, *((0.0, 0.0) if fits else (far * cos(half), far * sin(half)))


@calculation(
    title="Relief of an inside corner for a mate's edge",
    formula=(
        "fits = r >= dc / 2; far = max(dc / 2 - r, 0) * (1 / sin(radians(theta) / 2) - 1); "
        "sx = far * cos(radians(theta) / 2); sy = far * sin(radians(theta) / 2)"
    ),
    source="geometry: the centre of a circle that touches both walls is R / sin(theta / 2) from the corner",
    examples=(
        Example(
            {"cutter_diameter": 10, "mate_edge": 0},
            {"fits": False, "shift_x": 1.46447, "shift_y": 1.46447},
            "by hand: 5 (sqrt(2) - 1) along the diagonal, over sqrt(2)",
        ),
        Example(
            {"cutter_diameter": 10, "mate_edge": 5.5},
            {"fits": True, "shift_x": 0},
            "an edge rounder than the cutter",
        ),
    ),
    second=_relief_again,
)
def corner_relief(
    *, cutter_diameter: CutterDiameter, mate_edge: MateEdge, corner_angle: CornerAngle = 90
) -> CornerRelief:
    """Say whether a mate goes into a milled inside corner, and how far to mill on into it [mm] where not.

    `mate_edge` is the radius of the mate's edge [mm], 0 where it is sharp. Of a chamfer give the leg times
    tan(theta / 2), at a square corner the leg itself: the round of that size encloses the chamfer. The shift
    is from where the cutter touches both walls, on towards the corner along the line that halves it, until
    the mate's edge is just cut free: x along one wall, y square to that one. Nothing is left for a gap.
    """
    half = radians(corner_angle) / 2
    left = max(cutter_diameter / 2 - mate_edge, 0.0)
    far = left * (1 / sin(half) - 1)
    said = ("the relief cuts into both walls: see what lies behind them",) if left else ()
    return CornerRelief(not left, far * cos(half), far * sin(half), said)


@calculation(
    title="Going down in a helix",
    formula="dp = D - dc; lead = pi * dp * tan(radians(beta))",
    source="geometry of the helix; the ramp angle is for the cutter's maker to say",
    examples=(
        Example(
            {"hole_diameter": 16, "cutter_diameter": 10, "ramp_angle": 2},
            {"path_diameter": 6, "lead_per_turn": 0.6582},
            "by hand: 18.850 mm round, times 0.034921",
        ),
    ),
    second=lambda hole_diameter, cutter_diameter, ramp_angle: (
        2 * (hole_diameter / 2 - cutter_diameter / 2),
        2 * pi * (hole_diameter - cutter_diameter) / 2 * sin(radians(ramp_angle)) / cos(radians(ramp_angle)),
    ),
)
def helical_entry(
    *, hole_diameter: HoleDiameter, cutter_diameter: CutterDiameter, ramp_angle: RampAngle
) -> HelicalEntry:
    """Give the circle of the cutter's centre [mm] and the depth of a turn [mm] for a hole milled in a helix.

    The angle [deg] is that of the centre's path; the cutter's outer edge runs on a larger circle and so at a
    flatter angle. A hole of more than twice the cutter leaves a core, and one that is hardly larger than the
    cutter gives the chips no way out: both are told.
    """
    path = hole_diameter - cutter_diameter
    if path <= 0:
        raise InputError(
            f"a cutter of {cutter_diameter:g} mm mills no hole of {hole_diameter:g} mm in a helix; "
            f"it has to be smaller, for example {0.6 * hole_diameter:.3g} mm"
        )
    return HelicalEntry(path, pi * path * tan(radians(ramp_angle)), _helix_notes(path, cutter_diameter))


def _helix_notes(path: float, cutter: float) -> tuple[str, ...]:
    if path > cutter:
        return (f"a core of {path - cutter:.3g} mm is left standing in the middle",)
    if path < cutter / 10:
        return ("hardly room for chips: the hole is less than a tenth larger than the cutter",)
    return ()
