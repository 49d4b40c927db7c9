"""Whether a lathe without a readout can be set as finely as a tight size asks for."""

from __future__ import annotations

from collections.abc import Iterator

from handwheel.models.shop import Machine
from handwheel.plan.binding import holds
from handwheel.plan.finding import Finding
from handwheel.plan.findings.part import as_value, total
from handwheel.plan.findings.rules import at, rule, show
from handwheel.plan.resolve import Plan
from handwheel.values import SLACK, Value


@rule
def dial_is_fine_enough(plan: Plan) -> Iterator[Finding]:
    """One line of the dial, on diameter, is at the most half of what a reading can prove of a tight size."""
    for operation in plan.operations:
        machine = plan.shop.machine(plan.job.setup(operation.operation.setup).machine)
        tight = holds(("machine.is_lathe", "machine.by_dial", "feature.is_tight"), operation.scope)
        if machine is None or not tight or operation.recipe.does not in _TO_SIZE or operation.operation.leave:
            continue
        least, most = (operation.scope.get(f"accept.{end}_acceptance") for end in ("lower", "upper"))
        fine = machine.slide_indicator or machine.graduation
        if fine is None or least is None or most is None or None in (least.plain, most.plain):
            continue
        proven, by_radius = total((1, most), (-1, least)), machine.reads == "radius"
        if (2 if by_radius else 1) * fine.plain * _LINES > proven.number + SLACK:
            yield at(
                operation,
                "dial-too-coarse",
                "{feature} may be anywhere within {proven}; the slide of {machine} is set by lines of {line}"
                + (", which is twice that on diameter" if by_radius else ""),
                "a last cut that is set a line too far leaves the size: it has to be set between the lines",
                "set it by the top slide turned to a small angle, or by an indicator on the slide, "
                "slide_indicator of the machine",
                "doubt",
                key="feature",
                values={
                    "feature": operation.feature.id if operation.feature else "",
                    "proven": proven,
                    "line": _of_machine(
                        machine, "slide_indicator" if machine.slide_indicator else "graduation"
                    ),
                    **show(operation, machine="machine.title"),
                },
            )


_TO_SIZE = ("turn", "shoulder", "bore")
"""What brings a diameter to its size by the cross slide."""

_LINES = 2
"""So many lines have to go into what can be proven: common practice, no source."""


def _of_machine(machine: Machine, key: str) -> Value:
    return as_value(getattr(machine, key), f"shop.toml machines.{machine.id}.{key}", "estimate")


@rule
def indicator_is_one_for_a_slide(plan: Plan) -> Iterator[Finding]:
    """The indicator that a slide is set by has lines that such indicators have: told once a machine."""
    told: set[str] = set()
    for operation in plan.operations:
        machine = plan.shop.machine(plan.job.setup(operation.operation.setup).machine)
        line = machine.slide_indicator if machine is not None else None
        if machine is None or line is None or machine.id in told:
            continue
        if not _INDICATOR[0] - SLACK <= line.plain <= _INDICATOR[1] + SLACK:
            told.add(machine.id)
            yield at(
                operation,
                "indicator-of-an-odd-graduation",
                "the indicator on the slide of {machine} has lines of {line}",
                "last cuts are set by it: a digit too many or too few looks like this",
                "read it off the face of the indicator",
                "doubt",
                file="shop.toml",
                keys=("machines", machine.id, "slide_indicator"),
                values={
                    "line": _of_machine(machine, "slide_indicator"),
                    **show(operation, machine="machine.title"),
                },
            )


_INDICATOR = (0.001, 0.01)
"""Lines of dial and test indicators [mm]: makers' lists, from memory."""
