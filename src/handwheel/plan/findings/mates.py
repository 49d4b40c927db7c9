"""What has to fit a real part: that is measured before the cut, is that part, and agrees with the zone."""

from __future__ import annotations

from collections.abc import Iterator

from handwheel.models.features import Bore, Outside, Spigot
from handwheel.models.job import Mate
from handwheel.plan.binding import find
from handwheel.plan.finding import Finding
from handwheel.plan.findings.part import (
    ONLY_BEGINNING,
    as_value,
    at_mate,
    cuts,
    of_feature,
    of_mate,
    run,
    total,
    worked_by,
)
from handwheel.plan.findings.rules import at, number, rule, show
from handwheel.plan.resolve import Plan, ResolvedOperation
from handwheel.values import SLACK, Computed, Missing, Value, leaves

_Fitted = Outside | Spigot | Bore


def _fitted(plan: Plan) -> Iterator[tuple[_Fitted, Mate]]:
    for feature in plan.job.features:
        if isinstance(feature, (Outside, Spigot, Bore)) and feature.mate is not None:
            yield feature, plan.job.mate(feature.mate)


def _sizing(plan: Plan, feature: _Fitted) -> Iterator[ResolvedOperation]:
    """Give the operations that bring a feature to its size."""
    for operation in worked_by(plan, feature.id):
        sizes = operation.operation.leave is None and operation.recipe.does not in ONLY_BEGINNING
        if sizes and cuts(operation):
            yield operation


@rule
def mate_is_measured(plan: Plan) -> Iterator[Finding]:
    """What has to fit a real part is not brought to its size before that part was measured."""
    for feature, mate in _fitted(plan):
        if mate.fitted:
            continue
        for operation in _sizing(plan, feature):
            before = [one for one in plan.operations if one.number < operation.number]
            if any(one.recipe.does == "measure-mate" and one.operation.mate == mate.id for one in before):
                continue
            told = {"feature": feature.id, "mate": mate.what}
            if not mate.sizes:
                yield at(
                    operation,
                    "mate-not-measured",
                    "{feature} has to fit {mate}, and nobody has measured that",
                    "its catalogue size is not its size: the fit is a guess",
                    "put an operation with the recipe measure-mate before this one, or say that it is fitted",
                    keys=("mates", mate.id),
                    values=told,
                )
            else:
                yield at(
                    operation,
                    "mate-is-an-estimate",
                    "{feature} has to fit {mate}; its size {size} is typed, and no operation reads it",
                    "a number in a file is an estimate until the part itself was measured for this cut",
                    "put an operation with the recipe measure-mate before this one",
                    "doubt",
                    keys=("mates", mate.id, "measured"),
                    values={**told, "size": _measured(mate)},
                )


def _measured(mate: Mate) -> Value:
    """Give the first size that was typed for a mate."""
    return as_value(mate.sizes[0], f"job.toml mates.{mate.id}.measured", mate.basis)


@rule
def measuring_names_a_mate(plan: Plan) -> Iterator[Finding]:
    """An operation that measures a mate says which; a mate is the mate of a feature."""
    for operation in plan.operations:
        if operation.recipe.does == "measure-mate" and operation.operation.mate is None:
            yield at(
                operation,
                "measures-no-mate",
                "the operation measures a mate, and names none",
                "its readings would belong to nothing",
                'name the mate, such as mate = "bearing"',
            )
    used = {mate.id for _, mate in _fitted(plan)}
    for mate in plan.job.mates:
        if mate.id not in used:
            first = next((one for one in plan.operations if one.operation.mate == mate.id), None)
            yield Finding(
                "mate-of-nothing",
                "doubt",
                "no feature has to fit {mate}",
                "what would have been made to fit it is made to the drawing alone",
                "name it with its feature, or remove it",
                keys=("mates", mate.id),
                operation=first.number if first else None,
                values={"mate": mate.what},
            )


@rule
def mate_is_of_the_other_sort(plan: Plan) -> Iterator[Finding]:
    """A bore takes a shaft, and an outside goes into a hole."""
    for feature, mate in _fitted(plan):
        wanted = "shaft" if isinstance(feature, Bore) else "hole"
        if mate.is_ != wanted:
            yield at_mate(
                plan,
                mate,
                feature,
                "mate-of-the-wrong-sort",
                "{feature} is a {kind}; its mate, {mate}, is written down as a {sort}",
                "the fit would be reckoned to the wrong side",
                "say whether the mate is the shaft or the hole of the two, or name another mate",
                key="is",
                values={"feature": feature.id, "kind": feature.kind, "mate": mate.what, "sort": mate.is_},
            )


@rule
def mate_has_the_size(plan: Plan) -> Iterator[Finding]:
    """The catalogue size of a mate is the diameter of its feature, and what was measured is near it."""
    for feature, mate in _fitted(plan):
        nominal, diameter = of_mate(mate, "nominal"), of_feature(feature, "diameter")
        if abs(nominal.number - diameter.number) > SLACK:
            far = abs(nominal.number - diameter.number) > _OTHER_SIZE * diameter.number
            yield at_mate(
                plan,
                mate,
                feature,
                "mate-of-another-size",
                "{feature} is {diameter}; its mate, {mate}, is {nominal}",
                "the two of a fit have one nominal size: one of the numbers is of another part",
                "look at both on the drawing and in the catalogue",
                "stop" if far else "doubt",
                key="nominal",
                values={
                    "feature": feature.id,
                    "diameter": diameter,
                    "mate": mate.what,
                    "nominal": nominal,
                },
            )
        for size in mate.sizes:
            off = abs(size.plain - nominal.number)
            if off > _MEASURED_OFF:
                yield at_mate(
                    plan,
                    mate,
                    feature,
                    "measured-unlike-nominal",
                    "{mate} was measured as {measured}; by its catalogue it is {nominal}",
                    "so far off, it is another part, or a slip of the pen",
                    "measure it again",
                    "stop" if off > _OTHER_SIZE * nominal.number else "doubt",
                    key="measured",
                    values={
                        "mate": mate.what,
                        "measured": as_value(size, f"job.toml mates.{mate.id}.measured", mate.basis),
                        "nominal": nominal,
                    },
                )


