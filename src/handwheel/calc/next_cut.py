"""How far to go on the next cut, from what the dial said and what the gauge read after the cuts before.

A tool gives way under the cut, the work does, and the dial has a zero of its own. What a cut leaves
short of its dial, the offset dial - got, is therefore a constant zero error and a share of the metal
that the cut removed. Equal cuts have equal offsets, whatever the share: so the last cut copies the one
before it. Cuts of two depths tell zero error and share apart; one cut alone does not.

Inside this module sizes count along the way that the tool goes into the metal: up for a bore, down for
a shaft. There the far limit is the one that scraps the part, and "more" is always deeper.
"""

from collections.abc import Callable, Sequence
from math import sqrt
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation
from handwheel.calc.measuring import Removing

__all__ = ["NextCut", "Reading", "cut_spring", "next_cut"]

_SHARE, _SHARE_SPREAD, _MOST_SHARE = 0.15, 0.15, 0.5
"""Spring as a share of the metal removed, before anything is known: its middle, its standard deviation
and its most. Common practice, no source: a stout set-up hardly springs, slender bars and work by a
twentieth to a half."""

_ZERO_SPREAD, _MOST_ZERO = 0.06, 0.16
"""Zero error of a dial that was touched off on a turning surface, per side [mm]: its standard deviation,
and the most that is reckoned with where a tool that stands too deep could pass the limit. Common practice,
no source."""

_BEND = 0.01
"""Part of a difference in depth by which the offset may leave its straight line."""

_MUCH, _MUCH_THOUGH_KNOWN = 1.8, 5.0
"""A cut of so many times the last one, or that part of it, is no copy; the second where cuts of two depths
have told the share."""

_NEARLY_HALF = 0.45
"""The lighter of two equal cuts has at least this share of the metal: so much may be moved from one to
the other, to bring the last cut between the two before it."""

_LESS_THAN_HALF = 0.08
"""By so much of what is left the first of two cuts is less than half, after a cut twice as heavy or more."""

_FIT_FOR_ONE = 2.35
"""Standard deviations of the size that have to fit into the proven zone, either way, for one cut."""

_SURE = 3.2
"""Standard deviations between the expected size and the limit that scraps the part."""

_SPLIT_HELPS = 2.0
"""Spring that is this many times less certain than the noise: a reading between helps, else it does not."""

_COPY = 0.5
"""The same after one cut alone, where the next is so nearly a copy that its share hardly matters."""

_USUAL_ZONE = 0.025
"""Tolerance [mm] supposed where no limit is given: IT7 of 30 to 50 mm, ISO 286-1."""

_SETTABLE = 0.001
"""An advance [mm] of less than this is none: no dial can be set to it."""

_CREEP = 0.25
"""Part of the thinnest cut by which a dial goes beyond one that took nothing: if that one only rubbed, the
next takes not much more than the thinnest cut."""

_MOST_OFFSET = 5.0
"""A dial further than this [mm] from the size it made does not stand on sizes."""

_WRONG_WAY = 0.05
"""A part that has gone so far [mm] away from its aim was not cut towards it."""


class Reading(NamedTuple):
    """One cut: the size that the dial stood at, and the size that was measured after it."""

    dial: Annotated[float, Quantity("mm", "d_i", kind="size", usual=(0, 500))]
    got: Annotated[float, Quantity("mm", "g_i", kind="size", usual=(0, 500))]


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


class _Cut(NamedTuple):
    """What a cut removed, and what it came out short of its dial."""

    removed: float
    short: float


class _Noise(NamedTuple):
    """Standard deviations: of a cut that is made again alike, and of an offset that is read."""

    cut: float
    offset: float


class _Prior(NamedTuple):
    """What is known before the cuts are fitted: of the share, and of the zero error by touching off."""

    share: float
    spread: float
    most: float
    zero_spread: float
    most_zero: float


class _Fit(NamedTuple):
    """Zero error and share of spring with their variances."""

    zero: float
    share: float
    var_zero: float
    cov: float
    var_share: float


