"""The drawings of an operation on its sheet: the picture, and its sizes with where each comes from."""

from __future__ import annotations

from collections.abc import Iterator

from handwheel.drawing.make import drawings
from handwheel.drawing.shapes import Drawing as Drawn
from handwheel.drawing.svg import svg_of
from handwheel.drawing.text import plain_lines, text_of
from handwheel.plan.resolve import ResolvedOperation
from handwheel.present.parts import Line, Part, number, words, written
from handwheel.report.context import Context
from handwheel.report.document import Drawing

__all__ = ["drawings_of"]

_SIGNS = (96, 30)
"""The room for a drawing of signs: what a line of text holds, and less than a page."""


def drawings_of(context: Context, operation: ResolvedOperation) -> Iterator[Drawing]:
    """Give the drawings of an operation, with the places filled that are made."""
    for drawn in drawings(context.plan, operation, done=frozenset(_made(context, operation))):
        key = f"op{operation.number}-{drawn.key}"
        signs = plain_lines(text_of(drawn, *_SIGNS))
        yield Drawing(_title(drawn), svg_of(drawn, key), tuple(signs), _sizes(drawn))


def _made(context: Context, operation: ResolvedOperation) -> Iterator[int]:
    """Give the places at which a cut was made that stands."""
    for index, event in context.book.of_kinds("cut"):
        if event.operation == operation.number and context.book.counts(index):
            yield event.position or 1


def _title(drawn: Drawn) -> Line:
    where = "the drawing of it"
    return (written(drawn.title, where), words(" ("), written(drawn.seen, where), words(")"))


def _sizes(drawn: Drawn) -> Line:
    """Give the sizes that stand in a drawing, since in the picture itself they lead nowhere."""
    parts: list[Part] = []
    for one in drawn.dimensions:
        parts.append(words("; " if parts else ": "))
        parts += [words(f"{one.before} ")] if one.before else []
        parts.append(number(one.value, drawn.system))
        parts += [words(" "), written(one.words, "the drawing of it")] if one.words else []
    return tuple(parts)
