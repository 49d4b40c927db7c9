"""Ready jobs, each with a shop of its own: a bearing carrier and a plate for a pottery wheel.

All sizes are invented.
"""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

from handwheel.errors import InputError
from handwheel.resources import demo_files
from handwheel.sitting import Sitting
from handwheel.store.durable import replace_file
from handwheel.store.folders import JOB, jobs_folder

__all__ = ["EXAMPLES", "FIRST", "make_demo"]

EXAMPLES = {"carrier": "bearing-carrier", "plate": "pottery-wheel-plate"}
"""The ready jobs, and the folder that each goes into among a person's jobs."""

FIRST = "carrier"


def make_demo(folder: str | None, example: str = FIRST) -> tuple[Path, bool]:
    """Make the folder of a ready job and give it, and whether it was made now.

    A folder that is named has to be new or empty. Without one the demo goes among the person's jobs,
    and is left as it stands where it is there already. Raises `InputError`.
    """
    path = Path(os.path.abspath(os.path.expanduser(folder))) if folder else jobs_folder() / EXAMPLES[example]
    if folder is None and (path / JOB).is_file():
        return path, False
    try:
        if path.exists() and (not path.is_dir() or any(path.iterdir())):
            raise InputError(f"{path} is not empty; expected a new folder, such as --folder {path}-2")
        path.mkdir(parents=True, exist_ok=True)
        _write(path, example)
        Sitting.open(path).close()  # the record begins, so that the first opening paints at once
    except OSError as error:
        raise InputError(f"{path} cannot be made: {error.strerror or error}") from error
    return path, True


def _write(folder: Path, example: str) -> None:
    """Write the files, the job last: a folder is a job by it. What was begun is taken away again."""
    made: list[Path] = []
    try:
        for file in sorted(demo_files(example), key=lambda file: file.name == JOB):
            made.append(folder / file.name)
            replace_file(made[-1], file.read_bytes())
    except BaseException:
        for path in made:
            with suppress(OSError):
                path.unlink()
        raise
