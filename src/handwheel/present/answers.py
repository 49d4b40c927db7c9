"""Plans and findings as JSON: the shapes that the command line answers with."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from handwheel.plan.finding import Finding
from handwheel.plan.resolve import Plan, ResolvedOperation, ResolvedStep
from handwheel.present.calls import Json, value_json
from handwheel.present.numbers import System, sentence
from handwheel.present.run_view import step_text

__all__ = ["finding_json", "plan_json"]

PlaceOf = Callable[[Finding], str]


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
