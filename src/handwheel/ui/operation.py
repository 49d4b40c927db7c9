"""The operation screen: what is live, what answers it, and the way to everything else.

The first view comes from the record alone; the sitting, with the plan, is opened aside. A key pressed
before it is there waits and is answered then. An answer waits as well while an earlier one still has to
reach the disk before a spindle starts or an operation is signed. What waited answers the item that was
on the screen when it was pressed, and no other: nobody has seen the next one.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from handwheel.commands import BY_KEY, COMMANDS, Command
from handwheel.errors import HandwheelError
from handwheel.present.view import RunView, view_from_table
from handwheel.store.record import NAME, read_now
from handwheel.ui import errands
from handwheel.ui.desk import Desk
from handwheel.ui.drawn import Around, operation_rows, with_drawing
from handwheel.ui.entry import Entry, Wanted
from handwheel.ui.keys import Press
from handwheel.ui.pages import Page
from handwheel.ui.rows import Row

if TYPE_CHECKING:
    from handwheel.drawing.shapes import Drawing
    from handwheel.present.numbers import System
    from handwheel.sitting import Sitting

__all__ = ["Opener", "OperationPage", "first_view", "open_sitting"]

Opener = Callable[[Path, Callable[[], None]], "Sitting"]
AnswerKind = Literal["enter", "typed", "hold", "undo", "waive", "remark"]

_HINT = tuple(
    f"{'Enter' if one.id == 'enter' else one.pad or one.keys[0]} {one.label}"
    for one in COMMANDS
    if one.pad or one.id in ("enter", "look")
)
_NOT_THERE = "this was not taken: the plan is being read; once more, please"
_WAITS = "waits until the last entry is on the disk"
_UNSEEN = "the keys pressed meanwhile were not taken: what is live now is not what you saw then"
_WIDE = (100, 30)  # from this size a drawing stands beside the live item
_DRAWN = ("SETTING", "CUT", "READING")  # what is about the part; beside a hazard nothing else is looked at
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


def _same_item(one: RunView, other: RunView) -> bool:
    """Tell whether two views ask the same: all that can be read on the item, but for what lies around it."""
    return replace(one, lines=(), remarks=()) == replace(other, lines=(), remarks=())


class OperationPage(Page):
    """One job, being worked at."""

    def __init__(self, desk: Desk, folder: Path, opener: Opener = open_sitting) -> None:
        super().__init__(desk)
        self._folder = folder
        self._opener = opener
        self._sitting: Sitting | None = None
        self.ready = False
        self._live = self._view = first_view(folder)  # what is live, and what is shown
        self._away = 0
        self._entry = Entry()
        self._queue: deque[Callable[[], None]] = deque()
        self._last_enter = float("-inf")
        self._message = ""
        self._notices: tuple[str, ...] = ()
        self._leaving = False
        self._closed = False
        self._asked = False
        self._far = False
        self._sketch: tuple[Drawing, tuple[int, int], list[Row]] | None = None
        self._why_not = ""

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
            return self._go()
        self._notices = tuple(sitting.notices)
        seen, self._away = self._view, 0
        self._renew()
        if not _same_item(seen, self._view):
            self._forget()
        return self.after_save()

    def _forget(self) -> None:
        """Let go of what was pressed and typed at another item than the one that is live."""
        if self._queue or self._entry.text:
            self._message = _UNSEEN
        self._queue.clear()
        self._entry.clear()

    def _cannot_open(self, why: str) -> None:
        self._queue.clear()
        if self._closed:
            return
        if self.desk.pages[-1] is not self:  # a key meant for the look-up must not answer this
            self._why_not = why
            return
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
        view, around = look.clean(self._view), look.clean(around)
        if self._far:
            from handwheel.ui.far import far_rows  # not needed for the first paint

            return far_rows(view, around, look, width, height)
        rows = operation_rows(view, around, look, width, height)
        wide = width >= _WIDE[0] and height >= _WIDE[1]
        if wide and self._sitting is not None and not self._away and view.kind in _DRAWN:
            return self._with_drawing(rows, self._sitting, width)
        return rows

    def _with_drawing(self, rows: list[Row], sitting: Sitting, width: int) -> list[Row]:
        """Put a drawing beside the live item where the rows leave room: the places while holes are made."""
        drawings = sitting.drawings()
        if not drawings:
            return rows
        shown = next((one for one in drawings if any(p.state == "now" for p in one.places)), drawings[0])
        return with_drawing(rows, partial(self._drawn, shown), width)

    def _drawn(self, drawing: Drawing, width: int, height: int) -> list[Row]:
        """Draw, or give what was drawn at this size before."""
        from handwheel.ui.sketch import drawing_rows  # not needed for the first paint

        kept = self._sketch
        if kept is None or kept[0] is not drawing or kept[1] != (width, height):
            kept = (drawing, (width, height), drawing_rows(drawing, self.desk.look, width, height))
            self._sketch = kept
        return kept[2]

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
        sitting, self._sitting = self._sitting, None  # from here on it belongs to the thread that closes it
        if sitting is None:
            self.desk.close(self)
        else:
            self.desk.aside(partial(self._close, sitting))

    def _close(self, sitting: Sitting) -> Callable[[], None]:
        self.desk.part(sitting.close())
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
        self._answer_what_waited()
        if any(line.mark == "pending" for line in (*self._live.lines, *self._view.lines)):
            self._renew()  # what was pending is done now
        self._ask_about_conflict()
        self.desk.paint()
        return None

    def _answer_what_waited(self) -> None:
        if self.desk.pages[-1] is not self:
            return  # what waited was not meant for the page that lies here now
        seen, waited = self._live, self._queue
        self._queue = deque()
        while waited and self._sitting is not None and _same_item(seen, self._live):
            waited.popleft()()
        if waited and not self._closed:
            self._message = self._message or _UNSEEN

    def _given_up(self) -> str:
        """Let the keys go that wait for a disk that does not take anything, and say so."""
        if not self._queue:
            return ""
        self._queue.clear()
        return "the keys pressed since the last entry were not taken: it is not on the disk"

    def uncovered(self) -> None:
        """Go on with what waited until the page that lay here was gone."""
        why, self._why_not = self._why_not, ""
        if why:
            self._cannot_open(why)
        else:
            self.after_save()

    def _ask_about_conflict(self, failed: str = "") -> None:
        """Ask which of two records stands, once for each entry; never over what is being typed or read."""
        if self._sitting is None or self._asked or self._entry.text or self.desk.pages[-1] is not self:
            return
        state = self._sitting.save_state()
        if state.conflict is not None:
            self._asked = True
            kept_as = state.conflict.name
            said = failed or ("" if kept_as in state.problem else self._sitting.saved_text())
            self.desk.open(errands.conflict(self.desk, kept_as, said, self._settle))

    def _settle(self, mine: bool) -> None:
        """End a conflict, aside since both ways wait for the disk: mine stands, or theirs is read anew."""
        sitting = self._sitting
        if sitting is None:
            return
        if mine:
            self.desk.aside(partial(self._keep_mine, sitting))
        else:
            self._sitting = None
            self.desk.aside(partial(self._take_theirs, sitting))

    def _keep_mine(self, sitting: Sitting) -> Callable[[], None]:
        from handwheel.store.writer import in_words

        try:
            sitting.conflict_choice(mine=True)
        except OSError as error:
            return partial(self._settled, f"The changed file could not be kept: {in_words(error)}.")
        except HandwheelError as error:  # the job was left meanwhile
            return partial(self._settled, f"{error}.")
        return self._settled

    def _settled(self, failed: str = "") -> None:
        self._asked = False
        self._ask_about_conflict(failed)
        self.after_save()

    def _take_theirs(self, sitting: Sitting) -> Callable[[], None]:
        sitting.conflict_choice(mine=False)
        sitting.close()  # what it could not save stands in the file that the choice named
        return self.opened

    # --- keys ----------------------------------------------------------------------------------------

    @property
    def system(self) -> System:
        """That of the job, as soon as it is read."""
        return "mm" if self._sitting is None else self._sitting.system

    def looks_up(self, key: str) -> bool:
        """A point begins a number here, and inside an entry a letter belongs to it."""
        if self._leaving or self._closed or key == "." or (self._entry.text and len(key) == 1):
            return False
        return super().looks_up(key)

    def press(self, press: Press) -> None:
        """Take a key, or let it wait."""
        if self._leaving or self._closed:
            return
        given_up = ""
        if press.key == "*" and self._sitting and self._sitting.saved_text().startswith("NOT SAVED"):
            given_up = self._given_up()  # the menu, and leaving, are there even when the disk hangs
        if self._has_to_wait(press):
            self._queue.append(partial(self.desk.press, press))
            if self._sitting is not None:
                self._message = _WAITS
        else:
            self._message, self._notices = given_up, ()
            self._take(press)
        self.desk.paint()

    def paste(self, text: str) -> None:
        """Take the first line into the entry, and never as keys: `u u u` would take back three entries."""
        if self._leaving or self._closed:
            return
        if self._sitting is None or self._queue:
            self._message = "the pasted text was not taken: keys are waiting already"
        else:
            self._notices, self._last_enter = (), -1.0
            line = next(iter(text.splitlines()), "").strip()
            self._message = self._entry.paste(line, wanted(self._live), self._live.signed)
            if not self._message:
                self._return()
        self.desk.paint()

    def _take(self, press: Press) -> None:
        key, entry = press.key, self._entry
        if key != "enter":
            self._last_enter = -1.0  # what is guarded against is one Enter right behind another
        if press.is_sign and not entry.text and self._begins(key):
            self._return()
            self._message = entry.add(key, wanted(self._live))
        elif press.is_sign and entry.text and key != "*":
            self._message = entry.add(key, wanted(self._live))
        elif entry.text and key in ("*", "backspace"):
            entry.erase()
            self._ask_about_conflict()
        elif command := BY_KEY.get(key.lower()):
            self._do(command, press)
        else:
            self._message = f"the key {key} does nothing here; * or m lists what there is"

    def _begins(self, sign: str) -> bool:
        return self._entry.begins(sign, wanted(self._live), self._live.signed)

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
            case "look":
                self.desk.look_up()
            case "far":
                self._far = not self._far
            case "undo" | "hold":
                self._answer(command.id)
            case "words" if self._live.takes != "choice":
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
            self._answer("typed" if text else "enter", text)

    def answer(self, kind: AnswerKind, text: str = "") -> None:
        """Answer the live item from a page that lay on this one."""
        if self._sitting is None:
            self._message = _NOT_THERE
        elif kind == "typed" and self._sitting.must_wait:
            self._queue.append(partial(self.answer, kind, text))
            self._message = _WAITS
        else:
            self._answer(kind, text)

    def _answer(self, kind: AnswerKind, text: str = "") -> None:
        """Answer the live item; a refusal is said and stays until the next key."""
        from handwheel.run.act import Answer

        assert self._sitting is not None  # answers wait for it
        self._away, self._asked = 0, False
        self._message = self._sitting.answer(Answer(kind, text))
        self._renew()
        if self._pending():
            self.desk.later(_OVERDUE, self.desk.paint)

    def _look(self, step: int) -> None:
        assert self._sitting is not None  # keys wait for it
        here = self._view if self._away else self._sitting.look(0)
        there = self._sitting.look(self._away + step)
        if there == here:
            self._message = "there is nothing further " + ("ahead" if step > 0 else "back")
        else:
            self._away += step
            self._view = there if self._away else self._live

    def _return(self) -> None:
        self._away, self._view = 0, self._live

    def _renew(self) -> None:
        """Ask for the views anew: something was entered, or has reached the disk."""
        assert self._sitting is not None  # keys wait for it
        self._live = self._sitting.view()
        self._view = self._sitting.look(self._away) if self._away else self._live
