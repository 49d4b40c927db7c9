"""Job, shop and recipes made into resolved operations: steps with values, each value with its trace."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import chain
from typing import Any, Literal, NamedTuple

from handwheel.calc import CATALOGUE
from handwheel.errors import InputError
from handwheel.models.features import AnyFeature
from handwheel.models.job import Job, Operation
from handwheel.models.recipe import Recipe, Step
from handwheel.models.shop import Shop
from handwheel.plan.binding import Library, Scope, bind, chosen, fields, find, holds
from handwheel.plan.facts import Facts, facts
from handwheel.plan.finding import Finding
from handwheel.plan.names import FACTS
from handwheel.values import Computed, Entered, Missing, Origin, Value, leaves

__all__ = [
    "ItemKey",
    "Limit",
    "Plan",
    "PlannedItem",
    "ResolvedOperation",
    "ResolvedStep",
    "resolve",
    "second_opinion",
    "with_pinned",
]

Limit = Literal[
    "expect", "low", "high", "lower_acceptance", "upper_acceptance",
    "aim", "start", "dial", "thinnest", "touched", "uncertainty",
]  # fmt: skip
"""What is expected of an answer, the limits it is held against, and what the next cut is computed from."""

Owner = Literal["session", "restart", "setup", "tool", "operation"]


@dataclass(frozen=True, slots=True)
class ResolvedStep:
    """A step of an operation with the values it shows and takes."""

    id: str
    owner: Owner
    step: Step
    scope: Scope
    places: int = 1
    rows: Value | None = None

    @property
    def big(self) -> Value | None:
        """The number to set or to stop at, drawn large."""
        return find(self.step.big, self.scope)

    def value(self, name: Limit) -> Value | None:
        """What is expected of the answer, or one of its limits."""
        return find(getattr(self.step.takes, name), self.scope)

    @property
    def limit(self) -> Value | None:
        """The limit that a set value may not pass."""
        return find(self.step.limit, self.scope)

    @property
    def instrument(self) -> Value | None:
        """The instrument that the reading is taken with."""
        return find(self.step.takes.instrument, self.scope)

    @property
    def table(self) -> Value | None:
        """The rows to show beside the live line, such as pecks."""
        return find(self.step.table, self.scope)

    def on_show(self, position: int) -> dict[str, Value]:
        """The values that the text names, at a place of the pattern."""
        known = {**self.scope, **self.place(position)}
        return {name: known[name] for name in fields(self.step.text) if name in known}

    def place(self, number: int) -> dict[str, Value]:
        """The fields of the row that a repeated step stands at, from 1."""
        if self.rows is None or not isinstance(self.rows.plain, tuple):
            return {}
        row, units = self.rows.plain[number - 1], self.rows.unit
        assert isinstance(units, Mapping)  # the unit of rows is the unit of each field
        cells = {
            f"place.{name}": Value(getattr(row, name), units[name], _of_field(self.rows, name))
            for name in units
        }
        counted = {"place.number": number, "place.count": self.places}
        return cells | {name: Value(count, "", self.rows.origin) for name, count in counted.items()}


class ItemKey(NamedTuple):
    """Where an item stands: what the record names it by."""

    operation: int
    step: str
    position: int = 1
    cut_pass: int = 1


class PlannedItem(NamedTuple):
    """One item of an operation in its order; `governor` is the reading that may ask for its cut again."""

    step: ResolvedStep
    position: int
    governor: tuple[str, int] | None
    first: ItemKey


@dataclass(frozen=True)
class ResolvedOperation:
    """An operation with its recipe's values and steps, in the order they are worked."""

    operation: Operation
    recipe: Recipe
    feature: AnyFeature | None
    scope: Scope
    steps: tuple[ResolvedStep, ...]
    problem: str = ""
    planned: ResolvedOperation | None = None
    """The operation as planned, where a person's settings stand in the place of computed ones."""
    pinned: Facts = field(default_factory=dict)
    """What was set and measured, by the names it stands for."""

    @property
    def number(self) -> int:
        """The number of the operation, which is for good."""
        return self.operation.number

    @cached_property
    def items(self) -> tuple[PlannedItem, ...]:
        """The steps unrolled: a run of steps over the same rows is worked place by place."""
        return tuple(_unroll(self.number, self.steps))

    @cached_property
    def values(self) -> dict[str, Value]:
        """The values of the operation by name: every result that applies, and what the steps show.

        Those of a list that is asked before it stand under the name of the list.
        """
        shown = {name for step in self.steps if step.owner == "operation" for name in _names(step)}
        own = {name: value for name, value in self.scope.items() if _counts(value) or name in shown}
        for step in self.steps:
            if step.owner != "operation":
                prefix, scope = step.id.partition(".")[0], step.scope
                listed = {name for name in scope if _counts(scope[name])} | set(_names(step))
                own |= {f"{prefix}.{name}": scope[name] for name in sorted(listed) if name in scope}
        return own

    @cached_property
    def leaves(self) -> tuple[Value, ...]:
        """The entered, listed and missing values that the values of the operation rest on."""
        return tuple(leaves(*self.values.values()))

    @cached_property
    def used(self) -> dict[str, str]:
        """Every entered or missing leaf that the plan of it rests on: where it stands, and its text."""
        if self.planned is not None:
            return self.planned.used
        texts: dict[str, str] = {}
        for leaf in self.leaves:
            if isinstance(leaf.origin, Entered):
                texts[leaf.origin.where] = leaf.origin.text
            elif isinstance(leaf.origin, Missing):
                texts[leaf.origin.where] = ""
        return dict(sorted(texts.items()))


