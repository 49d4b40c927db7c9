"""Each operation: what it is, the numbers to set beside those really set, its steps, its rows."""

from __future__ import annotations

from collections.abc import Iterator

from handwheel.plan.binding import chosen
from handwheel.plan.resolve import ResolvedOperation, ResolvedStep
from handwheel.present.entries import entry_value
from handwheel.present.numbers import System, quantity_of, unit_of
from handwheel.present.parts import Line, Part, blank, counted, number, said, words, written
from handwheel.present.rows import columns_of, title_of
from handwheel.report.context import Context
from handwheel.report.document import Block, Cell, Heading, Paragraph, Table
from handwheel.report.drawings import drawings_of
from handwheel.report.shapes import fields_of
from handwheel.report.steps import as_acknowledged, steps_table
from handwheel.run.changes import Change, changed_since
from handwheel.values import Computed, Value

__all__ = ["operation_blocks"]

_SHOWN_APART = frozenset({"number", "recipe", "feature", "tool"})


def operation_blocks(context: Context) -> Iterator[Block]:
    """Give the operations in the order they are worked."""
    yield Heading(2, (words("Operations"),))
    changes = changed_since(context.plan, context.book.state)
    for operation in context.plan.operations:
        yield from _operation(context, operation)
        yield from _changed(context, operation, changes.get(operation.number, ()))


def _operation(context: Context, operation: ResolvedOperation) -> Iterator[Block]:
    yield Heading(3, _heading(context, operation))
    yield Table(
        ((words("of this operation"),), (words("as planned"),)), tuple(_facts(context, operation)), (25, 75)
    )
    if operation.problem:
        told = written(operation.problem, f"operation {operation.number}, as it was worked out")
        yield Paragraph((words("It cannot be computed: "), told))
    for text in operation.recipe.throughout:
        where = f"recipe {operation.recipe.id}, throughout"
        yield Paragraph((words("Throughout: "), *said(text, {}, context.system, where, context.names)))
    numbers = tuple(_numbers(context, operation))
    if numbers:
        yield Heading(4, (words("Numbers to set"),))
        yield Table(((words("what"),), (words("planned"),), (words("as built"),)), numbers, (30, 30, 40))
    if operation.items:
        yield Heading(4, (words("Steps"),))
        yield steps_table(context, ((one.step, one.position) for one in operation.items), operation)
    yield from _rows(context, operation)
    yield from drawings_of(context, operation)
    yield from _also(context, operation)


def _heading(context: Context, operation: ResolvedOperation) -> Line:
    title = written(operation.recipe.title, f"recipe {operation.recipe.id}, title")
    parts = [words("op "), counted(operation.number), words(" · "), title]
    if operation.operation.feature:
        parts += [words(" · "), counted(operation.operation.feature)]
    return tuple(parts)


def _facts(context: Context, operation: ResolvedOperation) -> Iterator[tuple[Cell, ...]]:
    setup = context.plan.job.setup(operation.operation.setup)
    machine = context.title("machines", setup.machine)
    tool = context.title("tools", operation.operation.tool)
    for label, line in (("machine", machine), ("tool", tool)):
        if line:
            yield _row(label, line)
    where = f"job.toml operations.{operation.number}"
    held = operation.operation
    for label, line in fields_of(held, where, context.system, leave_out=_SHOWN_APART, names=context.names):
        yield _row(label, line)
    codes = dict.fromkeys(one.code for one in context.built.findings if one.operation == operation.number)
    if codes:
        yield _row("findings", (counted(", ".join(codes)),))


def _row(label: str, line: Line) -> tuple[Cell, ...]:
    return (((words(label),),), (line,))


# --- the numbers to set --------------------------------------------------------------------------------


def _numbers(context: Context, operation: ResolvedOperation) -> Iterator[tuple[Cell, ...]]:
    """Give what is set or gone to, then the speeds, feeds and times that follow from what is set."""
    told: set[str] = set()
    targets: list[Value] = []
    for step in operation.steps:
        name = chosen(step.step.big, step.scope)
        if step.big is None or name is None or name in told or step.step.kind not in ("setting", "cut"):
            continue
        told.add(name)
        targets.append(step.big)
        planned = (number(step.big, context.units(step, operation)),)
        yield ((words(_label(name)),),), (planned,), _really_set(context, operation, step)
    system = _machine_system(context, operation)
    for name, value in operation.scope.items():
        if name not in told and _follows(value) and _rests_on(value, targets):
            yield ((words(_label(name)),),), ((number(value, system),),), _followed(context, operation, name)


def _label(name: str) -> str:
    root, _, own = name.partition(".")
    return f"{root} {own}".replace("_", " ") if root == "stock" else own.replace("_", " ")


def _machine_system(context: Context, operation: ResolvedOperation) -> System:
    setting = next((step for step in operation.steps if step.step.kind == "setting"), None)
    return context.units(setting, operation) if setting else context.system


_RATES = frozenset({"m/min", "mm/min", "min"})


