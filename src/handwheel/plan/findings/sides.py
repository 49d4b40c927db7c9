"""Setups after one another: sides, what the piece is held on, what each still owes before the next begins."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handwheel.calc.geometry import Point
from handwheel.models.features import AnyFeature, Bore, Face, Flat, Hole, OfAnother, Outside, Slot, Spigot
from handwheel.models.job import Setup, base_of
from handwheel.plan.finding import Finding
from handwheel.plan.findings.part import (
    CLEANING,
    at_feature,
    cuts,
    finished_by,
    is_named,
    is_round,
    of_setup,
    places,
    points_of,
    run,
    side_of,
    worked_by,
)
from handwheel.plan.findings.rules import at, number, rule
from handwheel.plan.resolve import Plan, ResolvedOperation


def _in_order(plan: Plan) -> list[tuple[Setup, list[ResolvedOperation]]]:
    """Give the setups in the order in which they are begun, each with its operations."""
    found: dict[str, list[ResolvedOperation]] = {}
    for operation in plan.operations:
        found.setdefault(operation.operation.setup, []).append(operation)
    return [(plan.job.setup(id), operations) for id, operations in found.items()]


def _turns(plan: Plan, setup: Setup) -> bool:
    machine = plan.shop.machine(setup.machine)
    return machine is not None and machine.kind == "lathe"


@rule
def setups_are_done_once(plan: Plan) -> Iterator[Finding]:
    """Nobody comes back to a setup after another one began: the holding is gone."""
    left: set[str] = set()
    before = ""
    for operation in plan.operations:
        setup = operation.operation.setup
        if setup != before and before:
            left.add(before)
        if setup in left and setup != before:
            yield at(
                operation,
                "comes-back-to-a-setup",
                "setup {setup} was left for {other}, and goes on here",
                "once let go, a piece does not lie again as it lay: axis, zero and length are others",
                "put its operations together, or write a setup of its own with what it is trued on",
                key="setup",
                values={"setup": setup, "other": before},
            )
        before = setup


@rule
def features_are_worked_from_their_side(plan: Plan) -> Iterator[Finding]:
    """A setup works the features of its side: a pattern from the other one comes out mirrored."""
    for operation in plan.operations:
        feature, setup = operation.feature, plan.job.setup(operation.operation.setup)
        if feature is None or not cuts(operation):
            continue
        side = side_of(plan.job, feature)
        base = base_of(plan.job, feature)
        if side == setup.side or (isinstance(feature, OfAnother) and feature.side == setup.side):
            continue
        if isinstance(base, Face) and setup.side != _OPPOSITE.get(side):
            continue  # the edge of a plate is milled with the side of the mill
        if isinstance(base, Bore) and base.through:
            continue
        if isinstance(base, Hole) and base.through and not _mirrored(plan, base, setup):
            continue
        yield at(
            operation,
            "worked-from-the-other-side",
            "{feature} is on the {side}; setup {setup} works from the {other}",
            "depths would start at the wrong face, and its places come out as in a mirror",
            "look at from, at the side of the setup, or move the operation to the setup of its side",
            keys=("features", feature.id),
            values={"feature": feature.id, "side": side, "setup": setup.id, "other": setup.side},
        )


_OPPOSITE = {
    "top": "bottom", "bottom": "top", "left": "right", "right": "left", "front": "back", "back": "front",
}  # fmt: skip


def _mirrored(plan: Plan, hole: Hole, setup: Setup) -> bool:
    """Tell whether the places of a hole are others once the part was turned over."""
    here = places(plan, hole)
    about = of_setup(setup, "turned_about") if setup.turned_about is not None else "x"
    turned = run("turn_over_positions", positions=here, about=about)
    if turned is None or not isinstance(turned["positions"].plain, tuple):
        return True
    return any(_away(place, turned["positions"].plain) for place in points_of(here))


def _away(place: Point, others: tuple[Point, ...]) -> bool:
    """Tell whether none of the other places is this one."""
    return all(abs(place.x - one.x) > _SAME or abs(place.y - one.y) > _SAME for one in others)


_SAME = 0.001
"""Places nearer to each other than this [mm] are one."""


@rule
def side_and_from_agree(plan: Plan) -> Iterator[Finding]:
    """Where a feature says both a side and what it is made from, they are of one end."""
    for feature in plan.job.features:
        if isinstance(feature, (Face, OfAnother)) or "side" not in feature.model_fields_set:
            continue
        side = side_of(plan.job, feature)
        if side != feature.side:
            yield at_feature(
                plan,
                feature,
                "side-and-from-differ",
                "{feature} is said to be on the {side}, and is made from {from}, which is on the {other}",
                "seen from the wrong side its places are mirrored and its depths start at the wrong face",
                "look at side and from again",
                key="side",
                values={"feature": feature.id, "side": feature.side, "from": feature.from_, "other": side},
            )


# --- what the piece is held on -----------------------------------------------------------------------------


def _held_on(setup: Setup) -> Iterator[tuple[str, str]]:
    """Give what a setup rests on, in words, each with its key."""
    yield "gripped_on", setup.gripped_on
    for text in setup.located_on:
        yield "located_on", text
    if setup.trued_on is not None:
        yield "trued_on", setup.trued_on


@rule
def raw_surfaces_serve_once(plan: Plan) -> Iterator[Finding]:
    """A raw surface is gripped or located on in one setup only."""
    seen: dict[str, str] = {}
    for setup, operations in _in_order(plan):
        for key, text in _held_on(setup):
            if key == "trued_on" or not _RAW.search(text):
                continue
            first = seen.setdefault("raw", setup.id)
            if first != setup.id:
                yield at(
                    operations[0],
                    "raw-surface-again",
                    "setup {setup} holds on {words}, and setup {first} held on a raw surface before",
                    "a raw surface never lies twice alike: the two setups do not run true to each other",
                    "hold and locate on what an earlier setup has cut",
                    "stop" if key == "located_on" else "doubt",
                    keys=("setups", setup.id, key),
                    values={"setup": setup.id, "words": text, "first": first},
                )


_RAW = re.compile(r"\b(raw|sawn|rough|black|scale|as cast|unmachined)\b", re.IGNORECASE)


def _is_raw(text: str, id: str) -> bool:
    """Tell whether a text speaks of the raw stock, where one of its words is the id of a feature as well."""
    return _RAW.search(text.replace(id, " ")) is not None


@rule
def holds_on_what_is_there(plan: Plan) -> Iterator[Finding]:
    """What a setup grips, locates or trues up on was cut before it, and is finished."""
    for setup, operations in _in_order(plan):
        begins = operations[0].number
        for key, text in _held_on(setup):
            for feature in plan.job.features:
                if not is_named(feature.id, text) or _is_raw(text, feature.id):
                    continue
                made = [one for one in worked_by(plan, feature.id) if cuts(one) and one.number < begins]
                if any(one.operation.leave is None for one in made):
                    continue
                yield at(
                    operations[0],
                    "held-on-what-is-rough" if made else "held-on-what-is-not-there",
                    "setup {setup} holds on {feature}, which is only roughed then"
                    if made
                    else "setup {setup} holds on {feature}, which nobody has cut by then",
                    "what is cut next is true to a surface that will be cut away"
                    if made
                    else "there is raw stock in its place, or another size",
                    "hold on what is finished by then, or cut it before",
                    "doubt" if made else "stop",
                    keys=("setups", setup.id, key),
                    values={"setup": setup.id, "feature": feature.id},
                )


@rule
def locates_on_what_looks_away(plan: Plan) -> Iterator[Finding]:
    """What a setup locates on looks away from the spindle or the tool: the side that is worked is free."""
    for setup, operations in _in_order(plan):
        for text in setup.located_on:
            for feature in plan.job.features:
                named = is_named(feature.id, text) and not _is_raw(text, feature.id)
                if named and _lies_in_its_side(feature) and side_of(plan.job, feature) == setup.side:
                    yield at(
                        operations[0],
                        "located-on-the-side-that-is-worked",
                        "setup {setup} works from the {side}, and is located on {feature}, which is there",
                        "the piece would lie on what the tool has to reach: it is the wrong way round",
                        "locate on what is opposite, or look at the side of the setup",
                        keys=("setups", setup.id, "located_on"),
                        values={"setup": setup.id, "side": setup.side, "feature": feature.id},
                    )


def _lies_in_its_side(feature: AnyFeature) -> bool:
    """Tell whether a feature is reached from its own side only, as a face is and an outside is not."""
    if isinstance(feature, Flat):
        return feature.across is None
    if isinstance(feature, (Bore, Hole, Slot)):
        return not feature.through
    return isinstance(feature, (Face, Spigot))


@rule
def nothing_is_set_before_it_is_turned_over(plan: Plan) -> Iterator[Finding]:
    """In one setup the piece is turned over first, then trued up, then given its zero."""
    for setup, operations in _in_order(plan):
        over = [one for one in operations if one.recipe.does == "turn-over"]
        for early in operations:
            later = next((one for one in over if one.number > early.number), None)
            if early.recipe.does not in ("true-up", "set-zero") or later is None:
                continue
            zero = early.recipe.does == "set-zero"
            yield at(
                early,
                "set-before-turned-over",
                "setup {setup} sets its zero here, and op {later} turns the piece over after that"
                if zero
                else "setup {setup} is trued up here, and op {later} turns the piece over after that",
                "turning it over loses the zero: every place would be off"
                if zero
                else "the jaws are opened again for it: the piece runs out, and so does all that is cut then",
                "put turn-over first",
                values={"setup": setup.id, "later": str(later.number)},
            )


@rule
def turning_over_is_planned(plan: Plan) -> Iterator[Finding]:
    """A piece seated again in a lathe is turned over by an operation, and trued up before it is cut."""
    before: Setup | None = None
    for setup, operations in _in_order(plan):
        first_cut = next((one for one in operations if cuts(one)), None)
        if before is not None and first_cut is not None:
            done = {one.recipe.does for one in operations if one.number < first_cut.number}
            over = setup.side != before.side
            if over and "turn-over" not in done and _turns(plan, setup):
                yield at(
                    first_cut,
                    "not-turned-over",
                    "setup {setup} works from the other side, and no operation turns the piece over",
                    "what the first side still owes, the burrs and the lost zero are asked there",
                    "put an operation with the recipe turn-over first",
                    "doubt",
                    key="setup",
                    values={"setup": setup.id},
                )
            if over and setup.turned_about is None:
                yield at(
                    first_cut,
                    "turned-about-not-said",
                    "setup {setup} works from the other side; about which axis it was turned is not said",
                    "places are mirrored about that axis",
                    'write it down with the setup, such as turned_about = "x"',
                    "doubt",
                    keys=("setups", setup.id),
                    values={"setup": setup.id},
                )
            if _turns(plan, setup) and "true-up" not in done:
                yield at(
                    first_cut,
                    "not-trued-up",
                    "setup {setup} cuts before the piece is trued up",
                    "a piece that was let go runs out, and so does all that is cut then",
                    "put an operation with the recipe true-up first",
                    "doubt",
                    key="setup",
                    values={"setup": setup.id},
                )
        before = setup
        yield from _trued_up_late(setup, operations)


def _trued_up_late(setup: Setup, operations: list[ResolvedOperation]) -> Iterator[Finding]:
    """Tell of truing up after something was cut: what was cut before is true to another axis."""
    cut = False
    for operation in operations:
        if cut and operation.recipe.does in ("true-up", "turn-over"):
            yield at(
                operation,
                "trued-up-after-a-cut",
                "setup {setup} is trued up after it has cut already",
                "moving the piece now leaves what was cut before out of true",
                "put it before the first cut of the setup",
                "doubt",
                values={"setup": setup.id},
            )
        cut = cut or cuts(operation)


@rule
def one_side_is_roughed_before_the_other_is_finished(plan: Plan) -> Iterator[Finding]:
    """No fine size is finished while heavy cuts on the other side are still to come."""
    for feature in plan.job.features:
        fine = isinstance(feature, (Outside, Spigot, Bore)) and (feature.zone or feature.mate)
        made = finished_by(plan, feature) if fine else None
        if made is None:
            continue
        own = plan.job.setup(made.operation.setup)
        for later in plan.operations:
            setup = plan.job.setup(later.operation.setup)
            if later.number < made.number or setup.id == own.id or setup.side == own.side:
                continue
            if _is_heavy(later):
                yield at(
                    made,
                    "finished-before-the-other-side-is-roughed",
                    "{feature} is finished here, and op {later} takes heavy cuts off the other side after it",
                    "the piece moves as it is roughed, and the fine size with it",
                    "rough both sides first, then finish",
                    "doubt",
                    keys=("features", feature.id),
                    values={"feature": feature.id, "later": str(later.number)},
                )
                break


def _is_heavy(operation: ResolvedOperation) -> bool:
    """Tell whether an operation takes much off a turned feature."""
    start, end = number(operation, "feature.start_diameter"), number(operation, "feature.diameter")
    turned = isinstance(operation.feature, (Outside, Spigot, Bore)) and cuts(operation)
    return turned and start is not None and end is not None and abs(start - end) > _HEAVY


_HEAVY = 4.0
"""Cuts that change a diameter by more than this [mm] are heavy: common practice, no source."""


@rule
def true_features_are_cut_in_one_holding(plan: Plan) -> Iterator[Finding]:
    """What has to run true to another feature is cut in its holding, or trued up on it."""
    for feature in plan.job.features:
        if not isinstance(feature, (Outside, Spigot, Bore)) or feature.true_to is None:
            continue
        other = plan.job.feature(feature.true_to)
        made = [one for one in (finished_by(plan, feature), finished_by(plan, other)) if one is not None]
        if len(made) < 2 or made[0].operation.setup == made[1].operation.setup:
            continue
        last = max(made, key=lambda one: one.number)
        first = min(made, key=lambda one: one.number)
        setup = plan.job.setup(last.operation.setup)
        earlier = first.feature.id if first.feature is not None else ""
        if is_named(earlier, setup.trued_on):
            continue
        tight = bool(feature.zone or feature.mate)
        yield at(
            last,
            "true-features-split",
            "{feature} has to run true to {other}; they are cut in two holdings, and setup {setup} is not "
            "trued up on {earlier}",
            "each holding has a run-out of its own",
            "cut both in one holding, or true the piece up on the one that is there",
            "stop" if tight else "doubt",
            keys=("features", feature.id, "true_to"),
            values={"feature": feature.id, "other": other.id, "setup": setup.id, "earlier": earlier},
        )


@rule
def angles_are_found_again(plan: Plan) -> Iterator[Finding]:
    """Of a round part the angle about the axis is found again, where a second setup works by it."""
    if not is_round(plan.job):
        return
    first: tuple[Setup, str] | None = None
    for setup, operations in _in_order(plan):
        angled = next((one for one in operations if _has_an_angle(plan, one)), None)
        if angled is None or angled.feature is None:
            continue
        if first is None:
            first = (setup, angled.feature.id)
        elif setup.clocked_on is None:
            yield at(
                angled,
                "not-clocked",
                "{feature} has its angle about the axis, as {other} had in setup {first}",
                "a round part lies at any angle: the two come out turned against each other",
                'say by what the angle is found again, such as clocked_on = "two pins in the holes"',
                "stop",
                keys=("setups", setup.id),
                values={"feature": angled.feature.id, "other": first[1], "first": first[0].id},
            )


def _has_an_angle(plan: Plan, operation: ResolvedOperation) -> bool:
    feature = operation.feature
    if feature is None or not cuts(operation):
        return False
    base = base_of(plan.job, feature)
    if isinstance(base, Hole):
        return any(abs(x) > _SAME or abs(y) > _SAME for x, y in points_of(places(plan, base)))
    return isinstance(base, (Flat, Slot))


@rule
def burrs_are_off_before_it_is_seated_again(plan: Plan) -> Iterator[Finding]:
    """Before a piece is seated again its burrs are off (HF-39)."""
    for setup, operations in _in_order(plan)[:-1]:
        last = next((op for op in reversed(operations) if cuts(op)), None)
        if last is None or any(op.recipe.does in CLEANING for op in operations if op.number > last.number):
            continue
        yield at(
            last,
            "burrs-before-seating",
            "after this cut setup {setup} ends, and nothing takes the burrs off",
            "the piece seats on its burrs in the next setup, and is out of square by them",
            "end the setup with break-edges or deburr",
            "doubt",
            key="setup",
            values={"setup": setup.id},
        )


@rule
def fine_surfaces_are_gripped_gently(plan: Plan) -> Iterator[Finding]:
    """A tight finished surface is gripped in soft jaws, on shims, or not at all."""
    for setup, operations in _in_order(plan):
        holding = plan.shop.workholding(setup.workholding)
        if holding is None or holding.kind != "chuck" or setup.soft_jaws:
            continue
        for feature in plan.job.features:
            fine = isinstance(feature, (Outside, Spigot, Bore)) and (feature.zone or feature.mate)
            if fine and is_named(feature.id, setup.gripped_on) and "shim" not in setup.gripped_on:
                yield at(
                    operations[0],
                    "fine-surface-in-hard-jaws",
                    "setup {setup} grips {feature}, a finished fit, in hard jaws",
                    "hard jaws mark it, and press it out of round",
                    "take soft jaws (soft_jaws = true), shims, or another surface",
                    "doubt",
                    keys=("setups", setup.id, "gripped_on"),
                    values={"setup": setup.id, "feature": feature.id},
                )
