"""What every page can do, and the plain ones: text to read, a numbered list to pick from, words to type."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from handwheel.commands import BY_KEY
from handwheel.ui.desk import Desk
from handwheel.ui.drawn import title_bar, too_small
from handwheel.ui.keys import Press
from handwheel.ui.lists import choice_rows, explain_rows
from handwheel.ui.looks import Look
from handwheel.ui.rows import Row, Span, column, packed, row, whole_screens

if TYPE_CHECKING:
    from handwheel.present.lists_view import Explanation
    from handwheel.present.numbers import System

__all__ = ["ChoicePage", "Page", "TextPage", "WhyPage", "WordsPage"]

BACK = frozenset({"0", "b", "q", "m", "escape", "backspace", "left", "enter"})
_DOWN = frozenset({"+", "n", "down", "right", "pagedown", " "})
_UP = frozenset({"-", "up", "pageup"})
_DIGITS = 4
_LONGEST = 500  # signs of a remark or a reason


class Page(ABC):
    """Something that fills the screen and answers to keys."""

    ready = True
    """Whether what it shows is all there, or still being read."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk

    @property
    def system(self) -> System:
        """The unit system that is worked in here."""
        return "mm"

    def looks_up(self, key: str) -> bool:
        """Tell whether a key opens the look-up here; on the keypad the point does, where none is typed."""
        command = BY_KEY.get(key.lower())
        return key == "." or (command is not None and command.id == "look")

    def opened(self) -> None:
        """Called when the page was put on top and painted for the first time."""

    def uncovered(self) -> None:
        """Called when the page that lay on this one is gone."""

    @abstractmethod
    def rows(self, width: int, height: int) -> list[Row]:
        """Give the page as exactly `height` rows."""

    @abstractmethod
    def press(self, press: Press) -> None:
        """Answer a key."""

    def paste(self, text: str) -> None:
        """Take pasted text: nothing to paste into, here."""

    def end(self) -> None:
        """Give back what the page holds; called when the app ends over its head."""

    def leave(self) -> None:
        """Be asked to go: the page closes, at once or when it can."""
        self.desk.close(self)


class TextPage(Page):
    """Text to read, as long as it is; `draw` gives its rows for a width."""

    hint: tuple[str, ...] = ("+ on", "- back", "0 or Enter returns", ". look up")

    def __init__(self, desk: Desk, title: str, draw: Callable[[int], Sequence[Row]]) -> None:
        super().__init__(desk)
        self._title = title
        self._draw = draw
        self._first = 0
        self._room = 1

    def rows(self, width: int, height: int) -> list[Row]:
        """A bar, as much of the text as there is room for, and how to go on."""
        small = too_small(width, height)
        if small:
            return small
        foot = packed(self.hint, width)
        self._room = max(height - 3 - len(foot), 1)
        text = self._text(width)
        self._first = max(min(self._first, len(text) - self._room), 0)
        shown = text[self._first : self._first + self._room]
        left = len([one for one in text[self._first + len(shown) :] if one])
        more = row(f" {left} more lines" if left else "", "must")
        blank: list[Row] = [()] * (self._room - len(shown))
        return [title_bar(self._title, (), width, self.desk.look.signs), (), *shown, *blank, more, *foot]

    def _text(self, width: int) -> Sequence[Row]:
        return self._draw(width)

    def press(self, press: Press) -> None:
        """Scroll, or go back."""
        if press.key in _DOWN:
            self._first += self._room
        elif press.key in _UP:
            self._first = max(self._first - self._room, 0)
        elif press.key in BACK:
            return self.leave()
        self.desk.paint()
        return None


class WhyPage(TextPage):
    """Why numbers are what they are, one after the other: each begins a screen, on which it stands whole."""

    def __init__(self, desk: Desk, title: str, whys: Sequence[Explanation], head: Sequence[Row] = ()) -> None:
        super().__init__(desk, title, lambda width: explain_rows(whys, width))
        self._whys = whys
        self._head = head

    def _text(self, width: int) -> Sequence[Row]:
        values = [self._whys[place : place + 1] for place in range(max(len(self._whys), 1))]
        first, *blocks = (explain_rows(value, width) for value in values)
        blocks.insert(0, [*self._head, *first])
        return [one for block in blocks for one in whole_screens(block, self._room)]


