"""The list of jobs, each with what is live in it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from handwheel.errors import HandwheelError
from handwheel.present.lists_view import JobRow
from handwheel.store.folders import jobs_folder
from handwheel.ui.desk import Desk
from handwheel.ui.lists import job_choices
from handwheel.ui.pages import ChoicePage

__all__ = ["JobsPage", "list_jobs"]


def list_jobs() -> tuple[JobRow, ...]:
    """List the jobs; what that needs is imported here, after the first paint."""
    from handwheel.present.job_rows import job_rows

    return job_rows()


class JobsPage(ChoicePage):
    """The jobs of the person's folder; a number opens one. They are listed aside, and anew on return."""

    def __init__(
        self, desk: Desk, opens: Callable[[Path], None], lister: Callable[[], tuple[JobRow, ...]] = list_jobs
    ) -> None:
        super().__init__(desk, "Jobs", (), self._open, said=("Reading the jobs …",), back="leave")
        self._opens = opens
        self._lister = lister
        self._jobs: tuple[JobRow, ...] = ()
        self.ready = False

    def opened(self) -> None:
        """List the jobs, aside."""
        self.desk.aside(self._list)

    def uncovered(self) -> None:
        """List them anew: one of them was worked at."""
        self.opened()

    def _list(self) -> Callable[[], None]:
        try:
            return partial(self._here, self._lister())
        except HandwheelError as error:
            return partial(self._here, (), str(error))

    def _here(self, jobs: tuple[JobRow, ...], fault: str = "") -> None:
        self.ready = True
        self._jobs = jobs
        self._choices = job_choices(jobs)
        none = (
            ()
            if jobs
            else (fault or f"There is no job in {jobs_folder()}.", "handwheel demo makes one to try.")
        )
        self._said = none
        self.desk.paint()

    def _open(self, number: int) -> None:
        self._opens(jobs_folder() / self._jobs[number - 1].name)
