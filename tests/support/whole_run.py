"""The demo from its first item to its last signature: what is typed at each item, known beforehand."""

from __future__ import annotations

import shutil
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

from answers import good_answer

from handwheel.demo import make_demo
from handwheel.run.act import Answer
from handwheel.sitting import Sitting
from handwheel.store.record import NAME, parse

__all__ = ["Turn", "done_in", "events_of", "fresh_demo", "wait_for_entries", "whole_run"]


class Turn(NamedTuple):
    """What is done at one item, and how many entries the record then has.

    Either something is typed (perhaps nothing) and Enter pressed, or a `command` is given. `waits` says
    that this Enter starts a spindle or signs, so that it waits for the disk.
    """

    kind: str
    typed: str
    waits: bool
    entries: int
    command: str = ""


def fresh_demo(folder: Path, example: str = "plate") -> Path:
    """Make a ready job in a new folder, without the guard against doubled keys: here nobody doubles any."""
    job, _ = make_demo(str(folder), example)
    shop = job / "shop.toml"
    text = shop.read_text(encoding="utf-8")
    assert 'guard = "0.3 s"' in text
    shop.write_text(text.replace('guard = "0.3 s"', 'guard = "0 s"'), encoding="utf-8")
    return job


def whole_run(job: Path, commands: bool = False) -> tuple[Turn, ...]:
    """Do a job in a copy of its folder, and give every turn until it is finished.

    With `commands` there is a look ahead and back, a hold, and an entry that is taken back, on the way.
    """
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(shutil.copytree(job, Path(folder) / "job"))
        sitting = Sitting.open(copy)
        try:
            return tuple(_turns(sitting, commands))
        finally:
            sitting.close()


def _turns(sitting: Sitting, commands: bool) -> Iterator[Turn]:
    wanted = {3: "look", 30: "hold", 50: "undo", 70: "look"} if commands else {}
    number = 0
    while sitting.item.kind != "finished":
        number += 1
        assert number < 2000, f"{sitting.item.key} comes back for ever"
        # A minus is a sign of the number where one is asked for: look where Enter is the answer.
        if number in wanted and sitting.view().takes == "enter":
            yield from _command(sitting, wanted.pop(number))
        elif number in wanted:
            wanted[number + 1] = wanted.pop(number)
        yield _turn(sitting)
    assert not wanted, f"no place was found for {wanted}"


def _command(sitting: Sitting, name: str) -> Iterator[Turn]:
    for command in ("ahead", "back") if name == "look" else (name,):
        if command == "hold":
            sitting.answer(Answer("hold"))
        elif command == "undo":
            sitting.answer(Answer("undo"))
        yield Turn(sitting.item.kind, "", False, len(sitting.state.events), command)


def _turn(sitting: Sitting) -> Turn:
    item = sitting.item
    typed = good_answer(item, sitting.state)
    spindle = item.kind == "setting" and item.step is not None and item.step.step.limit is not None
    refusal = sitting.answer(Answer("typed", typed) if typed else Answer("enter"))
    assert not refusal, f"{item.key}: {typed!r} was not taken: {refusal}"
    return Turn(item.kind, typed, spindle or item.kind == "sign-off", len(sitting.state.events))


def events_of(job: Path) -> list[dict[str, Any]]:
    """Give the entries of a job's record as tables, without their times."""
    record = parse((job / NAME).read_bytes())
    assert record.intact, record.problem
    tables = [event.table() for event in record.events]
    return [{name: value for name, value in table.items() if name != "at"} for table in tables]


def wait_for_entries(job: Path, count: int, meanwhile: Callable[[], object], deadline: float = 20) -> None:
    """Wait until the record on the disk has so many entries."""
    end = time.monotonic() + deadline
    while (have := _entries(job)) < count:
        assert time.monotonic() < end, f"{have} entries are on the disk, not {count}"
        meanwhile()


def _entries(job: Path) -> int:
    record = job / NAME
    return record.read_bytes().count(b"[[event]]\n") if record.exists() else 0


def done_in(job: Path) -> bool:
    """Tell whether every operation of a job is signed."""
    sitting = Sitting.open(job)
    try:
        return {one.number for one in sitting.plan.operations} == set(sitting.state.signed)
    finally:
        sitting.close()
