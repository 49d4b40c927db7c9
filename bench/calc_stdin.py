"""Calculations through a pipe: lines a second, and over a floor that only reads and writes the same JSON."""

from __future__ import annotations

import json
import subprocess
import time
from collections.abc import Iterator
from statistics import median

from result import Figure
from timed import handwheel
from workload import lines

LEAST = 10_000  # lines a second


def measure(tiny: bool) -> Iterator[Figure]:
    """Measure whole processes, start included, in turns with the floor."""
    count = 440 if tiny else 44_000
    given = b"".join(lines(count))
    ours, floor = [], []
    for _ in range(1 if tiny else 5):
        took, answers = _ours(given)
        if len(answers) != count:
            raise RuntimeError(f"{len(answers)} answers for {count} lines")
        ours.append(took)
        floor.append(_floor(given, answers))
    bad = sum(b'"error"' in one for one in answers)
    beside = {"lines_a_second": round(count / median(ours)), "refused_percent": round(100 * bad / count)}
    yield Figure("calc --stdin over json alone", round(median(ours) / median(floor), 2), beside=beside)
    most = 1000 / LEAST
    yield Figure("calc --stdin, a line [ms]", round(median(ours) / count * 1000, 4), most, compared=False)


def _ours(given: bytes) -> tuple[float, list[bytes]]:
    began = time.perf_counter()
    run = subprocess.run([*handwheel, "calc", "--stdin"], input=given, stdout=subprocess.PIPE, check=True)
    return time.perf_counter() - began, run.stdout.splitlines()


def _floor(given: bytes, answers: list[bytes]) -> float:
    """Read every line and write every answer with the standard library; nothing is computed."""
    parsed = [json.loads(one) for one in answers]
    began = time.perf_counter()
    for line in given.splitlines():
        try:
            json.loads(line)
        except ValueError:
            continue
    for answer in parsed:
        json.dumps(answer)
    return time.perf_counter() - began
