"""The declared list of facts: each is of use to somebody."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import handwheel
from handwheel.plan.names import FACTS
from handwheel.resources import recipe_files

SOURCE = Path(handwheel.__file__).parent
WRITTEN_IN = {SOURCE / "plan" / name for name in ("names.py", "facts.py", "feature_facts.py")}
NAME = r"[a-z][a-z0-9_]*\.[a-z][a-z0-9_]*"


def names_in_source() -> set[str]:
    """Give the names in texts of the source, outside of where facts are written down."""
    found: set[str] = set()
    for path in sorted(set(SOURCE.rglob("*.py")) - WRITTEN_IN):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                found |= set(re.findall(NAME, node.value))
    return found


def names_in_recipes() -> set[str]:
    """Give what the recipes refer to, but for the facts that their examples only set."""
    texts = (file.read_text(encoding="utf-8") for file in recipe_files())
    return {name for text in texts for name in re.findall(NAME, re.sub(r'(?m)^"[^"]*" = .*$', "", text))}


def test_each_fact_is_read_by_a_recipe_or_a_rule() -> None:
    """A name that nothing reads is written down in vain, and a person is asked for it in vain."""
    assert sorted(FACTS.keys() - names_in_source() - names_in_recipes()) == []
