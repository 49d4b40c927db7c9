"""What an answer does to the live item: an event, or a refusal that says why and what would do."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from handwheel.models.record import Event, Verdict
from handwheel.models.sizes import BARE_LENGTH, Units
from handwheel.plan.binding import find
from handwheel.plan.resolve import Plan, second_opinion
from handwheel.run.left import aimed_reading_of, expected_of, left_to_remove
from handwheel.run.live import Item, live, units_of
from handwheel.run.reading import judge
from handwheel.run.state import LONG_GAP, State, gap_between
from handwheel.units import UnitError, read
from handwheel.values import SLACK, Value

__all__ = ["Answer", "Refusal", "act"]

FAR_OFF = 2.0
"""A typed number this many times off the expected one is a slip, not a size (HF-17)."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What a person did: pressed Enter, typed something, or chose a command; `shown` is what stood there."""

    kind: Literal["enter", "typed", "hold", "undo", "waive", "remark"]
    text: str = ""
    shown: str = ""


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why an answer was not taken, and what would be; `{name}` fields of `why` are shown from `values`."""

    why: str
    values: Mapping[str, Value | str] = field(default_factory=dict)


def act(plan: Plan, state: State, answer: Answer, now: str) -> Event | Refusal:
    """Turn an answer to the live item into an event at the time `now` (RFC 3339), or refuse it."""
    item = live(plan, state)
    match answer.kind:
        case "hold":
            return _hold(item, state, now)
        case "undo":
            return _undo(state, now)
        case "waive":
            return _waive(plan, state, item, answer.text, now)
        case "remark":
            return _remark(item, answer.text, now)
    gap = _gap(state, item, now)
    if gap:
        return Event(kind="held", at=now, **_place(item), reason=gap)
    outcome = _answer(plan, state, item, answer, now)
    return outcome if isinstance(outcome, Refusal) else _with_what_it_rests_on(outcome, item, state)


def _answer(plan: Plan, state: State, item: Item, answer: Answer, now: str) -> Event | Refusal:
    text = answer.text.strip() if answer.kind == "typed" else ""
    match item.kind:
        case "opening" | "briefing":
            kind: Any = "opened" if not state.seated else "resumed"
            return Refusal("Enter goes on from here") if text else Event(kind=kind, at=now)
        case "finished":
            return Refusal("every operation is signed off; there is nothing left to answer")
        case "stop":
            assert item.finding is not None  # a stop is a finding
            if text and item.finding.confirm is not None:
                return _confirm(plan, item, text, now)
            return Refusal(f"{item.finding.what}. {item.finding.cure}", item.finding.values)
        case "sign-off":
            return _sign(plan, item, text, now)
        case "reading":
            return _reading(plan, state, item, text, now)
        case "setting":
            return _setting(plan, item, text, answer.shown, now)
        case "cut":
            return _cut(plan, state, item, text, answer.shown, now)
        case _:
            return _item(plan, state, item, text, now)


def _acknowledged(
    item: Item, kind: Literal["ticked", "set", "cut"], text: str, shown: str, now: str
) -> Event | Refusal:
    if text:
        return Refusal("Enter says it is done; there is nothing to type here")
    return Event(kind=kind, at=now, **_place(item), shown=shown or None)


def _item(plan: Plan, state: State, item: Item, text: str, now: str) -> Event | Refusal:
    assert item.step is not None  # every list item and hazard has its step
    takes = item.step.step.takes
    if takes.kind == "enter":
        return _acknowledged(item, "ticked", text, "", now)
    if takes.kind in ("choice", "attribute"):
        chosen = _choice(takes.choices, text)
        if isinstance(chosen, Refusal):
            return chosen
        if takes.wanted is not None and chosen != takes.wanted:
            why = "you reported: {chosen}. It has to be: {wanted}. Put it right, then answer"
            return Refusal(why, {"chosen": chosen, "wanted": takes.wanted})
        return Event(kind="ticked", at=now, **_place(item), entered=chosen)
    number = _number(plan, state, item, text)
    if isinstance(number, Refusal):
        return number
    outside = _outside(item, text, number)
    if outside is not None:
        return outside
    return Event(kind="ticked", at=now, **_place(item), entered=text, value=number, unit=takes.unit)


def _setting(plan: Plan, item: Item, text: str, shown: str, now: str) -> Event | Refusal:
    """Take what was set: Enter for the number shown, or another typed one below the limit."""
    assert item.step is not None  # a setting is a step
    big, limit = item.step.big, item.step.limit
    if not text:
        return _acknowledged(item, "set", text, shown, now)
    if (
        big is None
        or big.plain is None
        or limit is None
        or limit.plain is None
        or not isinstance(big.unit, str)
    ):
        return Refusal("Enter says that it is set as shown; no other number is taken here")
    typed = _typed(text, big.unit, units_of(plan, item))
    if isinstance(typed, Refusal):
        return typed
    if typed <= 0:
        return Refusal("{typed} moves nothing; type what it is set to", {"typed": text})
    if typed > limit.number + SLACK:
        times = " It is ten times what is shown, {big}." if typed > 9.5 * big.number else ""
        why = "{typed} is above the limit, {limit}." + times + " Set it again and type what it is set to"
        return Refusal(why, {"typed": text, "limit": limit, "big": big})
    return Event(kind="set", at=now, **_place(item), entered=text, value=typed, unit=big.unit)


def _cut(plan: Plan, state: State, item: Item, text: str, shown: str, now: str) -> Event | Refusal:
    """Take a cut: Enter for the tool where it was to stand, or typed where the machine says that it stood.

    What it stood at is kept where the next cut is computed from it.
    """
    assert item.step is not None and item.operation is not None  # a cut is a step of an operation
    stands = find(item.step.step.stands, item.step.scope) or item.step.big
    planned = left_to_remove(item, state).get("left.set_to", stands)
    kept = aimed_reading_of(item.operation, item.step) is not None and planned is not None
    if not kept or planned is None or planned.plain is None or planned.unit != "mm":
        return _acknowledged(item, "cut", text, shown, now)
    stood = planned.number
    if text:
        typed = _typed(text, "mm", units_of(plan, item))
        if isinstance(typed, Refusal):
            return typed
        slip = _slip(typed, planned.number) if planned.number else ""
        if slip:
            why = "{typed} against {planned} planned: {slip}. Look at what it counts and type that"
            return Refusal(why, {"typed": text, "planned": planned, "slip": slip})
        stood = typed
    event = Event(kind="cut", at=now, **_place(item), shown=shown or None, value=stood, unit="mm")
    return event.model_copy(update={"entered": text}) if text else event


def _reading(plan: Plan, state: State, item: Item, text: str, now: str) -> Event | Refusal:
    assert item.step is not None  # a reading is a step
    takes = item.step.step.takes
    if takes.kind == "attribute":
        chosen = _choice(takes.choices, text)
        if isinstance(chosen, Refusal):
            return chosen
        good: Verdict = "as it should be" if chosen == (takes.wanted or takes.choices[0]) else "not so"
        return Event(kind="read", at=now, **_place(item), entered=chosen, verdict=good)
    number = _number(plan, state, item, text)
    if isinstance(number, Refusal):
        return number
    instrument = item.step.instrument
    beyond = _beyond_the_gauge(plan, item, number, text)
    if beyond is not None:
        return beyond
    outcome = judge(plan, state, item, number, text)
    mate = plan.job.mate_of(item.operation.operation) if item.operation else None
    measures_mate = takes.names is not None and takes.names.startswith("mate.") and mate is not None
    return Event(
        kind="read",
        at=now,
        **_place(item),
        entered=text,
        value=number,
        unit=takes.unit,
        counts=outcome.counts if abs(outcome.counts - number) > SLACK else None,
        verdict=outcome.verdict,
        instrument=str(instrument.plain) if instrument and instrument.plain else None,
        use=takes.use,
        where=f"mates.{mate.id}" if measures_mate and mate is not None else None,
        reason=outcome.reason or None,
    )


def _beyond_the_gauge(plan: Plan, item: Item, number: float, text: str) -> Refusal | None:
    """Refuse a size that the instrument of the step cannot have shown."""
    assert item.step is not None  # a reading is a step
    gauge, use = item.step.instrument, item.step.step.takes.use
    for instrument in plan.shop.instruments:
        for one in instrument.uses if gauge is not None and instrument.id == gauge.plain else ():
            if one.use == use and not one.smallest.plain - SLACK <= number <= one.largest.plain + SLACK:
                why = "{typed} is no size that {gauge} shows: it goes from {low} to {high}. Read it again"
                values: dict[str, Value | str] = {"typed": text, "gauge": instrument.id}
                return Refusal(why, values | {"low": one.smallest.text, "high": one.largest.text})
    return None


def _sign(plan: Plan, item: Item, text: str, now: str) -> Event | Refusal:
    assert item.operation is not None  # a sign-off belongs to an operation
    disagreement = next(second_opinion(item.operation), "")
    if disagreement:
        return Refusal("not signed: {disagreement}", {"disagreement": disagreement})
    if not text:
        return Refusal("sign with the number before your name, then Enter; Enter alone signs nothing")
    by = _choice(plan.shop.people, text, own_words=True)
    return by if isinstance(by, Refusal) else Event(kind="signed", at=now, **_place(item), by=by)


def _hold(item: Item, state: State, now: str) -> Event | Refusal:
    if state.held or not state.seated:
        return Refusal("the work is held already; Enter goes on")
    return Event(kind="held", at=now, **_place(item))


def _undo(state: State, now: str) -> Event | Refusal:
    index = state.last_to_undo()
    if index is None:
        return Refusal("there is no entry to take back")
    taken_back = state.events[index]
    return Event(kind="undone", at=now, operation=taken_back.operation, step=taken_back.step, undoes=index)


def _waive(plan: Plan, state: State, item: Item, text: str, now: str) -> Event | Refusal:
    """Go past a stop, or past a reading that is not good, with the reason kept."""
    reason = _choice(plan.shop.reasons, text.strip(), own_words=True)
    if item.kind == "stop" and item.finding is not None:
        if item.finding.final:
            return Refusal(
                "this cannot be waived: without it there is nothing to work by. {cure}",
                {"cure": item.finding.cure},
            )
        if isinstance(reason, Refusal):
            return reason
        return Event(
            kind="waived",
            at=now,
            operation=item.key.operation,
            code=item.finding.code,
            where=item.finding.place,
            shown=item.finding.numbers or None,
            reason=reason,
        )
    index = state.readings.get(item.key)
    if item.kind != "reading" or index is None:
        return Refusal("there is no stop and no bad reading here; nothing to waive")
    if isinstance(reason, Refusal):
        return reason
    verdict = state.events[index].verdict
    return Event(kind="waived", at=now, **_place(item), code="reading", verdict=verdict, reason=reason)


def _confirm(plan: Plan, item: Item, text: str, now: str) -> Event | Refusal:
    """Confirm a carried number by typing it again, as it stands on the drawing."""
    if item.finding is None or item.finding.confirm is None:
        return Refusal("there is no carried number to confirm here")
    where, kept = item.finding.confirm
    if not _the_same(plan, item.finding.values.get("carried"), text.strip(), kept.strip()):
        why = "{typed} is not {kept}; look at the drawing, and change job.toml if it is right"
        return Refusal(why, {"typed": text, "kept": kept})
    return Event(kind="confirmed", at=now, operation=item.key.operation, where=where, shown=kept)


def _the_same(plan: Plan, carried: Value | str | None, text: str, kept: str) -> bool:
    """Tell whether a text is the carried one: a size by its number, since a keypad has no letters."""
    if text == kept:
        return True
    if not isinstance(carried, Value) or not isinstance(carried.unit, str):
        return False
    if isinstance(carried.plain, (str, bool)) or not isinstance(carried.plain, (int, float)):
        return False
    typed = _typed(text, carried.unit, plan.job.job.units)
    return not isinstance(typed, Refusal) and abs(typed - carried.plain) <= SLACK


def _remark(item: Item, text: str, now: str) -> Event | Refusal:
    if not text.strip():
        return Refusal("a remark needs words")
    return Event(kind="remarked", at=now, **_place(item), reason=text.strip())


# --- typed answers -----------------------------------------------------------------------------------


def _choice(choices: tuple[str, ...], text: str, own_words: bool = False) -> str | Refusal:
    """Take a choice by its number; words of one's own where those are allowed."""
    if text.isdecimal() and len(text) < 4 and text == str(int(text)) and 1 <= int(text) <= len(choices):
        return choices[int(text) - 1]
    if own_words and not text[:1].isdigit() and any(map(str.isalpha, text)):
        return text
    if not choices:
        return Refusal("there is nothing to choose from; type it in words")
    listed = "  ".join(f"{number} {choice}" for number, choice in enumerate(choices, start=1))
    return Refusal("type the number of one of these, then Enter: {listed}", {"listed": listed})