class _Zone(NamedTuple):
    """Current size, aim and limits along the way of the tool, and what the gauge takes off the limits."""

    now: float
    aim: float
    near: float
    far: float
    gauge: float

    @property
    def left(self) -> float:
        """What is still to come off."""
        return self.aim - self.now

    @property
    def half(self) -> float:
        """From the aim to the nearer end of what a reading proves; negative where it proves nothing."""
        return min(self.aim - self.near, self.far - self.aim) - self.gauge


class _Step(NamedTuple):
    """A dial along the way of the tool, what is expected of it, and how many cuts it is the first of."""

    dial: float
    size: float
    uncertainty: float
    cuts: int
    why: str
    share: float | None
    planned: float | None = None
    furthest: float | None = None
    spring: float | None = None
    zero: float | None = None


_Fitter = Callable[[Sequence[_Cut], Sequence[float], _Prior], _Fit]


def _noise(repeatability: float, gauge: float) -> _Noise:
    """Give the standard deviations that go with the U of the cut and of the gauge; an offset has both."""
    return _Noise(repeatability / 2, sqrt(repeatability**2 + 1.5 * gauge**2) / 2)


def _fit_at_once(cuts: Sequence[_Cut], variances: Sequence[float], prior: _Prior) -> _Fit:
    """Fit short = zero + share * removed by weighted least squares, by the normal equations."""
    origin = cuts[-1].short
    n = x = y = xx = xy = 0.0
    for (removed, short), variance in zip(cuts, variances, strict=True):
        n += 1 / variance
        x += removed / variance
        y += (short - origin) / variance
        xx += removed * removed / variance
        xy += removed * (short - origin) / variance
    xx += prior.spread**-2
    xy += prior.share * prior.spread**-2
    det = n * xx - x * x
    zero, share = (xx * y - x * xy) / det, (n * xy - x * y) / det
    return _Fit(zero + origin, share, xx / det, -x / det, n / det)


def _fit_in_turn(cuts: Sequence[_Cut], variances: Sequence[float], prior: _Prior) -> _Fit:
    """Start from the first cut and correct zero and share by each one after it: the second route."""
    first, square = cuts[0], prior.spread**2
    zero, share = first.short - prior.share * first.removed, prior.share
    vz, cov, vs = variances[0] + first.removed**2 * square, -first.removed * square, square
    for (removed, short), variance in list(zip(cuts, variances, strict=True))[1:]:
        gz, gs = vz + removed * cov, cov + removed * vs
        spread = gz + removed * gs + variance
        miss = short - zero - share * removed
        zero, share = zero + gz / spread * miss, share + gs / spread * miss
        vz, cov, vs = vz - gz * gz / spread, cov - gz * gs / spread, vs - gs * gs / spread
    return _Fit(zero, share, vz, cov, vs)


