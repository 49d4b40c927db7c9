"""What comes before what, and that nothing is forgotten."""

from __future__ import annotations

from collections.abc import Iterator

from handwheel.models.features import Face, Flat, Hole, Slot, Spigot
from handwheel.models.job import base_of
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
    if after.on == "setup":
        same = earlier.operation.setup == operation.operation.setup
        return same and earlier.recipe.does in after.recipes
    if after.on == "mate":
        mate = plan.job.mate_of(operation.operation)
        measured = earlier.operation.mate is not None and plan.job.mate_of(earlier.operation) is mate
        return measured and earlier.recipe.does in after.recipes
    if feature is None or wanted is None:
        return False
    base = base_of(plan.job, wanted)
    from_ = getattr(base, "from_", None)
    if after.on == "face" and isinstance(feature, (Spigot, Flat)) and from_ == feature.id:
        return True  # a shoulder and a flat are faces, whatever operation makes them
    if earlier.recipe.does not in after.recipes:
        return False
    if after.on == "face":
        return from_ == feature.id or (isinstance(feature, Face) and from_ == feature.side)
    if base_of(plan.job, feature).id != base.id:
        return False
    if earlier.operation.leave is not None and feature.id != wanted.id:
        return False  # what stands of a feature waits until that is at its size
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
        made = any(one.recipe.does == "drill" for one in plan.by_feature.get(hole.id, ()))
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


@rule
def faces_come_first(plan: Plan) -> Iterator[Finding]:
    """A face is not cut again after holes, flats and slots were made from it: their depths would change."""
    worked: list[Hole | Flat | Slot] = []
    for operation in plan.operations:
        feature = operation.feature
        if isinstance(feature, Face):
            below = [one for one in worked if one.from_ in (feature.id, feature.side)]
            if below:
                yield at(
                    operation,
                    "face-after-holes",
                    "{face} is cut after {hole} was worked from it",
                    "depths and chamfers are taken from the finished face; cutting it changes them all",
                    "face first, or take the holes after it",
                    values={"face": feature.id, "hole": below[0].id},
                )
        elif feature is not None and isinstance(base := base_of(plan.job, feature), (Hole, Flat, Slot)):
            worked.append(base)


@rule
def nothing_is_done_twice(plan: Plan) -> Iterator[Finding]:
    """No operation of a kind is planned twice on a feature."""
    seen: dict[tuple[str, str, str, bool], int] = {}
    for operation in plan.operations:
        if operation.feature is None:
            continue
        leaves = operation.operation.leave is not None  # roughed with stock left on, then finished
        # a pilot and the drill after it are two tools: each of them goes through once
        tool = operation.operation.tool or "" if operation.recipe.does == "drill" else ""
        key = (operation.recipe.does, operation.feature.id, tool, leaves)
        first = seen.setdefault(key, operation.number)
        if first != operation.number:
            yield at(
                operation,
                "done-twice",
                "{feature} gets the same operation as in op {first}",
                "a copied operation that was never changed looks like this",
                "remove one of the two, or give it the feature it is for",
                "doubt",
                values={"feature": operation.feature.id, "first": str(first)},
            )


@rule
def a_setup_begins_and_ends(plan: Plan) -> Iterator[Finding]:
    """A setup on a mill begins with its zero, and the last one ends with the burrs off.

    On a lathe the axis is there, and faces and touches set the rest.
    """
    machined = [one for one in plan.operations if any(step.step.kind == "cut" for step in one.steps)]
    cutting = {one.number for one in machined if not _on_a_lathe(plan, one)}
    zeroed: set[str] = set()
    for operation in plan.operations:
        setup = operation.operation.setup
        if operation.recipe.does == "set-zero":
            zeroed.add(setup)
        elif operation.number in cutting and setup not in zeroed:
            zeroed.add(setup)  # said once
            yield at(
                operation,
                "no-zero",
                "setup {setup} cuts before its zero is set",
                "every place of the setup is taken from its zero",
                "put an operation with the recipe set-zero first",
                "doubt",
                key="setup",
                values={"setup": setup},
            )
    last = plan.operations[-1] if plan.operations else None
    if machined and last is not None and not _deburred_after(plan, machined[-1]):
        yield at(
            last,
            "never-deburred",
            "after the last cut nothing takes the burrs off",
            "burrs cut hands, and keep the part from seating",
            "end with an operation with the recipe deburr",
            "doubt",
        )


def _on_a_lathe(plan: Plan, operation: ResolvedOperation) -> bool:
    machine = plan.shop.machine(plan.job.setup(operation.operation.setup).machine)
    return machine is not None and machine.kind == "lathe"


def _deburred_after(plan: Plan, last_cut: ResolvedOperation) -> bool:
    """Tell whether burrs are taken off after the last cut; breaking edges is that, and its own last cut."""
    return any(one.recipe.does in _CLEANING and one.number >= last_cut.number for one in plan.operations)


_CLEANING = ("deburr", "break-edges")
