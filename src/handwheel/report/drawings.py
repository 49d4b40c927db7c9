"""The drawings that belong to an operation."""

from __future__ import annotations

from collections.abc import Iterator

from handwheel.plan.resolve import ResolvedOperation
from handwheel.report.context import Context
from handwheel.report.document import Drawing

__all__ = ["drawings_of"]


def drawings_of(context: Context, operation: ResolvedOperation) -> Iterator[Drawing]:
    """Give the drawings of an operation."""
    yield from ()
