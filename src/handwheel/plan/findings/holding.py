"""How a piece is held on a lathe: grip against the cut, stick-out, bar at the back, what the chuck takes."""

from __future__ import annotations

from collections.abc import Iterator

from handwheel.models.features import Face
from handwheel.models.job import Setup
from handwheel.plan.binding import holds
from handwheel.plan.finding import Finding
from handwheel.plan.findings.part import constant, part_length, run, total
from handwheel.plan.findings.rules import at, number, rule, show
from handwheel.plan.resolve import Plan, ResolvedOperation
from handwheel.values import SLACK, Value


def turned_setups(plan: Plan) -> Iterator[tuple[Setup, list[ResolvedOperation], ResolvedOperation]]:
    """Give each setup that turns with a spindle, its operations, and the first of them that has a tool."""
    setups: dict[str, list[ResolvedOperation]] = {}
    for operation in plan.operations:
        if holds(("machine.is_lathe", "workholding.turns"), operation.scope):
            setups.setdefault(operation.operation.setup, []).append(operation)
    for id, operations in setups.items():
        first = next((one for one in operations if one.operation.tool is not None), operations[0])
        yield plan.job.setup(id), operations, first


def _free(setup: Setup) -> bool:
    """Tell whether nothing but the jaws holds the piece."""
    return setup.support is None


# --- is it on file -------------------------------------------------------------------------------------


@rule
def holding_is_said(plan: Plan) -> Iterator[Finding]:
    """How deep, how far out and on what diameter a chuck holds the piece is written down."""
    for setup, _, first in turned_setups(plan):
        held = (("grip_depth", "how deep"), ("stick_out", "how far out"))
        by = (("grip_diameter", "on what diameter"), ("jaws", "from outside or from inside"))
        for names, severity, why in (
            (held, "doubt", "whether it tips or whips is reckoned from it, and the speed with it"),
            (by, "note", "whether the jaws hold the cut is reckoned from it"),
        ):
            open_ = [(name, words) for name, words in names if getattr(setup, name) is None]
            if open_:
                yield at(
                    first,
                    "holding-not-said",
                    "how the piece is held in setup {setup} is not all said: {open}",
                    why,
                    f"measure it and write it with the setup: {', '.join(name for name, _ in open_)}",
                    "doubt" if severity == "doubt" else "note",
                    keys=("setups", setup.id),
                    values={"setup": setup.id, "open": ", ".join(words for _, words in open_)},
                )


@rule
def force_of_the_chuck_is_known(plan: Plan) -> Iterator[Finding]:
    """Where nothing says how hard a chuck holds, that is told once: the cut is not held against it."""
    told: set[str] = set()
    for setup, _, first in turned_setups(plan):
        if holds(("workholding.grip_known",), first.scope) or setup.workholding in told:
            continue
        told.add(setup.workholding)
        yield at(
            first,
            "chuck-force-unknown",
            "how hard {chuck} holds, and how heavy its jaws are, is not on file",
            "whether it holds the cut, and up to what speed, is not reckoned: only the maker's limit stands",
            "write key_torque with the maker's rated_force and rated_torque, or static_force, and jaw_mass "
            "and jaw_radius into the shop file",
            "note",
            file="shop.toml",
            keys=("workholdings", setup.workholding),
            values=show(first, chuck="workholding.title"),
        )


@rule
def key_is_pulled_as_its_maker_says(plan: Plan) -> Iterator[Finding]:
    """A chuck is not pulled harder than its maker says, by torque on the key or by force."""
    for setup, _, first in turned_setups(plan):
        for given, most in (("key_torque", "rated_torque"), ("static_force", "rated_force")):
            pulled, limit = (number(first, f"workholding.{name}") for name in (given, most))
            if pulled is not None and limit is not None and pulled > limit + SLACK:
                yield at(
                    first,
                    "chuck-pulled-too-hard",
                    "{chuck} is to be pulled with {pulled}; its maker allows {limit}",
                    "jaws and scroll break, and a grip reckoned from it is not there",
                    "pull it as its maker says, and look at both numbers again",
                    file="shop.toml",
                    keys=("workholdings", setup.workholding, given),
                    values=show(
                        first,
                        chuck="workholding.title",
                        pulled=f"workholding.{given}",
                        limit=f"workholding.{most}",
                    ),
                )


