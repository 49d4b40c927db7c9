"""The saving thread: latest wins, what failed is said and tried again, nobody's change is overwritten."""

from __future__ import annotations

import errno
import os
import threading
import time
from datetime import datetime
from pathlib import Path

import pytest

from handwheel.errors import StoreError
from handwheel.store.durable import DISK, Disk, replace_file
from handwheel.store.writer import SaveState, Writer


class Gate(Disk):
    """Lets a save end only when the gate is open, and counts the saves."""

    def __init__(self) -> None:
        self.open = threading.Event()
        self.begun = threading.Event()
        self.saves = 0

    def fsync(self, handle: int) -> None:
        self.begun.set()
        assert self.open.wait(5)
        self.saves += 1
        super().fsync(handle)


class Trouble(Disk):
    """Fails at every fsync while there is trouble."""

    def __init__(self, number: int = errno.ENOSPC) -> None:
        self.number = number
        self.trouble = True

    def fsync(self, handle: int) -> None:
        if self.trouble:
            raise OSError(self.number, os.strerror(self.number))
        super().fsync(handle)


def now() -> datetime:
    return datetime(2026, 11, 24, 10, 15)


def saved(writer: Writer, version: int) -> bool:
    """Wait also past tries that fail, at most five seconds."""
    end = time.monotonic() + 5
    while not writer.wait(version, 0.1) and time.monotonic() < end:
        time.sleep(0.005)
    return writer.wait(version, 0)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "record.toml"


def test_what_is_submitted_is_saved_and_said(path: Path) -> None:
    said: list[SaveState] = []
    writer = Writer(path, None, after=said.append)
    writer.submit(1, b"one")
    assert writer.wait(1, 5)
    writer.submit(2, lambda: b"two")
    assert writer.wait(2, 5)
    assert path.read_bytes() == b"two"
    assert writer.close() == ""
    assert [(state.saved, state.problem) for state in said] == [(1, ""), (2, "")]


def test_the_latest_wins_and_nothing_is_saved_twice(path: Path) -> None:
    files = Gate()
    writer = Writer(path, None, files=files)
    writer.submit(1, b"one")
    assert files.begun.wait(5)
    for version in range(2, 50):
        writer.submit(version, b"%d" % version)
    assert not writer.wait(1, 0.01)
    files.open.set()
    assert writer.wait(49, 5)
    assert (path.read_bytes(), files.saves) == (b"49", 2)
    assert writer.close() == ""


def test_a_version_has_to_grow(path: Path) -> None:
    writer = Writer(path, None)
    writer.submit(2, b"two")
    with pytest.raises(ValueError, match="not above"):
        writer.submit(2, b"again")
    assert writer.close() == ""
    with pytest.raises(StoreError):
        writer.submit(3, b"late")


def test_pending_counts_from_the_oldest_that_waits(path: Path) -> None:
    files, time = Gate(), iter([10.0, 11.0, 12.0])
    writer = Writer(path, None, files=files, clock=lambda: next(time))
    assert writer.state().pending_since is None
    writer.submit(1, b"one")
    assert files.begun.wait(5)
    writer.submit(2, b"two")
    assert writer.state().pending_since == 10.0
    assert writer.state().pending
    files.open.set()
    assert writer.wait(2, 5)
    assert writer.state() == SaveState(2, 2)
    writer.close()


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (errno.ENOSPC, "full"),
        (errno.EROFS, "read-only"),
        (errno.EACCES, "permission"),
        (errno.EIO, "fault"),
        (errno.ENOTDIR, os.strerror(errno.ENOTDIR)),
    ],
)
def test_a_failure_is_said_in_words(path: Path, number: int, words: str) -> None:
    failed = threading.Event()
    writer = Writer(path, None, files=Trouble(number), retry=60, after=lambda state: failed.set())
    writer.submit(1, b"one")
    assert failed.wait(5)
    assert words in writer.state().problem
    assert writer.state().pending
    assert words in writer.close()


