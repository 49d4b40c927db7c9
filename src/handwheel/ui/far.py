"""The far view: what is live, to be read from two metres and more.

The heading, the number as large as the terminal allows, its unit, and the item in a line or two; without a
number the item itself. It is a look of the operation page: every key does what it does there, and what is
typed, how it was answered and an entry that is not saved are seen here as well.
"""

from __future__ import annotations

from handwheel.drawing.figures import figures
from handwheel.present.view import RunView
from handwheel.ui.drawn import Around, entry_row, saved_row, signal, too_small
from handwheel.ui.looks import Look
from handwheel.ui.rows import Role, Row, Span, column, row, spread, wrap

__all__ = ["far_rows"]

_LINES = 2  # of the item's text under its number
_TYPED = {"READING": "READ"}


def far_rows(view: RunView, around: Around, look: Look, width: int, height: int) -> list[Row]:
    """The whole screen, exactly `height` rows of at most `width` cells."""
    small = too_small(width, height)
    if small:
        return [*small, *[()] * (height - len(small))][:height]
    head = [_heading(view, around, look, width), ()]
    foot = _foot(view, around, look, width)
    room = height - len(head) - len(foot)
    words = [row(f" {line}", "live") for line in wrap(view.text, width - 2)]
    number, unit = (around.entry, view.unit) if around.entry else (view.big, view.unit)
    choices: list[Row] = []
    for count, choice in enumerate(view.choices, start=1):
        choices += column((Span(f" {count} ", "must"), Span(" ")), choice, "text", width)
    if not number:
        return _exactly([*head, *words, (), *choices], height - len(foot), look) + foot
    shown = words[:_LINES]
    if len(words) > _LINES:
        cut = wrap(view.text, width - 2 - len(look.signs.more) - 1)[_LINES - 1]
        shown = [words[0], row(f" {cut} {look.signs.more}", "live")]
    body = _number(number, unit, look, width, room - len(shown) - len(choices) - 1)
    return _exactly([*head, *body, (), *shown, *choices], height - len(foot), look) + foot


def _heading(view: RunView, around: Around, look: Look, width: int) -> Row:
    """What the number is for; what is not live, or is dangerous, is said first."""
    parts: list[Span] = [Span(" ")]
    if around.away:
        word = "LOOKING AHEAD" if around.away > 0 else "LOOKING BACK"
        parts += [Span(f" {word}: {abs(around.away)} ", "careful"), Span(" ")]
    if view.word:
        parts += [Span(f" {view.word} ", signal(view.word)), Span(" ")]
    heading = _TYPED.get(view.kind, "TYPED") if around.entry else view.heading or view.kind
    role: Role = "stop" if view.kind == "STOP" else "mark"
    parts.append(Span(f"  {' '.join(heading)}  ", role))
    saved = () if around.saved.startswith("SAVED") else saved_row(around.saved, look.signs)
    return spread(tuple(parts), saved, width)


def _number(number: str, unit: str, look: Look, width: int, height: int) -> list[Row]:
    """The number with its unit at the foot of it; as text where it cannot be drawn."""
    room = width - len(unit) - 5
    drawn = figures(number.replace(",", "."), room, height, ascii=look.ascii)
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
