"""The look-up: from the shell, and sign by sign as somebody types."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import suppress
from statistics import median

from handwheel.errors import HandwheelError
from handwheel.look import look, warm
from handwheel.present.look_view import look_rows
from result import Figure, quantile
from timed import handwheel

QUERIES = ("M8", "1/4-20", "6.8", "#7", "47 H7", "25 H7/g6", "C45", "mild steel", "ISO 4762 M6", "chamfer")
CALLS = ("spindle_speed 25 m/min 6.8 mm", "tap_drill 1/4-20 UNC", "bolt_circle 6 80", "spindel_sped")
SHELL = ("M8", "6.8", "C45", "chamfer")
_MOST_START = 250.0
_MOST_SIGN = 50.0


def measure(tiny: bool) -> Iterator[Figure]:
    """Time a look-up from the shell over a bare Python, then every beginning of the lines above."""
    yield from _starts(1 if tiny else 15)
    yield _typing(1 if tiny else 5)


def _starts(rounds: int) -> Iterator[Figure]:
    bare: list[float] = []
    ours: dict[str, list[float]] = {query: [] for query in SHELL}
    for _ in range(rounds):
        bare.append(_took([sys.executable, "-c", "import argparse, json, tomllib"]))
        for query, took in ours.items():
            took.append(_took([*handwheel, "look", query, "--json"]))
    slowest = max(map(median, ours.values()))
    beside = {"bare_ms": round(median(bare) * 1000)}
    yield Figure("look over bare Python, the slowest query", round(slowest / median(bare), 2), beside=beside)
    yield Figure("look from the shell, ms", round(slowest * 1000), _MOST_START, compared=False)


def _typing(rounds: int) -> Figure:
    """Give what a typed sign waits for its answer, the first of each line with tables already read."""
    warm()
    took: list[float] = []
    for _ in range(rounds):
        for line in (*QUERIES, *CALLS):
            for end in range(1, len(line) + 1):
                began = time.perf_counter()
                with suppress(HandwheelError):  # that nothing is called so yet is an answer too
                    look_rows(look(line[:end]))
                took.append((time.perf_counter() - began) * 1000)
    beside = {"median_ms": round(quantile(took, 0.5), 2), "signs": len(took)}
    number = round(quantile(took, 0.99), 1)
    return Figure("answer to a typed sign, p99 ms", number, _MOST_SIGN, compared=False, beside=beside)


def _took(command: list[str]) -> float:
    began = time.perf_counter()
    subprocess.run(command, stdout=subprocess.DEVNULL, check=True)
    return time.perf_counter() - began
