"""The jobs of the person's folder, without reading their plans: title and what is live, from their heads."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

from handwheel.errors import HandwheelError
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
    """Give every folder with a job.toml among the jobs, the one last worked at first."""
    return tuple(sorted(_found(jobs_folder()), key=lambda job: (-job.changed, job.folder.name)))


def _found(folder: Path) -> Iterator[FoundJob]:
    if not folder.is_dir():
        return
    for one in folder.iterdir():
        if (one / JOB).is_file():
            now = read_now(one / NAME) or {}
            record = one / NAME
            changed = record.stat().st_mtime if record.is_file() else 0.0
            title, fault = _title(one / JOB)
            yield FoundJob(one, title, now, changed, fault)


def _title(path: Path) -> tuple[str, str]:
    try:
        data, _ = read_toml(path)
    except HandwheelError as error:
        return path.parent.name, str(error)
    head = data.get("job")
    title = head.get("title") if isinstance(head, dict) else None
    return (title, "") if isinstance(title, str) else (path.parent.name, "job.toml has no title")
