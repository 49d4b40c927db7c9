"""The jobs of the person's folder, without reading their plans: title and what is live, from their heads."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any, NamedTuple

from handwheel.errors import HandwheelError, StoreError
from handwheel.store.files import read_toml
from handwheel.store.folders import JOB, jobs_folder
from handwheel.store.record import NAME, read_now

__all__ = ["FoundJob", "found_jobs"]


class FoundJob(NamedTuple):
    """A job's folder: its title, the `[now]` of its record, when that was written, and what is wrong."""

    folder: Path
    title: str
    now: dict[str, Any]
    changed: float
    fault: str


def found_jobs() -> tuple[FoundJob, ...]:
    """Give every folder with a job.toml among the jobs, the one last worked at first.

    Raises `StoreError` where the folder of the jobs may not be read.
    """
    folder = jobs_folder()
    try:
        inside = list(folder.iterdir())
    except (FileNotFoundError, NotADirectoryError):
        return ()
    except OSError as error:
        raise StoreError(f"{folder}: it cannot be read: {error.strerror}") from error
    # A folder that may not be looked into is passed over: to os.path.isfile there is nothing in it.
    found = [_found(one) for one in inside if os.path.isfile(one / JOB)]
    return tuple(sorted(found, key=lambda job: (-job.changed, job.folder.name)))


def _found(folder: Path) -> FoundJob:
    record = folder / NAME
    title, fault = _title(folder / JOB)
    try:
        changed = os.stat(record).st_mtime
    except OSError:
        changed = 0.0
    return FoundJob(folder, title, read_now(record) or {}, changed, fault)


def _title(path: Path) -> tuple[str, str]:
    try:
        data, _ = read_toml(path)
    except HandwheelError as error:
        return path.parent.name, str(error)
    head = data.get("job")
    title = head.get("title") if isinstance(head, dict) else None
    return (title, "") if isinstance(title, str) else (path.parent.name, "job.toml has no title")
