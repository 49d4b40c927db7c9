"""What is asked of a tool while the spindle turns backward: its edges are ground for one way round."""

from __future__ import annotations

from collections.abc import Iterator

from handwheel.models.shop import Tool
from handwheel.plan.binding import holds
from handwheel.plan.finding import Finding
from handwheel.plan.findings.rules import at, rule, show
from handwheel.plan.resolve import Plan, ResolvedOperation


def _backward(plan: Plan) -> Iterator[tuple[ResolvedOperation, Tool]]:
    """Give the operations with a tool for which the job asks that the spindle turn backward."""
    for operation in plan.operations:
        tool = plan.shop.tool(operation.operation.tool)
        if tool is not None and operation.operation.spindle == "reverse":
            yield operation, tool


@rule
def ground_tools_turn_forward(plan: Plan) -> Iterator[Finding]:
    """A drill, a reamer, a sinking tool cuts one way round only; the other way it rubs and breaks."""
    for operation, tool in _backward(plan):
        if tool.kind in _ONE_WAY:
            yield at(
                operation,
                "tool-turned-backward",
                "{tool} is a {kind}, and the spindle is to turn backward",
                "its edges stand the wrong way: it rubs, heats and breaks, and a reamer is blunt at once",
                'turn forward: spindle = "forward", or leave it out',
                key="spindle",
                values={"kind": tool.kind, **show(operation, tool="tool.title")},
            )


_ONE_WAY = frozenset(
    {"drill", "centre-drill", "spot-drill", "reamer", "countersink", "counterbore", "end-mill", "face-mill"}
)
"""Tools that are sold for one way round, unless made to order: common practice, no source."""


@rule
def hand_of_the_tool_suits(plan: Plan) -> Iterator[Finding]:
    """On a lathe that turns backward the tool is of the other hand, upside down or behind the axis."""
    for operation, tool in _backward(plan):
        if tool.kind not in _ONE_WAY and holds(("tool.on_slide",), operation.scope):
            yield at(
                operation,
                "hand-of-the-tool-unknown",
                "the spindle is to turn backward; of what hand {tool} is, and how it stands, is not on file",
                "an edge that looks up in front of the axis rubs with its back, and is torn out",
                "turn forward, or see that its edge meets the metal, and that the thrust holds the chuck on",
                "doubt",
                key="spindle",
                values=show(operation, tool="tool.title"),
            )
