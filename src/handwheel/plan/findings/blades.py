"""The tool of the neighbour: not of its feature's size, reach or angle."""

from __future__ import annotations

from collections.abc import Iterator

from handwheel.models.features import Bore, Flat, Groove, Hole, Slot, Spigot
from handwheel.models.job import base_of
from handwheel.models.shop import Tool
from handwheel.plan.binding import find
from handwheel.plan.finding import Finding
from handwheel.plan.findings.part import (
    as_value,
    constant,
    cuts,
    ground_of,
    is_round,
    of_feature,
    of_stock,
    place_rows,
    places,
    run,
    sunk,
    total,
)
from handwheel.plan.findings.rules import at, number, rule, show
from handwheel.plan.resolve import Plan, ResolvedOperation
from handwheel.values import SLACK, Value


@rule
def blade_is_of_its_groove(plan: Plan) -> Iterator[Finding]:
    """A grooving blade is as wide as its groove, and reaches it."""
    for operation in plan.operations:
        groove, tool = operation.feature, plan.shop.tool(operation.operation.tool)
        if not isinstance(groove, Groove) or tool is None:
            continue
        own = of_feature(groove, "width")
        if tool.width is not None and abs(tool.width.plain - own.number) > _BLADE:
            wide = tool.width.plain > own.number
            yield at(
                operation,
                "blade-wider-than-groove" if wide else "blade-narrower-than-groove",
                "the blade is {blade} wide, {groove} {width}",
                "a groove once too wide stays too wide" if wide else "plunged once it comes out too narrow",
                "take the blade of its width, or look at the width of the groove",
                "stop" if wide else "doubt",
                key="tool",
                values={"blade": _of_tool(tool, "width"), "groove": groove.id, "width": own},
            )
        far = total((1, of_feature(groove, "position")), (1, own))
        out = tool.overhang or tool.reach
        if out is not None and out.plain < far.number - SLACK:
            yield at(
                operation,
                "blade-does-not-reach",
                "{groove} ends {far} from the face; the tool stands out {out}",
                "its holder strikes the face before the blade is there",
                "take a longer tool, or let it stand out further",
                key="tool",
                values={"groove": groove.id, "far": far, "out": _of_tool(tool, _out_key(tool))},
            )


_BLADE = 0.005
"""Blade and groove differ by no more than this [mm]: common practice, no source."""


def _of_tool(tool: Tool, key: str) -> Value:
    return as_value(getattr(tool, key), f"shop.toml tools.{tool.id}.{key}", "estimate")


def _out_key(tool: Tool) -> str:
    return "overhang" if tool.overhang is not None else "reach"


@rule
def mill_fits_its_pocket(plan: Plan) -> Iterator[Finding]:
    """An end mill goes into its slot or its flat, and is not lost in it."""
    for operation in plan.operations:
        feature, tool = operation.feature, number(operation, "tool.diameter")
        if not isinstance(feature, (Flat, Slot)) or tool is None or not cuts(operation):
            continue
        key = "width" if feature.width.plain <= feature.length.plain else "length"
        narrow = of_feature(feature, key)
        told = {"feature": feature.id, "narrow": narrow, **show(operation, tool="tool.diameter")}
        in_a_face = isinstance(feature, Slot) or feature.depth is not None
        if in_a_face and tool > narrow.number + SLACK:
            yield at(
                operation,
                "mill-wider-than-its-cut",
                "the mill is {tool}, {feature} only {narrow} across",
                "it cuts away what stands beside it",
                "take a smaller mill, or look at the size of the feature",
                key="tool",
                values=told,
            )
        elif tool * _LOST < narrow.number:
            yield at(
                operation,
                "mill-far-smaller-than-its-cut",
                "the mill is {tool}, {feature} {narrow} across",
                "so thin a mill bends and breaks: it may be the neighbour's",
                "take a larger mill, or look at the size of the feature",
                "doubt",
                key="tool",
                values=told,
            )


_LOST = 10.0
"""A mill so many times thinner than its cut is wide is doubted: common practice, no source."""


