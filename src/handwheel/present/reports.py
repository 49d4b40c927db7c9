"""Lines for the command line: findings, plan, record."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from handwheel.errors import one_line
from handwheel.models.record import Event
from handwheel.plan.resolve import Plan
from handwheel.present.run_view import step_text

__all__ = ["finding_lines", "log_lines", "plan_lines"]


def finding_lines(found: Iterable[Mapping[str, Any]], counts: Mapping[str, int]) -> Iterator[str]:
    """Give findings as a compiler would: place, severity, what; then why and cure."""
    for one in found:
        touches = f"op {one['operation']} " if one["operation"] else ""
        yield f"{one['where']}: {one['severity']} [{one['code']}] {touches}{one['what']}"
        yield f"    why: {one['why']}"
        yield f"    cure: {one['cure']}"
    yield ", ".join(f"{count} {kind if count != 1 else kind[:-1]}" for kind, count in counts.items())


def plan_lines(plan: Plan) -> Iterator[str]:
    """Give every operation with its steps."""
    system = plan.job.job.units
    yield f"{one_line(plan.job.job.title)} · {one_line(plan.job.job.material)} · {system}"
    for operation in plan.operations:
        named = (operation.operation.feature, operation.operation.tool, operation.operation.setup)
        yield ""
        yield f"op {operation.number} {one_line(operation.recipe.title)} · {' · '.join(filter(None, named))}"
        if operation.problem:
            yield f"  cannot be computed: {one_line(operation.problem)}"
        for step in operation.steps:
            times = f" ({step.places} places)" if step.places > 1 else ""
            yield f"  {step.step.kind:<8} {step_text(step, 1, system)}{times}"
        codes = dict.fromkeys(one.code for one in plan.findings if one.operation == operation.number)
        if codes:
            yield f"  findings: {', '.join(codes)}"


def log_lines(events: Iterable[Event]) -> Iterator[str]:
    """Give the record entry by entry; what was taken back is there, and said to be."""
    entries = tuple(events)
    undone = {event.undoes for event in entries if event.undoes is not None}
    for index, event in enumerate(entries):
        where = f"op {event.operation}" if event.operation else ""
        hole = f"hole {event.position}" if event.position else ""
        again = f"pass {event.cut_pass}" if event.cut_pass else ""
        number = f"{event.entered or ''} {event.unit or ''}".strip()
        said = (event.verdict, event.reason, event.by, event.shown, event.code)
        parts = [event.at, where, event.kind, event.step, hole, again, number, *said]
        back = "  (taken back)" if index in undone else ""
        yield one_line(" · ".join(part for part in parts if part) + back)
