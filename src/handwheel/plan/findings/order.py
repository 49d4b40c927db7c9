"""What comes before what, and that nothing is forgotten."""

from __future__ import annotations

from collections.abc import Iterator

from handwheel.models.job import Hole, base_of
from handwheel.models.recipe import After
from handwheel.plan.binding import holds
from handwheel.plan.finding import Finding
from handwheel.plan.findings.rules import at, rule
from handwheel.plan.resolve import Plan, ResolvedOperation


@rule
def order(plan: Plan) -> Iterator[Finding]:
    """What a recipe says must come before it does."""
    for index, operation in enumerate(plan.operations):
        for after in operation.recipe.after:
            if operation.feature is None or not holds(after.when, operation.scope):
                continue
            before = plan.operations[:index]
            if not any(_prepares(plan, earlier, operation, after) for earlier in before):
                named = {"feature": operation.feature.id}
                yield at(
                    operation, after.code, after.what, after.why, after.cure, after.severity, values=named
                )


def _prepares(plan: Plan, earlier: ResolvedOperation, operation: ResolvedOperation, after: After) -> bool:
    """Tell whether an earlier operation is what `after` asks for."""
    feature, wanted = earlier.feature, operation.feature
    if feature is None or wanted is None or earlier.recipe.does not in after.recipes:
        return False
    base = base_of(plan.job, wanted)
    if after.on == "face":
        return isinstance(base, Hole) and feature.id == base.from_
    if base_of(plan.job, feature).id != base.id:
        return False
    return after.on == "any" or (after.on == "hole") == isinstance(feature, Hole)


@rule
def every_feature_is_worked(plan: Plan) -> Iterator[Finding]:
    """Every feature has an operation that makes it."""
    worked = {operation.operation.feature for operation in plan.operations}
    for feature in plan.job.features:
        if feature.id not in worked:
            yield Finding(
                "feature-without-operation",
                "doubt",
                f"no operation makes {feature.id}",
                "it is on the drawing, and the part would be finished without it",
                "add an operation for it, or remove the feature",
                keys=("features", feature.id),
                feature=feature.id,
            )
    for hole in plan.job.features:
        made = any(
            one.feature is not None and one.feature.id == hole.id and one.recipe.does == "drill"
            for one in plan.operations
        )
        if isinstance(hole, Hole) and hole.id in worked and not made:
            yield Finding(
                "hole-never-drilled",
                "stop",
                f"{hole.id} is worked at, and never drilled",
                "spots and chamfers alone make no hole",
                f"add an operation with the recipe drill on {hole.id}",
                keys=("features", hole.id),
                feature=hole.id,
            )
