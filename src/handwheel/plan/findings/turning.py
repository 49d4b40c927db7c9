"""Tools of a lathe: a bar is stiff, goes in and reaches; a blade is short; the motor is strong enough."""

from __future__ import annotations

from collections.abc import Iterator

from handwheel.models.features import Bore, Groove, Outside, Spigot
from handwheel.models.shop import Tool
from handwheel.plan.binding import find, holds
from handwheel.plan.finding import Finding
from handwheel.plan.findings.part import of_feature, part_length, run, total
from handwheel.plan.findings.rules import at, number, rule, show
from handwheel.plan.resolve import Plan, ResolvedOperation
from handwheel.values import SLACK, Value

_BARS = ("boring-bar", "internal-grooving-tool")


def _with_bars(plan: Plan) -> Iterator[tuple[ResolvedOperation, Tool]]:
    """Give the operations whose tool is a bar that goes into a bore."""
    for operation in plan.operations:
        tool = plan.shop.tool(operation.operation.tool)
        if tool is not None and tool.kind in _BARS:
            yield operation, tool


@rule
def bar_is_on_file(plan: Plan) -> Iterator[Finding]:
    """How thick a bar is, and how far it stands out, is on file: asked once a tool."""
    asked: set[str] = set()
    for operation, tool in _with_bars(plan):
        open_ = [name for name in ("bar_diameter", "overhang") if getattr(tool, name) is None]
        if open_ and tool.id not in asked:
            asked.add(tool.id)
            yield at(
                operation,
                "bar-not-on-file",
                "of {tool} it is not on file: {open}",
                "whether it chatters, goes into the bore and reaches its end is not reckoned",
                "measure the bar as it is clamped, and write it with the tool",
                "doubt",
                file="shop.toml",
                keys=("tools", tool.id),
                values={**show(operation, tool="tool.title"), "open": ", ".join(open_).replace("_", " ")},
            )


@rule
def bar_is_stiff_enough(plan: Plan) -> Iterator[Finding]:
    """A bar stands out no further than its diameter lets it: where far beyond, that is no matter of speed."""
    for operation, tool in _with_bars(plan):
        given = {name: operation.scope.get(f"tool.{name}") for name in _SLENDER}
        if any(value is None or value.plain is None for value in given.values()):
            continue
        shown = {_SLENDER[name]: value for name, value in given.items() if value is not None}
        found = run("overhang_ratio", **shown)
        if found is None or found["ratio"].number <= found["limit"].number + SLACK:
            continue
        far = found["ratio"].number > _FAR * found["limit"].number
        yield at(
            operation,
            "bar-too-long",
            "the bar stands out {ratio} times its diameter; the usual limit is {limit}",
            "it springs away from the cut and chatters: {advice}",
            "take it deeper into its holder, or take a thicker bar or one of carbide",
            "stop" if far else "doubt",
            file="shop.toml",
            keys=("tools", tool.id, "overhang"),
            values=dict(found),
        )


_SLENDER = {"overhang": "overhang", "bar_diameter": "diameter", "bar_support": "support"}
"""The facts of a bar, and the inputs of `overhang_ratio` that they are."""

_FAR = 1.5
"""A bar beyond so many times its limit is of no use: steel at 6, where its makers end at 5 (tool maker's
course page, read); the factor is common practice, no source."""


@rule
def bar_goes_into_the_bore(plan: Plan) -> Iterator[Finding]:
    """A bar is thinner than the hole that it starts in, with room for its edge."""
    for operation, tool in _with_bars(plan):
        hole = operation.scope.get(_hole(operation))
        own = ("tool.smallest_bore", "tool.bar_diameter")
        needs = find(own, operation.scope)
        named = tool.smallest_bore is not None
        told = named and isinstance(operation.feature, Groove)  # by the rules of blades
        if told or hole is None or hole.plain is None or needs is None or needs.plain is None:
            continue
        tight = needs.number > hole.number + SLACK if named else needs.number >= hole.number - SLACK
        if tight:
            yield at(
                operation,
                "bar-too-big-for-the-hole",
                "the hole is {hole} as the bar goes in; the tool needs {needs}",
                "the bar or its heel rubs at the wall before the edge cuts, or does not go in at all",
                "drill a larger pilot hole, or take a thinner bar",
                key="tool",
                values={"hole": hole, "needs": needs},
            )


