"""A reamer has something to cut and its size, a counterbore goes where its screw's head goes."""

from __future__ import annotations

from collections.abc import Iterator

from handwheel.plan.binding import find
from handwheel.plan.finding import Finding
from handwheel.plan.findings.rules import at, number, rule, show
from handwheel.plan.resolve import Plan, ResolvedOperation
from handwheel.values import SLACK, Value


@rule
def reamer_has_the_size(plan: Plan) -> Iterator[Finding]:
    """A reamer is within the limits of its hole."""
    for operation in plan.operations:
        if operation.recipe.does == "ream":
            yield from _within(
                operation,
                (_LOW, _HIGH),
                "the reamer is {tool}; the hole has to be from {low} to {high}",
                "a reamer makes its own size, and what is once too large stays too large",
                "take a reamer of the hole's zone, or correct the feature",
            )


_LOW = ("given.min_size", "zone.min_size", "general.min_size")
_HIGH = ("given.max_size", "zone.max_size", "general.max_size")


@rule
def reamer_has_something_to_cut(plan: Plan) -> Iterator[Finding]:
    """What the drill leaves to the reamer is neither too little nor too much."""
    for operation in plan.operations:
        left = number(operation, "operation.left_before")
        if operation.recipe.does != "ream" or left is None:
            continue
        if not _LEAST_LEFT - SLACK <= left <= _MOST_LEFT + SLACK:
            few = left < _LEAST_LEFT
            yield at(
                operation,
                "little-to-ream" if few else "much-to-ream",
                "{left} is left to the reamer on either side",
                "a reamer that has nothing to cut rubs and smears"
                if few
                else "a reamer is no drill: it chatters, wedges and cuts large",
                "let the drill leave about 0.1 mm on either side",
                "doubt",
                values=show(operation, left="operation.left_before"),
            )


_LEAST_LEFT, _MOST_LEFT = 0.04, 0.2
"""Stock for a reamer on either side [mm]: from 0.005 to 0.010 in on diameter (TM 1-420) up to 1/64 in, and
0.1 to 0.3 mm (GTZ)."""


@rule
def counterbore_has_the_size(plan: Plan) -> Iterator[Finding]:
    """A counterbore is as wide as its seat, and its pilot goes into the hole."""
    for operation in plan.operations:
        if operation.recipe.does != "counterbore":
            continue
        yield from _within(
            operation,
            (("general.min_size",), ("general.max_size",)),
            "the tool is {tool}; the counterbore has to be from {low} to {high} wide",
            "the seat gets the size of its tool: the head does not go in, or finds no hold",
            "take the tool for this seat, or correct the feature",
        )
        pilot, hole = number(operation, "tool.pilot_diameter"), number(operation, "feature.diameter")
        if pilot is not None and hole is not None and pilot >= hole - SLACK:
            yield at(
                operation,
                "pilot-larger-than-hole",
                "the pilot is {pilot}, the hole {hole}",
                "it does not go in, or seizes there",
                "take a smaller pilot",
                key="tool",
                values=show(operation, pilot="tool.pilot_diameter", hole="feature.diameter"),
            )


def _within(
    operation: ResolvedOperation,
    limits: tuple[tuple[str, ...], tuple[str, ...]],
    what: str,
    why: str,
    cure: str,
) -> Iterator[Finding]:
    """Hold the diameter of a tool against the limits of what it makes."""
    tool = number(operation, "tool.diameter")
    low, high = (find(names, operation.scope) for names in limits)
    if tool is None or not _known(low) or not _known(high):
        return
    assert low is not None and high is not None  # both are known
    if not low.number - SLACK <= tool <= high.number + SLACK:
        values = {"low": low, "high": high, **show(operation, tool="tool.diameter")}
        yield at(operation, "tool-of-another-size", what, why, cure, key="tool", values=values)


def _known(value: Value | None) -> bool:
    return value is not None and value.plain is not None
