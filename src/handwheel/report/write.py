"""A sheet as the text of one of its formats, and into a file that it may replace."""

from __future__ import annotations

import os
import stat
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Literal, NamedTuple, cast

from handwheel.errors import InputError, one_line
from handwheel.plan.resolve import Plan
from handwheel.report import lines, markdown, page
from handwheel.report.context import PlaceOf
from handwheel.report.document import Document
from handwheel.report.ledger import Ledger
from handwheel.report.sheet import make_sheet
from handwheel.run.state import State
from handwheel.store.durable import replace_file

__all__ = ["FORMATS", "Format", "format_for", "sheet_text", "write_sheet"]

Format = Literal["html", "md", "txt"]


class _Writer(NamedTuple):
    mark: str
    write: Callable[[Document, Ledger], str]


_WRITERS: Mapping[Format, _Writer] = {
    "html": _Writer(page.MARK, page.as_html),
    "md": _Writer(markdown.MARK, markdown.as_markdown),
    "txt": _Writer(lines.MARK, lines.as_text),
}
FORMATS: tuple[Format, ...] = tuple(_WRITERS)

_ENDINGS: Mapping[str, Format] = {
    ".html": "html",
    ".htm": "html",
    ".md": "md",
    ".markdown": "md",
    ".txt": "txt",
}


def sheet_text(plan: Plan, state: State, place_of: PlaceOf, form: Format) -> str:
    """Give the sheet of a job in a format."""
    document = make_sheet(plan, state, place_of)
    return _WRITERS[form].write(document, Ledger(document))


def format_for(path: Path | None, wanted: str | None) -> Format:
    """Give the format that is asked for, else that of the ending of the file, else Markdown.

    Raises `InputError` where the ending says nothing and nothing else does.
    """
    if wanted is not None:
        return cast(Format, wanted)
    if path is None:
        return "md"
    known = _ENDINGS.get(path.suffix.lower())
    if known is None:
        raise InputError(
            f"{_name(path)}: its ending says no format; expected {', '.join(_ENDINGS)}, or --format"
        )
    return known


def write_sheet(path: Path, text: str) -> None:
    """Write a sheet to a file; on return it is on the disk. The sheet before it is kept as FILE.bak.

    What is there already is replaced only where it is a file and empty or a sheet of this program: a slip
    of the pen must not cost the job file, or a letter. Raises `InputError` that says what would do.
    """
    path = Path(os.path.abspath(os.path.expanduser(path)))
    _refuse_what_is_no_sheet(path)
    try:
        replace_file(path, text.encode("utf-8"))
    except OSError as error:
        raise InputError(f"{_name(path)}: it cannot be written: {error.strerror or error}") from error


def _refuse_what_is_no_sheet(path: Path) -> None:
    if path.suffix.lower() == ".toml":
        raise InputError(
            f"{_name(path)}: a file with this ending is one that you write; expected another ending"
        )
    if not os.path.isdir(path.parent):
        raise InputError(f"{_name(path)}: there is no folder {_name(path.parent)}")
    try:
        there = os.stat(path)
        if not stat.S_ISREG(there.st_mode):
            raise InputError(
                f"{_name(path)}: it is no file that can be replaced; expected the name of a file"
            )
        with open(path, "rb") as file:
            begins = file.read(max(len(one.mark) for one in _WRITERS.values()))
    except FileNotFoundError:
        return
    except OSError as error:
        raise InputError(f"{_name(path)}: it cannot be looked at: {error.strerror or error}") from error
    if begins and not any(begins.startswith(one.mark.encode("ascii")) for one in _WRITERS.values()):
        raise InputError(
            f"{_name(path)}: it is there and no sheet of handwheel; expected another name, or remove it first"
        )


def _name(path: Path) -> str:
    return one_line(str(path))
