"""Facing at constant surface speed: the spindle follows the diameter as far as it is let."""

from itertools import pairwise
from math import inf, pi
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation
from handwheel.calc.quantities import CuttingSpeed, Feed, Time

__all__ = ["SurfaceSpeed", "constant_surface_speed"]

StartDiameter = Annotated[float, Quantity("mm", "D1", at_least=0, usual=(0, 500))]
EndDiameter = Annotated[float, Quantity("mm", "D2", at_least=0, usual=(0, 500))]
MaxSpeed = Annotated[float, Quantity("1/min", "nmax", above=0, usual=(50, 30000))]
MinSpeed = Annotated[float, Quantity("1/min", "nmin", at_least=0, usual=(0, 5000))]


class SurfaceSpeed(NamedTuple):
    """The spindle at both ends of the cut, where its limits begin to rule [mm], and the time [min]."""

    start_spindle_speed: Annotated[float, Quantity("1/min", "n1", above=0)]
    end_spindle_speed: Annotated[float, Quantity("1/min", "n2", above=0)]
    clamp_diameter: Annotated[float, Quantity("mm", "dc", kind="size", above=0)]
    low_clamp_diameter: Annotated[float, Quantity("mm", "dl", kind="size", above=0)] | None
    time: Time
    warnings: tuple[str, ...] = ()


def _speed_at(diameter: float, cutting_speed: float, highest: float, lowest: float) -> float:
    wanted = 1000 * cutting_speed / (pi * diameter) if diameter > 0 else inf
    return min(highest, max(lowest, wanted))


def _by_mean_diameters(
    cutting_speed: float,
    start_diameter: float,
    end_diameter: float,
    feed: float,
    max_spindle_speed: float,
    min_spindle_speed: float = 0,
) -> SurfaceSpeed:
    """Walk from limit to limit; between two of them the mean diameter has the mean time of a turn."""
    limits = {
        speed: 1000 * cutting_speed / (pi * speed)
        for speed in (max_spindle_speed, min_spindle_speed)
        if speed
    }
    low, high = sorted((start_diameter, end_diameter))
    marks = [low, *sorted(mark for mark in set(limits.values()) if low < mark < high), high]
    time = 0.0
    for inner, outer in pairwise(marks):
        speed = _speed_at((inner + outer) / 2, cutting_speed, max_spindle_speed, min_spindle_speed)
        time += (outer - inner) / 2 / feed / speed
    ends = [
        _speed_at(diameter, cutting_speed, max_spindle_speed, min_spindle_speed)
        for diameter in (start_diameter, end_diameter)
    ]
    return SurfaceSpeed(ends[0], ends[1], limits[max_spindle_speed], limits.get(min_spindle_speed), time)


@calculation(
    title="Facing at constant surface speed: spindle speeds and time",
    formula=(
        "dc = 1000 * v / (pi * nmax); dl = 1000 * v / (pi * nmin) if nmin else None; "
        "n1 = nmax if D1 < dc else nmin if dl and D1 > dl else 1000 * v / (pi * D1); "
        "n2 = nmax if D2 < dc else nmin if dl and D2 > dl else 1000 * v / (pi * D2); "
        "T = abs(min(D1, dc) - min(D2, dc)) / (2 * f * nmax) "
        "+ pi * abs(min(max(D1, dc), dl or max(D1, dc)) ** 2 - min(max(D2, dc), dl or max(D2, dc)) ** 2) "
        "/ (4000 * v * f) "
        "+ (abs(max(D1, dl) - max(D2, dl)) / (2 * f * nmin) if dl else 0)"
    ),
    source="n = 1000 v / (pi d) between the spindle's limits; the time is the integral of dr / (f n) over "
    "the radius (geometry); where both limits rule the highest speed is kept",
    examples=(
        Example(
            {
                "cutting_speed": 200,
                "start_diameter": 100,
                "end_diameter": 20,
                "feed": 0.2,
                "max_spindle_speed": 2500,
            },
            {"end_spindle_speed": 2500, "clamp_diameter": 25.465, "start_spindle_speed": 636.62},
            "textbook rule n = min(nmax, 1000 v / (pi d)), worked (from memory)",
        ),
        Example(
            {
                "cutting_speed": 100,
                "start_diameter": 200,
                "end_diameter": 0,
                "feed": 0.1,
                "max_spindle_speed": 1000,
                "min_spindle_speed": 200,
            },
            {"time": 3.0901, "clamp_diameter": 31.831, "low_clamp_diameter": 159.155},
            "by hand: 15.915 mm of travel at 1000, 1.9099 min between the limits, 20.423 mm at 200 1/min",
        ),
    ),
    second=_by_mean_diameters,
)
def constant_surface_speed(
    *,
    cutting_speed: CuttingSpeed,
    start_diameter: StartDiameter,
    end_diameter: EndDiameter,
    feed: Feed,
    max_spindle_speed: MaxSpeed,
    min_spindle_speed: MinSpeed = 0,
) -> SurfaceSpeed:
    """Give the spindle speeds [1/min] at both diameters [mm], and the time [min] of one pass between them.

    Inside the clamp diameter the spindle stays at its highest speed and the cutting speed falls, to
    nothing at the centre. Outside the low clamp diameter, where there is a lowest speed, it is above the
    one wanted.
    """
    if min_spindle_speed > max_spindle_speed:
        raise CalculationError(
            f"constant_surface_speed: min_spindle_speed {min_spindle_speed:g} 1/min is above "
            f"max_spindle_speed {max_spindle_speed:g} 1/min; expected at most {max_spindle_speed:g} 1/min"
        )
    clamp = 1000 * cutting_speed / (pi * max_spindle_speed)
    low_clamp = 1000 * cutting_speed / (pi * min_spindle_speed) if min_spindle_speed else None
    high, low = max(start_diameter, end_diameter), min(start_diameter, end_diameter)
    floor = inf if low_clamp is None else low_clamp
    outer, inner = (min(max(one, clamp), floor) for one in (high, low))
    time = (min(high, clamp) - min(low, clamp)) / (2 * feed * max_spindle_speed)
    time += pi * (outer - inner) * (outer + inner) / (4000 * cutting_speed * feed)
    if min_spindle_speed and high > floor:
        time += (high - max(low, floor)) / (2 * feed * min_spindle_speed)
    return SurfaceSpeed(
        _speed_at(start_diameter, cutting_speed, max_spindle_speed, min_spindle_speed),
        _speed_at(end_diameter, cutting_speed, max_spindle_speed, min_spindle_speed),
        clamp,
        low_clamp,
        time,
        _said(low, high, clamp, floor, max_spindle_speed, min_spindle_speed),
    )


def _said(
    low: float, high: float, clamp: float, floor: float, highest: float, lowest: float
) -> tuple[str, ...]:
    """Say where a limit of the spindle rules instead of the cutting speed."""
    said = []
    if low < clamp:
        said.append(
            f"inside {clamp:.4g} mm the spindle stays at {highest:g} 1/min and the cutting speed falls"
        )
    if high > floor:
        said.append(
            f"outside {floor:.4g} mm the lowest speed, {lowest:g} 1/min, cuts faster than the speed wanted"
        )
    return tuple(said)
