"""One cut more, or two equal ones with a reading between.

The last cut copies the one before it, and comes out as short of its dial as that one. A rest that is much
heavier or lighter is no copy, and one of which nobody knows how it will come out is none either: it goes
in two, so that the second copies the first.
"""

from collections.abc import Sequence
from math import sqrt
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import Example, Quantity, calculation

__all__ = ["OneOrTwo", "one_cut_or_two"]

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

_SPLIT_HELPS = 2.0
"""Spring that is this many times less certain than the noise: a reading between helps, else it does not."""

_COPY = 0.5
"""The same after one cut alone, where the next is so nearly a copy that its share hardly matters."""


def _why_two(
    left: float, depths: Sequence[float], room: float, without_touch: float | None, alike: float | None
) -> str:
    """Say why the rest should not go in one cut; nothing where it may."""
    much = _MUCH if len(depths) == 1 else _MUCH_THOUGH_KNOWN
    between = min(depths) <= left <= max(depths)
    if left > depths[-1] * much and not between:
        return "one would be much heavier than the last"
    if left < depths[-1] / much and not between:
        return "one would be much lighter than the last"
    if without_touch is None or alike is None or _FIT_FOR_ONE * without_touch / 2 <= room:
        return ""
    unsure = sqrt(max(without_touch**2 - alike**2, 0.0))
    if unsure <= (_SPLIT_HELPS if len(depths) > 1 else _COPY) * alike:
        return ""  # the share is known or does not matter; another reading would not make this cut surer
    return f"one would be sure to ±{without_touch:.3f} mm only"


def _first_half(left: float, last: float) -> float:
    """Give about half, so that the second cut lies between the two before it as far as halves allow.

    After a heavier cut it is the less, the heavier that one was: from a deeper first half the rest would
    be reached by going beyond what was read, from a lighter one between.
    """
    if last > left:
        return left * (0.5 - _LESS_THAN_HALF * min(last / left - 1, 1.0))
    return min(max((2 * left - last) / 3, _NEARLY_HALF * left), (1 - _NEARLY_HALF) * left)


Left = Annotated[float, Quantity("mm", "r", kind="size", above=0, usual=(0.01, 10))]
Depths = Annotated[tuple[float, ...], Quantity("mm", "m", kind="size", above=0, usual=(0.01, 10))]
Room = Annotated[float, Quantity("mm", "H", kind="deviation", usual=(0, 0.5))]
OpenU = Annotated[float, Quantity("mm", "U_free", kind="deviation", above=0, usual=(0.001, 0.5))]
AlikeU = Annotated[float, Quantity("mm", "U_alike", kind="deviation", above=0, usual=(0.001, 0.5))]
Thinnest = Annotated[float, Quantity("mm", "t", kind="size", above=0, usual=(0.002, 1))]


class OneOrTwo(NamedTuple):
    """The metal of the next cut [mm on the size], of how many cuts it is the first, and why not of one."""

    metal: Annotated[float, Quantity("mm", "p", kind="size")]
    cuts: Annotated[int, Quantity("", "cuts")]
    why: Annotated[str, Quantity("", "why")]


