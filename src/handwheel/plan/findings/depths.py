"""Floors, depths and stock: what stays under a hole, and what is there to be cut."""

from __future__ import annotations

from collections.abc import Iterator

from handwheel.models.features import Face
from handwheel.plan.binding import find
from handwheel.plan.finding import Finding
from handwheel.plan.findings.rules import at, number, rule, show, typed_at
from handwheel.plan.resolve import Plan
from handwheel.values import SLACK


@rule
def floor_stays(plan: Plan) -> Iterator[Finding]:
    """Under a blind hole, a counterbore, a flat and a slot a floor stays."""
    for operation in plan.operations:
        floor, does = number(operation, "floor.floor"), operation.recipe.does
        if does not in _FLOORED or floor is None:
            continue
        names = {"deep": _FLOORED[does], "part": ("under.floor", "part.thickness")}
        found = {field: find(given, operation.scope) for field, given in names.items()}
        known = {field: value for field, value in found.items() if value is not None}
        values = {**known, **show(operation, floor="floor.floor")}
        file, keys = typed_at(operation, _SIZES_OF_DEPTH)
        if floor <= SLACK:
            drilled = does == "drill"
            yield at(
                operation,
                "no-floor",
                "the drill's point goes {deep} deep in {part}" if drilled else "it is {deep} deep in {part}",
                "a blind hole with its point, lead and clearance would come out below"
                if drilled
                else "nothing would stay under it",
                "make the thread shorter, take a bottoming tap, or make the hole through"
                if drilled
                else "look at the depth and at the thickness of the part again",
                keys=keys,
                file=file,
                values=values,
            )
        elif floor < _THIN_FLOOR:
            yield at(
                operation,
                "thin-floor",
                f"only {{floor}} stays under the {'hole' if does == 'drill' else does}",
                "a thin floor bulges or breaks through as the tool ends",
                "make it shallower, or the part thicker",
                "doubt",
                keys=keys,
                file=file,
                values=values,
            )


_THIN_FLOOR = 1.0
"""A floor thinner than this [mm] is doubted: common practice, no source."""


_FLOORED = {
    "drill": ("travel.tip_depth",),
    "counterbore": ("seat.depth", "feature.sink_depth"),
    "flat": ("feature.depth",),
    "slot": ("feature.depth",),
}
"""The operations that leave a floor, and how deep each goes."""

_SIZES_OF_DEPTH = ("feature.sink_depth", "feature.depth", "feature.thread_depth")


@rule
def hole_is_deep_enough(plan: Plan) -> Iterator[Finding]:
    """A hole whose depth stands on the drawing is deep enough for thread, lead and clearance."""
    for operation in plan.operations:
        depth = number(operation, "feature.depth")
        needed = number(operation, "blind.full_diameter_depth")
        if operation.recipe.does in ("drill", "tap", "tap-by-hand") and None not in (depth, needed):
            assert depth is not None and needed is not None  # just looked at
            if depth < needed - SLACK:
                file, keys = typed_at(operation, ("feature.depth",))
                yield at(
                    operation,
                    "hole-too-shallow",
                    "the hole is {depth} deep; thread, lead of the tap and clearance need {needed}",
                    "the tap bottoms before the thread is deep enough, and breaks",
                    "make the hole deeper, or take a tap with a shorter lead",
                    keys=keys,
                    file=file,
                    values=show(operation, depth="feature.depth", needed="blind.full_diameter_depth"),
                )


@rule
def stock_is_thick_enough(plan: Plan) -> Iterator[Finding]:
    """A face has stock on it to be cut."""
    for operation in plan.operations:
        stock = number(operation, "feature.start_thickness")
        goal = number(operation, "feature.thickness")
        if not isinstance(operation.feature, Face) or stock is None or goal is None:
            continue
        _, keys = typed_at(operation, ("feature.start_thickness",))
        if stock <= goal + SLACK:
            yield at(
                operation,
                "no-stock-to-face",
                "the stock is {stock}, the face is to be at {goal}",
                "it will not clean up: there is nothing to take off",
                "measure the stock again, or take a thicker piece",
                keys=keys,
                values=show(operation, stock="feature.start_thickness", goal="feature.thickness"),
            )
        elif stock > goal * _MUCH_STOCK and operation.recipe.does != "part-off":  # the rest of a bar stays
            yield at(
                operation,
                "much-stock-to-face",
                "the stock is {stock}, the face is to be at {goal}: most of it would be cut away",
                "one of the two sizes may be in inches, or have a digit too many",
                "measure the stock again, and look at the drawing",
                "doubt",
                keys=keys,
                values=show(operation, stock="feature.start_thickness", goal="feature.thickness"),
            )


_MUCH_STOCK = 2.0
"""Stock thicker than so many times its part is doubted: common practice, no source."""


@rule
def jaws_stay_below_the_face(plan: Plan) -> Iterator[Finding]:
    """The jaws hold less of the piece than stays under the finished face."""
    for operation in plan.operations:
        grip, goal = number(operation, "setup.grip_depth"), number(operation, "feature.thickness")
        if isinstance(operation.feature, Face) and grip is not None and goal is not None and grip >= goal:
            yield at(
                operation,
                "cutter-meets-jaws",
                "the jaws hold {grip} of the piece, the face is to be at {goal}",
                "the cutter runs into the jaws before the face is done",
                "grip less of the piece, or stand it higher on its parallels",
                keys=("setups", operation.operation.setup, "grip_depth"),
                values=show(operation, grip="setup.grip_depth", goal="feature.thickness"),
            )


@rule
def piece_fits_the_vice(plan: Plan) -> Iterator[Finding]:
    """The narrow side of a plate goes between the jaws."""
    stock = plan.job.stock
    for setup in plan.job.setups:
        holding = plan.shop.workholding(setup.workholding)
        if holding is None or holding.kind != "vice" or holding.opening is None or stock.width is None:
            continue
        narrow = min(stock.length, stock.width, key=lambda size: size.plain)
        if narrow.plain > holding.opening.plain + SLACK:
            first = next((one for one in plan.operations if one.operation.setup == setup.id), None)
            yield Finding(
                "piece-wider-than-vice",
                "stop",
                "the plate is {narrow} on its narrow side, the vice opens {opening}",
                "it cannot be held there",
                "take another workholding, or measure the stock again",
                keys=("setups", setup.id, "workholding"),
                operation=first.number if first else None,
                values={"narrow": narrow.text, "opening": holding.opening.text},
            )
