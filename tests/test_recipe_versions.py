"""The steps of each shipped recipe are held to its version: records name steps by recipe and id.

After a change of steps raise `version` in the recipe, then run this file by itself to add the new line.
"""

from __future__ import annotations

import json
import tomllib
from hashlib import sha256
from pathlib import Path

import pytest

from handwheel.resources import recipe_files

KEPT = Path(__file__).with_name("recipe_versions.toml")
HEAD = "# What the steps of a recipe are at each version. A line is for good.\n\n"


def digests() -> dict[str, str]:
    """Give a digest of the steps of each recipe, as its file has them, by `id version`."""
    found: dict[str, str] = {}
    for file in recipe_files():
        data = tomllib.loads(file.read_text(encoding="utf-8"))
        steps = json.dumps(data.get("steps", []), sort_keys=True)
        found[f"{data['id']} {data['version']}"] = sha256(steps.encode()).hexdigest()[:16]
    return found


def kept() -> dict[str, str]:
    return tomllib.loads(KEPT.read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", digests())
def test_changed_steps_have_a_version_of_their_own(name: str) -> None:
    """The steps of a recipe are those that its version has stood for since it was first given."""
    told = kept().get(name)
    how = f"run `.venv/bin/python tests/{Path(__file__).name}`"
    assert told is not None, f"recipe {name} is a new version: {how} and commit {KEPT.name}"
    assert digests()[name] == told, f"the steps of recipe {name} changed: raise its version, then {how}"


def test_other_steps_have_another_digest() -> None:
    """No two recipes with steps are told to be alike."""
    with_steps = [told for told in digests().values() if told != sha256(b"[]").hexdigest()[:16]]
    assert len(set(with_steps)) == len(with_steps) > 20


if __name__ == "__main__":
    lines = {**digests(), **(kept() if KEPT.exists() else {})}  # what is kept stays as it is
    KEPT.write_text(
        HEAD + "".join(f'"{name}" = "{told}"\n' for name, told in sorted(lines.items())), encoding="utf-8"
    )