class _Spring:
    """What the cuts say of the offset of the next one, looked at from the depth that it has.

    `fit` counts the touch-off as what it is, a cut of no depth that came out at its dial but for the
    zero error. `free` leaves the zero error open, as for a tool that was touched off badly: what must not
    pass a limit is held against that one. The offset of a cut that was read stands in both.
    """

    def __init__(self, cuts: Sequence[_Cut], prior: _Prior, noise: _Noise, fitter: _Fitter, at: float):
        self.noise, self.at, self.prior = noise, at, prior
        # a cut of another depth says less, since no spring is quite straight
        variances = [noise.offset**2 + (_BEND * (cut.removed - at)) ** 2 for cut in cuts]
        self.free = fitter(cuts, variances, prior)
        self.fit = fitter([_Cut(0.0, 0.0), *cuts], [prior.zero_spread**2, *variances], prior)
        self.share = self._possible(self.fit.share)
        self.zero = self.zero_with(self.share)

    def _possible(self, share: float) -> float:
        return min(max(share, 0.0), self.prior.most)

    def zero_with(self, share: float) -> float:
        """Give the zero error that goes with a share by the cuts alone: more of one is less of the other."""
        return self.free.zero + self.free.cov / self.free.var_share * (share - self.free.share)

    @property
    def spread(self) -> float:
        """Standard deviation of the size that a cut of this depth leaves."""
        return self._spread(self.fit, self.share)

    def _spread(self, fit: _Fit, share: float) -> float:
        variance = fit.var_zero + 2 * self.at * fit.cov + self.at**2 * fit.var_share
        return sqrt(max(variance, 0.0) + self.noise.cut**2) / (1 + share)

    @property
    def doubt(self) -> float:
        """The same, were nothing known of the touch-off."""
        return self._spread(self.free, self.share)

    @property
    def scatter(self) -> float:
        """The part of that which would stay if the share were known."""
        variance = self.free.var_zero - self.free.cov**2 / self.free.var_share
        return sqrt(max(variance, 0.0) + self.noise.cut**2) / (1 + self.share)

    def dial_for(self, removed: float, now: float) -> float:
        """Give the dial that removes so much."""
        return now + removed + self.zero + self.share * removed

    def removed_at(self, dial: float, now: float) -> float:
        """Give what a dial removes; nothing where the tool does not reach the metal."""
        return max((dial - now - self.zero) / (1 + self.share), 0.0)

    def furthest(self, now: float, far: float) -> float:
        """Give the dial beyond which the part could come out past its far limit, however it was touched off.

        The share is taken at the ends of what it may be, or all spreads together: the one that
        allows more, for both are on the safe side.
        """
        middle, ends = self._possible(self.free.share), 3 * sqrt(self.free.var_share)
        least = self._possible(middle - ends)
        most = max(min(self._possible(middle + ends), self._share_of_deepest()), least)
        room = far - now
        scatter = _SURE * self.scatter * (1 + self.share)
        worst = min(now + self.zero_with(one) + (1 + one) * room - scatter for one in (least, most))
        together = room - _SURE * self._spread(self.free, middle)
        return max(worst, now + self.zero_with(middle) + (1 + middle) * together)

    def _share_of_deepest(self) -> float:
        """Give the share that goes with a tool that stands too deep by all that is reckoned with."""
        slope = self.free.cov / self.free.var_share
        return self.free.share - (self.prior.most_zero + self.free.zero) / slope


class CutSpring(NamedTuple):
    """What of the offset dial - got goes with the metal, what does not [mm], and U of the next size [mm]."""

    spring: Annotated[float, Quantity("", "k")]
    zero_error: Annotated[float, Quantity("mm", "z", kind="deviation")]
    uncertainty: Annotated[float, Quantity("mm", "U", kind="deviation", bound="at least")]


ReadingRows = Annotated[
    tuple[Reading, ...], Quantity("", "readings", example='[{"dial": 46.5, "got": 46.46}]')
]
Start = Annotated[float, Quantity("mm", "s0", kind="size", usual=(0, 500))]
GaugeU = Annotated[float, Quantity("mm", "Ug", kind="deviation", above=0, usual=(0.001, 0.05))]
Repeats = Annotated[float, Quantity("mm", "Ur", kind="deviation", above=0, usual=(0.001, 0.05))]
Mode = Annotated[str, Quantity("", "mode", choices=("diameter", "radius", "length"))]


def _spring_of(
    fitter: _Fitter,
    readings: tuple[Reading, ...],
    start: float,
    metal: float,
    gauge_uncertainty: float = 0.004,
    repeatability: float = 0.005,
    mode: str = "diameter",
) -> CutSpring:
    way = 1 if readings[-1].got > start else -1
    cuts, idle = _sorted_cuts(way, start, readings, 0.0)
    if idle:
        raise CalculationError(
            "cut_spring: there is a reading after which no metal was gone; expected sizes that go one way, "
            "such as 46, then 46.46"
        )
    sides = 2 if mode == "diameter" else 1
    spring = _Spring(
        cuts, _prior(cuts[-1], (), 0.0, sides), _noise(repeatability, gauge_uncertainty), fitter, metal
    )
    return CutSpring(spring.share, spring.zero, 2 * spring.spread)


