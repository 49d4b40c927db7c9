"""Bend a result or a cell of a table a little, and see whether a published check notices.

Used by the tests and by bench/bent.py. What the program keeps of its tables is forgotten before and after.
"""

from __future__ import annotations

import sys
import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple

from handwheel import tables
from handwheel.calc import CATALOGUE, Declared
from handwheel.tables import Table
from handwheel.values import Listed, Plain, Value

__all__ = [
    "Bend",
    "Cell",
    "agrees",
    "bends",
    "cells",
    "checks",
    "holds",
    "results_of",
    "tables_read",
    "unnoticed_bends",
    "unnoticed_cells",
]

Check = Mapping[str, Any]
Results = Mapping[str, Plain]
Reader = Callable[[str], Table]

PUBLISHED = Path(__file__).parents[1] / "published"
FACTORS = (1.01, 0.99)


class Bend(NamedTuple):
    """One number that a calculation gives, and what it is multiplied with."""

    calculation: str
    result: str
    column: str
    factor: float

    def __str__(self) -> str:
        return f"{self.calculation}.{self.result}{'.' if self.column else ''}{self.column} x {self.factor:g}"


class Cell(NamedTuple):
    """One number in a table: the row, the column, and the way to it inside a cell that is a list."""

    table: str
    row: int
    column: str
    inside: tuple[int, ...] = ()

    def __str__(self) -> str:
        inside = "".join(f"[{one}]" for one in self.inside)
        return f"{self.table} row {self.row + 1} {self.column}{inside}"


# --- published checks ---------------------------------------------------------------------------------


def checks() -> list[tuple[str, Check]]:
    """Give every published check with the name of its file."""
    return [
        (path.stem, check)
        for path in sorted(PUBLISHED.glob("*.toml"))
        for check in tomllib.loads(path.read_text(encoding="utf-8")).get("check", [])
    ]


def results_of(check: Check) -> dict[str, Plain]:
    """Put the inputs of a check through the catalogue."""
    calculation = CATALOGUE.find(check["calculation"])
    values = {
        name: Value(
            _plain(calculation.inputs[name], given),
            calculation.inputs[name].unit,
            Listed(check["id"], check["source"]),
        )
        for name, given in check["inputs"].items()
    }
    return {name: value.plain for name, value in calculation.run(values).items()}


def holds(check: Check, results: Results) -> str:
    """Compare results with what was published; say where they differ, or nothing."""
    for name, wanted in check.get("expect", {}).items():
        tolerance = check.get("tolerance", {}).get(name, {})
        if not agrees(results[name], wanted, tolerance):
            return f"{name}: {results[name]} is not {wanted} within {tolerance}"
    widen = check.get("widen", 0.0)
    for name, (low, high) in check.get("within", {}).items():
        got: Any = results[name]
        slack = 1e-9 * abs(high)  # a value at the printed end is in the range, whatever its last bit
        if got is None or not low * (1 - widen) - slack <= got <= high * (1 + widen) + slack:
            return f"{name}: {got} is not in {low} to {high}"
    return ""


def agrees(got: Any, wanted: Any, tolerance: Mapping[str, float]) -> bool:
    """Compare texts for equality, numbers within abs or rel, lists and rows by their parts."""
    if isinstance(wanted, dict):
        return all(agrees(getattr(got, name), part, tolerance) for name, part in wanted.items())
    if isinstance(wanted, list):
        pairs = zip(got, wanted, strict=False)
        return len(got) == len(wanted) and all(agrees(one, part, tolerance) for one, part in pairs)
    if isinstance(wanted, (bool, str)) or isinstance(got, (bool, str)) or got is None:
        return bool(got == wanted)
    allowed = max(tolerance.get("abs", 0.0), tolerance.get("rel", 0.0) * abs(wanted))
    return bool(abs(got - wanted) <= allowed + 1e-12)


def _plain(declared: Declared, given: Any) -> Plain:
    """Turn what TOML gives into what a calculation takes: arrays to tuples, tables to rows."""
    if declared.shape == "rows":
        assert declared.row is not None
        return tuple(declared.row(**row) for row in given)
    return tuple(given) if isinstance(given, list) else given


# --- results bent by one per cent ---------------------------------------------------------------------


def bends() -> Iterator[Bend]:
    """Give every number of every calculation, up and down."""
    for calculation in CATALOGUE.values():
        for name, one in calculation.results.items():
            for column in _columns(one):
                for factor in FACTORS:
                    yield Bend(calculation.id, name, column, factor)


def unnoticed_bends(given: Sequence[tuple[str, Check]]) -> list[Bend]:
    """Give the bends that no check notices."""
    by_calculation: dict[str, list[tuple[Check, Results]]] = {}
    for _, check in given:
        by_calculation.setdefault(check["calculation"], []).append((check, results_of(check)))
    return [
        bend
        for bend in bends()
        if not any(
            holds(check, {**results, bend.result: _bent(results[bend.result], bend)})
            for check, results in by_calculation.get(bend.calculation, [])
        )
    ]


