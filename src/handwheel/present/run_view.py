"""The live item in words: what the operation screen, line mode and `[now]` print."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Any, Literal

from handwheel.errors import one_line
from handwheel.models.record import Event
from handwheel.plan.binding import find
from handwheel.plan.resolve import Plan, ResolvedOperation, ResolvedStep
from handwheel.present.numbers import System, digits, sentence, shown, unit_of
from handwheel.present.rows import columns_of, title_of
from handwheel.present.view import Line, RunView, clock
from handwheel.run.changes import changed_since
from handwheel.run.left import aimed_reading_of, left_to_remove
from handwheel.run.live import Item, first_open, items_of, units_of
from handwheel.run.state import State
from handwheel.values import Value

__all__ = ["live_text", "on_hand", "refusal_text", "run_view", "step_text", "text_of"]

_ROUND_A_STEP = 12
"""How many lines of an operation are kept round the live one."""


def run_view(plan: Plan, state: State, item: Item, pending: frozenset[int] = frozenset()) -> RunView:
    """Put the item into words. `pending` holds the indexes of the events that are not on the disk yet."""
    system = plan.job.job.units
    base: dict[str, Any] = {
        "title": one_line(plan.job.job.title),
        "place": _place(plan, item),
        "progress": _progress(plan, state, item),
        "lines": tuple(_lines(plan, state, item, pending)),
        "strip": tuple(one_line(text) for text in item.operation.recipe.throughout) if item.operation else (),
    }
    words = _of_kind(plan, state, item, system)
    words["remarks"] = (*words.get("remarks", ()), *_remarks(plan, item))
    return RunView(**{**base, **words})


def step_text(
    step: ResolvedStep, position: int, system: System, left: Mapping[str, Value] = MappingProxyType({})
) -> str:
    """Give the text of a step at a place of its pattern, with its values; of a cut made again, its own."""
    return sentence(text_of(step, left), on_hand(step, position, left), system)


def text_of(step: ResolvedStep, left: Mapping[str, Value] = MappingProxyType({})) -> str:
    """Give the text of a step that stands: of a cut made again its own, of one to draw back for another."""
    advance = left.get("left.advance")
    if step.step.back and advance is not None and advance.plain is not None and advance.number < 0:
        return step.step.back
    return step.step.again if left and step.step.again else step.step.text


def on_hand(
    step: ResolvedStep, position: int, left: Mapping[str, Value] = MappingProxyType({})
) -> dict[str, Value | str]:
    """Give every value that the text of a step may name at a place of its pattern."""
    expect = step.value("expect")
    own: dict[str, Value | str] = {**step.scope, **step.place(position), **left}
    if expect is not None:
        own["expect"] = expect
    return own


def live_text(plan: Plan, state: State, item: Item) -> str:
    """Give the text of an item as it is shown: in the machine's units where a hand sets it."""
    if item.step is None:
        return ""
    return step_text(item.step, item.key.position, units_of(plan, item), left_to_remove(item, state))


def refusal_text(why: str, values: Mapping[str, Value | str], system: System) -> str:
    """Put a refusal into words."""
    return sentence(why, values, system)


# --- the parts of the view -----------------------------------------------------------------------------


def _place(plan: Plan, item: Item) -> str:
    if item.operation is None:
        return ""
    operation = item.operation.operation
    tool = plan.shop.tool(operation.tool)
    parts = [f"op {operation.number} {item.operation.recipe.title}", operation.feature or ""]
    parts.append(tool.title if tool else "")
    return one_line(" · ".join(part for part in parts if part))


def _progress(plan: Plan, state: State, item: Item) -> str:
    if item.operation is None:
        signed = sum(number in plan.by_number for number in state.signed)
        return f"{signed} of {len(plan.operations)} operations signed"
    at = plan.operations.index(item.operation) + 1
    parts = [f"operation {at} of {len(plan.operations)}"]
    if item.step is not None and item.step.places > 1:
        parts.append(f"hole {item.key.position} of {item.step.places}")
    if item.key.cut_pass > 1:
        parts.append(f"pass {item.key.cut_pass}")
    return " · ".join(parts)


