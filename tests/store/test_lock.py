"""One writer for each job."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from handwheel.store.lock import NAME, JobLock


def test_the_second_may_only_look_and_is_told_who_writes(tmp_path: Path) -> None:
    with JobLock(tmp_path) as first, JobLock(tmp_path) as second:
        assert (first.held, first.why) == (True, "")
        assert not second.held
        assert f"process {os.getpid()} on " in second.why
        second.release()
        assert first.held
    with JobLock(tmp_path) as third:
        assert third.held


def test_a_second_process_is_told_too(tmp_path: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from handwheel.store.lock import JobLock\n"
        "print(JobLock(Path(sys.argv[1])).held)"
    )
    command = [sys.executable, "-c", code, str(tmp_path)]
    with JobLock(tmp_path):
        assert subprocess.run(command, capture_output=True, text=True, check=True).stdout == "False\n"
    assert subprocess.run(command, capture_output=True, text=True, check=True).stdout == "True\n"
    # That process ended without releasing: the lock died with it.
    with JobLock(tmp_path) as lock:
        assert lock.held


def test_a_folder_that_cannot_be_written_can_be_looked_at(tmp_path: Path) -> None:
    (tmp_path / NAME).mkdir()
    lock = JobLock(tmp_path)
    assert not lock.held
    assert "cannot be written" in lock.why


def test_a_disk_that_keeps_no_locks_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(handle: int) -> None:
        raise OSError(37, "no locks available")

    monkeypatch.setattr("handwheel.store.lock._take", refuse)
    with JobLock(tmp_path) as lock:
        assert lock.held
        assert "keeps no locks" in lock.why
