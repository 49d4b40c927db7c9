"""Recipes in words and as JSON, and their own worked examples held against what they compute."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from handwheel.errors import InputError, nearest, one_line
from handwheel.models.recipe import Example, Recipe
from handwheel.plan.binding import bind
from handwheel.plan.names import FACTS
from handwheel.present.numbers import shown
from handwheel.store.jobs import Library
from handwheel.units import read
from handwheel.values import Entered, Plain, Value

__all__ = ["check_examples", "recipe_lines", "recipes_json", "show_recipe"]


def recipe_lines(library: Library) -> Iterator[str]:
    """List the recipes: id, title, what they are for, where they come from."""
    return map(one_line, _recipe_lines(library))


def _recipe_lines(library: Library) -> Iterator[str]:
    for one in library.recipes.values():
        made_for = ", ".join(one.features) or f"asked at each {one.belongs}"
        if one.belongs == "shared":
            made_for = "lends its values to others"
        yield f"{one.id:<14} {one.title} · {made_for} · {library.origins[one.id]}"


def recipes_json(library: Library) -> dict[str, Any]:
    """Give the recipes of operations as the contract has them."""
    return {
        "recipes": [
            {
                "id": one.id,
                "title": one.title,
                "features": list(one.features),
                "machines": list(one.machines),
                "from": library.origins[one.id],
                "hazards": [
                    {"word": step.word, "text": step.text} for step in one.steps if step.kind == "hazard"
                ],
                "examples": [
                    {"facts": dict(example.facts), "expect": dict(example.expect), "source": example.source}
                    for example in one.examples
                ],
            }
            for one in library.recipes.values()
            if one.belongs == "operation"
        ]
    }


def show_recipe(library: Library, id: str) -> Iterator[str]:
    """Give one recipe: what it computes and its steps."""
    return map(one_line, _recipe_in_lines(library, id))


def _recipe_in_lines(library: Library, id: str) -> Iterator[str]:
    recipe = library.recipes.get(id)
    if recipe is None:
        raise InputError(
            f'there is no recipe "{id}"{nearest(id, library.recipes)} recipes: {", ".join(library.recipes)}'
        )
    yield f"{recipe.id} version {recipe.version}: {recipe.title} ({library.origins[id]})"
    if recipe.source:
        yield f"source: {recipe.source}"
    for after in recipe.after:
        yield f"comes after {' or '.join(after.recipes)}: {after.why}"
    for compute in recipe.compute:
        yield f"computes {compute.name} = {compute.calc}({', '.join(compute.in_)})"
    for step in recipe.steps:
        yield f"{step.kind:<8} {f'{step.word}: ' if step.word else ''}{step.text}"


def check_examples(library: Library) -> Iterator[str]:
    """Say which worked example of a recipe does not come out as it says."""
    for recipe in library.recipes.values():
        for number, example in enumerate(recipe.examples, start=1):
            for name, wanted, got in _differences(recipe, library, example):
                yield f"recipe {recipe.id}, example {number}: {name} is {got}, expected {wanted}"


def _differences(recipe: Recipe, library: Library, example: Example) -> Iterator[tuple[str, str, str]]:
    facts = {name: _fact(name, text) for name, text in example.facts.items()}
    scope = bind(recipe, library.recipes, facts)
    for name, wanted in example.expect.items():
        got = shown(scope[name]) if name in scope else "not computed"
        if got != wanted:
            yield name, wanted, got


def _fact(name: str, text: str | float | bool) -> Value:
    fact = FACTS.get(name)
    if fact is None:
        raise InputError(f'there is no fact "{name}"{nearest(name, FACTS)}')
    plain: Plain = text
    if fact.shape in ("number", "count"):
        number = read(str(text), str(fact.unit))
        plain = int(number) if fact.shape == "count" else number
    elif fact.shape == "numbers":
        plain = tuple(read(one, str(fact.unit)) for one in str(text).split(","))
    return Value(plain, fact.unit, Entered(f"example {name}", str(text), "estimate"))
