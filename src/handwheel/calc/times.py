"""Times in the cut, without approach, overrun or handling."""

from math import cos, radians, sin, tan
from typing import Annotated

from handwheel.calc.catalogue import Example, Quantity, calculation
from handwheel.calc.quantities import Depth, Diameter, Feed, Pitch, PointAngle, SpindleSpeed, Time

__all__ = ["drilling_time", "facing_time", "tapping_time"]

StartDiameter = Annotated[float, Quantity("mm", "D1", above=0, usual=(0.1, 500))]
EndDiameter = Annotated[float, Quantity("mm", "D2", at_least=0, usual=(0, 500))]
ReverseSpeed = Annotated[float, Quantity("1/min", "nr", above=0, usual=(10, 30000))]


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