@dataclass(frozen=True)
class Plan:
    """The whole job, resolved.

    `session` is the list asked when a person sits down, `restarts` those asked before a machine turns again,
    by the setup that is live then.
    """

    job: Job
    shop: Shop
    operations: tuple[ResolvedOperation, ...]
    session: tuple[ResolvedStep, ...] = ()
    restarts: Mapping[str, tuple[ResolvedStep, ...]] = field(default_factory=dict)
    folder: str = ""
    library: Mapping[str, Recipe] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()

    @cached_property
    def restart(self) -> tuple[ResolvedStep, ...]:
        """Every step that is asked before some machine turns again, each once."""
        return tuple({step.id: step for steps in self.restarts.values() for step in steps}.values())

    @cached_property
    def by_number(self) -> dict[int, ResolvedOperation]:
        """The operations by number."""
        return {operation.number: operation for operation in self.operations}

    @cached_property
    def by_feature(self) -> dict[str, tuple[ResolvedOperation, ...]]:
        """The operations on each feature itself, in order."""
        found: dict[str, list[ResolvedOperation]] = {}
        for operation in self.operations:
            if operation.operation.feature is not None:
                found.setdefault(operation.operation.feature, []).append(operation)
        return {id: tuple(operations) for id, operations in found.items()}


def resolve(job: Job, shop: Shop, library: Library, folder: str = "") -> Plan:
    """Resolve every operation in order, with the lists of its setup and tool where those begin."""
    operations: list[ResolvedOperation] = []
    setup: str | None = None
    tool: str | None = None
    for operation in sorted(job.operations, key=lambda one: one.number):
        known = _facts(job, shop, operation, library)
        lists: list[Iterator[ResolvedStep]] = []
        machine = shop.machine(job.setup(operation.setup).machine)
        kind = machine.kind if machine else ""
        does = library[operation.recipe].does if operation.recipe in library else ""
        if operation.setup != setup and does not in _BEFORE_THE_SETUP:
            lists.append(_list_steps(library, "setup", kind, known))
            setup, tool = operation.setup, None
        if operation.tool is not None and operation.tool != tool:
            lists.append(_list_steps(library, "tool", kind, known))
            tool = operation.tool
        operations.append(_operation(job, library, operation, known, lists))
    first = operations[0].scope if operations else {}
    machine = shop.machine(job.setup(operations[0].operation.setup).machine) if operations else None
    kind = machine.kind if machine else ""
    return Plan(
        job,
        shop,
        tuple(operations),
        tuple(_list_steps(library, "session", kind, first)),
        _restarts(job, shop, library, operations),
        folder,
        library,
    )


