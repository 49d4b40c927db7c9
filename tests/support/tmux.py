"""A program in tmux at 80x24, its keys those of a numeric keypad."""

from __future__ import annotations

import shlex
import shutil
import subprocess
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

__all__ = ["TMUX", "Tmux"]

TMUX = shutil.which("tmux")

_PAD = {sign: f"KP{sign}" for sign in "0123456789.+-*/"} | {"\r": "KPEnter"}


class Tmux:
    """A running program; use it as a context, so that it ends with it. `socket` is a path to make."""

    def __init__(self, socket: Path, command: Sequence[str], environ: Mapping[str, str]) -> None:
        self._socket = socket
        assigned = [f"{name}={value}" for name, value in environ.items()]
        asked = shlex.join(["env", *assigned, *command])
        self._tmux("-f", "/dev/null", "-u", "new-session", "-d", "-x", "80", "-y", "24", asked)

    def __enter__(self) -> Tmux:
        return self

    def __exit__(self, *_: object) -> None:
        self._tmux("kill-server", check=False)

    def press(self, keys: str) -> None:
        """Press keys of the keypad."""
        self._tmux("send-keys", *(_PAD[key] for key in keys))

    def text(self) -> str:
        """Give the screen as it stands; nothing once the program has ended."""
        return self._tmux("capture-pane", "-p", check=False)

    def wait_for(self, shown: Callable[[str], bool], deadline: float = 20) -> str:
        """Wait until the screen fulfils a condition; give the screen."""
        end = time.monotonic() + deadline
        while not shown(text := self.text()):
            assert time.monotonic() < end, f"not seen\n{text}"
            time.sleep(0.02)
        return text

    def _tmux(self, *arguments: str, check: bool = True) -> str:
        command = [TMUX or "tmux", "-S", str(self._socket), *arguments]
        environ = {"TERM": "xterm-256color", "LANG": "C.UTF-8", "PATH": "/usr/local/bin:/usr/bin:/bin"}
        run = subprocess.run(command, capture_output=True, text=True, env=environ, timeout=30, check=False)
        assert run.returncode == 0 or not check, run.stderr
        return run.stdout
