"""What is named exists, fits together, and can be computed."""

from __future__ import annotations

from collections.abc import Iterator

from handwheel.errors import nearest
from handwheel.plan.binding import references, used_by
from handwheel.plan.finding import Finding
from handwheel.plan.findings.rules import at, place, rule, show
from handwheel.plan.resolve import Plan, ResolvedOperation
from handwheel.values import Missing


@rule
def names_are_known(plan: Plan) -> Iterator[Finding]:
    """Recipe, machine, workholding and tool of an operation are on file."""
    shop = plan.shop
    for operation in plan.operations:
        setup = plan.job.setup(operation.operation.setup)
        named = (
            ("recipe", operation.operation.recipe, list(plan.library), ("recipe",)),
            ("machine", setup.machine, [one.id for one in shop.machines], ("setups", setup.id, "machine")),
            (
                "workholding",
                setup.workholding,
                [one.id for one in shop.workholdings],
                ("setups", setup.id, "workholding"),
            ),
            ("tool", operation.operation.tool, [one.id for one in shop.tools], ("tool",)),
        )
        for what, name, known, keys in named:
            if name is not None and name not in known:
                yield at(
                    operation,
                    f"unknown-{what}",
                    f'there is no {what} "{name}"',
                    "its sizes and limits are not on file, so nothing can be computed for it",
                    f"write it into the shop or recipe file, or name another{nearest(name, known)}",
                    keys=keys if len(keys) > 1 else None,
                    key=keys[-1],
                    final=what == "recipe",
                )


@rule
def recipe_fits(plan: Plan) -> Iterator[Finding]:
    """The recipe is one for this kind of feature, machine and tool."""
    for operation in plan.operations:
        recipe = operation.recipe
        if operation.operation.recipe not in plan.library:
            continue
        kind = (
            operation.feature.kind if operation.feature else "mate" if operation.operation.mate else "setup"
        )
        machine = plan.shop.machine(plan.job.setup(operation.operation.setup).machine)
        tool = plan.shop.tool(operation.operation.tool)
        if recipe.belongs != "operation":
            yield _unfit(operation, "recipe", "a list of its own, not an operation", recipe.id)
        elif kind not in recipe.features:
            yield _unfit(operation, "feature", f"for {_listed(recipe.features)}", f"a {kind}")
        if machine and recipe.machines and machine.kind not in recipe.machines:
            yield _unfit(operation, "recipe", f"for {_listed(recipe.machines)}", f"a {machine.kind}")
        if recipe.tools and (tool is None or tool.kind not in recipe.tools):
            named = f"a {tool.kind}" if tool else "no tool"
            if tool or operation.operation.tool is None:
                yield _unfit(operation, "tool", f"for {_listed(recipe.tools)}", named)


def _unfit(operation: ResolvedOperation, key: str, meant: str, given: str) -> Finding:
    return at(
        operation,
        "recipe-does-not-fit",
        f"{operation.recipe.title} is {meant}; here it is given {given}",
        "its steps and numbers would be of another cut",
        "take the recipe for it, or correct the feature, tool or machine of the operation",
        key=key,
    )


def _listed(kinds: tuple[str, ...]) -> str:
    return " or ".join(kinds)


@rule
def can_be_computed(plan: Plan) -> Iterator[Finding]:
    """No calculation of an operation refuses its inputs."""
    for operation in plan.operations:
        if operation.problem and operation.operation.recipe in plan.library:
            yield at(
                operation,
                "cannot-be-computed",
                "{problem}",
                "the numbers of this operation cannot be worked out from what is on file",
                "correct the size, tool or material that is named",
                values={"problem": operation.problem},
                final=True,
            )


@rule
def nothing_is_missing(plan: Plan) -> Iterator[Finding]:
    """Nothing that a value of the operation rests on is missing on file."""
    for operation in plan.operations:
        missing = {
            leaf.origin.where: leaf.origin for leaf in operation.leaves if isinstance(leaf.origin, Missing)
        }
        for where, origin in sorted(missing.items()):
            file, keys = place(where)
            yield at(
                operation,
                "not-on-file",
                f"not on file: {origin.ask}",
                "numbers of this operation rest on it, and none is made up",
                f"find it out and write it down: {where}",
                keys=keys,
                file=file,
            )


@rule
def leave_has_an_effect(plan: Plan) -> Iterator[Finding]:
    """What is to be left on is left by the recipe, or said not to be."""
    for operation in plan.operations:
        parts = used_by(operation.recipe, plan.library)
        computes = (compute for part in parts for compute in part.compute)
        given = (references(one) for compute in computes for one in compute.in_.values())
        used = {name for names in given for name in names}
        if operation.operation.leave is not None and "operation.leave" not in used:
            yield at(
                operation,
                "leave-without-effect",
                "{leave} is to be left on, and this recipe leaves nothing",
                "the cut would go to the finished size",
                "remove leave, or make the size of the feature the one to reach now",
                key="leave",
                values=show(operation, leave="operation.leave"),
            )