# --- grip against the cut ------------------------------------------------------------------------------


@rule
def jaws_hold_the_cut(plan: Plan) -> Iterator[Finding]:
    """At the speed that is set the jaws hold what the cut asks for, so that the piece does not turn."""
    for operation in plan.operations:
        held, asked = _held(operation), _asked(operation)
        if held is not None and asked is not None and held.number < asked.number - SLACK:
            yield at(
                operation,
                "grip-too-weak",
                "the jaws hold with {held} as it turns; against turning in them the cut asks for {asked}",
                "the piece turns in the jaws, climbs the tool and is thrown",
                "grip a larger diameter, pull the chuck as far as its maker says, or turn slower",
                keys=("setups", operation.operation.setup, "grip_diameter"),
                values={"held": held, "asked": asked},
            )


def _asked(operation: ResolvedOperation) -> Value | None:
    """Give what a cut asks of the jaws against turning in them [N]: of a tool on the slide, or of a drill."""
    scope = operation.scope
    if number(operation, "need.force") is not None:
        return scope["need.force"]
    twist, held_on = scope.get("load.torque"), scope.get("setup.grip_diameter")
    known = (
        twist is not None and twist.plain is not None and held_on is not None and held_on.plain is not None
    )
    if not known or not holds(("machine.is_lathe",), scope) or "constants.friction" not in scope:
        return None
    assert twist is not None and held_on is not None  # both are known
    force = Value(twist.number, "N", twist.origin)
    friction = scope["constants.friction"]
    found = run(
        "grip_needed", cutting_force=force, cut_diameter=_ONE_METRE, grip_diameter=held_on, friction=friction
    )
    return found["force"] if found else None


_ONE_METRE = constant(2000.0, "mm", "twice one metre", "1 m by definition, SI")
"""The diameter [mm] at whose rim, a metre from the axis, a torque [N·m] is as many newtons."""


def _held(operation: ResolvedOperation) -> Value | None:
    """Give what the jaws hold with at the fastest that the spindle is set to; None where it is not known.

    Where no speed is known, they hold at the most what they hold at rest.
    """
    scope = operation.scope
    known = holds(("setup.grip_known", "workholding.grip_known"), scope)
    follows = number(operation, "top.spindle_speed") is not None
    set_to = scope.get("top.spindle_speed" if follows else "set.spindle_speed")
    at_rest = set_to is None or set_to.plain is None
    speed = scope.get("wanted.spindle_speed") if at_rest else set_to
    if not known or speed is None or speed.plain is None:
        return None
    given = {name: scope.get(f"workholding.{name}") for name in _OF_A_CHUCK}
    inputs = {name: value for name, value in given.items() if value is not None and value.plain is not None}
    found = run("chuck_grip", spindle_speed=speed, gripping=scope["setup.gripping"], **inputs)
    return found["force_at_rest" if at_rest else "grip"] if found else None


_OF_A_CHUCK = (
    "jaw_mass",
    "jaw_radius",
    "static_force",
    "key_torque",
    "rated_force",
    "rated_torque",
    "jaws",
)


@rule
def piece_does_not_tip(plan: Plan) -> Iterator[Finding]:
    """A short grip holds against tipping: where only the safety is gone it is doubted once a setup.

    What the cut asks for is reckoned as if the jaws held at one place; a long grip holds by its length.
    """
    for setup, operations, first in turned_setups(plan):
        if not _free(setup) or not _is_short(first):
            continue
        tipping = [one for one in operations if _tips(one)]
        tipping.sort(key=lambda one: number(one, "need.force_tipping") or 0)
        lost = [one for one in tipping if _tips(one, _SAFETY)]
        for operation in lost or tipping[-1:]:
            held = _held(operation)
            assert held is not None  # it would not be known to tip
            yield at(
                operation,
                "piece-tips-out",
                "the jaws hold with {held} as it turns; {stick_out} out, the cut asks for {asked}",
                "the cut prises the piece out of the jaws, where neither a shoulder behind it nor a centre "
                "helps",
                "grip more of it, let less stand out, seat it against a shoulder, or bring up the centre",
                "stop" if lost else "doubt",
                keys=("setups", setup.id, "stick_out"),
                values={
                    "held": held,
                    **show(operation, asked="need.force_tipping", stick_out="setup.stick_out"),
                },
            )