def test_a_failed_save_is_tried_again_by_the_clock(path: Path) -> None:
    files, failures = Trouble(), threading.Semaphore(0)
    writer = Writer(path, None, files=files, retry=0.01, after=lambda state: failures.release())
    writer.submit(1, b"one")
    for _ in range(3):
        assert failures.acquire(timeout=5)
    files.trouble = False
    assert saved(writer, 1)
    assert (path.read_bytes(), writer.state().problem) == (b"one", "")
    assert os.listdir(path.parent) == ["record.toml"]
    writer.close()


def test_a_new_content_is_tried_at_once(path: Path) -> None:
    files, failed = Trouble(), threading.Event()
    writer = Writer(path, None, files=files, retry=60, after=lambda state: failed.set())
    writer.submit(1, b"one")
    assert failed.wait(5)
    files.trouble = False
    writer.submit(2, b"two")
    assert writer.wait(2, 5)
    writer.close()


def test_closing_saves_what_waits_once_more(path: Path) -> None:
    files, failed = Trouble(), threading.Event()
    writer = Writer(path, None, files=files, retry=60, after=lambda state: failed.set())
    writer.submit(1, b"one")
    assert failed.wait(5)
    files.trouble = False
    assert writer.close() == ""
    assert path.read_bytes() == b"one"


def test_closing_does_not_wait_for_ever_and_says_what_is_unsaved(path: Path) -> None:
    files = Gate()
    writer = Writer(path, None, files=files)
    writer.submit(7, b"seven")
    assert files.begun.wait(5)
    assert writer.close(timeout=0.01) == (
        "NOT SAVED: record.toml of version 7, saved is 0: the disk does not answer"
    )
    files.open.set()
    assert writer.wait(7, 5)


def test_a_fault_of_the_program_does_not_end_the_saving(path: Path) -> None:
    failed = threading.Event()

    def after(state: SaveState) -> None:
        failed.set()
        raise RuntimeError("the screen is gone")

    def make() -> bytes:
        raise KeyError("oops")

    writer = Writer(path, None, retry=60, after=after)
    writer.submit(1, make)
    assert failed.wait(5)
    assert "oops" in writer.state().problem
    writer.submit(2, b"two")
    assert writer.wait(2, 5)
    assert writer.close() == ""


def conflicting(path: Path, files: Disk = DISK) -> tuple[Writer, Path]:
    """Save, let somebody else change the file, save again."""
    told = threading.Semaphore(0)
    writer = Writer(path, None, now=now, files=files, after=lambda state: told.release())
    writer.submit(1, b"ours")
    assert told.acquire(timeout=5)
    path.write_bytes(b"theirs")
    writer.submit(2, b"ours too")
    assert told.acquire(timeout=5)
    return writer, path.with_name("record.conflict-2026-11-24T101500.toml")


def test_a_file_changed_by_somebody_else_is_not_overwritten(path: Path) -> None:
    writer, conflict = conflicting(path)
    state = writer.state()
    assert (path.read_bytes(), conflict.read_bytes()) == (b"theirs", b"ours too")
    assert (state.conflict, state.saved, state.pending) == (conflict, 1, True)
    assert "somebody else" in writer.close()


def test_a_conflict_goes_on_in_its_own_file(path: Path) -> None:
    writer, conflict = conflicting(path)
    writer.submit(3, b"ours three")
    writer.close()
    assert (path.read_bytes(), conflict.read_bytes()) == (b"theirs", b"ours three")


def test_a_person_may_say_that_ours_stands(path: Path) -> None:
    writer, _ = conflicting(path)
    writer.keep_mine()
    assert writer.wait(2, 5)
    assert writer.close() == ""
    assert path.read_bytes() == b"ours too"
    assert path.with_name("record.changed-2026-11-24T101500.toml").read_bytes() == b"theirs"


