"""A list of rows as a table: the names of the columns with their units, then the cells."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from handwheel.calc import CATALOGUE
from handwheel.calc.catalogue import Declared
from handwheel.present.numbers import System, plain_text
from handwheel.values import Computed, Origin, Value

__all__ = ["Column", "column_value", "columns_of", "title_of"]


class Column(NamedTuple):
    """One column: its heading with the unit, its cells, and the whole of it as one value."""

    head: str
    cells: tuple[str, ...]
    value: Value


def title_of(rows: Value) -> str:
    """Say what a list of rows is: the calculation that gave it, or that it was listed by hand."""
    if isinstance(rows.origin, Computed):
        return CATALOGUE[rows.origin.call.calculation].title
    return "As listed by hand"


def columns_of(rows: Value, system: System) -> tuple[Column, ...]:
    """Give the columns of a list of rows."""
    assert isinstance(rows.unit, Mapping) and isinstance(rows.plain, tuple)  # held at load
    return tuple(_column(rows, name, system) for name in rows.unit)


def column_value(rows: Value, name: str) -> Value:
    """Give one column of a list of rows as a value: a list in one unit, with the origin of the rows."""
    assert isinstance(rows.unit, Mapping) and isinstance(rows.plain, tuple)  # held at load
    plain = tuple(getattr(row, name) for row in rows.plain)
    origin: Origin = rows.origin
    if isinstance(origin, Computed):
        origin = Computed(origin.call, f"{origin.result}.{name}")
    return Value(plain, rows.unit[name], origin)


def _column(rows: Value, name: str, system: System) -> Column:
    value = column_value(rows, name)
    unit, declared = str(value.unit), _declared(rows, name)
    kind, bound = (declared.quantity.kind, declared.quantity.bound) if declared else ("", "")
    assert isinstance(value.plain, tuple)  # a column is a list
    cells = tuple(plain_text(plain, unit, kind, bound, system) for plain in value.plain)
    shown_unit = "in" if unit == "mm" and system == "inch" else unit
    words = name.replace("_", " ")
    return Column(f"{words} {shown_unit}" if shown_unit else words, cells, value)


def _declared(rows: Value, name: str) -> Declared | None:
    if not isinstance(rows.origin, Computed):
        return None
    return CATALOGUE[rows.origin.call.calculation].results[rows.origin.result].fields[name]
