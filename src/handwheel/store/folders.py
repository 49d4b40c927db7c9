"""Where things are: the person's own folder, the jobs in it, and the folders of the platform."""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from platformdirs import PlatformDirs

from handwheel import __version__
from handwheel.errors import InputError, nearest, one_line

__all__ = [
    "JOB",
    "SHOP",
    "find_job",
    "home",
    "jobs_folder",
    "log_folder",
    "own_recipes",
    "shop_file",
    "write_report",
]

JOB = "job.toml"
SHOP = "shop.toml"

_PLATFORM = PlatformDirs("handwheel", appauthor=False)


def home() -> Path:
    """Give the person's folder: HANDWHEEL_HOME, or `handwheel` in the documents folder."""
    given = os.environ.get("HANDWHEEL_HOME")
    # Where nobody knows whose home a ~ means, it stays: os.path.expanduser never raises.
    return (
        Path(os.path.expanduser(given)).absolute() if given else _PLATFORM.user_documents_path / "handwheel"
    )


def jobs_folder() -> Path:
    """Give the folder whose folders are jobs."""
    return home() / "jobs"


def shop_file(job: Path | None = None) -> Path:
    """Give the shop file: the one beside the job where there is one, else the person's."""
    beside = None if job is None else job / SHOP
    return beside if beside is not None and os.path.isfile(beside) else home() / SHOP


def own_recipes() -> Path:
    """Give the folder of the person's own recipes."""
    return home() / "recipes"


def log_folder() -> Path:
    """Give the platform's folder for logs and reports."""
    return _PLATFORM.user_log_path


def find_job(text: str) -> Path:
    """Give the folder of a job: a folder with job.toml, that file itself, or a name among the jobs.

    Raises `InputError` that says where was looked, and the name nearest to the one given; or that a file
    may not be looked at.
    """
    folders = [os.path.expanduser(text)] if text else []
    if text and os.path.basename(text) == text:
        folders.append(os.path.join(jobs_folder(), text))
    for folder in folders:
        # The functions of os.path take any text, also one that no file can have.
        if os.path.isfile(os.path.join(folder, JOB)):
            return Path(folder).absolute()
        if os.path.basename(folder) == JOB and os.path.isfile(folder):
            return Path(folder).absolute().parent
        _refuse_closed(os.path.join(folder, JOB))
    looked = " and ".join(one_line(os.path.join(folder, JOB)) for folder in folders) or "no name was given"
    raise InputError(f'there is no job "{one_line(text)}": looked for {looked}{nearest(text, _job_names())}')


def _refuse_closed(path: str) -> None:
    """Say that a file may not be looked at: to the functions that ask what it is, it is then not there."""
    try:
        os.stat(path)
    except PermissionError as error:
        raise InputError(f"{one_line(path)}: it cannot be looked at: {error.strerror}") from error
    except (OSError, ValueError):
        pass


def write_report(error: BaseException) -> Path:
    """Write what went wrong in this program to a report, and give its path.

    Goes to the log folder, else to the folder for temporary files; never raises. Where nothing can be
    written at all, the path is that of the null device.
    """
    import platform
    import tempfile
    import traceback

    text = "".join(
        (
            f"handwheel {__version__}, Python {sys.version}, {platform.platform()}\n",
            f"arguments: {sys.argv[1:]!r}\n\n",
            *traceback.format_exception(error),
        )
    )
    name = f"report-{datetime.now():%Y-%m-%dT%H%M%S}-{os.getpid()}.txt"
    for folder in (log_folder, lambda: Path(tempfile.gettempdir()) / "handwheel"):
        with suppress(OSError, RuntimeError):  # RuntimeError: nobody knows the home folder
            path = folder() / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8", errors="backslashreplace")
            return path
    return Path(os.devnull)


def _job_names() -> list[str]:
    with suppress(OSError):
        return [entry.name for entry in os.scandir(jobs_folder()) if (Path(entry) / JOB).is_file()]
    return []
