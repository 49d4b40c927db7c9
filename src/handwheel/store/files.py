"""Reading a TOML file a person wrote, and what its `schema` says before anything else is believed."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from handwheel.errors import Fault, FaultsError
from handwheel.store.faults import line_of, syntax_fault
from handwheel.store.layout import loads

__all__ = ["Checked", "Migration", "check_schema", "migrate", "parse_toml", "read_toml"]

Migration = Callable[[dict[str, Any]], dict[str, Any]]
"""One step from a schema to the next: a pure function, which leaves what it was given as it was."""


@dataclass(frozen=True, slots=True)
class Checked:
    """A file's data in the schema that this program knows, and the schema that it was written in."""

    data: dict[str, Any]
    schema: int
    known: int

    @property
    def read_only(self) -> bool:
        """Whether a newer program wrote it: it may be looked at, and is never written."""
        return self.schema > self.known

    @property
    def migrated(self) -> bool:
        """Whether it was older. Nothing writes these files, so that the file stays in its old schema."""
        return self.schema < self.known

    @property
    def note(self) -> str:
        """What a person has to be told, in one line; "" where nothing is out of the way."""
        if self.read_only:
            return f"schema {self.schema} is newer than this program knows ({self.known}): for looking only"
        if self.migrated:
            return f"schema {self.schema} was read as {self.known}; the file stays as it is"
        return ""


def read_toml(path: Path, *, limit: int = 1_000_000) -> tuple[dict[str, Any], str]:
    """Read a file of at most `limit` bytes and give its data and its text, line ends made one.

    Raises `FaultsError`, one line that names the file.
    """
    return parse_toml(str(path), _read(path, limit))


def parse_toml(file: str, content: bytes) -> tuple[dict[str, Any], str]:
    """Give the data and the text of a file's content; `file` is what a fault names."""
    text = _decode(file, content).replace("\r\n", "\n")
    try:
        return loads(text), text
    except ValueError as error:
        raise FaultsError([syntax_fault(file, text, error)]) from error


def check_schema(
    data: dict[str, Any],
    known: int,
    file: str,
    text: str,
    steps: Mapping[int, Migration] | None = None,
) -> Checked:
    """Look at `schema` before the data is validated, and bring older data to the known schema.

    `steps` holds the migration from each older schema to the next. A file without `schema` is for its
    model to complain of. Raises `FaultsError` where it is no number from 1 on.
    """
    schema = data.get("schema", known)
    if type(schema) is not int or schema < 1:
        what = f"has to be a whole number from 1 on, without quotes: schema = {known}"
        raise FaultsError([Fault(file, line_of(text, ("schema",)), "schema", what)])
    if schema < known:
        data = migrate(data, schema, known, steps or {})
    return Checked(data, schema, known)


def migrate(data: dict[str, Any], schema: int, known: int, steps: Mapping[int, Migration]) -> dict[str, Any]:
    """Take data through one step for each schema up to the known one."""
    for step in range(schema, known):
        data = {**steps[step](data), "schema": step + 1}
    return data


def _read(path: Path, limit: int) -> bytes:
    if os.path.isdir(path):
        raise _unusable(path, "this is a folder; a file was expected")
    if os.path.exists(path) and not os.path.isfile(path):
        raise _unusable(path, "this is a device; a file was expected")
    try:
        with path.open("rb") as file:
            data = file.read(limit + 1)
    except FileNotFoundError:
        raise _unusable(path, "there is no such file") from None
    except OSError as error:
        raise _unusable(path, f"it cannot be read: {error.strerror}") from error
    if len(data) > limit:
        raise _unusable(path, f"it is too large; {limit:,} bytes are taken at most")
    return data


def _unusable(path: Path, what: str) -> FaultsError:
    return FaultsError([Fault(str(path), None, "", what)])


def _decode(file: str, data: bytes) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        what = f"byte {data[error.start]:#04x} is not UTF-8; save the file with the encoding UTF-8"
        raise FaultsError([Fault(file, line, "", what)]) from error
