"""What Textual 8.2.8 does to a terminal's input that a machine's PC cannot live with, mended.

Applied to exactly this release; another one is taken as it is until the tests through a pseudo-terminal
have been run with it. Mended are, each with a test in tests/ui/test_terminal.py:

- a byte that is no UTF-8 (a degree sign in Latin-1, noise on a serial line) ended the app;
- input that has ended, or a terminal that is gone, left it running at full load;
- a paste whose end never came swallowed every later key;
- Shift with F1 to F8 on the Linux console came as a space and control signs;
- the comma of a keypad in application mode came as the letter l;
- a lone Escape was noticed after a tenth of a second at the earliest;
- a fault in the reading thread put a traceback on the screen.
"""

from __future__ import annotations

import os
import selectors
import sys
import time
from codecs import getincrementaldecoder
from collections.abc import Iterable
from pathlib import Path

import textual
from textual import events
from textual._ansi_sequences import ANSI_SEQUENCES_KEYS
from textual._xterm_parser import BRACKETED_PASTE_END, BRACKETED_PASTE_START, XTermParser
from textual.driver import Driver

__all__ = ["MENDED", "driver_class"]

MENDED = "8.2.8"

_POLL = 0.02  # [s]
_PASTE_SILENCE = 0.5  # [s]; a paste that says nothing for so long has ended


def driver_class() -> type[Driver] | None:
    """Give the mended driver where it fits; None leaves Textual its own choice."""
    if sys.platform == "win32" or os.environ.get("TEXTUAL_DRIVER") or not _is_mended_release():
        return None
    return _mended()


def _is_mended_release() -> bool:
    """Tell by the folder that an installer writes: asking importlib.metadata takes 10 ms of the start."""
    return (Path(textual.__file__).parents[1] / f"textual-{MENDED}.dist-info").is_dir()


class _Parser(XTermParser):
    """The parser of key sequences, for the keys that it takes for others."""

    def _parse_extended_key(self, sequence: str) -> list[events.Key] | None:  # type: ignore[override]
        plain = sequence.endswith("~") and sequence in ANSI_SEQUENCES_KEYS
        return None if plain else super()._parse_extended_key(sequence)

    def _sequence_to_key_events(self, sequence: str, alt: bool = False) -> Iterable[events.Key]:
        if sequence == "\x1bOl":
            return (events.Key("comma", ","),)
        return super()._sequence_to_key_events(sequence, alt)


class _Pasting:
    """Knows whether a paste has begun and not ended, from the text that came in."""

    def __init__(self) -> None:
        self._tail = ""
        self._since: float | None = None

    def saw(self, text: str) -> None:
        """Take note of what came in."""
        text = self._tail + text
        begun, ended = text.rfind(BRACKETED_PASTE_START), text.rfind(BRACKETED_PASTE_END)
        if begun > ended:
            self._since = time.monotonic()
        elif ended >= 0:
            self._since = None
        elif self._since is not None:
            self._since = time.monotonic()
        self._tail = text[-(len(BRACKETED_PASTE_START) - 1) :]

    def is_stuck(self) -> bool:
        """Tell, once, that a paste has been silent for too long."""
        if self._since is None or time.monotonic() - self._since < _PASTE_SILENCE:
            return False
        self._since = None
        return True


def _mended() -> type[Driver]:
    from textual.drivers.linux_driver import LinuxDriver

    class Terminal(LinuxDriver):
        """Textual's driver with a reader of its own."""

        def run_input_thread(self) -> None:
            """Read, and hand a fault of the reading to the app as any other fault of this program."""
            try:
                self._read_on()
            except Exception as fault:
                self._app.call_later(self._app._handle_exception, fault)

        def _read_on(self) -> None:
            """Read until told to stop, or until there is nothing more to read."""
            parser, pasting = _Parser(self._debug), _Pasting()
            decode = getincrementaldecoder("utf-8")(errors="replace").decode
            with selectors.DefaultSelector() as selector:
                selector.register(self.fileno, selectors.EVENT_READ)
                while not self.exit_event.is_set():
                    if selector.select(_POLL):
                        data = self._read()
                        if not data:
                            self._app.call_later(self._app.exit, None, 129)
                            return
                        text = decode(data)
                        pasting.saw(text)
                        self._deliver(parser.feed(text) if text else ())
                    elif pasting.is_stuck():
                        self._deliver(parser.feed(BRACKETED_PASTE_END))
                    self._deliver(parser.tick())

        def _read(self) -> bytes:
            try:
                return os.read(self.fileno, 4096)
            except OSError:  # the terminal is gone
                return b""

        def _deliver(self, messages: Iterable[textual.message.Message]) -> None:
            for message in messages:
                self.process_message(message)

    return Terminal