def _restarts(
    job: Job, shop: Shop, library: Library, operations: Iterable[ResolvedOperation]
) -> dict[str, tuple[ResolvedStep, ...]]:
    """Resolve what is asked before the machine of each setup turns again."""
    found: dict[str, tuple[ResolvedStep, ...]] = {}
    for operation in operations:
        setup = operation.operation.setup
        if setup not in found:
            machine = shop.machine(job.setup(setup).machine)
            found[setup] = tuple(
                _list_steps(library, "restart", machine.kind if machine else "", operation.scope)
            )
    return found


_BEFORE_THE_SETUP = ("turn-over", "change-jaws")
"""What is done before the piece is held as its setup says: the list of the setup is asked after it."""


def with_pinned(plan: Plan, operation: ResolvedOperation, pinned: Facts) -> ResolvedOperation:
    """Resolve an operation again with values in the place of facts and results, and all that follows."""
    known = dict(_facts(plan.job, plan.shop, operation.operation, plan.library))
    known.update({name: value for name, value in pinned.items() if name in FACTS})
    scope = bind(operation.recipe, plan.library, known, pinned=pinned)
    lists = (step for step in operation.steps if step.owner != "operation")
    steps = (*lists, *_steps(operation.recipe, "operation", scope))
    planned = operation.planned or operation
    return replace(planned, scope=scope, steps=steps, planned=planned, pinned=pinned)


def _facts(job: Job, shop: Shop, operation: Operation, library: Library) -> Facts:
    recipe = library.get(operation.recipe)
    return facts(job, shop, operation, recipe.does if recipe else "")


def _operation(
    job: Job, library: Library, operation: Operation, known: Scope, lists: Iterable[Iterator[ResolvedStep]]
) -> ResolvedOperation:
    """Resolve an operation; where it or a list before it cannot be computed, it has no steps."""
    feature = job.feature(operation.feature) if operation.feature else None
    recipe = library.get(operation.recipe)
    if recipe is None:
        empty = Recipe(id=operation.recipe, title=operation.recipe)
        return ResolvedOperation(operation, empty, feature, known, (), "unknown recipe")
    try:
        asked = tuple(chain.from_iterable(lists))
        scope = bind(recipe, library, known)
        scope = _as_the_person_set_it(operation, scope, recipe, library, known)
    except InputError as fault:
        return ResolvedOperation(operation, recipe, feature, known, (), str(fault))
    return ResolvedOperation(operation, recipe, feature, scope, (*asked, *_steps(recipe, "operation", scope)))


def _as_the_person_set_it(
    operation: Operation, scope: Scope, recipe: Recipe, library: Library, known: Scope
) -> Scope:
    """Bind again with the person's spindle speed in the place of the machine's computed one."""
    setting = operation.settings
    if setting is None or "set.spindle_speed" not in scope:
        return scope
    where = f"job.toml operations.{operation.number}.settings.spindle_speed"
    speed = setting.spindle_speed
    own = Value(speed.plain, "1/min", Entered(where, speed.text, speed.basis or operation.basis))
    try:
        return bind(recipe, library, known, pinned={"set.spindle_speed": own})
    except InputError:  # beyond what the machine has: the check holds it against the limit
        return {**scope, "set.spindle_speed": own}


def _of_field(rows: Value, name: str) -> Origin:
    """Give the origin of one field of the rows: a result is named down to its field."""
    if isinstance(rows.origin, Computed):
        return Computed(rows.origin.call, f"{rows.origin.result}.{name}")
    return rows.origin


