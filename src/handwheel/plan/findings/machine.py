"""The machine turns slowly enough, is strong enough, and can turn back."""

from __future__ import annotations

from collections.abc import Iterator

from handwheel.plan.binding import holds
from handwheel.plan.finding import Finding
from handwheel.plan.findings.rules import at, number, rule, show
from handwheel.plan.resolve import Plan
from handwheel.values import SLACK


@rule
def speed_is_within_the_limit(plan: Plan) -> Iterator[Finding]:
    """The speed that is set is not above the one that rules."""
    for operation in plan.operations:
        set_to, ruling = number(operation, "set.spindle_speed"), number(operation, "allowed.spindle_speed")
        if set_to is None or ruling is None or set_to <= ruling + SLACK:
            continue
        own = operation.operation.settings is not None
        yield at(
            operation,
            "speed-above-limit" if own else "speed-out-of-range",
            "the spindle would turn {set}; the limit is {ruling} ({rules})",
            "a tool run too fast burns; a chuck or cutter run too fast can fly apart",
            "take a slower machine, another tool, or correct the setting",
            key="settings" if own else "setup",
            values=show(
                operation,
                set="set.spindle_speed",
                ruling="allowed.spindle_speed",
                rules="allowed.ruled_by",
            ),
        )


@rule
def spindle_is_strong_enough(plan: Plan) -> Iterator[Finding]:
    """The spindle has the torque for a worn tap, for the drill, for the cutter."""
    for operation in plan.operations:
        able = number(operation, "able.torque")
        tool = "the drill" if operation.recipe.does == "drill" else "the cutter"
        asking = (("twist.torque_worn", "a worn tap"), ("load.torque", tool), ("side_load.torque", tool))
        for name, what in asking:
            asked = number(operation, name)
            if able is not None and asked is not None and asked > able + SLACK:
                yield at(
                    operation,
                    "torque-beyond-spindle",
                    f"{what} asks for {{asked}}; the spindle gives {{able}} at this speed",
                    "the spindle stalls in the cut, and the tool breaks there",
                    "take a slower gear or a smaller tool; tap by hand, or drill a pilot hole first",
                    key="recipe",
                    values=show(operation, asked=name, able="able.torque"),
                )


@rule
def machine_can_reverse(plan: Plan) -> Iterator[Finding]:
    """Tapping under power needs a spindle that turns back."""
    for operation in plan.operations:
        if operation.recipe.does == "tap" and not holds(("machine.reverses",), operation.scope):
            yield at(
                operation,
                "spindle-does-not-reverse",
                "the tap has to be turned back, and this spindle does not reverse",
                "a tap that cannot be backed out breaks or strips the thread",
                "take the recipe tap-by-hand, or a machine that reverses",
                key="recipe",
            )


@rule
def set_speed_is_a_step(plan: Plan) -> Iterator[Finding]:
    """A speed set by the person is one that the machine has."""
    for operation in plan.operations:
        setting = operation.operation.settings
        steps = operation.scope.get("machine.spindle_speeds")
        if setting is None or steps is None or not isinstance(steps.plain, tuple):
            continue
        if all(abs(setting.spindle_speed.plain - step) > 1 for step in steps.plain):
            yield at(
                operation,
                "speed-not-a-step",
                "the machine has no step of {set}",
                "what is really set is another speed, and the feed no longer fits it",
                "take one of the steps of the machine",
                "doubt",
                key="settings",
                values=show(operation, set="set.spindle_speed"),
            )
