"""Typed text to numbers: our own reader for the number, a closed list of spellings for the unit.

The only module that knows pint, and pint never sees typed text: it gives factor and offset once for
each pair of units, as exact fractions. A revolution is a count here: `rpm` is `1/min`, `mm/rev` is `mm`.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from functools import cache, lru_cache
from typing import TYPE_CHECKING

from handwheel.errors import InputError, nearest, one_line

if TYPE_CHECKING:
    from pint import UnitRegistry

__all__ = ["SPELLINGS", "UnitError", "convert", "read"]

LONGEST = 60
"""Characters of a typed size that are looked at; what is longer is refused unread."""


class UnitError(InputError, ValueError):
    """Text that is no number with a unit of the right kind."""


_DEFINITIONS = """
milli- = 1e-3 = m-
kilo- = 1e3 = k-
mega- = 1e6 = M-
giga- = 1e9 = G-
centi- = 1e-2 = c-
micro- = 1e-6 = u-
meter = [length] = m
gram = [mass] = g
second = [time] = s
kelvin = [temperature] = K
radian = []
inch = 0.0254 * meter
foot = 12 * inch
degree = 3.14159265358979323846 / 180 * radian
percent = 0.01
minute = 60 * second
hour = 60 * minute
pound = 0.45359237 * kilogram
newton = kilogram * meter / second ** 2 = N
pound_force = 4.4482216152605 * newton
pascal = newton / meter ** 2 = Pa
watt = newton * meter / second = W
horsepower = 550 * foot * pound_force / second
degree_Celsius = kelvin; offset: 273.15 = degC
degree_Fahrenheit = 5 / 9 * kelvin; offset: 233.15 + 200 / 9 = degF
"""

_UNITS: Mapping[str, str] = {
    # Our own name of a unit, as declarations and answers write it, and what pint calls it.
    "": "dimensionless",
    "mm": "millimeter",
    "cm": "centimeter",
    "m": "meter",
    "µm": "micrometer",
    "in": "inch",
    "ft": "foot",
    "thou": "inch / 1000",
    "deg": "degree",
    "rad": "radian",
    "min": "minute",
    "s": "second",
    "h": "hour",
    "1/min": "1 / minute",
    "1/s": "1 / second",
    "m/min": "meter / minute",
    "m/s": "meter / second",
    "mm/min": "millimeter / minute",
    "ft/min": "foot / minute",
    "in/min": "inch / minute",
    "N": "newton",
    "kN": "kilonewton",
    "lbf": "pound_force",
    "N·m": "newton * meter",
    "N·mm": "newton * millimeter",
    "lbf·ft": "pound_force * foot",
    "lbf·in": "pound_force * inch",
    "kW": "kilowatt",
    "W": "watt",
    "hp": "horsepower",
    "N/mm²": "newton / millimeter ** 2",
    "GPa": "gigapascal",
    "MPa": "megapascal",
    "psi": "pound_force / inch ** 2",
    "kg": "kilogram",
    "g": "gram",
    "lb": "pound",
    "kg/m³": "kilogram / meter ** 3",
    "g/cm³": "gram / centimeter ** 3",
    "kg·m": "kilogram * meter",
    "cm³/min": "centimeter ** 3 / minute",
    "in³/min": "inch ** 3 / minute",
    "mm²": "millimeter ** 2",
    "1e-6/K": "1 / megakelvin",
    "K": "kelvin",
    "°C": "degree_Celsius",
    "°F": "degree_Fahrenheit",
    "%": "percent",
    "HB": "dimensionless",
}

_ALSO: Mapping[str, tuple[str, ...]] = {
    "mm": ("millimetre", "millimeter", "millimetres", "millimeters", "mm/rev", "mm/tooth", "mm/r", "mm/z"),
    "cm": ("centimetre", "centimeter"),
    "m": ("metre", "meter"),
    "µm": ("μm", "um", "micron", "microns", "micrometre"),
    "in": ("inch", "inches", '"', "″", "''", "in/rev", "ipr", "in/tooth", "ipt"),
    "ft": ("foot", "feet"),
    "thou": ("mil",),
    "deg": ("°", "degree", "degrees"),
    "min": ("minute", "minutes"),
    "s": ("sec", "second", "seconds"),
    "h": ("hour", "hours"),
    "1/min": ("rpm", "rev/min", "r/min", "min-1", "min⁻¹", "min^-1", "/min"),
    "m/min": ("mpm",),
    "ft/min": ("sfm", "fpm", "sfpm", "surface ft/min"),
    "in/min": ("ipm",),
    "N": ("newton",),
    "lbf": ("lb-force",),
    "N·m": ("Nm", "N m", "N*m", "N.m"),
    "N·mm": ("Nmm", "N mm"),
    "lbf·ft": ("lbf ft", "ft·lbf", "ft lbf", "ft-lb", "lb-ft", "ft lb"),
    "lbf·in": ("lbf in", "in·lbf", "in lbf", "in-lb", "lb-in", "in lb"),
    "kW": ("kilowatt",),
    "W": ("watt",),
    "hp": ("HP",),
    "N/mm²": ("N/mm2", "N/mm^2"),
    "kg/m³": ("kg/m3", "kg/m^3"),
    "g/cm³": ("g/cm3", "g/cm^3"),
    "kg·m": ("kg m", "kgm"),
    "cm³/min": ("cm3/min", "cm^3/min"),
    "in³/min": ("in3/min", "in^3/min", "cu in/min"),
    "mm²": ("mm2", "mm^2"),
    "1e-6/K": ("µm/(m·K)", "um/m/K", "µm/m/K", "ppm/K", "1/MK"),
    "°C": ("C", "degC", "deg C"),
    "°F": ("F", "degF", "deg F"),
    "%": ("percent", "per cent"),
    "HB": ("HBW", "BHN"),
}

_OWN_KIND: Mapping[str, str] = {"deg": "angle", "rad": "angle", "HB": "hardness"}
"""What has no dimension and is still no ratio: 30 deg is not 52 %."""

SPELLINGS: Mapping[str, str] = {unit: unit for unit in _UNITS if unit} | {
    spelling: unit for unit, spellings in _ALSO.items() for spelling in spellings
}
"""The closed list: every spelling that is understood, and the unit it names."""

_NUMBER = re.compile(
    r"\s*(?P<sign>[-+−]?)\s*(?:"
    r"(?P<whole>[0-9]{1,9})\s+(?P<top>[0-9]{1,6})/(?P<bottom>[0-9]{1,6})"
    r"|(?P<over>[0-9]{1,6})/(?P<under>[0-9]{1,6})"
    r"|(?P<decimal>[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)(?:[eE](?P<exponent>[-+]?[0-9]{1,2}))?(?![0-9.,eE])"
    r")\s*(?P<unit>[^0-9\s.,+\-−].*|1/min|1/s|1e-6/K|1/MK)?\s*",
)
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f]")
_THOUSANDS = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")


@lru_cache(maxsize=4096)
def read(text: str, unit: str, bare: str | None = None) -> float:
    """Read typed text as a number in `unit`; a number without a unit is taken in `bare` (or `unit`).

    Understood are `6.8`, `25,4 mm`, `3/8 in`, `1 1/2"`, `-0.02`, `300 rpm`, `20 °C`. Refused in one
    line, with what would do: `1,000` (one, or one thousand?), units of another kind, unknown
    spellings, anything that is not a number.
    """
    if len(text) > LONGEST:
        raise UnitError(f"{len(text)} characters are too long for a size; expected {_example(unit)}")
    match = None if _CONTROL.search(text) else _NUMBER.fullmatch(text)
    if match is None:
        raise UnitError(f'"{one_line(text)}" is no number{_in(unit)}; expected {_example(unit)}')
    number = _number(text, match, unit)
    spelling = (match["unit"] or "").strip()
    given = _unit(text, spelling, unit) if spelling else (unit if bare is None else bare)
    if given == unit:
        return float(number) if isinstance(number, str) else float(Fraction(*number))
    factor, offset = _conversion(given, unit)
    exact = Fraction(number) if isinstance(number, str) else Fraction(*number)
    return float(exact * factor + offset)


def convert(number: float, given: str, wanted: str) -> float:
    """Convert a number between two of our units, both of one kind."""
    if given == wanted:
        return number
    factor, offset = _conversion(given, wanted)
    return float(Fraction(number) * factor + offset)


def _number(text: str, match: re.Match[str], unit: str) -> str | tuple[int, int]:
    """Take the number out of the match: decimal digits as Python writes them, or a fraction's two parts."""
    sign = "-" if match["sign"] in ("-", "−") else ""
    if match["decimal"]:
        digits: str = match["decimal"]
        if _THOUSANDS.fullmatch(digits):
            point, none = digits.replace(",", "."), digits.replace(",", "")
            raise UnitError(f'"{one_line(text)}" can be read two ways; type {point} or {none}')
        exponent = f"e{match['exponent']}" if match["exponent"] else ""
        return sign + digits.replace(",", ".") + exponent
    bottom = int(match["bottom"] or match["under"])
    if bottom == 0:
        raise UnitError(f'"{one_line(text)}" divides by nothing; expected {_example(unit)}')
    whole = int(match["whole"] or 0)
    top = whole * bottom + int(match["top"] or match["over"])
    return (-top if sign else top), bottom


