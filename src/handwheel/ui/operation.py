"""The operation screen: what is live, what answers it, and the way to everything else.

The first view comes from the record alone; the sitting, with the plan, is opened aside. A key pressed
before it is there waits and is answered then. An answer waits as well while an earlier one still has to
reach the disk before a spindle starts or an operation is signed.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from handwheel.commands import BY_KEY, COMMANDS, Command
from handwheel.errors import HandwheelError
from handwheel.present.view import RunView, view_from_table
from handwheel.store.record import NAME, read_now
from handwheel.ui import errands
from handwheel.ui.desk import Desk
from handwheel.ui.drawn import Around, operation_rows
from handwheel.ui.entry import Entry, Wanted
from handwheel.ui.keys import Press
from handwheel.ui.pages import Page
from handwheel.ui.rows import Row

if TYPE_CHECKING:
    from handwheel.sitting import Sitting

__all__ = ["Opener", "OperationPage", "first_view", "open_sitting"]

Opener = Callable[[Path, Callable[[], None]], "Sitting"]
AnswerKind = Literal["enter", "typed", "hold", "undo", "waive", "remark"]

_HINT = tuple(f"{one.pad or 'Enter'} {one.label}" for one in COMMANDS if one.pad or one.id == "enter")
_NOT_THERE = "this was not taken: the plan is being read; once more, please"
_PATIENCE = 2.0  # [s]; how long leaving waits for the disk before it asks
_OVERDUE = 2.1  # [s]; what is pending for longer than two seconds reads NOT SAVED


def open_sitting(folder: Path, after: Callable[[], None]) -> Sitting:
    """Open a sitting; everything heavy is imported here, after the first paint."""
    from handwheel.sitting import Sitting

    return Sitting.open(folder, after=after)


def first_view(folder: Path) -> RunView:
    """What the record says is live, to be looked at while the plan is read."""
    now = read_now(folder / NAME)
    if now is None:
        return RunView(title=folder.name, kind="OPENING", text="Reading the plan …", takes="nothing")
    return view_from_table(now)


def wanted(view: RunView) -> Wanted:
    """What may be typed: also another number than the one to set, and a carried number to confirm a stop."""
    return "number" if view.kind in ("SETTING", "STOP") else view.takes


class OperationPage(Page):
    """One job, being worked at."""

    def __init__(self, desk: Desk, folder: Path, opener: Opener = open_sitting) -> None:
        super().__init__(desk)
        self._folder = folder
        self._opener = opener
        self._sitting: Sitting | None = None
        self.ready = False
        self._view = first_view(folder)
        self._away = 0
        self._entry = Entry()
        self._queue: deque[Press] = deque()
        self._last_enter = float("-inf")
        self._message = ""
        self._notices: tuple[str, ...] = ()
        self._leaving = False
        self._closed = False
        self._asked = False

    # --- opening, painting, closing ------------------------------------------------------------------

    def opened(self) -> None:
        """Open the sitting, aside."""
        self.desk.aside(self._open)

    def _open(self) -> Callable[[], None]:
        try:
            return partial(self._here, self._opener(self._folder, self._saved_aside))
        except HandwheelError as error:
            return partial(self._cannot_open, str(error))

    def _saved_aside(self) -> None:
        self.desk.here(self.after_save)

    def _here(self, sitting: Sitting) -> None:
        self._sitting, self.ready = sitting, True
        if self._closed:
            self.desk.aside(self._close)
            return
        self._notices = tuple(sitting.notices)
        self._view = sitting.view()
        self.after_save()

    def _cannot_open(self, why: str) -> None:
        self._queue.clear()
        self.desk.open(errands.cannot_open(self.desk, self._folder.name, why, self.opened, self.leave))

    def rows(self, width: int, height: int) -> list[Row]:
        """The view, and around it how saving stands, what is typed and what was said."""
        around = Around(
            saved=self._saved_text(),
            entry=self._entry.text,
            message=self._message,
            notices=self._notices,
            away=self._away,
            hint=_HINT,
        )
        look = self.desk.look
        return operation_rows(look.clean(self._view), look.clean(around), look, width, height)

    def _saved_text(self) -> str:
        if self._sitting is not None:
            return self._sitting.saved_text()
        return "" if self._closed else "READING THE PLAN"

    def leave(self) -> None:
        """Go when everything is on the disk; after two seconds, ask."""
        if self._pending():
            self._leaving = True
            self._message = "waiting for the disk before leaving"
            self.desk.later(_PATIENCE, self._ask_to_leave)
            self.desk.paint()
            return
        self._go()

    def _ask_to_leave(self) -> None:
        if self._leaving and self._sitting and self._pending():
            self._leaving = False
            self.desk.open(errands.unsaved(self.desk, self._sitting.saved_text(), self._go))

    def _go(self) -> None:
        self._leaving, self._closed = False, True
        if self._sitting is None:
            self.desk.close(self)
        else:
            self.desk.aside(self._close)

    def _close(self) -> Callable[[], None]:
        self.end()
        return partial(self.desk.close, self)

    def end(self) -> None:
        """Close the sitting, which waits two seconds at most; what is unsaved is said at parting."""
        sitting, self._sitting = self._sitting, None
        if sitting is not None:
            self.desk.part(sitting.close())

    # --- waiting -------------------------------------------------------------------------------------

    def _pending(self) -> bool:
        return self._sitting is not None and self._sitting.save_state().pending

    def _has_to_wait(self, press: Press) -> bool:
        if self._sitting is None or self._queue:
            return True
        return press.key == "enter" and not self._away and self._sitting.must_wait

    def after_save(self) -> None:
        """Go on after a save, a failed one, or when the plan is there: answer the keys that waited."""
        if self._sitting is None:
            return None
        state = self._sitting.save_state()
        if self._leaving and not state.pending:
            return self._go()
        if state.problem and self._sitting.must_wait:
            self._message = self._given_up() or self._message
        waited, self._queue = self._queue, deque()
        for press in waited:
            self.desk.press(press)
        if any(line.mark == "pending" for line in self._view.lines):
            self._renew()  # what was pending is done now
        if state.conflict is not None and not self._asked:
            self._asked = True
            self.desk.open(errands.conflict(self.desk, state.conflict.name, self._settle))
        self.desk.paint()
        return None

    def _given_up(self) -> str:
        """Let the keys go that wait for a disk that does not take anything, and say so."""
        if not self._queue:
            return ""
        self._queue.clear()
        return "the keys pressed since the last entry were not taken: it is not on the disk"

    def _settle(self, mine: bool | None) -> None:
        """End a conflict: mine stands, theirs is read anew, or it is asked again after the next entry."""
        sitting, self._asked = self._sitting, False
        if sitting is None or mine is None:
            return
        sitting.conflict_choice(mine)
        if not mine:
            self._sitting = None
            self.desk.aside(lambda: self._reopened(sitting))

    def _reopened(self, sitting: Sitting) -> Callable[[], None]:
        sitting.close()  # what it could not save stands in the file that the choice named
        return self.opened

    # --- keys ----------------------------------------------------------------------------------------

    def press(self, press: Press) -> None:
        """Take a key, or let it wait."""
        if self._leaving or self._closed:
            return
        given_up = ""
        if press.key == "*" and self._sitting and self._sitting.saved_text().startswith("NOT SAVED"):
            given_up = self._given_up()  # the menu, and leaving, are there even when the disk hangs
        if self._has_to_wait(press):
            self._queue.append(press)
            if self._sitting is not None:
                self._message = "waits until the last entry is on the disk"
        else:
            self._message, self._notices = given_up, ()
            self._take(press)
        self.desk.paint()

    def paste(self, text: str) -> None:
        """Take the signs of the first line as if they were typed."""
        for sign in next(iter(text.splitlines()), "").strip():
            self.press(Press(sign))

    def _take(self, press: Press) -> None:
        key, entry = press.key, self._entry
        if key != "enter":
            self._last_enter = -1.0  # what is guarded against is one Enter right behind another
        if press.is_sign and not entry.text and self._begins(key):
            self._return()
            self._message = entry.add(key, wanted(self._view))
        elif press.is_sign and entry.text and key != "*":
            self._message = entry.add(key, wanted(self._view))
        elif entry.text and key in ("*", "backspace"):
            entry.erase()
        elif command := BY_KEY.get(key.lower()):
            self._do(command, press)
        else:
            self._message = f"the key {key} does nothing here; * or m lists what there is"

    def _begins(self, sign: str) -> bool:
        assert self._sitting is not None  # keys wait for it
        live = self._sitting.view() if self._away else self._view
        return self._entry.begins(sign, wanted(live), live.signed)

    def _do(self, command: Command, press: Press) -> None:
        assert self._sitting is not None  # keys wait for it
        match command.id:
            case "enter":
                self._enter(press)
            case "back":
                self._look(-1)
            case "ahead":
                self._look(+1)
            case "leave":
                self.leave()
            case "undo" | "hold":
                self.answer(command.id)
            case "words" if self._view.takes != "choice":
                self._message = "own words belong to a choice; here is none"
            case _:
                self.desk.open(errands.page(command.id, self.desk, self._sitting, self))

    def do(self, command: Command) -> None:
        """Do what was chosen in the menu."""
        if self._sitting is None:
            self._message = _NOT_THERE
        else:
            self._do(command, Press(""))
        self.desk.paint()

    def _enter(self, press: Press) -> None:
        assert self._sitting is not None  # keys wait for it
        soon = press.at - self._last_enter < self._sitting.guard
        self._last_enter = press.at
        if soon:
            self._message = f"a second Enter within {self._sitting.guard:g} s was dropped"
        elif self._away:
            self._return()
        else:
            text = self._entry.clear()
            self.answer("typed" if text else "enter", text)

    def answer(self, kind: AnswerKind, text: str = "") -> None:
        """Answer the live item; a refusal is said and stays until the next key."""
        from handwheel.run.act import Answer

        if self._sitting is None:
            self._message = _NOT_THERE
            return
        self._return()
        self._message = self._sitting.answer(Answer(kind, text))
        self._renew()
        if self._pending():
            self.desk.later(_OVERDUE, self.desk.paint)

    def _look(self, step: int) -> None:
        assert self._sitting is not None  # keys wait for it
        if self._sitting.look(self._away + step) == self._sitting.look(self._away):
            self._message = "there is nothing further " + ("ahead" if step > 0 else "back")
        else:
            self._away += step
            self._renew()

    def _return(self) -> None:
        if self._away:
            self._away = 0
            self._renew()

    def _renew(self) -> None:
        assert self._sitting is not None  # keys wait for it
        self._view = self._sitting.look(self._away) if self._away else self._sitting.view()
