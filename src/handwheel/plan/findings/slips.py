"""Numbers of the shop that contradict what stands beside them: titles, steps, uses."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import combinations, pairwise

from handwheel.errors import InputError
from handwheel.models.shop import Instrument, Machine, Tool, Workholding
from handwheel.models.sizes import Size
from handwheel.plan.finding import Finding, Severity
from handwheel.plan.findings.part import TYPING_SLIPS, as_value, constant, run
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
        for sizes in _sizes_of(thing):
            for key, size, slip in _slips_of_title(thing.title, sizes):
                yield _said(
                    operation,
                    (group, thing.id, key),
                    "size-unlike-its-title",
                    "{title} has {size} on file, which is {slip} beside its title",
                    "one of the two is mistyped, and all that rests on the size is reckoned with it",
                    "measure it, and correct the one that is wrong",
                    {"title": thing.title, "size": size.text, "slip": slip},
                )


def _slips_of_title(title: str, sizes: list[tuple[str, Size]]) -> Iterator[tuple[str, Size, str]]:
    """Give the sizes that stand for none in the title, and are a slip of one that stands for no size."""
    named = [one for one in _lengths_in(title) if one >= _GRADUATION]
    free = [one for one in named if all(abs(one - size.plain) > SLACK for _, size in sizes)]
    for key, size in sizes:
        if size.plain > 0 and all(abs(size.plain - one) > SLACK for one in named):
            slip = next((found for one in free if (found := _slip(size.plain, one))), "")
            if slip:
                yield key, size, slip


def _slip(size: float, other: float) -> str:
    typed, beside = (constant(one, "mm", "a size beside another", "as typed") for one in (size, other))
    found = run("reading_slip", reading=typed, expected=beside)
    slip = str(found["slip"].plain) if found is not None else ""
    return slip.rstrip(",") if any(word in slip for word in TYPING_SLIPS) else ""


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


def _sizes_of(thing: _Thing) -> Iterator[list[tuple[str, Size]]]:
    """Give every length that a thing has, with its key; an instrument has those of each use."""
    if isinstance(thing, Instrument):
        for use in thing.uses:
            yield [("uses", use.smallest), ("uses", use.largest)]
        return
    sizes = [(key, getattr(thing, key)) for key in type(thing).model_fields]
    yield [(key, size) for key, size in sizes if isinstance(size, Size) and size.unit == "mm"]


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
def uses_of_an_instrument_agree(plan: Plan) -> Iterator[Finding]:
    """The uses of one instrument are not a digit apart, and none is coarser than a rule."""
    for group, gauge, operation in _used(plan):
        if not isinstance(gauge, Instrument):
            continue
        finest = min(use.uncertainty.plain for use in gauge.uses)
        for use in gauge.uses:
            if use.uncertainty.plain <= min(_COARSE, _SPREAD * finest) + SLACK:
                continue
            yield _said(
                operation,
                (group, gauge.id, "uses"),
                "instrument-very-coarse",
                "{gauge} is out by up to {uncertainty} ({use})",
                "coarser than a steel rule, or than its other uses by far: a digit too many looks like this",
                "take the uncertainty of its certificate, or of ten readings of one piece",
                {"gauge": gauge.title, "use": use.use, "uncertainty": use.uncertainty.text},
            )
        for one, other in combinations((use.smallest for use in gauge.uses if use.smallest.plain > 0), 2):
            slip = _slip(one.plain, other.plain)
            if slip:
                yield _said(
                    operation,
                    (group, gauge.id, "uses"),
                    "uses-look-like-a-slip",
                    "{gauge}: one use begins at {one}, another at {other}, which looks mistyped",
                    "it would be taken for sizes that it does not hold",
                    "look at the ranges of its uses again",
                    {"gauge": gauge.title, "one": one.text, "other": other.text},
                )


_COARSE = 0.15
"""An instrument out by more than this [mm] is doubted: common practice, no source."""

_SPREAD = 6.0
"""Uses of one instrument further apart than so many times are doubted: common practice, no source."""


@rule
def machines_and_chucks_are_of_a_small_shop(plan: Plan) -> Iterator[Finding]:
    """Power, chuck speed, jaws and opening are what such machines have."""
    for group, thing, operation in _used(plan):
        told: dict[str, Value | str] = {"title": thing.title}
        power = thing.rated_power if isinstance(thing, Machine) else None
        if power is not None and power.plain > _POWER:
            yield _said(
                operation,
                (group, thing.id, "rated_power"),
                "power-very-large",
                "{title} has {power} on file",
                "cuts are held against that power: a digit too many looks like this",
                "read it off the plate of the motor",
                {**told, "power": power.text},
            )
        line = thing.graduation if isinstance(thing, Machine) else None
        if line is not None and line.plain < _LINE - SLACK:
            yield _said(
                operation,
                (group, thing.id, "graduation"),
                "dial-very-fine",
                "{title}: a line of its dial is {line}",
                "settings are counted in such lines: a digit too few looks like this",
                "read it off the dial",
                {**told, "line": line.text},
            )
        if isinstance(thing, Workholding):
            yield from _odd_holding(group, thing, operation)


def _odd_holding(group: str, holding: Workholding, operation: ResolvedOperation) -> Iterator[Finding]:
    opening, speed = holding.opening, holding.highest_speed
    if opening is None:
        return
    by_hand = holding.kind == "chuck" and speed is not None and holding.key_torque is not None
    rim = (
        run("cutting_speed", diameter=_length(opening), spindle_speed=_length(speed))
        if by_hand and speed
        else None
    )
    if rim is not None and speed is not None and rim["cutting_speed"].number > _RIM:
        yield _said(
            operation,
            (group, holding.id, "highest_speed"),
            "chuck-speed-very-high",
            "{title}: its highest speed is written down as {speed}",
            "a chuck that is keyed by hand and so large is hardly made for it; too fast, it flies apart",
            "read the maker's mark on the chuck again",
            {"title": holding.title, "speed": speed.text},
        )
    radius, height = holding.jaw_radius, holding.jaw_height
    if radius is not None and 2 * radius.plain > opening.plain + SLACK:
        yield _said(
            operation,
            (group, holding.id, "jaw_radius"),
            "jaws-outside-the-chuck",
            "{title}: its jaws have their mass at a radius of {radius}, and it opens {opening}",
            "jaws so far out would stand beyond the chuck",
            "measure the radius again",
            {"title": holding.title, "radius": radius.text, "opening": opening.text},
        )
    if height is not None and not height.plain <= opening.plain <= _WIDE_OPEN * height.plain:
        yield _said(
            operation,
            (group, holding.id, "opening"),
            "vice-of-odd-sizes",
            "{title}: its jaws are {height} high, and it opens {opening}",
            "one of the two may be in inches, or have a digit too many",
            "measure both again",
            {"title": holding.title, "height": height.text, "opening": opening.text},
        )


def _length(size: Size) -> Value:
    return as_value(size, "shop.toml workholdings", "estimate")


_LINE = 0.005
"""A line of a dial finer than this [mm] is doubted: common practice, no source."""

_POWER = 7.5
"""More power than this [kW] is doubted in a small shop: common practice, no source."""

_RIM = 2500.0
"""The rim of a chuck keyed by hand runs no faster than this [m/min]: makers' lists, from memory."""

_WIDE_OPEN = 10.0
"""A vice that opens so many times the height of its jaws is doubted: common practice, no source."""


@rule
def jaws_are_as_high_as_they_hold(plan: Plan) -> Iterator[Finding]:
    """A vice holds no more of the piece than its jaws are high, and enough to hold it."""
    for setup in plan.job.setups:
        holding, grip = plan.shop.workholding(setup.workholding), setup.grip_depth
        first = next((one for one in plan.operations if one.operation.setup == setup.id), None)
        if holding is None or holding.kind != "vice" or grip is None or first is None:
            continue
        over = holding.jaw_height is not None and grip.plain > holding.jaw_height.plain + SLACK
        if not over and grip.plain >= _LEAST_IN_VICE:
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


_LEAST_IN_VICE = 2.0
"""A grip of less than this [mm] in a vice is doubted: common practice, no source."""
