"""Tapers: the angle of a cone, setting over the tailstock, the height under a sine bar, Morse tapers."""

from collections.abc import Mapping
from functools import cache
from math import asin, atan, atan2, cos, degrees, hypot, radians, sin, sqrt
from typing import Annotated, Any, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation
from handwheel.errors import InputError
from handwheel.tables import table

__all__ = ["morse_taper", "sine_bar", "taper"]

LargeDiameter = Annotated[float, Quantity("mm", "D", kind="size", above=0, usual=(1, 500))]
SmallDiameter = Annotated[float, Quantity("mm", "d", kind="size", at_least=0, usual=(0, 500))]
TaperLength = Annotated[float, Quantity("mm", "l", above=0, usual=(1, 1000))]
WorkLength = Annotated[float, Quantity("mm", "L", above=0, usual=(10, 2000))]
IncludedAngle = Annotated[float, Quantity("deg", "alpha", kind="fine", at_least=0)]
HalfAngle = Annotated[float, Quantity("deg", "half", kind="fine", at_least=0)]
TaperPerLength = Annotated[float, Quantity("", "C", kind="taper", at_least=0)]
Setover = Annotated[float, Quantity("mm", "S", kind="position", at_least=0)]
BarAngle = Annotated[float, Quantity("deg", "alpha", at_least=0, below=90, usual=(0, 60))]
BarLength = Annotated[float, Quantity("mm", "L", above=0, usual=(50, 500))]
BarHeight = Annotated[float, Quantity("mm", "h", kind="size", at_least=0)]
Number = Annotated[int, Quantity("", "MT", at_least=0, at_most=6, usual=(0, 6))]
Gauge = Annotated[float, Quantity("mm", "D", kind="size", above=0)]
OneIn = Annotated[float, Quantity("", "k", above=0)]


class Taper(NamedTuple):
    """Whole and half angle of a cone [deg], its taper on diameter, the set-over of the tailstock [mm]."""

    included_angle: IncludedAngle
    half_angle: HalfAngle
    taper_per_length: TaperPerLength
    setover: Setover | None
    warnings: tuple[str, ...] = ()


class MorseTaper(NamedTuple):
    """The diameter at the gauge plane [mm], the taper on diameter, and the angles [deg]."""

    gauge_diameter: Gauge
    one_in: OneIn
    taper_per_length: TaperPerLength
    included_angle: IncludedAngle
    half_angle: HalfAngle


def _taper_again(
    large_diameter: float, small_diameter: float, length: float, work_length: float | None = None
) -> tuple[float, float, float, float | None]:
    """Take the angle by the sine over the slant side instead."""
    step = (large_diameter - small_diameter) / 2
    half = degrees(asin(step / hypot(step, length)))
    return 2 * half, half, 2 * step / length, None if work_length is None else step / length * work_length


@calculation(
    title="Angle and taper of a cone, and the set-over that turns it",
    formula=("C = (D - d) / l; half = degrees(atan(C / 2)); alpha = 2 * half; S = L * C / 2"),
    source=(
        "ISO 1119 (taper C = (D - d) / l); set-over = L (D - d) / (2 l), L the whole length between centres: "
        "Machinery's Handbook, 31st ed., tapers, and US Army TC 9-524, chapter 7"
    ),
    examples=(
        Example(
            {"large_diameter": 25, "small_diameter": 20, "length": 50, "work_length": 100},
            {"included_angle": 5.7248, "half_angle": 2.8624, "taper_per_length": 0.1, "setover": 5},
            "a cone of 1:10: 5.7248 deg (ISO 1119, from memory)",
        ),
        Example(
            {"large_diameter": 25, "small_diameter": 20, "length": 50},
            {"half_angle": 2.8624},
            "the same cone without its work length",
        ),
    ),
    second=_taper_again,
)
def taper(
    *,
    large_diameter: LargeDiameter,
    small_diameter: SmallDiameter,
    length: TaperLength,
    work_length: WorkLength | None = None,
) -> Taper:
    """Give the angles [deg] and the taper of a cone between two diameters [mm] over a length [mm].

    The top slide is set to the half angle. With the whole length between centres [mm] also how far the
    tailstock is set over [mm]; it stands in the centre holes, so a long taper between ball centres only.
    """
    if small_diameter > large_diameter:
        raise InputError(
            f"the small diameter, {small_diameter:g} mm, is larger than the large one, "
            f"{large_diameter:g} mm; "
            "change them round, for example 20 mm and 25 mm"
        )
    if work_length is not None and work_length < length:
        raise InputError(
            f"work_length is {work_length:g} mm and shorter than the taper; it is the whole length between "
            f"centres, for example {2 * length:g} mm"
        )
    per_length = (large_diameter - small_diameter) / length
    half = degrees(atan(per_length / 2))
    setover = None if work_length is None else work_length * per_length / 2
    return Taper(2 * half, half, per_length, setover, _setover_notes(setover, work_length))


