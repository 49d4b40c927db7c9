"""From the first cut of a feature to its last: what is begun is finished, in its order, and read."""

from __future__ import annotations

from collections.abc import Iterator

from handwheel.models.features import Bore, Face, Flat, Groove, Hole, Outside, Slot, Spigot, Toleranced
from handwheel.plan.binding import find
from handwheel.plan.finding import Finding
from handwheel.plan.findings.part import (
    ONLY_BEGINNING,
    at_feature,
    cuts,
    ground_of,
    of_feature,
    side_of,
    total,
    worked_by,
)
from handwheel.plan.findings.rules import at, number, rule, show
from handwheel.plan.resolve import Plan, ResolvedOperation
from handwheel.values import SLACK

_DRILLS = ("drill", "drill-tailstock")


@rule
def what_is_left_on_comes_off(plan: Plan) -> Iterator[Finding]:
    """What an operation leaves on a feature is taken off by a later one."""
    for operation in plan.operations:
        left = operation.operation.leave
        if left is None or left.plain <= 0 or operation.feature is None or not cuts(operation):
            continue
        later = [one for one in worked_by(plan, operation.feature.id) if one.number > operation.number]
        if any(cuts(one) and one.operation.leave is None for one in later):
            continue
        yield at(
            operation,
            "left-unfinished",
            "{feature} is left {leave} from its size, and no later operation brings it there",
            "the part would be finished with stock still on it",
            "add the finishing operation, or remove leave",
            key="leave",
            values={"feature": operation.feature.id, **show(operation, leave="operation.leave")},
        )


@rule
def what_is_finished_is_not_roughed(plan: Plan) -> Iterator[Finding]:
    """No operation leaves stock on a feature that another has brought to its size already."""
    for operation in plan.operations:
        if operation.operation.leave is None or operation.feature is None:
            continue
        earlier = [one for one in worked_by(plan, operation.feature.id) if one.number < operation.number]
        done = [
            one
            for one in earlier
            if cuts(one) and one.operation.leave is None and one.recipe.does not in ONLY_BEGINNING
        ]
        if done:
            yield at(
                operation,
                "roughed-after-finishing",
                "{feature} is at its size after op {first}, and here stock is to be left on it",
                "what is off does not come on again",
                "look at the order of the two operations",
                key="leave",
                values={"feature": operation.feature.id, "first": str(done[0].number)},
            )


@rule
def bores_are_bored(plan: Plan) -> Iterator[Finding]:
    """A bore is brought to its size by boring: a drill makes its own, and only begins it."""
    for bore in plan.job.features:
        if not isinstance(bore, Bore):
            continue
        own = worked_by(plan, bore.id)
        if not bore.toleranced and {one.recipe.does for one in own if cuts(one)} == {"centre-drill"}:
            continue  # a centre for the tailstock, and no bore
        bored = [one for one in own if cuts(one) and one.recipe.does not in ONLY_BEGINNING]
        drilled = [one for one in own if one.recipe.does in _DRILLS]
        exact = any((number(one, "tool.diameter") or 0) == bore.diameter.plain for one in drilled)
        if own and not bored and not (exact and not bore.toleranced):
            yield at_feature(
                plan,
                bore,
                "bore-never-bored",
                "{bore} is {diameter}, and no operation bores it to that",
                "drilled alone it stays at the size of the drill, rough and out of round",
                "add an operation with the recipe bore",
                values={"bore": bore.id, "diameter": of_feature(bore, "diameter")},
            )


@rule
def drills_leave_something_to_bore(plan: Plan) -> Iterator[Finding]:
    """A drill for a bore is smaller than the bore, by enough for the boring tool to cut."""
    for operation in plan.operations:
        tool = find(("tool.diameter",), operation.scope)
        bore = operation.feature
        if not isinstance(bore, Bore) or operation.recipe.does not in _DRILLS:
            continue
        if tool is None or tool.plain is None:
            continue
        to_bore = total((1, of_feature(bore, "diameter")), (-1, tool)).number
        later = [one for one in worked_by(plan, bore.id) if one.number > operation.number and cuts(one)]
        told = {
            "bore": bore.id,
            "size": of_feature(bore, "diameter"),
            **show(operation, tool="tool.diameter"),
        }
        if to_bore < -SLACK or (later and to_bore < SLACK):
            yield at(
                operation,
                "drill-larger-than-bore",
                "the drill is {tool}, {bore} is {size}",
                "a bore once too large stays too large",
                "take the drill that is meant, or look at the diameter of the bore",
                key="tool",
                values=told,
            )
        elif later and to_bore < _LEAST_TO_BORE - SLACK:
            yield at(
                operation,
                "little-left-to-bore",
                "the drill is {tool}, {bore} is {size}: hardly anything is left to bore",
                "a drill wanders and cuts large: the bore may not clean up",
                "take a smaller drill",
                "doubt",
                key="tool",
                values=told,
            )
        elif _SMALL_DRILL * tool.number < bore.diameter.plain and not any(
            one.recipe.does == "drill" for one in later
        ):
            yield at(
                operation,
                "drill-far-smaller-than-bore",
                "the drill is {tool}, {bore} is {size}",
                "a boring bar that goes into so small a hole is thin: it may be the neighbour's drill",
                "take a larger drill before boring",
                "doubt",
                key="tool",
                values=told,
            )