def _is_short(operation: ResolvedOperation) -> bool:
    """Tell whether less is gripped than what holds by its length; where it is not said it counts as short."""
    depth, thick = number(operation, "setup.grip_depth"), number(operation, "setup.grip_diameter")
    if depth is None or thick is None:
        return True
    return depth < _LONG_GRIP - SLACK or 2 * depth < thick - SLACK


_LONG_GRIP = 10.0
"""A grip of half the gripped diameter, and of no less than this [mm], holds by its length: a maker of collet
chucks, as `grip_needed` quotes it."""


def _tips(operation: ResolvedOperation, safety: float = 1.0) -> bool:
    """Tell whether the grip is below what is asked for, after so much of the safety in it is given up."""
    held, asked = _held(operation), number(operation, "need.force_tipping")
    return held is not None and asked is not None and held.number * safety < asked - SLACK


_SAFETY = 2.0
"""The safety factor that `grip_needed` has in the forces it asks for."""


@rule
def grip_is_deep_enough(plan: Plan) -> Iterator[Finding]:
    """The jaws hold enough of the piece for what stands out of them, and more than an edge of it."""
    for setup, _, first in turned_setups(plan):
        depth, out = number(first, "setup.grip_depth"), number(first, "setup.stick_out")
        if depth is None or not _free(setup):
            continue
        edge = depth < _LEAST_IN_CHUCK - SLACK
        if edge or (out is not None and depth * _SHORT_GRIP < out - SLACK):
            far = depth < _LEAST_IN_CHUCK / 2 or (out is not None and depth * 2 * _SHORT_GRIP < out)
            yield at(
                first,
                "grip-short",
                "the jaws hold {depth} of the piece, and {out} stand out"
                if out is not None
                else "the jaws hold {depth} of the piece",
                "so short a grip lets it tip out of the jaws",
                "grip at least a third of what stands out, or bring up the centre",
                "stop" if far else "doubt",
                keys=("setups", setup.id, "grip_depth"),
                values=show(first, depth="setup.grip_depth", out="setup.stick_out"),
            )


_SHORT_GRIP = 3.0
"""What stands out is at most so many times what the jaws hold: common practice, no source."""

_LEAST_IN_CHUCK = 5.0
"""Jaws hold at least this much [mm]: common practice, no source; a collet chuck maker asks for 10 (read)."""


# --- how far it stands out -----------------------------------------------------------------------------


@rule
def piece_is_stiff_enough(plan: Plan) -> Iterator[Finding]:
    """A piece that stands out over three diameters has a centre or a steady (HF-20)."""
    for setup, operations, _ in turned_setups(plan):
        slender = [(one, ratio) for one in operations if (ratio := _slenderness(one)) is not None]
        over = [(one, found) for one, found in slender if found["ratio"].number > found["limit"].number]
        if not over:
            continue
        operation, worst = max(over, key=lambda one: one[1]["ratio"].number)
        far = worst["ratio"].number > _FAR * worst["limit"].number
        yield at(
            operation,
            "stick-out-without-support" if _free(setup) else "stick-out-beyond-support",
            "the piece stands out {ratio} times its diameter, {stick_out}; the usual limit is {limit}",
            "it bends away from the tool, chatters, and whips as the speed rises: {advice}",
            _support_for(setup, operation),
            "stop" if far else "doubt",
            keys=("setups", setup.id, "stick_out"),
            values={
                "ratio": worst["ratio"],
                "limit": worst["limit"],
                "advice": worst["advice"],
                **show(operation, stick_out="setup.stick_out"),
            },
        )


_FAR = 2.0
"""Beyond so many times the usual limit it is no matter of lighter cuts: common practice, no source."""


def _support_for(setup: Setup, operation: ResolvedOperation) -> str:
    """Name the support that leaves the tool room: a centre closes the end that is faced or bored."""
    if not _free(setup):
        return "set a steady nearer to the cut, or let less stand out"
    on_its_end = isinstance(operation.feature, Face) or holds(("feature.is_inside",), operation.scope)
    return (
        'grip more of it, or set a steady behind the end that is cut: support = "steady"'
        if on_its_end
        else 'grip more of it, bring up the centre: support = "centre", or set a steady'
    )


