"""Chips that burn: whoever cuts such a material is told at each setup, before the spindle turns (HF-22)."""

from __future__ import annotations

from collections.abc import Iterator

from handwheel.plan.finding import Finding
from handwheel.plan.findings.part import run
from handwheel.plan.findings.rules import at, rule, show
from handwheel.plan.resolve import Plan, ResolvedOperation


@rule
def fire_is_told(plan: Plan) -> Iterator[Finding]:
    """Where chips of the material burn, a hazard of the fire stands in a list of every setup with a tool."""
    told: set[str] = set()
    for operation in plan.operations:
        told |= {operation.operation.setup} if _tells_of_fire(operation) else set()
    asked: set[str] = set()
    for operation in plan.operations:
        setup = operation.operation.setup
        if operation.operation.tool is None or setup in told | asked or not _burns(operation):
            continue
        asked.add(setup)
        yield at(
            operation,
            "fire-not-told",
            "chips of {material} burn, and no list of setup {setup} says so",
            "such a fire starts in a heap of fine chips, and water or foam makes it worse",
            "take the setup list that comes with the program, or add its step about fire to your own",
            key="setup",
            values={"setup": setup, **show(operation, material="material.name")},
        )


def _tells_of_fire(operation: ResolvedOperation) -> bool:
    """Tell whether a hazard is shown before the operation because the chips burn."""
    return any(
        step.step.kind == "hazard" and any(name.endswith(".fire_risk") for name in step.step.when)
        for step in operation.steps
        if step.owner != "operation"
    )


def _burns(operation: ResolvedOperation) -> bool:
    name = operation.scope.get("material.name")
    found = run("material_data", material=name) if name is not None and name.plain is not None else None
    return found is not None and bool(found["fire_risk"].plain)
