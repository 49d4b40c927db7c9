"""Numbers of the shop that contradict what stands beside them: titles, steps, uses."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

from handwheel.errors import InputError
from handwheel.models.shop import Instrument, Machine, Tool, Workholding
from handwheel.models.sizes import Size
from handwheel.plan.finding import Finding, Severity
from handwheel.plan.findings.part import run
from handwheel.plan.findings.rules import rule
from handwheel.plan.resolve import Plan, ResolvedOperation
from handwheel.units import read
from handwheel.values import SLACK, Value

_Thing = Machine | Tool | Workholding | Instrument


def _used(plan: Plan) -> Iterator[tuple[str, _Thing, ResolvedOperation]]:
    """Give what the job takes from the shop, with its list and the first operation that takes it."""
    seen: set[str] = set()
    for operation in plan.operations:
        setup = plan.job.setup(operation.operation.setup)
        named: tuple[tuple[str, _Thing | None], ...] = (
            ("machines", plan.shop.machine(setup.machine)),
            ("workholdings", plan.shop.workholding(setup.workholding)),
            ("tools", plan.shop.tool(operation.operation.tool)),
        )
        gauges = {str(step.instrument.plain) for step in operation.steps if step.instrument is not None}
        gauges |= {
            str(value.plain)
            for name, value in operation.scope.items()
            if name.endswith(".instrument") and value.plain is not None
        }
        read_with = tuple(("instruments", one) for one in plan.shop.instruments if one.id in gauges)
        for group, thing in (*named, *read_with):
            if thing is not None and f"{group} {thing.id}" not in seen:
                seen.add(f"{group} {thing.id}")
                yield group, thing, operation


def _said(
    operation: ResolvedOperation,
    keys: tuple[str, ...],
    code: str,
    what: str,
    why: str,
    cure: str,
    values: dict[str, Value | str],
    severity: Severity = "doubt",
) -> Finding:
    feature = operation.feature.id if operation.feature is not None else None
    return Finding(code, severity, what, why, cure, "shop.toml", keys, operation.number, feature, values)


@rule
def titles_agree_with_sizes(plan: Plan) -> Iterator[Finding]:
    """A size in the title of a tool, a holding, an instrument is not a slip away from the size on file."""
    for group, thing, operation in _used(plan):
        named = [one for one in _lengths_in(thing.title) if one >= _GRADUATION]
        sizes = list(_sizes_of(thing))
        open_ = [one for one in named if all(abs(one - size.plain) > SLACK for _, size in sizes)]
        for title in open_:
            for key, size in sizes:
                if any(abs(size.plain - other) <= SLACK for other in named) or size.plain <= 0:
                    continue
                slip = _slip(size.plain, title)
                if not slip:
                    continue
                yield _said(
                    operation,
                    (group, thing.id, *key),
                    "size-unlike-its-title",
                    "{title} has {size} on file, which is {slip} beside its title",
                    "one of the two is mistyped, and all that rests on the size is reckoned with it",
                    "measure it, and correct the one that is wrong",
                    {"title": thing.title, "size": size.text, "slip": slip},
                )


def _slip(size: float, other: float) -> str:
    found = run("reading_slip", reading=size, expected=other)
    slip = str(found["slip"].plain) if found is not None else ""
    return slip.rstrip(",") if any(word in slip for word in _SLIPS) else ""


_SLIPS = ("ten times", "25.4", "swapped")


_RANGE = re.compile(r"(\d+(?:\.\d+)?)\s+to\s+(\d+(?:\.\d+)?)\s*mm")
_LENGTH = re.compile(r"(\d+(?:\.\d+)?)\s*mm")


def _lengths_in(title: str) -> Iterator[float]:
    """Give the lengths [mm] that a title names."""
    texts = [text for found in _RANGE.findall(title) for text in found] + _LENGTH.findall(title)
    for text in dict.fromkeys(texts):
        try:
            yield read(f"{text} mm", "mm")
        except InputError:
            continue


def _sizes_of(thing: _Thing) -> Iterator[tuple[tuple[str, ...], Size]]:
    """Give every length that a thing has, with its key."""
    if isinstance(thing, Instrument):
        for use in thing.uses:
            yield ("uses",), use.smallest
            yield ("uses",), use.largest
        return
    for key in type(thing).model_fields:
        size = getattr(thing, key)
        if isinstance(size, Size) and size.unit == "mm":
            yield (key,), size


@rule
def speeds_are_steps_of_a_gearbox(plan: Plan) -> Iterator[Finding]:
    """The speeds of a machine rise from step to step, none far from its neighbours; its base speed is one."""
    for group, machine, operation in _used(plan):
        if not isinstance(machine, Machine) or len(machine.speeds) < 3:
            continue
        steps = machine.speeds if machine.speeds[0].plain < machine.speeds[-1].plain else machine.speeds[::-1]
        for low, high in pairwise(steps):
            if low.plain * _CLOSE <= high.plain <= low.plain * _FAR:
                continue
            yield _said(
                operation,
                (group, machine.id, "speeds"),
                "speeds-out-of-step",
                "{machine}: after {low} comes {high}",
                "one of the two is mistyped: the speed that is set would be another than the one reckoned",
                "read the speeds off the machine again",
                {"machine": machine.title, "low": low.text, "high": high.text},
            )
        base = machine.base_speed
        if base is not None and all(abs(base.plain - one.plain) > 1 for one in machine.speeds):
            yield _said(
                operation,
                (group, machine.id, "base_speed"),
                "base-speed-not-a-step",
                "{machine}: its base speed is {base}, and that is none of its steps",
                "power and torque are reckoned from it",
                "take the lowest step at which it has its full power",
                {"machine": machine.title, "base": base.text},
            )


_CLOSE, _FAR = 1.12, 2.2
"""Steps of a gearbox or of belts are from 1.12 (R20 of ISO 3) to twice apart: common practice, no source."""


@rule
def backlash_is_backlash(plan: Plan) -> Iterator[Finding]:
    """The play of a screw is some tenths of a millimetre."""
    for group, machine, operation in _used(plan):
        if isinstance(machine, Machine) and machine.backlash is not None and machine.backlash.plain > _PLAY:
            yield _said(
                operation,
                (group, machine.id, "backlash"),
                "backlash-very-large",
                "{machine}: its screws have {play} of play",
                "a machine so loose cannot be set by its dials; a digit too many looks like this",
                "measure it: wind in, set the dial to zero, wind back until the slide moves",
                {"machine": machine.title, "play": machine.backlash.text},
            )


_PLAY = 0.6
"""More play than this [mm] is doubted: common practice, no source."""


@rule
def instruments_are_as_fine_as_they_can_be(plan: Plan) -> Iterator[Finding]:
    """No instrument is finer than it reads, or repeats worse than it measures."""
    for group, gauge, operation in _used(plan):
        if not isinstance(gauge, Instrument):
            continue
        graduation = min((one for one in _lengths_in(gauge.title) if one < _GRADUATION), default=_FINEST)
        for use in gauge.uses:
            told: dict[str, Value | str] = {
                "gauge": gauge.title, "use": use.use, "uncertainty": use.uncertainty.text,
            }  # fmt: skip
            if use.uncertainty.plain < graduation - SLACK:
                yield _said(
                    operation,
                    (group, gauge.id, "uses"),
                    "instrument-too-fine",
                    "{gauge} is said to be out by no more than {uncertainty} ({use})",
                    "no such instrument is that good in a hand: sizes would be called proven that are not",
                    "take the uncertainty of its certificate, or of ten readings of one piece",
                    told,
                )
            again = use.repeatability
            if (
                again is not None
                and not use.uncertainty.plain / _APART <= again.plain <= use.uncertainty.plain
            ):
                yield _said(
                    operation,
                    (group, gauge.id, "uses"),
                    "repeatability-unlike-uncertainty",
                    "{gauge}: two readings may differ by {again}, and it is out by {uncertainty} at the most",
                    "what two readings differ by is part of the uncertainty, and most of it",
                    "read one piece ten times, and write down the range",
                    {**told, "again": again.text},
                )


_GRADUATION = 0.1
"""A length in a title below this [mm] is what the instrument reads to."""

_FINEST = 0.001
"""No instrument of the bench is better than this [mm]: common practice, no source."""

_APART = 8.0
"""A repeatability that many times finer than the uncertainty is doubted: common practice, no source."""


@rule
def jaws_are_as_high_as_they_hold(plan: Plan) -> Iterator[Finding]:
    """A vice holds no more of the piece than its jaws are high, and enough to hold it."""
    for setup in plan.job.setups:
        holding, grip = plan.shop.workholding(setup.workholding), setup.grip_depth
        first = next((one for one in plan.operations if one.operation.setup == setup.id), None)
        if holding is None or holding.kind != "vice" or grip is None or first is None:
            continue
        over = holding.jaw_height is not None and grip.plain > holding.jaw_height.plain + SLACK
        if not over and grip.plain >= _LEAST_GRIP:
            continue
        yield Finding(
            "grip-deeper-than-jaws" if over else "grip-very-short",
            "stop" if over else "doubt",
            "the vice is to hold {grip} of the piece; its jaws are {height} high",
            "the piece stands on the floor of the vice, not on its parallels"
            if over
            else "it lifts out in the cut",
            "look at how much is held, and at the height of the jaws",
            keys=("setups", setup.id, "grip_depth"),
            operation=first.number,
            values={
                "grip": grip.text,
                "height": holding.jaw_height.text if holding.jaw_height else "not on file",
            },
        )


_LEAST_GRIP = 2.0
"""A grip of less than this [mm] in a vice is doubted: common practice, no source."""
