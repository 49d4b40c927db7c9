"""Forces, torque, power and removal rate in turning and milling, by Kienzle's law of the chip.

kc1.1 and mc have to be of one family; see `loads`. All is for a sharp tool. A worn one takes 30 to 50
per cent more, and each degree of rake about 1 per cent less: handbooks correct for both separately.
"""

from math import asin, exp, log, pi, radians, sin, sqrt
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation
from handwheel.calc.feeds import FeedPerTooth, Teeth, WidthOfCut
from handwheel.calc.loads import Efficiency, Exponent, SpecificForce1
from handwheel.calc.quantities import CuttingSpeed, Diameter, Feed

__all__ = ["MillingLoad", "TurningLoad", "milling_load", "turning_load"]

DepthOfCut = Annotated[float, Quantity("mm", "ap", kind="size", above=0, usual=(0.05, 50))]
EdgeAngle = Annotated[float, Quantity("deg", "kappa", above=0, below=180, usual=(15, 150), example="95 deg")]
ApproachAngle = Annotated[
    float, Quantity("deg", "psi", above=-90, below=90, usual=(-60, 75), example="-5 deg")
]
CuttingForce = Annotated[float, Quantity("N", "Fc", kind="force", above=0)]
NetPower = Annotated[float, Quantity("kW", "Pc", kind="power", above=0)]
MotorPower = Annotated[float, Quantity("kW", "Pm", kind="power", above=0)]
RemovalRate = Annotated[float, Quantity("cm³/min", "Q", above=0)]
ChipThickness = Annotated[float, Quantity("mm", "h", kind="feed", above=0)]
MeanThickness = Annotated[float, Quantity("mm", "hm", kind="feed", above=0)]
SpecificForce = Annotated[float, Quantity("N/mm²", "kc", above=0)]
MeanTorque = Annotated[float, Quantity("N·m", "M", kind="torque", above=0)]
TeethInCut = Annotated[float, Quantity("", "zc", above=0)]
Position = Annotated[str, Quantity("", "position", choices=("side", "centred"))]

_KIENZLE = "O. Kienzle and H. Victor: Fc = b h kc1.1 h^-mc, sharp tool (from memory)"

_THINNEST = 0.04
"""Chips thinner than this [mm] are outside Kienzle's tests; the edge's rounding presses (from memory)."""


def _said_of_chip(thickness: float) -> tuple[str, ...]:
    if thickness >= _THINNEST:
        return ()
    return (
        f"a chip {thickness:.2g} mm thick is thinner than kc1.1 and mc were measured for; the force may be "
        "higher",
    )


class TurningLoad(NamedTuple):
    """What one cut of a turning tool takes."""

    cutting_force: CuttingForce
    net_power: NetPower
    motor_power: MotorPower
    removal_rate: RemovalRate
    chip_thickness: ChipThickness
    warnings: tuple[str, ...] = ()


def _turning_by_width(
    depth_of_cut: float,
    feed: float,
    cutting_speed: float,
    kc1_1: float,
    mc: float,
    cutting_edge_angle: float | None = None,
    approach_angle: float | None = None,
    efficiency: float = 0.8,
) -> TurningLoad:
    """Take the chip as it comes off, its width times its thickness, and force times way per second."""
    angle = 90 - approach_angle if approach_angle is not None else cutting_edge_angle or 90
    width = depth_of_cut / sin(radians(angle))
    thickness = depth_of_cut * feed / width
    force = width * kc1_1 * exp((1 - mc) * log(thickness))
    watts = force * cutting_speed / 60
    return TurningLoad(
        force, watts / 1000, watts / efficiency / 1000, width * thickness * cutting_speed, thickness
    )