def _of_kind(plan: Plan, state: State, item: Item, system: System) -> dict[str, Any]:
    match item.kind:
        case "opening":
            count = len(plan.operations)
            return {
                "kind": "BEGIN",
                "text": f"A job with {count} operations. Nothing of it is done yet.",
                "remarks": (_check_in_words(plan),),
                "prompt": "Enter: begin",
            }
        case "briefing":
            return _briefing(plan, state, item, system)
        case "finished":
            return {
                "kind": "FINISHED",
                "text": "Every operation is signed off. The record is in record.toml.",
                "takes": "nothing",
            }
        case "stop":
            return _stop(item, system)
        case _:
            return _of_step(plan, state, item, system)


def _check_in_words(plan: Plan) -> str:
    counts = {kind: sum(one.severity == kind for one in plan.findings) for kind in ("stop", "doubt", "note")}
    told = ", ".join(f"{count} {kind}{'' if count == 1 else 's'}" for kind, count in counts.items() if count)
    return f"The check of the plan: {told or 'no findings'}{' (look under findings)' if told else ''}."


def _stop(item: Item, system: System) -> dict[str, Any]:
    finding = item.finding
    assert finding is not None  # a stop is a finding
    parts = (sentence(part, finding.values, system) for part in (finding.what, finding.why))
    text = ". ".join(part[:1].upper() + part[1:] for part in parts)
    way = "type it again from the drawing to confirm it, or" if finding.confirm else "or"
    return {
        "kind": "STOP",
        "text": f"{text}.",
        "remarks": (f"Cure: {sentence(finding.cure, finding.values, system)}.",),
        "prompt": f"put it right in the files and open the job again, {way} waive it with a reason (menu)",
        "takes": "number" if finding.confirm else "nothing",
    }


def _briefing(plan: Plan, state: State, item: Item, system: System) -> dict[str, Any]:
    """Say where things stand, what was set, and what is asked again before the spindle turns."""
    done = [one for index, one in enumerate(state.events) if index not in state.undone]
    last = next((one for one in reversed(done) if one.kind not in ("opened", "held")), None)
    signed = [number for number in state.signed if number in plan.by_number]
    facts = [f"Signed so far: {len(signed)} of {len(plan.operations)} operations."]
    gone = sorted(number for number in state.signed if number and number not in plan.by_number)
    if gone:
        facts.append(f"Signed and no longer in the plan: {', '.join(f'op {number}' for number in gone)}.")
    if last is not None:
        facts.append(f"Last entry {clock(last.at)}: {_event_words(last)}.")
    changed = ", ".join(f"op {number}" for number in sorted(changed_since(plan, state)))
    if changed:
        facts.append(f"Changed since it was worked: {changed} (look under route).")
    set_last = [one for one in done if one.kind == "set" and one.operation == item.key.operation]
    facts.extend(_set_in_words(one) for one in set_last[-3:])
    head = "HOLDING" if state.held else "COMING BACK"
    again = not state.held and state.worked_before(len(state.events))
    asked = " Piece, clamps, tool and zero are asked again before the spindle turns." if again else ""
    where = _place(plan, item) or "all operations are signed"
    following = first_open(item.operation, state) if item.operation is not None else None
    then = (f"Then: {live_text(plan, state, following)}",) if following is not None else ()
    return {
        **(_large(plan, state, following) if following is not None else {}),
        "kind": head,
        "text": f"{head} AT {where}.{asked}",
        "remarks": (*then, *facts, _check_in_words(plan)),
        "prompt": "Enter: go on from here",
    }