@rule
def centre_drill_is_a_centre_drill(plan: Plan) -> Iterator[Finding]:
    """A centre drill is of a usual size and angle, and smaller than the drill that follows."""
    for operation in plan.operations:
        tool = plan.shop.tool(operation.operation.tool)
        if operation.recipe.does != "centre-drill" or tool is None or tool.diameter is None:
            continue
        later = (
            plan.shop.tool(one.operation.tool)
            for one in plan.operations
            if one.operation.feature == operation.operation.feature and one.number > operation.number
        )
        drill = next((one for one in later if one is not None and one.kind == "drill"), None)
        larger = (
            drill is not None and drill.diameter is not None and tool.diameter.plain >= drill.diameter.plain
        )
        if larger or not _CENTRE[0] <= tool.diameter.plain <= _CENTRE[1]:
            yield at(
                operation,
                "centre-drill-of-an-odd-size",
                "the centre drill is {tool}",
                "the drill after it finds no cone to start in"
                if larger
                else "centre drills come from 0.5 mm to 10 mm",
                "take the centre drill that is meant, or measure it again",
                "stop" if larger else "doubt",
                key="tool",
                values=show(operation, tool="tool.diameter"),
            )


_CENTRE = (0.5, 10.0)
"""Diameters of centre drills [mm]: DIN 333, from memory."""


@rule
def points_have_usual_angles(plan: Plan) -> Iterator[Finding]:
    """The point of a drill, a centre drill, a spot drill, a countersink has an angle that such tools have."""
    for operation in plan.operations:
        tool = plan.shop.tool(operation.operation.tool)
        angle = tool.point_angle if tool is not None else None
        usual = _POINT_ANGLES.get(tool.kind if tool is not None else "")
        if tool is None or angle is None or usual is None:
            continue
        if not usual[0] <= angle.plain <= usual[1]:
            yield at(
                operation,
                "point-of-an-odd-angle",
                f"the point angle of the {tool.kind} is {{angle}}",
                "depths are reckoned with it; such tools have other angles",
                "look at the angle of the tool again",
                "doubt",
                keys=("tools", tool.id, "point_angle"),
                file="shop.toml",
                values={"angle": _of_tool(tool, "point_angle")},
            )


_POINT_ANGLES: dict[str, tuple[float, float]] = {
    "drill": (90.0, 150.0),
    "centre-drill": (59.0, 121.0),
    "spot-drill": (59.0, 146.0),
    "countersink": (59.0, 121.0),
}
"""Point angles that are sold [deg]: tool makers' lists, from memory."""


@rule
def noses_have_usual_radii(plan: Plan) -> Iterator[Finding]:
    """The nose of an insert is of a size that inserts have."""
    for operation in plan.operations:
        tool = plan.shop.tool(operation.operation.tool)
        if tool is None or tool.nose_radius is None or tool.material != "carbide-insert":
            continue
        if all(abs(tool.nose_radius.plain - one) > SLACK for one in _NOSES):
            yield at(
                operation,
                "nose-of-an-odd-radius",
                "the nose of the insert is {nose}",
                "inserts have noses of 0.2, 0.4, 0.8 mm and so on: the surface is reckoned with it",
                "look at the number on the box of the insert",
                "doubt",
                keys=("tools", tool.id, "nose_radius"),
                file="shop.toml",
                values={"nose": _of_tool(tool, "nose_radius")},
            )


_NOSES = (0.03, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.8, 1.0, 1.2, 1.6, 2.0, 2.4, 3.2, 4.0)
"""Corner radii of inserts [mm]: ISO 1832 and makers' lists, from memory."""


@rule
def smallest_bore_takes_its_bar(plan: Plan) -> Iterator[Finding]:
    """A tool goes into its bore, and the smallest bore that it goes into is larger than its bar."""
    for operation in plan.operations:
        tool = plan.shop.tool(operation.operation.tool)
        if tool is None or tool.smallest_bore is None:
            continue
        told: dict[str, Value | str] = {"least": _of_tool(tool, "smallest_bore")}
        if tool.bar_diameter is not None and tool.smallest_bore.plain < tool.bar_diameter.plain + SLACK:
            yield at(
                operation,
                "bar-thicker-than-its-bore",
                "the tool is to go into a bore of {least}, and its bar is {bar}",
                "a bar does not go into a bore as thick as itself",
                "measure the bar, and look at the maker's smallest bore",
                keys=("tools", tool.id, "smallest_bore"),
                file="shop.toml",
                values={**told, "bar": _of_tool(tool, "bar_diameter")},
            )
        base = base_of(plan.job, operation.feature) if operation.feature is not None else None
        if isinstance(base, Bore) and base.diameter.plain < tool.smallest_bore.plain - SLACK:
            yield at(
                operation,
                "tool-too-large-for-bore",
                "{bore} is {size}; the tool goes into {least} and larger",
                "its back rubs in the bore, and pushes it large",
                "take a thinner tool, or look at both sizes",
                key="tool",
                values={**told, "bore": base.id, "size": of_feature(base, "diameter")},
            )


