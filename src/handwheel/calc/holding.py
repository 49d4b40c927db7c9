"""What a chuck holds at speed, and what the cut asks of it. Forces are the sum over the jaws.

The jaws' own mass pulls them off the work as the spindle turns, and with the square of its speed. All
here is arithmetic with the forces that were given: how a worn or dry chuck really grips is measured with a
gripping-force gauge, and the speed marked on the chuck stands above every result.
"""

from math import floor, pi, sqrt
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation
from handwheel.calc.quantities import SpindleSpeed

__all__ = ["ChuckGrip", "GripNeeded", "chuck_grip", "grip_needed"]

StaticForce = Annotated[
    float, Quantity("N", "Fs", kind="force", above=0, usual=(500, 300000), example="30000 N")
]
KeyTorque = Annotated[float, Quantity("N·m", "Mk", kind="torque", above=0, usual=(2, 500), example="80 N·m")]
RatedForce = Annotated[
    float, Quantity("N", "Fm", kind="force", above=0, usual=(500, 300000), example="40000 N")
]
RatedTorque = Annotated[
    float, Quantity("N·m", "Mm", kind="torque", above=0, usual=(2, 500), example="100 N·m")
]
Jaws = Annotated[int, Quantity("", "z", at_least=2, at_most=12, usual=(2, 6), example="3")]
JawMass = Annotated[float, Quantity("kg", "m", above=0, usual=(0.02, 30), example="0.8 kg")]
JawRadius = Annotated[float, Quantity("mm", "r", above=0, usual=(5, 500), example="60 mm")]
Gripping = Annotated[str, Quantity("", "gripping", choices=("outside", "inside"))]
NeededGrip = Annotated[float, Quantity("N", "Fn", kind="force", above=0, usual=(100, 300000))]
ForceReserve = Annotated[float, Quantity("", "S", at_least=1, usual=(1.5, 4), example="1.5")]
Grip = Annotated[float, Quantity("N", "F", kind="force", at_least=0, bound="at most")]
ForceAtRest = Annotated[float, Quantity("N", "F0", kind="force", above=0, bound="at most")]
Centrifugal = Annotated[float, Quantity("N", "Fc", kind="force", at_least=0, bound="at least")]
SpeedForGrip = Annotated[float, Quantity("1/min", "n_grip", above=0, bound="at most")]
SpeedWithReserve = Annotated[float, Quantity("1/min", "n_reserve", above=0, bound="at most")]
ZeroGripSpeed = Annotated[float, Quantity("1/min", "n_free", above=0, bound="at most")]

_MOST_LOSS = 2 / 3
"""EN 1550, as a chuck maker quotes it: no more than 67 per cent of the force at rest may be lost (read)."""


class ChuckGrip(NamedTuple):
    """What is left of the grip at a speed [N], and the speeds at which too little or nothing is left."""

    grip: Grip
    centrifugal_force: Centrifugal
    speed_for_grip: SpeedForGrip | None
    zero_grip_speed: ZeroGripSpeed | None
    speed_with_reserve: SpeedWithReserve | None
    force_at_rest: ForceAtRest
    warnings: tuple[str, ...] = ()


def _grip_by_angular_speed(
    jaw_mass: float,
    jaw_radius: float,
    spindle_speed: float,
    static_force: float | None = None,
    key_torque: float | None = None,
    rated_force: float | None = None,
    rated_torque: float | None = None,
    jaws: int = 3,
    gripping: str = "outside",
    needed_grip: float | None = None,
    force_reserve: float = 1.5,
) -> ChuckGrip:
    """Add the pull of jaw after jaw, and scale the speed by the root of the forces: pull goes with n²."""
    at_rest = static_force or (rated_force or 0) / (rated_torque or 1) * (key_torque or 0)
    turning = 2 * pi * spindle_speed / 60
    pull = sum(jaw_mass * turning * turning * jaw_radius / 1000 for _ in range(jaws))
    if gripping == "inside":
        return ChuckGrip(at_rest + pull, pull, None, None, None, at_rest)

    def speed_that_leaves(force: float | None, spare: float) -> float | None:
        lost = spare - force if force is not None else 0
        return spindle_speed * sqrt(lost / pull) if lost > 0 else None

    return ChuckGrip(
        max(0.0, at_rest - pull),
        pull,
        speed_that_leaves(needed_grip, at_rest),
        speed_that_leaves(0, at_rest),
        speed_that_leaves(needed_grip, at_rest / force_reserve),
        at_rest,
    )


