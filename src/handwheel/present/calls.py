"""Calculations as JSON and as lines: values, one run of a calculation, the whole catalogue."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from handwheel.calc import CATALOGUE, Calculation, Declared
from handwheel.present.explain import explain_call, places_of, source_of
from handwheel.present.numbers import System, shown
from handwheel.values import Call, Computed, Entered, Gathered, Listed, Plain, Unit, Value

__all__ = ["call_json", "call_lines", "catalogue_json", "catalogue_lines", "value_json"]

Json = dict[str, Any]


def value_json(value: Value, system: System | None = None) -> Json:
    """Give a value; with a unit system also how it is shown, its source in words, and its origin."""
    plain, unit = value.plain, value.unit
    bare = {
        "value": plain_json(plain) if type(plain) is tuple else plain,
        "unit": unit if type(unit) is str else unit_json(unit),
    }
    if system is None:
        return bare
    return {**bare, "shown": shown(value, system), "source": source_of(value), **_origin(value, system)}


def plain_json(plain: Plain) -> Any:
    """Give a plain as JSON has it: rows as objects."""
    if not isinstance(plain, tuple):
        return plain
    if not plain or not hasattr(plain[0], "_fields"):
        return list(plain)
    names = plain[0]._fields
    return [dict(zip(names, row, strict=True)) for row in plain]


def unit_json(unit: Unit) -> Any:
    """Give a unit as JSON has it: that of rows as an object."""
    return dict(unit) if isinstance(unit, Mapping) else unit


def _origin(value: Value, system: System) -> Json:
    match value.origin:
        case Entered(where, text, basis):
            return {"entered": {"where": where, "text": text, "basis": basis}}
        case Listed(where, _):
            return {"listed": {"where": where}}
        case Gathered():
            return {"listed": {"where": places_of(value)}}
        case Computed(call, result):
            return {
                "computed": {
                    "id": call.calculation,
                    "result": result,
                    "inputs": {name: value_json(one, system) for name, one in call.inputs.items()},
                    "formula": CATALOGUE[call.calculation].formula,
                    "warnings": list(call.warnings),
                }
            }
        case missing:
            return {"missing": {"where": missing.where, "ask": missing.ask}}


def call_json(call: Call, results: Mapping[str, Value]) -> Json:
    """Give the answer of one run of a calculation."""
    calculation = CATALOGUE[call.calculation]
    return {
        "id": calculation.id,
        "inputs": {name: value_json(value) for name, value in call.inputs.items()},
        "results": {name: value_json(value) for name, value in results.items()},
        "source": calculation.source,
        "formula": calculation.formula,
        "warnings": list(call.warnings),
    }


def catalogue_json() -> Json:
    """Give the declarations of all calculations."""
    return {"calculations": [calculation_json(one) for one in CATALOGUE.values()]}


def calculation_json(calculation: Calculation) -> Json:
    """Give the declaration of one calculation."""
    return {
        "id": calculation.id,
        "title": calculation.title,
        "inputs": {name: _input_json(one) for name, one in calculation.inputs.items()},
        "results": {name: {"unit": unit_json(one.unit)} for name, one in calculation.results.items()},
        "source": calculation.source,
    }


def _input_json(declared: Declared) -> Json:
    return {
        "unit": unit_json(declared.unit),
        "required": declared.required,
        "default": plain_json(declared.default),
        "choices": list(declared.quantity.choices),
    }


def catalogue_lines() -> Iterator[str]:
    """List the calculations with their inputs."""
    for one in CATALOGUE.values():
        inputs = " ".join(
            f"{name}{'' if declared.required else '?'}" for name, declared in one.inputs.items()
        )
        yield f"{one.id:<24} {one.title}"
        yield f"{'':<24} {inputs} -> {' '.join(one.results)}"


def call_lines(call: Call, results: Mapping[str, Value], whole: bool) -> Iterator[str]:
    """Give the results of one calculation, each with its unit; with `whole` also why."""
    calculation = CATALOGUE[call.calculation]
    yield calculation.title
    for name, value in results.items():
        if value.plain is not None:
            yield f"  {name.replace('_', ' ')}: {shown(value)}"
            yield from _rows(value)
    yield from (f"  note: {warning}" for warning in call.warnings)
    if whole:
        yield from (f"  {line}" for line in explain_call(call))
    else:
        yield f"  source: {calculation.source}"


def _rows(value: Value) -> Iterator[str]:
    if not isinstance(value.plain, tuple) or not isinstance(value.unit, Mapping):
        return
    for row in value.plain:
        cells = (f"{name} {_cell(getattr(row, name))} {unit}".rstrip() for name, unit in value.unit.items())
        yield "    " + "  ".join(cells)


def _cell(plain: Any) -> str:
    return f"{plain:.3f}".rstrip("0").rstrip(".") if isinstance(plain, float) else str(plain)
