"""Text in roles, in rows of a width: what a page gives and the paper prints.

A role says what a text is, never how it looks; a look has one style for each role.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Literal, NamedTuple, get_args

from rich.cells import cell_len, set_cell_size

__all__ = [
    "ROLES",
    "Role",
    "Row",
    "Span",
    "beside",
    "column",
    "fit",
    "packed",
    "plain",
    "row",
    "spread",
    "whole_screens",
    "wrap",
]

Role = Literal[
    "text",
    "quiet",  # what is there to be read when wanted
    "title",  # the bar at the head
    "live",  # the one live line
    "mark",  # the word that says which line is live
    "big",  # the number to set
    "entry",  # what is being typed
    "done",
    "pending",
    "must",  # what has to be done next
    "stop",
    "caution",
    "danger",  # the four signal words of ANSI Z535
    "warning",
    "careful",
    "notice",
]
ROLES: tuple[Role, ...] = get_args(Role)


class Span(NamedTuple):
    """A piece of text in one role."""

    text: str
    role: Role = "text"


Row = tuple[Span, ...]


def row(text: str, role: Role = "text") -> Row:
    """A row of one piece."""
    return (Span(text, role),)


def plain(one: Row) -> str:
    """The text of a row."""
    return "".join(span.text for span in one)


def wrap(text: str, width: int) -> list[str]:
    """Break a text between words into lines of at most `width` cells; a longer word is broken anywhere."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        joined = f"{line} {word}" if line else word
        if cell_len(joined) <= width:
            line = joined
            continue
        if line:
            lines.append(line)
        *full, line = _pieces(word, max(width, 1))
        lines += full
    return [*lines, line] if line or not lines else lines


def packed(parts: Iterable[str], width: int, role: Role = "quiet") -> list[Row]:
    """Short pieces in as few rows as hold them, none broken."""
    lines: list[str] = []
    for part in parts:
        joined = f"{lines[-1]}   {part}" if lines else f" {part}"
        if lines and cell_len(joined) <= width:
            lines[-1] = joined
        else:
            lines.append(f" {part}")
    return [row(line, role) for line in lines]


def _pieces(word: str, width: int) -> list[str]:
    pieces, piece = [], ""
    for sign in word:
        if piece and cell_len(piece + sign) > width:
            pieces.append(piece)
            piece = ""
        piece += sign
    return [*pieces, piece]


def column(head: Row, text: str, role: Role, width: int) -> list[Row]:
    """A text behind a head, wrapped, its further lines under its first."""
    indent = cell_len(plain(head))
    first, *others = wrap(text, width - indent)
    return [(*head, Span(first, role)), *((Span(" " * indent), Span(other, role)) for other in others)]


def spread(left: Row, right: Row, width: int, role: Role = "text") -> Row:
    """One piece at the left edge and one at the right, with what lies between in a role of its own."""
    gap = width - cell_len(plain(left)) - cell_len(plain(right))
    return (*left, Span(" " * max(gap, 1), role), *right)


def beside(left: Sequence[Row], right: Sequence[Row], at: int) -> list[Row]:
    """Two blocks side by side; the right one begins in cell `at`."""
    count = max(len(left), len(right))
    padded_left = [*left, *[()] * (count - len(left))]
    padded_right = [*right, *[()] * (count - len(right))]
    return [fit(one, at) + other for one, other in zip(padded_left, padded_right, strict=True)]


def fit(one: Iterable[Span], width: int, more: str = "") -> Row:
    """Make a row exactly `width` cells wide; where it is longer, it ends with the sign `more`."""
    spans: list[Span] = []
    room = width
    for text, role in one:
        length = cell_len(text)
        if length > room:
            kept = set_cell_size(text, max(room - cell_len(more), 0)) + more
            spans.append(Span(set_cell_size(kept, room), role))
            return tuple(spans)
        spans.append(Span(text, role))
        room -= length
    return (*spans, Span(" " * room)) if room else tuple(spans)


def whole_screens(block: Sequence[Row], room: int) -> list[Row]:
    """Fill rows up to whole screens of `room` rows; a blank at their end counts for nothing."""
    kept = block[:-1] if block and not block[-1] else block
    rows: list[Row] = []
    for start in range(0, len(kept), room):
        screen = kept[start : start + room]
        rows += [*screen, *[()] * (room - len(screen))]
    return rows
