"""Kills a run of the demo at random moments, again and again, and looks at what a person finds afterwards.

Usage: python killed_run.py FOLDER KILLS SEED [hasty]. Prints a JSON object with what was counted. The run is
the real one, a `Sitting` on the real disk whose fsync takes longer; it is forked, so that a round costs no
imports. It tells through a pipe what is live after each answer, and each entry that `Sitting.wait` says is
on the disk. A byte of shared memory, which outlives the kill, says whether a save was under way: from its
first write to its last fsync. `hasty` tells an entry before it is on the disk: what the count has to find.
"""

from __future__ import annotations

import json
import mmap
import os
import random
import shutil
import signal
import sys
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from answers import good_answer
from whole_run import fresh_demo

from handwheel.run.act import Answer
from handwheel.run.live import Item, items_of
from handwheel.sitting import Sitting
from handwheel.store.durable import Disk
from handwheel.store.record import NAME, parse

SLOW = 0.006  # [s], of each fsync
LIFE = 0.35  # [s] that a run lives at most, once the job is open
Key = tuple[Any, ...]


@dataclass
class Job:
    """A job that is killed again and again: what was told of it, and what its record held last."""

    folder: Path
    acknowledged: int = 0
    live: dict[int, Key] = field(default_factory=dict)
    events: list[dict[str, Any]] = field(default_factory=list)
    finished: bool = False


# --- the run that is killed --------------------------------------------------------------------------


def slow_and_marked(marker: mmap.mmap) -> None:
    """Make the disk slow, and let it mark in shared memory that a save is under way."""
    write, fsync, fsync_dir = Disk.write, Disk.fsync, Disk.fsync_dir

    def marked_write(disk: Disk, handle: int, data: memoryview) -> int:
        marker[0] = 1
        return write(disk, handle, data)

    def slow_fsync(disk: Disk, handle: int) -> None:
        time.sleep(SLOW)
        fsync(disk, handle)

    def slow_fsync_dir(disk: Disk, folder: Path) -> None:
        time.sleep(SLOW)
        fsync_dir(disk, folder)
        marker[0] = 0

    for name, patched in (("write", marked_write), ("fsync", slow_fsync), ("fsync_dir", slow_fsync_dir)):
        setattr(Disk, name, patched)


def run(folder: Path, pipe: int, hasty: bool) -> None:
    """Answer every item well, and tell what is live and what is on the disk."""
    sitting = Sitting.open(folder)
    while sitting.item.kind != "finished":
        typed = good_answer(sitting.item)
        refused = sitting.answer(Answer("typed", typed) if typed else Answer("enter"))
        if refused:
            raise RuntimeError(refused)
        count = len(sitting.state.events)
        _tell(pipe, "live", count, _key(sitting.item))
        if hasty or sitting.wait():
            _tell(pipe, "saved", count, ())
    _tell(pipe, "finished", 0, ())
    signal.pause()


def _tell(pipe: int, what: str, count: int, key: Key) -> None:
    os.write(pipe, json.dumps([what, count, key]).encode() + b"\n")


def _key(item: Item) -> Key:
    """Name an item; nothing for the lists of a sitting, which are asked anew each time."""
    key = item.key
    if item.kind == "finished":
        return ("finished",)
    return (key.operation, key.step, key.position, key.cut_pass) if key.operation and key.step else ()


# --- the kill, and what is found afterwards ------------------------------------------------------------


def kill_once(job: Job, moment: float, marker: mmap.mmap, hasty: bool) -> bool:
    """Fork a run, kill it after a while [s], keep what it told; say whether a save was under way."""
    marker[0] = 0
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        try:
            slow_and_marked(marker)
            run(job.folder, writing, hasty)
        finally:
            os._exit(1)
    os.close(writing)
    time.sleep(moment)
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    if not os.WIFSIGNALED(status):
        raise RuntimeError("the run ended by itself")
    with open(reading, "rb") as pipe:
        for line in pipe:
            _take(job, *json.loads(line))
    return marker[0] == 1


