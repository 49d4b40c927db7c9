"""How far to go on the next cut, from what the dial said and what the gauge read after the cuts before.

What a cut comes out short of its dial is a constant zero error and a share of the metal that it removed
(`cut_spring`). Equal cuts have equal offsets, whatever the share: so the last cut copies the one before it.

Inside this module sizes count along the way that the tool goes into the metal: up for a bore, down for
a shaft. There the far limit is the one that scraps the part, and "more" is always deeper.
"""

from collections.abc import Sequence
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation
from handwheel.calc.cut_spring import (
    Cut,
    CutDial,
    FarLimit,
    Fitter,
    GaugeU,
    MinDepth,
    Mode,
    Noise,
    Reading,
    ReadingRows,
    Repeats,
    Spring,
    Start,
    dial_of,
    dial_of_idle,
    fit_at_once,
    fit_in_turn,
    noise_of,
    prior_of,
    sides_of,
    sorted_cuts,
    thinnest_told,
)
from handwheel.calc.measuring import Removing
from handwheel.calc.one_cut_or_two import OneOrTwo, one_cut_or_two

__all__ = ["NextCut", "Reading", "cut_zone", "next_cut", "planned_cut"]

_USUAL_ZONE = 0.025
"""Tolerance [mm] supposed where no limit is given: IT7 of 30 to 50 mm, ISO 286-1."""

_SETTABLE = 0.001
"""An advance [mm] of less than this is none: no dial can be set to it."""

_MOST_OFFSET = 5.0
"""A dial further than this [mm] from the size it made does not stand on sizes."""

_WRONG_WAY = 0.05
"""A part that has gone so far [mm] away from its aim was not cut towards it."""


class NextCut(NamedTuple):
    """The next cut: advance from where the tool stands, on diameter and per side; where the dial then is.

    `expected` is the size it should leave, `uncertainty` its half-width (k = 2). `cuts` is 0 where
    nothing is to be taken off, 1 for the last cut, 2 for the first of two equal ones; `kind` says it in
    words. `share` is the spring as a share of the metal removed; None as long as one cut alone has been read.

    What they rest on: `planned` is the metal that the cut is to remove, `furthest` the dial that it must not
    pass, `spring` and `zero_error` what of the offset goes with the metal and what does not; None where the
    tool has not yet cut.
    """

    advance: Annotated[float, Quantity("mm", "adv", kind="size")]
    advance_per_side: Annotated[float, Quantity("mm", "adv_side", kind="size")]
    expected: Annotated[float, Quantity("mm", "exp", kind="size")]
    uncertainty: Annotated[float, Quantity("mm", "U", kind="deviation", bound="at least")]
    advice: Annotated[str, Quantity("", "advice")]
    target: Annotated[float, Quantity("mm", "to", kind="size")]
    cuts: Annotated[int, Quantity("", "cuts")]
    share: Annotated[float, Quantity("", "share")] | None
    kind: Annotated[str, Quantity("", "kind")]
    planned: Annotated[float, Quantity("mm", "p", kind="size")] | None = None
    furthest: Annotated[float, Quantity("mm", "F", kind="size")] | None = None
    spring: Annotated[float, Quantity("", "k")] | None = None
    zero_error: Annotated[float, Quantity("mm", "z", kind="deviation")] | None = None
    warnings: tuple[str, ...] = ()


class _Zone(NamedTuple):
    """Current size, aim and far limit along the way of the tool; `half` is the room of `cut_zone`."""

    now: float
    aim: float
    half: float
    far: float
    gauge: float
    near: float = 0.0

    @property
    def left(self) -> float:
        """What is still to come off."""
        return self.aim - self.now


class _Step(NamedTuple):
    """How much metal, and the dial for it along the way of the tool."""

    plan: OneOrTwo
    to: CutDial


