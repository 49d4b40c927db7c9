"""Why a number is what it is: the walk from a value through formulas and tables to what was typed."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from handwheel.calc import CATALOGUE, Calculation
from handwheel.errors import one_line
from handwheel.present.lists_view import Explanation
from handwheel.present.numbers import System, shown
from handwheel.values import Call, Computed, Entered, Gathered, Listed, Missing, Plain, Value, leaves

__all__ = [
    "Given",
    "Reckoned",
    "explain",
    "explain_call",
    "formula_of",
    "places_of",
    "reckoned",
    "source_of",
    "with_values",
]

_WORD = re.compile(r"(?<![\w.'])[A-Za-z_]\w*(?![\w('])(?! is None)")
_BOUND = re.compile(r"\bfor (.+?) in\b")
_Seen = set[tuple[int, str]]
_IN_WORDS = ("table:", "rule:")
"""How a formula begins whose first part is words: what a table gives, or what is chosen by a rule."""
_MOST_LINES = 400
_MOST_PLACES = 12


def explain(name: str, value: Value, system: System = "mm", deep: bool = True) -> Explanation:
    """Explain a value: its formula, that with the values put in, the source, and what it rests on."""
    lines = list(_lines(value, system, 0, set(), deep))
    return Explanation(name, shown(value, system), tuple(lines[:_MOST_LINES]))


def explain_call(call: Call, system: System = "mm") -> Iterator[str]:
    """Explain a call with all its results: the whole formula, and the inputs a line each."""
    how = reckoned(call)
    yield from _head(how, CATALOGUE[call.calculation].source)
    for given in how.inputs:
        yield from _input_lines(given, system, 1, set(), deep=False)


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


def reckoned(call: Call, result: str = "") -> Reckoned:
    """Say how a call was computed, or one result of it, without walking on into its inputs."""
    calculation = CATALOGUE[call.calculation]
    formula = formula_of(calculation, result)
    put_in = with_values(formula, call)
    given = (
        one
        for name, value in call.inputs.items()
        for one in _given(calculation.inputs[name].quantity.symbol, name.replace("_", " "), value)
    )
    return Reckoned(
        calculation.title,
        formula,
        put_in if put_in != formula else "",
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


def formula_of(calculation: Calculation, result: str = "") -> str:
    """Give the formula; with a result only what leads to that one."""
    if not result:
        return calculation.formula
    words, equations = _parts(calculation.formula)
    sides = {part.partition("=")[0].strip(): part for part in equations}
    name = result.partition(".")[0]  # of a number in a row, the list
    wanted = _behind(calculation.results[name].quantity.symbol, sides)
    kept = [part for left, part in sides.items() if left in wanted]
    return "; ".join([*words, *kept]) or calculation.formula


def _parts(formula: str) -> tuple[list[str], list[str]]:
    """Take a formula apart into what it says in words and its equations."""
    parts = [part.strip() for part in formula.split(";")]
    if not formula.startswith(_IN_WORDS):
        return [], parts
    equations = [part for part in parts[1:] if part.partition("=")[0].strip().isidentifier()]
    return [part for part in parts if part not in equations], equations


def _behind(symbol: str, sides: Mapping[str, str]) -> set[str]:
    """Give the left sides that a symbol needs, its own among them."""
    found: set[str] = set()
    open_symbols = {symbol} & sides.keys()
    while open_symbols:
        one = open_symbols.pop()
        found.add(one)
        words = set(_WORD.findall(sides[one].partition("=")[2]))
        open_symbols |= words & (sides.keys() - found)
    return found


def with_values(formula: str, call: Call) -> str:
    """Write a formula with the numbers of a call in the place of its symbols.

    Of a formula that reads a table only its equations, with what was read put in as well. A step that no
    number goes into says no more than above and is left out; "" where none does.
    """
    _, equations = _parts(formula)
    symbols = _numbers(call, {part.partition("=")[0].strip() for part in equations})
    filled = ((part, _put_in(part, symbols)) for part in equations)
    return "; ".join(text for part, text in filled if text != part)


def _numbers(call: Call, worked_out: set[str]) -> dict[str, str]:
    """Give the numbers of a call by their symbols; of the results those that no equation works out."""
    calculation = CATALOGUE[call.calculation]
    read = {one.quantity.symbol: call.results.get(name) for name, one in calculation.results.items()}
    given = {calculation.inputs[name].quantity.symbol: one.plain for name, one in call.inputs.items()}
    known = {symbol: plain for symbol, plain in read.items() if symbol not in worked_out} | given
    texts = {symbol: _bare(plain) for symbol, plain in known.items()}
    return {symbol: text for symbol, text in texts.items() if symbol and text}


def _put_in(equation: str, symbols: Mapping[str, str]) -> str:
    left, equals, right = equation.partition("=")
    if not equals:
        return equation
    bound = {word for names in _BOUND.findall(right) for word in _WORD.findall(names)}
    filled = _WORD.sub(lambda word: word[0] if word[0] in bound else symbols.get(word[0], word[0]), right)
    return f"{left}={filled}"


def _bare(plain: Plain) -> str:
    if isinstance(plain, bool) or not isinstance(plain, (int, float)):
        return ""
    text = f"{plain:.7g}"
    return f"({text})" if plain < 0 else text


def _lines(value: Value, system: System, depth: int, seen: _Seen, deep: bool) -> Iterator[str]:
    """Give the lines of one value, indented by how far it is from the number that was asked about."""
    pad = "  " * depth
    if not isinstance(value.origin, Computed):
        yield f"{pad}{source_of(value)}"
        return
    call, result = value.origin.call, value.origin.result
    if (id(call), result) in seen:
        yield f"{pad}{CATALOGUE[call.calculation].title}: as above"
        return
    seen.add((id(call), result))
    how = reckoned(call, result)
    yield from (f"{pad}{line}" for line in _head(how, source_of(value)))
    for given in how.inputs:
        yield from _input_lines(given, system, depth + 1, seen, deep)


def _head(how: Reckoned, source: str) -> Iterator[str]:
    """Give what has to be on one screen: formula, the same with values, source, second route, warnings."""
    yield how.title
    yield f"  {how.formula}"
    if how.put_in:
        yield f"  {how.put_in}"
    yield f"  source: {source}"
    yield f"  second route: {how.second}"
    yield from (f"  note: {warning}" for warning in how.warnings)


def _input_lines(given: Given, system: System, depth: int, seen: _Seen, deep: bool) -> Iterator[str]:
    words = "" if given.words == given.symbol else f"  {given.words}"
    heading = f"{'  ' * depth}{given.symbol} = {shown(given.value, system)}{words}"
    match given.value.origin:
        case Computed():
            yield heading
            if deep:
                yield from _lines(given.value, system, depth + 1, seen, deep)
        case Listed(where) if where.startswith("default of "):
            yield f"{heading}, {where}"  # its source is that of the calculation, which stands above
        case _:
            yield f"{heading}, {source_of(given.value)}"


def _second(calculation: Calculation, call: Call) -> str:
    if isinstance(calculation.second, str):
        return f"none: {calculation.second}"
    return calculation.recheck(call) or "gives the same"
