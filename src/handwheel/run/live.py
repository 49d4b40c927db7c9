"""What is live: the one item that a person is at, from the plan and the state alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from handwheel.models.sizes import Units
from handwheel.plan.finding import Finding
from handwheel.plan.resolve import ItemKey, Plan, PlannedItem, ResolvedOperation, ResolvedStep
from handwheel.run.state import State

__all__ = ["Item", "ItemKind", "first_open", "items_of", "live", "open_stops", "units_of"]

ItemKind = Literal[
    "opening",  # a job nobody has worked at yet
    "briefing",  # coming back to a job, or from a hold
    "stop",  # a finding stands in the way of the operation
    "hazard",
    "item",
    "setting",
    "cut",
    "reading",
    "sign-off",
    "finished",
]


@dataclass(frozen=True, slots=True)
class Item:
    """A live item: its kind, where it stands, and what it is about."""

    kind: ItemKind
    key: ItemKey
    operation: ResolvedOperation | None = None
    step: ResolvedStep | None = None
    finding: Finding | None = None


def live(plan: Plan, state: State) -> Item:
    """Give the item that is live."""
    operation = next((one for one in plan.operations if one.number not in state.signed), None)
    number = operation.number if operation else 0
    if operation is None and not state.held:
        return Item("finished", ItemKey(0, ""))
    if state.held or not state.seated or operation is None:
        began = state.opened >= 0
        return Item("briefing" if began else "opening", ItemKey(number, ""), operation)
    for step in _lists_of_the_sitting(plan, operation, state):
        return Item(step.step.kind, ItemKey(0, step.id), operation, step)
    for finding in open_stops(plan, state, number):
        return Item("stop", ItemKey(number, ""), operation, None, finding)
    return first_open(operation, state) or Item("finished", ItemKey(number, ""), operation)


def first_open(operation: ResolvedOperation, state: State) -> Item | None:
    """Give the first item of an operation that is not done: what the work comes back to."""
    for planned in operation.items:
        key = _key(planned, operation, state)
        if not _is_done(planned.step, key, state, operation):
            return Item(planned.step.step.kind, key, operation, planned.step)
    return None


def open_stops(plan: Plan, state: State, number: int) -> Iterator[Finding]:
    """Give the stops that touch an operation and are neither waived nor cleared by a confirmation."""
    for finding in plan.findings:
        touches = finding.operation in (None, number)
        waiver = state.waived.get((finding.code, number, finding.place))
        waived = waiver is not None and waiver.numbers == finding.numbers
        if not touches or finding.severity != "stop" or waived:
            continue
        if finding.confirm and state.confirmed.get(finding.confirm[0]) == finding.confirm[1]:
            continue
        yield finding


def units_of(plan: Plan, item: Item) -> Units:
    """Give the unit system of an item: a hand sets in that of the machine, measures in that of the job.

    A reading without an instrument is one of the machine's own readout or dial.
    """
    by_readout = item.kind == "reading" and item.step is not None and item.step.step.takes.use is None
    if (item.kind in ("setting", "cut") or by_readout) and item.operation is not None:
        machine = plan.shop.machine(plan.job.setup(item.operation.operation.setup).machine)
        return machine.units if machine else plan.job.job.units
    return plan.job.job.units


def items_of(
    operation: ResolvedOperation, state: State, start: int = 0, stop: int | None = None
) -> Iterator[Item]:
    """Give the items of an operation in order, each at the pass it has come to; all, or some by index."""
    for planned in operation.items[start:stop]:
        yield Item(planned.step.step.kind, _key(planned, operation, state), operation, planned.step)


def _key(planned: PlannedItem, operation: ResolvedOperation, state: State) -> ItemKey:
    """Give the key of an item at the pass it has come to."""
    if planned.governor is None or not state.cuts_again:
        return planned.first
    again = state.cuts_again.get((operation.number, *planned.governor), 0)
    return planned.first._replace(cut_pass=1 + again)


def _is_done(step: ResolvedStep, key: ItemKey, state: State, operation: ResolvedOperation) -> bool:
    """Tell whether an item counts as done: a list that was broken off is asked again from its start."""
    if step.step.after_reading and key.cut_pass == 1:
        return True  # another cut was made in its place
    index = state.done.get(key)
    if index is None:
        return False
    if step.owner == "operation" or index > state.broken_off:
        return True
    owned = [one for one in operation.steps if one.owner == step.owner]
    return all(ItemKey(operation.number, one.id) in state.done for one in owned)


def _lists_of_the_sitting(plan: Plan, operation: ResolvedOperation, state: State) -> Iterator[ResolvedStep]:
    """Give what the lists of this sitting still ask: one that was broken off, from its start again."""
    restart = plan.restarts.get(operation.operation.setup, ()) if state.worked_before(state.opened) else ()
    for steps, began in ((restart, state.opened), (plan.session, state.session)):
        ticked = [state.done.get(ItemKey(0, step.id), -1) for step in steps]
        since = began if all(index > began for index in ticked) else state.broken_off
        yield from (step for step, index in zip(steps, ticked, strict=True) if index <= since)
