"""Recipes checked at load, and their references bound to Values: this module binds, it never computes.

`verify` holds a recipe against the facts and the catalogue: every reference exists, stands above, and
has the shape and unit that its input declares. `bind` is the loop that fills a scope: collect inputs,
`run` the calculation, put the results into the scope as `name.result`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from handwheel.calc import CATALOGUE, Declared
from handwheel.errors import nearest
from handwheel.models.recipe import Compute, Constant, Recipe, References, Step
from handwheel.plan.facts import Facts
from handwheel.plan.names import FACTS
from handwheel.values import Computed, Listed, Missing, Unit, Value

__all__ = ["Problem", "Scope", "bind", "chosen", "fields", "find", "holds", "verify"]

Scope = Mapping[str, Value]
Library = Mapping[str, Recipe]

PLACE = "place"
"""The root of the fields of the row that a repeated step stands at."""

LEFT = frozenset(
    {
        "left.amount", "left.per_side",
        "left.advance", "left.advance_per_side", "left.expected", "left.uncertainty", "left.advice",
        "left.kind", "left.set_to", "left.turns", "left.shows",
    }
)  # fmt: skip
"""What is left to come off after a reading, and the next cut, for the `again` text of a cut."""


_ROOTS = {name.partition(".")[0] for name in FACTS} | {"constants", "place", "left"}


@dataclass(frozen=True, slots=True)
class Problem:
    """One fault of a recipe: the key path at which it stands, and what is wrong."""

    keys: tuple[str | int, ...]
    what: str


@dataclass(frozen=True, slots=True)
class _Known:
    """What is known about a name before there are values: its shape, its unit, its fields."""

    shape: str
    unit: Unit
    optional: bool = False


def references(given: References | None) -> tuple[str, ...]:
    """Give one reference or several as a tuple."""
    if given is None:
        return ()
    return (given,) if isinstance(given, str) else given


def fields(text: str) -> tuple[str, ...]:
    """Give the names of the `{name}` fields of a text, in order."""
    return tuple(re.findall(r"\{([^{}]*)\}", text))


def used_by(recipe: Recipe, library: Library, above: frozenset[str] = frozenset()) -> tuple[Recipe, ...]:
    """Give the shared recipes that lend their values, each once and after those it uses, then the recipe."""
    parts: dict[str, Recipe] = {}
    above = above | {recipe.id}
    for id in recipe.use:
        if id in library and id not in above:
            parts |= {one.id: one for one in used_by(library[id], library, above) if one.id not in parts}
    return (*parts.values(), recipe)


# --- binding ---------------------------------------------------------------------------------------


def bind(recipe: Recipe, library: Library, facts: Facts, pinned: Facts = MappingProxyType({})) -> Scope:
    """Fill a scope: the facts, the constants, and every computed result as `name.result`.

    A `pinned` value stands in the place of the result of that name: all that follows rests on it.
    """
    scope: dict[str, Value] = dict(facts)
    for part in used_by(recipe, library):
        for name, constant in part.constants.items():
            scope[f"constants.{name}"] = _constant(part, name, constant)
        for compute in part.compute:
            if holds(compute.when, scope):
                results = CATALOGUE.find(compute.calc).run(_inputs(part, compute, scope))
                named = {f"{compute.name}.{name}": value for name, value in results.items()}
                scope.update({name: pinned.get(name, value) for name, value in named.items()})
    return scope


def find(given: References | None, scope: Scope) -> Value | None:
    """Give the first of the references that is on file; else one that says what is missing; else None."""
    name = chosen(given, scope)
    return None if name is None else scope[name]


def chosen(given: References | None, scope: Scope) -> str | None:
    """Give the name of the reference that `find` takes; None where none is there."""
    there = [name for name in references(given) if name in scope]
    return next((name for name in there if scope[name].plain is not None), there[0] if there else None)


def holds(conditions: Sequence[str], scope: Scope) -> bool:
    """Tell whether all conditions hold; a yes or no that is not on file counts as no."""
    for condition in conditions:
        name = condition.removeprefix("not ")
        value = scope.get(name)
        if bool(value and value.plain) == (name != condition):
            return False
    return True


def _inputs(recipe: Recipe, compute: Compute, scope: Scope) -> dict[str, Value]:
    declared = CATALOGUE.find(compute.calc).inputs
    inputs: dict[str, Value] = {}
    for name, given in compute.in_.items():
        value = find(given, scope)
        if value is None and declared[name].required:
            where = f"recipe {recipe.id}, {compute.name}.{name}"
            value = Value(None, declared[name].unit, Missing(where, f"one of {', '.join(references(given))}"))
        if value is not None and (declared[name].required or _applies(value)):
            inputs[name] = value
    return inputs


def _applies(value: Value) -> bool:
    """Tell whether a value is there, or missing: not one that its calculation, having run, has none of.

    Gripped from inside a chuck has no speed at which it lets go: that is no limit, and nothing is missing.
    """
    if value.plain is not None or not isinstance(value.origin, Computed):
        return True
    return all(result is None for result in value.origin.call.results.values())


def _constant(recipe: Recipe, name: str, constant: Constant) -> Value:
    plain = constant.value
    if isinstance(plain, int) and not isinstance(plain, bool):
        plain = float(plain)
    return Value(plain, constant.unit, Listed(f"recipe {recipe.id}, constants.{name}", constant.source))


# --- checking at load ------------------------------------------------------------------------------


def verify(recipe: Recipe, library: Library) -> list[Problem]:
    """Find everything in a recipe that could not be bound, without any job at hand."""
    problems = [
        Problem(("use", index), f'there is no shared recipe "{id}"{nearest(id, library)}')
        for index, id in enumerate(recipe.use)
        if id not in library or library[id].belongs != "shared"
    ]
    known = {
        name: _Known(fact.shape, fact.unit, optional=not fact.ask and fact.shape != "flag")
        for name, fact in FACTS.items()
    }
    for part in used_by(recipe, library):
        own = part is recipe
        for name, constant in part.constants.items():
            known[f"constants.{name}"] = _Known(_shape_of(constant), constant.unit)
        for index, compute in enumerate(part.compute):
            found = list(_check_compute(compute, index, known))
            problems.extend(found if own else ())
            if compute.calc in CATALOGUE:
                known.update(_results_of(compute))
    for index, after in enumerate(recipe.after):
        problems.extend(_check_conditions(after.when, ("after", index), known))
    for index, step in enumerate(recipe.steps):
        problems.extend(_check_step(step, index, known))
    return problems


def _shape_of(constant: Constant) -> str:
    if isinstance(constant.value, bool):
        return "flag"
    return "text" if isinstance(constant.value, str) else "number"


def _results_of(compute: Compute) -> dict[str, _Known]:
    results = CATALOGUE.find(compute.calc).results
    return {f"{compute.name}.{name}": _Known(one.shape, one.unit) for name, one in results.items()}


def _check_compute(compute: Compute, index: int, known: Mapping[str, _Known]) -> Iterator[Problem]:
    here: tuple[str | int, ...] = ("compute", index)
    if compute.name in _ROOTS:
        yield Problem((*here, "name"), f'"{compute.name}" is the root of facts; take another name')
    if compute.calc not in CATALOGUE:
        what = f'there is no calculation "{compute.calc}"{nearest(compute.calc, CATALOGUE)}'
        yield Problem((*here, "calc"), what)
        return
    yield from _check_conditions(compute.when, here, known)
    declared = CATALOGUE.find(compute.calc).inputs
    for name, given in compute.in_.items():
        keys = (*here, "in", name)
        if name not in declared:
            yield Problem(keys, f'{compute.calc} has no input "{name}"{nearest(name, declared)}')
        else:
            yield from _check_references(given, declared[name], keys, known)
    missing = [name for name, one in declared.items() if one.required and name not in compute.in_]
    if missing:
        yield Problem((*here, "in"), f"{compute.calc} also needs {', '.join(missing)}")


def _check_references(
    given: References, wanted: Declared, keys: tuple[str | int, ...], known: Mapping[str, _Known]
) -> Iterator[Problem]:
    for name in references(given):
        if name not in known:
            yield Problem(keys, _unknown(name, known))
            continue
        one = known[name]
        if not _fits(one, wanted):
            yield Problem(keys, f"{name} is {_kind(one.shape, one.unit)}; expected {_kind_of(wanted)}")
        elif one.optional and wanted.required and name == references(given)[-1]:
            yield Problem(keys, f"{name} may be left out of a job, but {wanted.name} is always needed")


def _fits(one: _Known, wanted: Declared) -> bool:
    same_shape = one.shape == wanted.shape or {one.shape, wanted.shape} == {"number", "count"}
    if one.shape == "rows" and wanted.shape == "rows":
        return isinstance(one.unit, Mapping) and set(one.unit) == set(wanted.fields)
    return same_shape and one.unit == wanted.unit


def _check_conditions(
    conditions: Sequence[str], here: tuple[str | int, ...], known: Mapping[str, _Known]
) -> Iterator[Problem]:
    for condition in conditions:
        name = condition.removeprefix("not ")
        if name not in known:
            yield Problem((*here, "when"), _unknown(name, known))
        elif known[name].shape != "flag":
            yield Problem((*here, "when"), f"{name} is {known[name].shape}; expected a yes or no")


def _check_step(step: Step, index: int, known: Mapping[str, _Known]) -> Iterator[Problem]:
    here: tuple[str | int, ...] = ("steps", index)
    yield from _check_conditions(step.when, here, known)
    rows = dict[str, _Known]()
    for key, given in (("each", step.each), ("table", step.table)):
        for name in references(given):
            if name not in known:
                yield Problem((*here, key), _unknown(name, known))
            elif known[name].shape != "rows":
                yield Problem((*here, key), f"{name} is {known[name].shape}; expected a list of rows")
            elif key == "each":
                rows = _row_fields(known[name])
    own = {"expect"} if step.takes.expect else set()
    texts = (
        ("text", step.text, own),
        ("again", step.again or "", own | LEFT),
        ("back", step.back or "", LEFT),
    )
    for key, text, also in texts:
        for name in fields(text):
            if name not in known and name not in rows and name not in also:
                yield Problem((*here, key), _unknown(name, {**known, **rows}))
    yield from _check_numbers(step, here, known)


def _row_fields(rows: _Known) -> dict[str, _Known]:
    units = rows.unit if isinstance(rows.unit, Mapping) else {}
    fields_of_row = {f"{PLACE}.{name}": _Known("number", unit) for name, unit in units.items()}
    return fields_of_row | {f"{PLACE}.number": _Known("count", ""), f"{PLACE}.count": _Known("count", "")}


def _check_numbers(step: Step, here: tuple[str | int, ...], known: Mapping[str, _Known]) -> Iterator[Problem]:
    big_units = {known[name].unit for name in references(step.big) if name in known}
    for key, given in (("big", step.big), ("limit", step.limit), ("stands", step.stands)):
        for name in references(given):
            if name not in known:
                yield Problem((*here, key), _unknown(name, known))
            elif known[name].unit not in big_units:
                units = ", ".join(str(unit) for unit in big_units) or "no unit: there is no big"
                yield Problem(
                    (*here, key), f"{name} is in {known[name].unit}; the large number is in {units}"
                )
    takes = step.takes
    for key in _NUMBERS_OF_A_READING:
        for name in references(getattr(takes, key)):
            if name not in known:
                yield Problem((*here, "takes", key), _unknown(name, known))
            elif key not in _UNITS_OF_THEIR_OWN and known[name].unit != takes.unit:
                what = f"{name} is in {known[name].unit}; the step takes {takes.unit or 'no unit'}"
                yield Problem((*here, "takes", key), what)
    if takes.twice:
        yield from _check_conditions((takes.twice,), (*here, "takes", "twice"), known)
    if takes.names and takes.names not in FACTS:
        yield Problem((*here, "takes", "names"), _unknown(takes.names, FACTS))


_UNITS_OF_THEIR_OWN = ("instrument", "at_temperature", "gauge_temperature", "expansion")

_NUMBERS_OF_A_READING = (
    "expect", "low", "high", "lower_acceptance", "upper_acceptance", "uncertainty",
    "aim", "start", "dial", "thinnest", "touched", *_UNITS_OF_THEIR_OWN,
)  # fmt: skip


def _unknown(name: str, known: Mapping[str, object]) -> str:
    return f'there is no "{name}" at this place{nearest(name, known)}'


def _kind(shape: str, unit: Unit) -> str:
    return f"a {shape}" + (f" in {unit}" if isinstance(unit, str) and unit else "")


def _kind_of(wanted: Declared) -> str:
    return f"{_kind(wanted.shape, wanted.unit)} ({wanted.name})"
