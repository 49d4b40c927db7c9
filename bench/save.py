"""What a save costs over the bare durable write of the same bytes, in one run, by length of the record."""

from __future__ import annotations

import os
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from statistics import median

from handwheel.models.record import Event
from handwheel.store.durable import replace_file
from handwheel.store.record import NAME, RecordText
from result import Figure

NOW = {"title": "Bearing carrier", "operation": 50, "lines": [["Set the spindle to", "850 1/min"]] * 8}


def event(index: int) -> Event:
    return Event(
        kind="read",
        at="2026-11-24T10:15:00+01:00",
        operation=50,
        step="diameter",
        position=index,
        entered="6.81",
        value=6.81,
        unit="mm",
        verdict="pass",
        instrument="caliper",
    )


def bare(path: Path, data: bytes) -> None:
    """Do the least that survives a power cut: new file, fsync, rename, fsync of the folder."""
    temp = path.with_suffix(".new")
    handle = os.open(temp, os.O_WRONLY | os.O_CREAT | os.O_EXCL)
    os.write(handle, data)
    os.fsync(handle)
    os.close(handle)
    os.replace(temp, path)
    folder = os.open(path.parent, os.O_RDONLY)
    os.fsync(folder)
    os.close(folder)


def measure(tiny: bool) -> Iterator[Figure]:
    """Measure for a short record, a usual one, and one longer than any job."""
    # In the working folder, since the folder for temporary files may be in memory.
    with tempfile.TemporaryDirectory(dir=".") as folder:
        figures = [_one_length(Path(folder), length, 5 if tiny else 200) for length in (10, 200, 2000)]
    yield from figures
    growth = figures[-1].number / figures[0].number
    yield Figure("save, 2000 events over 10 (flat is 1)", round(growth, 2), 1.5)


def _one_length(folder: Path, length: int, rounds: int) -> Figure:
    record = RecordText(event(index) for index in range(length))
    ours, raw = [], []
    for index in range(rounds):
        start = time.perf_counter()
        record.append(event(index))
        data = record.text(NOW)
        replace_file(folder / NAME, data)
        middle = time.perf_counter()
        bare(folder / "raw.toml", data)
        ours.append(middle - start)
        raw.append(time.perf_counter() - middle)
    beside = {"save_ms": round(median(ours) * 1000, 3), "bare_ms": round(median(raw) * 1000, 3)}
    return Figure(
        f"save over bare write, {length} events", round(median(ours) / median(raw), 2), 3, beside=beside
    )
