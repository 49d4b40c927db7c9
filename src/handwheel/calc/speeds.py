"""Cutting speed and spindle speed, the limit that rules, and the speed that the machine really has."""

from bisect import bisect_right
from math import pi
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation
from handwheel.calc.quantities import CuttingSpeed, Diameter, SpindleSpeed

__all__ = [
    "cutting_speed",
    "last_spindle_speed",
    "limited_spindle_speed",
    "nearest_spindle_speed",
    "ruling_spindle_speed",
    "spindle_speed",
    "stick_out_speed",
]

_SOURCE = "Machinery's Handbook, 31st ed., Speeds and feeds: N = 1000 V / (pi D) (from memory)"


@calculation(
    title="Spindle speed",
    formula="n = 1000 * v / (pi * d)",
    source=_SOURCE,
    examples=(
        Example(
            {"cutting_speed": 24.384, "diameter": 12.7},
            {"spindle_speed": 611.2},
            "tool and die maker's worksheet: 80 ft/min and a 1/2 in drill (the exact figure, not the "
            "worksheet's 4 V / D)",
        ),
        Example({"cutting_speed": 100, "diameter": 50}, {"spindle_speed": 636.62}, "any textbook"),
    ),
    second=lambda cutting_speed, diameter: cutting_speed / (pi * diameter / 1000),
)
def spindle_speed(*, cutting_speed: CuttingSpeed, diameter: Diameter) -> SpindleSpeed:
    """Give the spindle speed [1/min] at which the diameter [mm] runs at the cutting speed [m/min].

    The diameter is the largest that is cut: the outside in turning, the bore in boring, the tool in
    drilling and milling.
    """
    return 1000 * cutting_speed / (pi * diameter)


@calculation(
    title="Cutting speed",
    formula="v = pi * d * n / 1000",
    source=_SOURCE,
    examples=(
        Example(
            {"spindle_speed": 102, "diameter": 250},
            {"cutting_speed": 80.1},
            "tool maker's catalogue, worked problem of face milling: 80 m/min, 250 mm, 101.9 1/min",
        ),
    ),
    second=lambda spindle_speed, diameter: spindle_speed * (diameter / 1000) * pi,
)
def cutting_speed(*, spindle_speed: SpindleSpeed, diameter: Diameter) -> CuttingSpeed:
    """Give the cutting speed [m/min] of a diameter [mm] at a spindle speed [1/min]."""
    return pi * diameter * spindle_speed / 1000


CuttingLimit = Annotated[float, Quantity("1/min", "nv", above=0, usual=(10, 30000))]
MachineLimit = Annotated[float, Quantity("1/min", "nm", above=0, usual=(10, 30000))]
ToolLimit = Annotated[float, Quantity("1/min", "nt", above=0, usual=(10, 60000))]
HoldingLimit = Annotated[float, Quantity("1/min", "nh", above=0, usual=(10, 30000))]
RulingSpeed = Annotated[float, Quantity("1/min", "n", above=0, bound="at most")]
GripLimit = Annotated[float, Quantity("1/min", "ng", above=0, usual=(10, 30000))]
StickOutLimit = Annotated[float, Quantity("1/min", "no", above=0, usual=(10, 30000))]
RuledBy = Annotated[
    str,
    Quantity(
        "",
        "ruled_by",
        choices=("cutting speed", "machine", "tool", "holding", "grip of the jaws", "stick-out"),
    ),
]


class RulingLimit(NamedTuple):
    """The smallest of the limits, and which one it is."""

    spindle_speed: RulingSpeed
    ruled_by: RuledBy


