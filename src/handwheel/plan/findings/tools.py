"""The tool has the size, the length and the thread of its feature."""

from __future__ import annotations

from collections.abc import Iterator

from handwheel.calc.designations import parse_thread
from handwheel.errors import InputError
from handwheel.models.features import Bore, Thread
from handwheel.models.job import base_of
from handwheel.plan.binding import find, holds
from handwheel.plan.finding import Finding
from handwheel.plan.findings.part import worked_by
from handwheel.plan.findings.rules import at, number, rule, show
from handwheel.plan.resolve import Plan, ResolvedOperation
from handwheel.values import SLACK, Value


@rule
def drill_has_the_size(plan: Plan) -> Iterator[Finding]:
    """A drill is as large as its hole, or as the stage of the hole that it makes."""
    for operation in plan.operations:
        size = find(_DRILLED, operation.scope)
        tool, hole = number(operation, "tool.diameter"), size.plain if size is not None else None
        kind = getattr(plan.shop.tool(operation.operation.tool), "kind", "")
        if size is None or tool is None or not isinstance(hole, (int, float)):
            continue
        if isinstance(operation.feature, Bore) and tool <= hole + SLACK:
            continue  # the hole that a boring starts in
        shown = {"hole": size, **show(operation, tool="tool.diameter")}
        if kind == "drill" and tool > hole + SLACK:
            yield at(
                operation,
                "tool-larger-than-hole",
                "the drill is {tool}, the hole {hole}",
                "a hole once too large stays too large",
                "take the drill of the hole's size, or correct the feature",
                key="tool",
                values=shown,
            )
        elif kind == "drill" and tool < hole - SLACK:
            yield at(
                operation,
                "tool-smaller-than-hole",
                "the drill is {tool}, the hole {hole}",
                "the hole comes out under its size: it may be the neighbour's drill",
                'say what this drill leaves to the tool after it, such as leave = "0.2 mm"'
                if _is_widened(plan, operation)
                else "take the drill of the hole's size, or correct the feature",
                key="tool",
                values=shown,
            )


def _is_widened(plan: Plan, operation: ResolvedOperation) -> bool:
    """Tell whether a reamer or a boring tool comes after a drill."""
    later = [
        one for one in worked_by(plan, operation.operation.feature or "") if one.number > operation.number
    ]
    return any(one.recipe.does in ("ream", "bore") for one in later)


_DRILLED = ("stage.size", "feature.diameter")
"""The size that a drill makes: that of the stage where something is left on, else that of the hole."""


@rule
def cone_reaches_its_rim(plan: Plan) -> Iterator[Finding]:
    """A spot drill or countersink is wider than what it cuts, has its angle, and a tip that goes in."""
    for operation in plan.operations:
        tool = number(operation, "tool.diameter")
        sinks = operation.recipe.does == "countersink"
        rim = find(_SUNK if sinks else _RIMS, operation.scope)
        if operation.recipe.does not in ("spot", "chamfer", "countersink") or tool is None or rim is None:
            continue
        shown = {"rim": rim, **show(operation, tool="tool.diameter", tip="tool.tip_diameter")}
        if holds(("tool.on_axis",), operation.scope) and rim.plain is not None and tool < rim.number - SLACK:
            yield at(
                operation,
                "tool-smaller-than-rim",
                "the tool is {tool}, what it is to cut is {rim} wide",
                "its edge ends before the rim",
                "take a larger tool",
                key="tool",
                values=shown,
            )
        yield from _angle(operation)
        tip, hole = number(operation, "tool.tip_diameter"), number(operation, "feature.diameter")
        sinks = operation.recipe.does != "spot" and tip is not None and hole is not None
        if sinks and tip is not None and hole is not None and tip >= hole - SLACK:
            yield at(
                operation,
                "tip-wider-than-hole",
                "the tip of the tool is {tip}, the hole {hole}",
                "its cone cannot touch the edge of the hole",
                "take a tool with a smaller tip",
                key="tool",
                values={**shown, **show(operation, hole="feature.diameter")},
            )


_RIMS = ("rim.diameter", "operation.cut_diameter", "guide.diameter")
_SUNK = ("screw_head.major_diameter", "feature.sink_diameter")
_ANGLES = ("screw_head.included_angle", "feature.included_angle")