def _hole(operation: ResolvedOperation) -> str:
    """Name what a bar goes into: for a groove the finished bore, else what the cut starts from."""
    return "feature.diameter" if isinstance(operation.feature, Groove) else "feature.start_diameter"


@rule
def bar_stands_out_as_far_as_it_reaches(plan: Plan) -> Iterator[Finding]:
    """A bar reaches no deeper than it stands out of its holder."""
    asked: set[str] = set()
    for operation, tool in _with_bars(plan):
        if tool.reach is None or tool.overhang is None or tool.id in asked:
            continue
        asked.add(tool.id)
        if tool.reach.plain > tool.overhang.plain + SLACK:
            yield at(
                operation,
                "reach-beyond-overhang",
                "{tool} is to reach {reach} deep, and stands out {out}",
                "one of the two numbers is stale, or is of another tool",
                "measure the bar as it is clamped",
                "doubt",
                file="shop.toml",
                keys=("tools", tool.id, "reach"),
                values=show(operation, tool="tool.title", reach="tool.reach", out="tool.overhang"),
            )


@rule
def bar_reaches(plan: Plan) -> Iterator[Finding]:
    """A bar reaches the end of its bore before the holder meets the piece."""
    for operation, _ in _with_bars(plan):
        deep = _depth_to_reach(plan, operation)
        reach = find(("tool.reach", "tool.overhang"), operation.scope)
        if deep is None or deep.plain is None or reach is None or reach.plain is None:
            continue
        if deep.number > reach.number + SLACK:
            yield at(
                operation,
                "bar-too-short",
                "the bore goes {deep} deep; the bar reaches {reach}",
                "the holder strikes the piece before the bar is at the end",
                "clamp the bar further out, as far as its thickness lets it, or take a longer one",
                key="tool",
                values={"deep": deep, "reach": reach},
            )


def _depth_to_reach(plan: Plan, operation: ResolvedOperation) -> Value | None:
    """Give how deep a bar goes: to the floor of a bore, or through it the whole part."""
    feature = operation.feature
    if not isinstance(feature, Bore):
        return None
    if feature.through:
        return part_length(plan.job) or operation.scope.get("stock.length")
    return operation.scope.get("feature.depth")


# --- blades --------------------------------------------------------------------------------------------


@rule
def blade_parts_safely(plan: Plan) -> Iterator[Finding]:
    """A parting blade reaches the middle, stands out no further than it must, and no centre is behind it."""
    for operation in plan.operations:
        tool = plan.shop.tool(operation.operation.tool)
        if tool is None or tool.kind != "parting-tool":
            continue
        if plan.job.setup(operation.operation.setup).support == "centre":
            yield at(
                operation,
                "parting-on-a-centre",
                "the piece is to be parted off while the centre holds its end",
                "as the blade comes through, both halves jam it and it breaks",
                "take the centre away before the blade goes in, and grip short",
                keys=("setups", operation.operation.setup, "support"),
            )
        yield from _blade(plan, operation, tool)


def _blade(plan: Plan, operation: ResolvedOperation, tool: Tool) -> Iterator[Finding]:
    """Hold the blade against what it parts, against its own width, and against the jaws."""
    out, wide = number(operation, "tool.overhang"), number(operation, "tool.width")
    thick, hollow = _thickness(plan, operation)
    shown = show(operation, out="tool.overhang", width="tool.width")
    if out is not None and thick is not None and 2 * out < thick.number - hollow - SLACK:
        yield at(
            operation,
            "blade-too-short",
            "the blade stands out {out}; what it is to part is {thick} thick",
            "its holder strikes the piece before it is through",
            "set the blade further out, or saw the piece off",
            key="tool",
            values={**shown, "thick": thick},
        )
    if out is not None and wide is not None and out > _LONG_BLADE * wide + SLACK:
        yield at(
            operation,
            "blade-too-long",
            "the blade is {width} wide and stands out {out}",
            "a long thin blade bends sideways, catches and breaks",
            "set it no further out than half the thickness and a little, or take a wider blade",
            "stop" if out > 2 * _LONG_BLADE * wide else "doubt",
            file="shop.toml",
            keys=("tools", tool.id, "overhang"),
            values=shown,
        )
    yield from _at_the_jaws(operation)


