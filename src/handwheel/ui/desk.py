"""The desk on which pages lie, one on the other: it gives keys to the one on top, and takes errands aside."""

from __future__ import annotations

import time
from collections.abc import Callable
from functools import partial
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

    `paint` prints the page on top, `end` ends the app, `later` does something after some seconds,
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
        self.later = later
        self.pages: list[Page] = []
        self.parting: list[str] = []
        self._paint = paint
        self._end = end
        self._here = here
        self._quitting = False
        self._at_work = False
        self._stale = False
        self._threads: list[Thread] = []

    def paint(self) -> None:
        """Print the page on top anew: at once, or when what is being done here is done."""
        self._stale = True
        self._painted()

    def here(self, work: Work) -> None:
        """Do something in the app's own thread, and paint at most once; may be asked from any thread."""
        self._here(partial(self._do, work))

    def _do(self, work: Work) -> None:
        """Do something that may ask for paint more than once: a key can close a page and open another."""
        outer, self._at_work = self._at_work, True
        try:
            work()
        finally:
            self._at_work = outer
        self._painted()

    def _painted(self) -> None:
        if self._stale and not self._at_work:
            self._stale = False
            self._paint()

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
        """Give a key to the page on top; the key of the look-up opens it on any page."""
        if self.pages:
            page = self.pages[-1]
            self._do(self.look_up if page.looks_up(press.key) else partial(page.press, press))

    def look_up(self) -> None:
        """Open the look-up on the page on top, which stays as it is below it."""
        from handwheel.ui.lookup import LookPage  # not needed for the first paint

        self.open(LookPage(self, self.pages[-1].system))

    def paste(self, text: str) -> None:
        """Give pasted text to the page on top."""
        if self.pages:
            self._do(partial(self.pages[-1].paste, text))

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

        thread = Thread(target=run, daemon=True)
        self._threads = [*(one for one in self._threads if one.is_alive()), thread]
        thread.start()

    def finish(self, patience: float) -> None:
        """Wait for what is under way aside, at most so long [s]: a job being closed may have last words."""
        end = time.monotonic() + patience
        for thread in self._threads:
            thread.join(max(end - time.monotonic(), 0))


def _raising(error: Exception) -> Work:
    def fail() -> None:
        raise error

    return fail
