"""The look-up: one line that is typed into, and what the tables say to it while it is typed.

Every sign goes into the line. What moves among the answers is no sign: the arrows, and on the keypad `+`
as long as the line holds nothing that only a full keyboard has. The first answer waits until the tables
are read, aside; after that each key is answered at once.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from rich.cells import cell_len

from handwheel.errors import HandwheelError
from handwheel.ui.desk import Desk
from handwheel.ui.drawn import rule, title_bar, too_small
from handwheel.ui.keys import Press
from handwheel.ui.pages import Page, WhyPage
from handwheel.ui.rows import Row, Span, column, fit, packed, row

if TYPE_CHECKING:  # the page is painted before what it shows is imported
    from handwheel.present.look_view import LookRow
    from handwheel.present.numbers import System

__all__ = ["LookPage"]

_LONGEST = 300
_NAME = 34
_SHOWN = 14
_ASKS = "M8, 6.8, 1/4-20, 47 H7, C45, chamfer …"
_HINT = ("arrows or + choose", "Enter why", "* takes back, or returns", "F3 returns")
_READING = "Reading the tables …"
_DOWN = frozenset({"down", "tab"})
_UP = frozenset({"up"})
_PAGES = {"pagedown": 1, "pageup": -1}


class LookPage(Page):
    """One line, and the answers to it; it comes back to the page that it was opened on."""

    hint = _HINT

    def __init__(self, desk: Desk, system: System = "mm") -> None:
        super().__init__(desk)
        self._system: System = system
        self._line = ""
        self._found: tuple[LookRow, ...] = ()
        self._chosen = 0
        self._first = 0
        self._room = 1
        self._message = _READING
        self.ready = False

    # --- reading and answering ------------------------------------------------------------------------

    def opened(self) -> None:
        """Read the tables, aside: what is typed meanwhile is answered when they are there."""
        self.desk.aside(self._read)

    def _read(self) -> Callable[[], None]:
        from handwheel.look import warm

        warm()
        return self._here

    def _here(self) -> None:
        self.ready = True
        self._answer()
        self.desk.paint()

    def _answer(self) -> None:
        """Answer the line as it stands."""
        self._found, self._chosen, self._first, self._message = (), 0, 0, ""
        if not self.ready:
            self._message = _READING
        elif self._line.strip():
            from handwheel.look import look
            from handwheel.present.look_view import bare_unit, look_rows

            try:
                self._found = look_rows(look(self._line, bare_unit(self._system)), self._system)
            except HandwheelError as nothing:
                self._message = str(nothing)
        self._chosen = next(iter(self._choosable()), 0)

    def _choosable(self) -> list[int]:
        """Give the rows that can be chosen."""
        return [at for at, one in enumerate(self._found) if one.kind not in ("title", "note")]

    # --- drawing --------------------------------------------------------------------------------------

    def rows(self, width: int, height: int) -> list[Row]:
        """The answers, and below them the line where every other page has its entry."""
        small = too_small(width, height)
        if small:
            return small
        look = self.desk.look
        roomy = height >= 20
        foot = self._foot(width, roomy)
        head = [title_bar("Look up", (), width, look.signs)]
        self._room = max(height - len(head) - len(foot), 1)
        drawn = self._drawn(width)
        self._scroll([at for at, _ in drawn])
        shown = [one for _, one in drawn[self._first : self._first + self._room]]
        left = len(drawn) - self._first - len(shown)
        if left:
            shown[-1] = row(f"   {look.signs.more} {left + 1} more lines", "must")
        return [*head, *shown, *[()] * (self._room - len(shown)), *foot][:height]

    def _scroll(self, drawn: list[int]) -> None:
        """See to it that what is chosen is on the paper, and with the first and the last all around them."""
        choosable = self._choosable()
        if not choosable or self._chosen == choosable[0]:
            self._first = 0
        elif self._chosen == choosable[-1]:
            self._first = len(drawn)
        chosen = drawn.index(self._chosen) if self._chosen in drawn else 0
        if chosen >= self._first + self._room - 1:  # the last line may say how many follow
            self._first = chosen - self._room + 2
        self._first = max(min(self._first, chosen, len(drawn) - self._room), 0)

    def _drawn(self, width: int) -> list[tuple[int, Row]]:
        """Give every row on the paper, with the number of what it shows."""
        widest = max(
            (cell_len(one.name) for one in self._found if one.kind in ("value", "wanted")), default=0
        )
        name = min(widest, _NAME, width - _SHOWN - 4)
        drawn: list[tuple[int, Row]] = []
        for at, one in enumerate(self._found):
            drawn += [(at, line) for line in self._lines(at, one, name, width)]
        return drawn

    def _lines(self, at: int, one: LookRow, name: int, width: int) -> list[Row]:
        text, signs = self.desk.look.text, self.desk.look.signs
        live = at == self._chosen
        begin = Span(f" {signs.live} " if live else " " * (cell_len(signs.live) + 2), "must")
        match one.kind:
            case "title":
                gap: list[Row] = [()] if at else []
                return [
                    *gap,
                    *column((Span(f" {one.shown} ", "mark"), Span(" ")), text(one.name), "live", width),
                ]
            case "pointer":
                head = (begin, Span(f"{one.shown}  ", "quiet"))
                lines = column(head, text(one.name), "live" if live else "text", width)
                below = column((Span(" " * 6),), text(one.source), "quiet", width) if one.source else []
                return [*lines, *below[:1]]
            case "note":
                return column((Span("   "),), text(one.name), "quiet", width)
            case "cells":
                return [
                    fit((begin, Span(f"  {text(one.name)}", "live" if live else "text")), width, signs.more)
                ]
            case _:
                return [self._value_row(one, begin, live, name, width)]

    def _value_row(self, one: LookRow, begin: Span, live: bool, name: int, width: int) -> Row:
        """A name, its value and its source side by side; what has no room ends with a sign."""
        text, more = self.desk.look.text, self.desk.look.signs.more
        called = fit(row(text(one.name), "live" if live else "text"), name, more)
        shown = Span(f"{text(one.shown):<{_SHOWN}}", "must" if one.kind == "wanted" else "big")
        source = Span(f"  {text(one.source)}", "text" if one.kind == "wanted" else "quiet")
        return fit((begin, *called, Span("  "), shown, source), width, more)

    def _foot(self, width: int, roomy: bool) -> list[Row]:
        signs, text = self.desk.look.signs, self.desk.look.text
        typed = text(self._line)
        room = width - 8
        if cell_len(typed) > room:
            typed = signs.more + typed[cell_len(signs.more) - room :]
        entry: Row = (Span(" > ", "mark"), Span(f" {typed}{signs.cursor} ", "entry"))
        if not self._line:
            entry = (*entry, Span(f"  {text(_ASKS)}", "quiet"))
        said = (
            column((Span(f" {signs.said} ", "must"),), text(self._message), "must", width)
            if self._message
            else [()]
        )
        rows = [rule(self.desk.look, width)] if roomy else []
        return [*rows, fit(entry, width, signs.more), *said, *packed(self.hint, width)]

    # --- keys -----------------------------------------------------------------------------------------

    def looks_up(self, key: str) -> bool:
        """Every sign is for the line, and the key that opens the page closes it."""
        return False

    def press(self, press: Press) -> None:
        """Type, choose among the answers, open one, or go back."""
        key = press.key
        if key in ("escape", "f3") or (key in ("*", "backspace") and not self._line):
            return self.leave()
        if key in ("*", "backspace"):
            self._type(self._line[:-1])
        elif key == "delete":
            self._type("")
        elif key in _DOWN or (key == "+" and self._by_keypad()):
            self._move(+1)
        elif key in _UP:
            self._move(-1)
        elif key in _PAGES:
            for _ in range(max(self._room - 1, 1)):
                self._move(_PAGES[key], around=False)
        elif key == "enter":
            self._enter()
        elif press.is_sign:
            self._type(self._line + key)
        self.desk.paint()
        return None

    def paste(self, text: str) -> None:
        """Add the first line of what was pasted."""
        self._type(self._line + next(iter(text.splitlines()), ""))
        self.desk.paint()

    def _type(self, line: str) -> None:
        if len(line) > _LONGEST:
            self._message = f"this was not taken: the line has room for {_LONGEST} signs"
            return
        self._line = line
        self._answer()

    def _by_keypad(self) -> bool:
        """Whether the line holds only what the numeric keypad has, so that its keys are at hand."""
        return all(sign in "0123456789.,/- " for sign in self._line)

    def _move(self, step: int, around: bool = True) -> None:
        at = self._choosable()
        if not at:
            return
        there = (at.index(self._chosen) if self._chosen in at else 0) + step
        if 0 <= there < len(at):
            self._chosen = at[there]
        elif around:
            self._chosen = at[0] if step > 0 else at[-1]

    def _enter(self) -> None:
        """Open what is chosen: why a value is what it is, or the answer that is pointed at."""
        if not self._choosable():
            return
        one = self._found[self._chosen]
        if one.kind == "pointer":
            self._type(one.query)
        elif one.value is None:
            self._message = f"{one.name} is still to be typed: {one.source}"
        else:
            self._why(one)

    def _why(self, one: LookRow) -> None:
        from handwheel.present.explain import explain

        assert one.value is not None  # a row that shows a value has it
        why = self.desk.look.clean(explain(one.name, one.value, self._system))
        self.desk.open(_WhyThisPage(self.desk, "Why this value", (why,)))


class _WhyThisPage(WhyPage):
    """Where a value comes from; it goes back to the look-up, also by the key that closes that."""

    hint: tuple[str, ...] = ("+ on", "- back", "0 or Enter returns")

    def looks_up(self, key: str) -> bool:
        """The look-up is open already."""
        return False

    def press(self, press: Press) -> None:
        """Scroll, or go back."""
        if press.key == "f3":
            return self.leave()
        return super().press(press)
