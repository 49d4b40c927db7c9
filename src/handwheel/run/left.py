"""What is left to come off after a reading, and the cut that takes it off."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from handwheel.calc import CATALOGUE
from handwheel.errors import InputError
from handwheel.models.record import Event
from handwheel.plan.binding import find
from handwheel.plan.resolve import ItemKey, ResolvedOperation, ResolvedStep
from handwheel.run.live import Item
from handwheel.run.state import State
from handwheel.values import Entered, Listed, Value

__all__ = ["aimed_reading_of", "before_the_cut", "expected_of", "left_to_remove", "next_cut"]

_REMOVING = {"from outside": "from a shaft or thickness", "from inside": "from a hole"}


class Pair(NamedTuple):
    """Where the tool stood for a cut, and what it left: both sizes of the part."""

    dial: float
    got: float


def left_to_remove(item: Item, state: State) -> dict[str, Value]:
    """Compute what the last reading left, as `left.…`, for a cut that is made again; nothing on a first pass.

    `amount` and `per_side` say how much; towards an aim there is also the next cut: `advance`, `set_to`
    (as the machine counts it), `expected`, `uncertainty` and `advice`.
    """
    operation, step = item.operation, item.step
    if step is None or operation is None or item.key.cut_pass < 2 or not step.step.again:
        return {}
    planned = next(
        (one for one in operation.items if one.step is step and one.position == item.key.position), None
    )
    if planned is None or planned.governor is None:
        return {}
    name, position = planned.governor
    reading = next(one for one in operation.steps if one.id == name)
    key = ItemKey(operation.number, name, position, item.key.cut_pass - 1)
    index = state.readings.get(key)
    if index is None:
        return {}
    current = _measured(state.events[index], index, reading.step.takes.unit)
    left = _amount(reading, current)
    if left:
        left |= {"advance": left["amount"], "advance_per_side": left["per_side"]}
    if reading.value("aim") is not None and reading.step.takes.removing is not None:
        left |= next_cut(operation, reading, key, state, current)
    return {f"left.{name}": value for name, value in left.items()}


def aimed_reading_of(operation: ResolvedOperation, step: ResolvedStep) -> ResolvedStep | None:
    """Give the reading towards an aim that follows a cut, for which it is kept where the tool stood."""
    after = operation.steps[operation.steps.index(step) + 1 :]
    return next((one for one in after if one.step.takes.aim is not None), None)


def expected_of(item: Item, state: State) -> Value | None:
    """Give what a reading is expected to be: after a cut towards an aim what that was to leave."""
    operation, step = item.operation, item.step
    if step is None or operation is None:
        return None
    if step.step.takes.aim is None:
        return step.value("expect")
    if item.key.cut_pass == 1:
        return find(step.step.takes.dial, step.scope) or step.value("expect")
    cut = next((one for one in _cuts_before(operation, step) if one.step.after_reading), None)
    if cut is None:
        return step.value("expect")
    key = ItemKey(operation.number, cut.id, item.key.position, item.key.cut_pass)
    return left_to_remove(Item("cut", key, operation, cut), state).get("left.expected", step.value("expect"))


def before_the_cut(item: Item, state: State) -> dict[str, Value]:
    """Give what a reading towards an aim is held against: the size before its cut, and how large a cut is."""
    operation, step = item.operation, item.step
    if step is None or operation is None or step.step.takes.aim is None or not step.step.takes.removing:
        return {}
    start, dial = step.value("start"), step.value("dial")
    if start is None or dial is None or start.plain is None or dial.plain is None:
        return {}
    held = {"removing": _of_recipe(operation, _REMOVING[step.step.takes.removing])}
    rough = CATALOGUE["to_come_off"].run({"reading": start, "aim": dial, **held})["amount"]
    if rough.number > 0:
        held["far"] = rough
    index = state.readings.get(item.key._replace(cut_pass=item.key.cut_pass - 1))
    held["before"] = start if index is None else _measured(state.events[index], index, "mm")
    return held


def next_cut(
    operation: ResolvedOperation, reading: ResolvedStep, key: ItemKey, state: State, current: Value
) -> dict[str, Value]:
    """Compute the cut after a reading `current` at `key`, from every pair of set and got before it."""
    takes = reading.step.takes
    aim, start = reading.value("aim"), reading.value("start")
    if aim is None or aim.plain is None or start is None or start.plain is None or takes.removing is None:
        return {}
    pairs, touched = tuple(_pairs(operation, reading, key, state, current)), reading.value("touched")
    while pairs:
        try:
            return _computed(operation, reading, pairs, start, touched, current)
        except InputError as fault:
            if len(pairs) == 1:
                return _begin_again(operation, reading, current, aim, str(fault))
        # Set and got did not fit together, and the tool was touched off again at the size read first.
        where = f"record.toml, the cuts of op {operation.number}"
        start = touched = Value(pairs[0].got, "mm", Entered(where, f"{pairs[0].got:g}", "measured"))
        pairs = pairs[1:]
    return {}


def _computed(
    operation: ResolvedOperation,
    reading: ResolvedStep,
    pairs: tuple[Pair, ...],
    start: Value,
    touched: Value | None,
    current: Value,
) -> dict[str, Value]:
    """Compute the next cut from pairs of set and got that fit together. Raises `InputError` where not."""
    takes, aim = reading.step.takes, reading.value("aim")
    assert aim is not None and takes.removing is not None  # the caller has looked
    where = f"record.toml, the cuts of op {operation.number}"
    text = ", ".join(f"{pair.dial:g} gave {pair.got:g}" for pair in pairs)
    inputs: dict[str, Value] = {
        "aim": aim,
        "current": current,
        "dial": Value(pairs[-1].dial, "mm", Entered(where, text, "measured")),
        "start": start,
        "readings": Value(pairs, {"dial": "mm", "got": "mm"}, Entered(where, text, "measured")),
        "mode": _of_recipe(operation, takes.on),
        "removing": _of_recipe(operation, _REMOVING[takes.removing]),
    }
    given = (
        ("lower_limit", "low"),
        ("upper_limit", "high"),
        ("gauge_uncertainty", "uncertainty"),
        ("min_depth", "thinnest"),
    )
    for name, limit in given:
        value = reading.value(limit)  # type: ignore[arg-type]  # the names are those of Limit
        if value is not None and value.plain is not None:
            inputs[name] = value
    results = CATALOGUE["next_cut"].run(inputs)
    return {**results, **_where_to(operation, reading, results["target"], touched)}


def _begin_again(
    operation: ResolvedOperation, reading: ResolvedStep, current: Value, aim: Value, fault: str
) -> dict[str, Value]:
    """Where set and got do not fit together the tool is touched off again, and the cuts are planned anew."""
    said = _of_recipe(
        operation, "dial and size do not fit together: touch the part, set the size just read there; then"
    )
    deepest, light = operation.scope.get("start.depth_of_cut"), operation.scope.get("constants.light")
    thinnest = reading.value("thinnest")
    to = aim
    if deepest is not None and light is not None and thinnest is not None:
        inputs = {"start": current, "target": aim, "max_depth": deepest, "min_depth": thinnest}
        inputs |= {"finish_allowance": light, "mode": _of_recipe(operation, reading.step.takes.on)}
        to = CATALOGUE["pass_plan"].run(inputs)["next_size"]
    return {
        "kind": said,
        "advice": Value(fault, "", said.origin),
        "expected": to,
        "cuts": Value(1, "", said.origin),
        **_where_to(operation, reading, to, current),
    }


def _where_to(
    operation: ResolvedOperation, reading: ResolvedStep, size: Value, touched: Value | None
) -> dict[str, Value]:
    """Say where the slide is to stand for a size, and what its dial then shows where it has no readout."""
    counts_on = _counts_on(operation, reading)
    found = CATALOGUE["slide_setting"].run({"size": size, "counts_on": counts_on})
    where = {"set_to": found["setting"]}
    turn = operation.scope.get("machine.dial_turn")
    by_dial = operation.scope.get("machine.by_dial")
    if reading.step.takes.on == "diameter" and by_dial is not None and by_dial.plain and turn and touched:
        inputs = {"size": size, "touched": touched, "counts_on": counts_on, "dial_turn": turn}
        where |= CATALOGUE["dial_setting"].run(inputs)
    return where


def _amount(reading: ResolvedStep, current: Value) -> dict[str, Value]:
    aim = reading.value("aim") or reading.value("expect")
    removing = reading.step.takes.removing
    if aim is None or aim.plain is None or removing is None:
        return {}
    return CATALOGUE["to_come_off"].run(
        {
            "reading": current,
            "aim": aim,
            "removing": Value(_REMOVING[removing], "", Listed(f"step {reading.id}", "the recipe")),
        }
    )


def _pairs(
    operation: ResolvedOperation, reading: ResolvedStep, key: ItemKey, state: State, current: Value
) -> Iterator[Pair]:
    """Give where the tool stood and what was read, for every pass up to this reading."""
    for cut_pass in range(1, key.cut_pass + 1):
        index = state.readings.get(key._replace(cut_pass=cut_pass))
        dial = _dial(operation, reading, key._replace(cut_pass=cut_pass), state)
        got = current.number if cut_pass == key.cut_pass else None
        if got is None and index is not None:
            event = state.events[index]
            got = event.value if event.counts is None else event.counts
        if dial is not None and got is not None:
            yield Pair(dial, got)


def _dial(operation: ResolvedOperation, reading: ResolvedStep, key: ItemKey, state: State) -> float | None:
    """Give the size at which the tool stood for a pass: as it was kept with the cut, or as planned."""
    for cut in _cuts_before(operation, reading):
        if cut.step.after_reading != (key.cut_pass > 1):
            continue
        index = state.done.get(key._replace(step=cut.id))
        if index is not None and state.events[index].value is not None:
            event = state.events[index]
            setting = Value(event.value, "mm", Entered(f"record.toml event {index + 1}", "", "measured"))
            inputs = {"setting": setting, "counts_on": _counts_on(operation, reading)}
            return CATALOGUE["slide_size"].run(inputs)["size"].number
    planned = reading.value("dial")
    return planned.number if key.cut_pass == 1 and planned is not None and planned.plain is not None else None


def _cuts_before(operation: ResolvedOperation, reading: ResolvedStep) -> list[ResolvedStep]:
    """Give the cuts that a reading is about, the nearest first: those since the reading before it."""
    cuts: list[ResolvedStep] = []
    for step in reversed(operation.steps[: operation.steps.index(reading)]):
        if step.step.kind == "reading" and step.step.takes.aim is not None:
            break
        if step.step.kind == "cut":
            cuts.append(step)
    return cuts


def _counts_on(operation: ResolvedOperation, reading: ResolvedStep) -> Value:
    """Say how the machine counts a size: a cross slide on diameter or radius, everything else as it is."""
    counts = operation.scope.get("machine.counts_on")
    lathe = operation.scope.get("machine.is_lathe")
    if reading.step.takes.on == "diameter" and lathe is not None and lathe.plain and counts is not None:
        return counts
    return _of_recipe(operation, "diameter")


def _of_recipe(operation: ResolvedOperation, word: str) -> Value:
    return Value(word, "", Listed(f"recipe {operation.recipe.id}", "the recipe"))


def _measured(event: Event, index: int, unit: str) -> Value:
    number = event.value if event.counts is None else event.counts
    return Value(number, unit, Entered(f"record.toml event {index + 1}", event.entered or "", "measured"))
