"""kill -9 at random moments of a run: every acknowledged entry is there, and the same item comes back."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

KILLED_RUN = Path(__file__).parents[1] / "support" / "killed_run.py"

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="the run is forked")


def killed(folder: Path, kills: int, *more: str) -> dict[str, int]:
    command = [sys.executable, str(KILLED_RUN), str(folder), str(kills), "1", *more]
    run = subprocess.run(command, capture_output=True, text=True, timeout=300, check=True)
    counted: dict[str, int] = json.loads(run.stdout)
    return counted


@pytest.mark.parametrize(
    ("kills", "inside"), [(20, 6), pytest.param(200, 100, marks=pytest.mark.slow)], ids=["20", "200"]
)
def test_what_was_acknowledged_is_there_and_the_same_item_comes_back(
    tmp_path: Path, kills: int, inside: int
) -> None:
    counted = killed(tmp_path, kills)
    wrong = {name: counted[name] for name in ("torn", "lost", "changed", "elsewhere")}
    assert not any(wrong.values()), counted
    # Worth nothing unless kills fall between the first write and the last fsync of a save.
    assert counted["inside"] >= inside, counted
    assert counted["entries"] > kills, counted


def test_an_entry_told_before_it_is_on_the_disk_is_found_to_be_lost(tmp_path: Path) -> None:
    assert killed(tmp_path, 20, "hasty")["lost"] > 0
