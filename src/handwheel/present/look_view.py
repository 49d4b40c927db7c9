"""What the look-up found, in words: the rows that page, line mode and command line share, and its JSON."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import zip_longest
from typing import Literal

from handwheel.look import Answer, Bare
from handwheel.present.calls import Json, value_json
from handwheel.present.explain import source_of
from handwheel.present.numbers import System, shown
from handwheel.present.rows import columns_of
from handwheel.values import Computed, Missing, Value

__all__ = ["LookRow", "bare_unit", "look_json", "look_lines", "look_rows"]

_MOST_NAMED = 3
"""Values that a pointer names beside its title."""


_SPELLED = {"hss": "HSS"}


@dataclass(frozen=True, slots=True)
class LookRow:
    """One row of what was found.

    `title` heads an answer, `pointer` is an answer that `query` leads to, `value` is a value with its source
    in words, `cells` a line of the table that the value above it is, `wanted` an input that is still to be
    typed, and `note` text alone.
    """

    kind: Literal["title", "pointer", "value", "wanted", "note", "cells"]
    name: str
    shown: str = ""
    source: str = ""
    value: Value | None = None
    query: str = ""


def bare_unit(system: System) -> Bare:
    """Give the unit of a size that is typed without one, where a unit system is worked in."""
    return "in" if system == "inch" else "mm"


def look_json(query: str, answers: Iterable[Answer], system: System = "mm") -> Json:
    """Give what was found as the contract has it."""
    return {
        "query": query,
        "answers": [
            {
                "kind": one.kind,
                "title": one.title,
                "values": {name: value_json(value, system) for name, value in one.values.items()},
            }
            for one in answers
        ],
    }


def look_rows(answers: Iterable[Answer], system: System = "mm") -> tuple[LookRow, ...]:
    """Give what was found row by row."""
    return tuple(row for one in answers for row in _rows(one, system))


def _rows(answer: Answer, system: System) -> Iterator[LookRow]:
    if answer.query:
        yield LookRow("pointer", answer.title, answer.kind, _named(answer, system), query=answer.query)
        return
    yield LookRow("title", answer.title, answer.kind)
    if answer.kind == "calculation":
        yield from _from(answer, system)
    for name, value in answer.values.items():
        words = _words(name)
        if isinstance(value.origin, Missing):
            yield LookRow("wanted", words, "?", value.origin.ask)
            continue
        yield LookRow("value", words, shown(value, system), source_of(value), value)
        yield from (LookRow("cells", line, value=value) for line in _cells(value, system))
    yield from (LookRow("note", line) for line in answer.said)


def _named(answer: Answer, system: System) -> str:
    """Say in one line what a pointer leads to: the inputs that are wanted, or its first values."""
    if answer.kind == "calculation":
        return "wants " + (", ".join(map(_words, answer.values)) or "nothing")
    first = list(answer.values.items())[:_MOST_NAMED]
    return ", ".join(f"{_words(name)} {shown(value, system)}" for name, value in first)


def _words(name: str) -> str:
    """Write the name of a value as the trade does."""
    return " ".join(_SPELLED.get(word, word) for word in name.replace("kc1_1", "kc1.1").split("_"))


def _from(answer: Answer, system: System) -> Iterator[LookRow]:
    """Say what a calculation was given."""
    origin = next((value.origin for value in answer.values.values()), None)
    if isinstance(origin, Computed):
        given = (f"{_words(name)} {shown(one, system)}" for name, one in origin.call.inputs.items())
        yield LookRow("note", f"of {', '.join(given)}")


def _cells(value: Value, system: System) -> Iterator[str]:
    """Give the rows of a list with their columns aligned, the heads first."""
    if not (isinstance(value.plain, tuple) and value.plain and hasattr(value.plain[0], "_fields")):
        return
    columns = columns_of(value, system)
    widths = [max(map(len, (one.head, *one.cells))) for one in columns]
    lines = ([one.head for one in columns], *zip_longest(*(one.cells for one in columns), fillvalue=""))
    for cells in lines:
        yield "  ".join(f"{cell:>{width}}" for cell, width in zip(cells, widths, strict=True))


def look_lines(answers: Iterable[Answer], system: System = "mm") -> Iterator[str]:
    """Give what was found as lines for a terminal or a screen reader; a source stands below its values."""
    source = ""
    for row in look_rows(answers, system):
        if source and row.kind != "cells" and row.source != source:
            yield f"    source: {source}"
        source = row.source if row.kind == "value" else source if row.kind == "cells" else ""
        yield _line(row)
    if source:
        yield f"    source: {source}"


def _line(row: LookRow) -> str:
    match row.kind:
        case "title":
            return f"{row.shown}: {row.name}"
        case "pointer":
            typed = row.query.strip()
            return f"{row.shown}: {typed}{'' if typed == row.name else f', {row.name}'} ({row.source})"
        case "value":
            return f"  {row.name}: {row.shown}"
        case "wanted":
            return f"  {row.name}: to be typed, {row.source}"
        case "note":
            return f"  note: {row.name}"
        case _:
            return f"    {row.name}"