@calculation(
    title="One cut more, or two equal ones",
    formula=(
        "M = m or [r]; last = M[-1]; much = 1.8 if len(M) == 1 else 5; "
        "copy = last / much <= r <= last * much or min(M) <= r <= max(M); "
        "spring = sqrt(max((U_free / U_alike) ** 2 - 1, 0)) if U_free and U_alike else 0; "
        "unsure = spring > (0.5 if len(M) == 1 else 2) and 2.35 * U_free / 2 > H; "
        "cuts = 2 if r / 2 >= t and (m is None or not copy or unsure) else 1; "
        "heavy = r * (0.5 - 0.08 * min(last / r - 1, 1)); "
        "light = min(max((2 * r - last) / 3, 0.45 * r), 0.55 * r); "
        "p = r / cuts if m is None else (heavy if last > r else light) if cuts == 2 "
        "else t if r < t <= (most or 0) else r"
    ),
    source="common practice, no source: the last cut copies the one before it",
    examples=(
        Example(
            {"left": 0.46, "depths": (0.46,), "room": 0.008, "without_touch": 0.0076, "alike": 0.0076},
            {"cuts": 1, "metal": 0.46},
            "by hand: a copy of the last cut",
        ),
        Example(
            {"left": 0.6, "depths": (0.2,), "room": 0.02, "without_touch": 0.01, "alike": 0.008},
            {"cuts": 2, "metal": 0.33},
            "by hand: three times the last cut; (2 × 0.6 - 0.2) / 3 is 0.333, and 0.55 × 0.6 is the most",
        ),
        Example(
            {"left": 0.2, "depths": (0.5,), "room": 0.02},
            {"cuts": 2, "metal": 0.084},
            "by hand: less than 0.5 mm by more than 1.8; after so heavy a cut 0.42 of what is left",
        ),
    ),
    second=lambda **given: _by_bounds(**given),
)  # fmt: skip
def one_cut_or_two(
    *,
    left: Left,
    room: Room,
    depths: Depths | None = None,
    without_touch: OpenU | None = None,
    alike: AlikeU | None = None,
    thinnest: Thinnest = 0.02,
    most: Annotated[float, Quantity("mm", "most", kind="size")] | None = None,
) -> OneOrTwo:
    """Say whether `left` [mm on the size] goes in one cut or in two with a reading between.

    `depths` is what the cuts before removed, oldest first; without any, half is taken. `room` is from the
    aim to the nearer end of what a reading proves. `without_touch` and `alike` are U of the next size by
    `cut_spring`, for a cut of all that is left; without them only the depths are compared. `thinnest` [mm
    on the size] still cuts: no half is thinner, and where less is left so much is taken if `most` allows it.
    """
    if not depths:
        half = left / 2 if left / 2 >= thinnest else left
        return OneOrTwo(half, 2 if half < left else 1, "the last cut took nothing")
    why = _why_two(left, depths, room, without_touch, alike)
    if why and left / 2 >= thinnest:
        return OneOrTwo(_first_half(left, depths[-1]), 2, why)
    if why:
        why = "what one more cut would leave is too thin to cut"
    if most is not None and left < thinnest <= most:
        return OneOrTwo(thinnest, 1, why)  # a little past the aim and proven: less would only rub
    return OneOrTwo(left, 1, why)


def _by_bounds(
    left: float,
    room: float,
    depths: tuple[float, ...] | None = None,
    without_touch: float | None = None,
    alike: float | None = None,
    thinnest: float = 0.02,
    most: float | None = None,
) -> OneOrTwo:
    """Look for the depths that count as a copy, and for the widest U that still fits the room."""
    if depths is None:
        parts = 1 + (left >= 2 * thinnest)
        return OneOrTwo(left / parts, parts, "the last cut took nothing")
    factor, helps = ((_MUCH, _COPY), (_MUCH_THOUGH_KNOWN, _SPLIT_HELPS))[len(depths) > 1]
    copies = (depths[-1] / factor, depths[-1] * factor), (min(depths), max(depths))
    widest = max(2 * room / _FIT_FOR_ONE, (alike or 0.0) * sqrt(1 + helps * helps))
    sure = without_touch is None or alike is None or without_touch <= widest
    copied = sure and any(low <= left <= high for low, high in copies)
    if copied or left < 2 * thinnest:
        why = "" if copied else "what one more cut would leave is too thin to cut"
        return OneOrTwo(thinnest if left < thinnest <= (most or 0.0) else left, 1, why)
    if depths[-1] > left:
        share = max(0.5 - _LESS_THAN_HALF, 0.5 + _LESS_THAN_HALF - _LESS_THAN_HALF * depths[-1] / left)
    else:
        share = sorted((_NEARLY_HALF, 2 / 3 - depths[-1] / left / 3, 1 - _NEARLY_HALF))[1]
    return OneOrTwo(share * left, 2, _why_two(left, depths, room, without_touch, alike))
