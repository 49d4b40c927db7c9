"""Functions that a module keeps to itself are there because it uses them."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import handwheel

SOURCE = Path(handwheel.__file__).parent
MODULES = sorted(path.relative_to(SOURCE).as_posix() for path in SOURCE.rglob("*.py"))


def unused(tree: ast.Module) -> list[str]:
    """Give the private functions that nothing but themselves names; most decorators use their function.

    A method of a class that stands on another may be there for that one, and is passed over.
    """
    homes: list[ast.Module | ast.ClassDef] = [tree]
    homes += (one for one in ast.walk(tree) if isinstance(one, ast.ClassDef) and not one.bases)
    functions = {
        node.name: node
        for home in homes
        for node in home.body
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef))
        and node.name.startswith("_")
        and not node.name.endswith("__")
        and all(named(one) in _ONLY_TURN_INTO for one in node.decorator_list)
    }
    used = dict.fromkeys(functions, 0)
    for node in ast.walk(tree):
        if named(node) in used:
            used[named(node)] += 1
    for name, function in functions.items():
        used[name] -= sum(named(node) == name for node in ast.walk(function))
    return sorted(name for name, count in used.items() if count == 0)


_ONLY_TURN_INTO = {
    "cache",
    "lru_cache",
    "property",
    "cached_property",
    "staticmethod",
    "classmethod",
    "contextmanager",
}
"""Decorators that do not hand a function on to others."""


def named(node: ast.AST) -> str:
    """Give the name that a node uses: `name` or the last part of `one.name`."""
    if isinstance(node, ast.Call):
        return named(node.func)
    if isinstance(node, ast.Name):
        return node.id
    return node.attr if isinstance(node, ast.Attribute) else ""


@pytest.mark.parametrize("module", MODULES)
def test_no_private_function_is_left_unused(module: str) -> None:
    """A function that begins with an underscore is named somewhere else in its module."""
    assert unused(ast.parse((SOURCE / module).read_text(encoding="utf-8"))) == []


def test_an_unused_function_is_found() -> None:
    """One that only calls itself is unused; one that is called, or that a decorator takes, is not."""
    text = "@rule\ndef _taken(): ...\n@cache\ndef _lost(): return _lost()\ndef _kept(): ...\nx = _kept()\n"
    assert unused(ast.parse(text)) == ["_lost"]