Aim = Annotated[float, Quantity("mm", "a", kind="size", usual=(0, 500))]
Current = Annotated[float, Quantity("mm", "s", kind="size", usual=(0, 500))]
Stands = Annotated[float, Quantity("mm", "d", kind="size", usual=(0, 500))]
LowerLimit = Annotated[float, Quantity("mm", "lo", kind="size")]
UpperLimit = Annotated[float, Quantity("mm", "hi", kind="size")]


class CutZone(NamedTuple):
    """The readings as they count, what is left [mm], and what a reading has to prove [mm].

    `far_limit` is the limit past which the part is scrap, `room` from the aim to the nearer end of what a
    reading proves, negative where it proves nothing. `done` says that nothing more is to come off.
    """

    rows: Annotated[tuple[Reading, ...], Quantity("", "rows")]
    left: Annotated[float, Quantity("mm", "left", kind="size")]
    room: Annotated[float, Quantity("mm", "room", kind="deviation")]
    low: Annotated[float, Quantity("mm", "low", kind="size")]
    high: Annotated[float, Quantity("mm", "high", kind="size")]
    far_limit: Annotated[float, Quantity("mm", "far", kind="size")]
    done: Annotated[bool, Quantity("", "done")]


def _zone_in_sizes(
    aim: float,
    current: float,
    dial: float,
    start: float,
    readings: tuple[Reading, ...],
    lower_limit: float | None = None,
    upper_limit: float | None = None,
    gauge_uncertainty: float = 0.004,
) -> CutZone:
    """Count no way of the tool: compare sizes with sizes, a hole's and a shaft's each by their own words."""
    hole = aim > start
    low, high = lower_limit, upper_limit
    if low is None and high is None:
        low, high = aim - _USUAL_ZONE / 2, aim + _USUAL_ZONE / 2
    low = aim + aim - high if low is None and high is not None else low
    high = aim + aim - low if high is None and low is not None else high
    assert low is not None and high is not None
    *before, (last_dial, last_got) = readings
    more = current - last_got if hole else last_got - current
    rows = [*readings, Reading(dial, current)]
    if dial == last_dial or more <= 1.5 * gauge_uncertainty:
        rows = [*before, Reading(last_dial, current)]
    past = current >= aim if hole else current <= aim
    proven = current >= low + gauge_uncertainty and current <= high - gauge_uncertainty
    room = (high - low) / 2 - abs(aim - (low + high) / 2) - gauge_uncertainty
    unprovable = room < 0 and current >= low and current <= high
    return CutZone(
        tuple(rows),
        aim - current if hole else current - aim,
        room,
        low,
        high,
        high if hole else low,
        past or proven or unprovable,
    )