@calculation(
    title="Cutting force, power and removal rate in turning and boring",
    formula=(
        "h = f * sin(radians(kappa or 90 - (psi or 0))); "
        "Fc = ap * f * kc11 * h ** -mc; Pc = Fc * v / 60000; Pm = Pc / eta; Q = ap * f * v"
    ),
    source=_KIENZLE + "; h = f sin(kappa), b = ap / sin(kappa): ISO 3002; efficiency 0.8 of a geared head: "
    "Machinery's Handbook, 31st ed. (from memory)",
    examples=(
        Example(
            {"depth_of_cut": 3, "feed": 0.3, "cutting_speed": 150, "kc1_1": 2220, "mc": 0.14},
            {"cutting_force": 2364.8, "net_power": 5.912},
            "Kienzle turning, worked for C45 (from memory)",
        ),
        Example(
            {
                "depth_of_cut": 2,
                "feed": 0.2,
                "cutting_speed": 120,
                "kc1_1": 2500,
                "mc": 0.26,
                "approach_angle": -5,
            },
            {"cutting_force": 1521.1, "net_power": 3.042, "chip_thickness": 0.1992},
            "Kienzle turning, worked for 42CrMo4 with a 95 deg holder (from memory)",
        ),
        Example(
            {
                "depth_of_cut": 3,
                "feed": 0.2,
                "cutting_speed": 120,
                "kc1_1": 3100,
                "mc": 0,
                "efficiency": 0.8,
            },
            {"motor_power": 4.65},
            "tool maker's catalogue, worked problem of turning mild steel at kc 3100 N/mm²",
        ),
    ),
    second=_turning_by_width,
)
def turning_load(
    *,
    depth_of_cut: DepthOfCut,
    feed: Feed,
    cutting_speed: CuttingSpeed,
    kc1_1: SpecificForce1,
    mc: Exponent,
    cutting_edge_angle: EdgeAngle | None = None,
    approach_angle: ApproachAngle | None = None,
    efficiency: Efficiency = 0.8,
) -> TurningLoad:
    """Give the cutting force [N], net and motor power [kW] and the removal rate [cm³/min] of a sharp tool.

    The depth of cut is per side [mm]. The cutting edge angle [deg] lies between the edge and the way of
    the feed, 90 for a square shoulder, which is taken where nothing is given; the approach angle, called
    lead angle in some catalogues, is 90 less it. Give one of the two. The nose radius is left out.
    """
    angle = _edge_angle(cutting_edge_angle, approach_angle)
    thickness = feed * sin(radians(angle))
    force = depth_of_cut * feed * kc1_1 * thickness**-mc
    power = force * cutting_speed / 60000
    return TurningLoad(
        cutting_force=force,
        net_power=power,
        motor_power=power / efficiency,
        removal_rate=depth_of_cut * feed * cutting_speed,
        chip_thickness=thickness,
        warnings=_said_of_chip(thickness),
    )


def _edge_angle(edge: float | None, approach: float | None) -> float:
    """Give the cutting edge angle [deg] from either name; two that contradict each other are refused."""
    if approach is None:
        return 90.0 if edge is None else edge
    if edge is not None and abs(edge + approach - 90) > 1e-6:
        raise CalculationError(
            f"turning_load: a cutting_edge_angle of {edge:g} deg is an approach_angle of {90 - edge:g} deg, "
            f"not {approach:g} deg; give one of the two"
        )
    return 90 - approach


class MillingLoad(NamedTuple):
    """What a milling cutter takes on the mean of a turn."""

    net_power: NetPower
    motor_power: MotorPower
    torque: MeanTorque
    removal_rate: RemovalRate
    chip_thickness: MeanThickness
    teeth_in_cut: TeethInCut
    warnings: tuple[str, ...] = ()


def _engaged(diameter: float, width: float, position: str) -> float:
    """Give the angle [rad] over which a tooth is in the cut."""
    if position == "centred":
        return 2 * asin(width / diameter)
    return 2 * asin(sqrt(width / diameter))


def _milling_by_teeth(
    diameter: float,
    width_of_cut: float,
    depth_of_cut: float,
    feed_per_tooth: float,
    teeth: int,
    cutting_speed: float,
    kc1_1: float,
    mc: float,
    efficiency: float = 0.8,
    cutting_edge_angle: float = 90,
    position: str = "side",
) -> MillingLoad:
    """Let the mean force of the teeth that cut at a time act at the radius; power is torque times speed."""
    angle = _engaged(diameter, width_of_cut, position)
    cutting = teeth * angle / (2 * pi)
    lean = sin(radians(cutting_edge_angle))
    arc = angle * diameter / 2
    thickness = feed_per_tooth * width_of_cut / arc * lean
    force = depth_of_cut / lean * kc1_1 * exp((1 - mc) * log(thickness))
    torque = cutting * force * diameter / 2000
    power = torque * (cutting_speed * 2000 / diameter / 60) / 1000
    volume = width_of_cut * depth_of_cut * feed_per_tooth * teeth / (pi * diameter / 1000) * cutting_speed
    return MillingLoad(power, power / efficiency, torque, volume / 1000, thickness, cutting)