@calculation(
    title="What a cut comes out short of its dial: with the metal, and without",
    formula=(
        "g = [s0, *[r.got for r in readings]]; m = [abs(i - j) for i, j in zip(g[1:], g)]; "
        "o = [(r.dial - r.got) * (1 if g[-1] > s0 else -1) for r in readings]; "
        "w = [1 / (Ur ** 2 / 4 + 3 * Ug ** 2 / 8 + (0.01 * (i - p)) ** 2) for i in m]; "
        "W = sum(w) + (0.12 if mode == 'diameter' else 0.06) ** -2; x = sum([i * j for i, j in zip(w, m)]); "
        "xx = sum([i * j * j for i, j in zip(w, m)]) + 0.15 ** -2; y = sum([i * j for i, j in zip(w, o)]); "
        "xy = sum([h * i * j for h, i, j in zip(w, m, o)]) + 1 / 0.15; D = W * xx - x * x; "
        "k = min(max((W * xy - x * y) / D, 0), 0.5); z = (y - k * x) / sum(w); "
        "U = 2 * sqrt((xx - 2 * p * x + p * p * W) / D + Ur ** 2 / 4) / (1 + k)"
    ),
    source="JCGM 100:2008, H.3; the suppositions: common practice, no source",
    examples=(
        Example(
            {"readings": (Reading(21.9, 22), Reading(20.9, 21)), "start": 23, "metal": 1},
            {"zero_error": -0.0195, "spring": 0.1195},
            "numpy.linalg.lstsq of the same four lines: two cuts, the touch-off, the spring supposed",
        ),
    ),
    second=lambda **given: _spring_of(_fit_in_turn, **given),
)  # fmt: skip
def cut_spring(
    *,
    readings: ReadingRows,
    start: Start,
    metal: Annotated[float, Quantity("mm", "p", kind="size", above=0, usual=(0.01, 10))],
    gauge_uncertainty: GaugeU = 0.004,
    repeatability: Repeats = 0.005,
    mode: Mode = "diameter",
) -> CutSpring:
    """Split the offset dial - got [mm] into zero error and share of the metal, for a cut of `metal` [mm].

    `readings` are dial and size after each cut, oldest first, `start` the size before them. A cut of another
    depth than the next one says less. Before a cut is read the spring is supposed to be 0.15 ± 0.15, and the
    touch-off counts as a cut of no depth that came out at its dial, give or take 0.06 mm a side.
    `uncertainty` (k = 2) is that of the size which the next cut leaves.
    """
    return _spring_of(_fit_at_once, readings, start, metal, gauge_uncertainty, repeatability, mode)


def _second(**inputs: object) -> NextCut:
    return _answer(_fit_in_turn, **inputs)  # type: ignore[arg-type]  # the inputs of next_cut, by name


