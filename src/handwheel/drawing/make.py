"""Which drawings an operation has: the section of its feature, and where its places are."""

from __future__ import annotations

from collections.abc import Collection

from handwheel.drawing.holes import hole_section
from handwheel.drawing.known import Known
from handwheel.drawing.milled import face_section, flat_section, slot_section
from handwheel.drawing.pattern import pattern
from handwheel.drawing.shapes import Drawing
from handwheel.drawing.turned import turned_section
from handwheel.models.features import Bore, Edge, Face, Flat, Groove, Hole, Outside, Slot, Spigot
from handwheel.plan.resolve import Plan, ResolvedOperation

__all__ = ["drawings", "section"]


def drawings(
    plan: Plan, operation: ResolvedOperation, position: int = 0, done: Collection[int] = ()
) -> tuple[Drawing, ...]:
    """Give the drawings of an operation, those with nothing to draw and nothing to say left out.

    `position` is the place that is live, from 1 (0: none), `done` the places already made.
    """
    known = Known(plan, operation)
    found = (_section(known), pattern(known, position, done) if known.base is not None else None)
    return tuple(one for one in found if one is not None and (not one.empty or one.unknown))


def section(plan: Plan, operation: ResolvedOperation) -> Drawing | None:
    """Give the section of an operation's feature; None for an operation without one."""
    return _section(Known(plan, operation))


def _section(known: Known) -> Drawing | None:
    base = known.base
    if isinstance(known.feature, (Groove, Edge)) or isinstance(base, (Bore, Outside, Spigot)):
        plate = isinstance(base, Face) and known.job.stock.form == "plate"
        return face_section(known) if plate else turned_section(known)
    if isinstance(base, Face):
        return face_section(known) if known.job.stock.form == "plate" else turned_section(known)
    if isinstance(base, Hole):
        return hole_section(known)
    if isinstance(base, Flat):
        return flat_section(known)
    if isinstance(base, Slot):
        return slot_section(known)
    return None
