"""A drawing as signs: true to scale in cells twice as high as wide, in half blocks or in ASCII alone.

Every cell holds two halves, one above the other, so that a half is about square. Edges are solid halves,
cut material is hatched, a full thread is drawn as rungs. Depths have their labels at the right, in rows of
their own; sizes along X stand below, one a row. What has no room is counted at the foot, never cut off.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import ceil, cos, pi, sin
from textwrap import wrap
from typing import Literal, NamedTuple
from unicodedata import east_asian_width

from handwheel.drawing.layout import elbows, lanes, level, rows_for
from handwheel.drawing.shapes import Dimension, Drawing, OutlineKind, Place, Point

__all__ = ["Ink", "Line", "Piece", "plain_lines", "text_of"]

Ink = Literal[
    "paper", "title", "edge", "work", "hatch", "thread", "axis", "line", "label", "note", "missing",
    "now", "done", "to come",
]  # fmt: skip
"""What a sign is part of; a screen gives each a look of its own."""


class Piece(NamedTuple):
    """Signs of one kind."""

    text: str
    ink: Ink = "paper"


Line = tuple[Piece, ...]

_NARROWEST = 8
_LOWEST = 3
"""A picture smaller than this, in cells, says nothing: then its labels give way."""

_TURNS = 3
"""In how many columns leaders may turn beside each other; with more they cannot be told apart."""

_N, _E, _S, _W = 1, 2, 4, 8
_JOINTS = " │─└││┌├─┘─┴┐┤┬┼"
_ASCII_JOINTS = " |-+||++-+-+++++"

_SIGNS: dict[str, str] = {"done": "●", "now": "◆", "to come": "○"}
_ASCII_SIGNS: dict[str, str] = {"done": "*", "now": "@", "to come": "o"}
_DOTTED: dict[OutlineKind, tuple[str, str]] = {
    "thread": ("≡", "="),
    "lead": ("-", "-"),
    "tool": ("·", "."),
    "around": ("·", "."),
}
_SPELLED = {"Ø": "dia ", "µ": "u", "°": " deg", "·": "-", "–": "-", "…": "...", "×": "x", "●": "*", "◆": "@",
            "○": "o", "≡": "=", "²": "2", "³": "3", "½": "1/2", "\N{THIN SPACE}": " "}  # fmt: skip


def plain_lines(lines: Iterable[Line]) -> list[str]:
    """Give the signs of a drawing without their kinds."""
    return ["".join(piece.text for piece in line).rstrip() for line in lines]


def text_of(drawing: Drawing, width: int, height: int, *, ascii: bool = False) -> list[Line]:
    """Draw in at most `width` cells and `height` rows; with `ascii` in ASCII alone."""
    width, height = max(width, 1), max(height, 1)
    head: list[Line] = [(Piece(line, "title"),) for line in _head(drawing, width, ascii)]
    foot: list[Line] = [
        (Piece(line, ink),) for text, ink in _notes(drawing) for line in _wrapped(text, width, ascii)
    ]
    if drawing.empty:
        return [*head, *foot][:height]
    for numbers_only in (False, True):
        for count in range(len(drawing.dimensions), -1, -1):
            more = _left_out(len(drawing.dimensions) - count, width, ascii)
            room = height - len(head) - len(foot) - len(more)
            shown = replace(drawing, dimensions=drawing.dimensions[:count])
            picture = _picture(shown, width, room, ascii, numbers_only) if count or numbers_only else None
            if picture is not None:
                return [*head, *picture, *more, *foot]
    return [*head, *_left_out(len(drawing.dimensions), width, ascii), *foot][:height]


def _head(drawing: Drawing, width: int, ascii: bool) -> list[str]:
    """Give what is drawn and from where it is seen, on one line if it has room there."""
    both = f"{drawing.title}: {drawing.seen}"
    parts = (both,) if len(both) <= width else (drawing.title, drawing.seen)
    return [line for part in parts for line in _wrapped(part, width, ascii)]


def _left_out(count: int, width: int, ascii: bool) -> list[Line]:
    text = f"… {count} more sizes: there is no room here" if count else ""
    return [(Piece(line, "missing"),) for line in _wrapped(text, width, ascii)]


def _notes(drawing: Drawing) -> Iterator[Piece]:
    if drawing.places:
        yield Piece("  ".join(_legend(drawing.places)), "note")
    yield from (Piece(f"not known: {text}", "missing") for text in drawing.unknown)


def _legend(places: Sequence[Place]) -> Iterator[str]:
    for state in ("done", "now", "to come"):
        of_it = [one.number for one in places if one.state == state]
        if of_it:
            yield f"{_SIGNS[state]} {state} {of_it[0] if state == 'now' else len(of_it)}"


def _wrapped(text: str, width: int, ascii: bool) -> list[str]:
    return wrap(_spelled(text, ascii), width, break_on_hyphens=False)


def _spelled(text: str, ascii: bool) -> str:
    """Give a text in signs of one cell each; in ASCII the trade's signs are spelled out."""
    if ascii:
        return "".join(one if " " <= one <= "~" else _SPELLED.get(one, "?") for one in text)
    return "".join(one if one.isprintable() and east_asian_width(one) not in "WF" else "?" for one in text)


