"""The benches run, and say what got worse. How fast anything is stays their own matter."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

BENCH = Path(__file__).parents[1] / "bench"


def run(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, str(BENCH / "run.py"), *arguments]
    return subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=300)


def test_a_bench_that_is_not_there_is_named_with_those_that_are(tmp_path: Path) -> None:
    asked = run(tmp_path, "no_such_bench")
    assert asked.returncode == 2
    assert "there is no bench no_such_bench; there are: imports, save" in asked.stderr


def test_a_ratio_that_grew_by_more_than_a_quarter_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.syspath_prepend(str(BENCH))
    from result import Figure
    from run import grown

    figures = [Figure("a", 1.3), Figure("b", 1.2), Figure("c", 9, compared=False), Figure("new", 5)]
    earlier = json.loads('{"a": {"number": 1.0}, "b": {"number": 1.0}, "c": {"number": 1.0}}')
    assert list(grown(figures, earlier)) == ["WORSE: a was 1 and is 1.3"]


@pytest.mark.slow
def test_every_bench_runs(tmp_path: Path) -> None:
    done = run(tmp_path, "--tiny")
    assert done.returncode == 0, done.stderr
    for figure in ("Textual loaded by check", "save over bare write", "calc --stdin", "first paint", "p99"):
        assert figure in done.stdout
