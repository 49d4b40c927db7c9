"""The chuck and the spindle it sits on: its speed limit, constant surface speed, and turning backward."""

from __future__ import annotations

from collections.abc import Iterator

from handwheel.plan.binding import holds
from handwheel.plan.finding import Finding
from handwheel.plan.findings.holding import turned_setups
from handwheel.plan.findings.rules import at, number, rule, show
from handwheel.plan.resolve import Plan, ResolvedOperation
from handwheel.values import SLACK, Value


@rule
def chuck_has_a_limit(plan: Plan) -> Iterator[Finding]:
    """The maker's highest speed of each chuck that turns is on file: asked once, at its first cut (HF-16)."""
    for id, operation in _first_cuts(plan):
        holding = plan.shop.workholding(id)
        if holding is not None and holding.highest_speed is None:
            yield at(
                operation,
                "chuck-limit-unknown",
                "how fast {chuck} may turn at the most is not on file",
                "a chuck run beyond its maker's limit lets go of the piece or flies apart; none is assumed",
                "read the speed that is marked on the chuck and write it into the shop file, "
                'such as highest_speed = "2500 1/min"',
                file="shop.toml",
                keys=("workholdings", id, "highest_speed"),
                values=show(operation, chuck="workholding.title"),
            )


def _first_cuts(plan: Plan) -> Iterator[tuple[str, ResolvedOperation]]:
    """Give each holding that turns with a spindle, and its first operation with a tool, or its first."""
    found: dict[str, ResolvedOperation] = {}
    for setup, _, first in turned_setups(plan):
        known = found.setdefault(setup.workholding, first)
        if known.operation.tool is None and first.operation.tool is not None:
            found[setup.workholding] = first
    yield from found.items()


@rule
def chuck_stays_below_its_limit(plan: Plan) -> Iterator[Finding]:
    """No speed that is set, and no highest one, is above the maker's limit of the chuck."""
    for operation in plan.operations:
        limit = number(operation, "workholding.highest_speed")
        if limit is None or not holds(("machine.is_lathe",), operation.scope):
            continue
        fastest = max(_speeds(operation), key=lambda speed: speed.number, default=None)
        if fastest is None or fastest.number <= limit + SLACK:
            continue
        own = operation.operation.settings is not None
        yield at(
            operation,
            "chuck-beyond-its-limit",
            "the chuck would turn {fastest}; its maker's limit is {limit}",
            "the jaws let go as the speed rises, and the chuck can fly apart",
            "set a lower speed"
            if own
            else "take a lower range of the machine, or a chuck that is made for this speed",
            key="settings" if own else "setup",
            values={"fastest": fastest, **show(operation, limit="workholding.highest_speed")},
        )


def _speeds(operation: ResolvedOperation) -> Iterator[Value]:
    """Give every spindle speed that an operation sets: in its steps, or as the person set it."""
    set_to = operation.scope.get("set.spindle_speed")
    speeds = [step.big for step in operation.steps if step.step.kind == "setting"]
    for speed in (*speeds, set_to):
        if speed is not None and speed.unit == "1/min" and speed.plain is not None:
            yield speed


@rule
def following_spindle_has_a_limit(plan: Plan) -> Iterator[Finding]:
    """A spindle that follows the diameter has a limit set, and one of the chuck to set it by."""
    asked: set[str] = set()
    for operation in plan.operations:
        setup = plan.job.setup(operation.operation.setup)
        if not holds(("machine.is_lathe", "machine.follows_diameter", "tool.on_slide"), operation.scope):
            continue
        unknown = number(operation, "workholding.highest_speed") is None
        if unknown and setup.workholding not in asked:
            asked.add(setup.workholding)
            yield at(
                operation,
                "surface-speed-without-limit",
                "{machine} keeps the cutting speed, and {chuck} has no limit on file",
                "towards the middle the spindle speeds up as far as it is let: the chuck goes with it",
                "write the maker's highest_speed of the chuck into the shop file; the machine is set to it",
                file="shop.toml",
                keys=("workholdings", setup.workholding, "highest_speed"),
                values=show(operation, machine="machine.title", chuck="workholding.title"),
            )
        elif not unknown and operation.steps and not any(_speeds_of_steps(operation)):
            yield at(
                operation,
                "surface-speed-without-limit",
                "{machine} keeps the cutting speed, and no step sets a highest spindle speed",
                "towards the middle the spindle speeds up as far as it is let: the chuck goes with it",
                "take a recipe that sets the highest spindle speed, or add that setting to your own",
                key="recipe",
                values=show(operation, machine="machine.title"),
            )


def _speeds_of_steps(operation: ResolvedOperation) -> Iterator[bool]:
    for step in operation.steps:
        speed = step.big
        yield step.step.kind == "setting" and speed is not None and speed.unit == "1/min"


@rule
def screwed_chuck_turns_forward(plan: Plan) -> Iterator[Finding]:
    """Where the chuck is screwed on, the spindle is never turned backward under power (HF-41)."""
    for operation in plan.operations:
        if _turns_back(operation) and holds(("machine.screwed_nose",), operation.scope):
            yield at(
                operation,
                "screwed-chuck-in-reverse",
                "DANGER: the spindle of {machine} is to turn backward, and its nose is screwed",
                "the chuck unscrews as it turns, and comes off with the piece",
                "turn forward: set the tool upside down or on the other side; cut a thread by hand",
                key=_key(operation),
                values=show(operation, machine="machine.title"),
            )


def _turns_back(operation: ResolvedOperation) -> bool:
    """Tell whether the spindle turns backward in an operation: tapping under power backs out."""
    return holds(("operation.turns_backward",), operation.scope) or operation.recipe.does == "tap"


def _key(operation: ResolvedOperation) -> str:
    return "spindle" if operation.operation.spindle == "reverse" else "recipe"


@rule
def nose_is_on_file(plan: Plan) -> Iterator[Finding]:
    """How chucks sit on the spindle of a lathe is on file: asked once, and before it turns backward."""
    doubted: set[str] = set()
    for operation in plan.operations:
        machine = plan.shop.machine(plan.job.setup(operation.operation.setup).machine)
        if machine is None or machine.kind != "lathe" or machine.nose is not None:
            continue
        back = _turns_back(operation)
        if not back and machine.id in doubted:
            continue
        doubted.add(machine.id)
        yield at(
            operation,
            "nose-not-on-file",
            "the spindle of {machine} is to turn backward, and how its chucks sit on it is not on file"
            if back
            else "how chucks sit on the spindle of {machine} is not on file",
            "a chuck that is screwed on comes off when the spindle turns backward or is braked hard",
            'write it into the shop file: nose = "screwed", "flange" or "taper"',
            "stop" if back else "doubt",
            file="shop.toml",
            keys=("machines", machine.id, "nose"),
            values=show(operation, machine="machine.title"),
        )


@rule
def spindle_turns_backward(plan: Plan) -> Iterator[Finding]:
    """An operation that turns backward has a machine that does."""
    for operation in plan.operations:
        backward = holds(("operation.turns_backward",), operation.scope)
        if backward and not holds(("machine.reverses",), operation.scope):
            yield at(
                operation,
                "spindle-turns-one-way",
                "the spindle is to turn backward, and {machine} does not",
                "the tool would rub with its back, or stand the wrong way round",
                "turn forward, or take a machine that reverses",
                key="spindle",
                values=show(operation, machine="machine.title"),
            )
