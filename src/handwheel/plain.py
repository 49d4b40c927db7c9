"""A job run line by line: for scripts, for screen readers, and for a terminal that can show nothing else.

Every answer is one line, the same that the keypad gives on the screen: an empty line is Enter, a number
is typed as it is, `*`, `/`, `-` and `+` and the letters of the commands do what their keys do.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import TextIO

from handwheel.commands import BY_KEY, MENU, Command, key_lines
from handwheel.errors import one_line
from handwheel.present.view import RunView
from handwheel.run.act import Answer
from handwheel.sitting import Sitting

__all__ = ["run_plain", "view_lines"]

_ENDS = "leave"


@dataclass
class _Line:
    """What one line of input came to: the text to print, and whether the run ends."""

    text: Iterable[str] = ()
    ends: bool = False
    shows_item: bool = True


def run_plain(sitting: Sitting, given: TextIO, out: TextIO) -> int:
    """Run a job until its last signature, the command to leave, or the end of the input."""
    for notice in sitting.notices:
        print(f"! {one_line(notice)}", file=out)
    print(one_line(sitting.title), file=out)
    _show(sitting.view(), out)
    for raw in given:
        line = _take(sitting, raw.rstrip("\r\n"), given)
        for text in line.text:
            print(one_line(text), file=out)
        if line.ends:
            break
        if line.shows_item:
            _show(sitting.view(), out)
        out.flush()
    unsaved = sitting.close()
    if unsaved:
        print(unsaved, file=out)
    return 3 if unsaved else 0


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


def _show(view: RunView, out: TextIO) -> None:
    for line in view_lines(view):
        print(line, file=out)
    out.flush()


def _take(sitting: Sitting, text: str, given: Iterable[str]) -> _Line:
    command = BY_KEY.get(text.strip())
    view = sitting.view()
    if text.strip() == "-" and view.signed:
        command = None
    if command is None or command.id == "enter":
        return _answer(sitting, Answer("typed", text) if text.strip() else Answer("enter"))
    if command.id == "menu":
        return _menu(sitting, given)
    return _command(sitting, command, given)


def _answer(sitting: Sitting, answer: Answer) -> _Line:
    refused = sitting.answer(answer)
    if refused:
        return _Line((f"NOT TAKEN: {refused}",), shows_item=False)
    saved = sitting.wait(_PATIENCE)
    said = sitting.saved_text() if not saved else f"SAVED entry {len(sitting.state.events)}"
    if sitting.item.kind == "finished":
        return _Line((said, *view_lines(sitting.view())), ends=True)
    return _Line((said,))


_PATIENCE = 30.0
"""Seconds that a line waits for the disk before it says that the entry is not saved."""


def _menu(sitting: Sitting, given: Iterable[str]) -> _Line:
    listed = [f"  {command.menu} {command.label}" for command in MENU]
    number = next(iter(given), "").strip()
    chosen = next((command for command in MENU if command.menu == number), None)
    if chosen is None:
        return _Line([*listed, "  0 back"])
    line = _command(sitting, chosen, given)
    return _Line([*listed, *line.text], line.ends, line.shows_item)


def _command(sitting: Sitting, command: Command, given: Iterable[str]) -> _Line:
    if command.id == _ENDS:
        return _Line((), ends=True)
    if command.id in _TELLS:
        return _Line(_TELLS[command.id](sitting), shows_item=False)
    if command.id in ("undo", "hold"):
        return _answer(sitting, Answer("undo" if command.id == "undo" else "hold"))
    if command.id == "waive":
        reasons = [f"  {number} {reason}" for number, reason in enumerate(sitting.reasons(), start=1)]
        line = _answer(sitting, Answer("waive", next(iter(given), "").strip()))
        return _Line([*reasons, *line.text], line.ends, line.shows_item)
    if command.id == "remark":
        return _answer(sitting, Answer("remark", next(iter(given), "")))
    if command.id in ("back", "ahead"):
        step = 1 if command.id == "ahead" else -1
        return _Line(view_lines(sitting.look(step)), shows_item=False)
    return _Line(("NOT TAKEN: there is nothing to do with that here",), shows_item=False)


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
    "findings": _findings,
    "route": _route,
    "why": _why,
    "help": _help,
}