def _slenderness(operation: ResolvedOperation) -> dict[str, Value] | None:
    """Give what stands out over its diameter: of the piece, or of the turned length where that is more."""
    scope = operation.scope
    out = scope.get("setup.stick_out")
    if out is None or out.plain is None or operation.operation.tool is None or out.number <= SLACK:
        return None
    outside = not holds(("feature.is_inside",), scope) and number(operation, "feature.diameter") is not None
    turned, length = scope.get("feature.diameter"), scope.get("feature.length")
    thickness = _PIECE[1:] if holds(("setup.grips_inside",), scope) else _PIECE
    piece = next(
        (value for name in thickness if (value := scope.get(name)) and value.plain is not None), None
    )
    pairs = [(out, piece)]
    if outside:
        pairs.append((length if length is not None and length.plain is not None else out, turned))
    held_by = scope["setup.held_by"]
    ratios = [
        found
        for long, thick in pairs
        if thick is not None
        and (found := run("overhang_ratio", overhang=long, diameter=thick, support=held_by))
    ]
    return max(ratios, key=lambda found: found["ratio"].number, default=None)


_PIECE = ("setup.grip_diameter", "stock.diameter", "stock.width")
"""How thick the piece is between the jaws and the cut: the first of these that is on file."""


@rule
def held_lengths_are_within_the_piece(plan: Plan) -> Iterator[Finding]:
    """What the jaws hold and what stands out are together no more than there is of the piece."""
    for setup, operations, first in turned_setups(plan):
        length, given = _length(plan, operations[0]), _along(first)
        if length is None or not given:
            continue
        whole = total(*((1, value) for value in given))
        if whole.number <= length.number + SLACK:
            continue
        keys = [name for name in _ALONG if number(first, f"setup.{name}") is not None]
        yield at(
            first,
            "holds-more-than-there-is",
            "what the jaws hold and what stands out make {whole}; the piece is {length} long",
            "one of the numbers is of another piece, in inches, or has a digit too many",
            "measure grip and stick-out again, and the stock",
            keys=("setups", setup.id, "stick_out" if "stick_out" in keys else keys[0]),
            values={"whole": whole, "length": length},
        )


_ALONG = ("grip_depth", "stick_out", "bar_behind")


def _along(operation: ResolvedOperation) -> list[Value]:
    """Give the lengths of a setup that lie behind one another on the piece; inside a bore they overlap."""
    if holds(("setup.grips_inside",), operation.scope):
        found = [operation.scope.get("setup.stick_out")]
    else:
        found = [operation.scope.get(f"setup.{name}") for name in _ALONG]
    return [value for value in found if value is not None and value.plain is not None]


def _length(plan: Plan, operation: ResolvedOperation) -> Value | None:
    """Give how long the piece is as a setup begins: the finished part where both ends were faced before."""
    before = [one.feature for one in plan.operations if one.number < operation.number]
    faced = {one.side for one in before if isinstance(one, Face)}
    finished = part_length(plan.job) if {"top", "bottom"} <= faced else None
    return finished or operation.scope.get("stock.length")


# --- a bar at the back ---------------------------------------------------------------------------------


@rule
def bar_stays_inside_the_spindle(plan: Plan) -> Iterator[Finding]:
    """A bar does not stand out at the back of the spindle further than the shop lets it (HF-19)."""
    for setup, _, first in turned_setups(plan):
        behind = number(first, "setup.bar_behind")
        machine = plan.shop.machine(setup.machine)
        if machine is None or (behind is not None and behind <= SLACK):
            continue
        if behind is None:
            yield from _bar_unsaid(plan, setup, first)
            continue
        limit = machine.longest_bar_behind
        shown = show(first, behind="setup.bar_behind", machine="machine.title")
        if limit is None:
            yield at(
                first,
                "bar-limit-unknown",
                "the bar stands out {behind} at the back of {machine}; how far it may is not on file",
                "a bar that nothing holds there bends and strikes whoever stands near",
                "cut the bar shorter, or write longest_bar_behind with the machine",
                "doubt",
                file="shop.toml",
                keys=("machines", machine.id, "longest_bar_behind"),
                values=shown,
            )
        elif behind > limit.plain + SLACK:
            yield at(
                first,
                "bar-too-far-behind",
                "the bar stands out {behind} at the back of {machine}; the shop lets it {limit}",
                "a bar that nothing holds there bends at speed and strikes whoever stands near",
                "cut the bar shorter, or guide it in a tube that stands on the floor",
                keys=("setups", setup.id, "bar_behind"),
                values={**shown, "limit": limit.text},
            )


