"""The recipes that ship: worked examples, hazards, hold points, and words that stand on a small screen."""

from __future__ import annotations

import pytest

from handwheel.models.recipe import Recipe
from handwheel.plan.binding import used_by
from handwheel.present.recipes import check_examples
from handwheel.store.jobs import load_library

LIBRARY = load_library()
OF_OPERATIONS = [one for one in LIBRARY.recipes.values() if one.belongs == "operation"]
COMPUTE = [one for one in OF_OPERATIONS if one.compute]


def by_id(recipe: Recipe) -> str:
    return recipe.id


def test_every_worked_example_comes_out() -> None:
    """What a recipe says must come out of its facts does come out, as it is shown."""
    assert list(check_examples(LIBRARY)) == []


def test_a_wrong_example_is_told() -> None:
    """An example whose number is not what is computed is named with both numbers."""
    recipe = LIBRARY.recipes["drill"]
    example = recipe.examples[0]
    name, shown = next(iter(example.expect.items()))
    wrong = recipe.model_copy(update={"examples": (example.model_copy(update={"expect": {name: "1 mm"}}),)})
    library = type(LIBRARY)({**LIBRARY.recipes, "drill": wrong}, LIBRARY.origins)
    assert list(check_examples(library)) == [f"recipe drill, example 1: {name} is {shown}, expected 1 mm"]


@pytest.mark.parametrize("recipe", COMPUTE, ids=by_id)
def test_a_recipe_that_computes_has_a_worked_example(recipe: Recipe) -> None:
    """Each has facts, the values that come of them, and who says so."""
    assert recipe.examples
    for example in recipe.examples:
        assert example.facts and example.expect and example.source
        computed = {one.name for part in used_by(recipe, LIBRARY.recipes) for one in part.compute}
        assert {name.partition(".")[0] for name in example.expect} <= computed


@pytest.mark.parametrize("recipe", OF_OPERATIONS, ids=by_id)
def test_an_operation_warns_first_and_is_signed_last(recipe: Recipe) -> None:
    """A hazard is the first step, a sign-off the last and only one, and something holds throughout."""
    kinds = [step.kind for step in recipe.steps]
    assert kinds[0] == "hazard"
    assert kinds[-1] == "sign-off" and kinds.count("sign-off") == 1
    assert recipe.throughout and recipe.source


@pytest.mark.parametrize("recipe", OF_OPERATIONS, ids=by_id)
def test_after_every_cut_something_is_read(recipe: Recipe) -> None:
    """Whoever cuts measures: a reading follows the first cut."""
    kinds = [step.kind for step in recipe.steps]
    if "cut" in kinds:
        assert "reading" in kinds[kinds.index("cut") :]


@pytest.mark.parametrize("recipe", LIBRARY.recipes.values(), ids=by_id)
def test_a_step_is_short(recipe: Recipe) -> None:
    """The text of a step stands on three lines of a small screen; lists of checks stay short (HF-1)."""
    assert all(len(step.text) <= 180 for step in recipe.steps)
    if recipe.belongs in ("session", "restart", "setup", "tool"):
        assert len(recipe.steps) <= 9


@pytest.mark.parametrize("recipe", LIBRARY.recipes.values(), ids=by_id)
def test_constants_say_where_they_come_from(recipe: Recipe) -> None:
    """Each constant has a source, or says that it has none."""
    assert all(constant.source.strip() for constant in recipe.constants.values())
