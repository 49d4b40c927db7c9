"""What a person sees is a `Value`: a plain number or word, its unit, and where it comes from.

The trace *is* the value. Whoever wants to know why a number is what it is walks `origin`;
`leaves` gives the entered, listed and missing values that it rests on.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

__all__ = [
    "SLACK",
    "Call",
    "Computed",
    "Entered",
    "Gathered",
    "Listed",
    "Missing",
    "Origin",
    "Plain",
    "Unit",
    "Value",
    "leaves",
]

SLACK = 1e-6
"""How far [mm] every comparison of sizes gives way, so that a size exactly at its limit is on it."""

Plain = float | int | str | bool | None | tuple[Any, ...]
"""A number, a word, a yes or no, nothing, or a tuple of numbers or of rows (NamedTuples of plains)."""

Unit = str | Mapping[str, str]
"""The unit of a number ("" where it has none); of a list of rows, the unit of each field."""


@dataclass(frozen=True, slots=True)
class Entered:
    """Typed by a person: where it stands, the text as typed, and on what basis."""

    where: str
    text: str
    basis: str


@dataclass(frozen=True, slots=True)
class Listed:
    """A row of a published table, or a constant of a recipe, with its source."""

    where: str
    source: str


@dataclass(frozen=True, slots=True)
class Missing:
    """Not on file. `ask` says what a person would have to find out and where to write it."""

    where: str
    ask: str


@dataclass(frozen=True, slots=True)
class Call:
    """One run of a calculation, shared by all its results."""

    calculation: str
    inputs: Mapping[str, Value]
    results: Mapping[str, Plain]
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Computed:
    """One named result of a call."""

    call: Call
    result: str


@dataclass(frozen=True, slots=True)
class Gathered:
    """Rows put together from other values, such as the links of a chain: each cell is one of theirs."""

    terms: tuple[Value, ...]


Origin = Entered | Listed | Missing | Computed | Gathered


@dataclass(frozen=True, slots=True)
class Value:
    """A plain with its unit and its origin; `plain` is None where something is missing."""

    plain: Plain
    unit: Unit
    origin: Origin

    @property
    def number(self) -> float:
        """The plain as a float; a `TypeError` where it is no number."""
        if isinstance(self.plain, bool) or not isinstance(self.plain, (int, float)):
            raise TypeError(f"not a number: {self.plain!r}")
        return float(self.plain)


def leaves(*values: Value) -> Iterator[Value]:
    """Yield the entered, listed and missing values that some values rest on, each once.

    Rows with nothing behind them are a leaf as well: whoever looks at leaves sees that they are from nowhere.
    """
    seen: set[int] = set()
    stack = list(values)
    while stack:
        current = stack.pop()
        if id(current) in seen:
            continue
        seen.add(id(current))
        if isinstance(current.origin, Computed):
            stack.extend(current.origin.call.inputs.values())
        elif isinstance(current.origin, Gathered) and current.origin.terms:
            stack.extend(current.origin.terms)
        else:
            yield current
