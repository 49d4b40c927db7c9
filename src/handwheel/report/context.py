"""What every part of a sheet is made from."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from pydantic import BaseModel

from handwheel.models.sizes import Units
from handwheel.plan.finding import Finding
from handwheel.plan.resolve import ItemKey, Plan, ResolvedOperation, ResolvedStep
from handwheel.present.numbers import System
from handwheel.present.parts import Line, step_line, words, written
from handwheel.present.rows import column_value
from handwheel.report.book import Book
from handwheel.run.live import Item, units_of
from handwheel.values import Value

__all__ = ["Context"]

PlaceOf = Callable[[Finding], str]


@dataclass(frozen=True)
class Context:
    """The plan, the same plan with what was really set in the place of what was computed, and the record."""

    plan: Plan
    built: Plan
    book: Book
    place_of: PlaceOf

    @property
    def system(self) -> System:
        """The unit system of the job."""
        return self.plan.job.job.units

    @cached_property
    def names(self) -> frozenset[str]:
        """The identifiers of job and shop: a digit in one of them is no number."""
        known = set(self.plan.job.sides)
        for owner in (self.plan.job, self.plan.shop):
            known.update(_ids(owner))
        known.update(one.recipe for one in self.plan.job.operations)
        return frozenset(known)

    def step(self, step: ResolvedStep, position: int, operation: ResolvedOperation | None) -> Line:
        """Give the text of a step, in the units that it is worked in."""
        columns = self._columns_of(step)
        return step_line(step, position, self.units(step, operation), self.where(step, operation), columns)

    def _columns_of(self, step: ResolvedStep) -> Mapping[str, Value]:
        """Give the columns of the rows that a step is repeated over: made once, asked for at each row."""
        rows = step.rows
        if rows is None or not isinstance(rows.unit, Mapping):
            return {}
        if id(rows) not in self._columns:
            self._columns[id(rows)] = {name: column_value(rows, name) for name in rows.unit}
        return self._columns[id(rows)]

    @cached_property
    def _columns(self) -> dict[int, Mapping[str, Value]]:
        return {}

    def units(self, step: ResolvedStep, operation: ResolvedOperation | None) -> Units:
        """Give the units that a step is worked in: a hand sets in those of the machine."""
        number = operation.number if operation else 0
        return units_of(self.plan, Item(step.step.kind, ItemKey(number, step.id), operation, step))

    def where(self, step: ResolvedStep, operation: ResolvedOperation | None) -> str:
        """Say where the fixed words of a step are written."""
        recipe, _, own = step.id.rpartition(".")
        if not recipe and operation is not None:
            recipe = operation.recipe.id
        return f"recipe {recipe}, step {own}"

    def title(self, what: str, id: str | None) -> Line:
        """Give a thing of the shop by its title as the shop file has it, else by its id."""
        one = next((one for one in getattr(self.plan.shop, what) if one.id == id), None)
        if id is None:
            return ()
        if one is None:
            return (written(id, f"job.toml, the {what} it names"), words(" (not in the shop file)"))
        return (written(one.title, f"shop.toml {what}.{id}.title"),)


def _ids(owner: BaseModel) -> Iterator[str]:
    for name in type(owner).model_fields:
        held = getattr(owner, name)
        if isinstance(held, tuple):
            yield from (str(one.id) for one in held if hasattr(one, "id"))
