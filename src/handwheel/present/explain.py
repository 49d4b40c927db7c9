"""Why a number is what it is: the walk from a value through formulas and tables to what was typed."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from handwheel.calc import CATALOGUE, Calculation
from handwheel.errors import one_line
from handwheel.present.lists_view import Explanation
from handwheel.present.numbers import System, shown
from handwheel.values import Call, Computed, Entered, Gathered, Listed, Missing, Value, leaves

__all__ = ["Given", "Reckoned", "explain", "formula_with_values", "places_of", "reckoned", "source_of"]

_MOST_LINES = 400
_MOST_PLACES = 12


def explain(name: str, value: Value, system: System = "mm", deep: bool = True) -> Explanation:
    """Explain a value: its formula, that with the values put in, the source, and what it rests on."""
    lines = list(_lines(value, system, 0, set(), deep))
    return Explanation(name, shown(value, system), tuple(lines[:_MOST_LINES]))


class Given(NamedTuple):
    """One input of a calculation: its symbol in the formula, what it is in words, and its value."""

    symbol: str
    words: str
    value: Value


class Reckoned(NamedTuple):
    """How a value was computed; `put_in` is the formula with the values in it, "" where that says no more."""

    title: str
    formula: str
    put_in: str
    second: str
    warnings: tuple[str, ...]
    inputs: tuple[Given, ...]


def reckoned(call: Call, system: System = "mm") -> Reckoned:
    """Say how a call was computed, step by step and not walking on into its inputs."""
    calculation = CATALOGUE[call.calculation]
    put_in = formula_with_values(call, system)
    given = (
        one
        for name, value in call.inputs.items()
        for one in _given(calculation.inputs[name].quantity.symbol, name.replace("_", " "), value)
    )
    return Reckoned(
        calculation.title,
        calculation.formula,
        put_in if put_in != calculation.formula else "",
        _second(calculation, call),
        call.warnings,
        tuple(given),
    )


def _given(symbol: str, words: str, value: Value) -> Iterator[Given]:
    """Give an input, and after rows that were put together what they were put together from."""
    yield Given(symbol, words, value)
    if isinstance(value.origin, Gathered):
        for number, term in enumerate(value.origin.terms, start=1):
            yield from _given(f"{symbol}[{number}]", f"behind {words}", term)


def places_of(value: Value) -> str:
    """Give the places, joined, of what a value rests on."""
    origins = (leaf.origin for leaf in leaves(value))
    places = list(dict.fromkeys(one.where for one in origins if isinstance(one, (Entered, Listed, Missing))))
    more = len(places) - _MOST_PLACES
    return ", ".join(places[:_MOST_PLACES]) + (f", and {more} more" if more > 0 else "")


def source_of(value: Value) -> str:
    """Say in words where a value comes from."""
    match value.origin:
        case Entered(where, text, basis):
            return f"{basis}: {one_line(where)}" + (f' ("{one_line(text)}")' if text else "")
        case Listed(where, source):
            return one_line(f"{where}: {source}")
        case Missing(where, ask):
            return one_line(f"not on file: {ask} ({where})")
        case Gathered():
            return one_line(f"put together from {places_of(value)}")
        case Computed(call, result):
            own = call.results.get(f"{result}_source") or call.results.get("source")
            return str(own) if isinstance(own, str) and own else CATALOGUE[call.calculation].source


def formula_with_values(call: Call, system: System = "mm") -> str:
    """Write a formula with the numbers of a call in the place of its symbols; "" where a table is read."""
    calculation = CATALOGUE[call.calculation]
    if calculation.formula.startswith("table:"):
        return ""
    symbols = {calculation.inputs[name].quantity.symbol: _bare(value) for name, value in call.inputs.items()}
    symbols = {symbol: text for symbol, text in symbols.items() if symbol and text}
    parts = (part.strip() for part in calculation.formula.split(";"))
    return "; ".join(_put_in(part, symbols) for part in parts)


def _put_in(equation: str, symbols: Mapping[str, str]) -> str:
    left, equals, right = equation.partition("=")
    if not equals:
        return equation
    names = "|".join(re.escape(symbol) for symbol in sorted(symbols, key=len, reverse=True))
    if not names:
        return equation
    pattern = rf"(?<![\w.])(?:{names})(?![\w(])"
    return f"{left}={re.sub(pattern, lambda match: symbols[match[0]], right)}"


def _bare(value: Value) -> str:
    plain = value.plain
    if isinstance(plain, bool) or not isinstance(plain, (int, float)):
        return ""
    text = f"{plain:.6g}"
    return f"({text})" if plain < 0 else text


def _lines(value: Value, system: System, depth: int, seen: set[int], deep: bool) -> Iterator[str]:
    """Give the lines of one value, indented by how far it is from the number that was asked about."""
    pad = "  " * depth
    if not isinstance(value.origin, Computed):
        yield f"{pad}{source_of(value)}"
        return
    call = value.origin.call
    if id(call) in seen:
        yield f"{pad}{CATALOGUE[call.calculation].title}: as above"
        return
    seen.add(id(call))
    how = reckoned(call, system)
    yield f"{pad}{how.title}"
    yield f"{pad}  {how.formula}"
    if how.put_in:
        yield f"{pad}  {how.put_in}"
    yield f"{pad}  source: {source_of(value)}"
    yield f"{pad}  second route: {how.second}"
    for warning in how.warnings:
        yield f"{pad}  note: {warning}"
    for given in how.inputs:
        yield from _input_lines(given, system, depth + 1, seen, deep)


def _input_lines(given: Given, system: System, depth: int, seen: set[int], deep: bool) -> Iterator[str]:
    heading = f"{'  ' * depth}{given.symbol} = {shown(given.value, system)}  {given.words}"
    if isinstance(given.value.origin, Computed):
        yield heading
        if deep:
            yield from _lines(given.value, system, depth + 1, seen, deep)
    else:
        yield f"{heading}, {source_of(given.value)}"


def _second(calculation: Calculation, call: Call) -> str:
    if isinstance(calculation.second, str):
        return f"none: {calculation.second}"
    return calculation.recheck(call) or "gives the same"
