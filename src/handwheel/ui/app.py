"""The app: a stack of pages on one paper, and the terminal around it."""

from __future__ import annotations

import asyncio
import gc
import signal
import sys
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path
from threading import Thread

from textual import events
from textual.app import App, ComposeResult
from textual.filter import LineFilter
from textual.theme import Theme

from handwheel.ui.compat import driver_class
from handwheel.ui.jobs import JobsPage
from handwheel.ui.keys import Press, key_name
from handwheel.ui.looks import GROUND, Look
from handwheel.ui.operation import Opener, OperationPage, open_sitting
from handwheel.ui.pages import Page
from handwheel.ui.paper import Paper, WithoutColour
from handwheel.ui.rows import Row

__all__ = ["HandwheelApp", "run_app"]

_THEME = Theme("handwheel", primary="#9fd0ff", background=GROUND, foreground="#f2f4f6")


class HandwheelApp(App[None]):
    """Gives each key to the page on top, and prints that page. Is the desk that pages ask."""

    ENABLE_COMMAND_PALETTE = False

    def __init__(
        self,
        folder: Path | None,
        look: Look,
        *,
        opener: Opener = open_sitting,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        super().__init__(driver_class=driver_class())
        self.animation_level = "none"
        self.register_theme(_THEME)
        self.theme = "handwheel" if look.colours == "truecolor" else "ansi-dark"
        self.look = look
        self.parting: list[str] = []
        self.failure: Exception | None = None
        self._clock = clock
        self._opener = opener
        self._quitting = False
        self.paper = Paper(look, self._rows)
        self.pages: list[Page] = [
            JobsPage(self, self._open_job) if folder is None else OperationPage(self, folder, opener)
        ]

    # --- the desk ------------------------------------------------------------------------------------

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
            self.exit(return_code=0)
        elif self._quitting:
            self.pages[-1].leave()
        else:
            self.pages[-1].uncovered()
            self.paint()

    def paint(self) -> None:
        """Print the page on top anew."""
        self.paper.paint()

    def press(self, press: Press) -> None:
        """Give a key to the page on top."""
        if self.pages:
            self.pages[-1].press(press)

    def part(self, text: str) -> None:
        """Keep a line to be said when the screens are gone."""
        if text:
            self.parting.append(text)

    def later(self, seconds: float, what: Callable[[], None]) -> None:
        """Do something in a while [s]."""
        self.set_timer(seconds, what)

    def aside(self, work: Callable[[], Callable[[], None]]) -> None:
        """Do slow work in a thread; what it gives back is then done here."""

        def run() -> None:
            try:
                done = work()
            except Exception as error:
                self.aside_done(_raising(error))
            else:
                self.aside_done(done)

        Thread(target=run, daemon=True).start()

    def aside_done(self, what: Callable[[], None]) -> None:
        """Do something here, called from any thread."""
        self.call_later(what)

    # --- Textual -------------------------------------------------------------------------------------

    def compose(self) -> ComposeResult:
        """One widget."""
        yield self.paper

    def on_mount(self) -> None:
        """Restore the screen when told to end; open the first page once it is painted."""
        loop = asyncio.get_running_loop()
        for name in ("SIGTERM", "SIGHUP"):
            number = getattr(signal, name, 0)
            with suppress(NotImplementedError, RuntimeError, ValueError):  # Windows, or not the main thread
                loop.add_signal_handler(number, self.exit, None, 128 + number)
        self.call_after_refresh(self._painted)

    def _painted(self) -> None:
        gc.freeze()  # what was imported stays for good; looking through it now would take 30 ms
        gc.enable()
        self.pages[0].opened()

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Colours are chosen by the look; without any, not even the default colours are asked for."""
        return (WithoutColour(),) if self.look.colours == "mono" else ()

    async def on_event(self, event: events.Event) -> None:
        """Give keys and pastes to the page, in the order in which they came."""
        if isinstance(event, events.Key):
            name = key_name(event.key, event.character)
            if name in ("ctrl+q", "ctrl+c"):
                await self.action_quit()
            elif name:
                self.press(Press(name, self._clock()))
        elif isinstance(event, events.Paste):
            self.pages[-1].paste(event.text)
        else:
            await super().on_event(event)

    async def action_quit(self) -> None:
        """Leave every page, the one on top first; each waits for the disk if it has to."""
        self._quitting = True
        if self.pages:
            self.pages[-1].leave()

    def _handle_exception(self, error: Exception) -> None:
        """Keep a fault of ours for the caller, who reports it when the terminal is itself again."""
        if self.is_headless:
            super()._handle_exception(error)
        elif self.failure is None:
            self.failure = error
            self.exit(return_code=3)

    def _rows(self, width: int, height: int) -> list[Row]:
        return self.pages[-1].rows(width, height) if self.pages else []

    def _open_job(self, folder: Path) -> None:
        self.open(OperationPage(self, folder, self._opener))


def _raising(error: Exception) -> Callable[[], None]:
    def fail() -> None:
        raise error

    return fail


def run_app(folder: Path | None, look: Look, opener: Opener = open_sitting) -> int:
    """Show a job, or the list of jobs, until the person leaves; give the exit code.

    What could not be saved is said on standard error. A fault of this program is raised.
    """
    app = HandwheelApp(folder, look, opener=opener)
    try:
        app.run(mouse=False)
    finally:
        gc.enable()
        for page in app.pages:
            page.end()
        for line in app.parting:
            print(line, file=sys.stderr)
    if app.failure is not None:
        raise app.failure
    return app.return_code or 0
