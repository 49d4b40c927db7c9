"""Tapers: the angle of a cone, setting over the tailstock, the height under a sine bar, Morse tapers."""

from collections.abc import Mapping
from functools import cache
from math import asin, atan, atan2, cos, degrees, hypot, radians, sin, sqrt, tan
from typing import Annotated, Any, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation
from handwheel.errors import InputError, one_line
from handwheel.tables import table

__all__ = ["chuck_taper", "morse_taper", "sine_bar", "taper"]

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
BelowGauge = Annotated[float, Quantity("mm", "t", kind="depth", at_least=0, usual=(0, 200))]
ChuckName = Annotated[str, Quantity("", "name", example="B16")]
Gauge = Annotated[float, Quantity("mm", "D", kind="size", above=0)]
SmallEnd = Annotated[float, Quantity("mm", "d", kind="size", above=0)]
ShankLength = Annotated[float, Quantity("mm", "l", above=0)]
DiameterThere = Annotated[float, Quantity("mm", "dt", kind="size", above=0)]
OneIn = Annotated[float, Quantity("", "k", above=0)]


class Taper(NamedTuple):
    """Whole and half angle of a cone [deg], its taper on diameter, the set-over of the tailstock [mm]."""

    included_angle: IncludedAngle
    half_angle: HalfAngle
    taper_per_length: TaperPerLength
    setover: Setover | None
    warnings: tuple[str, ...] = ()


class MorseTaper(NamedTuple):
    """Diameters at the gauge plane and below it [mm], the taper on diameter, the angles [deg]."""

    gauge_diameter: Gauge
    one_in: OneIn
    taper_per_length: TaperPerLength
    included_angle: IncludedAngle
    half_angle: HalfAngle
    length: ShankLength
    small_diameter: SmallEnd
    diameter_at_depth: DiameterThere | None


class ChuckTaper(NamedTuple):
    """Both ends and the length [mm] of a taper for a drill chuck, its taper on diameter and angles [deg]."""

    large_diameter: Gauge
    length: ShankLength
    small_diameter: SmallEnd
    number: Annotated[int, Quantity("", "MT")]
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


def _morse_again(number: int, depth: float | None = None) -> tuple[float | None, ...]:
    """Go by the angle: from the radius lost over the length in which the diameter falls by 1 mm."""
    row = _morse()[number]
    half = atan2(0.5, row["one_in"])
    large, length = row["gauge_diameter"], row["length"]
    there = None if depth is None else large - 2 * depth * tan(half)
    angle = degrees(half)
    small = large - 2 * length * tan(half)
    return large, row["one_in"], 2 * tan(half), 2 * angle, angle, length, small, there


@calculation(
    title="Morse taper",
    formula=(
        "table: morse_tapers, D at the gauge plane, k of the taper 1 : k, l to the small end; "
        "C = 1 / k; half = degrees(atan(C / 2)); alpha = 2 * half; d = D - l / k; dt = D - t / k"
    ),
    source="ISO 296:1991, table 1, from memory; handbook tables of the taper per foot agree",
    examples=(
        Example(
            {"number": 2},
            {"gauge_diameter": 17.78, "taper_per_length": 0.04995, "half_angle": 1.4307},
            "ISO 296 and a workshop handbook's half angle of 1.4307 deg",
        ),
        Example(
            {"number": 1, "depth": 53.975},
            {"gauge_diameter": 12.065, "small_diameter": 9.396, "diameter_at_depth": 9.373},
            "ISO 296: 9.4 mm at the small end; ASME B5.10: 0.369 in at 2 1/8 in; from memory",
        ),
    ),
    second=_morse_again,
)
def morse_taper(*, number: Number, depth: BelowGauge | None = None) -> MorseTaper:
    """Give gauge diameter [mm], taper on diameter, angles [deg] and small end [mm] of a Morse taper, 0 to 6.

    Every number has an angle of its own: what fits number 2 rocks in number 3. `length` goes from the
    gauge plane, the mouth of the socket, to the small end of a shank with a drawbar thread; a shank with
    a tang goes on below. With a depth below the gauge plane [mm] also the diameter there.
    """
    row = _morse().get(number)
    if row is None:
        raise CalculationError(f"morse_taper: there is no number {number}; there are 0 to 6, for example 2")
    large, one_in, length = row["gauge_diameter"], row["one_in"], row["length"]
    if depth is not None and depth > 2 * length:
        raise CalculationError(
            f"morse_taper: depth is {depth:g} mm; number {number} is {length:g} mm to its small end, "
            f"such as {length / 2:g} mm"
        )
    half = degrees(atan(1 / one_in / 2))
    there = None if depth is None else large - depth / one_in
    return MorseTaper(large, one_in, 1 / one_in, 2 * half, half, length, large - length / one_in, there)


def _chuck_again(name: str) -> tuple[float | int, ...]:
    """Take the taper of the Morse number by its angle."""
    row = _chuck(name)
    half = atan2(0.5, _morse()[row["number"]]["one_in"])
    large, length = row["large_diameter"], row["length"]
    taper_ = 2 * tan(half)
    angle = degrees(half)
    return large, length, large - length * taper_, row["number"], 1 / taper_, taper_, 2 * angle, angle


@calculation(
    title="Taper for a drill chuck",
    formula=(
        "table: chuck_tapers, D at the large end, the length l and the Morse number, whose taper is 1 : k; "
        "d = D - l / k; C = 1 / k; half = degrees(atan(C / 2)); alpha = 2 * half"
    ),
    source="DIN 238 and ISO 239 (B tapers: shortened Morse tapers), from memory; tapers ISO 296",
    examples=(
        Example(
            {"name": "B16"},
            {"large_diameter": 15.733, "length": 24, "small_diameter": 14.534, "number": 2},
            "DIN 238, B 16: 15.733 mm, 24 mm and 14.5 mm, from memory",
        ),
    ),
    second=_chuck_again,
)
def chuck_taper(*, name: ChuckName) -> ChuckTaper:
    """Give large end, length and small end [mm], taper and angles [deg] of a chuck's taper, `B10` to `B24`.

    The number behind the B is about the larger diameter; the cone is that of Morse 1, 2 or 3.
    """
    row = _chuck(name)
    large, length, number = row["large_diameter"], row["length"], row["number"]
    one_in = _morse()[number]["one_in"]
    half = degrees(atan(1 / one_in / 2))
    return ChuckTaper(large, length, large - length / one_in, number, one_in, 1 / one_in, 2 * half, half)


def _chuck(name: str) -> Mapping[str, Any]:
    row = _chucks().get(name.replace(" ", "").upper())
    if row is None:
        known = ", ".join(_chucks())
        raise CalculationError(
            f'chuck_taper: there is no taper "{one_line(name)}"; there are {known}, such as B16'
        )
    return row


@cache
def _morse() -> Mapping[int, Mapping[str, Any]]:
    return {row["number"]: row for row in table("morse_tapers").rows}


@cache
def _chucks() -> Mapping[str, Mapping[str, Any]]:
    return {row["name"]: row for row in table("chuck_tapers").rows}
