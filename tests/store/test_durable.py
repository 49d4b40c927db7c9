"""Replacing a file on the real disk: content, mode, links, the kept previous content, leftovers."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest

from handwheel.store.durable import Disk, backup_of, replace_file, sweep

posix = pytest.mark.skipif(sys.platform == "win32", reason="permission bits and links of POSIX")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "record.toml"
    replace_file(path, b"first")
    return path


def names(folder: Path) -> set[str]:
    return set(os.listdir(folder))


def test_a_first_save_keeps_nothing_previous(path: Path) -> None:
    assert path.read_bytes() == b"first"
    assert names(path.parent) == {"record.toml"}


def test_the_previous_content_is_kept(path: Path) -> None:
    replace_file(path, b"second")
    replace_file(path, b"third")
    assert (path.read_bytes(), backup_of(path).read_bytes()) == (b"third", b"second")
    assert names(path.parent) == {"record.toml", "record.toml.bak"}


def test_the_previous_content_need_not_be_kept(path: Path) -> None:
    replace_file(path, b"second", keep_previous=False)
    assert names(path.parent) == {"record.toml"}


def test_an_empty_content_is_written(path: Path) -> None:
    replace_file(path, b"")
    assert path.read_bytes() == b""


@posix
def test_the_permission_bits_stay(path: Path) -> None:
    path.chmod(0o640)
    replace_file(path, b"second")
    assert path.stat().st_mode & 0o777 == 0o640


@posix
def test_a_symbolic_link_is_followed(path: Path, tmp_path: Path) -> None:
    link = tmp_path / "elsewhere" / "link.toml"
    link.parent.mkdir()
    link.symlink_to(path)
    replace_file(link, b"second")
    assert link.is_symlink()
    assert path.read_bytes() == b"second"
    assert names(link.parent) == {"link.toml"}


def test_a_write_may_take_a_byte_at_a_time(path: Path) -> None:
    class Slow(Disk):
        def write(self, handle: int, data: memoryview) -> int:
            return super().write(handle, data[:1])

    replace_file(path, b"second", Slow())
    assert path.read_bytes() == b"second"


@pytest.mark.parametrize("number", [errno.EPERM, errno.EOPNOTSUPP, errno.EINVAL])
def test_a_disk_without_hard_links_gets_a_copy(path: Path, number: int) -> None:
    class Stick(Disk):
        def link(self, source: Path, target: Path) -> None:
            raise OSError(number, os.strerror(number))

    replace_file(path, b"second", Stick())
    assert (path.read_bytes(), backup_of(path).read_bytes()) == (b"second", b"first")
    assert names(path.parent) == {"record.toml", "record.toml.bak"}


class HeldOpen(Disk):
    """Refuses to replace as Windows does while a scanner holds the file open."""

    def __init__(self, refusals: int, winerror: int = 32) -> None:
        self.refusals = refusals
        self.winerror = winerror

    def replace(self, source: Path, target: Path) -> None:
        if self.refusals:
            self.refusals -= 1
            error = PermissionError(errno.EACCES, "held open")
            error.winerror = self.winerror  # type: ignore[attr-defined,unused-ignore]
            raise error
        super().replace(source, target)


def test_a_file_held_open_is_tried_again(path: Path) -> None:
    files = HeldOpen(refusals=3)
    replace_file(path, b"second", files, keep_previous=False)
    assert (path.read_bytes(), files.refusals) == (b"second", 0)


def test_a_refusal_for_another_reason_is_not_tried_again(path: Path) -> None:
    files = HeldOpen(refusals=3, winerror=19)
    with pytest.raises(PermissionError):
        replace_file(path, b"second", files, keep_previous=False)
    assert (path.read_bytes(), files.refusals) == (b"first", 2)
    assert names(path.parent) == {"record.toml"}


def test_a_check_that_raises_leaves_everything_as_it_was(path: Path) -> None:
    def refuse(real: Path, temp: Path) -> None:
        assert (real.read_bytes(), temp.read_bytes()) == (b"first", b"second")
        raise RuntimeError("no")

    with pytest.raises(RuntimeError):
        replace_file(path, b"second", check=refuse)
    assert path.read_bytes() == b"first"
    assert names(path.parent) == {"record.toml"}


@pytest.fixture
def dead() -> int:
    """Give the number of a process that has ended."""
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    return ended.pid


def test_sweeping_removes_what_killed_saves_left_and_nothing_else(path: Path, dead: int) -> None:
    others = {"notes.tmp", ".record.toml.swp", f".notes.txt.{dead}-1.tmp"}
    for name in (f".record.toml.{dead}-3.tmp", f".shop.toml.{dead}-1.tmp", *others):
        path.with_name(name).write_bytes(b"half")
    assert sweep(path.parent) == 2
    assert names(path.parent) == {"record.toml", *others}


@posix
def test_sweeping_leaves_what_a_living_process_may_be_writing(path: Path) -> None:
    living = {f".record.toml.{os.getpid()}-9.tmp", f".record.toml.{os.getppid()}-1.tmp"}
    for name in living:
        path.with_name(name).write_bytes(b"half")
    path.with_name(".record.toml.9999999999-1.tmp").write_bytes(b"a number that no process has")
    assert sweep(path.parent) == 1
    assert names(path.parent) == {"record.toml", *living}


def test_sweeping_counts_what_it_could_remove(path: Path, dead: int) -> None:
    class Stuck(Disk):
        def unlink(self, path: Path) -> None:
            raise OSError(errno.EIO, "stuck")

    path.with_name(f".record.toml.{dead}-1.tmp").write_bytes(b"half")
    assert sweep(path.parent, Stuck()) == 0


def test_a_name_that_a_killed_process_left_is_passed_over(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    numbers = iter([1, 2])
    monkeypatch.setattr("handwheel.store.durable._NUMBER", numbers)
    left = path.with_name(f".record.toml.{os.getpid()}-1.tmp")
    left.write_bytes(b"half")
    replace_file(path, b"second", keep_previous=False)
    assert (path.read_bytes(), left.read_bytes()) == (b"second", b"half")