@calculation(
    title="Grip of a chuck at speed (sum of the jaws)",
    formula=(
        "F0 = Fs or Mk * Fm / Mm; "
        "Fc = z * m * r / 1000 * (pi * n / 30) ** 2; "
        "F = max(0, F0 - Fc) if gripping == 'outside' else F0 + Fc; "
        "n_grip = 30 / pi * sqrt(1000 * (F0 - Fn) / (z * m * r)); "
        "n_reserve = 30 / pi * sqrt(1000 * (F0 / S - Fn) / (z * m * r)); "
        "n_free = 30 / pi * sqrt(1000 * F0 / (z * m * r)) if gripping == 'outside' else None"
    ),
    source="VDI 3106 as chuck makers' manuals quote it: Fc = sum(m r) (pi n / 30)^2, F0 = S (F + Fc) gripped "
    "from outside, S at least 1.5; the force of a key by the maker's pair of force and torque, in proportion",
    examples=(
        Example(
            {
                "static_force": 17723,
                "jaw_mass": 8.8933,
                "jaw_radius": 100,
                "spindle_speed": 500,
                "needed_grip": 4500,
            },
            {"centrifugal_force": 7315, "speed_for_grip": 672},
            "chuck maker's manual after VDI 3106: 3000 N × 1.5 × 1.5 at 500 1/min, m r of three jaws "
            "2.668 kg m. The 1495 1/min printed beside it belong to a force of 69.9 kN",
        ),
        Example(
            {
                "static_force": 69947,
                "jaw_mass": 8.8933,
                "jaw_radius": 100,
                "spindle_speed": 1200,
                "needed_grip": 4500,
            },
            {"centrifugal_force": 42131, "speed_for_grip": 1495, "speed_with_reserve": 1200},
            "the same manual, its case of 1200 1/min and its formula for the speed without S; with S by hand",
        ),
        Example(
            {
                "key_torque": 60,
                "rated_force": 40000,
                "rated_torque": 100,
                "jaw_mass": 1,
                "jaw_radius": 80,
                "spindle_speed": 955,
                "gripping": "inside",
            },
            {"force_at_rest": 24000, "grip": 26400},
            "by hand: 60 % of 40 kN, and 3 × 1 kg × 0.08 m × 100² /s²",
        ),
    ),
    second=_grip_by_angular_speed,
)
def chuck_grip(
    *,
    jaw_mass: JawMass,
    jaw_radius: JawRadius,
    spindle_speed: SpindleSpeed,
    static_force: StaticForce | None = None,
    key_torque: KeyTorque | None = None,
    rated_force: RatedForce | None = None,
    rated_torque: RatedTorque | None = None,
    jaws: Jaws = 3,
    gripping: Gripping = "outside",
    needed_grip: NeededGrip | None = None,
    force_reserve: ForceReserve = 1.5,
) -> ChuckGrip:
    """Give the grip [N] that is left at a speed [1/min], all jaws together.

    The force at rest is given as the sum of the jaws [N], or by the torque on the key [N·m] with the
    maker's pair of force and torque. Mass [kg] and radius of the centre of gravity [mm] are those of one
    jaw, base jaw and top jaw together. `speed_for_grip` leaves just the needed grip and no reserve,
    `speed_with_reserve` leaves it with the force at rest divided by `force_reserve`; `zero_grip_speed` is
    where the part is free. Gripped from inside the jaws press harder with speed, and there is no such
    speed: then the part's own strength and the chuck's marked speed are the limits.
    """
    at_rest, warnings = _force_at_rest(static_force, key_torque, rated_force, rated_torque)
    moment = jaws * jaw_mass * jaw_radius / 1000
    pull = moment * (pi * spindle_speed / 30) ** 2
    if gripping == "inside":
        inside = (
            "gripped from inside the jaws press harder the faster it turns: the part has to bear it, and the "
            "speed marked on the chuck stands",
        )
        return ChuckGrip(at_rest + pull, pull, None, None, None, at_rest, warnings + inside)

    def speed_that_leaves(needed: float | None, force: float) -> float | None:
        if needed is None or force <= needed:
            return None
        return 30 / pi * sqrt((force - needed) / moment)

    free = 30 / pi * sqrt(at_rest / moment)
    result = ChuckGrip(
        grip=max(0.0, at_rest - pull),
        centrifugal_force=pull,
        speed_for_grip=speed_that_leaves(needed_grip, at_rest),
        zero_grip_speed=free,
        speed_with_reserve=speed_that_leaves(needed_grip, at_rest / force_reserve),
        force_at_rest=at_rest,
    )
    said = _said_of_grip(result, free, spindle_speed, needed_grip, force_reserve)
    return result._replace(warnings=warnings + said)


