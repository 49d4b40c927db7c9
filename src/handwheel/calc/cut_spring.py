"""What a cut comes out short of its dial: what of it goes with the metal, and what is the dial's own.

A tool gives way under the cut, the work does, and the dial has a zero of its own. What a cut leaves
short of its dial, the offset dial - got, is therefore a constant zero error and a share of the metal
that the cut removed. Equal cuts have equal offsets, whatever the share. Cuts of two depths tell zero
error and share apart; one cut alone does not.

Inside this module sizes count along the way that the tool goes into the metal: up for a bore, down for
a shaft. There the far limit is the one that scraps the part, and "more" is always deeper.
"""

from collections.abc import Callable, Sequence
from math import sqrt
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation

__all__ = [
    "Cut",
    "CutDial",
    "FarLimit",
    "Fitter",
    "GaugeU",
    "MinDepth",
    "Mode",
    "Noise",
    "Reading",
    "ReadingRows",
    "Repeats",
    "Spring",
    "Start",
    "cut_line",
    "cut_offsets",
    "cut_spring",
    "dial_for_cut",
    "dial_of",
    "dial_of_idle",
    "fit_at_once",
    "fit_in_turn",
    "furthest_dial",
    "noise_of",
    "prior_of",
    "sides_of",
    "sorted_cuts",
    "thinnest_told",
]

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

_SURE = 3.2
"""Standard deviations between the expected size and the limit that scraps the part."""


class Reading(NamedTuple):
    """One cut: the size that the dial stood at, and the size that was measured after it."""

    dial: Annotated[float, Quantity("mm", "d_i", kind="size", usual=(0, 500))]
    got: Annotated[float, Quantity("mm", "g_i", kind="size", usual=(0, 500))]


class Cut(NamedTuple):
    """What a cut removed, and what it came out short of its dial."""

    removed: float
    short: float


class Noise(NamedTuple):
    """Standard deviations: of a cut that is made again alike, and of an offset that is read."""

    cut: float
    offset: float


class Prior(NamedTuple):
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


Fitter = Callable[[Sequence[Cut], Sequence[float], Prior], _Fit]


def noise_of(repeatability: float, gauge: float) -> Noise:
    """Give the standard deviations that go with the U of the cut and of the gauge; an offset has both."""
    return Noise(repeatability / 2, sqrt(repeatability**2 + 1.5 * gauge**2) / 2)


def fit_at_once(cuts: Sequence[Cut], variances: Sequence[float], prior: Prior) -> _Fit:
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


def fit_in_turn(cuts: Sequence[Cut], variances: Sequence[float], prior: Prior) -> _Fit:
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


def _variances(cuts: Sequence[Cut], noise: Noise, at: float) -> list[float]:
    """Give the variance of each offset; cuts of other depths say less, since no spring is quite straight."""
    return [noise.offset**2 + (_BEND * (cut.removed - at)) ** 2 for cut in cuts]


class Spring:
    """What the cuts say of the offset of the next one, looked at from the depth that it has.

    `fit` counts the touch-off as what it is, a cut of no depth that came out at its dial but for the
    zero error. `free` leaves the zero error open, as for a tool that was touched off badly: what must not
    pass a limit is held against that one. The offset of a cut that was read stands in both.
    """

    def __init__(self, cuts: Sequence[Cut], prior: Prior, noise: Noise, fitter: Fitter, at: float):
        self.noise, self.at, self.prior = noise, at, prior
        variances = _variances(cuts, noise, at)
        self.free = fitter(cuts, variances, prior)
        self.fit = fitter([Cut(0.0, 0.0), *cuts], [prior.zero_spread**2, *variances], prior)
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


def prior_of(last: Cut, idle: Sequence[Cut], thin: float, sides: int) -> Prior:
    """Give what the share may be; a dial that reached no metal says that there is less spring than that."""
    most = _MOST_SHARE
    if last.removed > thin:
        for cut in idle:
            most = min(most, max((last.short - cut.short + thin) / (last.removed - thin), 0.02))
    spread = min(_SHARE_SPREAD, most / 4 if idle else most)
    return Prior(min(_SHARE, most / 2), spread, most, sides * _ZERO_SPREAD, sides * _MOST_ZERO)