@calculation(
    title="Power, torque and removal rate in milling",
    formula=(
        "zc = z / pi * (asin(ae / d) if position == 'centred' else asin(sqrt(ae / d))); "
        "hm = fz * z * ae * sin(radians(kappa)) / (pi * d * zc); "
        "Q = ae * ap * fz * z * v / (pi * d); "
        "Pc = Q * kc11 * hm ** -mc / 60000; Pm = Pc / eta; "
        "M = 60 * d * Pc / (2 * v)"
    ),
    source=_KIENZLE + ", on the mean thickness of the chip over the arc in the cut, hm = fz ae sin(kappa) / "
    "arc (chip area over length of cut; geometry); efficiency 0.8 of a geared head: Machinery's Handbook, "
    "31st ed. (from memory)",
    examples=(
        Example(
            {
                "diameter": 250,
                "width_of_cut": 80,
                "depth_of_cut": 2,
                "feed_per_tooth": 0.2291,
                "teeth": 12,
                "cutting_speed": 80,
                "kc1_1": 1800,
                "mc": 0,
                "efficiency": 0.8,
                "position": "centred",
            },
            {"motor_power": 1.68},
            "tool maker's catalogue, worked problem of face milling tool steel at kc 1800 N/mm²",
        ),
        Example(
            {
                "diameter": 150,
                "width_of_cut": 60,
                "depth_of_cut": 3,
                "feed_per_tooth": 0.6,
                "teeth": 10,
                "cutting_speed": 47.124,
                "kc1_1": 3000,
                "mc": 0,
            },
            {"net_power": 5.4, "removal_rate": 108},
            "textbook of manufacturing processes, face milling at 3 W s/mm³, 600 mm/min (from memory)",
        ),
    ),
    second=_milling_by_teeth,
)
def milling_load(
    *,
    diameter: Diameter,
    width_of_cut: WidthOfCut,
    depth_of_cut: DepthOfCut,
    feed_per_tooth: FeedPerTooth,
    teeth: Teeth,
    cutting_speed: CuttingSpeed,
    kc1_1: SpecificForce1,
    mc: Exponent,
    efficiency: Efficiency = 0.8,
    cutting_edge_angle: Annotated[float, Quantity("deg", "kappa", above=0, at_most=90, usual=(10, 90))] = 90,
    position: Position = "side",
) -> MillingLoad:
    """Give the mean net and motor power [kW], torque [N·m] and removal rate [cm³/min] of a sharp cutter.

    The width of cut is radial and the depth axial [mm]. `position` says where the cut lies under the
    cutter: along one side of it, or centred as in face milling. The chip thickness is the mean over the
    arc in the cut: length and width of the chip as they come off, not the thickest place. The torque is
    the mean of a turn; where few teeth cut at a time it pulses above it.
    """
    if width_of_cut > diameter:
        raise CalculationError(
            f"milling_load: width_of_cut {width_of_cut:g} mm is above the cutter's diameter, "
            f"{diameter:g} mm; expected at most {diameter:g} mm"
        )
    cutting = teeth / pi * _engaged(diameter, width_of_cut, position) / 2
    lean = sin(radians(cutting_edge_angle))
    thickness = feed_per_tooth * teeth * width_of_cut * lean / (pi * diameter * cutting)
    removed = width_of_cut * depth_of_cut * feed_per_tooth * teeth * cutting_speed / (pi * diameter)
    power = removed * kc1_1 * thickness**-mc / 60000
    warnings = _said_of_chip(thickness)
    if cutting < 1:
        warnings += (
            f"a tooth is in the cut for {100 * cutting:.0f} % of the time only: while it cuts, the torque is "
            "well above this mean",
        )
    return MillingLoad(
        net_power=power,
        motor_power=power / efficiency,
        torque=60 * diameter * power / (2 * cutting_speed),
        removal_rate=removed,
        chip_thickness=thickness,
        teeth_in_cut=cutting,
        warnings=warnings,
    )
