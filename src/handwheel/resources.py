"""Where what ships with the program is found: the recipes and the demo, in a wheel or in a checkout."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

__all__ = ["demo_files", "recipe_files"]


def recipe_files() -> tuple[Traversable, ...]:
    """Give the recipes that ship with the program: from the package, or from the checkout around it."""
    inside = files("handwheel").joinpath("recipes")
    folder = inside if inside.is_dir() else _beside_the_project()
    return tuple(
        sorted((one for one in folder.iterdir() if one.name.endswith(".toml")), key=lambda one: one.name)
    )


def demo_files(name: str) -> tuple[Traversable, ...]:
    """Give the files of a ready job, by its name."""
    folder = files("handwheel").joinpath("demo", name)
    return tuple(sorted(folder.iterdir(), key=lambda one: one.name))


def _beside_the_project() -> Traversable:
    root = Path(__file__).resolve().parents[2]
    project = root / "pyproject.toml"
    if project.is_file() and (root / "recipes").is_dir():
        name = tomllib.loads(project.read_text(encoding="utf-8")).get("project", {}).get("name")
        if name == "handwheel":
            return root / "recipes"
    raise FileNotFoundError(f"no recipes: neither in the package nor in {root / 'recipes'}")
