"""The drawings of what is live: which hole of the pattern is being worked, and which are made."""

from __future__ import annotations

from collections.abc import Mapping

from handwheel.drawing.make import drawings
from handwheel.drawing.shapes import Drawing
from handwheel.plan.resolve import Plan, ResolvedOperation
from handwheel.present.explain import explain
from handwheel.present.lists_view import Explanation
from handwheel.run.live import Item, items_of
from handwheel.run.state import State
from handwheel.values import Value

__all__ = ["explain_drawings", "live_drawings"]


def live_drawings(plan: Plan, state: State, item: Item) -> tuple[Drawing, ...]:
    """Give the drawings of the live operation, the hole in hand and those done marked."""
    if item.operation is None or item.kind == "finished":
        return ()
    repeated = item.step is not None and item.step.step.each is not None
    position = item.key.position if repeated else 0
    return drawings(plan, item.operation, position, _done(item.operation, state))


def _done(operation: ResolvedOperation, state: State) -> frozenset[int]:
    """Give the places at which every cut was made that is made place by place."""
    open_: set[int] = set()
    made: set[int] = set()
    for one in items_of(operation, state):
        if one.step is not None and one.step.step.kind == "cut" and one.step.step.each is not None:
            (made if one.key in state.done else open_).add(one.key.position)
    return frozenset(made - open_)


def explain_drawings(plan: Plan, shown: tuple[Drawing, ...]) -> tuple[Explanation, ...]:
    """Explain every number that stands on the drawings, down to its leaves."""
    values: Mapping[str, Value] = {name: value for drawing in shown for name, value in drawing.values.items()}
    return tuple(explain(name, value, plan.job.job.units) for name, value in values.items())
