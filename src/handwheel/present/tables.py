"""Route and findings of a job in words."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from handwheel.errors import one_line
from handwheel.plan.finding import Finding
from handwheel.plan.resolve import Plan, ResolvedOperation
from handwheel.present.lists_view import FindingView, RouteRow, RouteView
from handwheel.present.numbers import sentence
from handwheel.run.changes import Change, changed_since
from handwheel.run.live import open_stops
from handwheel.run.state import State

__all__ = ["finding_views", "route_view", "waiver_of"]


def route_view(plan: Plan, state: State) -> RouteView:
    """Give the operations of a job in order, and how each stands."""
    job = plan.job
    changes_of = changed_since(plan, state)
    head = (
        f"{one_line(job.job.material)} · {job.stock.form} · {len(plan.operations)} operations, "
        f"{sum(number in plan.by_number for number in state.signed)} signed",
        *(_change(number, changes) for number, changes in changes_of.items()),
    )
    live = next((one.number for one in plan.operations if one.number not in state.signed), None)
    rows = tuple(
        RouteRow(
            one.number,
            one_line(one.recipe.title),
            one.operation.feature or "",
            one.operation.tool or "",
            "changed since" if one.number in changes_of else _standing(plan, state, one, live),
        )
        for one in plan.operations
    )
    return RouteView(one_line(job.job.title), tuple(one_line(text) for text in head), rows)


def _change(number: int, changes: tuple[Change, ...]) -> str:
    """Say in one line what changed since an operation was worked: the first of it, and how much more."""
    where, was, now = changes[0]
    more = f", and {len(changes) - 1} more" if len(changes) > 1 else ""
    return f"op {number}: {where} was {was or 'nothing'}, now {now or 'nothing'}{more}"


def _standing(
    plan: Plan, state: State, operation: ResolvedOperation, live: int | None
) -> Literal["signed", "under way", "next", "to come", "stop"]:
    if operation.number in state.signed:
        return "signed"
    if next(open_stops(plan, state, operation.number), None) is not None:
        return "stop"
    if operation.number in state.started:
        return "under way"
    return "next" if operation.number == live else "to come"


def waiver_of(finding: Finding, state: State) -> int | None:
    """Give the entry that waived a finding; one that touches every operation may be waived at any."""
    for (code, number, where), waiver in state.waived.items():
        same = (code, where, waiver.numbers) == (finding.code, finding.place, finding.numbers)
        if same and finding.operation in (None, number):
            return waiver.entry
    return None


def finding_views(plan: Plan, state: State, place_of: Callable[[Finding], str]) -> tuple[FindingView, ...]:
    """Give the findings in words, with the reasons of those that were waived."""
    system = plan.job.job.units
    views = []
    for one in plan.findings:
        index = waiver_of(one, state)
        reason = state.events[index].reason if index is not None else ""
        cleared = one.confirm is not None and state.confirmed.get(one.confirm[0]) == one.confirm[1]
        at = f"op {one.operation} · " if one.operation else ""
        views.append(
            FindingView(
                one.severity,
                one.code,
                one_line(at + place_of(one)),
                sentence(one.what, one.values, system),
                sentence(one.why, one.values, system),
                sentence(one.cure, one.values, system),
                "confirmed" if cleared else one_line(reason or ""),
            )
        )
    return tuple(views)
