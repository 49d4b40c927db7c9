"""The catalogue: what a calculation declares, and the one place where Values become floats and back.

A calculation is a function with keyword-only annotated inputs:

    @calculation(
        title="Spindle speed",
        formula="n = 1000 * v / (pi * d)",
        source="…, p. …",
        examples=(Example({"cutting_speed": 25, "diameter": 6.8}, {"spindle_speed": 1170.3}, "…"),),
        second=…,
        result="spindle_speed",
    )
    def spindle_speed(*, cutting_speed: CuttingSpeed, diameter: Diameter) -> SpindleSpeed: …

The decorator registers the function and returns it unchanged, so that calculations call each other
as plain functions and the type checker sees them. Everybody else goes through `Calculation.run`.
"""

from __future__ import annotations

import types
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from math import isclose, isfinite
from operator import ge, gt, le, lt
from typing import Annotated, Any, Literal, TypeVar, Union, get_args, get_origin, get_type_hints

from handwheel.errors import HandwheelError, InputError, nearest
from handwheel.values import Call, Computed, Listed, Plain, Unit, Value

__all__ = ["Calculation", "CalculationError", "Declared", "Example", "Quantity", "calculation"]

Function = TypeVar("Function", bound=Callable[..., Any])
Shape = Literal["number", "count", "text", "flag", "numbers", "rows"]
Bound = Literal["", "at most", "at least"]

_SHAPES: dict[type, Shape] = {float: "number", int: "count", str: "text", bool: "flag"}


OUTSIDE = "is outside the usual"
"""What a warning says of an input that is possible and not usual."""


