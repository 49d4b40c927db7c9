"""From the files of a job to its plan: job, shop and recipes read, validated and resolved."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from handwheel.errors import Fault, FaultsError, InputError
from handwheel.models import job as job_model
from handwheel.models import recipe as recipe_model
from handwheel.models import shop as shop_model
from handwheel.models.job import Job
from handwheel.models.recipe import Recipe
from handwheel.models.shop import Shop
from handwheel.plan.binding import verify
from handwheel.plan.finding import Finding
from handwheel.plan.make import make_plan
from handwheel.plan.resolve import Plan
from handwheel.resources import recipe_files
from handwheel.store.faults import line_of, model_faults
from handwheel.store.files import check_schema, read_toml
from handwheel.store.folders import JOB, own_recipes, shop_file

__all__ = ["Library", "OpenedJob", "load_job", "load_library", "place_of"]

Shape = TypeVar("Shape", bound=BaseModel)


@dataclass(frozen=True, slots=True)
class Library:
    """All recipes by id, where each came from, and the faults of those that were left out."""

    recipes: Mapping[str, Recipe]
    origins: Mapping[str, str]
    faults: tuple[Fault, ...] = ()


@dataclass(frozen=True, slots=True)
class OpenedJob:
    """A job's plan with the texts it was read from, for the places of findings."""

    plan: Plan
    folder: Path
    texts: Mapping[str, str]
    said: tuple[str, ...] = ()


def load_job(folder: Path) -> OpenedJob:
    """Read job, shop and recipes and make the plan. Raises `FaultsError` with every fault found."""
    faults: list[Fault] = []
    texts: dict[str, str] = {}
    said: list[str] = []
    job = _read(folder / JOB, JOB, Job, job_model.SCHEMA, texts, faults, said)
    shop_path = shop_file(folder)
    shop = (
        _read(shop_path, shop_path.name, Shop, shop_model.SCHEMA, texts, faults, said)
        if shop_path.is_file()
        else Shop()
    )
    library = load_library(folder)
    faults.extend(library.faults)
    if faults or job is None or shop is None:
        raise FaultsError(faults)
    plan = make_plan(job, shop, library.recipes, str(folder))
    return OpenedJob(plan, folder, texts, tuple(said))


def load_library(job: Path | None = None) -> Library:
    """Read all recipes: those that ship, then the person's own, then those beside the job; the last wins."""
    places: list[tuple[str, Iterable[Traversable]]] = [("handwheel", recipe_files())]
    own = [("own", own_recipes())] + ([("job", job / "recipes")] if job else [])
    places.extend((origin, sorted(folder.glob("*.toml"))) for origin, folder in own if folder.is_dir())
    recipes: dict[str, Recipe] = {}
    origins: dict[str, str] = {}
    texts: dict[str, tuple[str, str]] = {}
    faults: list[Fault] = []
    for origin, files in places:
        for file in files:
            recipe, text = _recipe(file, faults)
            if recipe is not None:
                recipes[recipe.id], origins[recipe.id] = recipe, origin
                texts[recipe.id] = (str(file.name), text)
    for id, recipe in recipes.items():
        name, text = texts[id]
        for problem in verify(recipe, recipes):
            key = ".".join(str(key) for key in problem.keys)
            faults.append(Fault(name, line_of(text, problem.keys), key, problem.what))
    return Library(recipes, origins, tuple(faults))


def place_of(finding: Finding, texts: Mapping[str, str]) -> str:
    """Say where a finding's cause stands: `job.toml:41 features.m8.depth`."""
    text = texts.get(finding.file, "")
    line = line_of(text, index_path(text, finding.keys)) if text else None
    place = finding.file if line is None else f"{finding.file}:{line}"
    return f"{place} {'.'.join(str(key) for key in finding.keys)}".strip()


def index_path(text: str, keys: Iterable[str | int]) -> tuple[str | int, ...]:
    """Turn names of tables in a list (`features`, `m8-holes`) into their indexes, as far as they go."""
    from handwheel.store.layout import loads

    data: Any = loads(text)
    path: list[str | int] = []
    for key in keys:
        if isinstance(data, list):
            named = [str(one.get("id", one.get("number"))) if isinstance(one, dict) else "" for one in data]
            if str(key) not in named:
                return tuple(path)
            key = named.index(str(key))
        elif not isinstance(data, dict) or key not in data:
            return tuple(path)
        path.append(key)
        data = data[key]
    return tuple(path)


def _read(
    path: Path,
    name: str,
    model: type[Shape],
    known: int,
    texts: dict[str, str],
    faults: list[Fault],
    said: list[str],
) -> Shape | None:
    try:
        data, text = read_toml(path)
        texts[name] = text
        checked = check_schema(data, known, str(path), text)
    except FaultsError as error:
        faults.extend(error.faults)
        return None
    if checked.note:
        said.append(f"{name}: {checked.note}")
    return _validated(model, checked.data, str(path), text, faults)


def _recipe(file: Traversable, faults: list[Fault]) -> tuple[Recipe | None, str]:
    from handwheel.store.faults import syntax_fault
    from handwheel.store.layout import loads

    text = file.read_text(encoding="utf-8")
    try:
        data = loads(text)
        check_schema(data, recipe_model.SCHEMA, file.name, text)
    except FaultsError as error:
        faults.extend(error.faults)
        return None, text
    except ValueError as error:
        faults.append(syntax_fault(file.name, text, error))
        return None, text
    return _validated(Recipe, data, file.name, text, faults), text


def _validated(
    model: type[Shape], data: dict[str, Any], file: str, text: str, faults: list[Fault]
) -> Shape | None:
    try:
        return model.model_validate(data, context={"units": _units(data)})
    except ValidationError as error:
        faults.extend(_placed(fault, text) for fault in model_faults(file, text, error, model=model))
        return None
    except InputError as error:
        faults.append(Fault(file, None, "", str(error)))
        return None


def _units(data: Mapping[str, Any]) -> str:
    """The unit system that bare sizes of a file are in: a job says it in its head, a shop at its top."""
    head = data.get("job", data)
    units = head.get("units", "mm") if isinstance(head, Mapping) else "mm"
    return units if units in ("mm", "inch") else "mm"


def _placed(fault: Fault, text: str) -> Fault:
    """Give a fault of the whole file the place that its message begins with: `features.x.of: …`."""
    key, colon, what = fault.what.partition(": ")
    if fault.key or not colon or " " in key:
        return fault
    return Fault(fault.file, line_of(text, index_path(text, key.split("."))), key, what)