@calculation(
    title="The limit that rules the spindle speed",
    formula="n = min([one for one in (nv, nm, nt, nh, ng, no) if one is not None])",
    source="each limit holds on its own, so the smallest holds for all (logic)",
    examples=(
        Example(
            {"cutting_limit": 1170, "machine_limit": 2000, "holding_limit": 900},
            {"spindle_speed": 900, "ruled_by": "holding"},
            "by looking",
        ),
    ),
    second="the smallest of a list has no second route",
)
def ruling_spindle_speed(
    *,
    cutting_limit: CuttingLimit,
    machine_limit: MachineLimit,
    tool_limit: ToolLimit | None = None,
    holding_limit: HoldingLimit | None = None,
    grip_limit: GripLimit | None = None,
    stick_out_limit: StickOutLimit | None = None,
) -> RulingLimit:
    """Give the smallest limit [1/min] and its name; of equal ones the first in the order of the inputs.

    The holding limit is the maker's mark on the chuck, the grip limit the speed at which its jaws still
    hold as hard as the cut needs.
    """
    limits = (
        ("cutting speed", cutting_limit),
        ("machine", machine_limit),
        ("tool", tool_limit),
        ("holding", holding_limit),
        ("grip of the jaws", grip_limit),
        ("stick-out", stick_out_limit),
    )
    known = [(limit, name) for name, limit in limits if limit is not None]
    return RulingLimit(*min(known, key=lambda pair: pair[0]))


Free = Annotated[float, Quantity("1/min", "nw", above=0, usual=(10, 30000))]
Ratio = Annotated[float, Quantity("", "r", above=0, usual=(0.1, 20), example="5")]
FreeRatio = Annotated[float, Quantity("", "r0", above=0, usual=(1, 12), example="3")]


@calculation(
    title="Spindle speed that a long stick-out leaves",
    formula="n = nw * min(1, r0 / r) ** 2",
    source="the lowest natural frequency of a bar held at one end falls with the square of its length (beam "
    "theory); that a bar of the usual length stands the full speed: common practice, no source",
    examples=(
        Example({"spindle_speed": 900, "ratio": 6, "free_ratio": 4}, {"limit": 400}, "by hand: 900 (4/6)²"),
        Example({"spindle_speed": 900, "ratio": 2, "free_ratio": 4}, {"limit": 900}, "by hand: short enough"),
    ),
    second=lambda spindle_speed, ratio, free_ratio: (
        spindle_speed if ratio <= free_ratio else spindle_speed / (ratio / free_ratio) / (ratio / free_ratio)
    ),
    result="limit",
)
def stick_out_speed(
    *, spindle_speed: Free, ratio: Ratio, free_ratio: FreeRatio
) -> Annotated[float, Quantity("1/min", "n", above=0, bound="at most")]:
    """Give the speed [1/min] for a bar or a piece that stands out `ratio` diameters.

    Up to `free_ratio` diameters it is the speed without stick-out; beyond, it falls as the lowest natural
    frequency does, so that the cut keeps its distance from it.
    """
    return spindle_speed * min(1.0, free_ratio / ratio) ** 2


Wanted = Annotated[float, Quantity("1/min", "nw", above=0, usual=(10, 30000))]
Lowest = Annotated[float, Quantity("1/min", "nl", above=0, usual=(1, 5000))]
Highest = Annotated[float, Quantity("1/min", "nu", above=0, usual=(100, 30000))]


class SetSpeed(NamedTuple):
    """The speed to set, and what has to be said about it."""

    spindle_speed: SpindleSpeed
    warnings: tuple[str, ...] = ()


def _raised(name: str, lowest: float, wanted: float) -> SetSpeed:
    """Take the speed there is, and say that it is more than was wanted."""
    return SetSpeed(lowest, (f"the {name}, {lowest:g} 1/min, is above the {wanted:.0f} 1/min wanted",))


@calculation(
    title="Spindle speed to set on a machine without steps",
    formula="n = max(nl, min(nu, nw))",
    source="the range of the machine in use (its plate)",
    examples=(
        Example(
            {"spindle_speed": 3200, "lowest": 60, "highest": 2500}, {"spindle_speed": 2500}, "by looking"
        ),
    ),
    second=lambda spindle_speed, lowest, highest: (sorted((lowest, spindle_speed, highest))[1],),
)
def limited_spindle_speed(*, spindle_speed: Wanted, lowest: Lowest, highest: Highest) -> SetSpeed:
    """Keep a wanted speed [1/min] inside the machine's range; raised to the lowest only with a warning."""
    if lowest > highest:
        raise CalculationError(
            f"limited_spindle_speed: lowest {lowest:g} 1/min is above highest {highest:g} 1/min; "
            f"expected a lowest of at most {highest:g} 1/min"
        )
    if spindle_speed < lowest:
        return _raised("lowest speed", lowest, spindle_speed)
    return SetSpeed(min(highest, spindle_speed))


