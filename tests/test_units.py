"""Typed text to numbers, with pint's own full registry as a second judge."""

from __future__ import annotations

import math
import time
from fractions import Fraction
from functools import cache
from typing import Any

import pint
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from handwheel.errors import HandwheelError
from handwheel.units import SPELLINGS, UnitError, convert, read

JUDGE: dict[str, str] = {
    # The trade's own words, for which pint has another word or another meaning.
    **dict.fromkeys(("mm/rev", "mm/tooth", "mm/r", "mm/z"), "mm"),
    **dict.fromkeys(('"', "″", "''", "in/rev", "ipr", "in/tooth", "ipt"), "inch"),
    **dict.fromkeys(("rpm", "rev/min", "r/min", "min-1", "min⁻¹", "min^-1", "/min"), "1/minute"),
    **dict.fromkeys(("sfm", "fpm", "sfpm", "surface ft/min"), "foot/minute"),
    **dict.fromkeys(("lbf·ft", "lbf ft", "ft·lbf", "ft lbf", "ft-lb", "lb-ft", "ft lb"), "foot*pound_force"),
    **dict.fromkeys(("lbf·in", "lbf in", "in·lbf", "in lbf", "in-lb", "lb-in", "in lb"), "inch*pound_force"),
    **dict.fromkeys(("N m", "N.m", "Nm", "N·m", "N*m"), "newton*meter"),
    **dict.fromkeys(("N·mm", "Nmm", "N mm"), "newton*millimeter"),
    **dict.fromkeys(("kg·m", "kg m", "kgm"), "kilogram*meter"),
    **dict.fromkeys(("°C", "C", "deg C"), "degC"),
    **dict.fromkeys(("°F", "F", "deg F"), "degF"),
    **dict.fromkeys(("1e-6/K", "µm/(m·K)", "um/m/K", "µm/m/K", "ppm/K", "1/MK"), "1e-6/kelvin"),
    **dict.fromkeys(("HB", "HBW", "BHN"), "dimensionless"),
    **dict.fromkeys(("N/mm2", "N/mm²", "N/mm^2"), "newton/millimeter**2"),
    **dict.fromkeys(("kg/m³", "kg/m3", "kg/m^3"), "kilogram/meter**3"),
    **dict.fromkeys(("g/cm³", "g/cm3", "g/cm^3"), "gram/centimeter**3"),
    **dict.fromkeys(("cm³/min", "cm3/min", "cm^3/min"), "centimeter**3/minute"),
    **dict.fromkeys(("in³/min", "in3/min", "in^3/min", "cu in/min"), "inch**3/minute"),
    **dict.fromkeys(("mm²", "mm2", "mm^2"), "millimeter**2"),
    "mpm": "meter/minute",
    "ipm": "inch/minute",
    "lb-force": "pound_force",
    "per cent": "percent",
    "%": "percent",
    "thou": "thou",
    "mil": "thou",
    "HP": "horsepower",
    "microns": "micron",
    "°": "degree",
}


@cache
def registry() -> pint.UnitRegistry[Any]:
    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


def judged(spelling: str) -> tuple[float, float]:
    """Give factor and offset of a spelling to SI base units, as the full registry has them."""
    units = registry()
    name = JUDGE.get(spelling, spelling)
    if name in ("degC", "degF"):
        zero, one = (units.Quantity(number, name).to("kelvin").magnitude for number in (0.0, 1.0))
        return one - zero, zero
    if name.startswith("1e-6/"):
        return 1e-6, 0.0
    return float(units.Quantity(1.0, units.parse_units(name)).to_base_units().magnitude), 0.0


@pytest.mark.parametrize("spelling", SPELLINGS)
def test_a_spelling_means_what_the_full_registry_says(spelling: str) -> None:
    """Every spelling gives the number that pint computes, to all units of its kind."""
    factor, offset = judged(spelling)
    for wanted in {*SPELLINGS.values()}:
        try:
            got = read(f"1.5 {spelling}", wanted)
        except UnitError:
            continue
        wanted_factor, wanted_offset = judged(wanted)
        expected = (1.5 * factor + offset - wanted_offset) / wanted_factor
        assert got == pytest.approx(expected, rel=1e-6, abs=1e-9), (spelling, wanted)


@pytest.mark.parametrize("given_unit", sorted({*SPELLINGS.values()}))
def test_units_of_another_kind_are_refused(given_unit: str) -> None:
    """A unit reads as another only where both are of one kind; an angle is no ratio."""
    units, angles, hardness = registry(), {"deg", "rad"}, {"HB"}

    def kind(unit: str) -> object:
        if unit in angles | hardness:
            return "an angle" if unit in angles else "hardness"
        name = JUDGE.get(unit, unit)
        return units.parse_units("1/kelvin" if name.startswith("1e-6/") else name).dimensionality

    for wanted in sorted({*SPELLINGS.values()}):
        if kind(given_unit) == kind(wanted):
            assert math.isfinite(read(f"2 {given_unit}", wanted))
        else:
            with pytest.raises(UnitError, match="expected"):
                read(f"2 {given_unit}", wanted)


