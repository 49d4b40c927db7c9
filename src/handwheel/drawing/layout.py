"""What text and SVG share: which row a label gets, and how a line leads to it without crossing another."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from handwheel.drawing.shapes import Dimension

__all__ = ["elbows", "lanes", "level", "rows_for"]


def level(one: Dimension) -> float:
    """Give the height [mm] at which the label of an upright dimension is wanted."""
    if one.running or one.before:
        return one.end.y
    return (one.start.y + one.end.y) / 2


def rows_for(wanted: Sequence[int], count: int) -> list[int]:
    """Give each label a row of its own in `count` rows, as near as can be to the one it wants.

    `wanted` is in order from the top; there have to be no more labels than rows.
    """
    rows: list[int] = []
    for one in wanted:
        rows.append(max(one, rows[-1] + 1 if rows else 0, 0))
    last = count - 1
    for index in range(len(rows) - 1, -1, -1):
        rows[index] = min(rows[index], last)
        last = rows[index] - 1
    return rows


def elbows(wanted: Sequence[int], given: Sequence[int]) -> list[int]:
    """Give the column in which each leader turns, so that no two cross; 0 where it runs straight.

    Of leaders that go down the lower turns first, of those that go up the upper.
    """
    down = [index for index, (one, row) in enumerate(zip(wanted, given, strict=True)) if row > one]
    up = [index for index, (one, row) in enumerate(zip(wanted, given, strict=True)) if row < one]
    columns = [0] * len(wanted)
    for place, index in enumerate(reversed(down)):
        columns[index] = place
    for place, index in enumerate(up):
        columns[index] = place
    return columns


def lanes(dimensions: Sequence[Dimension], axis: Literal["x", "y"] = "y") -> list[int]:
    """Give each dimension that needs a line of its own a lane, the shortest nearest to the drawing.

    A running one has none (-1): its extension line alone says how far it is from the face.
    """
    found = [-1] * len(dimensions)
    taken: list[list[tuple[float, float]]] = []
    own = [index for index, one in enumerate(dimensions) if not one.running]
    for index in sorted(own, key=lambda index: _length(dimensions[index], axis)):
        ends = sorted((getattr(dimensions[index].start, axis), getattr(dimensions[index].end, axis)))
        free = next(
            (
                lane
                for lane, spans in enumerate(taken)
                if all(ends[1] <= begin or ends[0] >= end for begin, end in spans)
            ),
            len(taken),
        )
        if free == len(taken):
            taken.append([])
        taken[free].append((ends[0], ends[1]))
        found[index] = free
    return found


def _length(one: Dimension, axis: Literal["x", "y"]) -> float:
    return abs(float(getattr(one.end, axis)) - float(getattr(one.start, axis)))