def sorted_cuts(way: int, start: float, rows: Sequence[Reading], least: float) -> tuple[list[Cut], list[Cut]]:
    """Sort the readings into those after which metal was gone and those after which it was not."""
    cuts: list[Cut] = []
    idle: list[Cut] = []
    before = start
    for dial, got in rows:
        cut = Cut(way * (got - before), way * (dial - got))
        (cuts if cut.removed > least else idle).append(cut)
        before = got
    return cuts, idle


ReadingRows = Annotated[
    tuple[Reading, ...], Quantity("", "readings", example='[{"dial": 46.5, "got": 46.46}]')
]
Start = Annotated[float, Quantity("mm", "s0", kind="size", usual=(0, 500))]
GaugeU = Annotated[float, Quantity("mm", "Ug", kind="deviation", above=0, usual=(0.001, 0.05))]
Repeats = Annotated[float, Quantity("mm", "Ur", kind="deviation", above=0, usual=(0.001, 0.05))]
Mode = Annotated[str, Quantity("", "mode", choices=("diameter", "radius", "length"))]
Removes = Annotated[str, Quantity("", "off", choices=("from a shaft or thickness", "from a hole"))]
MinDepth = Annotated[float, Quantity("mm", "a_min", above=0, usual=(0.002, 0.5))]
Metal = Annotated[float, Quantity("mm", "p", kind="size", above=0, usual=(0.01, 10))]
HalfWidth = Annotated[float, Quantity("mm", "U", kind="deviation", bound="at least")]


class Offset(NamedTuple):
    """What one cut took off [mm], and what it came out short of its dial [mm]; past it where negative."""

    metal: Annotated[float, Quantity("mm", "m_i", kind="size")]
    short: Annotated[float, Quantity("mm", "o_i", kind="deviation")]


class CutOffsets(NamedTuple):
    """The readings after which metal was gone, those after which it was not, and what the spring may be.

    `supposed` is the spring before anything is fitted, `spread` its standard deviation, `most` its end: a
    dial that reached no metal says that there is less spring than that. `way` is 1 where sizes grow, -1
    where they shrink.
    """

    cuts: Annotated[tuple[Offset, ...], Quantity("", "cuts")]
    idle: Annotated[tuple[Offset, ...], Quantity("", "idle")]
    supposed: Annotated[float, Quantity("", "k0")]
    spread: Annotated[float, Quantity("", "S")]
    most: Annotated[float, Quantity("", "K")]
    way: Annotated[int, Quantity("", "way")]


def thinnest_told(thin: float, gauge: float) -> float:
    """Give what is no cut [mm]: what the gauge cannot tell from nothing, for a light cut can take nothing."""
    return max(thin / 2, 1.5 * gauge)


def sides_of(mode: str) -> int:
    """Give how often the depth of a cut stands in its size."""
    return 2 if mode == "diameter" else 1


def _way(start: float, readings: Sequence[Reading], removing: str | None) -> int:
    """Give 1 where sizes grow, -1 where they shrink: by the word, else by the last size."""
    if removing is not None:
        return 1 if removing == "from a hole" else -1
    return 1 if readings[-1][1] > start else -1


