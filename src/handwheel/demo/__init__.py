"""The ready job: a plate for a belt-driven pottery wheel, with a shop of its own. All sizes are invented."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

from handwheel.errors import InputError
from handwheel.resources import demo_files
from handwheel.sitting import Sitting
from handwheel.store.durable import replace_file
from handwheel.store.folders import JOB, jobs_folder

__all__ = ["NAME", "make_demo"]

NAME = "pottery-wheel-plate"


def make_demo(folder: str | None) -> tuple[Path, bool]:
    """Make the demo's folder and give it, and whether it was made now.

    A folder that is named has to be new or empty. Without one the demo goes among the person's jobs,
    and is left as it stands where it is there already. Raises `InputError`.
    """
    path = Path(os.path.abspath(os.path.expanduser(folder))) if folder else jobs_folder() / NAME
    if folder is None and (path / JOB).is_file():
        return path, False
    try:
        if path.exists() and (not path.is_dir() or any(path.iterdir())):
            raise InputError(f"{path} is not empty; expected a new folder, such as --folder {path}-2")
        path.mkdir(parents=True, exist_ok=True)
        _write(path)
        Sitting.open(path).close()  # the record begins, so that the first opening paints at once
    except OSError as error:
        raise InputError(f"{path} cannot be made: {error.strerror or error}") from error
    return path, True


def _write(folder: Path) -> None:
    """Write the files, the job last: a folder is a job by it. What was begun is taken away again."""
    made: list[Path] = []
    try:
        for file in sorted(demo_files("plate"), key=lambda file: file.name == JOB):
            made.append(folder / file.name)
            replace_file(made[-1], file.read_bytes())
    except BaseException:
        for path in made:
            with suppress(OSError):
                path.unlink()
        raise
