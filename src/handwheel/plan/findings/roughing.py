"""Roughing: before any finishing of the same piece, and with no more force than a hand has."""

from __future__ import annotations

from collections.abc import Iterator

from handwheel.models.features import Bore, Outside, Spigot
from handwheel.plan.binding import find
from handwheel.plan.finding import Finding
from handwheel.plan.findings.part import ONLY_BEGINNING, constant, cuts, run, worked_by
from handwheel.plan.findings.rules import at, number, rule, show
from handwheel.plan.resolve import Plan, ResolvedOperation
from handwheel.values import SLACK, Value

_ROUND = (Outside, Spigot, Bore)
_HEAVY = 2.0
"""Metal of so much a side [mm] is roughed: common practice, no source."""

_BY_HAND = 3000.0
"""More thrust than this [N] is hard work at the handwheel of a tailstock: common practice, no source."""


@rule
def what_is_roughed_is_roughed_first(plan: Plan) -> Iterator[Finding]:
    """No round of fine limits is brought to its size while heavy cuts on the same piece are still to come."""
    for operation in plan.operations:
        if not _finishes_a_fine_round(operation):
            continue
        later = [
            one for one in plan.operations if one.number > operation.number and _is_beside(one, operation)
        ]
        heavy = ((one, off) for one in later if (off := _taken_off(one)) is not None and off.number >= _HEAVY)
        for roughing, off in heavy:
            assert operation.feature is not None and roughing.feature is not None  # both were looked at
            yield at(
                operation,
                "finished-before-roughed",
                "{fine} is brought to its limits before {rough} is roughed in op {later}, {off} a side",
                "heavy cuts let stresses go, warm the piece and shift it: {fine} will not stay as read",
                "rough both with leave, then finish both",
                "doubt",
                values={
                    "fine": operation.feature.id,
                    "rough": roughing.feature.id,
                    "later": str(roughing.number),
                    "off": off,
                },
            )
            break


def _finishes_a_fine_round(operation: ResolvedOperation) -> bool:
    feature = operation.feature
    if not isinstance(feature, _ROUND) or not cuts(operation) or operation.recipe.does in ONLY_BEGINNING:
        return False
    fine = feature.toleranced or feature.mate is not None
    return fine and operation.operation.leave is None


def _is_beside(other: ResolvedOperation, operation: ResolvedOperation) -> bool:
    """Tell whether another operation cuts another round of the piece, held as it is."""
    return (
        isinstance(other.feature, _ROUND)
        and other.feature is not operation.feature
        and other.operation.setup == operation.operation.setup
        and cuts(other)
    )


def _taken_off(operation: ResolvedOperation) -> Value | None:
    """Give how much an operation takes off a side [mm]; None where that is not known."""
    begun = find(("begun.size", "feature.start_diameter"), operation.scope)
    aim = operation.scope.get("own.aim")
    if begun is None or begun.plain is None or aim is None or aim.plain is None:
        return None
    off = run("floor_between", thickness=max(begun, aim, key=_plain), depth_a=min(begun, aim, key=_plain))
    if off is None:
        return None
    half = run("centre_of_two", first=constant(0, "mm", "the wall itself", "geometry"), second=off["floor"])
    return half["centre"] if half is not None else None


def _plain(value: Value) -> float:
    return value.number


@rule
def no_hand_pushes_too_hard(plan: Plan) -> Iterator[Finding]:
    """A large drill in the tailstock goes into a pilot hole: its chisel edge needs most of the thrust."""
    for operation in plan.operations:
        thrust = number(operation, "load.thrust")
        if operation.recipe.id != "drill-tailstock" or thrust is None or thrust <= _BY_HAND:
            continue
        if plan.job.stock.bore_diameter is not None or _has_pilot(plan, operation):
            continue
        yield at(
            operation,
            "much-thrust-by-hand",
            "{tool} into solid metal asks for a thrust of about {thrust}",
            "that is hard to push at the handwheel, and the drill grabs when it breaks through",
            "drill a pilot first, as wide as the chisel edge of this drill is long or a little more",
            "doubt",
            key="tool",
            values=show(operation, tool="tool.diameter", thrust="load.thrust"),
        )


def _has_pilot(plan: Plan, operation: ResolvedOperation) -> bool:
    """Tell whether a smaller drill went into the same bore before."""
    own = number(operation, "tool.diameter") or 0.0
    bore = operation.feature.id if operation.feature else ""
    earlier = [one for one in worked_by(plan, bore) if one.number < operation.number]
    drilled = [number(one, "tool.diameter") for one in earlier if one.recipe.does == "drill"]
    return any(size is not None and size < own - SLACK for size in drilled)
