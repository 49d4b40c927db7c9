"""What text and SVG share: which row a label gets, and how a line leads to it without crossing another."""

from __future__ import annotations

from collections.abc import Sequence

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


def lanes(upright: Sequence[Dimension]) -> list[int]:
    """Give each upright dimension that needs a line of its own a lane, the shortest nearest to the drawing.

    A running one has none (-1): its extension line alone says how far it is from the face.
    """
    found = [-1] * len(upright)
    taken: list[list[tuple[float, float]]] = []
    ends = [(min(one.start.y, one.end.y), max(one.start.y, one.end.y)) for one in upright]
    own = [index for index, one in enumerate(upright) if not one.running]
    for index in sorted(own, key=lambda index: ends[index][1] - ends[index][0]):
        low, high = ends[index]
        free = next(
            (
                lane
                for lane, spans in enumerate(taken)
                if all(high <= begin or low >= end for begin, end in spans)
            ),
            len(taken),
        )
        if free == len(taken):
            taken.append([])
        taken[free].append((low, high))
        found[index] = free
    return found