@calculation(
    title="What is left for a next cut, and what a reading has to prove of it",
    formula=(
        "way = 1 if a > s0 else -1; last = readings[-1]; "
        "rows = [*readings, (d, s)] if d != last[0] and way * (s - last[1]) > 1.5 * Ug "
        "else [*readings[:-1], (last[0], s)]; left = way * (a - s); "
        "low = (a - 0.0125 if hi is None else 2 * a - hi) if lo is None else lo; "
        "high = 2 * a - low if hi is None else hi; far = high if way > 0 else low; "
        "room = min(high - a, a - low) - Ug; "
        "done = left <= 0 or low + Ug <= s <= high - Ug or room < 0 and low <= s <= high"
    ),
    source="ISO 14253-1: a reading proves what lies inside the limits by its U; without limits IT7 of 30 to "
    "50 mm, ISO 286-1, is supposed",
    examples=(
        Example(
            {"aim": 46.92, "current": 46.46, "dial": 46.5, "start": 46, "readings": (Reading(46.5, 46.46),),
             "lower_limit": 46.9, "upper_limit": 46.94},
            {"left": 0.46, "room": 0.016, "far_limit": 46.94},
            "by hand: half of 0.04 mm less U of 0.004 mm",
        ),
        Example(
            {"aim": 20, "current": 20.5, "dial": 20.4, "start": 22, "readings": (Reading(20.9, 21),)},
            {"left": 0.5, "room": 0.0085, "low": 19.9875, "high": 20.0125, "far_limit": 19.9875,
             "rows": (Reading(20.9, 21), Reading(20.4, 20.5))},
            "by hand: the dial has moved and 0.5 mm are gone, a cut that was not listed",
        ),
    ),
    second=_zone_in_sizes,
)  # fmt: skip
def cut_zone(
    *,
    aim: Aim,
    current: Current,
    dial: Stands,
    start: Start,
    readings: ReadingRows,
    lower_limit: LowerLimit | None = None,
    upper_limit: UpperLimit | None = None,
    gauge_uncertainty: GaugeU = 0.004,
) -> CutZone:
    """Say what is left between the size `current` and the `aim`, and between which limits [mm].

    The last reading becomes `current`: the same size read again, or, where the dial has moved since and
    metal is gone, a cut that was not listed. One limit stands for both, as far from the aim; without
    limits 0.025 mm about the aim are supposed.
    """
    way = _way("cut_zone", start, aim)
    zone = _zone("cut_zone", way, current, aim, lower_limit, upper_limit, gauge_uncertainty)
    rows, _ = _rows(way, current, dial, readings, gauge_uncertainty)
    low, high = sorted((way * zone.near, way * zone.far))
    return CutZone(tuple(rows), zone.left, zone.half, low, high, way * zone.far, _nothing_more(zone) != "")


class PlannedCut(NamedTuple):
    """The next cut: its metal, the dial for it, the size it should leave and U of that (k = 2) [mm].

    `cuts` is 1 for the last cut, 2 for the first of two. `furthest`, `spring`, `zero_error` are those of
    `dial_for_cut`; None where the tool has not yet cut, and so is `share` as long as one cut alone was read.
    """

    dial: Annotated[float, Quantity("mm", "to", kind="size")]
    size: Annotated[float, Quantity("mm", "exp", kind="size")]
    uncertainty: Annotated[float, Quantity("mm", "U", kind="deviation", bound="at least")]
    cuts: Annotated[int, Quantity("", "cuts")]
    metal: Annotated[float, Quantity("mm", "p", kind="size")]
    furthest: Annotated[float, Quantity("mm", "F", kind="size")] | None
    spring: Annotated[float, Quantity("", "k")] | None
    zero_error: Annotated[float, Quantity("mm", "z", kind="deviation")] | None
    share: Annotated[float, Quantity("", "share")] | None


def _planned_by(
    fitter: Fitter,
    readings: tuple[Reading, ...],
    start: float,
    aim: float,
    room: float,
    far_limit: float,
    gauge_uncertainty: float = 0.004,
    repeatability: float = 0.005,
    mode: str = "diameter",
    min_depth: float = 0.01,
) -> PlannedCut:
    way, sides, now = _way("planned_cut", start, aim), sides_of(mode), readings[-1][1]
    if way * (aim - now) <= 0:
        raise CalculationError(
            f"planned_cut: the last size, {now:g} mm, is at the aim of {aim:g} mm or past it; expected "
            "readings that stop short of it"
        )
    thin = sides * min_depth
    cuts, idle = sorted_cuts(way, start, readings, thinnest_told(thin, gauge_uncertainty))
    zone = _Zone(way * now, way * aim, room, way * far_limit, gauge_uncertainty)
    step = _step(zone, cuts, idle, thin, sides, noise_of(repeatability, gauge_uncertainty), fitter)
    found = step.to
    furthest = None if found.furthest is None else way * found.furthest
    return PlannedCut(
        way * found.dial,
        way * found.size,
        found.uncertainty,
        step.plan.cuts,
        step.plan.metal,
        furthest,
        found.spring,
        found.zero_error,
        found.spring if len(cuts) > 1 else None,
    )