READS = [
    ("1 1/2 in", "mm", 38.1),
    ("25,4 mm", "mm", 25.4),
    ("300 rpm", "1/min", 300.0),
    ('1/4"', "mm", 6.35),
    ('1 1/2"', "mm", 38.1),
    ("20 °C", "°C", 20.0),
    ("68 °F", "°C", 20.0),
    ("-0.02", "mm", -0.02),
    ("−0,02 mm", "mm", -0.02),
    (",5", "mm", 0.5),
    ("0,125", "mm", 0.125),
    ("3/8 in", "mm", 9.525),
    ("  6.8  mm  ", "mm", 6.8),
    ("6.8mm", "mm", 6.8),
    ("1e3 mm", "m", 1.0),
    ("100 ft/min", "m/min", 30.48),
    ("300 1/min", "1/min", 300.0),
    ("5 1/s", "1/min", 300.0),
    ("10 thou", "mm", 0.254),
    ("30 µm", "mm", 0.03),
    ("0.05 mm/rev", "mm", 0.05),
    ("50 %", "", 0.5),
    ("1.5 hp", "kW", 1.1185498),
    ("1234,56", "mm", 1234.56),
    ("1,0000", "mm", 1.0),
]


@pytest.mark.parametrize(("text", "unit", "number"), READS)
def test_reads_what_a_machinist_types(text: str, unit: str, number: float) -> None:
    """Fractions, decimal comma, the trade's spellings and temperatures read as they are meant."""
    assert read(text, unit) == pytest.approx(number, rel=1e-7)


def test_a_bare_number_takes_the_unit_of_the_job() -> None:
    """Without a unit the number is in the bare one; a unit that is written wins over it."""
    assert read("2", "mm", "in") == 50.8
    assert read("2 mm", "mm", "in") == 2.0
    assert read("1/2", "mm", "in") == 12.7


REFUSED = [
    "1,000",
    "-12,345 mm",
    "nan",
    "inf",
    "-inf mm",
    "9**9**9 mm",
    "mm**9**9",
    "9 mm**9**9",
    "1e999",
    "1e100",
    "1e-999 mm",
    "",
    " ",
    "mm",
    "1..2",
    "1.2.3",
    "1,2,3",
    "1/0 in",
    "1 1/0 in",
    "--5",
    "0x10",
    "1_000",
    "٣ mm",
    "6.8 mm extra",
    "12 parsecs",
    "12 V",
    "12 N",
    "__import__('os')",
    "6.8\x00",
    "6.8\x1fmm",
    "6.8\nmm",
    "6.8 mm\n",
    "\x1b[31m6.8 mm",
    "9" * 10_000,
    "1" + "/1" * 5_000,
    " " * 10_000 + "5",
    "5 mm" + "m" * 10_000,
]


@pytest.mark.parametrize("text", REFUSED, ids=lambda text: repr(text)[:30])
def test_what_is_no_size_is_refused_at_once_in_one_line(text: str) -> None:
    """A refusal comes within milliseconds, in one printable line that shows what would do."""
    began = time.perf_counter()
    with pytest.raises(UnitError) as refusal:
        read(text, "mm")
    assert time.perf_counter() - began < 0.5
    said = str(refusal.value)
    assert said.isprintable() and len(said) < 300
    assert "expected a number such as" in said or "can be read two ways" in said


def test_thousands_are_shown_with_both_readings() -> None:
    """A comma before exactly three last digits is refused with the two numbers it could be."""
    with pytest.raises(UnitError, match=r'"1,000" can be read two ways; type 1\.000 or 1000'):
        read("1,000", "mm")


def test_an_unknown_unit_names_the_nearest() -> None:
    """A misspelt unit is answered with the one it may have been."""
    with pytest.raises(UnitError, match='did you mean "inch"'):
        read("2 inck", "mm")


@given(st.text(max_size=80))
@example("1e99 m")
@example("9" * 59 + "e9")
def test_any_text_reads_or_is_refused_in_one_line(text: str) -> None:
    """Nothing but a finite number or a `UnitError` of one line comes out, whatever goes in."""
    for unit in ("mm", "", "°C"):
        try:
            assert math.isfinite(read(text, unit))
        except UnitError as refusal:
            assert str(refusal).isprintable()


@given(
    st.from_regex(r"\s?[-+−]?[0-9]{0,4}[ .,/]?[0-9]{0,4}[eE/ ]?[0-9]{0,3} ?", fullmatch=True),
    st.sampled_from(sorted(SPELLINGS)),
    st.sampled_from(sorted({*SPELLINGS.values()})),
)
def test_anything_like_a_size_reads_or_is_refused(text: str, spelling: str, unit: str) -> None:
    """Near misses of sizes give a finite number or a refusal."""
    try:
        assert math.isfinite(read(text + spelling, unit))
    except HandwheelError as refusal:
        assert isinstance(refusal, UnitError) and str(refusal).isprintable()


@given(st.floats(-1e6, 1e6), st.integers(0, 9), st.sampled_from([".", ","]))
def test_a_formatted_number_reads_back(number: float, decimals: int, point: str) -> None:
    """What is printed with so many decimals comes back as the same decimal number."""
    text = f"{number:.{decimals}f}".replace(".", point)
    if point == "," and decimals == 3 and not text.lstrip("-").startswith("0"):
        text = f"{number:.4f}".replace(".", ",")  # three digits after a comma are refused by design
    assert read(f"{text} mm", "mm") == float(text.replace(",", "."))


@given(st.fractions(0, 100, max_denominator=128))
def test_a_fraction_of_an_inch_is_exact(size: Fraction) -> None:
    """A mixed fraction of an inch gives the float nearest to the exact millimetres."""
    whole, rest = divmod(size, 1)
    text = f"{whole} {rest.numerator}/{rest.denominator} in"
    assert read(text, "mm") == float(size * Fraction("25.4"))


@given(st.floats(-1e5, 1e5))
def test_converting_there_and_back_gives_the_same(number: float) -> None:
    """Inches and millimetres, degrees Celsius and Fahrenheit undo each other."""
    for one, other in (("mm", "in"), ("°C", "°F"), ("kW", "hp")):
        assert convert(convert(number, one, other), other, one) == pytest.approx(number, abs=1e-9)