def _list_steps(library: Library, belongs: str, kind: str, scope: Scope) -> Iterator[ResolvedStep]:
    for recipe in library.values():
        if recipe.belongs == belongs and (not recipe.machines or kind in recipe.machines):
            owner: Any = belongs
            yield from _steps(recipe, owner, bind(recipe, library, scope))


def _steps(recipe: Recipe, owner: Owner, scope: Scope) -> Iterator[ResolvedStep]:
    prefix = "" if owner == "operation" else f"{recipe.id}."
    for step in recipe.steps:
        if holds(step.when, scope):
            rows = find(step.each, scope)
            places = len(rows.plain) if rows is not None and isinstance(rows.plain, tuple) else 1
            yield ResolvedStep(prefix + step.id, owner, step, scope, places, rows)


def _unroll(number: int, steps: tuple[ResolvedStep, ...]) -> Iterator[PlannedItem]:
    index = 0
    while index < len(steps):
        block = [steps[index]]
        while (
            steps[index].step.each
            and index + len(block) < len(steps)
            and steps[index + len(block)].step.each == steps[index].step.each
        ):
            block.append(steps[index + len(block)])
        for position in range(1, block[0].places + 1):
            here = [step for step in block if _stands_at(step, position)]
            yield from _governed(number, here, position, steps)
        index += len(block)


def _stands_at(step: ResolvedStep, position: int) -> bool:
    at = step.step.at
    return at == "each" or (at == "first" and position == 1) or (at == "last" and position == step.places)


def _governed(
    number: int, block: list[ResolvedStep], position: int, steps: tuple[ResolvedStep, ...]
) -> Iterator[PlannedItem]:
    for step in block:
        reading = _reading_of(step, steps)
        stands = reading is not None and (reading.step.each is None or _stands_at(reading, position))
        governor = (reading.id, position) if reading is not None and stands else None
        yield PlannedItem(step, position, governor, ItemKey(number, step.id, position))


def _reading_of(step: ResolvedStep, steps: tuple[ResolvedStep, ...]) -> ResolvedStep | None:
    """Give the reading that may ask for this step again: the one that follows its cut."""
    if step.step.kind == "reading":
        return step
    after = steps[steps.index(step) + 1 :]
    cut_seen = step.step.kind == "cut"
    for other in after:
        if other.step.each != step.step.each or other.owner != step.owner:
            return None
        if other.step.kind == "cut":
            return None
        if other.step.kind == "reading" and other.step.takes.removing:
            return other if cut_seen else None
    return None


def _names(step: ResolvedStep) -> Iterator[str]:
    """Give the names that a step shows and takes: of several references the one that counts."""
    yield from fields(step.step.text)
    takes = step.step.takes
    of_step = step.step
    shown = (of_step.big, of_step.turns, of_step.limit, of_step.stands, of_step.table, of_step.each)
    held = (takes.expect, takes.low, takes.high, takes.lower_acceptance, takes.upper_acceptance)
    cutting = (takes.aim, takes.start, takes.dial, takes.thinnest, takes.touched, takes.uncertainty)
    for given in (*shown, takes.instrument, *held, *cutting):
        name = chosen(given, step.scope)
        if name is not None:
            yield name


def _counts(value: Value) -> bool:
    """Tell whether a value is a result, and one that applies (no feed per turn of a milling cutter)."""
    if not isinstance(value.origin, Computed):
        return False
    return value.plain is not None or all(result is None for result in value.origin.call.results.values())


def second_opinion(operation: ResolvedOperation) -> Iterator[str]:
    """Compute everything again by the second routes; say where the second route disagrees."""
    seen: set[int] = set()
    for value in operation.values.values():
        if isinstance(value.origin, Computed) and id(value.origin.call) not in seen:
            seen.add(id(value.origin.call))
            said = CATALOGUE.find(value.origin.call.calculation).recheck(value.origin.call)
            if said:
                yield said
