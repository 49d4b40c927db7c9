"""Replacing a file so that a killed program or a pulled plug leaves the old one or the new one, whole.

Write a new file beside the old one, bring it to the disk, keep the old one by a second name, give the
new one its name, bring the folder to the disk. Nothing counts as saved before the last of these. Every
call to the system goes through `Files`, so that tests can cut the power, fill the disk and break it.
"""

from __future__ import annotations

import errno
import os
import re
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from itertools import count
from pathlib import Path
from typing import Protocol

__all__ = ["DISK", "Disk", "Files", "backup_of", "replace_file", "sweep"]

_TEMP = re.compile(
    r"\..+\.toml\.(\d{1,10})-\d+\.tmp"
)  # see `_temp_name`: the number of the process stands in it
_NUMBER = count(1)
# Where a disk has no hard links (FAT on a USB stick), one of these is what comes back.
_NO_LINKS = {errno.EPERM, errno.EACCES, errno.EINVAL, errno.ENOSYS, errno.EMLINK, errno.EOPNOTSUPP}
# Some network and user-space file systems cannot fsync a folder; there is nothing better to be had there.
_NO_FOLDER_SYNC = {errno.EINVAL, errno.EOPNOTSUPP, errno.EBADF}
# Windows refuses to replace a file that a scanner or a synchronizing program holds open (bpo-46003).
_HELD_OPEN = {5, 32}
_WAITS = (0.02, 0.02, 0.05, 0.05, 0.1, 0.1, 0.2, 0.2, 0.2, 0.2)  # [s], 1.14 s in all


class Files(Protocol):
    """The calls to the system that reading and saving are made of."""

    def create(self, path: Path, mode: int | None) -> int:
        """Make a file that is not there yet, with these permission bits, and open it for writing."""

    def write(self, handle: int, data: memoryview) -> int:
        """Write some of the data and say how many bytes."""

    def fsync(self, handle: int) -> None:
        """Wait until the content of an open file is on the disk."""

    def close(self, handle: int) -> None:
        """Close an open file."""

    def link(self, source: Path, target: Path) -> None:
        """Give a file a second name."""

    def replace(self, source: Path, target: Path) -> None:
        """Give a file another name at one stroke, in place of the file that had that name."""

    def unlink(self, path: Path) -> None:
        """Take a name away."""

    def fsync_dir(self, folder: Path) -> None:
        """Wait until the names in a folder are on the disk."""

    def listdir(self, folder: Path) -> list[str]:
        """Give the names in a folder."""

    def read(self, path: Path) -> bytes:
        """Read a whole file."""

    def stat(self, path: Path) -> os.stat_result | None:
        """Say what the system knows about a file; None where there is none."""


class Disk:
    """The real disk."""

    def create(self, path: Path, mode: int | None) -> int:
        """Make and open a file that is not there yet."""
        flags = (
            os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)
        )
        handle = os.open(path, flags, 0o666)
        if mode is not None and sys.platform != "win32":
            # A disk without permission bits refuses; the file matters more than its bits.
            with suppress(PermissionError):
                os.fchmod(handle, mode)
        return handle

    def write(self, handle: int, data: memoryview) -> int:
        """Write some of the data."""
        return os.write(handle, data)

    def fsync(self, handle: int) -> None:
        """Wait for the disk; on macOS also for the drive's own memory, which plain fsync leaves out."""
        if sys.platform == "darwin":
            import fcntl

            with suppress(OSError):
                fcntl.fcntl(handle, fcntl.F_FULLFSYNC)
                return
        os.fsync(handle)

    def close(self, handle: int) -> None:
        """Close an open file."""
        os.close(handle)

    def link(self, source: Path, target: Path) -> None:
        """Give a file a second name."""
        os.link(source, target)

    def replace(self, source: Path, target: Path) -> None:
        """Rename over what is there."""
        os.replace(source, target)

    def unlink(self, path: Path) -> None:
        """Take a name away."""
        os.unlink(path)

    def fsync_dir(self, folder: Path) -> None:
        """Wait for the names in a folder; Windows has no such call and writes them with the file."""
        if sys.platform == "win32":
            return
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        except OSError as error:
            if error.errno not in _NO_FOLDER_SYNC:
                raise
        finally:
            os.close(handle)

    def listdir(self, folder: Path) -> list[str]:
        """Give the names in a folder."""
        return os.listdir(folder)

    def read(self, path: Path) -> bytes:
        """Read a whole file."""
        return path.read_bytes()

    def stat(self, path: Path) -> os.stat_result | None:
        """Say what the system knows about a file."""
        try:
            return os.stat(path)
        except FileNotFoundError:
            return None


