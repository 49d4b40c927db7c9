"""kill -9 at random moments: every acknowledged entry is there, and the record is whole."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

KILLING = Path(__file__).parent.parent / "support" / "killing.py"


@pytest.mark.skipif(not hasattr(os, "fork"), reason="the saving process is forked")
@pytest.mark.parametrize("kills", [40, pytest.param(200, marks=pytest.mark.slow)])
def test_no_kill_tears_the_record_or_loses_an_acknowledged_entry(tmp_path: Path, kills: int) -> None:
    command = [sys.executable, str(KILLING), str(tmp_path), str(kills), "1"]
    run = subprocess.run(command, capture_output=True, text=True, timeout=120, check=True)
    counted = json.loads(run.stdout)
    assert (counted["torn"], counted["lost"], counted["wrong"], counted["left"]) == (0, 0, 0, 0)
    # The test is worth nothing unless kills fall between the first write and the last fsync of a save.
    assert counted["inside"] >= kills // 4, counted
    assert counted["stray"] > 0, counted
    assert counted["acked"] > kills // 4, counted
