"""The plan check: each rule looks at the resolved job and yields what will go wrong.

One module a subject; importing the package registers every rule, in the order in which they are told.
"""

from __future__ import annotations

from importlib import import_module

from handwheel.plan.finding import Finding
from handwheel.plan.findings.rules import RULES
from handwheel.plan.resolve import Plan

__all__ = ["RULES", "check"]

_SUBJECTS = ("names", "order", "tools", "depths", "machine", "measuring", "walls")
_ORDER = {"stop": 0, "doubt": 1, "note": 2}

for _subject in _SUBJECTS:
    import_module(f"{__name__}.{_subject}")


def check(plan: Plan) -> tuple[Finding, ...]:
    """Give all findings: stops first, then doubts and notes, each in the order of the operations."""
    found = [finding for one in RULES for finding in one(plan)]
    return tuple(sorted(found, key=lambda one: (_ORDER[one.severity], one.operation or 0)))
