"""The plan check: each rule looks at the resolved job and yields what will go wrong.

One module a subject; importing the package registers every rule, in the order in which they are told.
"""

from __future__ import annotations

from importlib import import_module

from handwheel.plan.finding import Finding
from handwheel.plan.findings.rules import RULES
from handwheel.plan.resolve import Plan

__all__ = ["RULES", "check"]

_SUBJECTS = (
    "names", "order", "stages", "sides", "tools", "cutters", "blades", "depths", "lengths", "rounds", "seats",
    "mates", "machine", "chucks", "holding", "gripped", "turning", "fire", "measuring", "slips", "walls",
    "backward", "raw", "roughing", "ending", "dials",
)  # fmt: skip
_ORDER = {"stop": 0, "doubt": 1, "note": 2}

for _subject in _SUBJECTS:
    import_module(f"{__name__}.{_subject}")


_NO_SHOP = Finding(
    "no-shop",
    "stop",
    "no machine and no tool is on file",
    "without them nothing can be computed; looked for shop.toml beside the job, then in the handwheel folder",
    "write a shop.toml: the one of the demo is commented and can be copied",
    file="shop.toml",
    final=True,
)


def check(plan: Plan) -> tuple[Finding, ...]:
    """Give all findings, each once: stops, then doubts and notes, in the order of the operations."""
    if plan.operations and not (plan.shop.machines or plan.shop.tools):
        return (_NO_SHOP,)
    found: dict[tuple[object, ...], Finding] = {}
    for finding in (one for rule in RULES for one in rule(plan)):
        found.setdefault(
            (finding.code, finding.operation, finding.place, finding.what, finding.numbers), finding
        )
    return tuple(sorted(found.values(), key=lambda one: (_ORDER[one.severity], one.operation or 0)))