def test_waiting_ends_as_the_save_fails_and_not_by_the_clock(path: Path) -> None:
    """The earlier failure is not taken for one of the content that is waited for."""
    files, failed = Trouble(), threading.Event()
    writer = Writer(path, None, files=files, retry=60, after=lambda state: failed.set())
    writer.submit(1, b"one")
    assert not writer.wait(1, 60)
    assert failed.wait(5)
    files.trouble = False
    writer.submit(2, b"two")
    assert writer.wait(2, 60)
    writer.close()


def test_waiting_ends_as_the_content_goes_to_the_file_of_a_conflict(path: Path) -> None:
    writer, _ = conflicting(path)
    writer.submit(3, b"ours three")
    assert not writer.wait(3, 60)
    writer.close()


class StuckAside(Disk):
    """Does not bring the file that a person has set aside to the disk: it fails, or does not answer."""

    def __init__(self, answers: bool) -> None:
        self.open = threading.Event()
        self.stuck = True
        self.answers = answers

    def create(self, path: Path, mode: int | None) -> int:
        if ".changed-" in path.name and self.stuck:
            assert self.answers or self.open.wait(5)
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return super().create(path, mode)


def test_where_the_changed_file_cannot_be_kept_the_conflict_goes_on(path: Path) -> None:
    files = StuckAside(answers=True)
    writer, conflict = conflicting(path, files)
    with pytest.raises(OSError, match=os.strerror(errno.ENOSPC)):
        writer.keep_mine()
    assert writer.state().conflict == conflict
    assert (path.read_bytes(), conflict.read_bytes()) == (b"theirs", b"ours too")
    files.stuck = False
    writer.keep_mine()
    assert writer.wait(2, 5)
    assert writer.close() == ""


def test_a_disk_that_does_not_answer_keeps_nobody_waiting(path: Path) -> None:
    """Neither the one who ends the conflict nor the one who asks how saving stands."""
    files = StuckAside(answers=False)
    writer, conflict = conflicting(path, files)
    with pytest.raises(TimeoutError, match="does not answer"):
        writer.keep_mine(timeout=0.05)
    assert writer.state().conflict == conflict
    files.open.set()
    writer.close()


def test_when_saving_has_ended_a_conflict_stays(path: Path) -> None:
    writer, _ = conflicting(path)
    writer.close()
    with pytest.raises(StoreError, match="ended"):
        writer.keep_mine()


def test_without_a_conflict_there_is_nothing_to_keep(path: Path) -> None:
    writer = Writer(path, None)
    writer.keep_mine()
    assert writer.state() == SaveState(0, 0)
    writer.close()


def test_a_file_that_was_there_and_never_read_is_somebody_elses(path: Path) -> None:
    path.write_bytes(b"theirs")
    writer = Writer(path, None, now=now)
    writer.submit(1, b"ours")
    assert "somebody else" in writer.close()
    assert path.read_bytes() == b"theirs"


def test_a_file_that_was_read_is_replaced_touched_or_not(path: Path) -> None:
    path.write_bytes(b"read")
    writer = Writer(path, b"read")
    for version in (1, 2, 3):
        writer.submit(version, b"content %d" % version)
        assert writer.wait(version, 5)
        os.utime(path, (1, version))
    path.unlink()
    writer.submit(4, b"content 4")
    assert writer.close() == ""
    assert path.read_bytes() == b"content 4"


def test_a_change_of_the_same_length_is_seen(path: Path) -> None:
    writer = Writer(path, None)
    writer.submit(1, b"ours")
    assert writer.wait(1, 5)
    replace_file(path, b"0urs")
    writer.submit(2, b"2222")
    assert "somebody else" in writer.close()
    assert path.read_bytes() == b"0urs"


def test_a_save_that_failed_after_it_reached_the_file_is_our_own(path: Path) -> None:
    class LateTrouble(Disk):
        trouble = True

        def fsync_dir(self, folder: Path) -> None:
            if self.trouble:
                self.trouble = False
                raise OSError(errno.EIO, "late")
            super().fsync_dir(folder)

    writer = Writer(path, None, files=LateTrouble(), retry=0.01)
    writer.submit(1, b"one")
    assert saved(writer, 1)
    assert (writer.close(), path.read_bytes()) == ("", b"one")