class CalculationError(InputError):
    """An input that is missing, unknown, or outside what is possible."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """What an input or a result is: its unit, its symbol in the formula, what is possible and what is usual.

    Outside the possible (`above`, `at_least`, `below`, `at_most`, `choices`) is an error; outside
    `usual` is a warning. `kind` names the row of the rounding table of `present` where the unit alone
    does not settle it (a feed and a length are both mm); `bound` says that a result is a limit, which
    is rounded to its own side.
    """

    unit: str
    symbol: str
    kind: str = ""
    above: float | None = None
    at_least: float | None = None
    below: float | None = None
    at_most: float | None = None
    usual: tuple[float, float] | None = None
    choices: tuple[str, ...] = ()
    bound: Bound = ""
    example: str = ""


@dataclass(frozen=True, slots=True)
class Example:
    """A worked example: inputs in declared units, the results printed there, and who printed it."""

    inputs: Mapping[str, Plain]
    results: Mapping[str, Plain]
    source: str


@dataclass(frozen=True, slots=True)
class Declared:
    """One declared input or result."""

    name: str
    parameter: str
    shape: Shape
    quantity: Quantity
    required: bool = True
    default: Plain = None
    fields: Mapping[str, Declared] = field(default_factory=dict)
    row: Callable[..., tuple[Any, ...]] | None = None

    @property
    def unit(self) -> Unit:
        """The unit of the value; of a list of rows, the unit of each field."""
        if self.shape == "rows":
            return {name: str(column.unit) for name, column in self.fields.items()}
        return self.quantity.unit

    @property
    def example(self) -> str:
        """A text that would do, for an error message."""
        if self.quantity.example:
            return self.quantity.example
        if self.shape == "rows":
            return f"[{self.example_row}]"
        if self.shape == "numbers":
            return f"[{self._typical:.3g}, {1.5 * self._typical:.3g}]"
        if self.quantity.choices:
            return self.quantity.choices[0]
        return f"{self._typical:.3g} {self.quantity.unit}".strip()

    @property
    def example_row(self) -> str:
        """One row of a list that would do, as JSON has it."""
        cells = (f'"{name}": {one._in_a_list}' for name, one in self.fields.items())
        return f"{{{', '.join(cells)}}}"

    @property
    def _in_a_list(self) -> str:
        """What would do as one cell of a row, as JSON has it."""
        words = {"text": f'"{self.example}"', "flag": "true"}
        return words.get(self.shape) or f"{self._typical:.3g}"

    @property
    def _typical(self) -> float:
        low, high = self.quantity.usual or (1.0, 100.0)
        number = (max(low, 0.0) * high) ** 0.5 or high / 2
        number = min(number, self.quantity.at_most or number)
        return max(1, round(number)) if self.shape == "count" or number >= 1 else number


class Calculation:
    """A registered calculation: its declaration, and `run`, the only way to it from outside."""

    def __init__(
        self,
        function: Callable[..., Any],
        *,
        title: str,
        formula: str,
        source: str,
        examples: tuple[Example, ...],
        second: Callable[..., Any] | str,
        result: str,
    ) -> None:
        self.function = function
        self.id = function.__name__
        self.title = title
        self.formula = formula
        self.source = source
        self.examples = examples
        self.second = second
        self._result = result

    def __repr__(self) -> str:
        return f"<calculation {self.id}>"

    @cached_property
    def inputs(self) -> dict[str, Declared]:
        """The declared inputs, by the name they have outside."""
        hints = get_type_hints(self.function, include_extras=True)
        defaults: Mapping[str, Plain] = self.function.__kwdefaults__ or {}
        declared = (
            _declare(parameter, hint, parameter not in defaults, defaults.get(parameter))
            for parameter, hint in hints.items()
            if parameter != "return"
        )
        return {one.name: one for one in declared}

    @cached_property
    def results(self) -> dict[str, Declared]:
        """The declared results, by name."""
        hint = get_type_hints(self.function, include_extras=True)["return"]
        if self._several:
            hints = get_type_hints(hint, include_extras=True)
            return {name: _declare(name, one) for name, one in hints.items() if name != "warnings"}
        name = self._result or self.id
        return {name: _declare(name, hint)}

    @cached_property
    def _several(self) -> bool:
        hint = get_type_hints(self.function, include_extras=True)["return"]
        return isinstance(hint, type) and issubclass(hint, tuple) and hasattr(hint, "_fields")

    @cached_property
    def _defaults(self) -> dict[str, Value]:
        """The defaults that are values, ready for the trace."""
        return {
            name: Value(one.default, one.unit, Listed(f"default of {self.id}.{name}", self.source))
            for name, one in self.inputs.items()
            if not one.required and one.default is not None
        }

    @cached_property
    def _plan(self) -> tuple[tuple[str, str, Value | None, bool, Callable[[Any], tuple[Any, str]]], ...]:
        """Per input: name, parameter, default, required, and its check, looked up once."""
        return tuple(
            (name, one.parameter, self._defaults.get(name), one.required, _checker(self.id, one))
            for name, one in self.inputs.items()
        )

    @cached_property
    def _outputs(self) -> tuple[tuple[str, Unit], ...]:
        return tuple((name, one.unit) for name, one in self.results.items())

    def run(self, given: Mapping[str, Value]) -> dict[str, Value]:
        """Check the inputs, call the function, and wrap each result with its trace.

        An input that is missing on file makes every result missing. Inputs have to be in the
        declared unit. Raises `CalculationError` with one line that says what would do.
        """
        used: dict[str, Value] = {}
        plains: dict[str, Any] = {}
        warnings: list[str] = []
        missing = False
        for name, parameter, default, required, check in self._plan:
            value = given.get(name, default)
            if value is None:
                if required:
                    self._raise_incomplete(given)
                continue
            used[name] = value
            if value.plain is None:
                missing = True
                continue
            plains[parameter], warning = check(value.plain)
            if warning:
                warnings.append(warning)
        if not given.keys() <= used.keys():
            self._raise_unknown(given)
        if missing:
            results: dict[str, Plain] = dict.fromkeys(self.results)
        else:
            results, said = self._call(plains)
            warnings.extend(said)
        call = Call(self.id, used, results, tuple(warnings))
        return {name: Value(results[name], unit, Computed(call, name)) for name, unit in self._outputs}

    def recheck(self, call: Call) -> str:
        """Compute a call again by the second route; say where the two disagree, or nothing."""
        if isinstance(self.second, str) or any(value.plain is None for value in call.inputs.values()):
            return ""
        plains = {self.inputs[name].parameter: value.plain for name, value in call.inputs.items()}
        try:
            again = self.second(**plains)
        except (ArithmeticError, ValueError, HandwheelError) as fault:
            return f"{self.id}: the second route gives no result ({fault})"
        others = again if self._several else (again,)
        for (name, first), other in zip(call.results.items(), others, strict=False):
            if not _agree(first, other):
                return f"{self.id}: {name} is {first} by the formula and {other} by the second route"
        return ""

    def _call(self, plains: Mapping[str, Any]) -> tuple[dict[str, Plain], tuple[str, ...]]:
        try:
            answer = self.function(**plains)
        except (ZeroDivisionError, OverflowError, ValueError) as fault:
            raise CalculationError(f"{self.id}: these inputs give no result ({fault})") from fault
        if self._several:
            results = {name: getattr(answer, name) for name in self.results}
            said = getattr(answer, "warnings", ())
        else:
            results = dict.fromkeys(self.results, answer)
            said = ()
        for name, plain in results.items():
            kind = type(plain)
            if kind is complex or (kind is float and not isfinite(plain)):
                raise CalculationError(f"{self.id}: these inputs give no finite {name}")
        return results, said

    def _raise_incomplete(self, given: Mapping[str, Value]) -> None:
        self._raise_unknown(given)
        missing = [one for name, one in self.inputs.items() if one.required and name not in given]
        names = ", ".join(f"{one.name} (for example {one.example})" for one in missing)
        raise CalculationError(f"{self.id}: missing {names}")

    def _raise_unknown(self, given: Mapping[str, Value]) -> None:
        for name in given:
            if name not in self.inputs:
                known = ", ".join(self.inputs)
                raise CalculationError(
                    f'{self.id}: there is no input "{name}"{nearest(name, self.inputs)} inputs: {known}'
                )


class _Catalogue(dict[str, Calculation]):
    """All calculations by id."""

    def find(self, name: str) -> Calculation:
        """Give the calculation `name`, or raise with the nearest name."""
        if name not in self:
            raise CalculationError(f'there is no calculation "{name}"{nearest(name, self)}')
        return self[name]


CATALOGUE = _Catalogue()


def calculation(
    *,
    title: str,
    formula: str,
    source: str,
    examples: tuple[Example, ...],
    second: Callable[..., Any] | str,
    result: str = "",
) -> Callable[[Function], Function]:
    """Register a function as a calculation and return it unchanged.

    `second` is another route to the same results, or the reason why there is none. `result` names
    the result of a function that has one result whose name is not the function's own.
    """

    def register(function: Function) -> Function:
        CATALOGUE[function.__name__] = Calculation(
            function,
            title=title,
            formula=formula,
            source=source,
            examples=examples,
            second=second,
            result=result,
        )
        return function

    return register


def _declare(parameter: str, hint: Any, required: bool = True, default: Plain = None) -> Declared:
    """Read one annotation: `Annotated[type, Quantity(…)]`, perhaps `| None`."""
    if get_origin(hint) in (Union, types.UnionType):
        hint = next(one for one in get_args(hint) if one is not type(None))
    if get_origin(hint) is not Annotated:
        raise TypeError(f"{parameter}: the annotation has no Quantity")
    kind, quantity = get_args(hint)
    name = parameter.removesuffix("_")
    if kind in _SHAPES:
        return Declared(name, parameter, _SHAPES[kind], quantity, required, default)
    row = get_args(kind)[0]
    if row is float:
        return Declared(name, parameter, "numbers", quantity, required, default)
    fields = {
        column: _declare(column, one) for column, one in get_type_hints(row, include_extras=True).items()
    }
    return Declared(name, parameter, "rows", quantity, required, default, fields, row)


def _checker(id: str, declared: Declared) -> Callable[[Any], tuple[Any, str]]:
    """Build the check of one input: it gives the plain back with a warning, or raises."""
    if declared.shape == "numbers":
        one = _number_checker(id, declared)

        def check_numbers(plain: Any) -> tuple[Any, str]:
            if not isinstance(plain, tuple) or not plain:
                raise CalculationError(
                    f"{id}: {declared.name} has to be a list of numbers, such as {declared.example}"
                )
            for number in plain:
                one(number)
            return plain, ""

        return check_numbers
    if declared.shape == "rows":
        columns = [(_checker(id, column)) for column in declared.fields.values()]

        def check_rows(plain: Any) -> tuple[Any, str]:
            if plain == ():
                raise CalculationError(f"{id}: {declared.name} is empty; expected at least one row")
            if not isinstance(plain, tuple):
                raise CalculationError(
                    f"{id}: {declared.name} has to be a list of objects, such as {declared.example}"
                )
            for row in plain:
                for check, cell in zip(columns, row, strict=True):
                    check(cell)
            return plain, ""

        return check_rows
    if declared.shape in ("text", "flag"):
        return _word_checker(id, declared)
    return _number_checker(id, declared)


def _word_checker(id: str, declared: Declared) -> Callable[[Any], tuple[Any, str]]:
    kind, word = (bool, "true or false") if declared.shape == "flag" else (str, "a text")

    def check(plain: Any) -> tuple[Any, str]:
        if not isinstance(plain, kind):
            raise CalculationError(f"{id}: {declared.name} has to be {word}, such as {declared.example}")
        if declared.quantity.choices and plain not in declared.quantity.choices:
            known = ", ".join(declared.quantity.choices)
            raise CalculationError(f'{id}: {declared.name} "{plain}" is not one of: {known}')
        return plain, ""

    return check


def _number_checker(id: str, declared: Declared) -> Callable[[Any], tuple[Any, str]]:
    quantity = declared.quantity
    whole = declared.shape == "count"
    unit = f" {quantity.unit}" if quantity.unit else ""
    low, high = quantity.usual or (None, None)
    limits: tuple[tuple[str, float | None, Callable[[float, float], bool]], ...] = (
        ("above", quantity.above, gt),
        ("at least", quantity.at_least, ge),
        ("below", quantity.below, lt),
        ("at most", quantity.at_most, le),
    )
    active = tuple((word, limit, holds) for word, limit, holds in limits if limit is not None)

    def check(plain: Any) -> tuple[Any, str]:
        kind = type(plain)
        if (kind is not float and kind is not int) or not isfinite(plain):
            raise CalculationError(
                f"{id}: {declared.name} has to be a number in {quantity.unit or 'no unit'}, "
                f"such as {declared.example}"
            )
        for word, limit, holds in active:
            if not holds(plain, limit):
                raise CalculationError(
                    f"{id}: {declared.name} is {plain:g}{unit}; it has to be {word} "
                    f"{limit:g}{unit}, for example {declared.example}"
                )
        if whole:
            if plain != int(plain):
                raise CalculationError(f"{id}: {declared.name} is {plain:g}; it has to be a whole number")
            plain = int(plain)
        if low is not None and high is not None and not low <= plain <= high:
            return plain, (
                f"{declared.name} {plain:g} {quantity.unit} {OUTSIDE} {low:g} to {high:g} {quantity.unit}"
            )
        return plain, ""

    return check


def _agree(first: Any, other: Any) -> bool:
    if isinstance(first, (int, float)) and isinstance(other, (int, float)):
        return isclose(first, other, rel_tol=1e-9, abs_tol=1e-9)
    if isinstance(first, tuple) and isinstance(other, tuple):
        return len(first) == len(other) and all(map(_agree, first, other))
    return bool(first == other)
