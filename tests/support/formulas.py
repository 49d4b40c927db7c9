"""The printed formulas of calculations, taken apart: equations, and the symbols that each rests on."""

from __future__ import annotations

import ast

from handwheel.calc import Calculation

__all__ = ["IN_WORDS", "equations", "inputs_behind", "names_in"]

IN_WORDS = {"thinnest_wall"}
"""Formulas that say in words what runs over a list."""


def equations(calculation: Calculation) -> list[tuple[str, str]]:
    """Give the equations of a formula that is one: the symbol on the left, the expression on the right."""
    if calculation.formula.startswith("table:") or calculation.id in IN_WORDS:
        return []
    parts = [part.strip() for part in calculation.formula.split(";")]
    return [(left.strip(), right.strip()) for left, _, right in (part.partition("=") for part in parts)]


def names_in(expression: str) -> set[str]:
    """Give the free names of an expression."""
    tree = ast.parse(expression, mode="eval")
    names = [node for node in ast.walk(tree) if isinstance(node, ast.Name)]
    bound = {node.id for node in names if isinstance(node.ctx, ast.Store)}
    return {node.id for node in names} - bound


def inputs_behind(calculation: Calculation, result: str) -> set[str]:
    """Give the inputs that a result rests on by the formula; all of them where no formula says it."""
    sides = dict(equations(calculation))
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