@calculation(
    title="The next cut by the cuts before it: metal, dial, size",
    formula=(
        "off = 'from a hole' if s1 > s0 else 'from a shaft or thickness'; s = readings[-1][1]; "
        "c = cut_offsets(readings, s0, Ug, mode, a_min, off); m = [i for i, o in c.cuts] or None; "
        "i = cut_spring(readings, s0, abs(s1 - s), Ug, Ur, mode, a_min, off) if m else None; "
        "plan = one_cut_or_two(abs(s1 - s), room, m, i and i.without_touch, i and i.alike, "
        "a_min * (2 if mode == 'diameter' else 1), abs(far - s) - Ug - Ur); "
        "n = dial_for_cut(readings, s0, far, plan.metal, Ug, Ur, mode, a_min, off); "
        "p = plan.metal; cuts = plan.cuts; to = n.dial; exp = n.size; U = n.uncertainty; F = n.furthest; "
        "k = n.spring; z = n.zero_error; share = k if len(m or []) > 1 else None"
    ),
    source="common practice, no source: the last cut copies the one before it",
    examples=(
        Example(
            {"readings": (Reading(46.5, 46.46),), "start": 46, "aim": 46.92, "room": 0.016,
             "far_limit": 46.94},
            {"dial": 46.96, "size": 46.92, "cuts": 1, "metal": 0.46},
            "by hand: 0.46 mm more, as the cut before; it comes out 0.04 mm short again",
        ),
    ),
    second=lambda **given: _planned_by(fit_in_turn, **given),
)  # fmt: skip
def planned_cut(
    *,
    readings: ReadingRows,
    start: Start,
    aim: Annotated[float, Quantity("mm", "s1", kind="size", usual=(0, 500))],
    room: Annotated[float, Quantity("mm", "room", kind="deviation", usual=(0, 0.5))],
    far_limit: FarLimit,
    gauge_uncertainty: GaugeU = 0.004,
    repeatability: Repeats = 0.005,
    mode: Mode = "diameter",
    min_depth: MinDepth = 0.01,
) -> PlannedCut:
    """Plan the next cut towards `aim` [mm] from the readings, the last of which is the size now.

    `room` and `far_limit` [mm] are those of `cut_zone`. One cut where it copies the last one well enough
    to land inside the limits, else half of it.
    """
    return _planned_by(
        fit_at_once,
        readings,
        start,
        aim,
        room,
        far_limit,
        gauge_uncertainty,
        repeatability,
        mode,
        min_depth,
    )


def _second(**inputs: object) -> NextCut:
    return _answer(fit_in_turn, **inputs)  # type: ignore[arg-type]  # the inputs of next_cut, by name


