"""The list of jobs in words."""

from __future__ import annotations

from datetime import datetime

from handwheel.errors import one_line
from handwheel.present.lists_view import JobRow
from handwheel.present.view import view_from_table
from handwheel.store.job_list import FoundJob, found_jobs

__all__ = ["job_rows"]


def job_rows() -> tuple[JobRow, ...]:
    """Give one row for each job: what is live in it, and when it was last worked at."""
    return tuple(_row(job) for job in found_jobs())


def _row(job: FoundJob) -> JobRow:
    view = view_from_table(job.now)
    live = " · ".join(part for part in (view.place, view.kind) if part) or "not begun"
    at = datetime.fromtimestamp(job.changed).strftime("%Y-%m-%d %H:%M") if job.changed else ""
    return JobRow(job.folder.name, one_line(job.title), one_line(live), at, one_line(job.fault))
