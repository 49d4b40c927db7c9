"""What a person really set stands in the place of what was computed, and the rest follows from it."""

from __future__ import annotations

from dataclasses import replace

from handwheel.errors import InputError
from handwheel.plan.binding import references
from handwheel.plan.resolve import Plan, ResolvedOperation, with_pinned
from handwheel.run.state import State
from handwheel.values import Entered, Value

__all__ = ["as_set"]


def as_set(plan: Plan, state: State) -> Plan:
    """Give the plan with every typed setting of the record: the feed follows the speed that was set."""
    pinned: dict[int, dict[str, Value]] = {}
    for index, event in enumerate(state.events):
        operation = plan.by_number.get(event.operation or 0)
        if event.kind != "set" or event.value is None or index in state.undone or operation is None:
            continue
        step = next((one for one in operation.steps if one.id == event.step), None)
        if step is not None and step.big is not None:
            origin = Entered(f"record.toml event {index + 1}", event.entered or "", "measured")
            name = references(step.step.big)[0]
            pinned.setdefault(operation.number, {})[name] = Value(event.value, step.big.unit, origin)
    if not pinned:
        return plan
    operations = tuple(_set(plan, one, pinned.get(one.number, {})) for one in plan.operations)
    return replace(plan, operations=operations)


def _set(plan: Plan, operation: ResolvedOperation, pinned: dict[str, Value]) -> ResolvedOperation:
    """Resolve an operation with what was set; where the files changed so that it cannot be, as planned."""
    try:
        return with_pinned(plan, operation, pinned) if pinned else operation
    except InputError:
        return operation
