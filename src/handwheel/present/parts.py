"""A sentence in parts, so that whoever prints it can lead from each number in it to where it comes from.

A part that holds a number of the work carries its `Value`. Counting is apart: dates, numbers of operations
and of holes, identifiers, places in a file. Text that somebody wrote and that has digits in it (the title
of a tool, a fixed word of a recipe) is a value too: it comes from where it is written.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from handwheel.errors import one_line
from handwheel.plan.resolve import ResolvedStep
from handwheel.present.numbers import System, filled, shown
from handwheel.present.run_view import on_hand
from handwheel.values import Listed, Value

__all__ = ["Line", "Part", "blank", "counted", "number", "said", "step_line", "strong", "words", "written"]

Kind = Literal["words", "number", "cell", "counted", "strong", "blank"]


@dataclass(frozen=True, slots=True)
class Part:
    """A piece of text. A `number` and a `cell` of a table have the value behind them, in a unit system.

    `words` and `strong` hold no digit, `counted` may; `blank` is a place to write on, its text the unit.
    """

    text: str
    kind: Kind = "words"
    value: Value | None = None
    system: System = "mm"


Line = tuple[Part, ...]

_COUNTING = frozenset({"place.number", "place.count"})


def words(text: str) -> Part:
    """Give words of this program; there is no number in them."""
    return Part(text)


def strong(text: str) -> Part:
    """Give words that stand out, such as a signal word."""
    return Part(text, "strong")


def counted(text: object) -> Part:
    """Give what counts, dates or names and is no number of the work."""
    return Part(one_line(str(text)), "counted")


def blank(unit: str = "") -> Part:
    """Give a place to write on by hand, before its unit."""
    return Part(unit, "blank")


def number(value: Value, system: System) -> Part:
    """Give a value as it is shown."""
    return Part(shown(value, system), "number", value, system)


def written(text: str, where: str) -> Part:
    """Give text of a file as it is written there: with where it stands, if there are digits in it."""
    line = one_line(text)
    if not _has_digit(line):
        return Part(line)
    return Part(line, "number", Value(text, "", Listed(where, "as it is written there")))


def said(
    template: str,
    values: Mapping[str, Value | str],
    system: System,
    where: str,
    names: frozenset[str] = frozenset(),
) -> Line:
    """Fill a text part by part. Fixed words of it that hold digits come from `where`; `names` count."""
    return tuple(_parts(template, values, system, where, names))


def step_line(
    step: ResolvedStep, position: int, system: System, where: str, columns: Mapping[str, Value]
) -> Line:
    """Give the text of a step at a place of its pattern, part by part.

    `columns` are those of the list that the step is repeated over: a number of one row leads to its column.
    """
    return tuple(
        _as_column(part, name, columns)
        for name, part in _named(step.step.text, on_hand(step, position), system, where, frozenset())
    )


def _parts(
    template: str, values: Mapping[str, Value | str], system: System, where: str, names: frozenset[str]
) -> Iterator[Part]:
    return (part for _, part in _named(template, values, system, where, names))


def _named(
    template: str, values: Mapping[str, Value | str], system: System, where: str, names: frozenset[str]
) -> Iterator[tuple[str, Part]]:
    for piece in filled(template, values, system):
        if piece.name in _COUNTING or piece.text in names:
            yield piece.name, counted(piece.text)
        elif piece.value is not None:
            yield piece.name, Part(piece.text, "number", piece.value, system)
        elif piece.name:
            yield piece.name, written(piece.text, where)
        else:
            yield from (("", part) for part in _fixed(piece.text, where, names))


def _fixed(text: str, where: str, names: frozenset[str]) -> Iterator[Part]:
    """Give fixed words: those that hold digits apart, because they are numbers that somebody wrote."""
    for index, piece in enumerate(re.split(r"(\S*\d\S*)", text)):
        if not piece:
            continue
        if index % 2 == 0:
            yield Part(piece)
        else:
            yield counted(piece) if piece.strip(".,;:()") in names else written(piece, where)


def _as_column(part: Part, name: str, columns: Mapping[str, Value]) -> Part:
    """Let the number of one row point to the whole list that it stands in: one entry serves all rows."""
    root, _, column = name.partition(".")
    if root != "place" or part.kind != "number" or column not in columns:
        return part
    return Part(part.text, part.kind, columns[column], part.system)


def _has_digit(text: str) -> bool:
    return any(sign.isdigit() or sign.isnumeric() for sign in text)
