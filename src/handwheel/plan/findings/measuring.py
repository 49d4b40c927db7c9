"""Sizes can be proven, firsts are measured, and carried numbers are confirmed."""

from __future__ import annotations

from collections.abc import Iterator

from handwheel.calc import CATALOGUE
from handwheel.calc.catalogue import OUTSIDE
from handwheel.plan.finding import Finding
from handwheel.plan.findings.rules import at, number, place, rule, show
from handwheel.plan.resolve import Plan, ResolvedOperation
from handwheel.values import Call, Computed, Entered


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
                named = (
                    f"{gauge.plain} cannot prove" if gauge and gauge.plain else "no instrument on file spans"
                )
                yield at(
                    operation,
                    "size-cannot-be-proven",
                    f"{named} the size at step {step.id}",
                    "its uncertainty is as wide as the tolerance, or its range does not hold the size",
                    "write a finer instrument into the shop file, or look at the tolerance again",
                    key="feature",
                )
            elif (ratio := number(operation, "accept.ratio")) is not None and ratio < _GOOD_RATIO:
                yield at(
                    operation,
                    "coarse-instrument",
                    "{gauge} takes much of the tolerance: T/2U is {ratio}",
                    "good parts near a limit will read as not proven; 4 or more is usual",
                    "take a finer instrument where there is one",
                    "note",
                    key="feature",
                    values=show(operation, ratio="accept.ratio", gauge="gauge.instrument"),
                )


_GOOD_RATIO = 4.0


@rule
def first_is_measured(plan: Plan) -> Iterator[Finding]:
    """Of several alike, the first is measured before the second is cut (HF-43)."""
    for operation in plan.operations:
        several = [step for step in operation.steps if step.step.kind == "cut" and step.places > 1]
        read = any(step.step.kind == "reading" and step.places > 1 for step in operation.steps)
        if several and not read:
            yield at(
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
            for leaf in operation.leaves
            if isinstance(leaf.origin, Entered) and leaf.origin.basis == "carried"
        }
        for where, (text, leaf) in sorted(carried.items(), key=lambda one: one[0]):
            file, keys = place(where)
            yield at(
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


@rule
def numbers_are_usual(plan: Plan) -> Iterator[Finding]:
    """What a calculation warns of is told: a number outside the usual is doubted, other words are noted."""
    noted: set[str] = set()
    for operation in plan.operations:
        calls = {id(call): call for call in _calls(operation)}
        for call in calls.values():
            for warning in call.warnings:
                told = {"calculation": CATALOGUE[call.calculation].title, "warning": warning}
                if OUTSIDE in warning:
                    yield at(
                        operation,
                        "unusual-number",
                        "{calculation}: {warning}",
                        "a digit too many or too few looks like this",
                        "look at the number again",
                        "doubt",
                        values=told,
                    )
                elif warning not in noted and not any(words in warning for words in _OF_THE_MODEL):
                    noted.add(warning)
                    yield at(
                        operation,
                        "said-by-a-calculation",
                        "{calculation}: {warning}",
                        "the number stands, and rests on what is said",
                        "look at the number before you set it",
                        "note",
                        values=told,
                    )


_OF_THE_MODEL = (
    "theoretical, the best case",
    "the force by the key is the maker's",
    "by this arithmetic",
    "a chuck maker asks for a safety factor",
    "more than against turning",
    "tolerance over 2 U is",
)
"""Words of what is said of a model each time it is used, or told by a rule of its own: they ask for nothing,
and stand under "why" with the number."""


@rule
def tolerances_are_tolerances(plan: Plan) -> Iterator[Finding]:
    """A tolerance is small beside its size."""
    for operation in plan.operations:
        width = number(operation, "given.tolerance")
        if width is not None and width > _WIDE:
            yield at(
                operation,
                "wide-tolerance",
                "the tolerance of {feature} is {width} wide",
                "a limit that wide lets every size pass",
                "look at upper and lower again",
                "doubt",
                values={
                    "feature": operation.feature.id if operation.feature else "",
                    **show(operation, width="given.tolerance"),
                },
            )


_WIDE = 2.0
"""A tolerance wider than this [mm] on a machined size is doubted: common practice, no source."""


_TOLD_ELSEWHERE = ("acceptance", "instrument_for")
"""What these warn of is told by `sizes_can_be_proven`."""


def _calls(operation: ResolvedOperation) -> Iterator[Call]:
    for value in operation.values.values():
        if isinstance(value.origin, Computed) and value.origin.call.calculation not in _TOLD_ELSEWHERE:
            yield value.origin.call