Steps = Annotated[tuple[float, ...], Quantity("1/min", "steps", above=0, example="[300, 450, 850]")]
Rule = Annotated[str, Quantity("", "rule", choices=("lower", "nearest"))]


def _step_in_a_row(spindle_speed: float, steps: tuple[float, ...], rule: str = "lower") -> tuple[float]:
    """Put the steps in a row, find the gap that the wanted speed falls into, and take one of its two ends."""
    row = sorted(steps)
    place = bisect_right(row, spindle_speed)
    below, above = row[max(place - 1, 0)], row[min(place, len(row) - 1)]
    return (above if rule == "nearest" and above - spindle_speed < spindle_speed - below else below,)


@calculation(
    title="Spindle speed to set, of the speeds the machine has",
    formula=(
        "low = [one for one in steps if one <= nw] or [min(steps)]; "
        "n = max(low) if rule == 'lower' else min([(abs(one - nw), one) for one in steps])[1]"
    ),
    source="US Army OD1645, Lathe Operations, p. 52: the nearest there is, generally the first slower speed",
    examples=(
        Example({"spindle_speed": 1170, "steps": (300, 850, 1500)}, {"spindle_speed": 850}, "by looking"),
        Example(
            {"spindle_speed": 1200, "steps": (300, 850, 1500), "rule": "nearest"},
            {"spindle_speed": 1500},
            "by looking",
        ),
    ),
    second=_step_in_a_row,
)
def nearest_spindle_speed(*, spindle_speed: Wanted, steps: Steps, rule: Rule = "lower") -> SetSpeed:
    """Choose from the machine's steps [1/min]; a step above the speed wanted comes with a warning."""
    slowest = min(steps)
    if spindle_speed < slowest:
        return _raised("slowest step", slowest, spindle_speed)
    if rule == "lower":
        return SetSpeed(max(step for step in steps if step <= spindle_speed))
    near = min(steps, key=lambda step: (abs(step - spindle_speed), step))
    return SetSpeed(near) if near <= spindle_speed else _raised("nearest step", near, spindle_speed)


class LastSpeed(NamedTuple):
    """The speed for the last cuts, and whether it is a faster one than before."""

    spindle_speed: Annotated[float, Quantity("1/min", "n", above=0)]
    is_faster: Annotated[bool, Quantity("", "faster")]


Limit = Annotated[float, Quantity("1/min", "nf", above=0, usual=(10, 30000))]


def _last_in_a_row(spindle_speed: float, limit: float, steps: tuple[float, ...]) -> tuple[float, bool]:
    """Put the steps in a row and go up it from the speed that is set, as far as the limit lets."""
    reached = spindle_speed
    for step in sorted(steps):
        if reached < step <= limit:
            reached = step
    return reached, reached != spindle_speed


@calculation(
    title="Spindle speed for the last cuts, where the piece has become thinner",
    formula="n = max([nw, *[one for one in steps if one <= nf]]); faster = n > nw",
    source="kinematics: the cutting speed goes with the diameter; the lower step: common practice, no source",
    examples=(
        Example(
            {"spindle_speed": 320, "limit": 650, "steps": (320, 500, 800)},
            {"spindle_speed": 500, "is_faster": True},
            "by looking",
        ),
        Example(
            {"spindle_speed": 320, "limit": 366, "steps": (320, 500, 800)},
            {"spindle_speed": 320, "is_faster": False},
            "by looking",
        ),
    ),
    second=_last_in_a_row,
)
def last_spindle_speed(*, spindle_speed: Wanted, limit: Limit, steps: Steps) -> LastSpeed:
    """Give the step [1/min] for the last cuts: the highest within the limit at the finished diameter."""
    faster = max((step for step in steps if step <= limit), default=spindle_speed)
    return LastSpeed(max(faster, spindle_speed), faster > spindle_speed)
