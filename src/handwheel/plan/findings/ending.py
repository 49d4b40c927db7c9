"""What a job says and does not do: a surface trued, the whole looked at, each edge broken, tools measured."""

from __future__ import annotations

from collections.abc import Iterator

from handwheel.models.features import Edge, Face, Toleranced
from handwheel.plan.binding import holds
from handwheel.plan.finding import Finding
from handwheel.plan.findings.part import CLEANING, at_feature, cuts
from handwheel.plan.findings.rules import at, rule, show
from handwheel.plan.resolve import Plan, ResolvedOperation


@rule
def inspected_when_all_is_done(plan: Plan) -> Iterator[Finding]:
    """The last inspection comes after the last cut and the last burr; a part with limits has one."""
    inspections = [one for one in plan.operations if one.recipe.does == "inspect"]
    if inspections:
        last = inspections[-1]
        later = [one for one in plan.operations if one.number > last.number and _changes(one)]
        if later:
            yield at(
                last,
                "inspected-too-soon",
                "the part is inspected here, and op {later} works on it after that",
                "burrs give false readings, and what comes after is not looked at by anybody",
                "put the inspection last",
                "doubt",
                values={"later": str(later[0].number)},
            )
    elif plan.operations and any(isinstance(one, Toleranced) and one.toleranced for one in plan.job.features):
        yield at(
            plan.operations[-1],
            "never-inspected",
            "no operation inspects the finished part",
            "sizes with limits are read as they are cut; whether the whole is there is looked at by nobody",
            "end with an operation with the recipe inspect",
            "note",
        )


def _changes(operation: ResolvedOperation) -> bool:
    return cuts(operation) or operation.recipe.does in CLEANING


@rule
def first_setup_is_trued_as_it_says(plan: Plan) -> Iterator[Finding]:
    """Where the first setup on a lathe says what it is trued on, an operation does that."""
    first = plan.operations[0] if plan.operations else None
    if first is None or not holds(("machine.is_lathe", "setup.is_trued"), first.scope):
        return
    own = [one for one in plan.operations if one.operation.setup == first.operation.setup]
    if not any(one.recipe.does == "true-up" for one in own):
        yield at(
            first,
            "trued-by-nobody",
            "setup {setup} is said to be trued on {surface}, and no operation trues it up",
            "a piece put in as it comes runs out, and may be thrown where it sits askew in the jaws",
            "put an operation with the recipe true-up first, or remove trued_on",
            "doubt",
            keys=("setups", first.operation.setup, "trued_on"),
            values={"setup": first.operation.setup, **show(first, surface="setup.trued_on")},
        )


@rule
def each_edge_is_broken_once(plan: Plan) -> Iterator[Finding]:
    """Two edges of one cylinder on one side are one edge: that of another feature stays sharp."""
    seen: dict[tuple[str, str], str] = {}
    for edge in plan.job.features:
        if not isinstance(edge, Edge) or isinstance(plan.job.feature(edge.of), Face):
            continue  # a face has an edge outside and one round each bore
        other = seen.setdefault((edge.of, edge.side), edge.id)
        if other != edge.id:
            yield at_feature(
                plan,
                edge,
                "same-edge-twice",
                "{edge} and {other} are both the edge of {of} on the same side",
                "it would be broken twice, and the edge that was meant stays sharp",
                "look at what the edge is of, or at its side",
                "doubt",
                key="of",
                values={"edge": edge.id, "other": other, "of": edge.of},
            )


@rule
def reach_is_on_file(plan: Plan) -> Iterator[Finding]:
    """How far a tool reaches is on file: told once a tool where it is not."""
    told: set[str] = set()
    for operation in plan.operations:
        tool = plan.shop.tool(operation.operation.tool)
        if tool is None or tool.kind not in _REACHING or tool.reach is not None or tool.id in told:
            continue
        told.add(tool.id)
        yield at(
            operation,
            "reach-not-on-file",
            "how far {tool} reaches is not on file",
            "whether it is long enough, and whether its holder strikes the piece, is not looked at",
            "measure how far it stands out of what holds it, and write reach with the tool",
            "note",
            file="shop.toml",
            keys=("tools", tool.id),
            values=show(operation, tool="tool.title"),
        )


_REACHING = ("drill", "end-mill", "reamer", "counterbore", "tap", "hand-tap")
"""Tools that are held against how deep they go."""