def _of_step(plan: Plan, state: State, item: Item, system: System) -> dict[str, Any]:
    step = item.step
    assert step is not None  # all other kinds are steps
    takes = step.step.takes
    left = left_to_remove(item, state)
    machine_system = units_of(plan, item)
    view: dict[str, Any] = {
        "kind": step.step.kind.upper(),
        "word": step.step.word or "",
        "text": step_text(step, item.key.position, machine_system, left),
        "prompt": _prompt(step, machine_system, _keeps_where_it_stood(item)),
        "takes": _takes(step),
        "choices": tuple(
            one_line(text) for text in (plan.shop.people if step.step.kind == "sign-off" else takes.choices)
        ),
    }
    if takes.kind == "number":
        low = step.value("low")
        negative = low is not None and low.plain is not None and low.number < 0
        view["signed"] = negative or takes.signed
    view |= _large(plan, state, item)
    if step.table is not None and not left:
        view |= _table(step.table, machine_system)
    remark = _reading_remark(item, state)
    return view | ({"remarks": remark} if remark else {})


def _large(plan: Plan, state: State, item: Item) -> dict[str, Any]:
    """Give the number of an item that is drawn large: what to set, what to take off, what is meant."""
    step, system = item.step, units_of(plan, item)
    assert step is not None  # only steps have numbers
    left = left_to_remove(item, state)
    turns = find(step.step.turns, step.scope)
    if "left.set_to" in left:
        number, heading = left.get("left.shows", left["left.set_to"]), "SET TO"
        turns = left.get("left.turns")
    elif left:
        number, heading = left["left.amount"], "TAKE OFF"
    elif step.big is not None:
        number, heading = step.big, step.step.heading or "SET TO"
    elif step.step.kind == "reading" and (meant := step.value("expect")) is not None:
        number, heading = meant, "MEANT"
    else:
        return {}
    if turns is not None and turns.plain:
        heading = f"{heading} {digits(turns)} TURN{'S' if turns.number > 1 else ''} AND"
    return {"big": digits(number, system), "unit": unit_of(number, system), "heading": heading}


def _takes(step: ResolvedStep) -> Literal["enter", "number", "choice"]:
    if step.step.kind == "sign-off" or step.step.takes.kind in ("choice", "attribute"):
        return "choice"
    return "number" if step.step.takes.kind == "number" else "enter"


def _prompt(step: ResolvedStep, system: System, keeps: bool = False) -> str:
    takes = step.step.takes
    if step.step.kind == "sign-off":
        return "type the number before your name, then Enter"
    if takes.kind in ("choice", "attribute"):
        return "type the number of what is so, then Enter"
    if takes.kind == "number":
        limits = [f"{word} {shown(value, system)}" for word, value in _limits(step)]
        asked = takes.unit if takes.unit != "mm" or system == "mm" else "in"
        return "  ".join([f"type the number in {asked}, then Enter", *limits])
    words = {
        "hazard": "Enter: I have read it",
        "item": "Enter: it is so",
        "setting": "Enter: it is set" + _or_type(step, system),
        "cut": "Enter: cut made" + (" (or type where the tool stood)" if keeps else ""),
    }
    return words.get(step.step.kind, "Enter: done")


def _keeps_where_it_stood(item: Item) -> bool:
    """Tell whether it is kept with this cut where the tool stood, for the next one to be computed from."""
    return (
        item.kind == "cut"
        and item.step is not None
        and item.operation is not None
        and aimed_reading_of(item.operation, item.step) is not None
    )


def _or_type(step: ResolvedStep, system: System) -> str:
    return f" (or type what it is set to, at most {shown(step.limit, system)})" if step.limit else ""


def _limits(step: ResolvedStep) -> Iterator[tuple[str, Value]]:
    for word, name in (("at least", "low"), ("at most", "high")):
        value = step.value(name)  # type: ignore[arg-type]
        if value is not None and value.plain is not None:
            yield word, value


def _reading_remark(item: Item, state: State) -> tuple[str, ...]:
    """Say what the last reading at this item came to, where it was not good, and what to do."""
    waiting = [index for index in state.unsettled.get(item.key, ()) if index not in state.undone]
    if item.kind == "reading" and waiting:
        return _once_more(state.events[waiting[-1]], len(waiting))
    index = state.readings.get(item.key)
    if item.kind != "reading" or index is None or index in state.undone or item.step is None:
        return ()
    event = state.events[index]
    if event.value is None:
        said = (event.entered or event.verdict or "").upper()
        return (f"{said}.", "Put it right and look again, or waive it with a reason (menu).")
    read = f"read: {one_line(event.entered or '')} {event.unit or ''}"
    return (
        f"{read} – {(event.verdict or '').upper()}{_which_way(item.step, event.value)}.",
        "Measure again and type what you read, or waive it with a reason (menu).",
    )


