"""Route, findings, explanations, help and the list of jobs as rows."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from handwheel.commands import COMMANDS, NOTES, keys_in_words
from handwheel.present.view import RunView
from handwheel.ui.looks import Signs
from handwheel.ui.rows import Role, Row, Span, column, row

if TYPE_CHECKING:  # the first paint needs none of these shapes
    from handwheel.present.lists_view import Explanation, FindingView, JobRow, RouteView

__all__ = ["choice_rows", "explain_rows", "finding_rows", "help_rows", "job_choices", "route_rows"]

_STATES: dict[str, Role] = {
    "signed": "done",
    "changed since": "caution",
    "under way": "mark",
    "next": "must",
    "to come": "quiet",
    "stop": "stop",
}
_SEVERITIES: dict[str, Role] = {"stop": "stop", "doubt": "careful", "note": "quiet"}


def choice_rows(choices: Iterable[str], keys: Iterable[str], width: int) -> list[Row]:
    """Choices, each behind the number or the key that picks it."""
    rows: list[Row] = []
    for key, choice in zip(keys, choices, strict=True):
        head, *lines = choice.split("\n")
        rows += column((Span(f" {key:>3} ", "must"), Span(" ")), head, "text", width)
        for line in lines:
            rows += column((Span("      "),), line, "quiet", width)
    return rows


def route_rows(route: RouteView, signs: Signs, width: int) -> list[Row]:
    """What is said at the head of the route, and one line or more for each operation."""
    rows: list[Row] = []
    for line in route.head:
        rows += column((Span(" "),), line, "quiet", width)
    rows += [()] if route.head else []
    marks = {"signed": signs.done, "under way": signs.live, "next": signs.live, "stop": signs.stop}
    for one in route.rows:
        sign = marks.get(one.state, signs.again if one.state == "changed since" else signs.next)
        state = (Span(f" {sign} {one.state} ", _STATES[one.state]), Span(" " * (15 - len(sign + one.state))))
        text = ", ".join(filter(None, (one.title, one.feature, one.tool)))
        role: Role = "live" if one.state in ("under way", "next") else "text"
        rows += column((*state, Span(f"{one.number:>4}  ", role)), text, role, width)
    return rows or [row(" There is no operation in this job.")]


def finding_rows(findings: Iterable[FindingView], width: int) -> list[Row]:
    """Each finding with its place, why it is one, and its cure."""
    rows: list[Row] = []
    for one in findings:
        rows.append(
            (Span(f" {one.severity.upper()} ", _SEVERITIES[one.severity]), Span(f" {one.place}  {one.code}"))
        )
        rows += column((Span("   "),), one.what, "live", width)
        for head, text in (("why   ", one.why), ("cure  ", one.cure), ("waived: ", one.waived)):
            rows += column((Span(f"   {head}", "quiet"),), text, "text", width) if text else []
        rows.append(())
    return rows or [row(" The check of the plan found nothing.")]


def explain_rows(explanations: Iterable[Explanation], width: int) -> list[Row]:
    """Each number with the lines from its formula to what was entered or looked up."""
    rows: list[Row] = []
    for one in explanations:
        rows.append((Span(f" {one.shown} ", "mark"), Span(f"  {one.name}", "must")))
        for line in one.lines:
            level = len(line) - len(line.lstrip())
            rows += column((Span(" " * (3 + level)),), line, "text", width)
        rows.append(())
    return rows or [row(" There is no number on the live item.")]


_ANSWERS = {
    "enter": "Read the line, do it, then press Enter. One Enter answers one item; several at once is not "
    "possible.",
    "number": "Type what you read off or set, then Enter. A point or a comma, a fraction such as 3/8, and a "
    "unit behind it are understood. Nothing is taken before Enter.",
    "choice": "Type the number of one of the choices, then Enter.",
    "nothing": "There is nothing to answer here.",
    "SETTING": "Set it, look at what is set, then press Enter. Where another number is set, type that "
    "number, then Enter; above the limit it is refused.",
    "STOP": "Put it right in the files and open the job again. A carried number is confirmed by typing it "
    "as the drawing has it, then Enter. Going past it needs a reason: * 3.",
}


def help_rows(view: RunView, width: int) -> list[Row]:
    """How the live item is answered, then every key."""
    rows = [row(" The live item", "must")]
    rows += column((Span("   "),), f"{view.kind}: {view.text}", "live", width)
    rows += column((Span("   "),), _ANSWERS.get(view.kind, _ANSWERS[view.takes]), "text", width)
    rows += [(), row(" Keys", "must")]
    for note in NOTES:
        rows += column((Span("   "),), note, "text", width)
    for command in COMMANDS:
        keys = Span(f" {keys_in_words(command)} ", "mark")
        rows += [(), (Span("   "), keys, Span(f"  {command.label}", "live"))]
        rows += column((Span("   "),), command.help, "text", width)
    return [*rows, (), row(" If the terminal is left in disorder, type: reset", "quiet")]


def job_choices(jobs: Iterable[JobRow]) -> tuple[str, ...]:
    """Each job as a choice: its title, and under it what is live and when it was last worked at."""
    return tuple(
        "\n".join(filter(None, (job.title or job.name, job.fault or job.live, job.at))) for job in jobs
    )
