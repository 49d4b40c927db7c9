"""The drawing of the live operation: a page of its own, and as rows that stand beside the live item."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Protocol

from handwheel.commands import BY_KEY, COMMANDS, Command
from handwheel.drawing.text import Ink, text_of
from handwheel.ui.desk import Desk
from handwheel.ui.drawn import title_bar, too_small
from handwheel.ui.keys import Press
from handwheel.ui.looks import Look
from handwheel.ui.pages import BACK, Page, WhyPage
from handwheel.ui.rows import Role, Row, Span, column, packed

if TYPE_CHECKING:
    from handwheel.drawing.shapes import Drawing
    from handwheel.present.lists_view import Explanation
    from handwheel.present.numbers import System

__all__ = ["DrawingPage", "drawing_rows"]

_ROLES: dict[Ink, Role] = {
    "paper": "text",
    "title": "must",
    "edge": "text",
    "work": "big",
    "hatch": "quiet",
    "thread": "must",
    "axis": "quiet",
    "line": "quiet",
    "label": "big",
    "note": "quiet",
    "missing": "caution",
    "now": "mark",
    "done": "done",
    "to come": "text",
}
_ROOMY = 16
_FAR = next(one for one in COMMANDS if one.id == "far")
_NOTHING = "There is nothing to draw for what is live: it is about no feature."


class Drawn(Protocol):
    """What has drawings: a sitting."""

    def drawings(self) -> tuple[Drawing, ...]:
        """Give the drawings of the live operation."""
        ...

    def explain_drawn(self) -> tuple[Explanation, ...]:
        """Explain the numbers on them."""
        ...


class Sender(Protocol):
    """The page that the drawing lies on."""

    @property
    def system(self) -> System:
        """The unit system that is worked in."""
        ...

    def do(self, command: Command) -> None:
        """Do a command."""
        ...


def drawing_rows(drawing: Drawing, look: Look, width: int, height: int) -> list[Row]:
    """A drawing as rows, at most `height` of them, each at most `width` cells wide."""
    lines = text_of(drawing, width, height, ascii=look.ascii)
    return [tuple(Span(text, _ROLES[ink]) for text, ink in line) for line in lines]


class DrawingPage(Page):
    """The drawings of the live operation, one at a time."""

    def __init__(self, desk: Desk, sitting: Drawn, sender: Sender) -> None:
        super().__init__(desk)
        self._sitting = sitting
        self._sender = sender
        self._at = 0

    @property
    def system(self) -> System:
        """That of the job."""
        return self._sender.system

    def rows(self, width: int, height: int) -> list[Row]:
        """A bar, the drawing as large as there is room, and the keys."""
        small = too_small(width, height)
        if small:
            return small
        drawings, look = self._sitting.drawings(), self.desk.look
        count = len(drawings)
        self._at = min(self._at, max(count - 1, 0))
        turn = [f"+ next ({self._at + 1} of {count})", "- previous"] if count > 1 else []
        keys = ("1 far view", "2 why these numbers", *turn, "0 or Enter returns")
        foot = (
            packed(keys, width) if height >= _ROOMY else packed(("0 or Enter", "1 far", "2 why", "+"), width)
        )
        room = height - len(foot) - 2
        if drawings:
            drawn = drawing_rows(drawings[self._at], look, width - 2, room)
            body: list[Row] = [(Span(" "), *one) for one in drawn]
        else:
            body = column((Span(" "),), _NOTHING, "text", width)
        blank: list[Row] = [()] * max(room - len(body), 0)
        return [title_bar("Drawing", (), width, look.signs), (), *body[:room], *blank, *foot]

    def press(self, press: Press) -> None:
        """Turn to another drawing, open what it offers, or go back."""
        command = BY_KEY.get(press.key.lower())
        count = max(len(self._sitting.drawings()), 1)
        if press.key == "1" or command is _FAR:
            self.leave()
            return self._sender.do(_FAR)
        if press.key == "2" or (command is not None and command.id == "why"):
            return self._why()
        if press.key in BACK or (command is not None and command.id == "drawing"):
            return self.leave()
        if press.key in ("+", "n", "down", "right", "pagedown", " "):
            self._at = self._at + 1 if self._at + 1 < count else 0
        elif press.key in ("-", "up", "pageup"):
            self._at = self._at - 1 if self._at else count - 1
        self.desk.paint()
        return None

    def _why(self) -> None:
        whys: Sequence[Explanation] = self.desk.look.clean(self._sitting.explain_drawn())
        self.desk.open(WhyPage(self.desk, "Why these numbers", whys))