@calculation(
    title="What each cut took off, and what it came out short of its dial",
    formula=(
        "g = [s0, *[got for dial, got in readings]]; "
        "grows = g[-1] > s0 if off is None else off == 'from a hole'; way = 1 if grows else -1; "
        "t = a_min * (2 if mode == 'diameter' else 1); "
        "all_cuts = [(way * (j - i), way * (r[0] - r[1])) for i, j, r in zip(g, g[1:], readings)]; "
        "cuts = [(m, o) for m, o in all_cuts if m > max(t / 2, 1.5 * Ug)]; "
        "idle = [(m, o) for m, o in all_cuts if m <= max(t / 2, 1.5 * Ug)]; "
        "last = cuts[-1] if cuts else (0, 0); "
        "K = min([0.5, *[max((last[1] - o + t) / (last[0] - t), 0.02) for m, o in idle if last[0] > t]]); "
        "S = min(0.15, K / 4 if idle else K); k0 = min(0.15, K / 2)"
    ),
    source="common practice, no source: equal cuts come out alike; what the spring may be is supposed",
    examples=(
        Example(
            {"readings": (Reading(46.5, 46.46), Reading(46.8, 46.72)), "start": 46},
            {"cuts": (Offset(0.46, 0.04), Offset(0.26, 0.08)), "supposed": 0.15, "most": 0.5},
            "by hand: the dial less the size, and each size less the one before",
        ),
        Example(
            {"readings": (Reading(29.6, 29.66), Reading(29.56, 29.658)), "start": 30},
            {"cuts": (Offset(0.34, 0.06),), "idle": (Offset(0.002, 0.098),), "most": 0.02},
            "by hand: 2 µm are none; 0.06 - 0.098 + 0.02 is less than nothing: the least share is supposed",
        ),
    ),
    second=lambda **given: _offsets_one_by_one(**given),
)  # fmt: skip
def cut_offsets(
    *,
    readings: ReadingRows,
    start: Start,
    gauge_uncertainty: GaugeU = 0.004,
    mode: Mode = "diameter",
    min_depth: MinDepth = 0.01,
    removing: Removes | None = None,
) -> CutOffsets:
    """Sort readings (dial and size after each cut, oldest first) into cuts and what took nothing [mm].

    `start` is the size before the first; `removing` says which way the sizes go, else the last one does.
    What the gauge, of U `gauge_uncertainty`, cannot tell from
    nothing was no cut, nor what is thinner than half of `min_depth` [mm per side].
    """
    thin, way = sides_of(mode) * min_depth, _way(start, readings, removing)
    cuts, idle = sorted_cuts(way, start, readings, thinnest_told(thin, gauge_uncertainty))
    prior = prior_of(cuts[-1] if cuts else Cut(0, 0), idle, thin, sides_of(mode))
    return CutOffsets(
        tuple(Offset(*cut) for cut in cuts),
        tuple(Offset(*cut) for cut in idle),
        prior.share,
        prior.spread,
        prior.most,
        way,
    )


def _offsets_one_by_one(
    readings: tuple[Reading, ...],
    start: float,
    gauge_uncertainty: float = 0.004,
    mode: str = "diameter",
    min_depth: float = 0.01,
    removing: str | None = None,
) -> CutOffsets:
    """Count every size as a distance from the start, and lower the most of the spring dial by dial."""
    sides = 2 if mode == "diameter" else 1
    grows = readings[-1].got > start if removing is None else removing == "from a hole"
    way = 1 if grows else -1
    gone = [0.0] + [(one.got - start) * way for one in readings]
    rows = [
        Offset(gone[place] - gone[place - 1], (one.dial - start) * way - gone[place])
        for place, one in enumerate(readings, start=1)
    ]
    least = max(sides * min_depth / 2, 1.5 * gauge_uncertainty)
    cuts = tuple(row for row in rows if row.metal > least)
    idle = tuple(row for row in rows if row.metal <= least)
    thin, most = sides * min_depth, _MOST_SHARE
    for row in idle if cuts and cuts[-1].metal > thin else ():
        sprung, metal = cuts[-1].short - row.short + thin, cuts[-1].metal - thin
        most = sorted((0.02, sprung / metal, most))[1] if most > 0.02 else most
    spread = most / 4 if idle and most / 4 < _SHARE_SPREAD else min(_SHARE_SPREAD, most)
    return CutOffsets(cuts, idle, min(_SHARE, most / 2), spread, most, way)


OffsetRows = Annotated[tuple[Offset, ...], Quantity("", "cuts", example='[{"metal": 0.46, "short": 0.04}]')]


class CutLine(NamedTuple):
    """A straight line through the offsets: short = zero + share * metal, and how well each is known.

    `u_share` is the standard uncertainty of the share, `u_line` that of the line at the metal asked for
    [mm], `u_alike` that of the line were the share known [mm]. `mean` is the metal about which the line
    turns [mm]: there it is surest.
    """

    share: Annotated[float, Quantity("", "k")]
    zero: Annotated[float, Quantity("mm", "z", kind="deviation")]
    mean: Annotated[float, Quantity("mm", "h", kind="size")]
    u_share: Annotated[float, Quantity("", "u_k")]
    u_line: Annotated[float, Quantity("mm", "u_p", kind="deviation")]
    u_alike: Annotated[float, Quantity("mm", "u_h", kind="deviation")]


