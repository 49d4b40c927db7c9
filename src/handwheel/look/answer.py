"""What an answer of the look-up is, and how the catalogue is asked for its values."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal

from handwheel.calc import CATALOGUE
from handwheel.errors import InputError
from handwheel.values import Computed, Entered, Listed, Plain, Value

__all__ = ["Answer", "Bare", "Kind", "Part", "chosen", "gather", "typed"]

Kind = Literal[
    "thread", "screw", "ring", "taper", "drill", "size", "zone", "fit", "material", "calculation", "recipe"
]

Bare = Literal["mm", "in"]
"""The unit of a size that is typed without one."""


@dataclass(frozen=True, slots=True)
class Answer:
    """One thing that was found: its kind, its title, its values by name, and what has to be told with them.

    `query` is what to type to get to it, where the line as it stands only points at it.
    """

    kind: Kind
    title: str
    values: Mapping[str, Value]
    query: str = ""
    said: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Part:
    """Some results of one calculation: which inputs it gets, and the names its results have in the answer.

    Without names every result keeps its own.
    """

    calculation: str
    given: Mapping[str, Value]
    names: Mapping[str, str] = field(default_factory=dict)


def typed(plain: Plain, text: str, unit: str = "") -> Value:
    """Make the value of what was typed into the line."""
    return Value(plain, unit, Entered("look-up", text, "typed"))


def chosen(plain: Plain, why: str, unit: str = "") -> Value:
    """Make the value of an input that the look-up sets itself, with the reason."""
    return Value(plain, unit, Listed("set by the look-up", why))


def gather(parts: Iterable[Part]) -> tuple[dict[str, Value], tuple[str, ...]]:
    """Run the calculations; give their results and warnings. One that refuses, or has none, adds nothing."""
    values: dict[str, Value] = {}
    said: dict[str, None] = {}
    for part in parts:
        try:
            results = CATALOGUE[part.calculation].run(part.given)
        except InputError:
            continue  # no row for this thread or size: the other calculations have theirs
        names = part.names or {name: name for name in results}
        kept = {as_: results[name] for name, as_ in names.items() if results[name].plain not in (None, "")}
        values.update(kept)
        for value in kept.values():
            if isinstance(value.origin, Computed):
                said.update(dict.fromkeys(value.origin.call.warnings))
    return values, tuple(said)
