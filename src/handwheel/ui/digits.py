"""Large digits, from one definition of three columns and five rows for every size and both sign sets.

A column or row of a glyph may be drawn wider or higher; a digit of five rows reads at about 5 m on an
ordinary screen (20 minutes of arc, cells of 6 mm; computed). The point is a block as wide as a stroke
and half, with room at both sides, so that it cannot be taken for a speck.
"""

from __future__ import annotations

from rich.cells import cell_len

__all__ = ["SIZES", "Size", "large"]

_GLYPHS = {
    "0": ("###", "# #", "# #", "# #", "###"),
    "1": ("## ", " # ", " # ", " # ", "###"),
    "2": ("###", "  #", "###", "#  ", "###"),
    "3": ("###", "  #", "###", "  #", "###"),
    "4": ("# #", "# #", "###", "  #", "  #"),
    "5": ("###", "#  ", "###", "  #", "###"),
    "6": ("###", "#  ", "###", "# #", "###"),
    "7": ("###", "  #", "  #", "  #", "  #"),
    "8": ("###", "# #", "###", "# #", "###"),
    "9": ("###", "# #", "###", "  #", "###"),
    "-": ("   ", "   ", "###", "   ", "   "),
    "+": ("   ", " # ", "###", " # ", "   "),
    "/": ("  #", "  #", " # ", "#  ", "#  "),
}
_NARROW = {  # drawn as they stand: three cells, the last rows
    ".": ("", "", "", "", "###"),
    ",": ("", "", "", "###", "## "),
    " ": ("", "", "", "", ""),
}

Size = tuple[int, int, int]
"""Width of a stroke, width of the middle column [cells], height of the second and fourth row [rows]."""

SIZES: tuple[Size, ...] = ((3, 3, 2), (2, 3, 1), (2, 2, 1))
"""From the largest; the smallest is five rows high."""


def large(text: str, block: str, room: int, height: int) -> list[str]:
    """Draw a number as large as `room` cells and `height` rows allow; [] where it cannot be drawn."""
    if not text or any(sign not in _GLYPHS and sign not in _NARROW for sign in text):
        return []
    for size in SIZES:
        lines = _draw(text, size)
        if len(lines) <= height and cell_len(lines[0]) <= room:
            return [line.replace("#", block) for line in lines]
    return []


def _draw(text: str, size: Size) -> list[str]:
    stroke, middle, high = size
    heights = (1, high, 1, high, 1)
    lines: list[str] = []
    for index, times in enumerate(heights):
        line = "  ".join(_row(sign, index, stroke, middle) for sign in text)
        lines += [line] * times
    return lines


def _row(sign: str, index: int, stroke: int, middle: int) -> str:
    if sign in _NARROW:
        return _NARROW[sign][index].ljust(3)
    pixels = _GLYPHS[sign][index]
    return pixels[0] * stroke + pixels[1] * middle + pixels[2] * stroke
