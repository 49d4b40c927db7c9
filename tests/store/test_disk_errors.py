"""The disk fails at the first, second, … call of a save, until one save runs through."""

from __future__ import annotations

import errno
import os
import time
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from handwheel.models.record import Event
from handwheel.store.durable import Disk, replace_file, sweep
from handwheel.store.record import NAME, RecordText, load
from handwheel.store.writer import SaveState, Writer, in_words

ERRORS = [errno.ENOSPC, errno.EIO, errno.EROFS, errno.EACCES]
# Calls that change nothing, or whose failure the real system reports by a call that is counted.
COUNTED = ("create", "write", "fsync", "link", "replace", "fsync_dir", "stat")


class Failing(Disk):
    """Fails at one call, counted from 1; notes every fsync that comes after a failed one."""

    def __init__(self, at: int, number: int) -> None:
        self.left = at
        self.number = number
        self.failed = ""
        self.handle: int | None = None
        self.synced_again = False

    def __getattribute__(self, name: str) -> Any:
        call = super().__getattribute__(name)
        return self.counted(name, call) if name in COUNTED else call

    def counted(self, name: str, call: Callable[..., Any]) -> Callable[..., Any]:
        def act(*given: Any) -> Any:
            self.left -= 1
            if name == "fsync" and self.handle == given[0]:
                self.synced_again = True
            if self.left == 0:
                self.failed = name
                self.handle = given[0] if name == "fsync" else None
                raise OSError(self.number, os.strerror(self.number))
            return call(*given)

        return act

    def close(self, handle: int) -> None:
        if handle == self.handle:
            self.handle = None  # its number may be given again
        super().close(handle)


def event(step: str) -> Event:
    return Event(kind="ticked", at="2026-11-24T10:15:00+01:00", step=step)


def steps(folder: Path) -> list[str | None]:
    loaded = load(folder, clock=lambda: datetime(2026, 11, 24))
    assert loaded.record.intact
    assert loaded.said == ()
    return [one.step for one in loaded.record.events]


@pytest.mark.parametrize("number", ERRORS)
def test_a_save_that_fails_leaves_the_record_and_the_next_one_works(tmp_path: Path, number: int) -> None:
    record = RecordText([event("first")])
    replace_file(tmp_path / NAME, record.text({}))
    failed = []
    for at in range(1, 100):
        record.append(event(f"at {at}"))
        files = Failing(at, number)
        try:
            replace_file(tmp_path / NAME, record.text({}), files)
        except OSError as error:
            assert error.errno == number
            assert len(steps(tmp_path)) in (at, at + 1)  # one less, or reached the file all the same
        failed.append(files.failed)
        assert not files.synced_again
        assert not [name for name in os.listdir(tmp_path) if name.endswith(".tmp")]
        replace_file(tmp_path / NAME, record.text({}))
        assert len(steps(tmp_path)) == at + 1
        if not files.failed:
            break
    assert set(failed) == {*COUNTED, ""}


@pytest.mark.parametrize("number", ERRORS)
def test_the_writer_goes_on_and_saves_when_the_disk_is_well_again(tmp_path: Path, number: int) -> None:
    record = RecordText([event("first")])
    for at in range(1, 100):
        folder = tmp_path / f"{at}"
        folder.mkdir()
        replace_file(folder / NAME, record.text({}))
        said: list[SaveState] = []
        files = Failing(at, number)
        writer = Writer(folder / NAME, record.text({}), files=files, retry=0.01, after=said.append)
        wanted = RecordText([event("first"), event("second")])
        writer.submit(1, wanted.text({}))
        ended = time.monotonic() + 5
        while not writer.wait(1, timeout=0.1) and time.monotonic() < ended:
            time.sleep(0.001)  # a try that failed ends the waiting, and the next one comes
        assert writer.close() == ""
        copied_instead = files.failed == "link" and number == errno.EACCES
        troubles = [] if copied_instead or not files.failed else [in_words(OSError(number, ""))]
        assert [state.problem for state in said[:-1]] == troubles
        assert (said[-1].problem, said[-1].saved) == ("", 1)
        assert steps(folder) == ["first", "second"]
        assert sorted(os.listdir(folder)) == [NAME, f"{NAME}.bak"]
        if not files.failed:
            break
    assert at > len(COUNTED)


def test_a_failed_unlink_leaves_only_what_sweeping_removes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Stuck(Failing):
        def unlink(self, path: Path) -> None:
            raise OSError(errno.EIO, "stuck")

    with pytest.raises(OSError, match=os.strerror(errno.ENOSPC)):
        replace_file(tmp_path / NAME, b"data", Stuck(3, errno.ENOSPC))
    assert sweep(tmp_path) == 0  # this process lives, and might be writing it
    monkeypatch.setattr("handwheel.store.durable._lives", lambda process: process != os.getpid())
    assert sweep(tmp_path) == 1
    assert os.listdir(tmp_path) == []