def _number(plan: Plan, state: State, item: Item, text: str) -> float | Refusal:
    """Read a typed number and hold it against what is expected: a slip is refused, not asked about."""
    assert item.step is not None  # only steps take numbers
    takes = item.step.step.takes
    if not text:
        return Refusal("type the number{unit}, then Enter", {"unit": takes.unit and f" in {takes.unit}"})
    number = _typed(text, takes.unit, units_of(plan, item))
    if isinstance(number, Refusal):
        return number
    expect = expected_of(item, state) or item.step.value("expect")
    slip = _slip(number, expect.number) if expect is not None and expect.plain else ""
    if expect is not None and slip:
        why = "{typed} against {expected} expected: {slip}. Measure again and type what you read"
        return Refusal(why, {"typed": text, "expected": expect, "slip": slip})
    return number


def _typed(text: str, unit: str, units: Units) -> float | Refusal:
    """Read a typed number; a bare length is in the units that the screen shows for the item."""
    bare = BARE_LENGTH[units] if unit == "mm" else unit
    try:
        return read(text, unit, bare)
    except UnitError as fault:
        return Refusal("{fault}", {"fault": str(fault)})


def _slip(number: float, expect: float) -> str:
    """Name a slip of size: ten times, an inch for a millimetre, twice, and what is far off anyway."""
    if number / expect < 0:
        return "the other sign; look which way the axis counts"
    ratio = number / expect
    known = ((10.0, "ten times"), (25.4, "25.4 times, an inch for a millimetre"), (2.0, "twice"))
    for factor, name in known:
        if abs(ratio / factor - 1) < 0.03:
            return f"{name} too large"
        if abs(ratio * factor - 1) < 0.03:
            return f"{name} too small"
    return f"more than {FAR_OFF:g} times off" if not 1 / FAR_OFF < ratio < FAR_OFF else ""


