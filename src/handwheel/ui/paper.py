"""The one widget: it prints rows, and repaints only those that changed."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from rich.segment import Segment
from rich.style import Style
from textual.color import Color
from textual.filter import LineFilter
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from handwheel.ui.looks import Look
from handwheel.ui.rows import Role, Row, fit, plain

__all__ = ["Paper", "WithoutColour"]


class Paper(Widget):
    """Rows of text in roles, as large as the terminal; `source` gives them for a width and a height.

    Text is never read as markup.
    """

    DEFAULT_CSS = "Paper { width: 100%; height: 100%; }"

    def __init__(self, look: Look, source: Callable[[int, int], Sequence[Row]]) -> None:
        super().__init__()
        self._source = source
        self._inks: Mapping[Role, Style] = {role: Style.parse(text) for role, text in look.styles.items()}
        self._rows: Sequence[Row] = ()

    def on_resize(self) -> None:
        """Make the rows anew."""
        self.paint()

    def paint(self) -> None:
        """Print the rows that changed."""
        width, height = self.size
        if not width or not height:
            return
        before, self._rows = self._rows, self._source(width, height)
        if len(before) != len(self._rows):
            self.refresh()
            return
        changed = [y for y, (old, new) in enumerate(zip(before, self._rows, strict=True)) if old != new]
        if changed:
            self.refresh(*(Region(0, y, width, 1) for y in changed))

    def text(self) -> list[str]:
        """Give what is printed, without its roles."""
        return [plain(row) for row in self._rows]

    def render_line(self, y: int) -> Strip:
        """Give one row as the terminal gets it."""
        width = self.size.width
        spans = fit(self._rows[y] if y < len(self._rows) else (), width)
        return Strip([Segment(text, self._inks[role]) for text, role in spans], width)


class WithoutColour(LineFilter):
    """Takes every colour out and leaves bold, reverse and underline."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """Give the segments with attributes alone."""
        return [Segment(text, style and _bare(style), control) for text, style, control in segments]


def _bare(style: Style) -> Style:
    return Style(bold=style.bold, reverse=style.reverse, underline=style.underline)