def _columns(one: Declared) -> Iterator[str]:
    numeric = ("number", "count", "numbers")
    if one.shape in numeric:
        yield ""
    for name, column in one.fields.items():
        if column.shape in numeric:
            yield name


def _bent(plain: Any, bend: Bend) -> Any:
    if plain is None:
        return None
    if isinstance(plain, tuple):
        return tuple(_bent_row(row, bend) for row in plain)
    return plain * bend.factor


def _bent_row(row: Any, bend: Bend) -> Any:
    if not bend.column:
        return row * bend.factor
    number = getattr(row, bend.column)
    return row if number is None else row._replace(**{bend.column: number * bend.factor})


# --- tables bent by one last digit --------------------------------------------------------------------


def cells() -> Iterator[Cell]:
    """Give every number of every table."""
    for path in sorted(Path(tables.__file__).parent.glob("*.toml")):
        for number, row in enumerate(_original(path.stem).rows):
            for column, cell in row.items():
                for inside in _numbers_in(cell):
                    yield Cell(path.stem, number, column, inside)


def tables_read(calculation: str, inputs: Mapping[str, Value]) -> set[str]:
    """Give the names of the tables that one run reads."""
    read = set[str]()

    def reader(name: str) -> Table:
        read.add(name)
        return _original(name)

    with _reading(reader):
        CATALOGUE[calculation].run(inputs)
    return read


def unnoticed_cells(
    given: Sequence[tuple[str, Check]], wanted: Callable[[Cell], bool] = lambda cell: True
) -> Iterator[tuple[Cell, bool]]:
    """Bend the cells one after the other; give each, and whether no check notices.

    Every other cell is bent down, so that neither way is free.
    """
    readers = _readers(given)
    for number, cell in enumerate(cells()):
        if wanted(cell):
            yield cell, not _noticed(cell, -1 if number % 2 else 1, readers.get(cell.table, []))


def _readers(given: Sequence[tuple[str, Check]]) -> dict[str, list[Check]]:
    """Give the checks by the tables that their calculations read."""
    found: dict[str, list[Check]] = {}
    by_calculation: dict[str, list[Check]] = {}
    for _, check in given:
        by_calculation.setdefault(check["calculation"], []).append(check)
    for its_checks in by_calculation.values():
        read = set[str]()

        def reader(name: str, read: set[str] = read) -> Table:
            read.add(name)
            return _original(name)

        with _reading(reader):
            for check in its_checks:
                results_of(check)
        for name in read:
            found.setdefault(name, []).extend(its_checks)
    return found


def _noticed(cell: Cell, sign: int, readers: list[Check]) -> bool:
    bent = _with_bent(cell, sign)
    with _reading(lambda name: bent if name == cell.table else _original(name)):
        for place, check in enumerate(readers):
            try:
                fault = holds(check, results_of(check))
            except Exception as refused:  # a table with a wrong row may break anything
                fault = repr(refused)
            if fault:
                # What noticed this cell is likely to notice its neighbours.
                readers.insert(0, readers.pop(place))
                return True
    return False


def _with_bent(cell: Cell, sign: int) -> Table:
    whole = _original(cell.table)
    row = dict(whole.rows[cell.row])
    row[cell.column] = _bent_cell(row[cell.column], cell.inside, sign)
    return replace(whole, rows=(*whole.rows[: cell.row], row, *whole.rows[cell.row + 1 :]))


def _bent_cell(cell: Any, inside: tuple[int, ...], sign: int) -> Any:
    if inside:
        place = inside[0]
        return [*cell[:place], _bent_cell(cell[place], inside[1:], sign), *cell[place + 1 :]]
    decimals = len(repr(float(cell)).partition(".")[2]) if not float(cell).is_integer() else 0
    return cell + sign * 10**-decimals


def _numbers_in(cell: Any, inside: tuple[int, ...] = ()) -> Iterator[tuple[int, ...]]:
    if isinstance(cell, list):
        for place, one in enumerate(cell):
            yield from _numbers_in(one, (*inside, place))
    elif isinstance(cell, (int, float)) and not isinstance(cell, bool) and abs(cell) < 1e300 and cell == cell:
        yield inside


_ORIGINAL = tables.table
_original = _ORIGINAL


@contextmanager
def _reading(reader: Reader) -> Iterator[None]:
    """Let every calculation read its tables through `reader`, with nothing kept from before or after."""
    modules = [one for name, one in list(sys.modules.items()) if name.startswith("handwheel.calc")]
    readers = [one for one in modules if getattr(one, "table", None) is _ORIGINAL]
    _forget(modules)
    for module in readers:
        module.table = reader  # type: ignore[attr-defined]
    try:
        yield
    finally:
        for module in readers:
            module.table = _ORIGINAL  # type: ignore[attr-defined]
        _forget(modules)


def _forget(modules: Sequence[Any]) -> None:
    for module in modules:
        for one in vars(module).values():
            if hasattr(one, "cache_clear") and one is not _ORIGINAL:
                one.cache_clear()