def _outside(item: Item, text: str, number: float) -> Refusal | None:
    assert item.step is not None  # only steps have limits
    low, high = item.step.value("low"), item.step.value("high")
    too_low = low is not None and low.plain is not None and number < low.number - SLACK
    too_high = high is not None and high.plain is not None and number > high.number + SLACK
    if too_low and low is not None:
        return Refusal("you reported {typed}; it has to be at least {low}", {"typed": text, "low": low})
    if too_high and high is not None:
        return Refusal("you reported {typed}; it has to be at most {high}", {"typed": text, "high": high})
    return None


# --- where and when ----------------------------------------------------------------------------------


def _place(item: Item) -> dict[str, Any]:
    """Give the fields of an event that say where it happened; the first place and pass go unsaid."""
    key = item.key
    place: dict[str, Any] = {"operation": key.operation or None, "step": key.step or None}
    if item.step is not None and item.step.places > 1:
        place["position"] = key.position
    if key.cut_pass > 1:
        place["cut_pass"] = key.cut_pass
    return place


def _with_what_it_rests_on(event: Event, item: Item, state: State) -> Event:
    """Let the first event of an operation keep what its values rest on, and the recipe."""
    operation = item.operation
    if operation is None or not event.operation or operation.number in state.started:
        return event
    return event.model_copy(
        update={
            "recipe": operation.recipe.id,
            "version": operation.recipe.version,
            "used": operation.used,
        }
    )


def _gap(state: State, item: Item, now: str) -> str:
    if not state.seated or state.held or not state.events or item.kind in ("cut", "reading", "finished"):
        return ""
    gap = gap_between(state.events[-1].at, now)
    return f"no entry for {int(gap.total_seconds() // 60)} min" if gap > LONG_GAP else ""
