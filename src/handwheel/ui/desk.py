"""The desk on which pages lie, one on the other: it gives keys to the one on top, and takes errands aside."""

from __future__ import annotations

from collections.abc import Callable
from threading import Thread
from typing import TYPE_CHECKING

from handwheel.ui.keys import Press
from handwheel.ui.looks import Look
from handwheel.ui.rows import Row

if TYPE_CHECKING:
    from handwheel.ui.pages import Page

__all__ = ["Desk"]

Work = Callable[[], None]


class Desk:
    """What a page may ask of the app, which lends `paint`, `end`, `later` and `here`.

    `paint` prints the page on top anew, `end` ends the app, `later` does something after some seconds,
    and `here` does something in the app's own thread, asked from any.
    """

    def __init__(
        self,
        look: Look,
        paint: Work,
        end: Work,
        later: Callable[[float, Work], object],
        here: Callable[[Work], object],
    ) -> None:
        self.look = look
        self.paint = paint
        self.later = later
        self.here = here
        self.pages: list[Page] = []
        self.parting: list[str] = []
        self._end = end
        self._quitting = False

    def open(self, page: Page) -> None:
        """Put a page on top."""
        self._quitting = False
        self.pages.append(page)
        page.opened()
        self.paint()

    def close(self, page: Page) -> None:
        """Take a page off, and all that lie on it; without a page left the app ends."""
        if page not in self.pages:
            return
        del self.pages[self.pages.index(page) :]
        if not self.pages:
            self._end()
        elif self._quitting:
            self.pages[-1].leave()
        else:
            self.pages[-1].uncovered()
            self.paint()

    def quit(self) -> None:
        """Leave every page, the one on top first; each waits for the disk if it has to."""
        self._quitting = True
        if self.pages:
            self.pages[-1].leave()

    def press(self, press: Press) -> None:
        """Give a key to the page on top."""
        if self.pages:
            self.pages[-1].press(press)

    def paste(self, text: str) -> None:
        """Give pasted text to the page on top."""
        if self.pages:
            self.pages[-1].paste(text)

    def rows(self, width: int, height: int) -> list[Row]:
        """Give the page on top as rows."""
        return self.pages[-1].rows(width, height) if self.pages else []

    def part(self, text: str) -> None:
        """Keep a line to be said when the screens are gone."""
        if text:
            self.parting.append(text)

    def aside(self, work: Callable[[], Work]) -> None:
        """Do slow work in a thread; what it gives back, or the fault in it, comes back here."""

        def run() -> None:
            try:
                done = work()
            except Exception as error:
                done = _raising(error)
            self.here(done)

        Thread(target=run, daemon=True).start()


def _raising(error: Exception) -> Work:
    def fail() -> None:
        raise error

    return fail
