"""Numbers to text: one table of decimals and direction by unit, kind of quantity and unit system.

Limits round inward, "at most" down, "at least" up, everything else to the nearest; what a machine or
a drill index takes only in steps is no rounding but a calculation. Nothing here changes a value.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Context, Decimal
from typing import Literal, NamedTuple

from handwheel.calc import CATALOGUE
from handwheel.calc.catalogue import Bound, Quantity
from handwheel.errors import one_line
from handwheel.units import convert
from handwheel.values import Computed, Entered, Plain, Value

__all__ = ["Filled", "System", "digits", "filled", "quantity_of", "sentence", "shown", "unit_of"]

System = Literal["mm", "inch"]

_NOISE = 9
"""Decimals behind which a float is noise: 12.350000000000001 is 12.35 before it is rounded up."""


@dataclass(frozen=True, slots=True)
class _Format:
    """Fewest and most decimals; `wide` holds the decimals from a number of that size on."""

    least: int
    most: int
    wide: tuple[tuple[float, int], ...] = ()


_METRIC: Mapping[tuple[str, str], _Format] = {
    ("mm", ""): _Format(2, 3),
    ("mm", "size"): _Format(2, 3),
    ("mm", "depth"): _Format(2, 2),
    ("mm", "position"): _Format(2, 2),
    ("mm", "feed"): _Format(2, 3),
    ("mm", "deviation"): _Format(2, 3),
    ("1/min", ""): _Format(1, 1, ((20, 0),)),
    ("m/min", ""): _Format(1, 1, ((100, 0),)),
    ("mm/min", ""): _Format(1, 1, ((20, 0),)),
    ("N", ""): _Format(0, 0),
    ("N·m", ""): _Format(2, 2, ((10, 1), (100, 0))),
    ("kW", ""): _Format(2, 2),
    ("min", ""): _Format(2, 2, ((10, 1),)),
    ("s", ""): _Format(0, 1),
    ("µm", ""): _Format(0, 1),
    ("kg", ""): _Format(2, 3),
    ("kg/m³", ""): _Format(0, 0),
    ("cm³/min", ""): _Format(0, 1, ((100, 0),)),
    ("°C", ""): _Format(0, 1),
    ("GPa", ""): _Format(0, 1),
    ("deg", ""): _Format(0, 2),
    ("deg", "fine"): _Format(2, 4),
    ("%", ""): _Format(0, 0),
    ("N/mm²", ""): _Format(0, 0),
    ("HB", ""): _Format(0, 0),
    ("", ""): _Format(0, 3),
    ("", "turns"): _Format(1, 1),
    ("", "taper"): _Format(4, 5),
    ("in", ""): _Format(3, 4),
    ("in", "depth"): _Format(3, 3),
    ("in", "position"): _Format(3, 3),
    ("in", "feed"): _Format(4, 4),
    ("in", "deviation"): _Format(4, 4),
    ("ft/min", ""): _Format(0, 0),
    ("in/min", ""): _Format(1, 1),
}

_INCH: Mapping[str, str] = {"mm": "in", "m/min": "ft/min", "mm/min": "in/min"}
"""What a job in inches prints instead of a metric unit."""

_EXACT = Context(prec=400)
"""Digits enough for the largest float: a size typed as 1e60 mm is told, not a fault of this program."""

_ROUNDING = {"": ROUND_HALF_EVEN, "at most": ROUND_FLOOR, "at least": ROUND_CEILING}


def quantity_of(value: Value) -> Quantity | None:
    """Give what a value was declared as, where it is a result of the catalogue."""
    if not isinstance(value.origin, Computed):
        return None
    name, _, column = value.origin.result.partition(".")
    declared = CATALOGUE[value.origin.call.calculation].results[name]
    if declared.shape == "rows":
        return declared.fields[column].quantity if column in declared.fields else None
    return declared.quantity


def digits(value: Value, system: System = "mm") -> str:
    """Give the number of a value without its unit, as it is drawn large."""
    return _split(value, system)[0]


def unit_of(value: Value, system: System = "mm") -> str:
    """Give the unit that a value is shown in."""
    return _split(value, system)[1]


def shown(value: Value, system: System = "mm") -> str:
    """Give a value as a person reads it: `6.80 mm`, `850 1/min`, `not on file`, `M8`."""
    if value.plain is None:
        return "not on file"
    if isinstance(value.plain, tuple):
        return f"{len(value.plain)} rows" if isinstance(value.unit, Mapping) else _list(value, system)
    number, unit = _split(value, system)
    return f"{number} {unit}".strip()


def plain_text(plain: Plain, unit: str, kind: str = "", bound: Bound = "", system: System = "mm") -> str:
    """Give the digits of a bare number in a unit, such as a cell of a table."""
    if plain is None:
        return "–"
    if isinstance(plain, bool):
        return "yes" if plain else "no"
    if isinstance(plain, str):
        return one_line(plain) or "nothing on file"
    if isinstance(plain, tuple):
        return f"{len(plain)} rows"
    unit, number = _converted(plain, unit, system)
    return _rounded(number, _format(unit, kind), bound)


class Filled(NamedTuple):
    """A piece of a filled text: what it reads, and the name and value of the field it fills."""

    text: str
    name: str = ""
    value: Value | None = None


_FIELD = re.compile(r"\{([a-z][a-z0-9_.]*)\}")


def sentence(template: str, values: Mapping[str, Value | str], system: System = "mm") -> str:
    """Fill the `{name}` fields of a text from values, on one line; anything else in it stays as it is."""
    return "".join(piece.text for piece in filled(template, values, system))


def filled(template: str, values: Mapping[str, Value | str], system: System = "mm") -> Iterator[Filled]:
    """Fill a text as `sentence` does, piece by piece: between two fields stands what is written there."""
    for index, piece in enumerate(_FIELD.split(one_line(template))):
        if index % 2 == 0:
            if piece:
                yield Filled(piece)
            continue
        value = values.get(piece)
        if value is None:
            yield Filled("not on file" if "." in piece else f"{{{piece}}}")
        elif isinstance(value, str):
            yield Filled(one_line(value), piece)
        else:
            yield Filled(shown(value, system), piece, value)


def _list(value: Value, system: System) -> str:
    assert isinstance(value.plain, tuple) and isinstance(value.unit, str)  # a list of numbers
    quantity = quantity_of(value)
    kind, bound = (quantity.kind, quantity.bound) if quantity else ("", "")
    numbers = " ".join(plain_text(one, value.unit, kind, bound, system) for one in value.plain)
    return f"{numbers} {_INCH.get(value.unit, value.unit) if system == 'inch' else value.unit}".strip()


def _split(value: Value, system: System) -> tuple[str, str]:
    plain, unit = value.plain, value.unit
    if plain is None or isinstance(plain, tuple) or not isinstance(unit, str):
        return "not on file", ""
    quantity = quantity_of(value)
    kind, bound = (quantity.kind, quantity.bound) if quantity else ("", "")
    text = plain_text(plain, unit, kind, bound, system)
    if isinstance(plain, (str, bool)):
        return text, ""
    if isinstance(value.origin, Entered):
        text = _as_fine_as_typed(value.origin.text, text, plain, unit, system)
    return text, _INCH.get(unit, unit) if system == "inch" else unit


def _as_fine_as_typed(typed: str, text: str, plain: float | int, unit: str, system: System) -> str:
    """Keep every decimal that a person typed, where it was typed in the unit that is shown."""
    shown_unit, number = _converted(plain, unit, system)
    decimals = re.search(r"[.,](\d+)", typed)
    wanted = len(decimals[1]) if decimals else 0
    have = len(text.partition(".")[2])
    in_that_unit = shown_unit in typed or not re.search(r"[a-zA-Z\"]", typed)
    return _tidy(f"{number:.{wanted}f}") if in_that_unit and wanted > have else text


def _converted(plain: float | int, unit: str, system: System) -> tuple[str, float]:
    wanted = _INCH.get(unit, unit) if system == "inch" else unit
    return wanted, convert(plain, unit, wanted)


def _format(unit: str, kind: str) -> _Format:
    return _METRIC.get((unit, kind)) or _METRIC.get((unit, "")) or _Format(0, 3)


def _rounded(number: float, form: _Format, bound: Bound) -> str:
    decimals = form.most
    for size, fewer in form.wide:
        if abs(number) >= size:
            decimals = fewer
    exact = Decimal(repr(round(number, _NOISE)))
    text = f"{exact.quantize(Decimal(1).scaleb(-decimals), _ROUNDING[bound], _EXACT):f}"
    while len(text.partition(".")[2]) > min(form.least, decimals) and text.endswith("0"):
        text = text[:-1]
    text = text.removesuffix(".")
    return _tidy(text)


def _tidy(text: str) -> str:
    """Take the sign off what is nothing, and group the rest."""
    return _grouped(text if text.strip("-0.") else text.removeprefix("-"))


def _grouped(text: str) -> str:
    """Group the digits in threes from five digits on: 12 000."""
    whole, point, rest = text.partition(".")
    sign, whole = ("-", whole[1:]) if whole.startswith("-") else ("", whole)
    if len(whole) > 4:
        whole = f"{int(whole):,}".replace(",", " ")
    return sign + whole + point + rest