def _line_of(
    fitter: Fitter,
    cuts: tuple[Offset, ...],
    metal: float,
    supposed: float = 0.15,
    spread: float = 0.15,
    touch_spread: float | None = None,
    gauge_uncertainty: float = 0.004,
    repeatability: float = 0.005,
) -> CutLine:
    rows = [Cut(*cut) for cut in cuts]
    variances = _variances(rows, noise_of(repeatability, gauge_uncertainty), metal)
    if touch_spread is not None:
        rows, variances = [Cut(0.0, 0.0), *rows], [touch_spread**2, *variances]
    fit = fitter(rows, variances, Prior(supposed, spread, _MOST_SHARE, 0.0, 0.0))
    at_metal = fit.var_zero + 2 * metal * fit.cov + metal**2 * fit.var_share
    alike = fit.var_zero - fit.cov**2 / fit.var_share
    return CutLine(
        fit.share,
        fit.zero,
        -fit.cov / fit.var_share,
        sqrt(fit.var_share),
        sqrt(max(at_metal, 0.0)),
        sqrt(max(alike, 0.0)),
    )


@calculation(
    title="Line through what cuts came out short of their dials, against the metal they took",
    formula=(
        "w = [1 / (Ur ** 2 / 4 + 3 * Ug ** 2 / 8 + (0.01 * (m - p)) ** 2) for m, o in cuts]; "
        "W = sum(w) + (0 if Zu is None else Zu ** -2); "
        "x = sum([i * m for i, (m, o) in zip(w, cuts)]); "
        "y = sum([i * o for i, (m, o) in zip(w, cuts)]); "
        "xx = sum([i * m * m for i, (m, o) in zip(w, cuts)]) + S ** -2; "
        "xy = sum([i * m * o for i, (m, o) in zip(w, cuts)]) + k0 / S ** 2; "
        "D = W * xx - x * x; k = (W * xy - x * y) / D; z = (xx * y - x * xy) / D; h = x / W; "
        "u_k = sqrt(W / D); u_p = sqrt((xx - 2 * p * x + p * p * W) / D); u_h = sqrt(1 / W)"
    ),
    source="JCGM 100:2008, H.3; the suppositions: common practice, no source",
    examples=(
        Example(
            {
                "cuts": (Offset(1, 0.1), Offset(1, 0.1)),
                "metal": 1,
                "touch_spread": 0.12,
            },
            {"share": 0.1195, "zero": -0.0195, "mean": 0.9996},
            "numpy.linalg.lstsq of four lines: two cuts, the touch-off, the share supposed",
        ),
    ),
    second=lambda **given: _line_of(fit_in_turn, **given),
)  # fmt: skip
def cut_line(
    *,
    cuts: OffsetRows,
    metal: Metal,
    supposed: Annotated[float, Quantity("", "k0", at_least=0, at_most=1, usual=(0, 0.5))] = 0.15,
    spread: Annotated[float, Quantity("", "S", above=0, usual=(0.005, 0.5))] = 0.15,
    touch_spread: Annotated[float, Quantity("mm", "Zu", kind="deviation", above=0, usual=(0.01, 0.5))]
    | None = None,
    gauge_uncertainty: GaugeU = 0.004,
    repeatability: Repeats = 0.005,
) -> CutLine:
    """Fit what cuts came out short of their dials [mm] against the metal that each took [mm].

    By weighted least squares; a cut of another depth than `metal`, the next one's, weighs less. The share
    is `supposed` before, give or take `spread`. With `touch_spread` [mm] the touch-off counts as a cut of no
    depth that came out at its dial, give or take so much; without, nothing is known of the dial's zero.
    """
    return _line_of(
        fit_at_once, cuts, metal, supposed, spread, touch_spread, gauge_uncertainty, repeatability
    )


class CutSpring(NamedTuple):
    """What of the offset dial - got goes with the metal, what does not [mm], and U of the next size [mm].

    `without_touch` is that U were nothing known of the touch-off, `alike` that U were the spring known too.
    """

    spring: Annotated[float, Quantity("", "k")]
    zero_error: Annotated[float, Quantity("mm", "z", kind="deviation")]
    uncertainty: HalfWidth
    without_touch: Annotated[float, Quantity("mm", "U_free", kind="deviation", bound="at least")]
    alike: Annotated[float, Quantity("mm", "U_alike", kind="deviation", bound="at least")]


