"""A program in a pseudo-terminal: keys go in as bytes, and a terminal in memory shows what a person sees."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import signal
import struct
import subprocess
import termios
import time
from collections.abc import Callable, Mapping, Sequence

import pyte

__all__ = ["Terminal"]

TRUECOLOR = {"TERM": "xterm-256color", "COLORTERM": "truecolor", "LANG": "C.UTF-8"}
DEADLINE = 20.0  # [s]; generous, since it is only reached by a failure


class Terminal:
    """A running program; use it as a context, so that it ends with it.

    `pieces` holds what came and when [s of `time.perf_counter`]. Without `draws` nothing is drawn: a bench
    draws the pieces afterwards, so that the terminal takes no time from the program.
    """

    def __init__(
        self,
        command: Sequence[str],
        environ: Mapping[str, str] = TRUECOLOR,
        size: tuple[int, int] = (80, 24),
        preexec: Callable[[], None] | None = None,
        draws: bool = True,
    ) -> None:
        self.raw = bytearray()
        self.pieces: list[tuple[float, bytes]] = []
        self._draws = draws
        self._screen = pyte.Screen(*size)
        self._stream = pyte.ByteStream(self._screen)
        self._master, slave = pty.openpty()
        columns, lines = size
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", lines, columns, 0, 0))
        kept = {name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ}
        self.before = termios.tcgetattr(slave)
        self.process = subprocess.Popen(
            command,
            stdin=slave,
            stdout=slave,
            stderr=slave,
            env={**kept, **environ},
            start_new_session=True,
            preexec_fn=preexec,
        )
        self._slave: int | None = slave  # stays open, so that the last words can be read

    def __enter__(self) -> Terminal:
        return self

    def __exit__(self, *_: object) -> None:
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait()
        self.hang_up()

    def send(self, keys: str | bytes) -> None:
        """Press keys, as the bytes a terminal sends for them."""
        os.write(self._master, keys.encode() if isinstance(keys, str) else keys)

    def lines(self) -> list[str]:
        """Give the screen as it stands, blanks at the right taken off."""
        return [line.rstrip() for line in self._screen.display]

    def text(self) -> str:
        """Give the screen as one text."""
        return "\n".join(self.lines())

    def wait_for(self, what: str | Callable[[str], bool], deadline: float = DEADLINE) -> str:
        """Wait until the screen shows a text or fulfils a condition; give the screen."""
        shown = what if callable(what) else lambda text: what in text
        end = time.monotonic() + deadline
        while not shown(self.text()):
            if not self._read(end - time.monotonic()):
                raise AssertionError(f"not seen: {what}\n{self.text()}\nexit: {self.process.poll()}")
        return self.text()

    def exit_code(self, deadline: float = DEADLINE) -> int:
        """Wait for the end and give the exit code; what was written until then is read."""
        end = time.monotonic() + deadline
        while self.process.poll() is None:
            if time.monotonic() > end:
                raise AssertionError(f"still running\n{self.text()}")
            self._read(0.05)
        while self._read(0.05):
            pass
        return self.process.returncode

    def read_until_quiet(self, quiet: float, deadline: float = DEADLINE) -> None:
        """Read until nothing came for a while [s]."""
        end = time.monotonic() + deadline
        while select.select([self._master], [], [], quiet)[0] and time.monotonic() < end:
            self._read(0)

    def resize(self, columns: int, lines: int) -> None:
        """Change the size of the window."""
        self._screen.resize(lines, columns)
        fcntl.ioctl(self._master, termios.TIOCSWINSZ, struct.pack("HHHH", lines, columns, 0, 0))
        os.kill(self.process.pid, signal.SIGWINCH)

    def settings_restored(self) -> bool:
        """Tell whether the terminal's settings are as they were before."""
        assert self._slave is not None  # asked for before the terminal goes
        return termios.tcgetattr(self._slave) == self.before

    def hang_up(self) -> None:
        """Let the terminal vanish."""
        if self._slave is not None:
            os.close(self._slave)
            os.close(self._master)
            self._slave = None

    def _read(self, patience: float) -> bool:
        """Read what there is within a patience [s]; tell whether there was something or time is left."""
        ready, _, _ = select.select([self._master], [], [], max(min(patience, 0.2), 0))
        if ready:
            data = os.read(self._master, 65536)
            self.pieces.append((time.perf_counter(), data))
            self.raw += data
            if self._draws:
                self._stream.feed(data)
        return bool(ready) or patience > 0.2
