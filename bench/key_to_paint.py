"""From a key to the paint that answers it, through a pseudo-terminal, over the whole demo.

The keys are those of a person who does everything right and looks ahead now and then. They come at random
moments, also while an entry is pending; an Enter that has to wait for the disk waits for it, and is the
only key that does. Once as the disk is, once with 50 ms more for each fsync, once for a bare Textual app.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from random import Random
from statistics import median

from terminal import Terminal
from whole_run import Turn, fresh_demo, whole_run

from result import Figure, quantile
from timed import HERE, handwheel, pictures, start

READY = 1.0  # [s] of silence after which the app has loaded everything
QUIET = 0.02  # [s]
PAUSE = (0.02, 0.08)  # [s] between keys, as a quick hand presses them
DISK = 0.4  # [s]; what a save needs on the slow disk, and more

Keys = list[tuple[str, float]]
"""A key, and the pause before it [s]."""


def measure(tiny: bool) -> Iterator[Figure]:
    """Measure every key of the demo's whole run."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        turns = whole_run(fresh_demo(folder / "plain"))[: 5 if tiny else None]
        fresh_demo(folder / "slow")
        keys = _keys(turns, Random(1), disk=PAUSE[1])
        floor = _delays(start(sys.executable, str(HERE / "bare_app.py"), "--keys", home=folder), keys)
        usual = _delays(start(*handwheel, "open", str(folder / "plain"), home=folder), keys)
        slow = start(sys.executable, str(HERE / "slow_disk.py"), "open", str(folder / "slow"), home=folder)
        slowed = _delays(slow, _keys(turns, Random(1), disk=DISK))
    count = {"keys": len(keys)}
    bare = {"bare_ms": _ms(median(floor)), "bare_p99_ms": _ms(quantile(floor, 0.99))}
    yield Figure("key to paint over a bare Textual app", round(median(usual) / median(floor), 2), beside=bare)
    for name, delays in (("key to paint", usual), ("key to paint, fsync + 50 ms", slowed)):
        yield Figure(f"{name}, median [ms]", _ms(median(delays)), 10, compared=False, beside=count)
        yield Figure(f"{name}, p99 [ms]", _ms(quantile(delays, 0.99)), 40, compared=False)


def _ms(seconds: float) -> float:
    return round(seconds * 1000, 1)


def _keys(turns: Sequence[Turn], chance: Random, disk: float) -> Keys:
    keys = []
    for turn in turns:
        looks = "nb" if chance.random() < 0.3 else ""
        keys += [(key, chance.uniform(*PAUSE)) for key in looks + turn.typed]
        keys.append(("\r", disk if turn.waits else chance.uniform(*PAUSE)))
    return keys


def _delays(terminal: Terminal, keys: Keys) -> list[float]:
    """Press the keys one by one; give the time from each to the first paint that shows a difference [s]."""
    with terminal:
        while not terminal.pieces:
            terminal.read_until_quiet(0.05)
        terminal.read_until_quiet(READY)
        pressed = []
        for key, pause in keys:
            time.sleep(pause)
            terminal.read_until_quiet(QUIET)
            pressed.append(time.perf_counter())
            terminal.send(key)
            terminal.read_until_quiet(QUIET)
        terminal.read_until_quiet(READY)
        return list(_answers(pressed, list(pictures(terminal.pieces))))


def _answers(pressed: Sequence[float], painted: Sequence[tuple[float, str]]) -> Iterator[float]:
    """Give the delay of each key; a key that nothing answered before the next one is a fault."""
    before, rest = "", iter(painted)
    at, picture = next(rest)
    for number, moment in enumerate(pressed):
        while at < moment:
            before = picture
            at, picture = next(rest)
        while picture == before:
            at, picture = next(rest)
        if number + 1 < len(pressed) and at > pressed[number + 1]:
            raise RuntimeError(f"key {number + 1} was not answered; on the screen:\n{before}")
        yield at - moment
