"""Recipes held against facts and catalogue at load: a wrong reference is found before any job needs it."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from handwheel.errors import FaultsError
from handwheel.models.recipe import Recipe
from handwheel.plan.binding import Problem, verify
from handwheel.resources import recipe_files
from handwheel.store.jobs import load_job, load_library

TEXTS = {file.name.removesuffix(".toml"): file.read_text(encoding="utf-8") for file in recipe_files()}
LIBRARY = {id: Recipe.model_validate(tomllib.loads(text)) for id, text in TEXTS.items()}


def problems(id: str, old: str, new: str) -> list[Problem]:
    """Give the problems of a recipe changed in one place of its text."""
    assert TEXTS[id].count(old) >= 1, old
    recipe = Recipe.model_validate(tomllib.loads(TEXTS[id].replace(old, new, 1)))
    return verify(recipe, LIBRARY)


WRONG: dict[str, tuple[str, str, str, str, str]] = {
    # recipe, old text, new text, last key of the place, what is said
    "a reference to nothing": ("drill", '"start.feed"', '"start.fed"', "feed", 'did you mean "start.feed"'),
    "a fact that is none": (
        "drill",
        '"feature.diameter"',
        '"feature.diametre"',
        "diameter",
        'did you mean "feature.diameter"',
    ),
    "a unit of another kind": (
        "drill",
        'in.feed = "start.feed"',
        'in.feed = "real.cutting_speed"',
        "feed",
        "a number in m/min; expected a number in mm",
    ),
    "a speed for a length": (
        "drill",
        'in.diameter = ["stage.size", "feature.diameter"]',
        'in.diameter = "set.spindle_speed"',
        "diameter",
        "in 1/min; expected a number in mm",
    ),
    "a text for a number": (
        "drill",
        'in.diameter = ["stage.size", "feature.diameter"]',
        'in.diameter = "material.name"',
        "diameter",
        "is a text; expected a number",
    ),
    "rows for a number": (
        "drill",
        'in.diameter = ["stage.size", "feature.diameter"]',
        'in.diameter = "shop.inside"',
        "diameter",
        "is a rows; expected",
    ),
    "rows of another kind": (
        "drill",
        'in.material = "material.name"',
        'in.material = "shop.inside"',
        "material",
        "expected a text",
    ),
    "a value that stands further down": (
        "spindle",
        '"start.cutting_speed"',
        '"real.cutting_speed"',
        "cutting_speed",
        "at this place",
    ),
    "a calculation that is none": (
        "drill",
        'calc = "peck_plan"',
        'calc = "peck_plann"',
        "calc",
        'did you mean "peck_plan"',
    ),
    "an input that is none": (
        "drill",
        'in.depth = "travel.tip_depth"',
        'in.deepth = "travel.tip_depth"',
        "deepth",
        'did you mean "depth"',
    ),
    "an input left out": ("drill", 'in.material = "material.name"\n', "", "in", "also needs material"),
    "an optional fact for what is always needed": (
        "drill",
        'in.diameter = ["stage.size", "feature.diameter"]',
        'in.diameter = "operation.leave"',
        "diameter",
        "may be left out of a job",
    ),
    "a condition on nothing": (
        "drill",
        '["tool.jobber"]',
        '["tool.jober"]',
        "when",
        'did you mean "tool.jobber"',
    ),
    "a condition on a number": (
        "drill",
        '["tool.jobber"]',
        '["tool.diameter"]',
        "when",
        "expected a yes or no",
    ),
    "a field of a step that is nothing": (
        "drill",
        "{peck.count}",
        "{peck.cuont}",
        "text",
        'did you mean "peck.count"',
    ),
    "a field of a row that is nothing": ("drill", "X {place.x}", "X {place.z}", "text", 'no "place.z"'),
    "a number to show that is nothing": (
        "drill",
        'big = "travel.tip_depth"',
        'big = "travel.depth"',
        "big",
        "did you mean",
    ),
    "a limit that is nothing": (
        "drill",
        'limit = "allowed.spindle_speed"',
        'limit = "allowed.speed"',
        "limit",
        "did you mean",
    ),
    "a table that is no rows": (
        "drill",
        'table = "peck.pecks"',
        'table = "peck.count"',
        "table",
        "expected a list of rows",
    ),
    "a pattern that is no rows": (
        "drill",
        '["pattern.positions", "feature.places"]',
        '["pattern.chord"]',
        "each",
        "expected a list of rows",
    ),
    "an answer in another unit": (
        "drill",
        'unit = "mm", expect',
        'unit = "deg", expect',
        "expect",
        "is in mm; the step takes deg",
    ),
    "an expected number that is nothing": (
        "drill",
        'expect = ["stage.size", "feature.diameter"]',
        'expect = "feature.size"',
        "expect",
        'no "feature.size"',
    ),
    "a shared recipe that is none": (
        "drill",
        '"hole"]\nthroughout',
        '"hol"]\nthroughout',
        "2",
        'did you mean "hole"',
    ),
    "an operation in the place of a shared recipe": (
        "drill",
        '"hole"]\nthroughout',
        '"face"]\nthroughout',
        "2",
        "no shared recipe",
    ),
}


@pytest.mark.parametrize("name", WRONG)
def test_a_wrong_recipe_is_found_with_key_and_nearest_name(name: str) -> None:
    """The problem names the key at which it stands, and what was meant where that can be told."""
    id, old, new, key, said = WRONG[name]
    found = problems(id, old, new)
    matching = [one for one in found if said in one.what and str(one.keys[-1]) == key]
    assert matching, found


def test_recipes_that_ship_have_no_problem() -> None:
    """Every reference of every shipped recipe is there, in its shape and unit."""
    assert [problem for recipe in LIBRARY.values() for problem in verify(recipe, LIBRARY)] == []
    assert load_library().faults == ()


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('kind = "cut"', 'kind = "cutt"', "cut"),
        ('id = "cut"', 'id = "speed"', "stands twice"),
        ('word = "WARNING"\n', "", "has a word"),
        ('word = "WARNING"', 'word = "ALARM"', "DANGER"),
        ("[[steps]]", "[[step]]", "steps"),
        ('at = "first"', 'at = "second"', "first"),
        ('heading = "STOP AT"', 'depth = "9 mm"', "depth"),
    ],
)
def test_a_wrong_step_field_is_told_with_file_and_line(demo: Path, old: str, new: str, said: str) -> None:
    """A recipe beside the job that is not one keeps the job from opening, and names file, line and key."""
    (demo / "recipes").mkdir()
    (demo / "recipes" / "drill.toml").write_text(TEXTS["drill"].replace(old, new, 1), encoding="utf-8")
    with pytest.raises(FaultsError) as told:
        load_job(demo)
    path = str(demo / "recipes" / "drill.toml")
    assert all(fault.file == path and fault.line for fault in told.value.faults)
    assert said in str(told.value)


def test_a_problem_of_a_recipe_is_told_with_its_line(demo: Path) -> None:
    """A reference to nothing in a recipe beside the job is a fault of that file, at its line."""
    text = TEXTS["drill"].replace('in.feed = "start.feed"', 'in.feed = "start.fed"', 1)
    (demo / "recipes").mkdir()
    (demo / "recipes" / "drill.toml").write_text(text, encoding="utf-8")
    with pytest.raises(FaultsError) as told:
        load_job(demo)
    (fault,) = told.value.faults
    assert (fault.file, fault.key) == (str(demo / "recipes" / "drill.toml"), "compute.0.in.feed")
    assert fault.line == text[: text.index('"start.fed"')].count("\n") + 1


def test_a_recipe_beside_the_job_wins(demo: Path) -> None:
    """A recipe of the same id beside the job is the one that is worked by, and only there."""
    (demo / "recipes").mkdir()
    text = TEXTS["deburr"].replace('title = "Deburr and sign off"', 'title = "Deburr our way"')
    (demo / "recipes" / "deburr.toml").write_text(text, encoding="utf-8")
    assert load_job(demo).plan.by_number[90].recipe.title == "Deburr our way"
    assert load_library(demo).origins["deburr"] == "job"
    assert load_library().origins["deburr"] == "handwheel"
