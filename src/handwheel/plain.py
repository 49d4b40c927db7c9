"""A job run line by line: for scripts, for screen readers, and for a terminal that can show nothing else.

Every answer is one line, the same that the keypad gives on the screen: an empty line is Enter, a number
is typed as it is, `*`, `/`, `-` and `+` and the letters of the commands do what their keys do. `look M8`
looks something up at once. Where somebody else changed the record meanwhile, the words `mine` and `theirs`
say which of the two stands.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Literal, TextIO

from handwheel.commands import BY_KEY, MENU, Command, key_lines
from handwheel.errors import HandwheelError, one_line
from handwheel.present.view import RunView
from handwheel.run.act import Answer
from handwheel.sitting import PATIENCE, Sitting
from handwheel.store.writer import in_words

__all__ = ["run_plain", "view_lines"]

_PATIENCE = PATIENCE + 0.1
"""Seconds that a line waits for the disk: by then the sitting says that the entry is not saved."""


def run_plain(sitting: Sitting, given: Iterable[str], out: TextIO) -> int:
    """Run a job until its last signature, the command to leave, or the end of the input.

    Give the exit code: 0, or 2 where something is not on the disk at the end. The sitting is closed,
    however the run ends.
    """
    try:
        _Lines(sitting, iter(given), out).run()
    finally:
        unsaved = sitting.close()
        if unsaved:
            print(one_line(unsaved), file=out, flush=True)
    return 2 if unsaved else 0


def view_lines(view: RunView) -> Iterator[str]:
    """Give a view as lines: where, what kind, the live line, the number, the table, the answer wanted."""
    yield ""
    yield "  ".join(part for part in (view.place, view.progress) if part)
    yield f"{' '.join(part for part in (view.kind, view.word) if part)}: {view.text}"
    if view.big:
        yield f"{view.heading} {view.big} {view.unit}".rstrip()
    if view.table:
        yield view.table_title
        yield from ("  " + " | ".join(row) for row in view.table)
    yield from (f"  {remark}" for remark in view.remarks)
    yield from (f"  {number} {choice}" for number, choice in enumerate(view.choices, start=1))
    yield from (f"  throughout: {caution}" for caution in view.strip)
    if view.prompt:
        yield f"[{view.prompt}]"


class _Lines:
    """A run by lines. What is said is out before the next line is read: whoever answers may wait for it."""

    def __init__(self, sitting: Sitting, given: Iterator[str], out: TextIO) -> None:
        self._sitting = sitting
        self._given = given
        self._out = out
        self._over = False

    def run(self) -> None:
        """Take one line after the other."""
        self._say(f"! {notice}" for notice in self._sitting.notices)
        self._say((self._sitting.title,))
        self._show()
        while not self._over:
            line = self._next()
            if line is None:
                return
            self._take(line)

    def _next(self) -> str | None:
        """Read a line; None where the input has ended."""
        line = next(self._given, None)
        return None if line is None else line.rstrip("\r\n")

    def _say(self, lines: Iterable[str]) -> None:
        for line in lines:
            print(one_line(line), file=self._out)
        self._out.flush()

    def _show(self) -> None:
        self._say(view_lines(self._sitting.view()))

    def _take(self, line: str) -> None:
        text = line.strip()
        if text in _STANDS and self._sitting.save_state().conflict is not None:
            return self._settle(mine=text == "mine")
        if text.startswith(_LOOK):
            return self._look_up(text.removeprefix(_LOOK))
        command = BY_KEY.get(text)
        minus_begins_a_number = text == "-" and self._sitting.view().signed
        if command is None or command.id == "enter" or minus_begins_a_number:
            return self._answer(Answer("typed", line) if text else Answer("enter"))
        return self._do(command)

    def _do(self, command: Command) -> None:
        match command.id:
            case "menu":
                self._menu()
            case "leave":
                self._over = True
            case "undo":
                self._answer(Answer("undo"))
            case "hold":
                self._answer(Answer("hold"))
            case "waive":
                self._waive()
            case "look":
                self._say(("[type what to look up; an empty line goes back]",))
                self._look_up((self._next() or "").strip())
            case "remark":
                self._say(("[type the remark; an empty line goes back]",))
                self._answer_in_words("remark")
            case "back":
                self._say(view_lines(self._sitting.look(-1)))
            case "ahead":
                self._say(view_lines(self._sitting.look(+1)))
            case name if name in _TELLS:
                self._say(_TELLS[name](self._sitting))
            case _:
                self._say(("NOT TAKEN: there is nothing to do with that here",))

    def _menu(self) -> None:
        self._say((*(f"  {one.menu} {one.label}" for one in MENU), "  0 back", "[type a number]"))
        number = (self._next() or "").strip()
        chosen = next((one for one in MENU if one.menu == number), None)
        if chosen is not None:
            return self._do(chosen)
        if number not in ("", "0"):
            self._say((f"NOT TAKEN: there is no number {number}",))
        return self._show()

    def _waive(self) -> None:
        self._say(f"  {number} {reason}" for number, reason in enumerate(self._sitting.reasons(), start=1))
        self._say(("[type the number of a reason, or words; an empty line goes back]",))
        self._answer_in_words("waive")

    def _look_up(self, query: str) -> None:
        """Say what a line means; then the live item is there again, as it was."""
        from handwheel.look import look  # not needed to run a job
        from handwheel.present.look_view import bare_unit, look_lines

        system = self._sitting.system
        if query:
            try:
                self._say(look_lines(look(query, bare_unit(system)), system))
            except HandwheelError as nothing:
                self._say((f"NOT FOUND: {nothing}",))
        self._show()

    def _answer_in_words(self, kind: Literal["waive", "remark"]) -> None:
        words = (self._next() or "").strip()
        if words:
            self._answer(Answer(kind, words))
        else:
            self._show()

    def _answer(self, answer: Answer) -> None:
        refused = self._sitting.answer(answer)
        if refused:
            return self._say((f"NOT TAKEN: {refused}",))
        self._tell_whether_saved()
        return self._show()

    def _tell_whether_saved(self) -> None:
        """Say that the last entry is on the disk, or why it is not, as soon as that is known."""
        if self._sitting.wait(_PATIENCE):
            self._over = self._sitting.item.kind == "finished"
            return self._say((f"SAVED entry {len(self._sitting.state.events)}",))
        conflict = self._sitting.save_state().conflict
        self._say((self._sitting.saved_text(),))
        if conflict is not None:
            self._say(f"  {word}: {meaning}" for word, meaning in _STANDS.items())
        return None

    def _settle(self, mine: bool) -> None:
        """End a conflict; where theirs stands the run ends, since another item may be live there."""
        if not mine:
            self._over = True
            return self._say(("Open the job again to go on from the changed record.",))
        try:
            self._sitting.conflict_choice(mine=True)
        except OSError as error:
            return self._say((f"NOT SAVED: the changed file could not be kept: {in_words(error)}",))
        return self._tell_whether_saved()


_LOOK = "look "
"""What begins a line that looks something up."""

_STANDS = {
    "mine": "what was done here stands; the changed record.toml is kept under another name",
    "theirs": "the changed record.toml stands; what was done here stays in the file named above; this ends",
}
"""What settles a conflict, and what it means."""


def _drawing(sitting: Sitting) -> Iterator[str]:
    from handwheel.drawing.text import plain_lines, text_of  # not needed to run a job

    drawings = sitting.drawings()
    for one in drawings:
        yield from (f"  {line}" for line in plain_lines(text_of(one, 76, 20, ascii=True)))
    if not drawings:
        yield "  there is nothing to draw for what is live"


def _far(sitting: Sitting) -> Iterator[str]:
    view = sitting.view()
    yield " ".join(part for part in (view.heading or view.kind, view.big, view.unit) if part)


def _findings(sitting: Sitting) -> Iterator[str]:
    found = sitting.findings()
    for one in found:
        yield f"  {one.severity} {one.code} {one.place}: {one.what}. {one.why}. Cure: {one.cure}."
        if one.waived:
            yield f"    waived: {one.waived}"
    if not found:
        yield "  no findings"


def _route(sitting: Sitting) -> Iterator[str]:
    route = sitting.route()
    yield from (f"  {line}" for line in route.head)
    for row in route.rows:
        yield f"  {row.number:>4} {row.title} {row.feature} {row.tool}: {row.state}"


def _why(sitting: Sitting) -> Iterator[str]:
    for one in sitting.explain():
        yield f"  {one.name}: {one.shown}"
        yield from (f"    {line}" for line in one.lines)


def _help(sitting: Sitting) -> Iterator[str]:
    yield f"  {sitting.view().prompt}"
    yield from (f"  {line}" for line in key_lines())


_TELLS: dict[str, Callable[[Sitting], Iterable[str]]] = {
    "drawing": _drawing,
    "far": _far,
    "findings": _findings,
    "route": _route,
    "why": _why,
    "help": _help,
}
