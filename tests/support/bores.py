"""Simulated bores and shafts: a tool that springs, a dial with a zero of its own, a gauge that scatters.

The part is cut once and read, then somebody follows an advice, cut by cut, until the reading proves the
part, the advice is to leave it, or two more cuts are made.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from handwheel.calc.next_cut import Reading, next_cut

__all__ = ["FAMILIES", "HARD", "ROUGHED", "SPRINGY", "Advice", "Family", "advised", "naive", "told", "tried"]

GAUGE = 0.004
"""U of the gauge [mm], k = 2: what is taken off the limits before a reading proves a part."""


@dataclass(frozen=True)
class Part:
    """One part as it is in truth; lengths in mm, all on diameter."""

    aim: float
    way: int
    total: float
    first: float
    zero: float
    share: float
    power: float
    rubs_below: float
    cut_noise: float
    reading_noise: float
    half: float
    gauge: float
    mode: str


@dataclass(frozen=True)
class Family:
    """Parts alike: ranges of the zero error and of the share, and what else is true of all of them.

    `total` comes off after roughing, of which the first cut is dialled to take `first`. The spring is
    share * removed, bent by `power` about a cut of 0.3 mm. Noises are standard deviations.
    """

    name: str
    total: float
    first: float
    zero: float
    shares: tuple[float, float] = (0.05, 0.4)
    way: int = 1
    power: float = 1.0
    rubs_below: float = 0.0
    cut_noise: float = 0.002
    reading_noise: float = 0.002
    half: float = 0.013
    gauge: float = GAUGE
    mode: str = "diameter"

    def part(self, dice: random.Random) -> Part:
        """Draw one part."""
        return Part(
            47.001 if self.way > 0 else 24.99,
            self.way,
            self.total,
            self.first,
            dice.uniform(-self.zero, self.zero),
            dice.uniform(*self.shares),
            self.power,
            self.rubs_below,
            self.cut_noise,
            self.reading_noise,
            self.half,
            self.gauge,
            self.mode,
        )


SPRINGY = (
    Family("bore, touched off well", 0.5, 0.25, 0.03),
    Family("bore, dial out by up to 0.3 mm", 1.0, 0.5, 0.3),
    Family("shaft, dial out by up to 0.3 mm", 1.0, 0.5, 0.3, way=-1),
    Family("bore, first cut heavy", 1.0, 0.65, 0.03),
    Family("bore, first cut light", 1.0, 0.3, 0.03),
    Family("bore, hardly any spring", 1.0, 0.5, 0.1, shares=(0.0, 0.05)),
    Family("bore, a bar that springs by 0.4", 1.0, 0.5, 0.1, shares=(0.4, 0.4)),
    Family("bore, spring grows less than the depth", 1.0, 0.5, 0.1, power=0.9),
    Family("bore, spring grows more than the depth", 1.0, 0.5, 0.1, power=1.1),
    Family("bore, less than 0.02 mm only rubs", 0.5, 0.25, 0.05, rubs_below=0.02),
    Family("bore, little stock", 0.2, 0.1, 0.02, rubs_below=0.02),
    Family("bore, more noise in the cut", 0.6, 0.3, 0.05, cut_noise=0.003, half=0.015),
)
"""The first cut is a semi-finishing cut, set so that about as much is left."""

ROUGHED = (
    *(
        Family(f"shaft, rough cut 0.53 and 0.4 left, share {share}", 0.93, 0.53, 0.0, (share, share), way=-1)
        for share in (0.0, 0.01, 0.03, 0.05, 0.1, 0.45)
    ),
    *(
        Family(f"bore, rough cut 2.2 and 0.9 left, share {share}", 3.1, 2.2, 0.05, (share, share))
        for share in (0.01, 0.03, 0.05, 0.1, 0.2, 0.3)
    ),
    *(
        Family(f"shaft, rough cut 1.2, dial out by 0.3, share {share}", 1.7, 1.2, 0.3, (share, share), -1)
        for share in (0.0, 0.03, 0.05, 0.1)
    ),
    Family("length, rough cut 0.6 and 0.4 left", 1.0, 0.6, 0.05, (0.0, 0.2), mode="length"),
    Family("bore, rough cut, zone of 0.03 mm", 1.8, 1.2, 0.05, (0.0, 0.4), half=0.015),
    Family("bore, rough cut, zone of 0.1 mm", 1.8, 1.2, 0.05, (0.0, 0.4), half=0.05),
    Family("bore, rough cut, zone of 0.4 mm", 1.8, 1.2, 0.3, (0.0, 0.4), half=0.2),
    Family("shaft, rough cut, zone of 0.6 mm", 0.9, 0.5, 0.1, (0.0, 0.4), way=-1, half=0.3),
    Family("bore, half first, no zero error", 1.0, 0.5, 0.0, (0.05, 0.4), half=0.0125, cut_noise=0.003,
           reading_noise=0.0),
    Family("bore, zone of 0.012 mm, a fine gauge", 0.5, 0.25, 0.02, (0.0, 0.3), half=0.006, gauge=0.0015,
           cut_noise=0.0008, reading_noise=0.0007),
)  # fmt: skip
"""The first pair is the last of the roughing, heavier than what is left, or nothing springs, or the zone is
wide or narrow."""

FAMILIES = SPRINGY + ROUGHED

HARD = (
    *(
        Family(f"bore, rough 2.2 and 0.5 left, dial out by 0.3, share {share}", 2.7, 2.2, 0.3, (share, share))
        for share in (0.0, 0.01, 0.03, 0.05, 0.1, 0.2, 0.3, 0.45)
    ),
    *(
        Family(f"shaft, rough cut 1.2, dial out by 0.3, share {share}", 1.7, 1.2, 0.3, (share, share), -1)
        for share in (0.2, 0.3, 0.45)
    ),
    Family("bore, rough cut 2.2 and 0.9 left, share 0.0", 3.1, 2.2, 0.05, (0.0, 0.0)),
    Family("bore, rough cut 2.2 and 0.9 left, share 0.45", 3.1, 2.2, 0.05, (0.45, 0.45)),
    *(
        Family(f"bore, half of {total} first, a gauge worse than it says", total, total / 2, 0.0, (0.05, 0.4),
               half=0.0125, cut_noise=0.0, reading_noise=0.003)
        for total in (0.3, 0.5, 1.0, 2.0)
    ),
)  # fmt: skip
"""What two cuts do not always bring to size: a tool touched off badly before a heavy rough cut, and readings
that scatter more than U says."""

Advice = Callable[[Part, float, float, float, list[tuple[float, float]]], float | None]
"""From part, current size, dial, start and readings to the next dial, or None to leave it."""


def told(
    part: Part, current: float, dial: float, start: float, readings: list[tuple[float, float]]
) -> float | None:
    """Follow next_cut, which is told the limits, the gauge, and how well a cut comes again."""
    answer = next_cut(
        aim=part.aim,
        current=current,
        dial=dial,
        start=start,
        readings=tuple(Reading(*one) for one in readings),
        lower_limit=part.aim - part.half,
        upper_limit=part.aim + part.half,
        gauge_uncertainty=part.gauge,
        repeatability=max(2 * part.cut_noise, 0.001),
        mode=part.mode,
    )
    return dial + part.way * answer.advance if answer.cuts else None


def advised(
    part: Part, current: float, dial: float, start: float, readings: list[tuple[float, float]]
) -> float | None:
    """Follow next_cut, which is told nothing but sizes."""
    rows = tuple(Reading(*one) for one in readings)
    answer = next_cut(aim=part.aim, current=current, dial=dial, start=start, readings=rows)
    return dial + part.way * answer.advance if answer.cuts else None


def naive(
    part: Part, current: float, dial: float, start: float, readings: list[tuple[float, float]]
) -> float | None:
    """Dial what is missing."""
    return dial + part.aim - current


def tried(family: Family, advice: Advice, count: int, seed: int, most: int = 2) -> Counter[str]:
    """Make so many parts; count those proven good, past their limit, and left with metal on.

    Parts that the first cut spoils before there is any advice are counted apart.
    """
    dice = random.Random(seed)
    return Counter(_made(family.part(dice), advice, dice, most) for _ in range(count))


def _made(part: Part, advice: Advice, dice: random.Random, most: int) -> str:
    cut, read = partial(_cut, part, dice), partial(_read, part, dice)
    true = part.aim - part.way * part.total
    start = read(true)
    dial = part.aim - part.way * (part.total - part.first)
    readings: list[tuple[float, float]] = []
    for number in range(most + 1):
        true = cut(true, dial)
        size = read(true)
        readings.append((dial, size))
        if part.way * (true - part.aim) > part.half:
            return "past" if number else "spoiled before"
        if abs(size - part.aim) <= part.half - part.gauge:
            return "good"
        wanted = advice(part, size, dial, start, readings)
        if wanted is None:
            return "not proven"
        dial = wanted
    return "left"


def _read(part: Part, dice: random.Random, true: float) -> float:
    return true + dice.gauss(0, part.reading_noise)


def _cut(part: Part, dice: random.Random, true: float, dial: float) -> float:
    """Cut: what the dial asks for goes into metal removed and spring; too little of it only rubs."""
    asked = part.way * (dial - true) - part.zero - dice.gauss(0, part.cut_noise)
    if asked <= 0:
        return true
    low, high = 0.0, asked
    for _ in range(40):
        removed = (low + high) / 2
        spring = part.share * 0.3 * (removed / 0.3) ** part.power
        low, high = (removed, high) if removed + spring < asked else (low, removed)
    return true + part.way * low if low >= part.rubs_below else true