def _follows(value: Value) -> bool:
    """Tell whether a value is a speed, a feed or a time that was worked out."""
    quantity = quantity_of(value)
    if quantity is None or value.plain is None or isinstance(value.plain, tuple):
        return False
    return value.unit in _RATES or (value.unit == "mm" and quantity.kind == "feed")


def _rests_on(value: Value, targets: list[Value]) -> bool:
    wanted = {id(one) for one in targets}
    seen: set[int] = set()
    stack = [value]
    while stack:
        current = stack.pop()
        if id(current) in wanted:
            return True
        if isinstance(current.origin, Computed) and id(current.origin.call) not in seen:
            seen.add(id(current.origin.call))
            stack.extend(current.origin.call.inputs.values())
    return False


def _really_set(context: Context, operation: ResolvedOperation, step: ResolvedStep) -> Cell:
    """Give what was set last at each place of a step: the number typed, or the one acknowledged as shown."""
    lines: list[Line] = []
    system = context.units(step, operation)
    for position in range(1, step.places + 1):
        standing = [
            (index, event)
            for index, event in context.book.at(operation.number, step.id, position)
            if context.book.counts(index) and event.kind in ("set", "cut")
        ]
        if standing:
            line = _set_line(context, operation, step, position, standing[-1][0])
            lines += [line] if line not in lines else []
    return tuple(lines) or ((blank(unit_of(step.big, system) if step.big else ""),),)


def _set_line(
    context: Context, operation: ResolvedOperation, step: ResolvedStep, position: int, index: int
) -> Line:
    event, system = context.book.state.events[index], context.units(step, operation)
    typed = entry_value(event, index)
    if typed is not None:
        return (number(typed, system),)
    built = context.built.by_number[operation.number]
    now = next((one for one in built.steps if one.id == step.id), step)
    if now.big is not None and as_acknowledged(context, step, position, operation, event):
        return (number(now.big, system),)
    return (words("as shown then: "), written(event.shown or "", f"record.toml event {index + 1}"))


def _followed(context: Context, operation: ResolvedOperation, name: str) -> Cell:
    """Give what followed from what was really set; a line to write on where nothing was set yet."""
    value = context.built.by_number[operation.number].scope.get(name)
    was_set = any(
        context.book.counts(index) and event.operation == operation.number and event.step
        for index, event in context.book.of_kinds("set")
    )
    if value is None or not was_set:
        return ((blank(),),)
    return ((number(value, _machine_system(context, operation)),),)


# --- rows, and what else was recorded ------------------------------------------------------------------


def _rows(context: Context, operation: ResolvedOperation) -> Iterator[Block]:
    """Give each list of rows that a step stands at or shows: passes, pecks, positions."""
    told: set[int] = set()
    for step in operation.steps:
        for rows in (step.table, step.rows):
            if rows is None or not isinstance(rows.plain, tuple) or id(rows) in told:
                continue
            told.add(id(rows))
            yield Heading(4, (written(title_of(rows), "the catalogue of calculations"),))
            yield _rows_table(rows, context.units(step, operation))


def _rows_table(rows: Value, system: System) -> Table:
    """Give rows as a table, each with its number unless one of the columns counts them."""
    columns = columns_of(rows, system)
    counting = not any(one.head == "number" for one in columns)
    heads = ((words(f"{one.head} "), Part("", "number", one.value, system)) for one in columns)
    head = (*(((words("no."),),) if counting else ()), *heads)
    assert isinstance(rows.plain, tuple)  # asked of lists of rows only
    body = (
        (
            *((((counted(index + 1),),),) if counting else ()),
            *(((Part(one.cells[index], "cell", one.value, system),),) for one in columns),
        )
        for index in range(len(rows.plain))
    )
    return Table(head, tuple(body))


def _also(context: Context, operation: ResolvedOperation) -> Iterator[Block]:
    """Give the entries of an operation that belong to none of its steps: waivers, confirmations, holds."""
    entries = [
        (index, event)
        for index, event in context.book.not_told()
        if event.operation == operation.number and event.kind != "undone"
    ]
    if entries:
        yield Heading(4, (words("Also recorded here"),))
    for index, event in entries:
        at = (words("at step "), counted(event.step), words(": ")) if event.step else ()
        yield Paragraph((*at, *context.book.line(index, context.system)))


def _changed(context: Context, operation: ResolvedOperation, changes: tuple[Change, ...]) -> Iterator[Block]:
    if not changes:
        return
    signed = operation.number in context.book.state.signed
    yield Heading(4, (words("Changed since it was signed" if signed else "Changed since it was begun"),))
    began = f"record.toml event {context.book.state.started[operation.number] + 1}, {{}}"
    rows = (
        (
            ((counted(where),),),
            ((written(was or "nothing", began.format(where)),),),
            ((written(now or "nothing", where),),),
        )
        for where, was, now in changes
    )
    yield Table(((words("where"),), (words("was"),), (words("is now"),)), tuple(rows), (50, 25, 25))
