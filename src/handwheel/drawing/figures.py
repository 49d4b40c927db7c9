"""Large plain figures and the letters of headings and units, drawn with strokes at whatever height there is.

They are made as a hand with a broad pen makes them, in halves of a cell, which are about square. The
decimal point is a block half as wide again as a stroke, with room at both sides.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from itertools import pairwise
from math import cos, hypot, radians, sin

__all__ = ["LEAST", "figures"]

LEAST = 5
"""Rows of the smallest figures: at cells of 6 mm they read at about 5 m (20 minutes of arc; computed)."""

_MOST = 24
_WIDTH = 0.58  # of a figure, in heights
_STROKE = 0.17  # in heights
_GAP = 0.16  # between figures, in heights
_POINT = 1.5  # width of the decimal point, in strokes

_Corner = tuple[float, float]
_Stroke = tuple[_Corner, ...]


def figures(text: str, room: int, height: int, *, ascii: bool = False) -> list[str]:
    """Draw a number as large as `room` cells and `height` rows allow; [] where it cannot be drawn."""
    if not text or any(sign not in _STROKES and sign not in " .," for sign in text):
        return []
    for rows in range(min(height, _MOST), LEAST - 1, -1):
        gap = max(round(_GAP * 2 * rows), 1)
        if sum(_wide(sign, rows) for sign in text) + gap * (len(text) - 1) <= room:
            drawn = [_glyph(sign, rows, ascii) for sign in text]
            return [(" " * gap).join(glyph[row] for glyph in drawn) for row in range(rows)]
    return []


def _wide(sign: str, rows: int) -> int:
    """Give how many cells one figure takes that is `rows` high."""
    high = 2 * rows
    if sign == " ":
        return max(round(high * 0.12), 1)
    if sign in ".,":
        return max(round(_POINT * _stroke(high)), 2)
    return max(round(_WIDTH * high * _BROAD.get(sign, 1.0)), 3 if sign in _BROAD else 5)


def _stroke(high: int) -> float:
    """Give how broad the pen is, in halves."""
    return max(_STROKE * high, 1.6)


@lru_cache(maxsize=512)
def _glyph(sign: str, rows: int, ascii: bool) -> tuple[str, ...]:
    """Draw one figure, `rows` high."""
    wide = _wide(sign, rows)
    if sign == " ":
        return (" " * wide,) * rows
    halves = _point(sign, 2 * rows, wide) if sign in ".," else _figure(sign, 2 * rows, wide)
    return tuple(_row(halves[2 * row], halves[2 * row + 1], ascii) for row in range(rows))


def _row(upper: list[bool], lower: list[bool], ascii: bool) -> str:
    if ascii:
        return "".join("#" if one or other else " " for one, other in zip(upper, lower, strict=True))
    return "".join(" ▄▀█"[2 * one + other] for one, other in zip(upper, lower, strict=True))


def _figure(sign: str, high: int, wide: int) -> list[list[bool]]:
    stroke = _stroke(high)
    halves = [[False] * wide for _ in range(high)]
    reach = stroke / 2
    for line in _STROKES[sign]:
        placed = [(reach + x * (wide - stroke), reach + y * (high - stroke)) for x, y in line]
        for one, other in pairwise(placed):
            _pen(halves, one, other, reach)
    return halves


def _pen(halves: list[list[bool]], one: _Corner, other: _Corner, reach: float) -> None:
    """Blacken the halves whose middle is within reach of a line."""
    left, right = sorted((one[0], other[0]))
    top, bottom = sorted((one[1], other[1]))
    for y in range(max(int(top - reach), 0), min(int(bottom + reach) + 1, len(halves))):
        for x in range(max(int(left - reach), 0), min(int(right + reach) + 1, len(halves[0]))):
            if _distance((x + 0.5, y + 0.5), one, other) <= reach + 0.01:
                halves[y][x] = True


def _distance(at: _Corner, one: _Corner, other: _Corner) -> float:
    """Give the distance of a point from the line between two others."""
    way = (other[0] - one[0], other[1] - one[1])
    length = way[0] ** 2 + way[1] ** 2
    share = ((at[0] - one[0]) * way[0] + (at[1] - one[1]) * way[1]) / length if length else 0.0
    share = min(max(share, 0.0), 1.0)
    return hypot(at[0] - one[0] - share * way[0], at[1] - one[1] - share * way[1])


def _point(sign: str, high: int, wide: int) -> list[list[bool]]:
    block = high - wide - wide % 2
    tail = wide if sign == "," else 0
    halves = [[half >= block - tail] * wide for half in range(high)]
    for half in range(high - tail, high):  # the comma tapers to the left
        halves[half] = [column < wide - (half - high + tail) // 2 - 1 for column in range(wide)]
    return halves


def _arc(x: float, y: float, wide: float, high: float, begin: float, end: float) -> _Stroke:
    """Give an arc about a middle; angles in degrees, counter-clockwise from the right."""
    count = max(int(abs(end - begin) / 15), 2)
    turns = [radians(begin + (end - begin) * index / count) for index in range(count + 1)]
    return tuple((x + wide * cos(turn), y - high * sin(turn)) for turn in turns)


def _bend(start: _Corner, over: _Corner, end: _Corner) -> _Stroke:
    """Give a bend that begins towards a point and ends coming from it."""
    return tuple(_bent(start, over, end))


def _bent(start: _Corner, over: _Corner, end: _Corner) -> Iterator[_Corner]:
    for index in range(9):
        t = index / 8
        yield (
            (1 - t) ** 2 * start[0] + 2 * t * (1 - t) * over[0] + t * t * end[0],
            (1 - t) ** 2 * start[1] + 2 * t * (1 - t) * over[1] + t * t * end[1],
        )


_SIX: tuple[_Stroke, ...] = (
    _arc(0.5, 0.68, 0.5, 0.32, 0, 360),
    _bend((0.85, 0.0), (0.0, 0.2), (0.0, 0.68)),
)

_STROKES: dict[str, tuple[_Stroke, ...]] = {
    "0": (_arc(0.5, 0.5, 0.5, 0.5, 0, 360),),
    "1": (((0.08, 0.24), (0.52, 0.0), (0.52, 1.0)), ((0.1, 1.0), (0.94, 1.0))),
    "2": ((*_arc(0.5, 0.29, 0.48, 0.29, 165, -38), (0.0, 1.0), (1.0, 1.0)),),
    "3": (_arc(0.46, 0.25, 0.46, 0.25, 150, -80), _arc(0.46, 0.74, 0.54, 0.26, 80, -155)),
    "4": (((0.72, 1.0), (0.72, 0.0), (0.0, 0.7), (1.0, 0.7)),),
    "5": (((0.94, 0.0), (0.12, 0.0), (0.06, 0.5)), _arc(0.44, 0.68, 0.56, 0.32, 135, -150)),
    "6": _SIX,
    "7": (((0.0, 0.0), (1.0, 0.0), (0.36, 1.0)),),
    "8": (_arc(0.5, 0.25, 0.43, 0.25, 0, 360), _arc(0.5, 0.74, 0.5, 0.26, 0, 360)),
    "9": tuple(tuple((1 - x, 1 - y) for x, y in stroke) for stroke in _SIX),
    "-": (((0.08, 0.55), (0.92, 0.55)),),
    "+": (((0.0, 0.55), (1.0, 0.55)), ((0.5, 0.25), (0.5, 0.85))),
    "/": (((0.95, 0.0), (0.05, 1.0)),),
    "A": (((0.0, 1.0), (0.5, 0.0), (1.0, 1.0)), ((0.2, 0.65), (0.8, 0.65))),
    "D": (((0.0, 0.0), (0.0, 1.0)), ((0.0, 0.0), *_arc(0.4, 0.5, 0.6, 0.5, 90, -90), (0.0, 1.0))),
    "E": (((1.0, 0.0), (0.0, 0.0), (0.0, 1.0), (1.0, 1.0)), ((0.0, 0.5), (0.8, 0.5))),
    "F": (((1.0, 0.0), (0.0, 0.0), (0.0, 1.0)), ((0.0, 0.5), (0.8, 0.5))),
    "G": ((*_arc(0.5, 0.5, 0.5, 0.5, 45, 340), (1.0, 0.56), (0.6, 0.56)),),
    "K": (((0.0, 0.0), (0.0, 1.0)), ((0.95, 0.0), (0.0, 0.6)), ((0.35, 0.4), (1.0, 1.0))),
    "M": (((0.0, 1.0), (0.0, 0.0), (0.5, 0.55), (1.0, 0.0), (1.0, 1.0)),),
    "N": (((0.0, 1.0), (0.0, 0.0), (1.0, 1.0), (1.0, 0.0)),),
    "O": (_arc(0.5, 0.5, 0.5, 0.5, 0, 360),),
    "P": (((0.0, 1.0), (0.0, 0.0), *_arc(0.55, 0.28, 0.45, 0.28, 90, -90), (0.0, 0.56)),),
    "R": (
        ((0.0, 1.0), (0.0, 0.0), *_arc(0.55, 0.28, 0.45, 0.28, 90, -90), (0.0, 0.56)),
        ((0.5, 0.56), (1.0, 1.0)),
    ),
    "S": ((*_arc(0.5, 0.26, 0.48, 0.26, 30, 250), *_arc(0.5, 0.75, 0.5, 0.25, 80, -150)),),
    "T": (((0.0, 0.0), (1.0, 0.0)), ((0.5, 0.0), (0.5, 1.0))),
    "Y": (((0.0, 0.0), (0.5, 0.5), (1.0, 0.0)), ((0.5, 0.5), (0.5, 1.0))),
    "m": (
        ((0.0, 0.32), (0.0, 1.0)),
        ((0.0, 0.38), (0.38, 0.38), (0.5, 0.48), (0.5, 1.0)),
        ((0.5, 0.48), (0.62, 0.38), (0.86, 0.38), (1.0, 0.5), (1.0, 1.0)),
    ),
    "n": (((0.0, 0.32), (0.0, 1.0)), ((0.0, 0.38), (0.7, 0.38), (1.0, 0.55), (1.0, 1.0))),
    "i": (((0.5, 0.35), (0.5, 1.0)), ((0.5, 0.0), (0.5, 0.05))),
}
"""Each figure as strokes in a square of one by one, from its upper left corner; the letters are those of the
headings and of mm, in and 1/min."""

_BROAD: dict[str, float] = {"m": 1.5, "i": 0.3}
"""Signs that are not as wide as a figure."""
