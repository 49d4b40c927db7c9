"""What a run shows, in words: the one shape that the screen, line mode and the first paint share.

A `RunView` is text alone. It goes into `[now]` of the record as it stands and comes back from it, so
that the first paint needs neither plan nor catalogue. Nothing heavy may be imported here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from typing import Any, Literal, cast

__all__ = ["Line", "RunView", "clock", "view_from_table"]

Mark = Literal["done", "pending", "live", "next", "again"]


@dataclass(frozen=True, slots=True)
class Line:
    """One step of the operation as a line: where it stands, and its text."""

    mark: Mark
    text: str


@dataclass(frozen=True, slots=True)
class RunView:
    """Everything the operation screen prints, as text.

    `kind` is the kind of the live item in capitals (ITEM, SETTING, CUT, READING, SIGN-OFF, HAZARD,
    STOP, HOLD, …), `word` its signal word where it is a hazard. `big` is the number drawn large,
    `unit` its unit, `heading` what it is for. `takes` says what answers it.
    """

    title: str = ""
    place: str = ""
    progress: str = ""
    kind: str = ""
    word: str = ""
    text: str = ""
    heading: str = ""
    big: str = ""
    unit: str = ""
    prompt: str = ""
    takes: Literal["enter", "number", "choice", "nothing"] = "enter"
    signed: bool = False
    choices: tuple[str, ...] = ()
    lines: tuple[Line, ...] = ()
    table_title: str = ""
    table: tuple[tuple[str, ...], ...] = ()
    strip: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()

    def table_of_words(self) -> dict[str, Any]:
        """The view as a TOML table."""
        words = asdict(self)
        words["lines"] = [[line.mark, line.text] for line in self.lines]
        for name in ("choices", "strip", "remarks"):
            words[name] = list(words[name])
        words["table"] = [list(row) for row in self.table]
        return words


def view_from_table(words: Mapping[str, Any]) -> RunView:
    """Read a view back; names of a newer view are passed over."""
    known = {field.name for field in fields(RunView)}
    given = {name: word for name, word in words.items() if name in known}
    for name in ("choices", "strip", "remarks"):
        given[name] = tuple(given.get(name, ()))
    given["table"] = tuple(tuple(row) for row in given.get("table", ()))
    given["lines"] = tuple(Line(cast(Mark, mark), text) for mark, text in given.get("lines", ()))
    return RunView(**given)


def clock(at: str) -> str:
    """Give the time of an entry as a person reads it: day, hour and minute, as it was at the machine."""
    return at[:16].replace("T", " ")
