"""A reading that is typed: whether it looks like a slip or needs a second one, and what it comes to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from handwheel.calc import CATALOGUE
from handwheel.models.record import Verdict
from handwheel.plan.binding import find, holds
from handwheel.plan.resolve import Plan, ResolvedStep
from handwheel.run.left import before_the_cut, expected_of, next_cut
from handwheel.run.live import Item, units_of
from handwheel.run.state import State
from handwheel.run.verdict import number_verdict
from handwheel.values import SLACK, Entered, Listed, Missing, Value

__all__ = ["Outcome", "is_blind", "judge", "repeatability_of"]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a reading comes to: the verdict, the size it is on, and why where it does not count yet."""

    verdict: Verdict
    counts: float
    reason: str = ""


def judge(plan: Plan, state: State, item: Item, number: float, text: str) -> Outcome:
    """Judge a reading in the unit of its step, with those that were typed before it at the same item."""
    assert item.step is not None  # a reading is a step
    step = item.step
    typed = Value(number, step.step.takes.unit, Entered("typed", text, "measured"))
    slip = _slip(plan, item, state, typed)
    settled: Value | None = typed
    if slip or is_blind(item):
        earlier = (state.events[index].value for index in state.unsettled.get(item.key, ()))
        numbers = (*(one for one in earlier if one is not None), number)
        settled = _settled(plan, step, numbers, text)
    if settled is None:
        return Outcome("measure again" if slip else "once more", number, slip)
    counts = _at_reference(step, settled)
    return Outcome(_verdict(item, state, counts), counts.number)


def is_blind(item: Item) -> bool:
    """Whether a size is read twice without seeing the first reading: towards an aim, but after roughing."""
    if item.step is None or item.step.step.takes.twice is None:
        return False
    takes = item.step.step.takes
    final = takes.aim is None or item.key.cut_pass > 1
    return final and holds((takes.twice or "",), item.step.scope)


def repeatability_of(plan: Plan, step: ResolvedStep) -> Value | None:
    """By how much two readings with the step's instrument may differ: as the shop says, or its U."""
    instrument = step.instrument
    for one in plan.shop.instruments:
        if instrument is None or one.id != instrument.plain:
            continue
        for use in one.uses:
            if use.use == step.step.takes.use and use.repeatability is not None:
                where = f"shop.toml instruments.{one.id}.repeatability"
                return Value(
                    use.repeatability.plain, "mm", Entered(where, use.repeatability.text, "estimate")
                )
    return find(step.step.takes.uncertainty, step.scope)


def _slip(plan: Plan, item: Item, state: State, typed: Value) -> str:
    """Name the slip that a reading looks like, held against what is expected of it; "" for none."""
    expected = expected_of(item, state)
    if expected is None or expected.plain is None or typed.unit != "mm" or expected.number <= 0:
        return ""
    typed_in = Value(units_of(plan, item), "", Listed("job.toml job.units", "the units of the job"))
    inputs = {"reading": typed, "expected": expected, "typed_in": typed_in, **before_the_cut(item, state)}
    found = CATALOGUE["reading_slip"].run(inputs)
    return str(found["slip"].plain)


def _settled(plan: Plan, step: ResolvedStep, numbers: tuple[float, ...], text: str) -> Value | None:
    """Give the size that two readings agree on, or None."""
    unit = step.step.takes.unit
    allowed = repeatability_of(plan, step)
    if allowed is None or allowed.plain is None:
        allowed = Value(_ALIKE, unit, Missing("shop.toml instruments", "the uncertainty of the instrument"))
    readings = Value(numbers, unit, Entered("typed", text, "measured"))
    found = CATALOGUE["settled_reading"].run({"readings": readings, "repeatability": allowed})
    return found["reading"] if found["agree"].plain else None


_ALIKE = 0.02
"""By how much [mm] two readings may differ that no instrument of the shop file stands behind."""


def _at_reference(step: ResolvedStep, size: Value) -> Value:
    """Bring a size to 20 °C, where the temperatures of part and gauge were asked."""
    takes = step.step.takes
    warm, gauge = find(takes.at_temperature, step.scope), find(takes.gauge_temperature, step.scope)
    expansion = find(takes.expansion, step.scope)
    if warm is None or warm.plain is None or expansion is None or expansion.plain is None:
        return size
    inputs = {"size": size, "temperature": warm, "expansion": expansion}
    if gauge is not None and gauge.plain is not None:
        inputs["gauge_temperature"] = gauge
    return CATALOGUE["size_at_reference"].run(inputs)["size_at_reference"]


def _verdict(item: Item, state: State, counts: Value) -> Verdict:
    step = item.step
    assert step is not None and item.operation is not None  # a reading is a step of an operation
    takes = step.step.takes
    low, high = _plain(step.value("low")), _plain(step.value("high"))
    if (takes.low and low is None) or (takes.high and high is None):
        return "not proven"  # a limit that is not on file proves nothing
    acceptance = _plain(step.value("lower_acceptance")), _plain(step.value("upper_acceptance"))
    verdict = number_verdict(counts.number, low, high, *acceptance, takes.removing)
    if (
        verdict == "not proven"
        and takes.aim is not None
        and _metal_is_left(takes.removing, counts, acceptance)
    ):
        more: Mapping[str, Value] = next_cut(item.operation, step, item.key, state, counts)
        if more and int(more["cuts"].number) > 0:
            return "more to come off"
    return verdict


def _metal_is_left(
    removing: str | None, counts: Value, acceptance: tuple[float | None, float | None]
) -> bool:
    """Tell whether a size that is not proven lies on the side where a cut can still mend it."""
    low, high = acceptance
    if removing == "from outside":
        return high is not None and counts.number > high + SLACK
    return removing == "from inside" and low is not None and counts.number < low - SLACK


def _plain(value: Value | None) -> float | None:
    return None if value is None or value.plain is None else value.number