_OTHER_SIZE = 0.01
"""Two sizes further apart than this share of one are of two parts: common practice, no source."""

_MEASURED_OFF = 0.1
"""A part that is to fit is not further [mm] off its catalogue size: common practice, no source."""


@rule
def fit_agrees_with_the_zone(plan: Plan) -> Iterator[Finding]:
    """Zone of the drawing and mate as measured leave something to make, and ask for much the same."""
    for operation in plan.operations:
        low, ends = operation.scope.get("own.min_size"), [find(names, operation.scope) for names in _DRAWN]
        if low is None or not isinstance(low.origin, Computed):
            continue
        missing = any(isinstance(leaf.origin, Missing) for leaf in leaves(low))
        if low.plain is None and not missing:
            yield at(
                operation,
                "zone-and-mate-contradict",
                "no size of {feature} is both within the drawing and right for its mate as measured",
                "whatever is made, one of the two is not kept",
                "measure the mate again; then agree on the zone or the fit with the one who needs the part",
                keys=("features", operation.feature.id, "mate") if operation.feature else None,
                values={"feature": operation.feature.id if operation.feature else ""},
            )
            continue
        own = number(operation, "own.tolerance")
        smallest, largest = ends
        if own is None or smallest is None or largest is None or None in (smallest.plain, largest.plain):
            continue
        drawn = total((1, largest), (-1, smallest))
        if own < _LITTLE * drawn.number:
            yield at(
                operation,
                "mate-leaves-little",
                "zone and mate together leave {own} of the {drawn} on the drawing",
                "one of the mate's sizes or clearances may be wrong",
                "measure the mate again, and look at its clearances",
                "doubt",
                keys=("features", operation.feature.id, "mate") if operation.feature else None,
                values={"drawn": drawn, **show(operation, own="own.tolerance")},
            )


_DRAWN = (("zoned.min_size", "given.min_size"), ("zoned.max_size", "given.max_size"))
_LITTLE = 0.4
"""Less than this share of the drawing's tolerance is little: common practice, no source."""


@rule
def mate_can_be_measured(plan: Plan) -> Iterator[Finding]:
    """What measures the mate is fine enough to leave something of the fit."""
    for operation in plan.operations:
        left = operation.scope.get("mated.min_size")
        if left is None or left.plain is not None or not isinstance(left.origin, Computed):
            continue
        if any(isinstance(leaf.origin, Missing) for leaf in leaves(left)):
            continue
        yield at(
            operation,
            "mate-not-measured-finely",
            "{gauge} is out by so much ({uncertainty}) that nothing of the fit is left to make",
            "the size made would follow the drawing alone, whatever the mate is",
            "measure the mate with a finer instrument, or offer it up: fitted = true",
            keys=("features", operation.feature.id, "mate") if operation.feature else None,
            values=show(operation, gauge="mate_gauge.instrument", uncertainty="mate_gauge.uncertainty"),
        )


@rule
def clearances_are_of_its_zone(plan: Plan) -> Iterator[Finding]:
    """The clearances asked for are not far wider than the zone, and there are some."""
    for feature, mate in _fitted(plan):
        if mate.min_clearance is None or mate.max_clearance is None:
            if not mate.fitted:
                yield at_mate(
                    plan,
                    mate,
                    feature,
                    "fit-not-said",
                    "how {feature} has to fit {mate} is not said",
                    "without clearances the mate has no say in the size",
                    "write down min_clearance and max_clearance",
                    "doubt" if feature.toleranced else "stop",
                    values={"feature": feature.id, "mate": mate.what},
                )
            continue
        zone = (
            run("limits", size=of_feature(feature, "diameter"), zone=of_feature(feature, "zone"))
            if feature.zone
            else None
        )
        least, most = mate.min_clearance.plain, mate.max_clearance.plain
        if zone is not None and most - least > _WIDE_FIT[mate.is_] * zone["tolerance"].number:
            yield at_mate(
                plan,
                mate,
                feature,
                "clearances-far-wider-than-zone",
                "the fit lets {least} to {most} of clearance, the zone of {feature} is {zone} wide",
                "so wide a fit has no say: one of its ends may have a digit too many, or its digits swapped",
                "look at both clearances again",
                "doubt",
                key="max_clearance",
                values={
                    "least": of_mate(mate, "min_clearance"),
                    "most": of_mate(mate, "max_clearance"),
                    "feature": feature.id,
                    "zone": zone["tolerance"],
                },
            )


_WIDE_FIT = {"hole": 3.0, "shaft": 2.0}
"""A fit so many times as wide as the zone rests on a slip, by what the mate is: common practice, no source.

A fit is as wide as the tolerances of hole and shaft together, and the hole is by a grade or two the coarser:
H7 on k6 is 2.6 times as wide as k6 (ISO 286-1, 25 mm), J7 on h6 1.6 times as wide as J7."""