# --- reach -----------------------------------------------------------------------------------------------


@rule
def drill_goes_through_the_round(plan: Plan) -> Iterator[Finding]:
    """A drill in the tailstock is long enough for the bore that it begins."""
    for operation in plan.operations:
        tool, bore = plan.shop.tool(operation.operation.tool), operation.feature
        if tool is None or tool.kind != "drill" or tool.reach is None or not isinstance(bore, Bore):
            continue
        deep = of_feature(bore, "depth") if bore.depth is not None else of_stock(plan.job, "length")
        if tool.reach.plain < deep.number - SLACK:
            yield at(
                operation,
                "drill-too-short",
                "{bore} is {deep} deep here; the drill reaches {reach}",
                "its flutes are buried before it is through, and it seizes",
                "take a longer drill",
                key="tool",
                values={"bore": bore.id, "deep": deep, "reach": _of_tool(tool, "reach")},
            )


@rule
def holder_clears_the_spigot(plan: Plan) -> Iterator[Finding]:
    """Beside a spigot a tool reaches down past it, so that its holder does not strike it."""
    if not is_round(plan.job):
        return
    for operation in plan.operations:
        feature, tool = operation.feature, plan.shop.tool(operation.operation.tool)
        if feature is None or tool is None or tool.reach is None or tool.kind == "hand-tap":
            continue
        base = base_of(plan.job, feature)
        spigot = _spigot_beside(plan, base)
        if spigot is None or not cuts(operation) or not isinstance(base, (Hole, Flat, Slot)):
            continue
        deep = _depth_of_cut(operation, base)
        down = total(*sunk(plan.job, base.from_), *((1, deep),) if deep is not None else ())
        if tool.reach.plain < down.number - SLACK and _is_near(plan, base, spigot):
            yield at(
                operation,
                "holder-meets-spigot",
                "beside {spigot} the tool goes {down} below its end; it reaches {reach}",
                "chuck or collet strikes the spigot before the tool is deep enough",
                "take a longer tool, or a slim holder",
                "doubt",
                key="tool",
                values={"spigot": spigot.id, "down": down, "reach": _of_tool(tool, "reach")},
            )


def _spigot_beside(plan: Plan, base: object) -> Spigot | None:
    """Give the spigot on whose shoulder something is made."""
    from_ = getattr(base, "from_", "")
    for _ in range(2):  # a hole on a flat on a shoulder
        ground = ground_of(plan.job, from_)
        if isinstance(ground, Spigot):
            return ground
        from_ = getattr(ground, "from_", "")
    return None


def _depth_of_cut(operation: ResolvedOperation, base: Hole | Flat | Slot) -> Value | None:
    deep = find(("travel.tip_depth",), operation.scope) if operation.recipe.does == "drill" else None
    if deep is not None and deep.plain is not None:
        return deep
    return of_feature(base, "depth") if base.depth is not None else None


def _is_near(plan: Plan, base: Hole | Flat | Slot, spigot: Spigot) -> bool:
    """Tell whether a holder beside what is made comes over the spigot."""
    at = places(plan, base) if isinstance(base, Hole) else place_rows(base, (base.at,) if base.at else ())
    out = run("reach_of_places", positions=at)
    clear = out and run(
        "edge_wall",
        edge_diameter=of_feature(spigot, "diameter"),
        circle_diameter=out["nearest"],
        hole_diameter=_HOLDER,
        edge="inside",
    )
    return clear is not None and clear["wall"].number < 0


_HOLDER = constant(40.0, "mm", "the width of a drill chuck or collet nut")
"""What holds a tool is about so wide [mm]."""


