"""Twist drills: the diameter of a named size, and the size nearest to a diameter."""

import re
from bisect import bisect_left, bisect_right
from functools import cache, lru_cache
from math import gcd
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import Example, Quantity, calculation
from handwheel.calc.designations import INCH
from handwheel.calc.quantities import Diameter
from handwheel.errors import InputError, one_line
from handwheel.tables import table

__all__ = ["Drill", "drill_size", "inch_size", "nearest_drill"]

_SOURCE = "ISO 235:1980 (metric), ASME B94.11M-1993 (number, letter, fraction)"
_LARGEST_FRACTION = 192
"""Sixty-fourths up to 3 in, the largest taper-shank drill of ASME B94.11M (from memory)."""

DrillName = Annotated[str, Quantity("", "name", example="#7")]
Series = Annotated[
    str, Quantity("", "series", choices=("metric", "metric-0.05", "number", "letter", "fraction", "all"))
]
Rule = Annotated[str, Quantity("", "rule", choices=("nearest", "lower", "upper", "below", "above"))]
Inches = Annotated[float, Quantity("in", "inches", kind="size", above=0)]
Difference = Annotated[float, Quantity("mm", "difference", kind="size")]


class Drill(NamedTuple):
    """A drill of a series: its name, its diameter [mm], and how much larger it is than wanted [mm]."""

    name: DrillName
    diameter: Diameter
    difference: Difference


@calculation(
    title="Drill of a series nearest to a diameter",
    formula=(
        "table: of the series the drill nearest to d; not larger (lower) or not smaller (upper) than d; "
        "the next smaller (below) or larger (above)"
    ),
    source=_SOURCE,
    examples=(
        Example(
            {"diameter": 5.1, "series": "number"},
            {"name": "#7", "diameter": 5.1054, "difference": 0.0054},
            "ASME B94.11M: No. 7 is 0.2010 in, from memory",
        ),
    ),
    second="a choice from a list has no second route",
)
def nearest_drill(*, diameter: Diameter, series: Series = "metric", rule: Rule = "nearest") -> Drill:
    """Choose the drill [mm] of a series; of two equally near the smaller, which leaves metal to remove."""
    sizes, names = _series(series)
    above = bisect_left(sizes, diameter)
    below = bisect_right(sizes, diameter) - 1
    if rule == "nearest":
        near = [index for index in (below, above) if 0 <= index < len(sizes)]
        index = min(near, key=lambda one: round(abs(sizes[one] - diameter), 9))
    else:
        index = {"lower": below, "upper": above, "below": above - 1, "above": below + 1}[rule]
    # a tenth beyond its end a series is no answer any more
    if not 0 <= index < len(sizes) or not sizes[0] * 0.9 <= diameter <= sizes[-1] * 1.1:
        raise InputError(
            f"no {series} drill for {diameter:g} mm; the series goes from {names[0]} ({sizes[0]:.4g} mm) "
            f"to {names[-1]} ({sizes[-1]:.4g} mm)"
        )
    return Drill(names[index], sizes[index], sizes[index] - diameter)


@calculation(
    title="A size in inches",
    formula="inches = d / 25.4",
    source="one inch is 25.4 mm: ISO 80000-3; international yard and pound agreement of 1959",
    examples=(
        Example({"diameter": 5.1054}, {"inches": 0.2010}, "ASME B94.11M, drill No. 7, from memory"),
        Example({"diameter": 12.7}, {"inches": 0.5}, "arithmetic: half an inch"),
    ),
    second=lambda diameter: diameter / 127 * 5,
    result="inches",
)
def inch_size(*, diameter: Diameter) -> Inches:
    """Give a size [mm] in inches."""
    return diameter / INCH


@calculation(
    title="Diameter of a named drill",
    formula="table: the diameter of the number, letter, fraction or millimetre size",
    source=_SOURCE,
    examples=(
        Example({"name": "#7"}, {"diameter": 5.1054}, "ASME B94.11M: 0.2010 in, from memory"),
        Example({"name": "13/64"}, {"diameter": 5.159375}, "arithmetic: 13 / 64 * 25.4"),
    ),
    second="a size read from a list has no second route",
    result="diameter",
)
def drill_size(*, name: DrillName) -> Diameter:
    """Give the diameter [mm] of `#7`, `F`, `13/64`, `1 9/64`, `0.201 in` or `6.8 mm`."""
    return _diameter(name)


@lru_cache(maxsize=1024)
def _diameter(name: str) -> float:
    clean = name.strip().replace(",", ".")
    listed = re.sub(r"^(?:no\.?|nr\.?|#)\s*", "#", clean, flags=re.IGNORECASE).upper()
    for row in table("drills_inch").rows:
        if row["name"] == listed:
            return float(row["diameter"]) * INCH
    fraction = re.fullmatch(r'(?:(\d)[ -])?(\d{1,3})/(64|32|16|8|4|2)\s*(?:in|")?', clean)
    if fraction:
        return (int(fraction[1] or 0) + int(fraction[2]) / int(fraction[3])) * INCH
    number = re.fullmatch(r'(\d{0,3}(?:\.\d{1,5})?)\s*(mm|in|"|)', clean)
    if number and number[1].strip(".") and float(number[1]) > 0:
        if not number[2] and f"#{number[1]}" in _series("number")[1]:
            raise InputError(f'"{clean}" could be #{clean} or {clean} mm; write which')
        return float(number[1]) * (1.0 if number[2] in ("mm", "") else INCH)
    raise InputError(f'"{one_line(name)}" is not a drill; write it as #7, F, 13/64, 0.201 in or 6.8 mm')


@cache
def _series(name: str) -> tuple[tuple[float, ...], tuple[str, ...]]:
    """Give the diameters [mm] of a series, rising, and their names; of equal ones the first kind named."""
    if name == "all":
        kinds = [
            dict(zip(*_series(kind), strict=True)) for kind in ("letter", "number", "fraction", "metric")
        ]
        drills = {size: text for kind in kinds for size, text in kind.items()}
    elif name == "fraction":
        drills = {count / 64 * INCH: _fraction(count) for count in range(1, _LARGEST_FRACTION + 1)}
    elif name in ("number", "letter"):
        rows = table("drills_inch").rows
        drills = {row["diameter"] * INCH: row["name"] for row in rows if row["series"] == name}
    else:
        drills = _millimetres(name)
    sizes = tuple(sorted(drills))
    return sizes, tuple(drills[size] for size in sizes)


def _millimetres(name: str) -> dict[float, str]:
    drills = {}
    for row in table("drills_metric").rows:
        if row["series"] == name:
            first, step = row["first"], row["step"]
            for count in range(round((row["last"] - first) / step) + 1):
                # the decimal that is engraved on the drill, not a sum of binary fractions
                text = f"{first + count * step:.2f}".rstrip("0").rstrip(".")
                drills[float(text)] = f"{text} mm"
    return drills


def _fraction(count: int) -> str:
    """Write sixty-fourths as the trade does: 73 -> `1 9/64`."""
    whole, rest = divmod(count, 64)
    if not rest:
        return f"{whole} in"
    part = gcd(rest, 64)
    return f"{whole} {rest // part}/{64 // part}" if whole else f"{rest // part}/{64 // part}"
