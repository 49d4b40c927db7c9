"""Kills a saving process at random moments, again and again on one job, and looks at what is left.

Usage: python killing.py FOLDER KILLS SEED. Prints a JSON object with what was counted. The process is
forked, so that a round costs milliseconds; it saves as fast as it can on a disk whose fsync takes a
few milliseconds, and writes to a pipe "<" as a save begins, ">" as it is on the disk.
"""

from __future__ import annotations

import json
import os
import random
import signal
import sys
import time
from datetime import datetime
from pathlib import Path

from handwheel.models.record import Event
from handwheel.store.durable import Disk, replace_file, sweep
from handwheel.store.record import NAME, RecordText, load

SLOW = 0.002  # [s]


class SlowDisk(Disk):
    """A disk on which reaching the disk takes time, so that kills fall into it."""

    def fsync(self, handle: int) -> None:
        time.sleep(SLOW)
        super().fsync(handle)

    def fsync_dir(self, folder: Path) -> None:
        time.sleep(SLOW)
        super().fsync_dir(folder)


class Marking(SlowDisk):
    """Tells when the first write of a save begins."""

    def __init__(self, pipe: int) -> None:
        self.pipe = pipe
        self.told = False

    def write(self, handle: int, data: memoryview) -> int:
        if not self.told:
            os.write(self.pipe, b"<")
            self.told = True
        return super().write(handle, data)


def save_for_ever(folder: Path, pipe: int) -> None:
    loaded = load(folder, clock=datetime.now)
    record = RecordText(loaded.record.events)
    while True:
        record.append(Event(kind="ticked", at="2026-11-24T10:15:00+01:00", step=f"step-{len(record)}"))
        replace_file(folder / NAME, record.text({"live": f"step {len(record)}"}), Marking(pipe))
        os.write(pipe, b">")


def one_round(folder: Path, moment: float) -> bytes:
    """Fork, kill after a while, and give what the process had told."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        try:
            save_for_ever(folder, writing)
        finally:
            os._exit(1)
    os.close(writing)
    time.sleep(moment)
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    with open(reading, "rb") as pipe:
        told = pipe.read()
    if not os.WIFSIGNALED(status):
        raise RuntimeError("the saving process ended by itself")
    return told


def kill(folder: Path, kills: int, seed: int) -> dict[str, int]:
    chance = random.Random(seed)
    acked = inside = torn = lost = wrong = stray = 0
    for _ in range(kills):
        told = one_round(folder, chance.uniform(0.005, 0.05))
        acked += told.count(b">")
        inside += told.endswith(b"<")
        loaded = load(folder, clock=datetime.now)
        steps = [event.step for event in loaded.record.events]
        torn += bool(loaded.said) or not loaded.record.intact
        lost += len(steps) < acked
        wrong += steps != [f"step-{index}" for index in range(len(steps))]
        stray += sweep(folder)
        acked = max(acked, len(steps))  # an entry that reached the disk unacknowledged stays
    left = sum(name.endswith(".tmp") for name in os.listdir(folder))
    return {
        "kills": kills,
        "acked": acked,
        "inside": inside,
        "torn": torn,
        "lost": lost,
        "wrong": wrong,
        "stray": stray,
        "left": left,
    }


if __name__ == "__main__":
    print(json.dumps(kill(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))))
