"""What a command loads and how long it takes to start: the screens belong to the commands that show them."""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from statistics import median

from handwheel.demo import make_demo
from result import Figure
from timed import handwheel

CALC = ("calc", "tap_drill", "thread=M8")

_LOADED = """
import contextlib, io, json, sys
from handwheel.cli import main
with contextlib.redirect_stdout(io.StringIO()), contextlib.suppress(SystemExit):
    main(sys.argv[1:])
print(json.dumps(sorted(one for one in sys.modules if one.split(".")[0] in ("textual", "rich"))))
"""


def measure(tiny: bool) -> Iterator[Figure]:
    """Count the modules of Textual that each command loads, then time the start of a calculation."""
    with tempfile.TemporaryDirectory() as folder:
        job, _ = make_demo(str(Path(folder) / "job"), "plate")
        for command in (("--version",), CALC, ("check", str(job))):
            loaded = screens_loaded(*command)
            beside = {"modules": " ".join(loaded[:5])} if loaded else {}
            name = f"modules of Textual loaded by {command[0]}"
            yield Figure(name, len(loaded), 0, compared=False, beside=beside)
    yield _start(1 if tiny else 15)


def screens_loaded(*command: str) -> list[str]:
    """Run a command and list the modules of Textual and its printer that it loaded."""
    run = subprocess.run(
        [sys.executable, "-c", _LOADED, *command], capture_output=True, text=True, check=True
    )
    loaded: list[str] = json.loads(run.stdout)
    return loaded


def _start(rounds: int) -> Figure:
    ours, bare = [], []
    for _ in range(rounds):
        bare.append(_took([sys.executable, "-c", "import argparse, json, tomllib"]))
        ours.append(_took([*handwheel, *CALC]))
    beside = {"ms": round(median(ours) * 1000), "bare_ms": round(median(bare) * 1000)}
    return Figure("calc tap_drill over bare Python", round(median(ours) / median(bare), 2), beside=beside)


def _took(command: list[str]) -> float:
    began = time.perf_counter()
    subprocess.run(command, stdout=subprocess.DEVNULL, check=True)
    return time.perf_counter() - began
