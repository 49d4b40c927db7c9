"""The far view: what is live, to be read from two metres and more.

The heading, the number as large as the terminal allows, its unit, and the item in a line or two; without a
number the item itself. It is a look of the operation page: every key does what it does there, and what is
typed, how it was answered and an entry that is not saved are seen here as well.
"""

from __future__ import annotations

from rich.cells import cell_len

from handwheel.drawing.figures import LEAST, figures
from handwheel.present.view import RunView
from handwheel.ui.drawn import Around, entry_row, saved_row, signal, too_small
from handwheel.ui.looks import Look
from handwheel.ui.rows import Role, Row, Span, column, plain, row, spread, wrap

__all__ = ["far_rows"]

_LINES = 2  # of the item's text under its number
_LEAST_ROOM = 12  # rows from which there is a second line, and room round the number
_ROOMY = 24  # rows from which the heading is drawn large as well
_TYPED = {"READING": "READ"}


def far_rows(view: RunView, around: Around, look: Look, width: int, height: int) -> list[Row]:
    """The whole screen, exactly `height` rows of at most `width` cells."""
    small = too_small(width, height)
    if small:
        return [*small, *[()] * (height - len(small))][:height]
    foot = _foot(view, around, look, width)
    room = height - len(foot)
    words = [row(f" {line}", "live") for line in wrap(view.text, width - 2)]
    choices: list[Row] = []
    for count, choice in enumerate(view.choices, start=1):
        choices += column((Span(f" {count} ", "must"), Span(" ")), choice, "text", width)
    number = around.entry or view.big
    heading = _said(view, around)
    if not number:
        top = _head(view, around, look, width, heading)
        return _exactly([*top, (), *words, (), *choices], room, look) + foot
    roomy = room >= _LEAST_ROOM
    shown = _shortened(view.text, _LINES if roomy else 1, look, width)
    gap: list[Row] = [()] if roomy else []
    free = room - 1 - len(gap) - len(gap) - len(shown) - len(choices)
    letters = figures(heading, width - 4, LEAST, ascii=look.ascii) if free >= _ROOMY else []
    top = _head(view, around, look, width, "" if letters else heading)
    top += [row(f"  {line}", "must") for line in letters]
    body = _number(number, view.unit, look, width, free - len(letters))
    return _exactly([*top, *gap, *body, *gap, *shown, *choices], room, look) + foot


def _shortened(text: str, most: int, look: Look, width: int) -> list[Row]:
    """Give a text in so many lines at most; where it is longer it says so at its end."""
    lines = wrap(text, width - 2)
    if len(lines) > most:
        cut = wrap(text, width - 2 - len(look.signs.more) - 1)[most - 1]
        lines = [*lines[: most - 1], f"{cut} {look.signs.more}"]
    return [row(f" {line}", "live") for line in lines]


def _said(view: RunView, around: Around) -> str:
    """What the number is for: the one that is typed, or the one of the item."""
    return _TYPED.get(view.kind, "TYPED") if around.entry else view.heading or view.kind


def _head(view: RunView, around: Around, look: Look, width: int, heading: str) -> list[Row]:
    """The heading; what is not live, or is dangerous, or is not saved, is said beside it."""
    parts: list[Span] = [Span(" ")]
    if around.away:
        word = "LOOKING AHEAD" if around.away > 0 else "LOOKING BACK"
        parts += [Span(f" {word}: {abs(around.away)} ", "careful"), Span(" ")]
    if view.word:
        parts += [Span(f" {view.word} ", signal(view.word)), Span(" ")]
    if heading:
        role: Role = "stop" if view.kind == "STOP" else "mark"
        parts.append(Span(f"  {' '.join(heading)}  ", role))
    saved = () if around.saved.startswith("SAVED") else saved_row(around.saved, look.signs)
    if cell_len(plain(tuple(parts))) + cell_len(plain(saved)) < width:
        return [spread(tuple(parts), saved, width)]
    return [tuple(parts), *(row(f" {one}", saved[0].role) for one in wrap(plain(saved), width - 2))]


def _number(number: str, unit: str, look: Look, width: int, height: int) -> list[Row]:
    """The number with its unit below it, both large; the unit as text, or both, where that has no room."""
    units = figures(unit, width - 4, LEAST, ascii=look.ascii)
    drawn = figures(number, width - 4, height - len(units) - 1, ascii=look.ascii) if units else []
    if drawn:
        return [
            *(row(f"  {line}", "big") for line in drawn),
            (),
            *(row(f"  {line}", "must") for line in units),
        ]
    drawn = figures(number, width - len(unit) - 5, height, ascii=look.ascii)
    if not drawn:
        return [(Span(f"  {number} {unit}".rstrip(), "big"),)]
    rows: list[Row] = [row(f"  {line}", "big") for line in drawn]
    rows[-1] = (*rows[-1], Span(f"  {unit}", "big"))
    return rows


def _foot(view: RunView, around: Around, look: Look, width: int) -> list[Row]:
    """What was said, and the field."""
    rows: list[Row] = []
    for message in (*around.notices, *filter(None, (around.message,))):
        rows += column((Span(f" {look.signs.said} ", "must"),), message, "must", width)
    return [*rows, entry_row(view, around, look.signs)]


def _exactly(rows: list[Row], height: int, look: Look) -> list[Row]:
    if len(rows) > height:
        return [*rows[: max(height - 1, 0)], row(f" {look.signs.more}", "live")][:height]
    return [*rows, *[()] * (height - len(rows))]