def _bar_unsaid(plan: Plan, setup: Setup, first: ResolvedOperation) -> Iterator[Finding]:
    """Ask for the back of the spindle where more of the stock lies behind the jaws than a chuck hides."""
    held, length = _along(first), _length(plan, first)
    if length is None or len(held) < 2:  # with grip or stick-out unknown, nothing is known of the rest
        return
    rest = total((1, length), *((-1, value) for value in held))
    if rest.number > _HIDDEN + SLACK:
        yield at(
            first,
            "bar-behind-not-said",
            "{rest} of the stock lie behind the jaws; whether it comes out at the back is not said",
            "even a short stub that turns there takes hold of clothing, and a long one bends and strikes",
            'look behind the spindle and write what stands out: bar_behind = "0 mm" where nothing does',
            "doubt",
            keys=("setups", setup.id),
            values={"rest": rest},
        )


_HIDDEN = 100.0
"""So much of a bar [mm] is hidden by the chuck and the shortest headstock: common practice, no source."""


# --- what the chuck takes ------------------------------------------------------------------------------


@rule
def chuck_opens_so_far(plan: Plan) -> Iterator[Finding]:
    """The jaws open as far as what they hold is thick."""
    for setup, _, first in turned_setups(plan):
        holding = plan.shop.workholding(setup.workholding)
        size = first.scope.get("setup.grip_diameter") or first.scope.get("stock.diameter")
        if holding is None or holding.opening is None or size is None or size.plain is None:
            continue
        if size.number > holding.opening.plain + SLACK:
            yield at(
                first,
                "piece-larger-than-chuck",
                "the jaws are to hold {size}; {chuck} opens {opening}",
                "jaws opened too far hang in the scroll by a tooth, and fly out as it starts",
                "take a larger chuck, reversed jaws, or a faceplate",
                keys=("setups", setup.id, "workholding"),
                values={
                    "size": size,
                    "opening": holding.opening.text,
                    **show(first, chuck="workholding.title"),
                },
            )


@rule
def chuck_jaws_are_as_high_as_they_hold(plan: Plan) -> Iterator[Finding]:
    """The jaws of a chuck hold no more of the piece than they are high."""
    for setup, _, first in turned_setups(plan):
        holding = plan.shop.workholding(setup.workholding)
        if holding is None or holding.jaw_height is None or setup.grip_depth is None:
            continue
        if setup.grip_depth.plain > holding.jaw_height.plain + SLACK:
            yield at(
                first,
                "grip-deeper-than-jaws",
                "{depth} of the piece are to be gripped; the jaws are {height} high",
                "they cannot hold more than that: one of the numbers is of another setup",
                "measure how much of the piece the jaws hold",
                keys=("setups", setup.id, "grip_depth"),
                values={**show(first, depth="setup.grip_depth"), "height": holding.jaw_height.text},
            )


@rule
def holding_is_for_the_machine(plan: Plan) -> Iterator[Finding]:
    """A lathe turns what its spindle holds; nothing that a tool is driven into is held by hand."""
    seen: set[str] = set()
    for operation in plan.operations:
        setup = plan.job.setup(operation.operation.setup)
        machine, holding = plan.shop.machine(setup.machine), plan.shop.workholding(setup.workholding)
        powered = operation.operation.tool is not None and machine is not None and machine.kind != "bench"
        if setup.id in seen or machine is None or holding is None or not powered:
            continue
        by_hand, lathe = holding.kind == "hand", machine.kind == "lathe"
        if by_hand or (lathe and holding.kind not in _TURNING):
            seen.add(setup.id)
            yield at(
                operation,
                "held-by-hand" if by_hand else "holding-does-not-turn",
                "the piece is to be held by hand on {machine}"
                if by_hand
                else "{holding} does not go on the spindle of {machine}",
                "a tool that grabs tears the piece out of the hand and spins it"
                if by_hand
                else "nothing would hold the piece as it turns",
                "clamp it, or hold it in a vice or chuck" if by_hand else "name the chuck that holds it",
                keys=("setups", setup.id, "workholding"),
                values=show(operation, machine="machine.title", holding="workholding.title"),
            )


_TURNING = ("chuck", "collet", "faceplate")
