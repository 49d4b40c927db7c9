"""Sizes can be proven, firsts are measured, and carried numbers are confirmed."""

from __future__ import annotations

from collections.abc import Iterator

from handwheel.plan.finding import Finding
from handwheel.plan.findings.rules import at, number, place, rule, show
from handwheel.plan.resolve import Plan
from handwheel.values import Entered, leaves


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
                yield at(
                    operation,
                    "size-cannot-be-proven",
                    f"{named} cannot prove the size at step {step.id}",
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
            for value in operation.values.values()
            for leaf in leaves(value)
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
