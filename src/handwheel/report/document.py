"""What a sheet is made of, whatever it is written as: headings, paragraphs, tables, drawings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain

from handwheel.present.parts import Line, Part

__all__ = ["Block", "Cell", "Document", "Drawing", "Heading", "Paragraph", "Table", "parts_of"]

Cell = tuple[Line, ...]
"""The lines of a cell of a table, one below the other; none is an empty cell."""


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading of a level: 2 a part of the sheet, 3 an operation or a list, 4 a part of it."""

    level: int
    line: Line


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A line of running text."""

    line: Line


@dataclass(frozen=True, slots=True)
class Table:
    """A table: its head, its rows, and how wide its columns are, in hundredths of the page.

    A row has as many cells as the head. Without `widths` each column is as wide as it needs.
    """

    head: tuple[Line, ...]
    rows: tuple[tuple[Cell, ...], ...]
    widths: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing: as SVG for a page, as lines of signs for text, and what it shows."""

    title: Line
    svg: str
    signs: tuple[str, ...]
    sizes: Line = ()
    """The sizes that stand in it, in words: each is found in the list of where the numbers come from."""


Block = Heading | Paragraph | Table | Drawing


@dataclass(frozen=True, slots=True)
class Document:
    """A whole sheet: its title and its blocks in order."""

    title: str
    blocks: tuple[Block, ...]


def parts_of(document: Document) -> Iterator[Part]:
    """Give every part of a sheet in the order in which it is read."""
    return chain.from_iterable(map(_parts, document.blocks))


def _parts(block: Block) -> Iterator[Part]:
    match block:
        case Heading(_, line) | Paragraph(line):
            yield from line
        case Table(head, rows, _):
            yield from chain.from_iterable(head)
            for row in rows:
                yield from (part for cell in row for line in cell for part in line)
        case Drawing(title, _, _, sizes):
            yield from (*title, *sizes)
