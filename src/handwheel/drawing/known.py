"""What is known of an operation: its values by name, and those of the other operations on the same feature.

A section shows the feature as it will be, so that the depth of a hole is also known to the operation that
chamfers it. The operation's own values come first; one taken from another says which in its name.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from handwheel.models.features import AnyFeature, Face, Flat, OfAnother, Spigot
from handwheel.models.job import Job, base_of
from handwheel.models.sizes import Size
from handwheel.plan.resolve import Plan, ResolvedOperation
from handwheel.present.numbers import System
from handwheel.values import Computed, Entered, Value

__all__ = ["Known", "Named", "offset_of", "side_of"]


class Named(NamedTuple):
    """A value with the name that it stands under, and its number [mm or deg]."""

    name: str
    value: Value

    @property
    def number(self) -> float:
        """The plain number."""
        return self.value.number


class Known:
    """The values that a drawing of an operation may show."""

    def __init__(self, plan: Plan, operation: ResolvedOperation) -> None:
        self.plan = plan
        self.job: Job = plan.job
        self.operation = operation
        self.feature = operation.feature
        self.base = base_of(plan.job, operation.feature) if operation.feature is not None else None
        self._scopes = [("", operation.scope), *self._of_the_others()]

    def _of_the_others(self) -> Iterator[tuple[str, Mapping[str, Value]]]:
        if self.base is None:
            return
        for one in self.job.operations_by_base.get(self.base.id, ()):
            other = self.plan.by_number.get(one.number)
            if other is not None and other.number != self.operation.number:
                yield f"op {other.number} ", other.scope

    @property
    def dial(self) -> System:
        """The unit system that the machine is set in: places are driven to by its readout or dials."""
        metric = self.operation.scope.get("machine.metric")
        if metric is None:
            return self.job.job.units
        return "mm" if metric.plain else "inch"

    def fact(self, name: str) -> Named | None:
        """Give a number above nothing that stands in the operation's facts under this name."""
        for prefix, scope in self._scopes:
            value = scope.get(name)
            if value is not None and _is_size(value):
                return Named(prefix + name, value)
        return None

    def said(self, name: str) -> bool:
        """Tell whether a yes or no of the operation is yes."""
        return any(scope[name].plain is True for _, scope in self._scopes if name in scope)

    def word(self, name: str) -> str:
        """Give a word on file, or ""."""
        found = (scope[name].plain for _, scope in self._scopes if name in scope)
        return next((word for word in found if isinstance(word, str)), "")

    def result(self, calculation: str, result: str, *, own: bool = False) -> Named | None:
        """Give a result of a calculation, whatever a recipe calls it; `own` of this operation alone."""
        for prefix, scope in self._scopes[: 1 if own else None]:
            for name, value in scope.items():
                origin = value.origin
                if (
                    isinstance(origin, Computed)
                    and origin.result == result
                    and origin.call.calculation == calculation
                    and _is_size(value)
                ):
                    return Named(prefix + name, value)
        return None

    def rows(self, result: str, listed: str) -> Value | None:
        """Give a list of rows: a result of that name, or what is listed by hand."""
        for _, scope in self._scopes:
            for value in (*scope.values(), scope.get(listed)):
                if value is None or not isinstance(value.plain, tuple):
                    continue
                computed = isinstance(value.origin, Computed) and value.origin.result == result
                if computed or value is scope.get(listed):
                    return value
        return None

    def given(self, calculation: str, name: str) -> Named | None:
        """Give what a calculation was given, where that stands under a name of its own."""
        for prefix, scope in self._scopes:
            calls = (one.origin.call for one in scope.values() if isinstance(one.origin, Computed))
            inputs = (call.inputs.get(name) for call in calls if call.calculation == calculation)
            found = next((one for one in inputs if one is not None and _is_size(one)), None)
            if found is not None:
                own = (name for name, value in scope.items() if value is found)
                return Named(prefix + next(own, f"{calculation}.{name}"), found)
        return None

    def size(self, feature: AnyFeature, key: str) -> Named | None:
        """Give a size as it stands in the job, with where it stands."""
        return self.entered(f"features.{feature.id}.{key}", getattr(feature, key, None), feature.basis)

    def entered(self, where: str, size: Size | None, basis: str) -> Named | None:
        """Give a size of the job as a value."""
        if not isinstance(size, Size):
            return None
        origin = Entered(f"job.toml {where}", size.text, size.basis or basis)
        return Named(where, Value(size.plain, size.unit, origin))

    def thickness(self, deepest: Value | None) -> tuple[Named | None, Named | None]:
        """Give how thick the part is under the feature, and the floor that stays below its deepest point.

        Without a deepest point it goes through. What the depths were reckoned with counts before the fact:
        under a shoulder and in a flat the fact is the length of the whole part.
        """
        floors = [*self._floors()]
        below = next((one for one in floors if deepest is not None and _reaches(one.value, deepest)), None)
        if below is not None:
            assert isinstance(below.value.origin, Computed)  # a floor is a result
            return self._named(below.value.origin.call.inputs["thickness"], below.name), below
        reckoned = self.given("drill_travel", "depth") if deepest is None else None
        if reckoned is None and self.said("part.is_below_shoulder"):
            return next(iter(floors), None), None
        return reckoned or self.fact("part.thickness"), None

    def _floors(self) -> Iterator[Named]:
        """Give every floor that was reckoned from a thickness."""
        for prefix, scope in self._scopes:
            for name, value in scope.items():
                origin = value.origin
                if isinstance(origin, Computed) and origin.result == "floor" and _is_size(value):
                    given = origin.call.inputs.get("thickness")
                    if given is not None and _is_size(given):
                        yield Named(prefix + name, value)

    def _named(self, value: Value, beside: str) -> Named:
        """Give a value by the name it stands under, or as an input of another."""
        for prefix, scope in self._scopes:
            for name, one in scope.items():
                if one is value:
                    return Named(prefix + name, value)
        return Named(f"{beside} (thickness)", value)

    def length_of_the_part(self) -> Named | None:
        """Give the finished length of the part along its axis: of the face that has one, else the stock's."""
        face = next((one for one in self.job.features if isinstance(one, Face) and one.thickness), None)
        if face is not None:
            return self.size(face, "thickness")
        key = "thickness" if self.job.stock.thickness is not None else "length"
        return self.entered(f"stock.{key}", getattr(self.job.stock, key), self.job.stock.basis)