@dataclass(frozen=True, slots=True)
class _Fit:
    """How a drawing lies in its cells: halves to the millimetre, its corner, and its size in cells."""

    scale: float
    left: float
    top: float
    columns: int
    rows: int

    def column(self, x: float) -> int:
        return min(max(round((x - self.left) * self.scale), 0), self.columns - 1)

    def half(self, y: float) -> int:
        return min(max(round((self.top - y) * self.scale), 0), 2 * self.rows - 1)

    def row(self, y: float) -> int:
        return self.half(y) // 2


def _fit(drawing: Drawing, columns: int, rows: int) -> _Fit:
    box = drawing.box
    scale = min((columns - 1) / box.width, (2 * rows - 1) / box.height)
    used = round(box.width * scale) + 1, ceil((round(box.height * scale) + 1) / 2)
    return _Fit(scale, box.left, box.top, min(used[0], columns), min(used[1], rows))


def _picture(drawing: Drawing, width: int, room: int, ascii: bool, numbers_only: bool) -> list[Line] | None:
    """Draw with all its dimensions, or say that they have no room."""
    upright = [one for one in drawing.dimensions if one.along == "y"]
    level_ = [one for one in drawing.dimensions if one.along == "x"]
    rows_below = len(level_)
    system = drawing.system
    labels = [_spelled(one.number(system) if numbers_only else one.label(system), ascii) for one in upright]
    beside = _Beside.planned(upright, labels) if upright else None
    columns = width - (beside.width if beside else 0)
    if columns < (_NARROWEST if upright else 1):
        return None
    for _ in range(4):
        rows = room - rows_below
        if rows < max(_LOWEST, len(upright)):
            return None
        fit = _fit(drawing, columns, rows)
        below = _below(level_, fit, drawing, width, ascii)
        if len(below) <= rows_below:
            break
        rows_below = len(below)
    else:
        return None
    canvas = _Canvas(fit, width, max(fit.rows, len(upright)), ascii)
    canvas.draw(drawing)
    if beside is not None and not beside.draw(canvas, upright, labels):
        return None
    return [*canvas.lines(), *below]


