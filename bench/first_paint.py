"""From the start to the first painted screen, over that of a bare Textual app, in turns.

The screen has to hold the operation, the live item and the number to set; the bare app's its one text.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from statistics import median
from time import perf_counter

from whole_run import fresh_demo, whole_run

from handwheel.run.act import Answer
from handwheel.sitting import Sitting
from result import Figure
from timed import HERE, handwheel, pictures, start

QUIET = 0.3  # [s] without output, after which the first paint is long done


def measure(tiny: bool) -> Iterator[Figure]:
    """Measure fifteen starts of each."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        job = fresh_demo(folder / "job")
        wanted = at_a_number(job)
        ours, bare = [], []
        for _ in range(1 if tiny else 15):
            bare.append(_first(wanted=("bare and ready",), home=folder, command=_BARE))
            ours.append(_first(wanted=wanted, home=folder, command=(*handwheel, "open", str(job))))
    first, floor = median(ours), median(bare)
    beside = {"ms": round(first * 1000), "bare_ms": round(floor * 1000)}
    yield Figure("first paint over a bare Textual app", round(first / floor, 2), 1.3, beside=beside)


_BARE = (sys.executable, str(HERE / "bare_app.py"))


def at_a_number(job: Path) -> tuple[str, ...]:
    """Work until a number is to be set; give the texts that the screen has to hold then."""
    turns = iter(whole_run(job))
    sitting = Sitting.open(job)
    while sitting.item.kind != "setting" or not sitting.view().big:
        typed = next(turns).typed
        sitting.answer(Answer("typed", typed) if typed else Answer("enter"))
    sitting.wait()
    view = sitting.view()
    sitting.close()
    return view.place.split("·")[0].strip(), view.text[:40], f"{view.big} {view.unit}"


def _first(*, wanted: tuple[str, ...], home: Path, command: tuple[str, ...]) -> float:
    """Start, wait for the picture, and say how long it took [s]."""
    began = perf_counter()
    with start(*command, home=home) as terminal:
        while not terminal.pieces:
            terminal.read_until_quiet(0.05)
        terminal.read_until_quiet(QUIET)
        for at, picture in pictures(terminal.pieces):
            if all(text in picture for text in wanted):
                return at - began
    raise RuntimeError(f"{wanted} is nowhere on the screen:\n{picture}")