def _fitted(
    id: str,
    fitter: Fitter,
    readings: tuple[Reading, ...],
    start: float,
    metal: float,
    gauge_uncertainty: float,
    repeatability: float,
    mode: str,
    min_depth: float,
    removing: str | None,
) -> Spring:
    sides = sides_of(mode)
    thin = sides * min_depth
    cuts, idle = sorted_cuts(
        _way(start, readings, removing), start, readings, thinnest_told(thin, gauge_uncertainty)
    )
    if not cuts:
        raise CalculationError(
            f"{id}: there is no reading after which metal was gone; expected sizes that go on from start, "
            "such as 46, then 46.46"
        )
    prior = prior_of(cuts[-1], idle, thin, sides)
    return Spring(cuts, prior, noise_of(repeatability, gauge_uncertainty), fitter, metal)


def _spring_of(
    fitter: Fitter,
    readings: tuple[Reading, ...],
    start: float,
    metal: float,
    gauge_uncertainty: float = 0.004,
    repeatability: float = 0.005,
    mode: str = "diameter",
    min_depth: float = 0.01,
    removing: str | None = None,
) -> CutSpring:
    spring = _fitted(
        "cut_spring",
        fitter,
        readings,
        start,
        metal,
        gauge_uncertainty,
        repeatability,
        mode,
        min_depth,
        removing,
    )
    return CutSpring(spring.share, spring.zero, 2 * spring.spread, 2 * spring.doubt, 2 * spring.scatter)


@calculation(
    title="What a cut comes out short of its dial: with the metal, and without",
    formula=(
        "c = cut_offsets(readings, s0, Ug, mode, a_min, off); "
        "all_told = cut_line(c.cuts, p, c.supposed, c.spread, 0.12 if mode == 'diameter' else 0.06, Ug, Ur); "
        "cuts_alone = cut_line(c.cuts, p, c.supposed, c.spread, None, Ug, Ur); "
        "k = min(max(all_told.share, 0), c.most); "
        "z = cuts_alone.zero + cuts_alone.mean * (cuts_alone.share - k); "
        "U = 2 * sqrt(all_told.u_line ** 2 + Ur ** 2 / 4) / (1 + k); "
        "U_free = 2 * sqrt(cuts_alone.u_line ** 2 + Ur ** 2 / 4) / (1 + k); "
        "U_alike = 2 * sqrt(cuts_alone.u_alike ** 2 + Ur ** 2 / 4) / (1 + k)"
    ),
    source="JCGM 100:2008, H.3; the suppositions: common practice, no source",
    examples=(
        Example(
            {"readings": (Reading(21.9, 22), Reading(20.9, 21)), "start": 23, "metal": 1},
            {"zero_error": -0.0195, "spring": 0.1195},
            "numpy.linalg.lstsq of the same four lines: two cuts, the touch-off, the spring supposed",
        ),
    ),
    second=lambda **given: _spring_of(fit_in_turn, **given),
)  # fmt: skip
def cut_spring(
    *,
    readings: ReadingRows,
    start: Start,
    metal: Metal,
    gauge_uncertainty: GaugeU = 0.004,
    repeatability: Repeats = 0.005,
    mode: Mode = "diameter",
    min_depth: MinDepth = 0.01,
    removing: Removes | None = None,
) -> CutSpring:
    """Split the offset dial - got [mm] into zero error and share of the metal, for a cut of `metal` [mm].

    `readings` are dial and size after each cut, oldest first, `start` the size before them. A cut of another
    depth than the next one says less. Before a cut is read the spring is supposed to be 0.15 ± 0.15, and the
    touch-off counts as a cut of no depth that came out at its dial, give or take 0.06 mm a side.
    `uncertainty` (k = 2) is that of the size which the next cut leaves.
    """
    return _spring_of(
        fit_at_once, readings, start, metal, gauge_uncertainty, repeatability, mode, min_depth, removing
    )


FarLimit = Annotated[float, Quantity("mm", "far", kind="size", usual=(0, 500))]