def _take(job: Job, what: str, count: int, key: list[Any]) -> None:
    if what == "live":
        # Within the lists of a sitting the item to come back to is the one from before.
        job.live[count] = tuple(key) or job.live.get(count - 1, ())
    elif what == "saved":
        job.acknowledged = max(job.acknowledged, count)
    else:
        job.finished = True


def look(job: Job) -> dict[str, int]:
    """Look at the record, then reopen a copy of the job as a person would; count what is wrong."""
    path = job.folder / NAME
    if not path.exists():
        return {"lost": int(job.acknowledged > 0)}
    record = parse(path.read_bytes())
    tables = [event.table() for event in record.events]
    wrong = {
        "torn": not record.intact,
        "lost": len(tables) < job.acknowledged,
        "changed": tables[: len(job.events)] != job.events,
        "elsewhere": not _comes_back(job, len(tables)),
    }
    job.events = tables
    job.acknowledged = len(tables)  # an entry that reached the disk untold stays there
    return {name: int(one) for name, one in wrong.items()}


def _comes_back(job: Job, count: int) -> bool:
    """Whether the briefing comes first, and after it and the lists of a sitting the item of before.

    Nothing is to be briefed about where no entry reached the disk, or where every operation is signed.
    """
    copy = Path(shutil.copytree(job.folder, job.folder.with_name("reopened")))
    sitting = Sitting.open(copy)
    try:
        wanted = job.live.get(count, ())
        begins = "finished" if wanted == ("finished",) else "briefing" if count else "opening"
        briefed = sitting.item.kind == begins
        sitting.answer(Answer("enter"))
        while sitting.item.key.operation == 0 and sitting.item.kind != "finished":
            typed = good_answer(sitting.item)
            sitting.answer(Answer("typed", typed) if typed else Answer("enter"))
        return briefed and (not wanted or _key(sitting.item) == _asked_first(sitting, wanted))
    finally:
        sitting.close()
        shutil.rmtree(copy)


def _asked_first(sitting: Sitting, wanted: Key) -> Key:
    """Give the item itself; of a list that was broken off its first item, since it is asked again whole."""
    if wanted == ("finished",):
        return wanted
    operation = next(one for one in sitting.plan.operations if one.number == wanted[0])
    items = list(items_of(operation, sitting.state))
    step = next(item.step for item in items if _key(item) == wanted and item.step)
    if step.owner == "operation":
        return wanted
    return next(_key(item) for item in items if item.step and item.step.owner == step.owner)


def _opening(folder: Path) -> float:
    """Measure how long this machine takes to open the job [s]; the first time loads what is forked later."""
    job = fresh_demo(folder / "measured")
    for _ in range(2):
        began = time.monotonic()
        Sitting.open(job).close()
    return time.monotonic() - began


def kill(folder: Path, kills: int, seed: int, hasty: bool = False) -> dict[str, int]:
    """Kill so many times and give what was counted."""
    chance = random.Random(seed)
    marker = mmap.mmap(-1, 1)
    counted = dict.fromkeys(("kills", "inside", "jobs", "entries", "torn", "lost", "changed", "elsewhere"), 0)
    longest = _opening(folder) + (LIFE / 3 if hasty else LIFE)
    job = None
    for _ in range(kills):
        if job is None or job.finished:
            counted["jobs"] += 1
            job = Job(fresh_demo(folder / f"job-{counted['jobs']}" / "demo"))
        counted["inside"] += kill_once(job, chance.uniform(0, longest), marker, hasty)
        before = len(job.events)
        for name, one in look(job).items():
            counted[name] += one
        counted["entries"] += len(job.events) - before
        counted["kills"] += 1
    return counted


if __name__ == "__main__":
    print(json.dumps(kill(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]), sys.argv[4:] == ["hasty"])))