def _force_at_rest(
    static: float | None, torque: float | None, rated_force: float | None, rated_torque: float | None
) -> tuple[float, tuple[str, ...]]:
    """Give the force at rest [N] from the one way or the other, and say where it is above the maker's."""
    if (static is None) == (torque is None):
        which = "missing" if static is None else "given two ways"
        raise CalculationError(
            f"chuck_grip: the force at rest is {which}; give static_force, or key_torque with the maker's "
            "rated_force and rated_torque"
        )
    if static is not None:
        if rated_force is not None and static > rated_force:
            return static, (
                f"static_force {static:g} N is above the maker's {rated_force:g} N: the maker's limit stands",
            )
        return static, ()
    assert torque is not None
    if rated_force is None or rated_torque is None:
        missing = "rated_force" if rated_force is None else "rated_torque"
        raise CalculationError(
            f"chuck_grip: key_torque says nothing without the maker's pair; {missing} is missing"
        )
    warnings = ["the force by the key is the maker's, for a chuck that is clean and greased"]
    if torque > rated_torque:
        warnings.append(
            f"key_torque {torque:g} N·m is above the maker's {rated_torque:g} N·m: the maker's limit stands"
        )
    return torque * rated_force / rated_torque, tuple(warnings)


def _said_of_grip(
    result: ChuckGrip, free: float, speed: float, needed: float | None, reserve: float
) -> tuple[str, ...]:
    """Put into words what the speeds and forces of an outside grip mean; the free speed always with it."""
    loss = result.centrifugal_force
    at_rest = result.force_at_rest
    said = [f"the part is free at {floor(free)} 1/min, by this arithmetic; sooner where the chuck grips less"]
    if speed >= free:
        said.append(f"at {speed:g} 1/min there is no grip left: the part comes out")
    elif needed is not None and result.grip < needed * (1 - 1e-9):
        said.append(f"at {speed:g} 1/min {result.grip:.0f} N are left of the {needed:g} N needed")
    elif loss > _MOST_LOSS * at_rest:
        said.append(
            f"{100 * loss / at_rest:.0f} % of the grip at rest is lost; a maker quotes EN 1550 with 67 % "
            "at the most"
        )
    if needed is not None and result.speed_for_grip is None:
        said.append(f"{at_rest:.0f} N at rest are not even the {needed:g} N needed")
    elif needed is not None and result.speed_with_reserve is None:
        said.append(
            f"{at_rest:.0f} N at rest divided by the reserve of {reserve:g} are not the {needed:g} N needed"
        )
    elif result.speed_with_reserve is not None and speed > result.speed_with_reserve * (1 + 1e-9):
        said.append(
            f"above {floor(result.speed_with_reserve)} 1/min the reserve of {reserve:g} is used up; VDI 3106 "
            "asks for 1.5 or more"
        )
    return tuple(said)


Force = Annotated[float, Quantity("N", "Fc", kind="force", above=0, usual=(10, 20000), example="2000 N")]
CutDiameter = Annotated[float, Quantity("mm", "dc", kind="size", above=0, usual=(1, 500), example="60 mm")]
GripDiameter = Annotated[float, Quantity("mm", "dg", kind="size", above=0, usual=(1, 500), example="80 mm")]
Friction = Annotated[float, Quantity("", "mu", above=0, at_most=1.5, usual=(0.05, 0.5), example="0.1")]
Safety = Annotated[float, Quantity("", "S", at_least=1, usual=(1.5, 6), example="2")]
GripLength = Annotated[float, Quantity("mm", "lg", kind="size", above=0, usual=(2, 300))]
StickOut = Annotated[float, Quantity("mm", "ls", kind="size", above=0, usual=(1, 1000))]
TurningGrip = Annotated[float, Quantity("N", "F", kind="force", above=0, bound="at least")]
TippingGrip = Annotated[float, Quantity("N", "Ft", kind="force", above=0, bound="at least")]

_OVERHUNG_SAFETY = 4.0
"""Chuck maker's manual, safety of overhung clamping, new chuck; the row ends at a stick-out of one grip
diameter (read)."""
GripSupport = Annotated[str, Quantity("", "support", choices=("chuck", "centre", "steady"))]


class GripNeeded(NamedTuple):
    """The force of all jaws against turning in them [N], and against tipping out of them [N]."""

    force: TurningGrip
    force_tipping: TippingGrip | None
    warnings: tuple[str, ...] = ()


def _needed_by_moments(
    cutting_force: float,
    cut_diameter: float,
    grip_diameter: float,
    friction: float,
    safety_factor: float = 2,
    grip_length: float | None = None,
    stick_out: float | None = None,
    support: str = "chuck",
) -> GripNeeded:
    """Set the moment of the cut, with its safety, against the moments of friction at the jaws."""
    moment = safety_factor * cutting_force * cut_diameter / 2
    force = moment / (grip_diameter / 2) / friction
    if stick_out is None or support == "centre":
        return GripNeeded(force, None)
    one_jaw = safety_factor * cutting_force * stick_out / (1.5 * grip_diameter / 2)
    return GripNeeded(force, 3 * one_jaw / friction)