def _furthest_of(
    fitter: Fitter,
    readings: tuple[Reading, ...],
    start: float,
    far_limit: float,
    metal: float,
    gauge_uncertainty: float = 0.004,
    repeatability: float = 0.005,
    mode: str = "diameter",
    min_depth: float = 0.01,
    removing: str | None = None,
) -> float:
    spring = _fitted(
        "furthest_dial",
        fitter,
        readings,
        start,
        metal,
        gauge_uncertainty,
        repeatability,
        mode,
        min_depth,
        removing,
    )
    way = _way(start, readings, removing)
    return way * spring.furthest(way * readings[-1][1], way * far_limit)


@calculation(
    title="Dial beyond which the next cut could pass the limit",
    formula=(
        "c = cut_offsets(readings, s0, Ug, mode, a_min, off); "
        "e = cut_line(c.cuts, p, c.supposed, c.spread, None, Ug, Ur); k = min(max(e.share, 0), c.most); "
        "too_deep = e.share + ((0.32 if mode == 'diameter' else 0.16) + e.zero) / e.mean; "
        "least = max(k - 3 * e.u_share, 0); greatest = max(min(k + 3 * e.u_share, c.most, too_deep), least); "
        "s = readings[-1][1]; "
        "by = [e.zero + e.mean * (e.share - i) + (1 + i) * c.way * (far - s) for i in (least, greatest, k)]; "
        "F = s + c.way * max(min(by[:2]) - 3.2 * sqrt(e.u_alike ** 2 + Ur ** 2 / 4), "
        "by[2] - 3.2 * sqrt(e.u_line ** 2 + Ur ** 2 / 4))"
    ),
    source="JCGM 100:2008, H.3; 3.2 u, and 0.16 mm a side too deep at the most: common practice, no source",
    examples=(
        Example(
            {"readings": (Reading(46.5, 46.46),), "start": 46, "far_limit": 46.94, "metal": 0.46},
            {"furthest_dial": 46.9685},
            "by hand: the offset of 0.04 mm read once, u 0.0035 mm, and the next cut, u 0.0025 mm, make u "
            "0.0043 mm for equal cuts; 46.94 + 0.04, and 0.02 mm more metal at its share, less 3.2 of them",
        ),
    ),
    second=lambda **given: _furthest_of(fit_in_turn, **given),
)  # fmt: skip
def furthest_dial(
    *,
    readings: ReadingRows,
    start: Start,
    far_limit: FarLimit,
    metal: Metal,
    gauge_uncertainty: GaugeU = 0.004,
    repeatability: Repeats = 0.005,
    mode: Mode = "diameter",
    min_depth: MinDepth = 0.01,
    removing: Removes | None = None,
) -> Annotated[float, Quantity("mm", "F", kind="size")]:
    """Give the dial [mm] that a cut of about `metal` [mm] must not pass, from the last size that was read.

    `far_limit` [mm] is the limit past which the part is scrap: the lower one of a shaft, the upper one of
    a bore. The touch-off is not believed: the tool may stand 0.16 mm a side too deep.
    """
    return _furthest_of(
        fit_at_once,
        readings,
        start,
        far_limit,
        metal,
        gauge_uncertainty,
        repeatability,
        mode,
        min_depth,
        removing,
    )


class CutDial(NamedTuple):
    """Where the dial goes for a cut, the size it leaves, U of that (k = 2), and the dial not to pass [mm].

    `spring` and `furthest` are None where no cut has been read.
    """

    dial: Annotated[float, Quantity("mm", "to", kind="size")]
    size: Annotated[float, Quantity("mm", "exp", kind="size")]
    uncertainty: HalfWidth
    furthest: Annotated[float, Quantity("mm", "F", kind="size")] | None
    spring: Annotated[float, Quantity("", "k")] | None
    zero_error: Annotated[float, Quantity("mm", "z", kind="deviation")] | None


_CREEP = 0.25
"""Part of the thinnest cut by which a dial goes beyond one that took nothing: if that one only rubbed, the
next takes not much more than the thinnest cut."""


def dial_of(
    spring: Spring, idle: Sequence[Cut], now: float, far: float, metal: float, thin: float
) -> CutDial:
    """Give the dial that removes `metal`, along the way of the tool."""
    furthest = spring.furthest(now, far)
    dial = min(spring.dial_for(metal, now), furthest)
    if idle:  # where a dial took nothing the next goes on from there, be it by little
        dial = max(dial, now + max(cut.short for cut in idle) + thin * _CREEP)
    size = now + spring.removed_at(dial, now)
    return CutDial(dial, size, 2 * spring.spread, furthest, spring.share, spring.zero)


