"""Forces, torque and power in the cut, and what the spindle can give.

Two families of kc1.1 and mc are in print: the classical one after Kienzle and Victor, and the
tool makers' VDI 3323 groups, 20 to 30 per cent lower because of positive modern inserts. A kc1.1 of
one with the mc of the other is a number of no family.
"""

from math import exp, log, pi, radians, sin
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation
from handwheel.calc.quantities import CuttingSpeed, Diameter, Feed, PointAngle, SpindleSpeed, Thread
from handwheel.calc.threads import parse_thread

__all__ = ["drilling_load", "specific_cutting_force", "spindle_capacity", "tapping_torque"]

SpecificForce1 = Annotated[float, Quantity("N/mm²", "kc11", above=0, usual=(100, 5000), example="2220 N/mm²")]
Exponent = Annotated[float, Quantity("", "mc", at_least=0, below=1, usual=(0.1, 0.4), example="0.14")]
ChipThickness = Annotated[float, Quantity("mm", "h", kind="feed", above=0, usual=(0.01, 2))]
SpecificForce = Annotated[float, Quantity("N/mm²", "kc", above=0)]
Torque = Annotated[float, Quantity("N·m", "M", kind="torque", above=0)]
WornTorque = Annotated[float, Quantity("N·m", "Mw", kind="torque", above=0)]
Force = Annotated[float, Quantity("N", "F", kind="force", above=0)]
Power = Annotated[float, Quantity("kW", "Pc", kind="power", above=0)]

_KIENZLE = "O. Kienzle and H. Victor: kc = kc1.1 h^-mc for a sharp tool (from memory)"


@calculation(
    title="Specific cutting force at a chip thickness",
    formula="kc = kc11 * h ** -mc",
    source=_KIENZLE,
    examples=(
        Example(
            {"kc1_1": 2220, "mc": 0.14, "chip_thickness": 0.3},
            {"kc": 2627.6},
            "Kienzle turning, worked for C45: 3 mm deep at 0.3 mm (from memory)",
        ),
    ),
    second=lambda kc1_1, mc, chip_thickness: exp(log(kc1_1) - mc * log(chip_thickness)),
    result="kc",
)
def specific_cutting_force(
    *, kc1_1: SpecificForce1, mc: Exponent, chip_thickness: ChipThickness
) -> SpecificForce:
    """Give the cutting force per area of chip [N/mm²] at the thickness of the chip [mm]."""
    return float(kc1_1 * chip_thickness**-mc)


class DrillingLoad(NamedTuple):
    """What the spindle and the quill of the machine have to give."""

    torque: Torque
    thrust: Force
    net_power: Power


def _drilling_by_rings(
    diameter: float, feed: float, cutting_speed: float, kc1_1: float, mc: float, point_angle: float = 118
) -> DrillingLoad:
    """Add the moments of a hundred rings of chip along two lips; power is moment times angular speed."""
    kc = exp(log(kc1_1) - mc * log(feed / 2 * sin(radians(point_angle / 2))))
    rings = 100
    width = diameter / 2 / rings
    moment = sum(2 * kc * feed / 2 * width * (ring + 0.5) * width for ring in range(rings)) / 1000
    angular_speed = cutting_speed / 60 / (diameter / 2000)
    area = 2 * (diameter / 2) * (feed / 2)
    return DrillingLoad(moment, 0.9 * area * kc, moment * angular_speed / 1000)


@calculation(
    title="Torque, thrust and power of a drill in solid material",
    formula="M = kc11 * (f / 2 * sin(radians(sigma / 2))) ** -mc * f * d ** 2 / 8000; "
    "F = 0.45 * d * f * kc11 * (f / 2 * sin(radians(sigma / 2))) ** -mc; "
    "Pc = kc11 * (f / 2 * sin(radians(sigma / 2))) ** -mc * f * d * v / 240000",
    source="torque and power: Kienzle on two lips, as in tool makers' catalogues (Pc = f v D kc / 240000, "
    "from memory); thrust: collet-chuck maker's manual, F = 0.45 D f kc, taken because the catalogues' "
    "0.25 D f kc sin is lower; sharp drill, and published models agree to about 30 per cent only",
    examples=(
        Example(
            {"diameter": 10, "feed": 0.2, "cutting_speed": 30, "kc1_1": 2000, "mc": 0},
            {"thrust": 1800},
            "collet-chuck maker's manual: 10 mm, 0.2 mm, kc 2000 N/mm²",
        ),
    ),
    second=_drilling_by_rings,
)
def drilling_load(
    *,
    diameter: Diameter,
    feed: Feed,
    cutting_speed: CuttingSpeed,
    kc1_1: SpecificForce1,
    mc: Exponent,
    point_angle: PointAngle = 118,
) -> DrillingLoad:
    """Give torque [N·m], thrust [N] and net power [kW] of a sharp drill; a worn one takes half as much again.

    The chip of one lip is half the feed [mm] thick, times the sine of half the point angle [deg].
    """
    kc = kc1_1 * (feed / 2 * sin(radians(point_angle / 2))) ** -mc
    return DrillingLoad(
        torque=kc * feed * diameter**2 / 8000,
        thrust=0.45 * diameter * feed * kc,
        net_power=kc * feed * diameter * cutting_speed / 240000,
    )


