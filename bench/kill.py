"""The kills of tests/e2e/test_kill.py in full number: 200 in runs of the demo, and what each one left."""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from collections.abc import Iterator

from result import Figure
from timed import HERE

KILLED_RUN = HERE.parent / "tests" / "support" / "killed_run.py"


def measure(tiny: bool) -> Iterator[Figure]:
    """Kill, and count what went wrong and which kills fell outside a save."""
    kills = 3 if tiny else 200
    # In the working folder, since the folder for temporary files may be in memory.
    with tempfile.TemporaryDirectory(dir=".") as folder:
        command = [sys.executable, str(KILLED_RUN), folder, str(kills), "1"]
        run = subprocess.run(command, capture_output=True, text=True, check=True)
    counted = json.loads(run.stdout)
    wrong = sum(counted[name] for name in ("torn", "lost", "changed", "elsewhere"))
    yield Figure("kills after which something was wrong", wrong, 0, compared=False, beside=counted)
    outside = 1 - counted["inside"] / counted["kills"]
    yield Figure("share of kills outside a save", round(outside, 2), 0.5, compared=False)