@calculation(
    title="Grip needed against turning in the jaws (sum of the jaws)",
    formula="F = S * Fc * dc / (dg * mu); Ft = None if support == 'centre' else 4 * S * Fc * ls / (mu * dg)",
    source="VDI 3106 as chuck makers' manuals quote it: F = S Fc (dc / dg) / mu. Tipping: a chuck maker's "
    "manual, permissible overhang: the friction of one jaw, mu F / 3, at a lever of 0.75 of the gripped "
    "diameter against the cut at the stick-out; three jaws, nothing behind the part, no centre",
    examples=(
        Example(
            {
                "cutting_force": 2000,
                "cut_diameter": 60,
                "grip_diameter": 80,
                "friction": 0.1,
                "safety_factor": 2,
            },
            {"force": 30000},
            "rule of VDI 3106, worked (from memory)",
        ),
        Example(
            {
                "cutting_force": 1000,
                "cut_diameter": 50,
                "grip_diameter": 50,
                "friction": 0.2,
                "stick_out": 40,
            },
            {"force": 10000, "force_tipping": 32000},
            "by hand: 2 × 1000 N × 40 mm against one jaw's friction at 37.5 mm, 2133 N, times 3 over 0.2",
        ),
        Example(
            {
                "cutting_force": 1000,
                "cut_diameter": 50,
                "grip_diameter": 50,
                "friction": 0.2,
                "stick_out": 140,
                "support": "centre",
            },
            {"force": 10000},
            "by hand: 2 × 1000 N over 0.2, and the far end in a centre",
        ),
    ),
    second=_needed_by_moments,
)
def grip_needed(
    *,
    cutting_force: Force,
    cut_diameter: CutDiameter,
    grip_diameter: GripDiameter,
    friction: Friction,
    safety_factor: Safety = 2,
    grip_length: GripLength | None = None,
    stick_out: StickOut | None = None,
    support: GripSupport = "chuck",
) -> GripNeeded:
    """Give the force of all jaws [N] that keeps the work from turning in them, with a safety factor.

    Friction of smooth jaws on turned steel is about 0.07 to 0.1, on raw stock 0.15, of serrated jaws to
    0.45 (chuck makers' tables). The cut pushes at the cut diameter [mm], the jaws hold at the grip
    diameter [mm]. With the stick-out [mm], from the jaws to the cut, comes the force against tipping out
    of three jaws that nothing helps; with a shoulder behind the part it is less. The far end in a `centre`
    cannot swing out: no force against tipping is given then, and nothing is said of it. The grip length
    [mm] is only judged, not computed with.
    """
    force = safety_factor * cutting_force * cut_diameter / (grip_diameter * friction)
    tipping = None
    if support == "centre":
        return GripNeeded(force, None)
    if stick_out is not None:
        tipping = 4 * safety_factor * cutting_force * stick_out / (friction * grip_diameter)
    said = _said_of_length(grip_diameter, grip_length, stick_out)
    if tipping is not None and tipping > force:
        said = (
            f"against tipping {tipping:.0f} N are needed, more than against turning, where neither a "
            "shoulder behind the part nor a centre helps",
            *said,
        )
    if stick_out is not None and safety_factor < _OVERHUNG_SAFETY:
        said += (
            "for work that stands out without a centre a chuck maker asks for a safety factor of "
            f"{_OVERHUNG_SAFETY:g}",
        )
    return GripNeeded(force, tipping, said)


def _said_of_length(diameter: float, length: float | None, stick_out: float | None) -> tuple[str, ...]:
    """Hold the gripped length and the stick-out against the rules there are."""
    said = []
    if length is not None:
        least = max(diameter / 2, 10.0)
        if length < least:
            said.append(
                f"{length:g} mm of grip are short against tipping: without a centre a collet-chuck maker "
                f"asks for half the gripped diameter and no less than 10 mm, {least:g} mm here"
            )
        if stick_out is not None and stick_out > 3 * length:
            said.append(
                f"{length:g} mm of grip are short for {stick_out:g} mm of stick-out: a third of it is common "
                "practice, or a centre"
            )
    if stick_out is not None and stick_out > diameter:
        said.append(
            f"the stick-out of {stick_out:g} mm is more than the gripped diameter, where a chuck maker's "
            "table for work without a centre ends"
        )
    return tuple(said)
