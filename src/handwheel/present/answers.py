"""Answers as JSON: the shapes of values, calculations, plans and findings that the command line prints."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from handwheel.calc import CATALOGUE, Calculation, Declared
from handwheel.plan.finding import Finding
from handwheel.plan.resolve import Plan, ResolvedOperation, ResolvedStep
from handwheel.present.explain import source_of
from handwheel.present.numbers import System, sentence, shown
from handwheel.present.run_view import step_text
from handwheel.values import Call, Computed, Entered, Listed, Plain, Unit, Value

__all__ = ["calculation_json", "call_json", "catalogue_json", "finding_json", "plan_json", "value_json"]

Json = dict[str, Any]
PlaceOf = Callable[[Finding], str]


def value_json(value: Value, system: System | None = None) -> Json:
    """Give a value; with a unit system also how it is shown, its source in words, and its origin."""
    plain = {"value": plain_json(value.plain), "unit": unit_json(value.unit)}
    if system is None:
        return plain
    return {**plain, "shown": shown(value, system), "source": source_of(value), **_origin(value, system)}


def plain_json(plain: Plain) -> Any:
    """Give a plain as JSON has it: rows as objects."""
    if not isinstance(plain, tuple):
        return plain
    return [row._asdict() if hasattr(row, "_asdict") else row for row in plain]


def unit_json(unit: Unit) -> Any:
    """Give a unit as JSON has it: that of rows as an object."""
    return dict(unit) if isinstance(unit, Mapping) else unit


def _origin(value: Value, system: System) -> Json:
    match value.origin:
        case Entered(where, text, basis):
            return {"entered": {"where": where, "text": text, "basis": basis}}
        case Listed(where, _):
            return {"listed": {"where": where}}
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
    return {
        "id": call.calculation,
        "inputs": {name: value_json(value) for name, value in call.inputs.items()},
        "results": {name: value_json(value) for name, value in results.items()},
        "source": CATALOGUE[call.calculation].source,
        "formula": CATALOGUE[call.calculation].formula,
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


def finding_json(finding: Finding, place: str, system: System) -> Json:
    """Give one finding with its texts filled in."""
    return {
        "code": finding.code,
        "severity": finding.severity,
        "operation": finding.operation,
        "feature": finding.feature,
        "where": place,
        "what": sentence(finding.what, finding.values, system),
        "why": sentence(finding.why, finding.values, system),
        "cure": sentence(finding.cure, finding.values, system),
    }


def plan_json(plan: Plan, place_of: PlaceOf) -> Json:
    """Give every operation resolved, with its values, steps and findings."""
    system = plan.job.job.units
    return {
        "schema": 1,
        "job": {"title": plan.job.job.title, "units": system, "folder": plan.folder},
        "operations": [_operation_json(plan, one, system) for one in plan.operations],
        "findings": [finding_json(one, place_of(one), system) for one in plan.findings],
    }


def _operation_json(plan: Plan, operation: ResolvedOperation, system: System) -> Json:
    setup = plan.job.setup(operation.operation.setup)
    touching = [one.code for one in plan.findings if one.operation == operation.number]
    return {
        "number": operation.number,
        "setup": setup.id,
        "machine": setup.machine,
        "recipe": operation.operation.recipe,
        "feature": operation.operation.feature,
        "tool": operation.operation.tool,
        "values": {name: value_json(value, system) for name, value in operation.values.items()},
        "steps": [_step_json(plan, step, system) for step in operation.steps],
        "findings": list(dict.fromkeys(touching)),
    }


def _step_json(plan: Plan, step: ResolvedStep, system: System) -> Json:
    takes = step.step.takes
    choices: Iterable[str] = plan.shop.people if step.step.kind == "sign-off" else takes.choices
    limits = {name: step.value(name) for name in ("expect", "low", "high")}
    return {
        "id": step.id,
        "kind": step.step.kind,
        "text": step_text(step, 1, system),
        "places": step.places,
        "takes": {
            "kind": "choice" if step.step.kind == "sign-off" else takes.kind,
            "unit": takes.unit,
            **{name: value_json(value, system) if value else None for name, value in limits.items()},
            "choices": list(choices),
        },
    }
