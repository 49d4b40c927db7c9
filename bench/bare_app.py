"""The least that Textual can do: one text, and with `--keys` three lines that every key repaints."""

from __future__ import annotations

import sys

from textual.app import App, ComposeResult
from textual.events import Key
from textual.widgets import Static


class Bare(App[None]):
    """One widget."""

    ENABLE_COMMAND_PALETTE = False

    def compose(self) -> ComposeResult:
        """Give the widget."""
        self._presses = 0
        self._text = Static("bare and ready", markup=False)
        yield self._text

    def on_key(self, event: Key) -> None:
        """Repaint three lines."""
        if "--keys" in sys.argv:
            self._presses += 1
            self._text.update("\n".join(f"line {line} after key {self._presses}" for line in range(3)))


if __name__ == "__main__":
    Bare().run(mouse=False)