def _unit(text: str, spelling: str, unit: str) -> str:
    given = SPELLINGS.get(spelling) or SPELLINGS.get(spelling.replace(" ", ""))
    if given is None:
        raise UnitError(
            f'"{one_line(text)}": "{one_line(spelling)}" is no unit known here'
            f"{nearest(spelling, SPELLINGS)}; expected {_example(unit)}"
        )
    if given != unit and not _same_kind(given, unit):
        raise UnitError(f'"{one_line(text)}" is in {given}; expected {_example(unit)}')
    return given


def _in(unit: str) -> str:
    return f" in {unit}" if unit else ""


def _example(unit: str) -> str:
    """Show a text that would do for this unit."""
    shown = {
        "": "12",
        "mm": "6.8 mm or 1/4 in",
        "m/min": "25 m/min or 80 ft/min",
        "1/min": "850 1/min",
        "°C": "20 °C",
        "HB": "180 HB",
    }
    return "a number such as " + shown.get(unit, f"12 {unit}")


@cache
def _registry() -> UnitRegistry[Fraction]:
    # Fractions keep an inch at exactly 25.4 mm; the short list of definitions loads in milliseconds.
    from pint import UnitRegistry

    return UnitRegistry(_DEFINITIONS.strip().splitlines(), non_int_type=Fraction)


@cache
def _same_kind(given: str, wanted: str) -> bool:
    units = _registry()
    one, other = (units.parse_units(_plain(unit)).dimensionality for unit in (given, wanted))
    own = _OWN_KIND.get(given), _OWN_KIND.get(wanted)
    return bool(one == other) and own[0] == own[1]


def _plain(unit: str) -> str:
    return _UNITS[unit].replace("inch / 1000", "milliinch")


@cache
def _conversion(given: str, wanted: str) -> tuple[Fraction, Fraction]:
    """Factor and offset from one unit to another, as pint has them."""
    units = _registry()
    source, target = units.parse_units(_plain(given)), units.parse_units(_plain(wanted))
    at_zero, at_one = (units.Quantity(Fraction(k), source).to(target).magnitude for k in (0, 1))
    return Fraction(at_one) - Fraction(at_zero), Fraction(at_zero)
