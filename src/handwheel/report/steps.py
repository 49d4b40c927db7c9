"""The steps of an operation or of a list, with what they take on one side and what was done on the other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from handwheel.models.record import Event
from handwheel.plan.resolve import ResolvedOperation, ResolvedStep
from handwheel.present.numbers import System
from handwheel.present.parts import Line, Part, blank, counted, number, strong, words, written
from handwheel.present.run_view import step_text
from handwheel.report.context import Context
from handwheel.report.document import Cell, Table

__all__ = ["as_acknowledged", "steps_table"]

_HEAD = ((words("no."),), (words("kind"),), (words("what to do, and within what"),), (words("as built"),))
_WIDTHS = (5, 12, 48, 35)

Placed = tuple[ResolvedStep, int]
"""A step at a place of its pattern."""


def steps_table(context: Context, steps: Iterable[Placed], operation: ResolvedOperation | None) -> Table:
    """Give the steps in the order they are worked, each with what was entered, or a line to write on."""
    rows = (
        (
            ((counted(index),),),
            (_kind(step),),
            (context.step(step, position, operation), *_takes(context, step, operation)),
            _as_built(context, step, position, operation),
        )
        for index, (step, position) in enumerate(steps, start=1)
    )
    return Table(_HEAD, tuple(rows), _WIDTHS)


def as_acknowledged(
    context: Context, step: ResolvedStep, position: int, operation: ResolvedOperation, event: Event
) -> bool:
    """Tell whether what was shown when an entry was made is what would be shown now."""
    built = context.built.by_number.get(operation.number, operation)
    now = next((one for one in built.steps if one.id == step.id), step)
    return event.shown is None or event.shown == step_text(now, position, context.units(step, operation))


def _kind(step: ResolvedStep) -> Line:
    return (strong(step.step.word),) if step.step.word else (words(step.step.kind),)


def _takes(context: Context, step: ResolvedStep, operation: ResolvedOperation | None) -> Iterator[Line]:
    """Say what answers a step: with which instrument, within what limits, which choices."""
    system, takes = context.units(step, operation), step.step.takes
    if step.instrument is not None:
        used = (words(f" ({takes.use})"),) if takes.use else ()
        yield (words("with "), number(step.instrument, system), *used)
    yield from filter(None, (_limits(step, system), _proven(step, system)))
    if step.step.after_reading:
        yield (words("only where a reading leaves more to come off"),)
    aim = step.value("aim")
    if aim is not None:
        yield (words("aim at "), number(aim, system))
    if step.limit is not None:
        yield (words("at most "), number(step.limit, system))
    if takes.choices:
        where = context.where(step, operation)
        yield (words("one of: "), *_listed(written(one, where) for one in takes.choices))


def _limits(step: ResolvedStep, system: System) -> Line:
    found = (("at least ", step.value("low")), ("at most ", step.value("high")))
    return _with_commas((words(word), number(value, system)) for word, value in found if value is not None)


def _proven(step: ResolvedStep, system: System) -> Line:
    found = (
        ("proven from ", step.value("lower_acceptance")),
        ("proven up to ", step.value("upper_acceptance")),
    )
    return _with_commas((words(word), number(value, system)) for word, value in found if value is not None)


def _with_commas(lines: Iterable[Line]) -> Line:
    parts: list[Part] = []
    for line in lines:
        parts.extend((words(", "), *line) if parts else line)
    return tuple(parts)


def _listed(parts: Iterable[Part]) -> Line:
    return _with_commas((part,) for part in parts)


def _as_built(
    context: Context, step: ResolvedStep, position: int, operation: ResolvedOperation | None
) -> Cell:
    """Give every entry of a step at its place, taken back or not; a line to write on where it is open."""
    system, book = context.units(step, operation), context.book
    number_of_it = operation.number if operation else 0
    lines: list[Line] = []
    for index, event in book.at(number_of_it, step.id, position):
        lines.append(book.line(index, system))
        if operation is not None and not as_acknowledged(context, step, position, operation, event):
            where = f"record.toml event {index + 1}"
            lines.append((words("shown then: "), written(event.shown or "", where)))
    if not book.is_done(number_of_it, step.id, position):
        lines.append((blank(_unit(step, system)),))
    return tuple(lines)


def _unit(step: ResolvedStep, system: System) -> str:
    takes = step.step.takes
    if takes.kind != "number":
        return ""
    return "in" if takes.unit == "mm" and system == "inch" else takes.unit
