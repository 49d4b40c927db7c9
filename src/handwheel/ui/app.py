"""The app: Textual under the desk, and the terminal around it."""

from __future__ import annotations

import asyncio
import gc
import signal
import sys
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from functools import partial
from pathlib import Path

from textual import events
from textual.app import App, ComposeResult
from textual.filter import LineFilter
from textual.theme import Theme

from handwheel.ui.compat import driver_class
from handwheel.ui.desk import Desk
from handwheel.ui.keys import Press, key_name
from handwheel.ui.looks import GROUND, Look
from handwheel.ui.operation import Opener, OperationPage, open_sitting
from handwheel.ui.pages import Page
from handwheel.ui.paper import Paper, WithoutColour

__all__ = ["HandwheelApp", "run_app"]

_LAST_WORDS = 3.0  # [s]; a job being closed waits two for its disk, and then says what is not saved

_THEME = Theme("handwheel", primary="#9fd0ff", background=GROUND, foreground="#f2f4f6")


class HandwheelApp(App[None]):
    """Gives each key to the page on top, and prints that page."""

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
        self.failure: Exception | None = None
        self._clock = clock
        self._opener = opener
        self.desk = Desk(
            look, self._paint, partial(self.exit, return_code=0), self.set_timer, self.call_later
        )
        self.paper = Paper(look, self.desk.rows)
        first = self._jobs_page() if folder is None else OperationPage(self.desk, folder, opener)
        self.desk.pages.append(first)  # opened once it is painted

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
        if not gc.isenabled():
            gc.freeze()  # what was imported stays for good; looking through it now would take 30 ms
            gc.enable()
        self.desk.pages[0].opened()

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Colours are chosen by the look; without any, not even the default colours are asked for."""
        return (WithoutColour(),) if self.desk.look.colours == "mono" else ()

    async def on_event(self, event: events.Event) -> None:
        """Give keys and pastes to the page, in the order in which they came."""
        if isinstance(event, events.Key):
            name = key_name(event.key, event.character)
            if name in ("ctrl+q", "ctrl+c"):
                self.desk.quit()
            elif name:
                self.desk.press(Press(name, self._clock()))
        elif isinstance(event, events.Paste):
            self.desk.paste(event.text)
        else:
            await super().on_event(event)

    def _handle_exception(self, error: Exception) -> None:
        """Keep a fault of ours for the caller, who reports it when the terminal is itself again."""
        if self.is_headless:
            super()._handle_exception(error)
        elif self.failure is None:
            self.failure = error
            self.exit(return_code=3)

    def _paint(self) -> None:
        self.paper.paint()

    def _jobs_page(self) -> Page:
        from handwheel.ui.jobs import JobsPage  # whoever opens one job is not kept waiting for the list

        return JobsPage(self.desk, self._open_job)

    def _open_job(self, folder: Path) -> None:
        self.desk.open(OperationPage(self.desk, folder, self._opener))


def run_app(folder: Path | None, look: Look, opener: Opener = open_sitting) -> int:
    """Show a job, or the list of jobs, until the person leaves; give the exit code.

    What could not be saved is said on standard error. A fault of this program is raised.
    """
    app = HandwheelApp(folder, look, opener=opener)
    try:
        app.run(mouse=False)
    finally:
        gc.enable()
        for page in app.desk.pages:
            page.end()
        app.desk.finish(_LAST_WORDS)
        for line in app.desk.parting:
            print(line, file=sys.stderr)
    if app.failure is not None:
        raise app.failure
    return app.return_code or 0
