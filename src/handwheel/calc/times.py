"""Times in the cut, without approach, overrun or handling."""

from math import cos, radians, sin, tan
from typing import Annotated

from handwheel.calc.catalogue import Example, Quantity, calculation
from handwheel.calc.quantities import (
    Depth,
    Diameter,
    Feed,
    FeedRate,
    Length,
    Pitch,
    PointAngle,
    SpindleSpeed,
    Time,
)

__all__ = ["drilling_time", "facing_time", "milling_time", "tapping_time", "turning_time"]

StartDiameter = Annotated[float, Quantity("mm", "D1", above=0, usual=(0.1, 500))]
EndDiameter = Annotated[float, Quantity("mm", "D2", at_least=0, usual=(0, 500))]
Passes = Annotated[int, Quantity("", "N", at_least=1, at_most=1000, usual=(1, 50), example="1")]
ReverseSpeed = Annotated[float, Quantity("1/min", "nr", above=0, usual=(10, 30000))]


def _turning_by_turns(length: float, feed: float, spindle_speed: float, passes: int = 1) -> float:
    """Count the turns of every pass, then their time."""
    turns = sum(length / feed for _ in range(passes))
    return turns / spindle_speed


@calculation(
    title="Time to turn a length",
    formula="T = N * l / (f * n)",
    source="Machinery's Handbook, 31st ed., Turning and boring: T = L / (f N) (from memory)",
    examples=(
        Example(
            {"length": 100, "feed": 0.2, "spindle_speed": 1000},
            {"time": 0.5},
            "tool maker's catalogue, worked problem of turning: 100 mm at 1000 1/min, 0.2 mm (from memory)",
        ),
    ),
    second=_turning_by_turns,
    result="time",
)
def turning_time(*, length: Length, feed: Feed, spindle_speed: SpindleSpeed, passes: Passes = 1) -> Time:
    """Give the time [min] in the cut along a length [mm], outside or in a bore, all passes together.

    The ways in and out and the ways back are not in it.
    """
    return passes * length / (feed * spindle_speed)


def _milling_by_ways(length: float, diameter: float, feed_rate: float, passes: int = 1) -> float:
    """Add the way until the cutter's axis is over the edge, the length, and the way until it has left."""
    radius = diameter / 2
    return sum((radius + length + radius) / feed_rate for _ in range(passes))


@calculation(
    title="Time to mill along a length, until the cutter is clear of it",
    formula="T = N * (l + d) / vf",
    source="Machinery's Handbook, 31st ed., Milling: the table travels the length and the cutter's diameter "
    "until the face is clear (from memory)",
    examples=(
        Example(
            {"length": 300, "diameter": 200, "feed_rate": 796},
            {"time": 0.628},
            "tool maker's catalogue, worked problem: 300 mm with a 200 mm face mill (from memory)",
        ),
    ),
    second=_milling_by_ways,
    result="time",
)
def milling_time(*, length: Length, diameter: Diameter, feed_rate: FeedRate, passes: Passes = 1) -> Time:
    """Give the time [min] of passes over a length [mm] with a cutter of a diameter [mm], at a table feed.

    Each pass begins where the cutter touches and ends where it has left. The ways back are not in it.
    """
    return passes * (length + diameter) / feed_rate


def _facing_by_revolutions(
    start_diameter: float, end_diameter: float, feed: float, spindle_speed: float
) -> float:
    """Count the turns of the spiral on the face, then their time."""
    turns = abs(start_diameter / 2 - end_diameter / 2) / feed
    return turns / spindle_speed


@calculation(
    title="Time to face at one spindle speed",
    formula="T = abs(D1 - D2) / (2 * f * n)",
    source="Machinery's Handbook, 31st ed., Turning and boring: T = L / (f N), "
    "L the radial travel (from memory)",
    examples=(
        Example(
            {"start_diameter": 100, "end_diameter": 0, "feed": 0.2, "spindle_speed": 500},
            {"time": 0.5},
            "arithmetic of the formula: 50 mm of travel at 100 mm/min",
        ),
    ),
    second=_facing_by_revolutions,
    result="time",
)
def facing_time(
    *, start_diameter: StartDiameter, end_diameter: EndDiameter, feed: Feed, spindle_speed: SpindleSpeed
) -> Time:
    """Give the time [min] of one facing pass between two diameters [mm], inward or outward."""
    return abs(start_diameter - end_diameter) / (2 * feed * spindle_speed)


def _drilling_in_two_parts(
    depth: float, diameter: float, feed: float, spindle_speed: float, point_angle: float = 118
) -> float:
    """Add the turns until the point is buried and the turns from there to the depth."""
    half = radians(point_angle) / 2
    turns = diameter / 2 * cos(half) / sin(half) / feed + depth / feed
    return turns / spindle_speed


@calculation(
    title="Time to drill to a depth at full diameter",
    formula="T = (t + d / (2 * tan(radians(sigma) / 2))) / (f * n)",
    source="Machinery's Handbook, 31st ed., Drilling: T = L / (f N), L with the length of the point "
    "(from memory)",
    examples=(
        Example(
            {"depth": 20, "diameter": 10, "point_angle": 118, "feed": 0.2, "spindle_speed": 1000},
            {"time": 0.1150},
            "arithmetic: the point of a 118 deg drill is 0.3004 of its diameter, so 23.004 mm at 200 mm/min",
        ),
    ),
    second=_drilling_in_two_parts,
    result="time",
)
def drilling_time(
    *,
    depth: Depth,
    diameter: Diameter,
    feed: Feed,
    spindle_speed: SpindleSpeed,
    point_angle: PointAngle = 118,
) -> Time:
    """Give the time [min] from the touch of the point to the depth [mm] at full diameter, without pecks."""
    point = diameter / (2 * tan(radians(point_angle) / 2))
    return (depth + point) / (feed * spindle_speed)


def _tapping_by_turns(
    depth: float, pitch: float, spindle_speed: float, reverse_spindle_speed: float | None = None
) -> float:
    """Count the turns in, and the same turns out."""
    turns = depth / pitch
    return sum(turns / speed for speed in (spindle_speed, reverse_spindle_speed or spindle_speed))


@calculation(
    title="Time to tap in and back out",
    formula="T = t / (P * n) + t / (P * (nr or n))",
    source="the tap advances its pitch in each turn, in and out (geometry); default: out as fast as in",
    examples=(
        Example(
            {"depth": 15, "pitch": 1.5, "spindle_speed": 100, "reverse_spindle_speed": 200},
            {"time": 0.15},
            "arithmetic: ten turns in at 100 1/min, ten turns out at 200 1/min",
        ),
    ),
    second=_tapping_by_turns,
    result="time",
)
def tapping_time(
    *,
    depth: Depth,
    pitch: Pitch,
    spindle_speed: SpindleSpeed,
    reverse_spindle_speed: ReverseSpeed | None = None,
) -> Time:
    """Give the time [min] of the tap's travel [mm] in and out; the way out at the reverse speed."""
    way_out = reverse_spindle_speed or spindle_speed
    return depth / (pitch * spindle_speed) + depth / (pitch * way_out)