@calculation(
    title="How far to advance for the next cut (on diameter, and per side)",
    formula=(
        "rule: the last cut copies the one before it, else there are two equal ones; "
        "v = cut_zone(a, s, d, s0, readings, lo, hi, Ug); way = 1 if a > s0 else -1; "
        "n = None if v.done else planned_cut(v.rows, s0, a, v.room, v.far_limit, Ug, Ur, mode, a_min); "
        "side = 2 if mode == 'diameter' else 1; "
        "leave = v.done or way * (n.dial - d) < 0.001 and v.low <= s <= v.high "
        "and way * (n.size - s) < side * a_min; "
        "to = d if leave else n.dial; adv = way * (to - d); adv_side = adv / side; "
        "exp = s if leave else n.size; U = Ug if leave else n.uncertainty; cuts = 0 if leave else n.cuts; "
        "k = None if leave else n.spring; p = None if leave or n.spring is None else n.metal; "
        "F = None if leave else n.furthest; z = None if leave else n.zero_error; "
        "share = None if v.done else n.share"
    ),
    source=(
        "common practice, no source: the last cut copies the one before it. The line is fitted by weighted "
        "least squares (JCGM 100:2008, H.3, from memory); uncertainty is k = 2"
    ),
    examples=(
        Example(
            {"aim": 46.92, "current": 46.46, "dial": 46.5, "start": 46, "readings": (Reading(46.5, 46.46),)},
            {"advance": 0.46, "advance_per_side": 0.23, "target": 46.96, "expected": 46.92, "cuts": 1},
            "by hand: 0.46 mm more, as the cut before; it comes out 0.04 mm short again",
        ),
        Example(
            {"aim": 20, "current": 21, "dial": 20.9, "start": 23, "mode": "diameter",
             "readings": (Reading(21.9, 22), Reading(20.9, 21))},
            {"advance": 1, "advance_per_side": 0.5, "target": 19.9, "expected": 20, "cuts": 1},
            "by hand: three cuts of 1 mm, each 0.1 mm large",
        ),
    ),
    second=_second,
)  # fmt: skip
def next_cut(
    *,
    aim: Aim,
    current: Current,
    dial: Stands,
    start: Start,
    readings: ReadingRows,
    lower_limit: LowerLimit | None = None,
    upper_limit: UpperLimit | None = None,
    gauge_uncertainty: GaugeU = 0.004,
    repeatability: Repeats = 0.005,
    min_depth: MinDepth = 0.01,
    mode: Mode = "diameter",
    removing: Removing | None = None,
) -> NextCut:
    """Say how far to advance from `dial`, where the tool stands, for the size `aim` [mm].

    `start` is the size before the first reading, `readings` are dial and size after each cut, oldest
    first; a dial stands on sizes (46.5 for a bore of 46.5). Advance is positive into the metal.
    `lower_limit` and `upper_limit` [mm] are what the reading has to prove; without them 0.025 mm about
    the aim are supposed. `gauge_uncertainty` is the gauge's U, `repeatability` how well the same cut
    comes again (k = 2) [mm]. `min_depth` [mm] per side is the thinnest cut that still cuts. From a
    start above the aim metal comes off a shaft, from below off a hole; `removing` says it as well.

    One cut is advised where it copies the last one well enough to land inside the limits; else two
    equal ones with a reading between. The tool was touched off: its zero error is supposed to be
    within some tenths. The dial never goes where the part could pass its limit by what is known of the
    spring, though the tool stood 0.32 mm on diameter too deep; where that leaves metal, the answer is
    to cut again. What is inside the limits, not proven, and could only be rubbed at is left.
    """
    return _answer(
        fit_at_once,
        aim,
        current,
        dial,
        start,
        readings,
        lower_limit,
        upper_limit,
        gauge_uncertainty,
        repeatability,
        min_depth,
        mode,
        removing,
    )


def _answer(
    fitter: Fitter,
    aim: float,
    current: float,
    dial: float,
    start: float,
    readings: tuple[Reading, ...],
    lower_limit: float | None = None,
    upper_limit: float | None = None,
    gauge_uncertainty: float = 0.004,
    repeatability: float = 0.005,
    min_depth: float = 0.01,
    mode: str = "diameter",
    removing: str | None = None,
) -> NextCut:
    way = _way("next_cut", start, aim, removing)
    sides = sides_of(mode)
    zone = _zone("next_cut", way, current, aim, lower_limit, upper_limit, gauge_uncertainty)
    rows, said = _rows(way, current, dial, readings, gauge_uncertainty)
    _check(way, start, current, rows)
    warnings = (*said, *_limits_said(lower_limit, upper_limit))
    thin = sides * min_depth
    cuts, idle = sorted_cuts(way, start, rows, thinnest_told(thin, gauge_uncertainty))
    leave = _nothing_more(zone)
    if leave:
        return _nothing(current, gauge_uncertainty, leave, dial, None, warnings)
    step = _step(zone, cuts, idle, thin, sides, noise_of(repeatability, gauge_uncertainty), fitter)
    plan, to = step
    share = to.spring if len(cuts) > 1 else None
    target = way * to.dial
    advance = way * (target - dial)
    if advance < _SETTABLE and zone.near <= zone.now and to.size - zone.now < thin:
        return _nothing(current, gauge_uncertainty, _LEAVE, dial, share, warnings)
    advice = _advice(step, zone, advance, target, mode, cuts)
    if 0 < to.size - zone.now < 0.999 * thin:
        warnings += (f"a cut of less than {min_depth:g} mm per side may only rub",)
    return NextCut(
        advance,
        advance / sides,
        way * to.size,
        to.uncertainty,
        advice,
        target,
        plan.cuts,
        share,
        _kind(step, zone, advance),
        None if to.spring is None else plan.metal,
        None if to.furthest is None else way * to.furthest,
        to.spring,
        to.zero_error,
        warnings,
    )


