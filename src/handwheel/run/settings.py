"""What a person really set and measured stands in the place of what was planned, and the rest follows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from handwheel.errors import InputError
from handwheel.models.record import Event
from handwheel.plan.binding import chosen
from handwheel.plan.findings import check
from handwheel.plan.names import FACTS
from handwheel.plan.resolve import Plan, ResolvedOperation, ResolvedStep, with_pinned
from handwheel.run.state import State
from handwheel.values import Entered, Value

__all__ = ["as_set", "moves_the_plan"]

Pinned = dict[int, dict[str, Value]]

_UNSETTLED = frozenset({"once more", "measure again", "more to come off"})


def as_set(plan: Plan, state: State, before: Plan | None = None) -> Plan:
    """Give the plan with every typed setting and measurement of the record.

    The feed follows the speed that was set; the aim of a seat follows the mate that was measured, in every
    operation on that seat, and the check is made again with it. What an answer did not move is taken over
    from `before`, the plan as it was set until then.
    """
    pinned: Pinned = {}
    for index, event in enumerate(state.events):
        operation = plan.by_number.get(event.operation or 0)
        if event.value is None or index in state.undone or operation is None:
            continue
        step = next((one for one in operation.steps if one.id == event.step), None)
        if step is not None:
            _pin(plan, pinned, operation, step, event, index)
    if not pinned:
        return plan
    earlier = before.by_number if before is not None else {}
    operations = tuple(
        _set(plan, one, pinned.get(one.number, {}), earlier.get(one.number)) for one in plan.operations
    )
    moved = replace(plan, operations=operations)
    if not _mates(moved):
        return moved
    if before is not None and _mates(before) == _mates(moved):
        return replace(moved, findings=before.findings)
    return replace(moved, findings=check(moved))


def _mates(plan: Plan) -> list[tuple[int, str, Value]]:
    """Give what was measured of mates, by operation."""
    return [
        (one.number, name, value)
        for one in plan.operations
        for name, value in one.pinned.items()
        if name.startswith("mate.")
    ]


def moves_the_plan(plan: Plan, event: Event) -> bool:
    """Tell whether an entry changes what the plan rests on: what was typed instead of what was computed."""
    if event.kind == "undone":
        return True
    operation = plan.by_number.get(event.operation or 0)
    if event.value is None or operation is None:
        return False
    step = next((one for one in operation.steps if one.id == event.step), None)
    return event.kind == "set" or (step is not None and step.step.takes.names is not None)


def _pin(
    plan: Plan, pinned: Pinned, operation: ResolvedOperation, step: ResolvedStep, event: Event, index: int
) -> None:
    origin = Entered(f"record.toml event {index + 1}", event.entered or "", "measured")
    if event.kind == "set" and step.big is not None:
        name = chosen(step.step.big, step.scope) or ""
        pinned.setdefault(operation.number, {})[name] = Value(event.value, step.big.unit, origin)
    name_of_it = step.step.takes.names
    if name_of_it is None or event.verdict in _UNSETTLED or event.kind not in ("read", "ticked"):
        return
    number = event.value if event.counts is None else event.counts
    assert number is not None  # the caller has looked
    for one in _whom_it_concerns(plan, operation, name_of_it):
        named = pinned.setdefault(one.number, {})
        named.update(_named(name_of_it, number, named.get(name_of_it), origin))


def _whom_it_concerns(plan: Plan, operation: ResolvedOperation, name: str) -> Iterator[ResolvedOperation]:
    """A measured mate concerns every operation on what has to fit it; all else its own operation."""
    if not name.startswith("mate."):
        yield operation
        return
    mate = plan.job.mate_of(operation.operation)
    for one in plan.operations:
        if mate is not None and plan.job.mate_of(one.operation) is mate:
            yield one


def _named(name: str, number: float, before: Value | None, origin: Entered) -> dict[str, Value]:
    """Give a typed number under its name: added to those before it where the name is that of a list."""
    fact = FACTS[name]
    if fact.shape == "numbers":
        old = before.plain if before is not None and isinstance(before.plain, tuple) else ()
        texts = [before.origin.text] if before is not None and isinstance(before.origin, Entered) else []
        where = (
            before.origin.where if before is not None and isinstance(before.origin, Entered) else origin.where
        )
        listed = Entered(where, ", ".join([*texts, origin.text]), "measured")
        value = Value((*old, number), fact.unit, listed)
    else:
        value = Value(number, fact.unit, origin)
    flag = {"typed.size": "typed.has_size", "mate.sizes": "mate.is_measured"}.get(name)
    also = {flag: Value(True, "", origin)} if flag else {}
    return {name: value, **also}


def _set(
    plan: Plan, operation: ResolvedOperation, pinned: dict[str, Value], before: ResolvedOperation | None
) -> ResolvedOperation:
    """Resolve an operation with what was set; where the files changed so that it cannot be, as planned."""
    if before is not None and pinned and dict(before.pinned) == pinned:
        return before
    try:
        return with_pinned(plan, operation, pinned) if pinned else operation
    except InputError:
        return operation
