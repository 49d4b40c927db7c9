"""Cutting speed and spindle speed, and the speed that the machine really has."""

from math import pi
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import Example, Quantity, calculation
from handwheel.calc.quantities import CuttingSpeed, Diameter, SpindleSpeed

_SOURCE = "Machinery's Handbook, 31st ed., Speeds and Feeds: N = 1000 V / (pi D)"
_EXAMPLE = Example(
    {"cutting_speed": 25, "diameter": 6.8}, {"spindle_speed": 1170.3}, "arithmetic of the formula"
)


@calculation(
    title="Spindle speed",
    formula="n = 1000 * v / (pi * d)",
    source=_SOURCE,
    examples=(_EXAMPLE,),
    second=lambda cutting_speed, diameter: cutting_speed / (pi * diameter / 1000),
)
def spindle_speed(*, cutting_speed: CuttingSpeed, diameter: Diameter) -> SpindleSpeed:
    """Give the spindle speed [1/min] at which the diameter [mm] runs at the cutting speed [m/min]."""
    return 1000 * cutting_speed / (pi * diameter)


@calculation(
    title="Cutting speed",
    formula="v = pi * d * n / 1000",
    source=_SOURCE,
    examples=(Example({"spindle_speed": 850, "diameter": 6.8}, {"cutting_speed": 18.2}, "arithmetic"),),
    second=lambda spindle_speed, diameter: spindle_speed * (diameter / 1000) * pi,
)
def cutting_speed(*, spindle_speed: SpindleSpeed, diameter: Diameter) -> CuttingSpeed:
    """Give the cutting speed [m/min] of a diameter [mm] at a spindle speed [1/min]."""
    return pi * diameter * spindle_speed / 1000


Steps = Annotated[tuple[float, ...], Quantity("1/min", "steps", above=0, example="[300, 450, 850]")]
Rule = Annotated[str, Quantity("", "rule", choices=("lower", "nearest"))]


class SetSpeed(NamedTuple):
    """The speed to set, and what has to be said about it."""

    spindle_speed: SpindleSpeed
    warnings: tuple[str, ...] = ()


@calculation(
    title="Spindle speed to set, of the speeds the machine has",
    formula="table: the highest step not above n (lower), or the step nearest to n (nearest)",
    source="common practice, no source: of two steps the lower, because a slow tool outlives a fast one",
    examples=(
        Example({"spindle_speed": 1170, "steps": (300, 850, 1500)}, {"spindle_speed": 850}, "by looking"),
    ),
    second="a choice from a list has no second route",
)
def nearest_spindle_speed(*, spindle_speed: SpindleSpeed, steps: Steps, rule: Rule = "lower") -> SetSpeed:
    """Choose from the machine's steps [1/min]; below its slowest step that one, with a warning."""
    slowest = min(steps)
    if spindle_speed < slowest:
        return SetSpeed(slowest, (f"the slowest step, {slowest:g} 1/min, is above {spindle_speed:g} 1/min",))
    if rule == "lower":
        return SetSpeed(max(step for step in steps if step <= spindle_speed))
    return SetSpeed(min(steps, key=lambda step: (abs(step - spindle_speed), step)))
