"""The printed formulas of calculations, taken apart and worked out: for tests only, the program prints them.

A formula is equations, `;` between them: a symbol, `=`, an expression. A symbol on the left is a result's, or
that of a step which an equation further on uses. A formula that begins with `table:` reads a table in its
first part; its equations, where it has some, go on from what was read.
"""

from __future__ import annotations

import ast
import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from handwheel.calc import CATALOGUE, Calculation

__all__ = ["FUNCTIONS", "equations", "inputs_behind", "is_a_rule", "names_in", "reads_a_table", "worked_out"]

_MATHS = [
    "acos",
    "asin",
    "atan",
    "atan2",
    "ceil",
    "cos",
    "degrees",
    "exp",
    "floor",
    "gcd",
    "hypot",
    "inf",
    "log",
    "log10",
    "pi",
    "radians",
    "sin",
    "sqrt",
    "tan",
]
_BUILT_IN: tuple[Any, ...] = (
    abs, all, any, bool, enumerate, int, len, max, min, range, reversed, round, sorted, sum, tuple, zip,
)  # fmt: skip
_CALLED = (
    "cut_line",
    "cut_offsets",
    "cut_spring",
    "cut_zone",
    "dial_for_cut",
    "furthest_dial",
    "one_cut_or_two",
    "planned_cut",
)
"""Calculations that the formula of another one calls, their inputs in the order of the declaration."""


def _called(id: str) -> Callable[..., Any]:
    def call(*given: Any) -> Any:
        calculation = CATALOGUE[id]
        parameters = (one.parameter for one in calculation.inputs.values())
        return calculation.function(**dict(zip(parameters, given, strict=False)))

    return call


FUNCTIONS: Mapping[str, Any] = (
    {name: getattr(math, name) for name in _MATHS}
    | {one.__name__: one for one in _BUILT_IN}
    | {id: _called(id) for id in _CALLED}
)


def reads_a_table(calculation: Calculation) -> bool:
    """Whether the formula says that a table is read."""
    return calculation.formula.startswith("table:")


def is_a_rule(calculation: Calculation) -> bool:
    """Whether the formula begins with a choice in words; its equations go on from what was chosen."""
    return calculation.formula.startswith("rule:")


def equations(calculation: Calculation) -> list[tuple[str, str]]:
    """Give the equations of a formula: the symbol on the left, the expression on the right.

    Of a formula that reads a table only what reads as an equation: the rest is the table's name and words.
    """
    parts = [part.strip() for part in calculation.formula.split(";")]
    if reads_a_table(calculation) or is_a_rule(calculation):
        parts = [part for part in parts[1:] if _is_equation(part)]
    return [(left.strip(), right.strip()) for left, _, right in (part.partition("=") for part in parts)]


def names_in(expression: str) -> set[str]:
    """Give the free names of an expression."""
    tree = ast.parse(expression, mode="eval")
    names = [node for node in ast.walk(tree) if isinstance(node, ast.Name)]
    bound = {node.id for node in names if isinstance(node.ctx, ast.Store)}
    return {node.id for node in names} - bound


def worked_out(sides: Sequence[tuple[str, str]], known: Mapping[str, Any]) -> dict[str, Any]:
    """Work out equations in turn; None is what rests on an input that was left out."""
    found: dict[str, Any] = {}
    for left, right in sides:
        values = {**FUNCTIONS, **known, **found}
        gone = any(values.get(name, 0) is None for name in names_in(right))
        try:
            found[left] = eval(right, {"__builtins__": {}, **values})
        except TypeError:
            if not gone:
                raise
            found[left] = None
    return found


def inputs_behind(calculation: Calculation, result: str) -> set[str]:
    """Give the inputs that a result rests on by the formula; all of them where no formula says it."""
    sides = {} if reads_a_table(calculation) or is_a_rule(calculation) else dict(equations(calculation))
    symbol = calculation.results[result].quantity.symbol
    if symbol not in sides:
        return set(calculation.inputs)
    behind, open_names = set[str](), names_in(sides[symbol])
    while open_names:
        name = open_names.pop()
        if name in sides and name not in behind:
            open_names |= names_in(sides[name])
        behind.add(name)
    return {name for name, one in calculation.inputs.items() if one.quantity.symbol in behind}


def _is_equation(part: str) -> bool:
    left, equals, right = part.partition("=")
    if not equals or not left.strip().isidentifier():
        return False
    try:
        ast.parse(right.strip(), mode="eval")
    except SyntaxError:
        return False
    return True
