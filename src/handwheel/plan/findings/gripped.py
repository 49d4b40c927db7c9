"""What a piece is gripped on: the number with it is that surface's, and nothing cuts it meanwhile."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handwheel.models.features import AnyFeature, Bore, Outside, Spigot
from handwheel.models.job import Setup
from handwheel.plan.finding import Finding
from handwheel.plan.findings.holding import turned_setups
from handwheel.plan.findings.part import as_value, cuts, of_feature, of_setup
from handwheel.plan.findings.rules import at, rule
from handwheel.plan.resolve import Plan, ResolvedOperation
from handwheel.values import SLACK, Value


def _surface(plan: Plan, setup: Setup) -> AnyFeature | None:
    """Give the feature that `gripped_on` names by its id; None where it says it in words."""
    return next((one for one in plan.job.features if one.id == setup.gripped_on), None)


@rule
def grip_diameter_is_of_its_surface(plan: Plan) -> Iterator[Finding]:
    """The diameter that the jaws hold is that of the feature, or of the raw stock, that is named."""
    for setup, _, operation in turned_setups(plan):
        if setup.grip_diameter is None:
            continue
        held, surface = of_setup(setup, "grip_diameter"), _surface(plan, setup)
        raw = surface is None and re.search(r"\b(raw|sawn|stock)\b", setup.gripped_on) is not None
        if isinstance(surface, (Outside, Spigot, Bore)):
            yield from _unlike(setup, operation, held, surface.id, of_feature(surface, "diameter"))
        elif raw:
            size = _raw(plan, setup)
            if size is not None:
                yield from _unlike(setup, operation, held, "the stock", size)
        elif all(abs(held.number - size) > SLACK for size in _all_diameters(plan)):
            yield at(
                operation,
                "grip-diameter-of-nothing",
                "the jaws of setup {setup} hold {held}; nothing of the part or its stock has that diameter",
                "a number that was left from another job looks like this",
                "measure what the jaws hold, and name the feature that it is",
                "doubt",
                keys=("setups", setup.id, "grip_diameter"),
                values={"setup": setup.id, "held": held},
            )


def _unlike(
    setup: Setup, operation: ResolvedOperation, held: Value, named: str, size: Value
) -> Iterator[Finding]:
    if abs(held.number - size.number) > SLACK:
        yield at(
            operation,
            "grip-diameter-unlike-its-surface",
            "the jaws of setup {setup} hold {named}, which is {size}; written down with it is {held}",
            "one of the two is stale, in inches, or has its digits swapped; grip and speed rest on it",
            "measure what the jaws hold, and look at the drawing",
            keys=("setups", setup.id, "grip_diameter"),
            values={"setup": setup.id, "named": named, "size": size, "held": held},
        )


def _raw(plan: Plan, setup: Setup) -> Value | None:
    """Give the size of the raw stock that the jaws hold: its bore from inside, its outside otherwise."""
    stock = plan.job.stock
    name = "bore_diameter" if setup.jaws == "inside" else "width" if stock.form == "hexagon" else "diameter"
    size = getattr(stock, name)
    return as_value(size, f"job.toml stock.{name}", stock.basis) if size is not None else None


def _all_diameters(plan: Plan) -> Iterator[float]:
    stock = plan.job.stock
    raw = (stock.diameter, stock.bore_diameter, stock.width)
    made = (one.diameter for one in plan.job.features if isinstance(one, (Outside, Spigot, Bore)))
    yield from (size.plain for size in (*raw, *made) if size is not None)


@rule
def jaws_hold_from_the_right_side(plan: Plan) -> Iterator[Finding]:
    """Jaws hold an outside from outside and a bore from inside; other surfaces they cannot hold."""
    for setup, _, operation in turned_setups(plan):
        surface = _surface(plan, setup)
        if surface is None or setup.jaws is None:
            continue
        fits = isinstance(surface, Bore) if setup.jaws == "inside" else isinstance(surface, (Outside, Spigot))
        if not fits:
            yield at(
                operation,
                "gripped-from-the-wrong-side",
                "setup {setup} grips {surface} ({kind}) from {side}",
                "the jaws cannot hold it so, and the grip is reckoned the wrong way round with speed",
                "say whether the jaws hold from outside or from inside, or name another surface",
                keys=("setups", setup.id, "jaws"),
                values={
                    "setup": setup.id,
                    "surface": surface.id,
                    "kind": surface.kind,
                    "side": setup.jaws,
                },
            )


@rule
def gripped_surface_is_not_cut(plan: Plan) -> Iterator[Finding]:
    """Nothing cuts a surface while the jaws hold it."""
    for setup, operations, _ in turned_setups(plan):
        for operation in operations:
            if cuts(operation) and operation.operation.feature == setup.gripped_on:
                yield at(
                    operation,
                    "cuts-what-it-grips",
                    "setup {setup} grips {surface}, and this operation cuts it",
                    "the tool runs into the jaws",
                    "grip another surface, or cut it in another setup",
                    keys=("setups", setup.id, "gripped_on"),
                    values={"setup": setup.id, "surface": setup.gripped_on},
                )