# --- labels --------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Beside:
    """The labels at the right: lanes for dimension lines, columns in which leaders turn, then the text."""

    lanes: tuple[int, ...]
    turns: int
    text: int

    @classmethod
    def planned(cls, upright: Sequence[Dimension], labels: Sequence[str]) -> _Beside:
        return cls(tuple(lanes(upright)), min(len(upright), _TURNS), max(map(len, labels)))

    @property
    def first_turn(self) -> int:
        return 1 + 2 * (max(self.lanes, default=-1) + 1)

    @property
    def width(self) -> int:
        return self.first_turn + self.turns + 1 + self.text

    def draw(self, canvas: _Canvas, upright: Sequence[Dimension], labels: Sequence[str]) -> bool:
        """Draw extension and dimension lines and leaders, and write the labels; not if they would cross."""
        fit, edge = canvas.fit, canvas.fit.columns
        order = sorted(range(len(upright)), key=lambda index: (-level(upright[index]), index))
        wanted = [min(fit.row(level(upright[index])), canvas.rows - 1) for index in order]
        given = rows_for(wanted, canvas.rows)
        turns = elbows(wanted, given)
        if max(turns) >= self.turns:
            return False
        text = edge + self.first_turn + self.turns + 1
        for index, want, row, turn in zip(order, wanted, given, turns, strict=True):
            one, lane = upright[index], self.lanes[index]
            begin = edge + 1 + 2 * lane if lane >= 0 else edge
            if lane >= 0:
                for end in (one.start, one.end):
                    canvas.level(fit.row(end.y), fit.column(end.x) + 1, begin)
                canvas.upright(begin, fit.row(one.start.y), fit.row(one.end.y))
            else:
                canvas.level(want, fit.column(one.end.x) + 1, begin)
            at = edge + self.first_turn + turn
            if row == want:
                canvas.level(want, begin, text - 2)
            else:
                canvas.level(want, begin, at)
                canvas.upright(at, want, row)
                canvas.level(row, at, text - 2)
            canvas.write(row, text, labels[index], "label")
        return True


def _below(level_: Sequence[Dimension], fit: _Fit, drawing: Drawing, width: int, ascii: bool) -> list[Line]:
    """Give the sizes along X, one below the other, each from where to where it goes."""
    rows: list[Line] = []
    for one in level_:
        ends = sorted((fit.column(one.start.x), fit.column(one.end.x)))
        rows += _level_row(ends[0], ends[1], _label_that_fits(one, drawing, width, ascii), width, ascii)
    return rows


def _label_that_fits(one: Dimension, drawing: Drawing, width: int, ascii: bool) -> str:
    label = _spelled(one.label(drawing.system), ascii)
    return label if len(label) <= width else _spelled(one.number(drawing.system), ascii)


def _level_row(start: int, end: int, label: str, width: int, ascii: bool) -> list[Line]:
    """Draw one size along X, with its label behind it, before it, in it, or below it."""
    left, line, right, both = "|-||" if ascii else "├─┤│"
    drawn = left + line * (end - start - 1) + right if end > start else both
    space = Piece(" " * start)
    if end + 2 + len(label) <= width:
        return [(space, Piece(drawn, "line"), Piece(" "), Piece(label, "label"))]
    if len(label) + 1 <= start:
        return [
            (Piece(" " * (start - len(label) - 1)), Piece(label, "label"), Piece(" "), Piece(drawn, "line"))
        ]
    inside = end - start - 1
    if inside >= len(label) + 2:
        before = (inside - len(label)) // 2
        after = inside - len(label) - before
        return [
            (
                space,
                Piece(left + line * (before - 1) + " ", "line"),
                Piece(label, "label"),
                Piece(" " + line * (after - 1) + right, "line"),
            )
        ]
    at = max(min(start, width - len(label)), 0)
    return [(space, Piece(drawn, "line")), (Piece(" " * at), Piece(label[:width], "label"))]


# --- the picture ---------------------------------------------------------------------------------------

_HATCH, _EDGE, _WORK = 1, 2, 3


