"""What the plan check reports: the shape of one finding."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from handwheel.values import Value

__all__ = ["Finding", "Severity"]

Severity = Literal["stop", "doubt", "note"]


@dataclass(frozen=True, slots=True)
class Finding:
    """Something that will go wrong, or may: what, why, and how to cure it.

    The three texts may hold `{name}` fields that are shown from `values`.

    `file` and `keys` say where the cause stands; `operation` and `feature` name what it touches.
    A `stop` keeps the operation from beginning until it is cured or waived with a reason.
    """

    code: str
    severity: Severity
    what: str
    why: str
    cure: str
    file: str = "job.toml"
    keys: tuple[str | int, ...] = ()
    operation: int | None = None
    feature: str | None = None
    values: Mapping[str, Value | str] = field(default_factory=dict)
    final: bool = False
    """No waiver gets past it: the operation has no steps to go on with."""
    confirm: tuple[str, str] | None = None
    """The carried number that clears this finding once it is confirmed: where it stands, and its text."""

    @property
    def place(self) -> str:
        """Where its cause stands: what a waiver of this finding, and of no other of its code, names."""
        return f"{self.file} {'.'.join(str(key) for key in self.keys)}".strip()

    @property
    def numbers(self) -> str:
        """The values that it is about: a waiver is for these, and for no worse ones that come later."""
        return "; ".join(f"{name} {_text(value)}" for name, value in sorted(self.values.items()))


def _text(value: Value | str) -> str:
    if isinstance(value, str):
        return value
    return f"{value.plain} {value.unit if isinstance(value.unit, str) else ''}".strip()
