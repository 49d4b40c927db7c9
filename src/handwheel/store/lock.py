"""One writer for each job: a lock that dies with its process.

The system's own lock on a file beside the record. Not on the record itself, since saving puts a new
file in its place; not a file that merely exists, since a killed program would leave it.
"""

from __future__ import annotations

import errno
import os
import socket
import sys
from contextlib import suppress
from pathlib import Path
from types import TracebackType

__all__ = ["NAME", "JobLock"]

NAME = "record.lock"
_TAKEN = {errno.EACCES, errno.EAGAIN, errno.EDEADLK}
_AT = 1 << 30  # Windows locks bytes against reading too: far from the text that says who holds it

if sys.platform == "win32":
    import msvcrt

    def _take(handle: int) -> None:
        os.lseek(handle, _AT, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _take(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


class JobLock:
    """The lock of a job's folder, taken if nobody has it.

    `held`: this process may write. `why`: why it may not, or what a person has to know though it may.
    """

    def __init__(self, folder: Path) -> None:
        self.held = False
        self.why = ""
        self._handle: int | None = None
        try:
            self._handle = os.open(folder / NAME, os.O_RDWR | os.O_CREAT, 0o666)
        except OSError as error:
            self.why = f"the folder cannot be written: {error.strerror}"
            return
        try:
            _take(self._handle)
        except OSError as error:
            if error.errno in _TAKEN:
                self.why = f"the job is open already, {self._holder() or 'elsewhere'}"
                self._close()
                return
            self.why = "this disk keeps no locks: do not open the job a second time"
        self.held = True
        self._sign(f"process {os.getpid()} on {socket.gethostname()}\n")

    def __enter__(self) -> JobLock:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.release()

    def release(self) -> None:
        """Let another process have the job. The file stays: removing it could split two who wait."""
        if self.held:
            self._sign("")
            self.held = False
        self._close()

    def _sign(self, text: str) -> None:
        # Only the message to a second instance hangs on it; on a full disk the lock holds all the same.
        if self._handle is not None:
            with suppress(OSError):
                os.ftruncate(self._handle, 0)
                os.lseek(self._handle, 0, os.SEEK_SET)
                os.write(self._handle, text.encode())

    def _holder(self) -> str:
        if self._handle is None:
            return ""
        with suppress(OSError):
            os.lseek(self._handle, 0, os.SEEK_SET)
            return os.read(self._handle, 200).decode(errors="replace").strip()
        return ""

    def _close(self) -> None:
        if self._handle is not None:
            os.close(self._handle)
            self._handle = None
