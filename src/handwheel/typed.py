"""What a person or a pipe typed as the inputs of a calculation, made into Values."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Any

from handwheel.calc import Calculation, CalculationError, Declared
from handwheel.errors import one_line
from handwheel.units import UnitError, read
from handwheel.values import Entered, Missing, Plain, Value

__all__ = ["inputs_from_json", "inputs_from_words"]

_MOST_ITEMS = 2000
"""Items of a list that are taken; more is refused unread."""


def inputs_from_words(calculation: Calculation, words: list[str]) -> dict[str, Value]:
    """Read `name=value` words of a command line; a list is written as JSON. Raises `InputError`."""
    given: dict[str, Any] = {}
    for word in words:
        name, equals, text = word.partition("=")
        if not equals:
            raise CalculationError(
                f'"{one_line(word)}" is no name=value; expected for example {_example(calculation)}'
            )
        if name in given:
            raise CalculationError(f"{calculation.id}: {one_line(name)} is given twice")
        declared = calculation.inputs.get(name)
        given[name] = _from_word(calculation, declared, text) if declared else text
    return inputs_from_json(calculation, given)


def inputs_from_json(calculation: Calculation, given: Mapping[str, Any]) -> dict[str, Value]:
    """Read inputs as JSON has them: numbers, typed text, lists, or values as answers give them."""
    declared = calculation.inputs
    values: dict[str, Value] = {}
    for name, raw in given.items():
        one = declared.get(name)
        if one is None:
            values[name] = Value(None, "", Missing(name, name))  # `run` names the inputs there are
            continue
        value = _value(calculation.id, one, raw)
        if value is not None:
            values[name] = value
    return values


def _value(id: str, declared: Declared, raw: Any) -> Value | None:
    if type(raw) is dict:
        if "value" not in raw:
            raise CalculationError(f"{id}: {declared.name} has to be {_expected(declared)}")
        raw = _in_its_unit(declared, raw["value"], raw.get("unit", declared.unit))
    if raw is None:
        if not declared.required and declared.default is None:
            return None
        return Value(None, declared.unit, Missing(f"input {declared.name}", declared.example))
    plain = _READERS[declared.shape](id, declared, raw)
    return Value(plain, declared.unit, Entered(f"input {declared.name}", _text(raw), "typed"))


def _in_its_unit(declared: Declared, raw: Any, unit: Any) -> Any:
    """Take the value of an answer: what is in another unit than the declared one becomes text with it."""
    if unit == declared.unit or raw is None:
        return raw
    if type(unit) is dict and declared.shape == "rows" and type(raw) is list:
        return [_row_in_its_units(declared, item, unit) for item in raw]
    if type(unit) is not str or not unit:
        raise CalculationError(f"{declared.name}: the unit is {unit!r}; expected {declared.unit or 'none'}")
    if type(raw) is list:
        return [_in_its_unit(declared, item, unit) for item in raw]
    return f"{raw} {unit}" if type(raw) in (int, float, str) else raw


def _row_in_its_units(declared: Declared, item: Any, units: Mapping[str, Any]) -> Any:
    if type(item) is not dict:
        return item
    known = declared.fields
    return {
        name: _in_its_unit(known[name], cell, units.get(name, known[name].unit)) if name in known else cell
        for name, cell in item.items()
    }


def _text(raw: Any) -> str:
    return raw if type(raw) is str else repr(raw) if type(raw) is not list else f"{len(raw)} items"


def _number(id: str, declared: Declared, raw: Any) -> Plain:
    if type(raw) is float:
        return raw
    if type(raw) is int:
        return _whole(id, declared, raw)
    if type(raw) is not str:
        raise CalculationError(f"{id}: {declared.name} has to be {_expected(declared)}")
    try:
        number = read(raw, declared.quantity.unit)
    except UnitError as fault:
        raise CalculationError(f"{id}: {declared.name}: {fault}") from None
    return int(number) if declared.shape == "count" and number.is_integer() else number


def _whole(id: str, declared: Declared, raw: int) -> Plain:
    try:
        number = float(raw)
    except OverflowError:
        raise CalculationError(f"{id}: {declared.name} has to be {_expected(declared)}") from None
    return raw if declared.shape == "count" else number


def _word(id: str, declared: Declared, raw: Any) -> Plain:
    if type(raw) is not str:
        raise CalculationError(f"{id}: {declared.name} has to be {_expected(declared)}")
    return raw


def _flag(id: str, declared: Declared, raw: Any) -> Plain:
    if type(raw) is bool:
        return raw
    if raw in ("yes", "true", "no", "false"):
        return bool(raw in ("yes", "true"))
    raise CalculationError(f"{id}: {declared.name} has to be yes or no")


def _numbers(id: str, declared: Declared, raw: Any) -> Plain:
    _check_list(id, declared, raw)
    return tuple(_number(id, declared, item) for item in raw)


def _rows(id: str, declared: Declared, raw: Any) -> Plain:
    _check_list(id, declared, raw)
    make = declared.row
    assert make is not None  # rows are declared with the type of their row
    rows = []
    for number, item in enumerate(raw, start=1):
        if type(item) is list and len(item) == len(declared.fields):
            item = dict(zip(declared.fields, item, strict=True))
        if type(item) is not dict or set(item) != set(declared.fields):
            raise CalculationError(
                f"{id}: {declared.name}, item {number}: expected an object such as {declared.example_row}"
            )
        cells = (_READERS[one.shape](id, one, item[name]) for name, one in declared.fields.items())
        rows.append(make(*cells))
    return tuple(rows)


def _check_list(id: str, declared: Declared, raw: Any) -> None:
    if type(raw) is not list:
        raise CalculationError(f"{id}: {declared.name} has to be {_expected(declared)}")
    if len(raw) > _MOST_ITEMS:
        raise CalculationError(f"{id}: {declared.name} has {len(raw)} items; at most {_MOST_ITEMS} are taken")


_READERS: Mapping[str, Callable[[str, Declared, Any], Plain]] = {
    "number": _number,
    "count": _number,
    "text": _word,
    "flag": _flag,
    "numbers": _numbers,
    "rows": _rows,
}


def _from_word(calculation: Calculation, declared: Declared, text: str) -> Any:
    if declared.shape not in ("numbers", "rows"):
        return text
    try:
        return json.loads(text, parse_constant=_no_constant)
    except ValueError:
        raise CalculationError(f"{calculation.id}: {declared.name} has to be {_expected(declared)}") from None


def _no_constant(name: str) -> float:
    raise ValueError(f"{name} is no number")


@lru_cache
def _expected_of(shape: str, example: str) -> str:
    kinds = {"rows": "a list of objects", "numbers": "a list of numbers", "text": "a text"}
    return f"{kinds.get(shape, 'a number')}, such as {example}"


def _expected(declared: Declared) -> str:
    return _expected_of(declared.shape, declared.example)


def _example(calculation: Calculation) -> str:
    first = next(iter(calculation.inputs.values()))
    return f'{first.name}="{first.example}"'