def _nothing(
    current: float, gauge: float, why: str, dial: float, share: float | None, warnings: tuple[str, ...]
) -> NextCut:
    """Say that the part stays as it is."""
    return NextCut(0.0, 0.0, current, gauge, why, dial, 0, share, _NO_MORE, warnings=warnings)


_NO_MORE = "take nothing more off"

_LEAVE = (
    "Inside the limits, not proven, and too little is left for another cut: leave it, or measure with a "
    "finer gauge."
)


def _kind(step: _Step, zone: _Zone, advance: float) -> str:
    """Say in a few words, without numbers, what sort of cut it is."""
    if abs(advance) < _SETTABLE:
        return "the same dial once more: back well past, and up to it"
    if advance < 0:
        return "the tool stands too deep: back well past, and up to it"
    if step.plan.cuts == 2:
        return "the first of two equal cuts, with a reading between"
    if zone.aim - step.to.size > zone.gauge:
        return "a cut that stays short of the aim, so as not to pass the limit"
    return "the last cut, like the one before it"


def _step(
    zone: _Zone,
    cuts: Sequence[Cut],
    idle: Sequence[Cut],
    thin: float,
    sides: int,
    noise: Noise,
    fitter: Fitter,
) -> _Step:
    """Choose one cut or two, and the dial for it."""
    if not cuts:
        plan = one_cut_or_two(left=zone.left, room=zone.half, thinnest=thin)
        return _Step(plan, dial_of_idle(idle, zone.now, plan.metal, noise))
    prior = prior_of(cuts[-1], idle, thin, sides)
    whole = Spring(cuts, prior, noise, fitter, zone.left)
    plan = one_cut_or_two(
        left=zone.left,
        room=zone.half,
        depths=tuple(cut.removed for cut in cuts),
        without_touch=2 * whole.doubt,
        alike=2 * whole.scatter,
        thinnest=thin,
        most=zone.far - zone.gauge - zone.now - 2 * noise.cut,
    )
    spring = whole if plan.metal == zone.left else Spring(cuts, prior, noise, fitter, plan.metal)
    return _Step(plan, dial_of(spring, idle, zone.now, zone.far, plan.metal, thin))


def _way(id: str, start: float, aim: float, removing: str | None = None) -> int:
    if start == aim:
        raise CalculationError(
            f"{id}: start and aim are both {aim:g} mm; expected the size before the first reading"
        )
    way = 1 if aim > start else -1
    if removing is not None and (removing == "from a hole") != (way > 0):
        raise CalculationError(
            f"{id}: from {start:g} mm to {aim:g} mm nothing is removed {removing}; look at start and aim"
        )
    return way


def _zone(
    id: str, way: int, current: float, aim: float, lower: float | None, upper: float | None, gauge: float
) -> _Zone:
    half = _USUAL_ZONE / 2
    if lower is None:
        lower = aim - half if upper is None else 2 * aim - upper
    if upper is None:
        upper = 2 * aim - lower
    if not lower <= aim <= upper:
        raise CalculationError(
            f"{id}: the aim, {aim:g} mm, has to lie between the limits, {lower:g} mm and {upper:g} mm"
        )
    near, far = (lower, upper) if way > 0 else (-upper, -lower)
    half = min(upper - aim, aim - lower) - gauge
    return _Zone(way * current, way * aim, half, far, gauge, near)


