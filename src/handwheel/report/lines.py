"""A sheet as plain text: lines of at most 100 signs, tables in columns, references in square brackets."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import zip_longest
from textwrap import wrap

from handwheel.errors import one_line
from handwheel.present.parts import Line, Part
from handwheel.report.document import Block, Cell, Document, Drawing, Heading, Paragraph, Table
from handwheel.report.ledger import Entry, Ledger

__all__ = ["MARK", "as_text"]

MARK = "sheet of handwheel\n"
"""How a sheet begins: by it a sheet is known again before it is replaced."""

_WIDTH = 100
_GAP = "  "
_SHORT = 24
"""A number or a date of at most so many signs is not broken at the end of a line."""
_HELD = "\u00a0"
"""Stands for a blank at which no line is broken, until the lines are made."""
_RULES = {1: "=", 2: "=", 3: "-"}


def as_text(document: Document, ledger: Ledger) -> str:
    """Write a sheet as plain text."""
    lines = [line for block in document.blocks for line in ("", *_block(block, ledger))]
    return MARK + "\n".join(line.rstrip() for line in (*lines, *_origins(ledger))) + "\n"


def _block(block: Block, ledger: Ledger) -> Iterator[str]:
    match block:
        case Heading(level, line):
            text = _line(line, ledger)
            yield from _wrapped(text, _WIDTH)
            if level in _RULES:
                yield _RULES[level] * min(len(text), _WIDTH)
        case Paragraph(line):
            yield from _wrapped(_line(line, ledger), _WIDTH)
        case Table():
            yield from _table(block, ledger)
        case Drawing(title, _, signs, sizes):
            yield from _wrapped(_line((*title, *sizes), ledger), _WIDTH)
            yield ""
            yield from map(one_line, signs)


def _table(table: Table, ledger: Ledger) -> Iterator[str]:
    head = [_wrapping(_line(line, ledger)) for line in table.head]
    rows = [[_cell(cell, ledger) for cell in row] for row in table.rows]
    widths = _widths(table, head, rows)
    yield from _columns(head, widths)
    yield _GAP.join("-" * width for width in widths)
    for row in rows:
        yield from _columns(row, widths)


def _wrapping(text: str) -> list[str]:
    return [text] if text else []


def _cell(cell: Cell, ledger: Ledger) -> list[str]:
    return [_line(line, ledger) for line in cell]


def _widths(table: Table, head: list[list[str]], rows: list[list[list[str]]]) -> list[int]:
    """Give each column its share of the line, or what its longest cell needs."""
    if table.widths:
        free = _WIDTH - len(_GAP) * (len(table.widths) - 1)
        return [free * width // 100 for width in table.widths]
    longest = [
        max((len(text) for row in (head, *rows) for text in row[at]), default=1) for at in range(len(head))
    ]
    share = (_WIDTH - len(_GAP) * (len(head) - 1)) // len(head)
    return longest if sum(longest) + len(_GAP) * (len(head) - 1) <= _WIDTH else [share] * len(head)


def _columns(cells: list[list[str]], widths: list[int]) -> Iterator[str]:
    columns = [
        [line for text in cell for line in _wrapped(text, width)]
        for cell, width in zip(cells, widths, strict=True)
    ]
    for lines in zip_longest(*columns, fillvalue=""):
        yield _GAP.join(f"{line:<{width}}" for line, width in zip(lines, widths, strict=True))


def _wrapped(text: str, width: int) -> list[str]:
    """Break a text into lines, never within a date or a short number with its reference."""
    found = wrap(text, max(width, 1), break_on_hyphens=False)
    return [line.replace(_HELD, " ") for line in found] or [""]


def _line(line: Line, ledger: Ledger) -> str:
    return "".join(_part(part, ledger) for part in line)


def _part(part: Part, ledger: Ledger) -> str:
    text = one_line(part.text)
    if part.kind in ("number", "counted") and len(text) <= _SHORT:
        text = text.replace(" ", _HELD)
    match part.kind:
        case "number":
            return f"{text}{_HELD}[{ledger.number(part)}]".lstrip(_HELD)
        case "strong":
            return text.upper()
        case "blank":
            return f"__________ {text}".rstrip()
        case _:
            return text


def _origins(ledger: Ledger) -> Iterator[str]:
    if not ledger.entries:
        return
    title = "Where the numbers come from"
    yield from ("", title, "=" * len(title))
    for entry in ledger.entries:
        for number, line in enumerate(_entry(entry)):
            pad = "    " if number else ""
            yield from wrap(one_line(line), _WIDTH, initial_indent=pad, subsequent_indent="      ")


def _entry(entry: Entry) -> Iterator[str]:
    if entry.how is None:
        yield f"[{entry.number}] {entry.text}  {entry.source}"
        return
    how = entry.how
    yield f"[{entry.number}] {entry.text}  {how.title}"
    yield how.formula
    if how.put_in:
        yield how.put_in
    yield f"source: {entry.source}"
    yield f"second route: {how.second}"
    yield from (f"note: {warning}" for warning in how.warnings)
    for symbol, text, words, number in entry.given():
        yield f"{symbol} = {text}, {words} [{number}]"
