"""A program in a pseudo-terminal of 80x24: pieces while it is timed, pictures of them afterwards."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from pathlib import Path

import pyte
from terminal import TRUECOLOR, Terminal

__all__ = ["HERE", "handwheel", "pictures", "start"]

HERE = Path(__file__).parent
handwheel = (sys.executable, "-m", "handwheel")
BURST = 0.001  # [s]; pieces closer together than this belong to one paint: a read gives 4 KB at most


def start(*command: str, home: Path) -> Terminal:
    """Start a program in a terminal."""
    environ = {**TRUECOLOR, "HANDWHEEL_HOME": str(home)}
    return Terminal(command, environ=environ, draws=False)


def pictures(pieces: Iterable[tuple[float, bytes]]) -> Iterator[tuple[float, str]]:
    """Give when each paint was complete [s], and the screen then."""
    screen = pyte.Screen(80, 24)
    stream = pyte.ByteStream(screen)
    last = None
    for at, data in pieces:
        if last is not None and at - last > BURST:
            yield last, "\n".join(screen.display)
        stream.feed(data)
        last = at
    if last is not None:
        yield last, "\n".join(screen.display)
