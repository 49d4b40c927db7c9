"""The faults a person can cause and the program can name.

    HandwheelError          anything this program says to a person instead of doing what was asked
    ├── InputError          a typed value or a call that cannot be used; exit code 2
    │   └── FaultsError     faults of a file, one line each
    └── StoreError          a file that cannot be read or kept; the work in memory goes on

A message is one line, says what was expected and, where one exists, shows what would do.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches

__all__ = ["Fault", "FaultsError", "HandwheelError", "InputError", "StoreError", "nearest", "one_line"]


class HandwheelError(Exception):
    """Something this program says to a person instead of doing what was asked."""


class InputError(HandwheelError):
    """A typed value, name or call that cannot be used."""


class StoreError(HandwheelError):
    """A file that cannot be read or kept."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong in one file: where it stands, what is wrong, what would do."""

    file: str
    line: int | None
    key: str
    what: str

    def __str__(self) -> str:
        place = self.file if self.line is None else f"{self.file}:{self.line}"
        return one_line(f"{place} {self.key}: {self.what}" if self.key else f"{place}: {self.what}")


class FaultsError(InputError):
    """A file with faults; `faults` holds all of them, the message one line for each."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


def nearest(name: str, names: Iterable[str]) -> str:
    """Say `; did you mean "…"?` when a known name is close to the one given, else nothing."""
    close = get_close_matches(name, list(names), n=1, cutoff=0.6)
    return f'; did you mean "{close[0]}"?' if close else ""


def one_line(text: str) -> str:
    """Show text from a file or a keyboard on one line, with control characters made visible."""
    if text.isprintable():
        return text
    return "".join(sign if sign.isprintable() else sign.encode("unicode_escape").decode() for sign in text)