class TappingTorque(NamedTuple):
    """The torque of a sharp tap and of a worn one."""

    torque: Torque
    torque_worn: WornTorque
    warnings: tuple[str, ...] = ()


TappingForce = Annotated[float, Quantity("N/mm²", "kc", above=0, usual=(500, 6000), example="2600 N/mm²")]
WearFactor = Annotated[float, Quantity("", "w", at_least=1, usual=(1, 4), example="2")]


def _tapping_by_lever(thread: str, specific_force: float, wear_factor: float = 2) -> TappingTorque:
    """Let the force on the whole chip, a quarter of the pitch squared, act at the nominal radius."""
    size = parse_thread(thread)
    moment = specific_force * (size.pitch / 2) ** 2 * (size.nominal_diameter / 2000)
    return TappingTorque(moment, moment * wear_factor)


@calculation(
    title="Torque of a cutting tap",
    formula="M = kc * P ** 2 * d / 8000; Mw = w * M",
    source="thread-tool maker's technical page: Md = kc P² d / 8000, with its own list of kc; about a third "
    "above the tap makers' formula with the hole in it, so taken as the cautious one; a worn tap takes "
    "twice the torque (common practice, no source)",
    examples=(
        Example(
            {"thread": "M10", "specific_force": 2600},
            {"torque": 7.3125, "torque_worn": 14.625},
            "thread-tool maker's formula and kc of medium strength tempered steel, worked",
        ),
    ),
    second=_tapping_by_lever,
)
def tapping_torque(
    *, thread: Thread, specific_force: TappingForce, wear_factor: WearFactor = 2
) -> TappingTorque:
    """Give the torque [N·m] of a sharp cutting tap, and of a worn one; a forming tap takes 2 to 3 times that.

    The specific force is the one listed for tapping, not kc1.1: it belongs to this formula.
    """
    size = parse_thread(thread)
    torque = specific_force * size.pitch**2 * size.nominal_diameter / 8000
    if size.family in ("NPT", "R", "Rp", "Rc", "Tr"):
        said = f"the formula is for parallel triangular threads; {size.designation} takes more"
        return TappingTorque(torque, torque * wear_factor, (said,))
    return TappingTorque(torque, torque * wear_factor)


RatedPower = Annotated[float, Quantity("kW", "Pr", kind="power", above=0, usual=(0.1, 50))]
BaseSpeed = Annotated[float, Quantity("1/min", "nb", above=0, usual=(10, 10000))]
MaxSpeed = Annotated[float, Quantity("1/min", "nm", above=0, usual=(50, 30000))]
Efficiency = Annotated[float, Quantity("", "eta", above=0, at_most=1, usual=(0.5, 0.98), example="0.8")]
AvailableTorque = Annotated[float, Quantity("N·m", "M", kind="torque", above=0, bound="at most")]
AvailablePower = Annotated[float, Quantity("kW", "P", kind="power", above=0, bound="at most")]


class SpindleCapacity(NamedTuple):
    """What the spindle gives at one speed."""

    torque: AvailableTorque
    power: AvailablePower


def _capacity_by_torque(
    rated_power: float, base_speed: float, max_speed: float, spindle_speed: float, efficiency: float = 0.8
) -> SpindleCapacity:
    """Take the constant torque below the base speed, weaken it above, and let power follow from torque."""
    full = efficiency * rated_power * 1000 / (2 * pi * base_speed / 60)
    torque = full if spindle_speed <= base_speed else full * base_speed / spindle_speed
    return SpindleCapacity(torque, torque * 2 * pi * spindle_speed / 60000)


@calculation(
    title="Torque and power at the spindle",
    formula="M = 60000 * eta * Pr / (2 * pi * max(n, nb)); P = eta * Pr * min(n, nb) / nb",
    source="a drive of constant torque up to its base speed and of constant power above: P = 2 pi n M "
    "(mechanics); efficiency 0.8 of a geared head: Machinery's Handbook, 31st ed., machine tool efficiency "
    "factors (from memory)",
    examples=(
        Example(
            {"rated_power": 2.2, "base_speed": 1500, "max_speed": 3000, "spindle_speed": 750},
            {"torque": 11.2, "power": 0.88},
            "arithmetic with the handbook's M = 9550 P / n: 9550 × 1.76 / 1500, and half the power",
        ),
    ),
    second=_capacity_by_torque,
)
def spindle_capacity(
    *,
    rated_power: RatedPower,
    base_speed: BaseSpeed,
    max_speed: MaxSpeed,
    spindle_speed: SpindleSpeed,
    efficiency: Efficiency = 0.8,
) -> SpindleCapacity:
    """Give torque [N·m] and power [kW] at a speed [1/min] of the belt or gear range in use.

    Base and highest speed are those of the spindle in that range, not of the motor.
    """
    if base_speed > max_speed:
        raise CalculationError(
            f"spindle_capacity: base_speed {base_speed:g} 1/min is above max_speed {max_speed:g} 1/min"
        )
    if spindle_speed > max_speed:
        raise CalculationError(
            f"spindle_capacity: spindle_speed {spindle_speed:g} 1/min is above the max_speed "
            f"{max_speed:g} 1/min of this range"
        )
    return SpindleCapacity(
        torque=60000 * efficiency * rated_power / (2 * pi * max(spindle_speed, base_speed)),
        power=efficiency * rated_power * min(spindle_speed, base_speed) / base_speed,
    )
