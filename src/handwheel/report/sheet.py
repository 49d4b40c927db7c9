"""The sheet of a job as one document: the plan before, and beside it what was done."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain

from pydantic import BaseModel

from handwheel.errors import one_line
from handwheel.models.record import Event
from handwheel.plan.finding import Finding
from handwheel.plan.resolve import Plan, ResolvedOperation
from handwheel.present.entries import time_of, what_kind
from handwheel.present.parts import Line, blank, counted, said, strong, words, written
from handwheel.present.tables import waiver_of
from handwheel.report.book import Book
from handwheel.report.context import Context, PlaceOf
from handwheel.report.document import Block, Cell, Document, Heading, Paragraph, Table
from handwheel.report.operations import operation_blocks
from handwheel.report.shapes import fields_of, one_after_another
from handwheel.report.steps import steps_table
from handwheel.run.settings import as_set
from handwheel.run.state import State

__all__ = ["make_sheet"]

_APART = frozenset({"schema_", "job", "stock", "features", "setups", "operations"})
"""Parts of a job that have their place on the sheet; whatever else a job holds is told after the stock."""


def make_sheet(plan: Plan, state: State, place_of: PlaceOf) -> Document:
    """Make the sheet of a job: of the plan alone where nothing is recorded yet."""
    context = Context(plan, as_set(plan, state), Book(state), place_of)
    blocks = chain(
        _head(context),
        _findings(context),
        _given(context),
        _setups(context),
        _features(context),
        _sitting_lists(context),
        operation_blocks(context),
        _record(context),
    )
    return Document(one_line(plan.job.job.title), tuple(blocks))


# --- the head --------------------------------------------------------------------------------------------


def _head(context: Context) -> Iterator[Block]:
    job, state = context.plan.job, context.book.state
    title = written(job.job.title, "job.toml job.title")
    yield Heading(1, (title,))
    signed = sum(number in context.plan.by_number for number in state.signed)
    standing = f"{signed} of {len(context.plan.operations)} operations signed"
    if state.events:
        last = (words("; as built up to "), time_of(state.events[-1]))
        yield Paragraph((counted(standing), *last, counted(f" (entry {len(state.events)} of the record)")))
    else:
        yield Paragraph(
            (counted(standing), words("; nothing is recorded yet: the lines are to be filled in."))
        )
    fields = fields_of(job.job, "job.toml job", context.system, leave_out=frozenset({"title"}))
    rows = [_row(label, line) for label, line in fields]
    stock = fields_of(job.stock, "job.toml stock", context.system)
    rows.append(_row("stock", (*one_after_another(stock), words(f" ({job.stock.basis})"))))
    yield Table(((words("of the job"),), (words("as planned"),)), tuple(rows), (25, 75))
    if context.plan.operations:
        head = ((words("op"),), (words("what"),), (words("signed by"),), (words("when"),))
        signatures = tuple(_signature(context, one) for one in context.plan.operations)
        yield Heading(3, (words("Signatures"),))
        yield Table(head, signatures, (10, 45, 25, 20))


def _row(label: str, line: Line) -> tuple[Cell, ...]:
    return (((words(label),),), (line,))


def _signature(context: Context, operation: ResolvedOperation) -> tuple[Cell, ...]:
    index = context.book.state.signed.get(operation.number)
    who: Line = (blank(),)
    when: Line = (blank(),)
    if index is not None:
        event = context.book.state.events[index]
        who = (written(event.by or "nobody named", f"record.toml event {index + 1}"),)
        when = (time_of(event),)
    title = written(operation.recipe.title, f"recipe {operation.recipe.id}, title")
    feature = (words(" · "), counted(operation.operation.feature)) if operation.operation.feature else ()
    return ((counted(operation.number),),), ((title, *feature),), (who,), (when,)


# --- findings ------------------------------------------------------------------------------------------


def _findings(context: Context) -> Iterator[Block]:
    yield Heading(2, (words("The check of the plan"),))
    if not context.built.findings:
        yield Paragraph((words("It found nothing. That is no promise that nothing will go wrong."),))
        return
    head = ((words("kind"),), (words("what, why, and how to cure it"),), (words("as built"),))
    rows = tuple(_finding(context, one) for one in context.built.findings)
    yield Table(head, rows, (15, 60, 25))


def _finding(context: Context, finding: Finding) -> tuple[Cell, ...]:
    where = f"plan check, {finding.code}"
    texts = (("", finding.what), ("why: ", finding.why), ("cure: ", finding.cure))
    told: list[Line] = [
        (words(label), *said(text, finding.values, context.system, where, context.names))
        for label, text in texts
    ]
    place = f"op {finding.operation} · " if finding.operation else ""
    told.append((counted(place + context.place_of(finding)),))
    return ((strong(finding.severity),), (counted(finding.code),)), tuple(told), _answered(context, finding)


def _answered(context: Context, finding: Finding) -> Cell:
    """Say how a stop was passed: waived with a reason, or its number confirmed."""
    state = context.book.state
    waiver = waiver_of(finding, state)
    if waiver is not None:
        return (context.book.line(waiver, context.system),)
    if finding.confirm is not None and state.confirmed.get(finding.confirm[0]) == finding.confirm[1]:
        entries = context.book.of_kinds("confirmed")
        fitting = [index for index, event in entries if event.where == finding.confirm[0]]
        return tuple(context.book.line(index, context.system) for index in fitting)
    return ((blank(),),) if finding.severity == "stop" else ()


# --- what is given: setups, features, mates and the like ----------------------------------------------


def _given(context: Context) -> Iterator[Block]:
    """Tell every other part of a job, whatever it is: mates, groups, what comes later."""
    job = context.plan.job
    for name in type(job).model_fields:
        held = getattr(job, name)
        if name in _APART or held is None or held == ():
            continue
        yield Heading(2, (words(name.rstrip("_").replace("_", " ").capitalize()),))
        things = held if isinstance(held, tuple) else (held,)
        yield from _things(context, name, [one for one in things if isinstance(one, BaseModel)])


def _things(context: Context, name: str, things: Iterable[BaseModel]) -> Iterator[Block]:
    head = ((words("which"),), (words("what is given"),), (words("basis"),), (words("as built"),))
    rows = tuple(_thing(context, name, one) for one in things)
    if rows:
        yield Table(head, rows, (18, 45, 10, 27))


def _thing(context: Context, name: str, thing: BaseModel) -> tuple[Cell, ...]:
    id = str(getattr(thing, "id", ""))
    where = f"job.toml {name}.{id}".rstrip(".")
    fields = fields_of(thing, where, context.system, leave_out=frozenset({"id"}), names=context.names)
    given = tuple(one_after_another(iter((field,))) for field in fields)
    basis = getattr(thing, "basis", None)
    measured = tuple(_measured(context, name.removesuffix("s"), id))
    return ((counted(id),),), given, ((words(basis),),) if basis else (), measured or ((blank(),),)


def _measured(context: Context, word: str, id: str) -> Iterator[Line]:
    """Give what was read of a thing of the job: by the operations that name it (`mate = "bearing"`)."""
    for operation in context.plan.operations:
        if id and getattr(operation.operation, word, None) == id:
            yield from _last_readings(context, operation)


def _setups(context: Context) -> Iterator[Block]:
    yield Heading(2, (words("Setups"),))
    for setup in context.plan.job.setups:
        yield Heading(3, (words("Setup "), counted(setup.id)))
        rows = [
            _row("machine", context.title("machines", setup.machine)),
            _row("workholding", context.title("workholdings", setup.workholding)),
        ]
        apart = frozenset({"id", "machine", "workholding"})
        where = f"job.toml setups.{setup.id}"
        fields = fields_of(setup, where, context.system, leave_out=apart, names=context.names)
        rows += [_row(label, line) for label, line in fields]
        yield Table(((words("of this setup"),), (words("as planned"),)), tuple(rows), (25, 75))


def _features(context: Context) -> Iterator[Block]:
    yield Heading(2, (words("Features"),))
    head = ((words("which"),), (words("sizes"),), (words("basis"),), (words("as built"),))
    rows = tuple(_feature(context, one) for one in context.plan.job.features)
    if rows:
        yield Table(head, rows, (18, 45, 10, 27))


def _feature(context: Context, feature: BaseModel) -> tuple[Cell, ...]:
    id, kind = str(getattr(feature, "id", "")), str(getattr(feature, "kind", ""))
    where = f"job.toml features.{id}"
    apart = frozenset({"id", "kind"})
    fields = fields_of(feature, where, context.system, leave_out=apart, names=context.names)
    sizes = tuple(one_after_another(iter((field,))) for field in fields)
    read = tuple(_read_of(context, id)) or ((blank(),),)
    which = ((counted(id),), (written(kind, f"{where}.kind"),))
    return which, sizes, ((words(str(getattr(feature, "basis", ""))),),), read


def _read_of(context: Context, feature: str) -> Iterator[Line]:
    """Give what a feature came out as: the last readings of the operations on it."""
    for operation in context.plan.operations:
        if operation.operation.feature == feature:
            yield from _last_readings(context, operation)


def _last_readings(context: Context, operation: ResolvedOperation) -> Iterator[Line]:
    """Give the last reading that stands, of each step and place of an operation that takes a number."""
    last: dict[tuple[str, int], int] = {}
    for key, index in context.book.state.readings.items():
        if key.operation == operation.number and context.book.state.events[index].value is not None:
            at = key.step, key.position
            last[at] = max(index, last.get(at, -1))
    for (step, position), index in sorted(last.items(), key=lambda one: one[1]):
        where = (words("op "), counted(operation.number), words(" "), counted(step))
        hole = (words(", place "), counted(position)) if context.book.state.events[index].position else ()
        yield (*where, *hole, words(": "), *context.book.line(index, context.system))


# --- the record ------------------------------------------------------------------------------------------


def _sitting_lists(context: Context) -> Iterator[Block]:
    """Give the lists asked when a person sits down, and when work begins again."""
    lists = (
        ("Asked when a session begins", context.plan.session),
        ("Asked before the spindle turns again", context.plan.restart),
    )
    for title, steps in lists:
        if steps:
            yield Heading(2, (words(title),))
            yield steps_table(context, ((step, 1) for step in steps), None)


def _record(context: Context) -> Iterator[Block]:
    """Give sittings and holds in order, then every entry that found no place above."""
    sittings = list(context.book.of_kinds("opened", "held", "resumed"))
    if sittings:
        yield Heading(2, (words("Sittings and holds"),))
        yield _entries(context, sittings)
    others = [(index, event) for index, event in context.book.not_told() if event.undoes is None]
    if others:
        yield Heading(2, (words("Other entries of the record"),))
        yield _entries(context, others)


def _entries(context: Context, entries: Iterable[tuple[int, Event]]) -> Table:
    rows = (
        (
            ((counted(index + 1),),),
            ((words(what_kind(event)),),),
            (_at(event),),
            (context.book.line(index, context.system),),
        )
        for index, event in entries
    )
    head = ((words("entry"),), (words("what"),), (words("at"),), (words("as recorded"),))
    return Table(head, tuple(rows), (8, 20, 25, 47))


def _at(event: Event) -> Line:
    parts = []
    if event.operation:
        parts.append(counted(f"op {event.operation}"))
    if event.step:
        parts += [words(" "), counted(event.step)]
    if event.position:
        parts.append(counted(f" place {event.position}"))
    return tuple(parts)