def _thickness(plan: Plan, operation: ResolvedOperation) -> tuple[Value | None, float]:
    """Give how thick the piece still is where it was turned, and what was bored out of it [mm]."""
    before = [one.feature for one in plan.operations if one.number < operation.number]
    turned = [of_feature(one, "diameter") for one in before if isinstance(one, (Outside, Spigot))]
    stock = operation.scope.get("operation.turned_diameter")
    whole = [stock] if stock is not None and stock.plain is not None else []
    bored = [one.diameter.plain for one in before if isinstance(one, Bore)]
    hollow = max([number(operation, "stock.bore_diameter") or 0.0, *bored])
    return min([*turned, *whole], key=lambda size: size.number, default=None), hollow


def _at_the_jaws(operation: ResolvedOperation) -> Iterator[Finding]:
    """A blade parts outside the jaws: the length of the part and its own width stand out of them."""
    scope = operation.scope
    long, wide, out = (scope.get(name) for name in ("feature.thickness", "tool.width", "setup.stick_out"))
    if not all(value is not None and value.plain is not None for value in (long, wide, out)):
        return
    assert long is not None and wide is not None and out is not None  # all are known
    far = total((1, long), (1, wide))
    if far.number > out.number + SLACK:
        yield at(
            operation,
            "blade-meets-jaws",
            "part and blade take {far} from the end; the piece stands out {out}",
            "the blade runs into the jaws",
            "let the piece stand out further, or look at the length again",
            keys=("setups", operation.operation.setup, "stick_out"),
            values={"far": far, "out": out},
        )


_LONG_BLADE = 10.0
"""A parting blade stands out at most so many times its width: common practice, no source."""


# --- the motor -----------------------------------------------------------------------------------------


@rule
def motor_is_strong_enough(plan: Plan) -> Iterator[Finding]:
    """The deepest cut of a lathe tool, at the speed that is set, is within the power of the motor."""
    for operation in plan.operations:
        load, able = _load(operation), _able(operation)
        if load is not None and able is not None and load.number > able.number + SLACK:
            yield at(
                operation,
                "power-beyond-machine",
                "the cut takes {asked} at the spindle; {machine} gives {able} at this speed",
                "the spindle slows or stalls in the cut, and the edge breaks",
                "take less depth a cut, less feed, or a slower speed with its larger torque",
                "doubt",
                key="recipe",
                values={"asked": load, "able": able, **show(operation, machine="machine.title")},
            )


def _load(operation: ResolvedOperation) -> Value | None:
    """Give the net power [kW] of the deepest cut, per side, at the cutting speed that the set speed makes."""
    scope = operation.scope
    cut, speed = scope.get("cut.net_power"), scope.get("real.cutting_speed")
    if cut is None or cut.plain is None or speed is None or speed.plain is None:
        return None
    call = getattr(cut.origin, "call", None)
    if call is None:
        return None
    depth: Value = call.inputs["depth_of_cut"]
    rough = scope.get("cuts.passes")
    if rough is not None and isinstance(rough.plain, tuple) and rough.plain:
        deepest = max(one.depth for one in rough.plain)
        depth = Value(min(depth.number, deepest), "mm", rough.origin) if deepest > 0 else depth
    found = run("turning_load", **{**call.inputs, "cutting_speed": speed, "depth_of_cut": depth})
    return found["net_power"] if found else None


def _able(operation: ResolvedOperation) -> Value | None:
    """Give the power [kW] that the spindle has at the speed that is set; None where it is not on file."""
    scope = operation.scope
    given = {
        "rated_power": scope.get("machine.rated_power"),
        "base_speed": scope.get("machine.base_speed"),
        "max_speed": scope.get("machine.highest_speed"),
        "spindle_speed": scope.get("set.spindle_speed"),
    }
    inputs = {name: value for name, value in given.items() if value is not None and value.plain is not None}
    if not holds(("machine.is_lathe",), scope) or len(inputs) < len(given):
        return None
    found = run("spindle_capacity", **inputs)
    return found["power"] if found else None