def _setover_notes(setover: float | None, work_length: float | None) -> tuple[str, ...]:
    """Beyond one fiftieth of the length centres bear on an edge: common practice, no source."""
    if setover is None or work_length is None or setover <= work_length / 50:
        return ()
    return (
        "so much set-over leaves the centres bearing on an edge: the top slide or ball centres do better",
    )


@calculation(
    title="Height of gauge blocks under a sine bar",
    formula="h = L * sin(radians(alpha))",
    source="definition of the sine; Machinery's Handbook, 31st ed., sine bar",
    examples=(
        Example({"angle": 30, "bar_length": 100}, {"height": 50}, "sin 30 deg is one half"),
        Example(
            {"angle": 5.5, "bar_length": 127},
            {"height": 12.1724},
            "five-inch bar: 5 sin 5 deg 30 min, by hand",
        ),
    ),
    second=lambda angle, bar_length: sqrt(bar_length**2 - (bar_length * cos(radians(angle))) ** 2),
    result="height",
)
def sine_bar(*, angle: BarAngle, bar_length: BarLength) -> BarHeight:
    """Give the height [mm] of the blocks under one roller for an angle [deg] and a bar [mm] between rollers.

    Above 45 deg a small error of the height becomes a large one of the angle; set the other face then.
    """
    return bar_length * sin(radians(angle))


def _morse_angle_again(number: int) -> tuple[float, float, float, float, float]:
    """Take the angle from the radius lost over the length in which the diameter falls by 1 mm."""
    row = _morse()[number]
    half = degrees(atan2(0.5, row["one_in"]))
    return row["gauge_diameter"], row["one_in"], 1 / row["one_in"], 2 * half, half


@calculation(
    title="Morse taper",
    formula=(
        "table: morse_tapers, D at the gauge plane and k of the taper 1 : k; "
        "C = 1 / k; half = degrees(atan(C / 2)); alpha = 2 * half"
    ),
    source="ISO 296:1991, table 1, from memory; handbook tables of the taper per foot agree",
    examples=(
        Example(
            {"number": 2},
            {"gauge_diameter": 17.78, "taper_per_length": 0.04995, "half_angle": 1.4307},
            "ISO 296 and a workshop handbook's half angle of 1.4307 deg",
        ),
    ),
    second=_morse_angle_again,
)
def morse_taper(*, number: Number) -> MorseTaper:
    """Give gauge diameter [mm], taper on diameter and angles [deg] of a Morse taper, number 0 to 6.

    Every number has an angle of its own: what fits number 2 rocks in number 3.
    """
    row = _morse().get(number)
    if row is None:
        raise CalculationError(f"morse_taper: there is no number {number}; there are 0 to 6, for example 2")
    half = degrees(atan(1 / row["one_in"] / 2))
    return MorseTaper(row["gauge_diameter"], row["one_in"], 1 / row["one_in"], 2 * half, half)


@cache
def _morse() -> Mapping[int, Mapping[str, Any]]:
    return {row["number"]: row for row in table("morse_tapers").rows}