def dial_of_idle(idle: Sequence[Cut], now: float, metal: float, noise: Noise) -> CutDial:
    """Give the dial beyond the furthest one that took nothing: between nothing and `metal` may come off."""
    dial = now + max(cut.short for cut in idle) + metal
    return CutDial(dial, now + metal / 2, metal / 2 + 2 * noise.offset, None, None, None)


def _dial_by(
    fitter: Fitter,
    readings: tuple[Reading, ...],
    start: float,
    far_limit: float,
    metal: float,
    gauge_uncertainty: float = 0.004,
    repeatability: float = 0.005,
    mode: str = "diameter",
    min_depth: float = 0.01,
    removing: str | None = None,
) -> CutDial:
    sides, way = sides_of(mode), _way(start, readings, removing)
    thin, now = sides * min_depth, way * readings[-1][1]
    cuts, idle = sorted_cuts(way, start, readings, thinnest_told(thin, gauge_uncertainty))
    noise = noise_of(repeatability, gauge_uncertainty)
    if cuts:
        spring = Spring(cuts, prior_of(cuts[-1], idle, thin, sides), noise, fitter, metal)
        found = dial_of(spring, idle, now, way * far_limit, metal, thin)
    else:
        found = dial_of_idle(idle, now, metal, noise)
    furthest = None if found.furthest is None else way * found.furthest
    return found._replace(dial=way * found.dial, size=way * found.size, furthest=furthest)


@calculation(
    title="Dial for a cut of so much metal",
    formula=(
        "s = readings[-1][1]; c = cut_offsets(readings, s0, Ug, mode, a_min, off); "
        "cut = cut_spring(readings, s0, p, Ug, Ur, mode, a_min, off) if c.cuts else None; "
        "k = cut and cut.spring; z = cut and cut.zero_error; "
        "F = furthest_dial(readings, s0, far, p, Ug, Ur, mode, a_min, off) if cut else None; "
        "by = min(p + z + k * p, c.way * (F - s)) if cut else p + max([o for m, o in c.idle]); "
        "beyond = [o + a_min * (2 if mode == 'diameter' else 1) / 4 for m, o in c.idle]; "
        "to = s + c.way * (max([by, *beyond]) if cut else by); "
        "exp = s + c.way * (max((c.way * (to - s) - z) / (1 + k), 0) if cut else p / 2); "
        "U = cut.uncertainty if cut else p / 2 + sqrt(Ur ** 2 + 1.5 * Ug ** 2)"
    ),
    source="common practice, no source: equal cuts come out alike",
    examples=(
        Example(
            {"readings": (Reading(46.5, 46.46),), "start": 46, "far_limit": 46.94, "metal": 0.46},
            {"dial": 46.96, "size": 46.92},
            "by hand: 0.46 mm more, as the cut before; it comes out 0.04 mm short again",
        ),
        Example(
            {"readings": (Reading(29.9, 30),), "start": 30, "far_limit": 29.4, "metal": 0.25,
             "removing": "from a shaft or thickness"},
            {"dial": 29.65, "size": 29.875},
            "by hand: nothing came off at 29.9 mm, so 0.25 mm on from there",
        ),
    ),
    second=lambda **given: _dial_by(fit_in_turn, **given),
)  # fmt: skip
def dial_for_cut(
    *,
    readings: ReadingRows,
    start: Start,
    far_limit: FarLimit,
    metal: Metal,
    gauge_uncertainty: GaugeU = 0.004,
    repeatability: Repeats = 0.005,
    mode: Mode = "diameter",
    min_depth: MinDepth = 0.01,
    removing: Removes | None = None,
) -> CutDial:
    """Give the dial [mm] for a cut that is to remove `metal` [mm on the size] after the last size read.

    Never beyond `furthest_dial`; beyond a dial that took nothing by a quarter of the thinnest cut at least.
    Where no reading shows a cut, `metal` is wound on from the furthest dial that took nothing.
    """
    return _dial_by(
        fit_at_once,
        readings,
        start,
        far_limit,
        metal,
        gauge_uncertainty,
        repeatability,
        mode,
        min_depth,
        removing,
    )