class _Canvas:
    """Cells being drawn on: halves, then lines over what is no edge, then signs and words over all."""

    def __init__(self, fit: _Fit, width: int, rows: int, ascii: bool) -> None:
        self.fit = fit
        self.width = width
        self.rows = rows
        self._ascii = ascii
        self._halves = [bytearray(fit.columns) for _ in range(2 * fit.rows)]
        self._joints: dict[tuple[int, int], int] = {}
        self._signs: dict[tuple[int, int], Piece] = {}

    def draw(self, drawing: Drawing) -> None:
        """Draw all but the dimensions."""
        for area in drawing.areas:
            self._fill(area.points)
        for axis in drawing.centre_lines:
            self._axis(axis.start, axis.end)
        for outline in drawing.outlines:
            self._outline(outline.points, outline.kind)
        if drawing.places or drawing.zero is not None:
            _Places(self, drawing, self._ascii).draw()

    # --- halves ---

    def _fill(self, points: Sequence[Point]) -> None:
        """Hatch a polygon: along each row of halves, from one crossing of its outline to the next."""
        fit = self.fit
        for half, cells in enumerate(self._halves):
            y = fit.top - half / fit.scale
            crossings = sorted(
                one.x + (y - one.y) * (other.x - one.x) / (other.y - one.y)
                for one, other in pairwise((*points, *points[:1]))
                if (one.y > y) != (other.y > y)
            )
            for begin, end in zip(crossings[::2], crossings[1::2], strict=False):
                if end - begin < 1e-9:
                    continue
                for column in range(fit.column(begin), fit.column(end) + 1):
                    cells[column] = max(cells[column], _HATCH)

    def _outline(self, points: Sequence[Point], kind: OutlineKind) -> None:
        for one, other in pairwise(points):
            for column, half in self._between(one, other):
                if kind in ("edge", "work"):
                    self._halves[half][column] = max(
                        self._halves[half][column], _WORK if kind == "work" else _EDGE
                    )
                elif kind != "lead" or max(self._pair(half // 2, column)) < _EDGE:
                    sign = _DOTTED[kind][self._ascii]
                    ink: Ink = "thread" if kind in ("thread", "lead") else "axis"
                    self.sign(half // 2, column, sign, ink)

    def circle(self, middle: Point, radius: float, *, work: bool) -> None:
        """Draw a circle of edges."""
        count = max(int(8 * radius * self.fit.scale), 16)
        turns = [2 * pi * index / count for index in range(count + 1)]
        points = [Point(middle.x + radius * cos(turn), middle.y + radius * sin(turn)) for turn in turns]
        self._outline(points, "work" if work else "edge")

    def _between(self, one: Point, other: Point) -> Iterator[tuple[int, int]]:
        start = self.fit.column(one.x), self.fit.half(one.y)
        end = self.fit.column(other.x), self.fit.half(other.y)
        steps = max(abs(end[0] - start[0]), abs(end[1] - start[1]), 1)
        for step in range(steps + 1):
            share = step / steps
            yield (
                round(start[0] + (end[0] - start[0]) * share),
                round(start[1] + (end[1] - start[1]) * share),
            )

    def _axis(self, one: Point, other: Point) -> None:
        upright = abs(one.x - other.x) < abs(one.y - other.y)
        cells = {(half // 2, column) for column, half in self._between(one, other)}
        for row, column in sorted(cells):
            if upright or column % 2 == 0:
                self.sign(row, column, ":" if upright else "-", "axis")

    # --- lines, signs and words ---

    def level(self, row: int, begin: int, end: int) -> None:
        """Draw a line from one column to another."""
        for column in range(min(begin, end), max(begin, end)):
            self._join(row, column, _E)
            self._join(row, column + 1, _W)

    def upright(self, column: int, begin: int, end: int) -> None:
        """Draw a line from one row to another."""
        for row in range(min(begin, end), max(begin, end)):
            self._join(row, column, _S)
            self._join(row + 1, column, _N)

    def _join(self, row: int, column: int, way: int) -> None:
        self._joints[row, column] = self._joints.get((row, column), 0) | way

    def sign(self, row: int, column: int, sign: str, ink: Ink) -> None:
        """Put a sign into a cell of the picture."""
        self._signs[row, column] = Piece(sign, ink)

    def write(self, row: int, column: int, text: str, ink: Ink) -> None:
        """Write words."""
        for index, sign in enumerate(text):
            self._signs[row, column + index] = Piece(sign, ink)

    def lines(self) -> list[Line]:
        """Give the rows, each as pieces of one kind."""
        return [_joined(self._cell(row, column) for column in range(self.width)) for row in range(self.rows)]

    def _cell(self, row: int, column: int) -> Piece:
        upper, lower = self._pair(row, column)
        sign = self._signs.get((row, column))
        if sign is not None and (sign.ink != "axis" or max(upper, lower) < _EDGE):
            return sign
        if max(upper, lower) >= _EDGE:
            return self._edge(upper, lower)
        joint = self._joints.get((row, column))
        if joint is not None:
            return Piece((_ASCII_JOINTS if self._ascii else _JOINTS)[joint], "line")
        if upper or lower:
            return Piece("/" if self._ascii else "░", "hatch")
        return Piece(" ")

    def _pair(self, row: int, column: int) -> tuple[int, int]:
        if row >= self.fit.rows or column >= self.fit.columns:
            return 0, 0
        return self._halves[2 * row][column], self._halves[2 * row + 1][column]

    def _edge(self, upper: int, lower: int) -> Piece:
        ink: Ink = "work" if _WORK in (upper, lower) else "edge"
        if self._ascii:
            return Piece("#", ink)
        return Piece("█" if upper >= _EDGE and lower >= _EDGE else "▀" if upper >= _EDGE else "▄", ink)


def _joined(cells: Iterable[Piece]) -> Line:
    pieces: list[Piece] = []
    for text, ink in cells:
        if pieces and pieces[-1].ink == ink:
            pieces[-1] = Piece(pieces[-1].text + text, ink)
        else:
            pieces.append(Piece(text, ink))
    return tuple(pieces)


class _Places:
    """The holes of a pattern and the zero, each with its number where there is room for it."""

    def __init__(self, canvas: _Canvas, drawing: Drawing, ascii: bool) -> None:
        self._canvas = canvas
        self._drawing = drawing
        self._signs = _ASCII_SIGNS if ascii else _SIGNS
        self._taken: set[tuple[int, int]] = set()

    def draw(self) -> None:
        """Draw the holes, the current one over the others, then the numbers."""
        fit = self._canvas.fit
        stand = Counter((fit.row(one.at.y), fit.column(one.at.x)) for one in self._drawing.places)
        rank = {"to come": 0, "done": 1, "now": 2}
        in_order = sorted(self._drawing.places, key=lambda one: (rank[one.state], -one.number))
        for one in in_order:
            radius = (one.diameter or 0) / 2
            if radius * fit.scale >= 2.5:
                self._canvas.circle(one.at, radius, work=one.state == "now")
            cell = fit.row(one.at.y), fit.column(one.at.x)
            self._canvas.sign(*cell, self._signs[one.state], one.state)
            self._taken.add(cell)
        zero = self._drawing.zero
        if zero is not None:
            cell = fit.row(zero.y), fit.column(zero.x)
            if cell not in self._taken:
                self._canvas.sign(*cell, "+", "label")
                self._taken.add(cell)
                self._number(zero, "0", "label")
        for one in reversed(in_order):
            if one.state == "now" or stand[fit.row(one.at.y), fit.column(one.at.x)] == 1:
                self._number(one.at, str(one.number), "now" if one.state == "now" else "label")

    def _number(self, at: Point, text: str, ink: Ink) -> None:
        fit = self._canvas.fit
        row, column, long = fit.row(at.y), fit.column(at.x), len(text)
        below = (row + 1, column - long // 2)
        for top, left in ((row, column + 1), (row, column - long), below, (row - 1, column - long // 2)):
            cells = [(top, left + index) for index in range(long)]
            # one more at each side, so that two numbers never read as one
            around = [(top, left - 1), *cells, (top, left + long)]
            own = (row, column)
            if (
                left >= 0
                and left + long <= fit.columns
                and 0 <= top < fit.rows
                and not any(cell in self._taken and cell != own for cell in around)
            ):
                self._canvas.write(top, left, text, ink)
                self._taken.update(cells)
                return