_LEAST_TO_BORE = 0.5
"""What a drill has to leave to a boring tool, on diameter [mm]: common practice, no source."""

_SMALL_DRILL = 4.0
"""A drill smaller than one part in so many of its bore is doubted: common practice, no source."""


@rule
def bore_begins_in_a_hole(plan: Plan) -> Iterator[Finding]:
    """Boring goes after drilling, and a centre before a drill in the tailstock."""
    for operation in plan.operations:
        bore = operation.feature
        if not isinstance(bore, Bore) or not cuts(operation):
            continue
        after = [
            one
            for one in worked_by(plan, bore.id)
            if one.number > operation.number and one.recipe.does in ONLY_BEGINNING
        ]
        if operation.recipe.does not in ONLY_BEGINNING and after:
            yield at(
                after[0],
                "drilled-after-boring",
                "{bore} is drilled after op {first} has bored it",
                "a drill in a finished bore scores it, or cuts air",
                "put the drilling before the boring",
                values={"bore": bore.id, "first": str(operation.number)},
            )
            continue
        centred = [one for one in after if one.recipe.does in ("centre-drill", "spot")]
        if operation.recipe.does in _DRILLS and centred:
            yield at(
                centred[0],
                "centred-after-drilling",
                "{bore} is centred after op {first} has drilled it",
                "there is no metal left where the centre goes",
                "put the centre before the drill",
                values={"bore": bore.id, "first": str(operation.number)},
            )


@rule
def groove_comes_after_its_bore(plan: Plan) -> Iterator[Finding]:
    """A groove is cut once its bore is at its size."""
    for groove in plan.job.features:
        if not isinstance(groove, Groove):
            continue
        for cut in (one for one in worked_by(plan, groove.id) if cuts(one)):
            bores = [one for one in worked_by(plan, groove.of) if cuts(one)]
            later = [one for one in bores if one.number > cut.number]
            if later or not bores:
                yield at(
                    cut,
                    "groove-before-bore",
                    "{groove} is cut before {bore} is at its size",
                    "its diameter and place are taken from the bore, and boring leaves a burr in it",
                    "put the bore first",
                    values={"groove": groove.id, "bore": groove.of},
                )


@rule
def ground_comes_first(plan: Plan) -> Iterator[Finding]:
    """What stands on a shoulder or a flat is made after it: the metal over it is still there before."""
    for operation in plan.operations:
        feature = operation.feature
        if not isinstance(feature, (Hole, Flat, Slot)) or not cuts(operation):
            continue
        ground = ground_of(plan.job, feature.from_)
        if not isinstance(ground, (Spigot, Flat)):
            continue
        made = [one for one in worked_by(plan, ground.id) if _sized(one) and one.number < operation.number]
        if not made:
            yield at(
                operation,
                "ground-not-there",
                "{feature} is made from {ground}, which nobody has cut by then",
                "its depth would start in the raw stock over it",
                "cut {ground} first, or look at from again",
                values={"feature": feature.id, "ground": ground.id},
            )


@rule
def fine_sizes_are_read(plan: Plan) -> Iterator[Finding]:
    """A size with limits of its own is read before its operation is signed off."""
    for feature in plan.job.features:
        if not isinstance(feature, Toleranced) or not _is_fine(feature):
            continue
        # what is read while stock is left on is not the size that the limits are for
        own = [
            one
            for one in worked_by(plan, feature.id)
            if cuts(one) and one.steps and one.operation.leave is None
        ]
        read = any(step.step.kind == "reading" for one in own for step in one.steps)
        if own and not read:
            yield at_feature(
                plan,
                feature,
                "size-never-read",
                "{feature} has limits of its own, and no operation reads its size",
                "nobody would know whether it is within them",
                "take a recipe with a reading, or add one to your own",
                values={"feature": feature.id},
            )


def _is_fine(feature: Toleranced) -> bool:
    return feature.toleranced or getattr(feature, "mate", None) is not None


@rule
def face_of_a_length_comes_first(plan: Plan) -> Iterator[Finding]:
    """The face that a turned length or a depth starts at is not cut after it."""
    for operation in plan.operations:
        face = operation.feature
        if not isinstance(face, Face) or not cuts(operation):
            continue
        for feature in plan.job.features:
            if not isinstance(feature, (Outside, Spigot, Bore)) or _ends_nowhere(feature):
                continue
            if feature.from_ not in (face.id, face.side) or side_of(plan.job, feature) != face.side:
                continue
            earlier = [
                one for one in worked_by(plan, feature.id) if _sized(one) and one.number < operation.number
            ]
            if earlier:
                yield at(
                    operation,
                    "face-after-lengths",
                    "{face} is cut after {feature} was brought to its length from it",
                    "its length starts at the finished face; cutting that changes it",
                    "face first",
                    values={"face": face.id, "feature": feature.id},
                )


def _ends_nowhere(feature: Outside | Spigot | Bore) -> bool:
    return getattr(feature, "length", None) is None and getattr(feature, "depth", None) is None


def _sized(operation: ResolvedOperation) -> bool:
    return (
        cuts(operation) and operation.operation.leave is None and operation.recipe.does not in ONLY_BEGINNING
    )