def _once_more(event: Event, count: int) -> tuple[str, ...]:
    """Say why a reading is taken again: a slip is named with what was typed, a first reading is not shown."""
    if event.verdict == "measure again":
        read = f"read: {one_line(event.entered or '')} {event.unit or ''}"
        said = f"{read} – {(event.reason or 'a slip?').upper()}."
        return (said, "Measure again and type what you read then.")
    if count > 1:
        said = "The readings differ by more than the instrument repeats."
        return (said, "Wipe the part and the gauge, seat it anew and type what you read.")
    said = "The first reading is kept, and not shown."
    return (said, "Take the gauge off, seat it anew and type what you read.")


def _which_way(step: ResolvedStep, number: float) -> str:
    low, high = step.value("low"), step.value("high")
    if low is not None and low.plain is not None and number < low.number:
        return ", too small"
    return ", too large" if high is not None and high.plain is not None and number > high.number else ""


def _set_in_words(event: Event) -> str:
    """Say what a setting was: what stood there, and the number that was typed instead."""
    typed = f"{one_line(event.entered)} {event.unit or ''} was typed. " if event.entered else ""
    return f"Was set: {typed}{one_line(event.shown or event.step or '')}"


def _table(rows: Value, system: System) -> dict[str, Any]:
    """Give rows as text: the names of the columns with their units, then the cells."""
    columns = columns_of(rows, system)
    body = zip(*(column.cells for column in columns), strict=True)
    return {"table_title": title_of(rows), "table": (tuple(one.head for one in columns), *body)}


def _lines(plan: Plan, state: State, item: Item, pending: frozenset[int]) -> Iterator[Line]:
    """Give the lines of the operation round the live one: done before it, next after it."""
    if item.operation is None or item.kind in ("opening", "finished"):
        return
    all_of_it = enumerate(item.operation.items)
    here = (one for one in all_of_it if one[1].step is item.step and one[1].position == item.key.position)
    at = next((index for index, _ in here), -1)
    if at < 0 and item.step is not None:
        yield Line("live", live_text(plan, state, item))
    start = max(0, at - _ROUND_A_STEP // 2)
    window = items_of(item.operation, state, start, start + _ROUND_A_STEP)
    for index, one in enumerate(window, start=start):
        if one.step is not None and one.step.step.after_reading and one.key.cut_pass == 1 and index < at:
            continue  # it was not made: another cut stood in its place
        yield Line(_mark(one, index, at, state, pending), live_text(plan, state, one))


def _mark(
    one: Item, index: int, at: int, state: State, pending: frozenset[int]
) -> Literal["done", "pending", "live", "next", "again"]:
    if index == at:
        return "live"
    entry = state.done.get(one.key)
    if entry is None:
        return "next"
    asked_again = one.step is not None and one.step.owner != "operation"
    if at >= 0 and index > at and asked_again:
        return "again"
    return "pending" if entry in pending else "done"


def _remarks(plan: Plan, item: Item) -> Iterator[str]:
    """Give what the person wrote beside the job, the feature and the operation, where it concerns."""
    operation: ResolvedOperation | None = item.operation
    written = [plan.job.job.remark] if item.kind in ("opening", "briefing") else []
    if operation is not None:
        written += [operation.feature.remark if operation.feature else None, operation.operation.remark]
    yield from (one_line(text) for text in written if text)


def _event_words(event: Event) -> str:
    step = event.step if event.step != event.kind else ""
    parts = [f"op {event.operation}" if event.operation else "", event.kind, step or ""]
    if event.position:
        parts.append(f"hole {event.position}")
    hidden = event.verdict == "once more"  # the second reading is taken without seeing the first
    parts.append("(kept, not shown)" if hidden else event.entered or "")
    return one_line(" ".join(part for part in parts if part))