@rule
def tools_are_of_a_usual_length(plan: Plan) -> Iterator[Finding]:
    """A tool does not reach many times further than such tools do, nor less than it is thick."""
    for operation in plan.operations:
        tool = plan.shop.tool(operation.operation.tool)
        if tool is None or tool.reach is None or tool.diameter is None or tool.kind not in _LONGEST:
            continue
        long = tool.reach.plain > _LONGEST[tool.kind] * tool.diameter.plain
        if long or 2 * tool.reach.plain < tool.diameter.plain:
            yield at(
                operation,
                "tool-of-an-odd-length",
                "the tool is {diameter} thick and reaches {reach}",
                "a digit too many or too few looks like this: it bends, or its holder strikes",
                "measure how far the tool reaches",
                "doubt",
                keys=("tools", tool.id, "reach"),
                file="shop.toml",
                values={"diameter": _of_tool(tool, "diameter"), "reach": _of_tool(tool, "reach")},
            )


_LONGEST = {
    "drill": 20.0,
    "end-mill": 6.0,
    "tap": 12.0,
    "hand-tap": 12.0,
    "reamer": 25.0,
    "counterbore": 15.0,
}
"""How many times its diameter such a tool reaches at the most: makers' lists, from memory."""


@rule
def spot_is_not_far_wider(plan: Plan) -> Iterator[Finding]:
    """A spot drill is not many times as wide as the rim it cuts."""
    for operation in plan.operations:
        rim = find(("rim.diameter", "operation.cut_diameter", "guide.diameter"), operation.scope)
        tool = number(operation, "tool.diameter")
        known = rim is not None and rim.plain is not None and tool is not None
        if operation.recipe.does not in ("spot", "chamfer") or not known:
            continue
        assert rim is not None and tool is not None  # both are known
        if tool > _WIDE_CONE * rim.number:
            yield at(
                operation,
                "cone-far-wider-than-rim",
                "the tool is {tool}, what it cuts is {rim} wide",
                "its rim may strike what stands beside: it may be the neighbour's",
                "take a smaller tool, or measure it again",
                "doubt",
                key="tool",
                values={"rim": rim, **show(operation, tool="tool.diameter")},
            )


_WIDE_CONE = 5.0
"""A cone so many times as wide as its rim is doubted: common practice, no source."""


@rule
def tap_fits_its_own_size(plan: Plan) -> Iterator[Finding]:
    """The diameter written down with a tap is that of its thread."""
    for operation in plan.operations:
        tool = plan.shop.tool(operation.operation.tool)
        if (
            tool is None
            or tool.kind not in ("tap", "hand-tap")
            or tool.diameter is None
            or tool.thread is None
        ):
            continue
        cut = run("thread_dimensions", thread=_of_tool(tool, "thread"))
        own = cut["major_diameter"] if cut is not None else None
        if own is None or own.plain is None:
            continue
        if abs(tool.diameter.plain - own.number) > _TAP * own.number:
            yield at(
                operation,
                "tap-of-another-diameter",
                "the tap is {tool}, its thread {thread}",
                "one of the two numbers is of another tap",
                "measure the tap, and read what is written on its shank",
                keys=("tools", tool.id, "diameter"),
                file="shop.toml",
                values={"tool": _of_tool(tool, "diameter"), "thread": own},
            )


_TAP = 0.04
"""A tap is cut a little over its thread: by less than this share (common practice, no source)."""


@rule
def tip_is_that_of_a_countersink(plan: Plan) -> Iterator[Finding]:
    """The flat at the tip of a countersink is a usual share of its diameter."""
    for operation in plan.operations:
        tool = plan.shop.tool(operation.operation.tool)
        if tool is None or tool.kind != "countersink" or tool.tip_diameter is None or tool.diameter is None:
            continue
        tip = tool.tip_diameter.plain
        if tip > 0 and not _TIP[0] * tool.diameter.plain <= tip <= _TIP[1] * tool.diameter.plain:
            yield at(
                operation,
                "tip-of-an-odd-size",
                "the countersink is {diameter}, the flat at its tip {tip}",
                "how deep it goes is reckoned from that flat",
                "measure the tip",
                "doubt",
                keys=("tools", tool.id, "tip_diameter"),
                file="shop.toml",
                values={"diameter": _of_tool(tool, "diameter"), "tip": _of_tool(tool, "tip_diameter")},
            )


_TIP = (0.1, 0.4)
"""Tips of countersinks as shares of their diameter: DIN 335 has 0.15 to 0.24, from memory."""