def _limits_said(lower: float | None, upper: float | None) -> tuple[str, ...]:
    if lower is None and upper is None:
        return (f"no limits are given: {_USUAL_ZONE:g} mm about the aim are supposed",)
    return ()


def _rows(
    way: int, current: float, dial: float, readings: tuple[Reading, ...], gauge: float
) -> tuple[list[Reading], tuple[str, ...]]:
    """Bring the readings up to the current size: a cut that was not listed, or the last size read again."""
    rows, last = list(readings), readings[-1]
    if current == last.got:
        return rows, ()
    if dial != last.dial and way * (current - last.got) > 1.5 * gauge:
        return [*rows, Reading(dial, current)], ()
    rows[-1] = Reading(last.dial, current)
    if abs(current - last.got) <= gauge:
        return rows, ()
    return rows, (f"the last reading was {last.got:.3f} mm and now it is {current:.3f} mm: that counts",)


def _check(way: int, start: float, current: float, rows: Sequence[Reading]) -> None:
    for dial, got in rows:
        if abs(dial - got) > _MOST_OFFSET:
            raise CalculationError(
                f"next_cut: the dial stood at {dial:g} mm and the part came out at {got:g} mm; expected the "
                "dial as a size, within 5 mm of what it cut"
            )
    if way * (current - start) < -_WRONG_WAY:
        raise CalculationError(
            f"next_cut: the part went from {start:g} mm to {current:g} mm, away from the aim; "
            "expected readings between start and aim"
        )


def _nothing_more(zone: _Zone) -> str:
    """Say why nothing more is to come off; nothing where there is."""
    over = zone.now - zone.far
    if zone.half < 0 and zone.near <= zone.now <= zone.far:
        return "Inside the limits, which this gauge cannot prove: leave it, and measure with a finer one."
    if zone.near + zone.gauge <= zone.now <= zone.far - zone.gauge:
        return "Within the limits, proven: leave it."
    if over > 0:
        return f"Past the limit by {over:.3f} mm: take nothing more off."
    if zone.now >= zone.aim:
        return (
            f"Past the aim by {-zone.left:.3f} mm, inside the limit and not proven: take nothing more off; "
            "measure with a finer gauge."
        )
    return ""


def _advice(step: _Step, zone: _Zone, advance: float, target: float, mode: str, cuts: Sequence[Cut]) -> str:
    """Say it in one sentence."""
    on = {"diameter": " on diameter", "radius": " on radius", "length": ""}[mode]
    move = f"dvance {advance:.3f} mm{on}, to {target:.3f} on the dial"
    if advance < _SETTABLE:
        move = f"ring the tool back well past {target:.3f} and up to it on the dial ({advance:.3f} mm{on})"
    begin = "a" if advance >= _SETTABLE else "b"
    touch = ": the tool may not touch yet" if step.to.size <= zone.now else ""
    if step.plan.cuts == 2 and cuts:
        return f"Two equal cuts, not one ({step.plan.why}): {begin}{move}, read, then the rest{touch}."
    if not cuts:
        half = ", half of what is left" if step.plan.cuts == 2 else ""
        return f"{begin.upper()}{move}{half}, and read; {step.plan.why}."
    after = f"; {_last_said(cuts[-1])}"
    short = zone.aim - step.to.size
    if short > zone.gauge:
        because = f"; {step.plan.why}" if step.plan.why else ""
        after = f"{touch}: it stays {short:.3f} mm short of the aim, more could pass the limit{because}"
    return f"{begin.upper()}{move}, and read{after}."


def _last_said(cut: Cut) -> str:
    return (
        f"the last cut came out {abs(cut.short):.3f} mm {'short of' if cut.short >= 0 else 'past'} its dial"
    )