@calculation(
    title="How far to advance for the next cut (on diameter, and per side)",
    formula=(
        "rule: one cut, or two equal ones where one would be no copy (cuts), so much metal "
        "in it (p), no dial from "
        "which the part could pass its limit (F); zero error z, spring k and U of the size "
        "as cut_spring gives "
        "them; way = 1 if a > s0 else -1; to = way * min(way * s + p + z + k * p, way * F); "
        "exp = s + way * max((way * (to - s) - z) / (1 + k), 0); adv = way * (to - d); "
        "adv_side = adv / (2 if mode == 'diameter' else 1); share = k if len(readings) > 1 else None"
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
    aim: Annotated[float, Quantity("mm", "a", kind="size", usual=(0, 500))],
    current: Annotated[float, Quantity("mm", "s", kind="size", usual=(0, 500))],
    dial: Annotated[float, Quantity("mm", "d", kind="size", usual=(0, 500))],
    start: Start,
    readings: ReadingRows,
    lower_limit: Annotated[float, Quantity("mm", "lo", kind="size")] | None = None,
    upper_limit: Annotated[float, Quantity("mm", "hi", kind="size")] | None = None,
    gauge_uncertainty: GaugeU = 0.004,
    repeatability: Repeats = 0.005,
    min_depth: Annotated[float, Quantity("mm", "a_min", above=0, usual=(0.002, 0.5))] = 0.01,
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
        _fit_at_once,
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
    fitter: _Fitter,
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
    way = _way(start, aim, removing)
    sides = 2 if mode == "diameter" else 1
    zone = _zone(way, current, aim, lower_limit, upper_limit, gauge_uncertainty)
    rows, said = _rows(way, current, dial, readings, gauge_uncertainty)
    _check(way, start, current, rows)
    warnings = (*said, *_limits_said(lower_limit, upper_limit))
    thin = sides * min_depth
    # A light cut can take nothing at all: what the gauge cannot tell from nothing was no cut.
    cuts, idle = _sorted_cuts(way, start, rows, max(thin / 2, 1.5 * gauge_uncertainty))
    leave = _nothing_more(zone)
    if leave:
        return _nothing(current, gauge_uncertainty, leave, dial, None, warnings)
    noise = _noise(repeatability, gauge_uncertainty)
    step = _step(zone, cuts, idle, thin, sides, noise, fitter) if cuts else _come_up(zone, idle, thin, noise)
    target = way * step.dial
    advance = way * (target - dial)
    if advance < _SETTABLE and zone.near <= zone.now and step.size - zone.now < thin:
        return _nothing(current, gauge_uncertainty, _LEAVE, dial, step.share, warnings)
    advice = _advice(step, zone, advance, target, mode, cuts)
    if 0 < step.size - zone.now < 0.999 * thin:
        warnings += (f"a cut of less than {min_depth:g} mm per side may only rub",)
    return NextCut(
        advance,
        advance / sides,
        way * step.size,
        step.uncertainty,
        advice,
        target,
        step.cuts,
        step.share,
        _kind(step, zone, advance),
        step.planned,
        None if step.furthest is None else way * step.furthest,
        step.spring,
        step.zero,
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
    if step.cuts == 2:
        return "the first of two equal cuts, with a reading between"
    if zone.aim - step.size > zone.gauge:
        return "a cut that stays short of the aim, so as not to pass the limit"
    return "the last cut, like the one before it"


def _step(
    zone: _Zone,
    cuts: Sequence[_Cut],
    idle: Sequence[_Cut],
    thin: float,
    sides: int,
    noise: _Noise,
    fitter: _Fitter,
) -> _Step:
    """Choose one cut or two, and the dial for it."""
    prior = _prior(cuts[-1], idle, thin, sides)
    whole = _Spring(cuts, prior, noise, fitter, zone.left)
    why = _why_not_one(zone, whole, cuts)
    halves = why != "" and zone.left / 2 >= thin
    removed = _first_half(zone.left, cuts[-1].removed) if halves else zone.left
    if zone.left < thin <= zone.far - zone.gauge - zone.now - 2 * noise.cut:
        removed = thin  # a little past the aim and proven: less would only rub
    spring = whole if removed == zone.left else _Spring(cuts, prior, noise, fitter, removed)
    wanted = spring.dial_for(removed, zone.now)
    furthest = spring.furthest(zone.now, zone.far)
    dial = min(wanted, furthest)
    if idle:  # where a dial took nothing the next goes on from there, be it by little
        dial = max(dial, zone.now + max(cut.short for cut in idle) + thin * _CREEP)
    if why and not halves:
        why = "what one more cut would leave is too thin to cut"
    return _Step(
        dial,
        zone.now + spring.removed_at(dial, zone.now),
        2 * spring.spread,
        2 if halves else 1,
        why,
        spring.share if len(cuts) > 1 else None,
        removed,
        furthest,
        spring.share,
        spring.zero,
    )


def _why_not_one(zone: _Zone, spring: _Spring, cuts: Sequence[_Cut]) -> str:
    """Say why the rest should not go in one cut; nothing where it may."""
    depths = [cut.removed for cut in cuts]
    much = _MUCH if len(cuts) == 1 else _MUCH_THOUGH_KNOWN
    between = min(depths) <= zone.left <= max(depths)
    if zone.left > depths[-1] * much and not between:
        return "one would be much heavier than the last"
    if zone.left < depths[-1] / much and not between:
        return "one would be much lighter than the last"
    if _FIT_FOR_ONE * spring.doubt <= zone.half:
        return ""
    unsure = sqrt(max(spring.doubt**2 - spring.scatter**2, 0.0))
    if unsure <= (_SPLIT_HELPS if len(cuts) > 1 else _COPY) * spring.scatter:
        return ""  # the share is known or does not matter; another reading would not make this cut surer
    return f"one would be sure to ±{2 * spring.doubt:.3f} mm only"


def _first_half(left: float, last: float) -> float:
    """Give about half, so that the second cut lies between the two before it as far as halves allow.

    After a heavier cut it is the less, the heavier that one was: from a deeper first half the rest would
    be reached by going beyond what was read, from a lighter one between.
    """
    if last > left:
        return left * (0.5 - _LESS_THAN_HALF * min(last / left - 1, 1.0))
    return min(max((2 * left - last) / 3, _NEARLY_HALF * left), (1 - _NEARLY_HALF) * left)


def _prior(last: _Cut, idle: Sequence[_Cut], thin: float, sides: int) -> _Prior:
    """Give what the share may be; a dial that reached no metal says that there is less spring than that."""
    most = _MOST_SHARE
    if last.removed > thin:
        for cut in idle:
            most = min(most, max((last.short - cut.short + thin) / (last.removed - thin), 0.02))
    spread = min(_SHARE_SPREAD, most / 4 if idle else most)
    return _Prior(min(_SHARE, most / 2), spread, most, sides * _ZERO_SPREAD, sides * _MOST_ZERO)


def _come_up(zone: _Zone, idle: Sequence[_Cut], thin: float, noise: _Noise) -> _Step:
    """Go half of what is left beyond the furthest dial that took nothing: the tool may still be short."""
    removed = zone.left / 2 if zone.left / 2 >= thin else zone.left
    reached = max(cut.short for cut in idle)
    cuts = 2 if removed < zone.left else 1
    return _Step(
        zone.now + reached + removed,
        zone.now + removed / 2,
        removed / 2 + 2 * noise.offset,
        cuts,
        "the last cut took nothing",
        None,
    )


def _way(start: float, aim: float, removing: str | None) -> int:
    if start == aim:
        raise CalculationError(
            f"next_cut: start and aim are both {aim:g} mm; expected the size before the first reading"
        )
    way = 1 if aim > start else -1
    if removing is not None and (removing == "from a hole") != (way > 0):
        raise CalculationError(
            f"next_cut: from {start:g} mm to {aim:g} mm nothing is removed {removing}; look at start and aim"
        )
    return way


def _zone(
    way: int, current: float, aim: float, lower: float | None, upper: float | None, gauge: float
) -> _Zone:
    half = _USUAL_ZONE / 2
    if lower is None:
        lower = aim - half if upper is None else 2 * aim - upper
    if upper is None:
        upper = 2 * aim - lower
    if not lower <= aim <= upper:
        raise CalculationError(
            f"next_cut: the aim, {aim:g} mm, has to lie between the limits, {lower:g} mm and {upper:g} mm"
        )
    near, far = (lower, upper) if way > 0 else (-upper, -lower)
    return _Zone(way * current, way * aim, near, far, gauge)


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


def _sorted_cuts(
    way: int, start: float, rows: Sequence[Reading], least: float
) -> tuple[list[_Cut], list[_Cut]]:
    """Sort the readings into those after which metal was gone and those after which it was not."""
    cuts: list[_Cut] = []
    idle: list[_Cut] = []
    before = start
    for dial, got in rows:
        cut = _Cut(way * (got - before), way * (dial - got))
        (cuts if cut.removed > least else idle).append(cut)
        before = got
    return cuts, idle


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


def _advice(step: _Step, zone: _Zone, advance: float, target: float, mode: str, cuts: Sequence[_Cut]) -> str:
    """Say it in one sentence."""
    on = {"diameter": " on diameter", "radius": " on radius", "length": ""}[mode]
    move = f"dvance {advance:.3f} mm{on}, to {target:.3f} on the dial"
    if advance < _SETTABLE:
        move = f"ring the tool back well past {target:.3f} and up to it on the dial ({advance:.3f} mm{on})"
    begin = "a" if advance >= _SETTABLE else "b"
    touch = ": the tool may not touch yet" if step.size <= zone.now else ""
    if step.cuts == 2 and cuts:
        return f"Two equal cuts, not one ({step.why}): {begin}{move}, read, then the rest{touch}."
    if not cuts:
        half = ", half of what is left" if step.cuts == 2 else ""
        return f"{begin.upper()}{move}{half}, and read; {step.why}."
    after = f"; {_last_said(cuts[-1])}"
    short = zone.aim - step.size
    if short > zone.gauge:
        because = f"; {step.why}" if step.why else ""
        after = f"{touch}: it stays {short:.3f} mm short of the aim, more could pass the limit{because}"
    return f"{begin.upper()}{move}, and read{after}."


def _last_said(cut: _Cut) -> str:
    return (
        f"the last cut came out {abs(cut.short):.3f} mm {'short of' if cut.short >= 0 else 'past'} its dial"
    )
