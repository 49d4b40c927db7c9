"""A sheet as Markdown: headings, paragraphs, tables with pipes, references in square brackets."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handwheel.errors import one_line
from handwheel.present.parts import Line, Part
from handwheel.report.document import Block, Cell, Document, Drawing, Heading, Paragraph, Table
from handwheel.report.ledger import Entry, Ledger

__all__ = ["MARK", "as_markdown"]

MARK = "<!-- sheet of handwheel -->\n"
"""How a sheet begins: by it a sheet is known again before it is replaced."""

_SIGNS = re.compile(r"([\\`*_\[\]<>|~&$])")
_LINK = re.compile(r"(?<!\d):(?=\S)|:(?=[^\d\s])|@|(?<=www)\.", re.IGNORECASE)
_AT_THE_START = re.compile(r"^(\s*)([#+\-=>]|\d+(?=[.)]))")


def as_markdown(document: Document, ledger: Ledger) -> str:
    """Write a sheet as Markdown. Text from files is escaped: nothing in it is taken for markup."""
    blocks = [_block(block, ledger) for block in document.blocks]
    return MARK + "\n" + "\n\n".join((*blocks, *_origins(ledger))) + "\n"


def _text(text: str) -> str:
    """Escape what Markdown, or a reader of it that makes links by itself, would take for more than text."""
    escaped = _SIGNS.sub(r"\\\1", one_line(text))
    return _LINK.sub(lambda sign: f"\\{sign[0]}", escaped)


def _start(text: str) -> str:
    """Escape what counts as a heading or a list at the start of a block only."""
    return _AT_THE_START.sub(_escaped_start, text)


def _escaped_start(found: re.Match[str]) -> str:
    sign = found[2]
    return f"{found[1]}{sign[:-1]}&#{ord(sign[-1])};" if sign.isdigit() else f"{found[1]}\\{sign}"


def _block(block: Block, ledger: Ledger) -> str:
    match block:
        case Heading(level, line):
            return f"{'#' * level} {_start(_line(line, ledger))}"
        case Paragraph(line):
            return _start(_line(line, ledger))
        case Table():
            return _table(block, ledger)
        case Drawing(title, _, signs, sizes):
            drawn = "\n".join(f"    {one_line(row)}" for row in signs)
            return f"{_start(_line((*title, *sizes), ledger))}\n\n{drawn}"


def _table(table: Table, ledger: Ledger) -> str:
    head = _row([_line(line, ledger) for line in table.head])
    rule = _row(["---"] * len(table.head))
    return "\n".join((head, rule, *(_row([_cell(cell, ledger) for cell in row]) for row in table.rows)))


def _row(cells: list[str]) -> str:
    return f"| {' | '.join(cells)} |"


def _cell(cell: Cell, ledger: Ledger) -> str:
    return "<br>".join(_line(line, ledger) for line in cell)


def _line(line: Line, ledger: Ledger) -> str:
    return "".join(_part(part, ledger) for part in line)


def _part(part: Part, ledger: Ledger) -> str:
    text = _text(part.text)
    match part.kind:
        case "number":
            return f"{text} [{ledger.number(part)}]".lstrip()
        case "strong":
            return f"**{text}**"
        case "blank":
            return rf"\_\_\_\_\_\_\_\_\_\_ {text}".rstrip()
        case _:
            return text


def _origins(ledger: Ledger) -> Iterator[str]:
    if ledger.entries:
        yield "## Where the numbers come from"
        yield "\n".join(line for entry in ledger.entries for line in _entry(entry))


def _entry(entry: Entry) -> Iterator[str]:
    head = f"- [{entry.number}] **{_text(entry.text)}**"
    if entry.how is None:
        yield f"{head} {_text(entry.source)}"
        return
    how = entry.how
    yield f"{head} {_text(how.title)}"
    lines = [how.formula, how.put_in, f"source: {entry.source}", f"second route: {how.second}"]
    lines += [f"note: {warning}" for warning in how.warnings]
    yield from (f"  - {_start(_text(line))}" for line in lines if line)
    for symbol, text, words, number in entry.given():
        yield f"  - {_start(_text(f'{symbol} = {text}, {words}'))} [{number}]"
