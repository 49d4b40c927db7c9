"""Numbers as a person reads them: decimals, direction of rounding, units, and what was typed."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc import CATALOGUE
from handwheel.present.numbers import digits, plain_text, quantity_of, sentence, shown, unit_of
from handwheel.values import Computed, Entered, Listed, Missing, Value


def entered(plain: float, unit: str, text: str) -> Value:
    return Value(plain, unit, Entered("job.toml x", text, "drawing"))


@pytest.mark.parametrize(
    ("number", "unit", "kind", "text"),
    [
        (6.8, "mm", "", "6.80"),
        (6.8004, "mm", "", "6.80"),
        (6.8126, "mm", "", "6.813"),
        (17.7929, "mm", "depth", "17.79"),
        (0.1, "mm", "feed", "0.10"),
        (0.0625, "mm", "feed", "0.062"),
        (850.0, "1/min", "", "850"),
        (1170.26, "1/min", "", "1170"),
        (12.34, "1/min", "", "12.3"),
        (24.96, "m/min", "", "25.0"),
        (118.0, "deg", "", "118"),
        (12345.6, "1/min", "", "12 346"),
        (9999.0, "N", "", "9999"),
        (1234567.0, "N", "", "1 234 567"),
        (-12345.6, "mm", "position", "-12 345.60"),
        (-0.001, "mm", "position", "0.00"),
        (-0.0, "mm", "", "0.00"),
        (11.6, "", "turns", "11.6"),
        (6, "", "", "6"),
        (1e30, "mm", "", "1" + " 000" * 10 + ".00"),
    ],
)
def test_decimals_by_unit_and_kind(number: float, unit: str, kind: str, text: str) -> None:
    """Each quantity has its decimals; large numbers are grouped, and nothing is minus nothing."""
    assert plain_text(number, unit, kind) == text


@pytest.mark.parametrize(
    ("bound", "number", "text"),
    [
        ("at most", 6.8469, "6.846"),
        ("at most", -0.0201, "-0.021"),
        ("at least", 6.6471, "6.648"),
        ("at least", -0.0209, "-0.02"),
        ("", 6.6475, "6.648"),
        ("at most", 12.350000000000001, "12.35"),
        ("at least", 12.350000000000001, "12.35"),
        ("at least", 0.1 + 0.2, "0.30"),
    ],
)
def test_limits_round_inward(bound: Literal["at most", "at least"], number: float, text: str) -> None:
    """An upper limit is rounded down and a lower one up; the noise of a float is no reason to round."""
    assert plain_text(number, "mm", "size", bound).rstrip("0") == text.rstrip("0")


@given(st.floats(-1e4, 1e4), st.sampled_from(["mm", "1/min", "N·m", "deg", "m/min"]))
def test_a_shown_limit_is_never_outside_the_limit(number: float, unit: str) -> None:
    """Whatever the number, what is shown of a limit does not go past it."""
    shown_down, shown_up = (
        Decimal(plain_text(number, unit, "", bound).replace(" ", "")) for bound in ("at most", "at least")
    )
    assert shown_down <= Decimal(number) + Decimal("1e-8")
    assert shown_up >= Decimal(number) - Decimal("1e-8")


@given(
    st.floats(allow_nan=False, allow_infinity=False),
    st.sampled_from(["mm", "1/min", "µm", "", "°C", "N"]),
    st.sampled_from(["mm", "inch"]),
)
def test_a_number_is_digits_and_never_minus_nothing(
    number: float, unit: str, system: Literal["mm", "inch"]
) -> None:
    """Digits grouped by spaces, at most one point, a sign only before what is not nothing."""
    text = plain_text(number, unit, system=system)
    assert re.fullmatch(r"-?\d{1,4}(\.\d+)?|-?\d{1,3}( \d{3})+(\.\d+)?", text)
    assert not re.fullmatch(r"-[0. ]+", text)


@pytest.mark.parametrize(
    ("plain", "typed", "text"),
    [
        (6.8, "6.8 mm", "6.80 mm"),
        (6.80000, "6.8000 mm", "6.8000 mm"),
        (25.4, "1 in", "25.40 mm"),
        (12.7, "0.5000 in", "12.70 mm"),
        (-0.0, "-0.0000 mm", "0.0000 mm"),
        (12345.6789, "12345.6789 mm", "12 345.6789 mm"),
        (47.123, "47,1230", "47.1230 mm"),
    ],
)
def test_every_decimal_that_was_typed_is_kept(plain: float, typed: str, text: str) -> None:
    """A size typed finer than the usual decimals is shown as fine as it was typed, in the unit typed."""
    assert shown(entered(plain, "mm", typed)) == text


@pytest.mark.parametrize(
    ("value", "text", "unit"),
    [
        (entered(25.4, "mm", "1 in"), "1.000", "in"),
        (entered(6.35, "mm", "0.25000 in"), "0.25000", "in"),
        (entered(6.35, "mm", "6.35 mm"), "0.250", "in"),
        (entered(30.48, "m/min", "30.48 m/min"), "100", "ft/min"),
        (entered(254.0, "mm/min", "254"), "10.0", "in/min"),
        (entered(850.0, "1/min", "850"), "850", "1/min"),
    ],
)
def test_a_job_in_inches_is_shown_in_inches(value: Value, text: str, unit: str) -> None:
    """Lengths, cutting speeds and feed rates are converted, spindle speeds are not."""
    assert (digits(value, "inch"), unit_of(value, "inch")) == (text, unit)


def test_what_is_missing_is_said() -> None:
    """A missing value is "not on file", never a number."""
    missing = Value(None, "mm", Missing("job.toml x", "the depth"))
    assert shown(missing) == "not on file"


def test_words_lists_and_rows_are_shown_in_words() -> None:
    """A text is itself, a yes is yes, a list its numbers, rows how many they are."""
    steps = Value((95.0, 160.0), "1/min", Listed("x", "y"))
    assert shown(steps) == "95 160 1/min"
    assert shown(Value("M8", "", Listed("x", "y"))) == "M8"
    assert shown(Value(True, "", Listed("x", "y"))) == "yes"
    positions = CATALOGUE["bolt_circle"].run(
        {
            "count": Value(6, "", Listed("x", "y")),
            "circle_diameter": Value(96.0, "mm", Listed("x", "y")),
        }
    )["positions"]
    assert shown(positions) == "6 rows"


def test_the_declaration_of_a_result_rules_how_it_is_shown() -> None:
    """A limit of a thread is rounded to its own side because its declaration says so."""
    limits = CATALOGUE["thread_dimensions"].run({"thread": Value("M8", "", Listed("x", "y"))})
    for name, bound in (("internal_minor_min", "at least"), ("internal_minor_max", "at most")):
        quantity = quantity_of(limits[name])
        assert isinstance(limits[name].origin, Computed)
        assert quantity is not None and quantity.bound == bound


# --- sentences ---------------------------------------------------------------------------------------


def test_a_sentence_does_not_look_into_what_it_puts_in() -> None:
    """Braces, markup and control signs in a value stay text; a value that is not there is not on file."""
    values: dict[str, Value | str] = {
        "a.b": "{c.d} {0} {a.b!r} [red]\x1b[31m",
        "c.d": entered(5, "mm", "5 mm"),
    }
    filled = sentence("{a.b} and {c.d} and {no.such} and {} and {0}", values)
    assert filled == "{c.d} {0} {a.b!r} [red]\\x1b[31m and 5.00 mm and not on file and {} and {0}"


@given(st.text(max_size=40), st.text(max_size=40))
def test_any_text_can_be_a_sentence(template: str, put_in: str) -> None:
    """Neither a template nor a value makes a sentence fail or break its line."""
    assert sentence(template + "{x.y}", {"x.y": put_in}).isprintable()