def _is_size(value: Value) -> bool:
    plain = value.plain
    return isinstance(plain, (int, float)) and not isinstance(plain, bool) and 0 < plain < 1e6


def _reaches(floor: Value, deepest: Value) -> bool:
    """Tell whether a floor was reckoned from this depth."""
    assert isinstance(floor.origin, Computed)  # a floor is a result
    call = floor.origin.call
    depth = call.inputs.get("depth_a")
    own = call.results.get("tip_depth")
    return own == deepest.plain if depth is None else depth.plain == deepest.plain


def side_of(job: Job, feature: AnyFeature) -> str:
    """Give the side of the piece that a feature is made from."""
    ground = base_of(job, feature)
    for _ in range(len(job.features) + 1):  # a chain that bites its own tail ends
        above = _above(job, ground)
        if above is None:
            break
        ground = above
    return (
        ground.side if isinstance(ground, Face) or not hasattr(ground, "from_") else _side_name(job, ground)
    )


def offset_of(job: Job, feature: AnyFeature) -> float:
    """Give how far below the outermost face [mm] a feature begins: on a shoulder, or on a flat."""
    depth, ground = 0.0, base_of(job, feature)
    for _ in range(len(job.features) + 1):
        above = _above(job, ground)
        if above is None:
            break
        if isinstance(above, Spigot):
            depth += above.length.plain
        elif isinstance(above, Flat) and above.depth is not None:
            depth += above.depth.plain
        ground = above
    return depth


def _above(job: Job, feature: AnyFeature) -> AnyFeature | None:
    """Give the feature that the depths of another start from, where they start from a feature."""
    if isinstance(feature, (Face, *OfAnother.__args__)):
        return None
    name = getattr(feature, "from_", "")
    return next((one for one in job.features if one.id == name), None)


def _side_name(job: Job, feature: AnyFeature) -> str:
    name = getattr(feature, "from_", "top")
    return name if name in job.sides else feature.side
