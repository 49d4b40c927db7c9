"""What the numbers of a finding rest on."""

from __future__ import annotations

from collections.abc import Iterable

from handwheel.plan.finding import Finding
from handwheel.values import Entered, Gathered, Listed, Missing, Value, leaves

__all__ = ["assert_numbers_open", "places_behind"]

_LISTED = ("table ", "recipe ", "default of ", "the plan check, ")
"""How the place of a table, of a recipe's constant, of a calculation's default and of a rule's begins."""


def places_behind(finding: Finding, name: str) -> set[str]:
    """Give where the leaves of one number of a finding stand."""
    value = finding.values[name]
    assert isinstance(value, Value), f"{finding.code}: {name} is only a text"
    return {_place(leaf) for leaf in leaves(value)}


def assert_numbers_open(findings: Iterable[Finding]) -> None:
    """Hold that every number of a finding walks to what was typed, to a source, or to what is missing."""
    for finding in findings:
        for name, value in finding.values.items():
            if isinstance(value, Value):
                behind = list(leaves(value))
                assert behind, f"{finding.code}: nothing is behind {name}"
                for leaf in behind:
                    assert _is_honest(leaf), f"{finding.code}: {name} rests on {leaf.origin}"


def _place(leaf: Value) -> str:
    assert isinstance(leaf.origin, (Entered, Listed, Missing))  # leaves are none else
    return leaf.origin.where


def _is_honest(leaf: Value) -> bool:
    """Tell whether a leaf has an origin: a word may be a rule's own choice, a number may not."""
    match leaf.origin:
        case Entered(where, _, basis):
            return bool(where and basis)
        case Missing(where, ask):
            return bool(where and ask)
        case Listed("the plan check", _):
            return isinstance(leaf.plain, str)
        case Listed(where, source):
            return where.startswith(_LISTED) and bool(source)
        case Gathered():
            return False  # rows with nothing behind them
        case _:
            return False