def _angle(operation: ResolvedOperation) -> Iterator[Finding]:
    """Hold the angle of a chamfer or a countersink against that of its tool."""
    angle, tool = find(_ANGLES, operation.scope), number(operation, "tool.point_angle")
    cone = holds(("feature.is_chamfer",), operation.scope) or operation.recipe.does == "countersink"
    if not cone or angle is None or angle.plain is None or tool is None:
        return
    if abs(angle.number - tool) > _ANGLE_SLACK:
        yield at(
            operation,
            "tool-of-another-angle",
            "the cone on the drawing is {wanted}, the tool {tool}",
            "the part gets the angle of the tool, and depths are reckoned for it",
            "take a tool of that angle, or correct the feature",
            key="tool",
            values={"wanted": angle, **show(operation, tool="tool.point_angle")},
        )


_ANGLE_SLACK = 0.5
"""Degrees that a countersink may be off its name: common practice, no source."""


@rule
def tool_reaches(plan: Plan) -> Iterator[Finding]:
    """A tool is long enough for how deep it goes."""
    for operation in plan.operations:
        reach = number(operation, "tool.reach")
        own = "blind.tap_tip_depth" if isinstance(operation.feature, Thread) else "travel.tip_depth"
        deep = number(operation, own)
        if isinstance(operation.feature, Thread) and deep is None:
            own = "under.floor" if number(operation, "under.floor") is not None else "part.thickness"
            deep = number(operation, own)
        if operation.recipe.does in _INTO_THE_METAL:
            own = next((name for name in _DEPTHS if number(operation, name) is not None), own)
            deep = number(operation, own)
        drills = operation.recipe.does in ("drill", "tap", "tap-by-hand", *_INTO_THE_METAL)
        if drills and reach is not None and deep is not None and deep > reach + SLACK:
            yield at(
                operation,
                "tool-too-short",
                "the tool goes {deep} deep and reaches {reach}",
                "its flutes would be buried, or the holder would strike the piece",
                "take a longer tool, or look at the depth again",
                key="tool",
                values=show(operation, deep=own, reach="tool.reach"),
            )


_INTO_THE_METAL = ("ream", "counterbore", "slot")
_DEPTHS = ("way.depth", "seat.depth", "feature.sink_depth", "feature.depth")
"""How deep such a tool goes: the first of these that is on file."""


@rule
def tap_is_the_threads_own(plan: Plan) -> Iterator[Finding]:
    """The tap cuts the thread of the feature, and the hole suits it."""
    for operation in plan.operations:
        thread, tap = operation.scope.get("feature.thread"), operation.scope.get("tap.thread")
        if isinstance(operation.feature, Thread) and _other_thread(thread, tap):
            yield at(
                operation,
                "tap-of-another-thread",
                "the tap cuts {tap}, the feature is {thread}",
                "it would be another thread, and the hole is lost",
                "take the tap of the thread, or correct the feature",
                key="tool",
                values=show(operation, tap="tap.thread", thread="feature.thread"),
            )
        if isinstance(operation.feature, Thread) and (tap is None or tap.plain is None):
            yield at(
                operation,
                "tap-without-thread",
                "what thread the tap cuts is not on file",
                "nobody can tell whether it is the tap of this thread",
                'write it down with the tool in the shop file: thread = "M8"',
                key="tool",
            )
        low, high = (number(operation, f"thread.internal_minor_{end}") for end in ("min", "max"))
        hole = number(operation, "feature.diameter")
        if isinstance(operation.feature, Thread) and None not in (low, high, hole):
            yield from _hole_for_thread(operation, plan)


def _other_thread(thread: Value | None, tap: Value | None) -> bool:
    if thread is None or tap is None or thread.plain is None or tap.plain is None:
        return False
    try:
        one, other = parse_thread(str(thread.plain)), parse_thread(str(tap.plain))
    except InputError:
        return False
    return (one.nominal_diameter, one.pitch) != (other.nominal_diameter, other.pitch)


def _hole_for_thread(operation: ResolvedOperation, plan: Plan) -> Iterator[Finding]:
    low, high = (number(operation, f"thread.internal_minor_{end}") for end in ("min", "max"))
    hole = number(operation, "feature.diameter")
    assert low is not None and high is not None and hole is not None  # held by the caller
    if not low - SLACK <= hole <= high + SLACK and operation.feature is not None:
        base = base_of(plan.job, operation.feature)
        yield at(
            operation,
            "hole-does-not-suit-thread",
            "the hole is {hole}; for {thread} it has to be from {low} to {high}",
            "too small breaks the tap, too large leaves too little thread",
            "look at the diameter of the hole again: tap_drill gives the drill",
            keys=("features", base.id, "diameter"),
            values=show(
                operation,
                hole="feature.diameter",
                thread="feature.thread",
                low="thread.internal_minor_min",
                high="thread.internal_minor_max",
            ),
        )
