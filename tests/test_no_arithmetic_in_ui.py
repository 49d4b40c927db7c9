"""The screens compute nothing: no multiplication, no rounding, no format of a number."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

UI = Path(__file__).parents[1] / "src" / "handwheel" / "ui"
LAYOUT = {"drawn", "digits"}
"""The modules that share out rows and columns: they may double, halve and add up whole numbers of them."""

ROUNDING = {"round", "Decimal", "Fraction", "pow", "divmod"}


def is_text(node: ast.AST) -> bool:
    """Tell whether a node is evidently text or a list, which may be repeated."""
    if isinstance(node, ast.Constant):
        return isinstance(node.value, str)
    return isinstance(node, (ast.JoinedStr, ast.List, ast.Tuple))


def allowed(operator: ast.operator, sides: tuple[ast.AST, ast.AST], layout: bool) -> bool:
    """Tell whether an operator on two sides computes nothing of the trade."""
    with_point = any(isinstance(one, ast.Constant) and isinstance(one.value, float) for one in sides)
    match operator:
        case ast.Add() | ast.Sub():
            return not with_point
        case ast.Mult():
            return any(map(is_text, sides)) or (layout and not with_point)
        case ast.FloorDiv():
            return layout and not with_point
        case ast.Div():  # a file in a folder
            return "folder" in ast.unparse(sides[0]) or "Path(" in ast.unparse(sides[0])
        case ast.Mod() | ast.Pow() | ast.MatMult():
            return False
        case _:
            return True


def faults(tree: ast.AST, layout: bool = False) -> Iterator[str]:
    """Give what a source computes: where, and what it is."""
    for node in ast.walk(tree):
        match node:
            case (
                ast.BinOp(left=one, right=other, op=operator)
                | ast.AugAssign(target=one, value=other, op=operator)
            ):
                wrong = not allowed(operator, (one, other), layout)
            case ast.Call(func=ast.Name(id=name), args=given):
                typed = name == "float" and not all(isinstance(one, ast.Constant) for one in given)
                wrong = name in ROUNDING or typed or (name == "sum" and not layout)
            case ast.FormattedValue(format_spec=ast.JoinedStr() as spec):
                wrong = re.search(r"\.?\d+[eEfFgGn%]", ast.unparse(spec)) is not None
            case ast.Import(names=names):
                wrong = any(one.name in ("math", "decimal", "fractions") for one in names)
            case _:
                wrong = False
        if wrong:
            yield f"line {getattr(node, 'lineno', 0)}: {ast.unparse(node)}"


@pytest.mark.parametrize("path", sorted(UI.glob("*.py")), ids=lambda path: path.stem)
def test_a_screen_computes_nothing(path: Path) -> None:
    """A screen counts rows and signs; every number of the trade comes to it as text."""
    assert list(faults(ast.parse(path.read_text(encoding="utf-8")), path.stem in LAYOUT)) == []


COMPUTES = ["a * b", "n / 2", "n // 2", "x % 7", "x ** 2", "a *= 3", "a /= 2", "round(x)", "float(text)"]
COMPUTES += ["f'{x:.2f}'", "f'{x:8.3g}'", "x + 0.5", "x -= 0.1", "import math", "sum(x)"]
COUNTS = [
    "' ' * width",
    "n + 1",
    "at -= 1",
    "f'{text:<12}'",
    "a + b",
    "len(x) - 1",
    "[1] * 3",
    "folder / name",
]


@pytest.mark.parametrize("source", COMPUTES)
def test_the_rule_sees_arithmetic(source: str) -> None:
    """Each way to compute or round is seen."""
    assert list(faults(ast.parse(source)))


@pytest.mark.parametrize("source", COUNTS)
def test_the_rule_lets_text_and_counting_be(source: str) -> None:
    """Text may be repeated and padded, rows may be counted."""
    assert list(faults(ast.parse(source))) == []


def test_sharing_out_columns_is_for_the_layout_alone() -> None:
    """Whole numbers of columns are halved where rows are drawn, and numbers with a point nowhere."""
    assert list(faults(ast.parse("width // 2"), layout=True)) == []
    assert list(faults(ast.parse("width * 0.6"), layout=True))
    assert list(faults(ast.parse("width / 2"), layout=True))