class ChoicePage(Page):
    """A numbered list: a digit picks, with more than nine choices digits and Enter; 0 goes back.

    `signs` are the keys that pick the last choices, in the place of their numbers.
    A page that `comes_by_itself` wants Enter as well: the digit may have been meant for what it covered.
    """

    def __init__(
        self,
        desk: Desk,
        title: str,
        choices: Sequence[str],
        pick: Callable[[int], None],
        *,
        said: Sequence[str] = (),
        own_words: Callable[[], None] | None = None,
        back: str = "back",
        given_up: Callable[[], None] | None = None,
        comes_by_itself: bool = False,
        signs: str = "",
    ) -> None:
        super().__init__(desk)
        self._title = title
        self._choices = choices
        self._pick = pick
        self._said = said
        self._own_words = own_words
        self._back = back
        self._given_up = given_up
        self._comes_by_itself = comes_by_itself
        self._signs = signs
        self._typed = ""
        self._message = ""
        self._first = 0

    def rows(self, width: int, height: int) -> list[Row]:
        """What is said, the choices, and what is typed."""
        small = too_small(width, height)
        if small:
            return small
        look = self.desk.look
        head: list[Row] = [title_bar(self._title, (), width, look.signs), ()]
        for line in self._said:
            head += column((Span(" "),), look.text(line), "text", width)
        head += [()] if self._said else []
        keys = [*(str(number) for number in range(1, self._numbered + 1)), *self._signs]
        listed = choice_rows(map(_lines_of(look), self._choices), keys, width)
        foot = self._foot(width)
        if len(listed) > height - len(head) - len(foot) and not self._said:
            head = head[:1]
        room = max(height - len(head) - len(foot), 1)
        self._first = max(min(self._first, len(listed) - room), 0)
        shown = listed[self._first : self._first + room]
        return [*head, *shown, *[()] * (room - len(shown)), *foot][:height]

    def _foot(self, width: int) -> list[Row]:
        keys = ["number, then Enter, picks" if self._wants_enter else "a number picks", f"0 {self._back}"]
        keys += ["F2 own words"] if self._own_words else []
        keys += [] if self._signs else [". look up"]
        rows = (
            [(Span(" > ", "mark"), Span(f" {self._typed}{self.desk.look.signs.cursor} ", "entry"))]
            if self._wants_enter
            else []
        )
        message = column((Span(" "),), self._message, "must", width) if self._message else []
        return [*message, *rows, *packed(keys, width)]

    @property
    def _numbered(self) -> int:
        """How many choices are picked by their number."""
        return len(self._choices) - len(self._signs)

    @property
    def _wants_enter(self) -> bool:
        return self._comes_by_itself or self._numbered > 9

    def looks_up(self, key: str) -> bool:
        """The point may be the key of a choice."""
        return key not in self._signs and super().looks_up(key)

    def press(self, press: Press) -> None:
        """Pick, collect digits, scroll or go back."""
        key, self._message = press.key, ""
        if len(key) == 1 and key in self._signs:
            return self._pick(self._numbered + self._signs.index(key) + 1)
        if key.isdecimal() and len(self._typed) >= _DIGITS:
            self._message = f"a number has at most {_DIGITS} digits here; * takes back the last one"
        elif key.isdecimal() and (self._typed or key != "0"):
            self._typed += key
            if not self._wants_enter:
                return self._picked()
        elif key == "enter" and self._typed:
            return self._picked()
        elif key in ("backspace", "*") and self._typed:
            self._typed = self._typed[:-1]
        elif key == "f2" and self._own_words:
            return self._own_words()
        elif key in _DOWN:
            self._first += 5
        elif key in _UP:
            self._first = max(self._first - 5, 0)
        elif key == "enter":
            self._message = "type the number of one of these"
        elif key in BACK or key == "*":
            return self.leave()
        self.desk.paint()
        return None

    def leave(self) -> None:
        """Close, and do what giving up means."""
        super().leave()
        if self._given_up:
            self._given_up()

    def _picked(self) -> None:
        number, self._typed = int(self._typed), ""
        if 1 <= number <= self._numbered:
            return self._pick(number)
        self._message = f"there is no number {number}"
        self.desk.paint()
        return None


def _lines_of(look: Look) -> Callable[[str], str]:
    return lambda choice: "\n".join(map(look.text, choice.split("\n")))


class WordsPage(Page):
    """Words to type, which only a full keyboard can."""

    def __init__(self, desk: Desk, title: str, said: str, take: Callable[[str], None]) -> None:
        super().__init__(desk)
        self._title = title
        self._said = said
        self._take = take
        self._typed = ""
        self._message = ""

    def rows(self, width: int, height: int) -> list[Row]:
        """What is asked, and what is typed so far."""
        small = too_small(width, height)
        if small:
            return small
        signs = self.desk.look.signs
        rows: list[Row] = [title_bar(self._title, (), width, signs), ()]
        rows += column((Span(" "),), self._said, "text", width)
        rows.append(())
        typed = self.desk.look.text(self._typed)
        rows += column((Span(" > ", "mark"), Span(" ")), typed + signs.cursor, "entry", width)
        foot = packed(("Enter takes the words", "* takes back a sign, or goes back"), width)
        rows += column((Span(" "),), self._message, "must", width) if self._message else []
        room = height - len(foot)
        return [*rows[:room], *[()] * (room - len(rows)), *foot]

    def looks_up(self, key: str) -> bool:
        """Signs are words here."""
        return len(key) > 1 and super().looks_up(key)

    def press(self, press: Press) -> None:
        """Add a sign, take one back, take the words or go back."""
        self._message = ""
        if press.is_sign and press.key != "*":
            self._add(press.key)
        elif press.key in ("backspace", "*") and self._typed:
            self._typed = self._typed[:-1]
        elif press.key == "enter" and self._typed.strip():
            self.desk.close(self)
            return self._take(self._typed.strip())
        elif press.key in ("enter", "escape", "backspace", "*"):
            return self.leave()
        self.desk.paint()
        return None

    def paste(self, text: str) -> None:
        """Add the first line of what was pasted."""
        self._message = ""
        self._add(next(iter(text.splitlines()), ""))
        self.desk.paint()

    def _add(self, text: str) -> None:
        if len(self._typed) + len(text) > _LONGEST:
            self._message = f"this was not taken: there is room for {_LONGEST} signs"
        else:
            self._typed += text