DISK = Disk()


def backup_of(path: Path) -> Path:
    """Give the name under which the content before the last save is kept."""
    return path.with_name(f"{path.name}.bak")


def replace_file(
    path: Path,
    data: bytes,
    files: Files = DISK,
    *,
    keep_previous: bool = True,
    check: Callable[[Path, Path], None] | None = None,
) -> None:
    """Put `data` in the place of a file; on return it is on the disk.

    Whatever happens on the way, `path` holds the old content or the new, whole; with `keep_previous`
    the old is also kept under `backup_of(path)`. `check` is called right before the old content goes,
    with the real path (a symbolic link is followed) and that of the new file, and may raise.

    After an `OSError` a retry begins with a new file: a failed fsync may have dropped what it should
    have written, and a second one on the same file would report success.
    """
    real = Path(os.path.realpath(path))
    current = files.stat(real)
    mode = None if current is None else current.st_mode & 0o7777
    with _temp(real, data, mode, files) as temp:
        if check is not None:
            check(real, temp)
        if keep_previous and current is not None:
            _keep_previous(real, mode, files)
        _replace(temp, real, files)
    files.fsync_dir(real.parent)


def sweep(folder: Path, files: Files = DISK) -> int:
    """Remove the new files that killed saves left in a folder, and say how many.

    To be called by the one who holds the folder's lock, before the first save. Where a disk keeps no
    locks another process may be saving all the same: what a living one made stays. Raises `OSError`
    where the folder cannot be read.
    """
    stale = [
        name for name in files.listdir(folder) if (temp := _TEMP.fullmatch(name)) and not _lives(int(temp[1]))
    ]
    removed = 0
    for name in stale:
        with suppress(OSError):
            files.unlink(folder / name)
            removed += 1
    return removed


def _lives(process: int) -> bool:
    """Whether a process of this number runs here. Windows cannot tell by a signal, but keeps open files."""
    if sys.platform == "win32":
        return process == os.getpid()
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:
        return True  # somebody else's
    return True


def _keep_previous(real: Path, mode: int | None, files: Files) -> None:
    """Give the current content a second name. It is never renamed away: its own name stays filled."""
    second = _temp_name(real)
    try:
        files.link(real, second)
    except FileNotFoundError:
        return  # somebody removed it since; there is nothing to keep
    except OSError as error:
        if error.errno not in _NO_LINKS:
            raise
        with _temp(real, files.read(real), mode, files) as copy:
            _replace(copy, backup_of(real), files)
        return
    try:
        _replace(second, backup_of(real), files)
    finally:
        # Still there also after success, where a save that failed late had made the backup the same file
        # already: POSIX renames nothing between two names of one file.
        with suppress(OSError):
            files.unlink(second)


@contextmanager
def _temp(real: Path, data: bytes, mode: int | None, files: Files) -> Iterator[Path]:
    """Write the data to a new file beside `real`, bring it to the disk, and hand out its name."""
    temp, handle = _create(real, mode, files)
    with _removed_on_failure(temp, files):
        try:
            rest = memoryview(data)
            while rest:
                rest = rest[files.write(handle, rest) :]
            files.fsync(handle)
        finally:
            files.close(handle)
        yield temp


@contextmanager
def _removed_on_failure(temp: Path, files: Files) -> Iterator[None]:
    try:
        yield
    except BaseException:
        with suppress(OSError):
            files.unlink(temp)
        raise


def _create(real: Path, mode: int | None, files: Files) -> tuple[Path, int]:
    while True:
        temp = _temp_name(real)
        with suppress(FileExistsError):  # left by a killed process that had our number
            return temp, files.create(temp, mode)


def _temp_name(real: Path) -> Path:
    return real.with_name(f".{real.name}.{os.getpid()}-{next(_NUMBER)}.tmp")


def _replace(source: Path, target: Path, files: Files) -> None:
    for wait in _WAITS:
        try:
            return files.replace(source, target)
        except PermissionError as error:
            if getattr(error, "winerror", None) not in _HELD_OPEN:
                raise
        time.sleep(wait)
    return files.replace(source, target)
