"""What changed since an operation was worked: two dictionaries compared."""

from __future__ import annotations

from handwheel.plan.resolve import Plan
from handwheel.run.state import State

__all__ = ["Change", "changed_since"]

Change = tuple[str, str, str]
"""Where it stands, what it was, what it is now."""


def changed_since(plan: Plan, state: State) -> dict[int, tuple[Change, ...]]:
    """Give, for every operation that was begun, what it rests on that is not what it was then."""
    changes: dict[int, tuple[Change, ...]] = {}
    for number, index in state.started.items():
        operation = plan.by_number.get(number)
        event = state.events[index]
        if operation is None or event.used is None:
            continue
        was, now = event.used, operation.used
        if was == now and event.version == operation.recipe.version:
            continue
        different = [
            (where, was.get(where, ""), now.get(where, ""))
            for where in sorted(was.keys() | now.keys())
            if was.get(where, "") != now.get(where, "")
        ]
        if event.recipe != operation.recipe.id or event.version != operation.recipe.version:
            named = f"{operation.recipe.id} {operation.recipe.version}"
            different.append(("recipe", f"{event.recipe} {event.version}", named))
        if different:
            changes[number] = tuple(different)
    return changes
