"""The plan check: one rule a function, each looks at the resolved job and yields what will go wrong.

Rules compare; what has to be computed for them is a result of the catalogue already, or they run it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from handwheel.calc import CATALOGUE
from handwheel.calc.designations import parse_thread
from handwheel.calc.walls import HoleRow
from handwheel.errors import InputError, nearest
from handwheel.models.job import Chamfer, Face, Hole, Thread, base_of
from handwheel.models.recipe import After
from handwheel.plan.binding import bind, find, holds
from handwheel.plan.facts import facts
from handwheel.plan.finding import Finding, Severity
from handwheel.plan.resolve import Plan, ResolvedOperation
from handwheel.values import Entered, Listed, Missing, Value, leaves

__all__ = ["RULES", "check"]

Rule = Callable[[Plan], Iterator[Finding]]

RULES: list[Rule] = []
"""Every rule, in the order in which findings are told."""

_SLACK = 1e-6
_ORDER = {"stop": 0, "doubt": 1, "note": 2}


def rule(function: Rule) -> Rule:
    """Register a rule."""
    RULES.append(function)
    return function


def check(plan: Plan) -> tuple[Finding, ...]:
    """Give all findings: stops first, then doubts and notes, each in the order of the operations."""
    found = [finding for one in RULES for finding in one(plan)]
    return tuple(sorted(found, key=lambda one: (_ORDER[one.severity], one.operation or 0)))


# --- what is named has to exist, and to fit together -----------------------------------------------


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
                yield _at(
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
        kind = operation.feature.kind if operation.feature else "setup"
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
    return _at(
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
            yield _at(
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
            leaf.origin.where: leaf.origin
            for value in operation.values.values()
            for leaf in leaves(value)
            if isinstance(leaf.origin, Missing)
        }
        for where, origin in sorted(missing.items()):
            file, keys = _place(where)
            yield _at(
                operation,
                "not-on-file",
                f"not on file: {origin.ask}",
                "numbers of this operation rest on it, and none is made up",
                f"find it out and write it down: {where}",
                keys=keys,
                file=file,
            )


# --- order ------------------------------------------------------------------------------------------


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
                yield _at(
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


# --- tools --------------------------------------------------------------------------------------------


@rule
def drill_has_the_size(plan: Plan) -> Iterator[Finding]:
    """A drill is as large as its hole; a countersink reaches the rim of its chamfer."""
    for operation in plan.operations:
        tool, hole = _number(operation, "tool.diameter"), _number(operation, "feature.diameter")
        kind = getattr(plan.shop.tool(operation.operation.tool), "kind", "")
        if tool is None or hole is None:
            continue
        shown = _show(operation, tool="tool.diameter", hole="feature.diameter")
        if kind == "drill" and tool > hole + _SLACK:
            yield _at(
                operation,
                "tool-larger-than-hole",
                "the drill is {tool}, the hole {hole}",
                "a hole once too large stays too large",
                "take the drill of the hole's size, or correct the feature",
                key="tool",
                values=shown,
            )
        elif kind == "drill" and tool < hole - _SLACK:
            yield _at(
                operation,
                "tool-smaller-than-hole",
                "the drill is {tool}, the hole {hole}",
                "the hole comes out under its size: it may be the neighbour's drill",
                "take the drill of the hole's size, or correct the feature",
                key="tool",
                values=shown,
            )
        rim = find(("feature.chamfer_diameter", "rim.diameter"), operation.scope)
        on_axis = holds(("tool.on_axis", "feature.is_chamfer"), operation.scope)
        if on_axis and rim is not None and rim.plain is not None and tool < rim.number - _SLACK:
            yield _at(
                operation,
                "tool-smaller-than-chamfer",
                "the countersink is {tool}, the chamfer {rim}",
                "its edge ends before the rim of the chamfer",
                "take a larger countersink",
                key="tool",
                values={**shown, "rim": rim},
            )


@rule
def tool_reaches(plan: Plan) -> Iterator[Finding]:
    """A tool is long enough for how deep it goes."""
    for operation in plan.operations:
        reach = _number(operation, "tool.reach")
        own = "blind.tap_tip_depth" if isinstance(operation.feature, Thread) else "travel.tip_depth"
        deep = _number(operation, own)
        if isinstance(operation.feature, Thread) and deep is None:
            own, deep = "part.thickness", _number(operation, "part.thickness")
        drills = operation.recipe.does in ("drill", "tap", "tap-by-hand")
        if drills and reach is not None and deep is not None and deep > reach + _SLACK:
            yield _at(
                operation,
                "tool-too-short",
                "the tool goes {deep} deep and reaches {reach}",
                "its flutes would be buried, or the holder would strike the piece",
                "take a longer tool, or look at the depth again",
                key="tool",
                values=_show(operation, deep=own, reach="tool.reach"),
            )


@rule
def tap_is_the_threads_own(plan: Plan) -> Iterator[Finding]:
    """The tap cuts the thread of the feature, and the hole suits it."""
    for operation in plan.operations:
        thread, tap = operation.scope.get("feature.thread"), operation.scope.get("tap.thread")
        if isinstance(operation.feature, Thread) and _other_thread(thread, tap):
            yield _at(
                operation,
                "tap-of-another-thread",
                "the tap cuts {tap}, the feature is {thread}",
                "it would be another thread, and the hole is lost",
                "take the tap of the thread, or correct the feature",
                key="tool",
                values=_show(operation, tap="tap.thread", thread="feature.thread"),
            )
        low, high = (_number(operation, f"thread.internal_minor_{end}") for end in ("min", "max"))
        hole = _number(operation, "feature.diameter")
        if isinstance(operation.feature, Thread) and None not in (low, high, hole):
            yield from _hole_for_thread(operation, plan)


def _other_thread(thread: Value | None, tap: Value | None) -> bool:
    if thread is None or tap is None or thread.plain is None or tap.plain is None:
        return False
    try:
        one, other = parse_thread(str(thread.plain)), parse_thread(str(tap.plain))
    except InputError:
        return False
    return (one.nominal_diameter, one.pitch) != (other.nominal_diameter, other.pitch)


def _hole_for_thread(operation: ResolvedOperation, plan: Plan) -> Iterator[Finding]:
    low, high = (_number(operation, f"thread.internal_minor_{end}") for end in ("min", "max"))
    hole = _number(operation, "feature.diameter")
    assert low is not None and high is not None and hole is not None  # held by the caller
    if not low - _SLACK <= hole <= high + _SLACK and operation.feature is not None:
        base = base_of(plan.job, operation.feature)
        yield _at(
            operation,
            "hole-does-not-suit-thread",
            "the hole is {hole}; for {thread} it has to be from {low} to {high}",
            "too small breaks the tap, too large leaves too little thread",
            "look at the diameter of the hole again: tap_drill gives the drill",
            keys=("features", base.id, "diameter"),
            values=_show(
                operation,
                hole="feature.diameter",
                thread="feature.thread",
                low="thread.internal_minor_min",
                high="thread.internal_minor_max",
            ),
        )


# --- depths -------------------------------------------------------------------------------------------


@rule
def floor_stays(plan: Plan) -> Iterator[Finding]:
    """Under a blind hole a floor stays."""
    for operation in plan.operations:
        floor = _number(operation, "floor.floor")
        if operation.recipe.does != "drill" or floor is None:
            continue
        values = _show(operation, floor="floor.floor", deep="travel.tip_depth", part="part.thickness")
        file, keys = _typed_at(operation, ("feature.depth", "feature.thread_depth"))
        if floor <= _SLACK:
            yield _at(
                operation,
                "no-floor",
                "the drill's point goes {deep} deep in {part}",
                "a blind hole with its point, lead and clearance would come out below",
                "make the thread shorter, take a bottoming tap, or make the hole through",
                keys=keys,
                file=file,
                values=values,
            )
        elif floor < _THIN_FLOOR:
            yield _at(
                operation,
                "thin-floor",
                "only {floor} stays under the hole",
                "a thin floor bulges or breaks through as the drill ends",
                "make the thread or the hole shorter",
                "doubt",
                keys=keys,
                file=file,
                values=values,
            )


_THIN_FLOOR = 1.0
"""A floor thinner than this [mm] is doubted: common practice, no source."""


@rule
def hole_is_deep_enough(plan: Plan) -> Iterator[Finding]:
    """A hole whose depth stands on the drawing is deep enough for thread, lead and clearance."""
    for operation in plan.operations:
        depth = _number(operation, "feature.depth")
        needed = _number(operation, "blind.full_diameter_depth")
        if operation.recipe.does in ("drill", "tap", "tap-by-hand") and None not in (depth, needed):
            assert depth is not None and needed is not None  # just looked at
            if depth < needed - _SLACK:
                file, keys = _typed_at(operation, ("feature.depth",))
                yield _at(
                    operation,
                    "hole-too-shallow",
                    "the hole is {depth} deep; thread, lead of the tap and clearance need {needed}",
                    "the tap bottoms before the thread is deep enough, and breaks",
                    "make the hole deeper, or take a tap with a shorter lead",
                    keys=keys,
                    file=file,
                    values=_show(operation, depth="feature.depth", needed="blind.full_diameter_depth"),
                )


@rule
def stock_is_thick_enough(plan: Plan) -> Iterator[Finding]:
    """A face has stock on it to be cut."""
    for operation in plan.operations:
        stock = _number(operation, "stock.thickness")
        goal = _number(operation, "feature.thickness")
        if not isinstance(operation.feature, Face) or stock is None or goal is None:
            continue
        if stock <= goal + _SLACK:
            yield _at(
                operation,
                "no-stock-to-face",
                "the stock is {stock}, the face is to be at {goal}",
                "it will not clean up: there is nothing to take off",
                "measure the stock again, or take a thicker piece",
                keys=("stock", "thickness"),
                values=_show(operation, stock="stock.thickness", goal="feature.thickness"),
            )
        elif stock > goal * _MUCH_STOCK:
            yield _at(
                operation,
                "much-stock-to-face",
                "the stock is {stock}, the face is to be at {goal}: most of it would be cut away",
                "one of the two sizes may be in inches, or have a digit too many",
                "measure the stock again, and look at the drawing",
                "doubt",
                keys=("stock", "thickness"),
                values=_show(operation, stock="stock.thickness", goal="feature.thickness"),
            )


_MUCH_STOCK = 2.0
"""Stock thicker than so many times its part is doubted: common practice, no source."""


@rule
def jaws_stay_below_the_face(plan: Plan) -> Iterator[Finding]:
    """The jaws hold less of the piece than stays under the finished face."""
    for operation in plan.operations:
        grip, goal = _number(operation, "setup.grip_depth"), _number(operation, "feature.thickness")
        if isinstance(operation.feature, Face) and grip is not None and goal is not None and grip >= goal:
            yield _at(
                operation,
                "cutter-meets-jaws",
                "the jaws hold {grip} of the piece, the face is to be at {goal}",
                "the cutter runs into the jaws before the face is done",
                "grip less of the piece, or stand it higher on its parallels",
                keys=("setups", operation.operation.setup, "grip_depth"),
                values=_show(operation, grip="setup.grip_depth", goal="feature.thickness"),
            )


@rule
def piece_fits_the_vice(plan: Plan) -> Iterator[Finding]:
    """The narrow side of a plate goes between the jaws."""
    stock = plan.job.stock
    for setup in plan.job.setups:
        holding = plan.shop.workholding(setup.workholding)
        if holding is None or holding.kind != "vice" or holding.opening is None or stock.width is None:
            continue
        narrow = min(stock.length, stock.width, key=lambda size: size.plain)
        if narrow.plain > holding.opening.plain + _SLACK:
            yield Finding(
                "piece-wider-than-vice",
                "stop",
                "the plate is {narrow} on its narrow side, the vice opens {opening}",
                "it cannot be held there",
                "take another workholding, or measure the stock again",
                keys=("setups", setup.id, "workholding"),
                values={"narrow": narrow.text, "opening": holding.opening.text},
            )


# --- speed, torque, machine ------------------------------------------------------------------------------


@rule
def speed_is_within_the_limit(plan: Plan) -> Iterator[Finding]:
    """The speed that is set is not above the one that rules."""
    for operation in plan.operations:
        set_to, ruling = _number(operation, "set.spindle_speed"), _number(operation, "allowed.spindle_speed")
        if set_to is None or ruling is None or set_to <= ruling + _SLACK:
            continue
        own = operation.operation.settings is not None
        yield _at(
            operation,
            "speed-above-limit" if own else "speed-out-of-range",
            "the spindle would turn {set}; the limit is {ruling} ({rules})",
            "a tool run too fast burns; a chuck or cutter run too fast can fly apart",
            "take a slower machine, another tool, or correct the setting",
            key="settings" if own else "setup",
            values=_show(
                operation,
                set="set.spindle_speed",
                ruling="allowed.spindle_speed",
                rules="allowed.ruled_by",
            ),
        )


@rule
def spindle_is_strong_enough(plan: Plan) -> Iterator[Finding]:
    """The spindle has the torque for a worn tap, and for the drill."""
    for operation in plan.operations:
        able = _number(operation, "able.torque")
        for name, what in (("twist.torque_worn", "a worn tap"), ("load.torque", "the drill")):
            asked = _number(operation, name)
            if able is not None and asked is not None and asked > able + _SLACK:
                yield _at(
                    operation,
                    "torque-beyond-spindle",
                    f"{what} asks for {{asked}}; the spindle gives {{able}} at this speed",
                    "the spindle stalls in the hole, and the tool breaks there",
                    "take a slower gear, tap by hand, or drill a pilot hole first",
                    key="recipe",
                    values=_show(operation, asked=name, able="able.torque"),
                )


@rule
def machine_can_reverse(plan: Plan) -> Iterator[Finding]:
    """Tapping under power needs a spindle that turns back."""
    for operation in plan.operations:
        if operation.recipe.does == "tap" and not holds(("machine.reverses",), operation.scope):
            yield _at(
                operation,
                "spindle-does-not-reverse",
                "the tap has to be turned back, and this spindle does not reverse",
                "a tap that cannot be backed out breaks or strips the thread",
                "take the recipe tap-by-hand, or a machine that reverses",
                key="recipe",
            )


# --- measuring, trust ----------------------------------------------------------------------------------


@rule
def sizes_can_be_proven(plan: Plan) -> Iterator[Finding]:
    """There is an instrument that can prove each size that is to be read."""
    for operation in plan.operations:
        for step in operation.steps:
            if step.step.kind != "reading" or step.step.takes.use is None:
                continue
            provable = step.value("lower_acceptance"), step.value("upper_acceptance")
            gauge = step.instrument
            if any(value is None or value.plain is None for value in provable):
                named = gauge.plain if gauge and gauge.plain else "no instrument on file"
                yield _at(
                    operation,
                    "size-cannot-be-proven",
                    f"{named} cannot prove the size at step {step.id}",
                    "its uncertainty is as wide as the tolerance, or its range does not hold the size",
                    "write a finer instrument into the shop file, or look at the tolerance again",
                    key="feature",
                )
            elif (ratio := _number(operation, "accept.ratio")) is not None and ratio < _GOOD_RATIO:
                yield _at(
                    operation,
                    "coarse-instrument",
                    "{gauge} takes much of the tolerance: T/2U is {ratio}",
                    "good parts near a limit will read as not proven; 4 or more is usual",
                    "take a finer instrument where there is one",
                    "note",
                    key="feature",
                    values=_show(operation, ratio="accept.ratio", gauge="gauge.instrument"),
                )


_GOOD_RATIO = 4.0


@rule
def first_is_measured(plan: Plan) -> Iterator[Finding]:
    """Of several alike, the first is measured before the second is cut (HF-43)."""
    for operation in plan.operations:
        several = [step for step in operation.steps if step.step.kind == "cut" and step.places > 1]
        read = any(step.step.kind == "reading" and step.places > 1 for step in operation.steps)
        if several and not read:
            yield _at(
                operation,
                "first-not-measured",
                "the first of the pattern is not measured before the second is cut",
                "a wrong tool or size is then in every hole",
                "take a recipe that reads the first hole, or add the reading to your own",
                "doubt",
                key="recipe",
            )


@rule
def carried_numbers_are_confirmed(plan: Plan) -> Iterator[Finding]:
    """A number carried over from elsewhere is confirmed before anything is cut by it (HF-40)."""
    for operation in plan.operations:
        carried = {
            leaf.origin.where: (leaf.origin.text, leaf)
            for value in operation.values.values()
            for leaf in leaves(value)
            if isinstance(leaf.origin, Entered) and leaf.origin.basis == "carried"
        }
        for where, (text, leaf) in sorted(carried.items(), key=lambda one: one[0]):
            file, keys = _place(where)
            yield _at(
                operation,
                "carried-not-confirmed",
                "{where} is {text}, carried over from elsewhere and not confirmed",
                "whatever is copied looks right; this is how sizes of another part get cut",
                'type it again from the drawing when asked, or give it the basis "drawing"',
                keys=keys,
                file=file,
                values={"where": where.partition(" ")[2], "text": text, "carried": leaf},
                confirm=(where, text),
            )


# --- walls ----------------------------------------------------------------------------------------------


@rule
def walls_between_holes(plan: Plan) -> Iterator[Finding]:
    """Between two holes of one face a wall stays."""
    for rows in _holes_by_face(plan).values():
        if len(rows) > 1:
            thin = CATALOGUE["thinnest_wall"].run({"holes": _as_value(rows)})
            if thin["share"].number < _THIN_WALL:
                yield _wall(
                    thin,
                    str(thin["first"].plain),
                    ("no-wall", "thin-wall"),
                    "between {first} and {second} a wall of {wall} stays",
                    "the second drill runs off into the first hole, or the wall bulges",
                )


@rule
def walls_to_the_edge(plan: Plan) -> Iterator[Finding]:
    """Between a hole of the top and the edge of the plate a wall stays, where the zero is known."""
    stock = plan.job.stock
    origin = next((setup.origin for setup in plan.job.setups if setup.origin), None)
    faces = {one.id for one in plan.job.features if isinstance(one, Face) and one.side == "top"} | {"top"}
    rows = tuple(row for face, holes in _holes_by_face(plan).items() if face in faces for row in holes)
    if origin is None or stock.form != "plate" or stock.width is None or not rows:
        return
    thin = CATALOGUE["wall_to_edge"].run(
        {
            "holes": _as_value(rows),
            "length": Value(stock.length.plain, "mm", Listed("the job", "its stock")),
            "width": Value(stock.width.plain, "mm", Listed("the job", "its stock")),
            "origin": Value(origin, "", Listed("the job", "its setup")),
        }
    )
    if thin["share"].number < _THIN_WALL:
        yield _wall(
            thin,
            str(thin["hole"].plain),
            ("hole-breaks-out", "thin-wall-at-edge"),
            "between {hole} and the edge of the plate a wall of {wall} stays",
            "the drill breaks out at the edge, into the jaw that holds it",
        )


_THIN_WALL = 0.5
"""A wall thinner than this share of the smaller hole is doubted: common practice, no source."""


def _wall(thin: Mapping[str, Value], hole: str, codes: tuple[str, str], what: str, why: str) -> Finding:
    none = thin["wall"].number <= _SLACK
    feature = hole.partition(" ")[0]
    return Finding(
        codes[0] if none else codes[1],
        "stop" if none else "doubt",
        what,
        why,
        "look at the places and diameters again",
        keys=("features", feature),
        feature=feature,
        values=dict(thin),
    )


def _as_value(rows: tuple[HoleRow, ...]) -> Value:
    unit = CATALOGUE["thinnest_wall"].inputs["holes"].unit
    return Value(rows, unit, Listed("the job", "its holes"))


def _holes_by_face(plan: Plan) -> dict[str, tuple[HoleRow, ...]]:
    holes = [one for one in plan.job.features if isinstance(one, Hole)]
    faces = sorted({hole.from_ for hole in holes})
    return {face: tuple(row for hole in holes for row in _places(plan, hole, face)) for face in faces}


def _places(plan: Plan, hole: Hole, face: str) -> Iterator[HoleRow]:
    """Give the holes of a feature at one face, each with its name and place."""
    if hole.from_ != face:
        return
    operation = next((one for one in plan.operations if one.operation.feature == hole.id), None)
    if operation is None or "places" not in plan.library:
        return
    known = facts(plan.job, plan.shop, operation.operation)
    try:
        scope = bind(plan.library["places"], plan.library, known)
    except InputError:
        return  # the operation itself is told as one that cannot be computed
    places = find(("pattern.positions", "feature.places"), scope)
    if places is not None and isinstance(places.plain, tuple):
        for number, place in enumerate(places.plain, start=1):
            yield HoleRow(f"{hole.id} {number}", place.x, place.y, hole.diameter.plain)


@rule
def places_are_on_the_stock(plan: Plan) -> Iterator[Finding]:
    """No hole lies further from the zero than the plate is long: wherever the zero is, that is off it."""
    length, width = plan.job.stock.length, plan.job.stock.width
    if width is None:
        return
    longest = max(length, width, key=lambda size: size.plain)
    for hole in (one for one in plan.job.features if isinstance(one, Hole)):
        far = [row for row in _places(plan, hole, hole.from_) if max(abs(row.x), abs(row.y)) > longest.plain]
        if far:
            yield Finding(
                "place-off-the-stock",
                "stop",
                "{first} lies further from the zero than the {longest} of the stock",
                "a size of its pattern may be in inches, or have a digit too many",
                "look at the pattern again",
                keys=("features", hole.id),
                feature=hole.id,
                values={"first": far[0].name, "longest": longest.text},
            )


@rule
def chamfer_is_of_its_hole(plan: Plan) -> Iterator[Finding]:
    """A chamfer is wider than its hole, and a threaded hole's chamfer reaches the thread's diameter."""
    for operation in plan.operations:
        rim = find(("feature.chamfer_diameter", "rim.diameter"), operation.scope)
        thread = _number(operation, "crest.major_diameter")
        if not isinstance(operation.feature, Chamfer) or rim is None or rim.plain is None:
            continue
        if thread is not None and rim.number < thread - _SLACK:
            yield _at(
                operation,
                "chamfer-below-thread",
                "the chamfer is {rim}, the thread {thread}",
                "the first turn of the thread stands up as a burr, and a screw will not start",
                "make the chamfer at least as wide as the thread",
                "doubt",
                keys=("features", operation.feature.id),
                values={"rim": rim, **_show(operation, thread="crest.major_diameter")},
            )


# --- small helpers ----------------------------------------------------------------------------------------


def _at(
    operation: ResolvedOperation,
    code: str,
    what: str,
    why: str,
    cure: str,
    severity: Severity = "stop",
    *,
    key: str = "",
    keys: tuple[str | int, ...] | None = None,
    file: str = "job.toml",
    values: Mapping[str, Value | str] | None = None,
    final: bool = False,
    confirm: tuple[str, str] | None = None,
) -> Finding:
    """Make a finding that touches an operation; `key` is a key of the operation itself."""
    own: tuple[str | int, ...] = ("operations", str(operation.number), *((key,) if key else ()))
    return Finding(
        code,
        severity,
        what,
        why,
        cure,
        file,
        own if keys is None else keys,
        operation.number,
        operation.feature.id if operation.feature else None,
        values or {},
        final,
        confirm,
    )


def _number(operation: ResolvedOperation, name: str) -> float | None:
    value = operation.scope.get(name)
    return value.number if value is not None and value.plain is not None else None


def _show(operation: ResolvedOperation, **names: str) -> dict[str, Value | str]:
    return {field: operation.scope[name] for field, name in names.items() if name in operation.scope}


def _typed_at(operation: ResolvedOperation, names: tuple[str, ...]) -> tuple[str, tuple[str | int, ...]]:
    """Give file and keys of the first of the facts that is on file; the operation's own where none is."""
    value = find(names, operation.scope)
    if value is not None and isinstance(value.origin, Entered):
        return _place(value.origin.where)
    return "job.toml", ("operations", str(operation.number))


def _place(where: str) -> tuple[str, tuple[str | int, ...]]:
    """Take a `where` apart: the file, and the keys in it."""
    file, _, path = where.partition(" ")
    return file, tuple(path.partition(" ")[0].split("."))
