"""The operation screen as rows: what is live in one fixed place, what stands around it, what is typed.

From the top: the head with the place and how saving stands; the lines before; the live item with its
number drawn large and its table beside it; the lines that follow; the cautions that hold throughout;
the entry with its prompt and the message. Where room is short, the lines around go first, then the
size of the number; text, number, cautions, entry and message stay.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest

from rich.cells import cell_len, set_cell_size

from handwheel.present.view import Line, RunView
from handwheel.ui.digits import large
from handwheel.ui.looks import Look, Signs
from handwheel.ui.rows import Role, Row, Span, beside, column, fit, packed, plain, row, spread, wrap

__all__ = [
    "SMALLEST",
    "Around",
    "entry_row",
    "operation_rows",
    "rule",
    "saved_row",
    "signal",
    "table_rows",
    "title_bar",
    "too_small",
    "with_drawing",
]

SMALLEST = (40, 10)
_LEAST = 4  # rows of the body on a small terminal: what is live, two lines of its text, its number

Draw = Callable[[int, int], list[Row]]
"""Gives a drawing as rows for a width and a height."""

_WORDS: dict[str, Role] = {
    "DANGER": "danger",
    "WARNING": "warning",
    "CAUTION": "careful",
    "NOTICE": "notice",
}
_MARKS: dict[str, tuple[str, Role]] = {
    "done": ("done", "done"),
    "pending": ("pending", "pending"),
    "live": ("now", "mark"),
    "next": ("to come", "quiet"),
    "again": ("again", "caution"),
}


@dataclass(frozen=True, slots=True)
class Around:
    """What is not of the item: how saving stands, what is typed, what was said, and how far away one looks.

    `away` counts items: 0 is the live one, above it ahead, below it back.
    """

    saved: str = ""
    entry: str = ""
    message: str = ""
    notices: tuple[str, ...] = ()
    away: int = 0
    hint: tuple[str, ...] = ()


def signal(word: str) -> Role:
    """The role of a signal word."""
    return _WORDS.get(word, "careful")


def too_small(width: int, height: int) -> list[Row]:
    """The one line of a terminal that is too small, or nothing."""
    if width >= SMALLEST[0] and height >= SMALLEST[1]:
        return []
    return [row(text) for text in wrap(f"enlarge to 80x24 (now {width}x{height})", max(width, 1))]


def operation_rows(view: RunView, around: Around, look: Look, width: int, height: int) -> list[Row]:
    """The whole screen, exactly `height` rows of at most `width` cells."""
    small = too_small(width, height)
    if small:
        return _filled(small, height, look)
    roomy = height >= 20
    head = _head(view, around, look, width, roomy)
    foot = _foot(view, around, look, width, roomy)
    left = height - len(head) - len(foot)
    strip = _strip(view, look.signs, width, left if roomy else left - _LEAST - len(view.choices))
    body = _Body(view, around, look, width).rows(max(left - len(strip), 0))
    line = foot[:1] if roomy else []
    return _filled([*head, *body, *line, *strip, *foot[len(line) :]], height, look)


def _filled(rows: Sequence[Row], height: int, look: Look) -> list[Row]:
    """Exactly `height` rows."""
    missing = height - len(rows)
    return [*rows, *[()] * missing] if missing >= 0 else list(rows[:height])


def _saved_role(saved: str) -> Role:
    """The role of the words that say how saving stands."""
    if saved.startswith("NOT SAVED"):
        return "stop"
    if saved.startswith("LOOKING"):
        return "caution"
    return "done" if saved.startswith("SAVED") else "pending"


def saved_row(saved: str, signs: Signs) -> Row:
    """How saving stands, with its sign."""
    if not saved:
        return ()
    role = _saved_role(saved)
    sign = {"stop": signs.stop, "done": signs.done}.get(role, signs.pending)
    return (Span(f" {sign} {saved} ", role),)


def title_bar(title: str, right: Row, width: int, signs: Signs) -> Row:
    """The bar at the head of every page: what it is of at the left, how saving stands at the right."""
    room = width - cell_len(plain(right))
    return (*(Span(text, "title") for text, _ in fit(row(f" {title} "), room, signs.more)), *right)


def _head(view: RunView, around: Around, look: Look, width: int, roomy: bool) -> list[Row]:
    saved = saved_row(around.saved, look.signs)
    if cell_len(plain(saved)) * 2 <= width:
        rows = [title_bar(view.title, saved, width, look.signs)]
    else:  # a long reason gets rows of its own
        reason = wrap(plain(saved), width - 2)
        rows = [
            title_bar(view.title, (), width, look.signs),
            *(row(f" {one}", saved[0].role) for one in reason),
        ]
    rows += (
        _place(view, width)
        if roomy
        else [fit(row(f" {view.place}  {view.progress}", "must"), width, look.signs.more)]
    )
    return [*rows, rule(look, width)] if roomy else rows


def _place(view: RunView, width: int) -> list[Row]:
    place, progress = row(f" {view.place}", "must"), row(f" {view.progress} ", "quiet")
    if cell_len(plain(place + progress)) <= width:
        return [spread(place, progress, width)]
    return [*(row(f" {one}", "must") for one in wrap(view.place, width - 2)), spread((), progress, width)]


def rule(look: Look, width: int) -> Row:
    """A line across."""
    return row(look.signs.rule * width, "quiet")


def _foot(view: RunView, around: Around, look: Look, width: int, roomy: bool) -> list[Row]:
    signs = look.signs
    rows = [rule(look, width)] if roomy else []
    rows += _entry(view, around, signs, width)
    messages = [*around.notices, around.message] if around.message else list(around.notices)
    for message in messages:
        rows += column((Span(f" {signs.said} ", "must"),), message, "must", width)
    if not messages:
        rows.append(())
    return [*rows, *packed(around.hint, width)] if roomy else rows


def _strip(view: RunView, signs: Signs, width: int, room: int) -> list[Row]:
    """The cautions that hold throughout; on a small terminal as many rows of them as there is room for."""
    rows: list[Row] = []
    for caution in view.strip:
        rows += column((Span(f" {signs.caution} ", "caution"),), caution, "caution", width)
    room = max(room, 1)
    return (
        rows if len(rows) <= room else [*rows[: room - 1], row(f" {signs.caution} {signs.more}", "caution")]
    )


def entry_row(view: RunView, around: Around, signs: Signs) -> Row:
    """The field with what is typed in it, and the unit behind it."""
    unit = f" {view.unit}" if view.takes == "number" and view.unit else ""
    return (Span(" > ", "mark"), Span(f" {around.entry}{signs.cursor} ", "entry"), Span(unit))


def _entry(view: RunView, around: Around, signs: Signs, width: int) -> list[Row]:
    """The field, and the prompt beside or above it."""
    typed = entry_row(view, around, signs)
    prompt = "Enter returns to the live item" if around.away else view.prompt.replace("  ", "; ")
    room = width - max(cell_len(plain(typed)), 18) - 3
    beside_it = wrap(prompt, room)
    if len(beside_it) == 1:
        return [(*fit(typed, width - room - 1), Span(beside_it[0], "text"))]
    return [*(row(f" {line}") for line in wrap(prompt, width - 2)), typed]


_BESIDE = (34, 10)  # the smallest drawing worth standing beside the item
_LARGEST = (60, 20)
_NEAR = 3  # rows by which a drawing may begin lower for more room
_GAP = 2  # cells between a drawing and what stands beside it
_GROUNDED: frozenset[Role] = frozenset({"live", "title", "entry", "mark", "stop"})


def with_drawing(rows: Sequence[Row], draw: Draw, width: int) -> list[Row]:
    """Put a drawing where the rows leave room for it, or leave them as they are."""
    first, high, left, free = _room(rows, width)
    if not high:
        return list(rows)
    drawn = [*draw(free, high), *[()] * high][:high]
    inside = (
        (*fit(one, left), *fit(middle, free), *_from(one, left + free))
        for one, middle in zip(rows[first : first + high], drawn, strict=True)
    )
    return [*rows[:first], *inside, *rows[first + high :]]


def _room(rows: Sequence[Row], width: int) -> tuple[int, int, int, int]:
    """Find free room near the top, where the live item is: its first row and height, first column and width.

    Of what begins within some rows of the first, the largest.
    """
    blanks = [list(_blanks(one, width)) for one in rows]
    best, most, lowest = (0, 0, 0, 0), 0, len(rows)
    for first in range(len(rows)):
        if first > lowest:
            break
        found = _from_row(blanks, first, width)
        if found[1] * found[3] > most:
            best, most = found, found[1] * found[3]
            lowest = min(lowest, first + _NEAR)
    return best


def _from_row(
    blanks: Sequence[Sequence[tuple[int, int]]], first: int, width: int
) -> tuple[int, int, int, int]:
    """Find the largest room that begins in a row; nothing where it is too small."""
    best, most, spans = (first, 0, 0, 0), 0, [(0, width)]
    for high in range(1, min(_LARGEST[1], len(blanks) - first) + 1):
        spans = [
            (max(one[0], other[0]), min(one[1], other[1]))
            for one in spans
            for other in blanks[first + high - 1]
            if min(one[1], other[1]) - max(one[0], other[0]) >= _BESIDE[0]
        ]
        if not spans:
            break
        left, right = max(spans, key=lambda span: (span[1] - span[0], span[1]))
        free = min(right - left, _LARGEST[0])
        if high >= _BESIDE[1] and free * high > most:
            best, most = (first, high, right - free, free), free * high
    return best


def _blanks(one: Row, width: int) -> Iterator[tuple[int, int]]:
    """Give from where to where a row is blank, with a gap at both sides; a ground of its own is no blank."""
    at, begin = 0, 0
    for text, role in one:
        for sign in text:
            if sign != " " or role in _GROUNDED:
                if at - begin > 2 * _GAP:
                    yield (begin + _GAP if begin else 0, at - _GAP)
                begin = at + cell_len(sign)
            at += cell_len(sign)
    if width - begin > _GAP + 1:
        yield (begin + _GAP if begin else 0, width - 1)


def _from(one: Row, at: int) -> Row:
    """Give what of a row lies from a column on."""
    spans: list[Span] = []
    for text, role in one:
        long = cell_len(text)
        if at < long:
            spans.append(Span(set_cell_size(text[::-1], long - at)[::-1] if at > 0 else text, role))
        at -= long
    return tuple(spans)


class _Body:
    """What stands between head and foot."""

    def __init__(self, view: RunView, around: Around, look: Look, width: int) -> None:
        self._view = view
        self._around = around
        self._look = look
        self._width = width

    def rows(self, height: int) -> list[Row]:
        """The lines before, the live item and what follows, in exactly `height` rows."""
        lines = self._view.lines
        at = next(
            (index for index, one in enumerate(lines) if one.mark not in ("done", "pending")), len(lines)
        )
        follows = at + 1 if any(one.mark == "live" for one in lines[at : at + 1]) else at
        reserved = 4 if height >= 26 else 2 if height >= 11 else 1 if height >= 8 else 0
        live = self._live(height - bool(self._view.big))
        middle = self._middle(height - len(live))
        spare = height - len(live) - len(middle)
        before = self._before(lines[:at], min(reserved, max(spare, 0)))
        gap: list[Row] = [()] if spare - len(before) > 3 else []
        after = self._after(lines[follows:], spare - len(before) - 2 * len(gap))
        rows = [*before, *live, *gap, *middle, *gap, *after]
        if len(rows) > height:
            return [*rows[: height - 1], row(f"   {self._look.signs.more}", "quiet")]
        return [*rows, *[()] * (height - len(rows))]

    def _live(self, room: int) -> list[Row]:
        """What is live, whole wherever there are `room` rows for it."""
        view, signs, width = self._view, self._look.signs, self._width
        away = self._around.away
        if away:
            word = "LOOKING AHEAD" if away > 0 else "LOOKING BACK"
            mark = Span(f" {word}: {abs(away)} ", "careful")
        else:
            mark = Span(f" {signs.live} NOW ", "mark")
        if view.word:
            kind = Span(f" {view.word} ", signal(view.word))
        else:
            kind = Span(f" {view.kind} ", "stop" if view.kind == "STOP" else "live")
        first, *others = wrap(view.text, width - 3)
        rows: list[Row] = [(mark, Span(" "), kind)]
        for text in (first, *others):
            rows.append(fit((Span("   ", "live"), Span(text, "live"), Span(" " * width, "live")), width))
        if len(rows) > room > 1:
            rows = [*rows[: room - 1], fit((*rows[room - 1][:2], Span(" " + signs.more, "live")), width)]
        return rows

    def _middle(self, room: int) -> list[Row]:
        """The number, the choices, the remarks, and the table beside or below them."""
        view, width = self._view, self._width
        table = table_rows(view, self._look.signs, room)
        table_width = max((cell_len(plain(one)) for one in table), default=0)
        at = width - table_width - 1
        if table and at >= min(width * 6 // 10, 44):
            left = self._number(at - 4, room) + self._choices() + self._remarks(at - 2)
            return beside(left, table, at)
        rest = self._choices() + self._remarks(width)
        number = self._number(width - 4, room - len(rest) - min(len(table), 4))
        below = table_rows(view, self._look.signs, room - len(number) - len(rest))
        return [*number, *rest, *below]

    def _number(self, width: int, height: int) -> list[Row]:
        """The number under its heading, large where there is room, and again as text with its unit."""
        view = self._view
        if not view.big:
            return []
        value = f"{view.big} {view.unit}".rstrip()
        high = height - 2 if height >= 14 else min(height - 2, 5)  # the largest only with room around it
        drawn = large(view.big, self._look.signs.block, width - cell_len(view.unit) - 2, high)
        heading = f"   {view.heading}"
        if not drawn:
            return [(Span(f"{heading}  ", "must"), Span(value, "big"))]
        rows: list[Row] = [row(f"   {line}", "big") for line in drawn]
        rows[-1] = (*rows[-1], Span(f"  {view.unit}", "big"))
        return [row(heading, "must"), *rows, row(f"   {value}", "big")]

    def _choices(self) -> list[Row]:
        rows: list[Row] = []
        for number, choice in enumerate(self._view.choices, start=1):
            rows += column((Span(f"   {number} ", "must"), Span(" ")), choice, "text", self._width)
        return rows

    def _remarks(self, width: int) -> list[Row]:
        rows: list[Row] = []
        for remark in self._view.remarks:
            rows += column((Span("   "),), remark, "quiet", width)
        return rows

    def _before(self, lines: Sequence[Line], room: int) -> list[Row]:
        """The newest lines before the live one, at the lower edge of their place."""
        rows: list[Row] = []
        for line in reversed(lines):
            drawn = _line(line, self._look.signs, self._width)
            if len(rows) + len(drawn) > room:
                break
            rows = [*drawn, *rows]
        return [*[()] * (room - len(rows)), *rows]

    def _after(self, lines: Sequence[Line], room: int) -> list[Row]:
        """The lines that follow, and how many there are beyond."""
        rows: list[Row] = []
        for index, line in enumerate(lines):
            drawn = _line(line, self._look.signs, self._width)
            last = index == len(lines) - 1
            if len(rows) + len(drawn) + (0 if last else 1) > room:
                left = len(lines) - index
                more = row(f"   {self._look.signs.more} {left} more to come", "quiet")
                return [*rows, more] if room > 0 else []
            rows += drawn
        return rows


def _line(line: Line, signs: Signs, width: int) -> list[Row]:
    word, role = _MARKS[line.mark]
    sign = getattr(signs, line.mark)
    return column((Span(f" {sign} {word:<8}", role),), line.text, "quiet", width)


def table_rows(view: RunView, signs: Signs, room: int | None = None) -> list[Row]:
    """The table with its columns aligned at the right; with less room, around the row of the large number.

    The first row of a view's table names the columns.
    """
    if not view.table or (room is not None and room < 3):
        return []
    names, *body = view.table
    widths = [max(map(cell_len, cells)) for cells in zip_longest(*body, [""] * len(names), fillvalue="")]
    heads = [wrap(name, max(size, 9)) for name, size in zip(names, widths, strict=False)]
    widths = [max(size, *map(cell_len, head)) for size, head in zip(widths, heads, strict=False)]
    blank = " " * (cell_len(signs.live) + 2)
    across = max(sum(widths) + 2 * len(widths) - 2, 18)
    title = [row(blank + line, "must") for line in wrap(view.table_title, across) if line]
    columns = [row(blank + _aligned(line, widths), "quiet") for line in zip_longest(*heads, fillvalue="")]
    now = next((index for index, cells in enumerate(body) if view.big and view.big in cells), -1)
    lines: list[Row] = []
    for index, cells in enumerate(body):
        live = index == now
        mark = f" {signs.live} " if live else blank
        lines.append((Span(mark, "must"), Span(f"{_aligned(cells, widths)} ", "live" if live else "text")))
    if room is None or len(title) + len(columns) + len(lines) <= room:
        return [*title, *columns, *lines]
    return [*columns, *_window(lines, max(now, 0), room - len(columns), signs)]


def _aligned(cells: Sequence[str], widths: Sequence[int]) -> str:
    return "  ".join(" " * (size - cell_len(cell)) + cell for cell, size in zip(cells, widths, strict=False))


def _window(rows: list[Row], now: int, room: int, signs: Signs) -> list[Row]:
    """As many rows as there is room for: from the first, where the work begins, and the current one."""
    if len(rows) <= room:
        return rows
    if room < 3:
        return rows[now : now + 1]
    seen = room - 2
    more = row(f"   {signs.more} {len(rows) - seen - 1} more: * 1", "quiet")
    return [*rows[:seen], more, rows[now]] if now >= seen else [*rows[: seen + 1], more]
