"""A drawing as SVG, black on white: the same lines, with labels in rows of their own.

The picture is self-contained: no style sheet, no script, no font but the reader's own. Its hatching is
named by `key`, which has to differ between two drawings on one page.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import ceil
from xml.sax.saxutils import escape

from handwheel.drawing.layout import elbows, lanes, level, rows_for
from handwheel.drawing.shapes import Box, Drawing, OutlineKind, Place, Point

__all__ = ["svg_of"]

_TEXT = 13.0  # height of a label
_ROW = 18.0  # from label to label
_SIGN = 0.62  # width of a sign in heights of its font; wide enough for the usual sans-serif
_LANE = 12.0
_MARGIN = 10.0
_PICTURE = (360.0, 280.0)  # the picture without its labels, at most

_PENS: dict[OutlineKind, str] = {
    "edge": 'stroke-width="1.6"',
    "work": 'stroke-width="3"',
    "thread": 'stroke-width="0.8"',
    "lead": 'stroke-width="0.8" stroke-dasharray="3 2"',
    "tool": 'stroke-width="0.8" stroke-dasharray="6 3"',
    "around": 'stroke-width="0.8" stroke-dasharray="2 3"',
}


def svg_of(drawing: Drawing, key: str = "") -> str:
    """Draw as one `<svg>` element; its labels are text, and what is not known is said below."""
    return _Sheet(drawing, key or drawing.key).text()


class _Sheet:
    """An SVG being drawn; units are those of the picture, about a pixel each."""

    def __init__(self, drawing: Drawing, key: str) -> None:
        self.drawing = drawing
        self.key = "".join(one for one in key if one.isalnum() or one in "-_") or "drawing"
        self.box: Box = drawing.box
        self.scale = min(_PICTURE[0] / self.box.width, _PICTURE[1] / self.box.height)
        self.top = _MARGIN + 2 * _ROW
        upright = [one for one in drawing.dimensions if one.along == "y"]
        self.upright = sorted(upright, key=lambda one: -level(one))
        self.level = [one for one in drawing.dimensions if one.along == "x"]
        self.lanes = lanes(self.upright)
        self.right = _MARGIN + self.box.width * self.scale
        high = max(self.box.height * self.scale, _ROW * len(self.upright))
        self.rows = max(ceil(high / _ROW), len(self.upright))
        self.bottom = self.top + self.rows * _ROW

    def at(self, point: Point) -> tuple[float, float]:
        """Give where a point lies in the picture."""
        return (
            _MARGIN + (point.x - self.box.left) * self.scale,
            self.top + (self.box.top - point.y) * self.scale,
        )

    def text(self) -> str:
        """Give the whole element."""
        body = [*self._body()]
        below = [*self._below()]
        notes = [
            *(_text(_MARGIN, self._note_row(row), f"not known: {text}") for row, text in
              enumerate(self.drawing.unknown)),
        ]  # fmt: skip
        width = max(self._ends()) + _MARGIN
        height = self._note_row(len(self.drawing.unknown)) + _MARGIN
        title = escape(f"{self.drawing.title}: {self.drawing.seen}")
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.1f} {height:.1f}" '
            f'width="{width:.0f}" height="{height:.0f}" role="img" font-family="sans-serif" '
            f'font-size="{_TEXT:g}" fill="none" stroke="black" stroke-linecap="round">'
            f"<title>{title}</title>{_hatching(self.key)}" + "".join((*body, *below, *notes)) + "</svg>"
        )

    def _note_row(self, row: int) -> float:
        return self.bottom + (len(self.level) + row + 1) * _ROW + _TEXT / 2

    def _ends(self) -> Iterator[float]:
        """Give how far to the right each thing reaches."""
        yield self.right
        yield _MARGIN + _width(f"{self.drawing.title}: {self.drawing.seen}")
        yield from (_MARGIN + _width(f"not known: {text}") for text in self.drawing.unknown)
        yield from (self._label_x() + _width(one.label(self.drawing.system)) for one in self.upright)
        for one in self.level:
            yield max(self.at(one.start)[0], self.at(one.end)[0]) + 8 + _width(one.label(self.drawing.system))

    def _label_x(self) -> float:
        turns = max((0, *self._turns()))
        return self.right + (max(self.lanes, default=-1) + 2 + turns + 1) * _LANE

    def _turns(self) -> list[int]:
        return elbows(self._wanted(), rows_for(self._wanted(), self.rows))

    def _wanted(self) -> list[int]:
        return [
            min(int((self.at(Point(0, level(one)))[1] - self.top) / _ROW), self.rows - 1)
            for one in self.upright
        ]

    # --- the picture ---

    def _body(self) -> Iterator[str]:
        yield _text(_MARGIN, _MARGIN + _TEXT, f"{self.drawing.title}: {self.drawing.seen}")
        for area in self.drawing.areas:
            points = self._points(area.points)
            yield f'<polygon points="{points}" fill="url(#{self.key}-hatch)" stroke="none"/>'
        for axis in self.drawing.centre_lines:
            points = self._points((axis.start, axis.end))
            yield f'<polyline points="{points}" stroke-width="0.7" stroke-dasharray="14 3 3 3"/>'
        for outline in self.drawing.outlines:
            yield f'<polyline points="{self._points(outline.points)}" {_PENS[outline.kind]}/>'
        yield from self._places()
        yield from self._beside()

    def _points(self, points: Iterable[Point]) -> str:
        return " ".join(f"{x:.2f},{y:.2f}" for x, y in map(self.at, points))

    def _places(self) -> Iterator[str]:
        if self.drawing.zero is not None:
            x, y = self.at(self.drawing.zero)
            yield f'<path d="M{x - 7:.2f} {y:.2f}h14M{x:.2f} {y - 7:.2f}v14"/>'
            yield _text(x + 3, y + _TEXT + 2, "0")
        numbered = len(self.drawing.places) <= _MOST_NUMBERS
        for one in self.drawing.places:
            yield from self._place(one, numbered)

    def _place(self, one: Place, numbered: bool) -> Iterator[str]:
        x, y = self.at(one.at)
        radius = max((one.diameter or 0) / 2 * self.scale, 2.0)
        pen = {"done": 'fill="black"', "now": 'stroke-width="3.5"', "to come": 'stroke-width="1.6"'}[
            one.state
        ]
        yield f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{radius:.2f}" {pen}/>'
        if numbered or one.state == "now":
            words = f"{one.number} now" if one.state == "now" else f"{one.number}"
            yield _text(x + radius + 3, y - radius, words)

    # --- dimensions ---

    def _beside(self) -> Iterator[str]:
        wanted = self._wanted()
        given = rows_for(wanted, self.rows)
        base = self.right + (max(self.lanes, default=-1) + 2) * _LANE
        text = self._label_x()
        for one, lane, row, turn in zip(self.upright, self.lanes, given, self._turns(), strict=True):
            (start_x, start_y), (end_x, end_y) = self.at(one.start), self.at(one.end)
            y = self.at(Point(0, level(one)))[1]
            begin = self.right + (lane + 1) * _LANE if lane >= 0 else end_x
            if lane >= 0:
                yield _thin(start_x, start_y, begin, start_y)
                yield _thin(end_x, end_y, begin, end_y)
                yield _thin(begin, start_y, begin, end_y)
                yield from (_dot(begin, start_y), _dot(begin, end_y))
            label_y = self.top + (row + 0.5) * _ROW
            at = base + turn * _LANE
            lead = f"M{begin:.2f} {y:.2f}H{at:.2f}L{at + _LANE * 0.8:.2f} {label_y:.2f}H{text - 3:.2f}"
            yield f'<path d="{lead}" stroke-width="0.7"/>'
            yield _text(text, label_y + _TEXT * 0.35, one.label(self.drawing.system))

    def _below(self) -> Iterator[str]:
        for row, one in enumerate(self.level):
            left, right = sorted((self.at(one.start)[0], self.at(one.end)[0]))
            y = self.bottom + (row + 0.6) * _ROW
            yield _thin(left, y, right, y)
            yield from (_dot(left, y), _dot(right, y))
            yield _text(right + 8, y + _TEXT * 0.35, one.label(self.drawing.system))


_MOST_NUMBERS = 60
"""With more holes the numbers would lie on each other: then only the current one has its number."""


def _hatching(key: str) -> str:
    return (
        f'<defs><pattern id="{key}-hatch" width="7" height="7" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(45)"><path d="M0 0V7" stroke="black" stroke-width="0.7"/></pattern></defs>'
    )


def _thin(x: float, y: float, to_x: float, to_y: float) -> str:
    return f'<path d="M{x:.2f} {y:.2f}L{to_x:.2f} {to_y:.2f}" stroke-width="0.7"/>'


def _dot(x: float, y: float) -> str:
    return f'<circle cx="{x:.2f}" cy="{y:.2f}" r="1.8" fill="black" stroke="none"/>'


def _text(x: float, y: float, text: str) -> str:
    return f'<text x="{x:.2f}" y="{y:.2f}" fill="black" stroke="none">{escape(_printable(text))}</text>'


def _printable(text: str) -> str:
    return "".join(one if one.isprintable() else "?" for one in text)


def _width(text: str) -> float:
    return len(text) * _TEXT * _SIGN
