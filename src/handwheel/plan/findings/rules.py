"""What all rules of the plan check share: their register, and how a finding is made.

Rules compare; what has to be computed for them is a result of the catalogue already, or they run it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from handwheel.plan.binding import find
from handwheel.plan.finding import Finding, Severity
from handwheel.plan.resolve import Plan, ResolvedOperation
from handwheel.values import Entered, Value

__all__ = ["RULES", "Rule", "at", "number", "place", "rule", "show", "typed_at"]

Rule = Callable[[Plan], Iterator[Finding]]

RULES: list[Rule] = []
"""Every rule, in the order in which findings are told."""


def rule(function: Rule) -> Rule:
    """Register a rule."""
    RULES.append(function)
    return function


def at(
    operation: ResolvedOperation,
    code: str,
    what: str,
    why: str,
    cure: str,
    severity: Severity = "stop",
    *,
    key: str = "",
    keys: tuple[str | int, ...] | None = None,
    file: str = "job.toml",
    values: Mapping[str, Value | str] | None = None,
    final: bool = False,
    confirm: tuple[str, str] | None = None,
) -> Finding:
    """Make a finding that touches an operation; `key` is a key of the operation itself."""
    own: tuple[str | int, ...] = ("operations", str(operation.number), *((key,) if key else ()))
    return Finding(
        code,
        severity,
        what,
        why,
        cure,
        file,
        own if keys is None else keys,
        operation.number,
        operation.feature.id if operation.feature else None,
        values or {},
        final,
        confirm,
    )


def number(operation: ResolvedOperation, name: str) -> float | None:
    """Give a number of the operation's scope in its core unit, or None where it is not there."""
    value = operation.scope.get(name)
    return value.number if value is not None and value.plain is not None else None


def show(operation: ResolvedOperation, **names: str) -> dict[str, Value | str]:
    """Give the values that the fields of a text name, for a finding to show."""
    return {field: operation.scope[name] for field, name in names.items() if name in operation.scope}


def typed_at(operation: ResolvedOperation, names: tuple[str, ...]) -> tuple[str, tuple[str | int, ...]]:
    """Give file and keys of the first of the facts that is on file; the operation's own where none is."""
    value = find(names, operation.scope)
    if value is not None and isinstance(value.origin, Entered):
        return place(value.origin.where)
    return "job.toml", ("operations", str(operation.number))


def place(where: str) -> tuple[str, tuple[str | int, ...]]:
    """Take a `where` apart: the file, and the keys in it."""
    file, _, path = where.partition(" ")
    return file, tuple(path.partition(" ")[0].split("."))
