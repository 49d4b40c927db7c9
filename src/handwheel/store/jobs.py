"""From the files of a job to its plan: job, shop and recipes read, validated and resolved."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from copy import deepcopy
from dataclasses import dataclass
from functools import partial
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any, NamedTuple, TypeVar

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
from handwheel.store.faults import line_of, model_faults, unknown_keys
from handwheel.store.files import Checked, check_schema, parse_toml, read_toml
from handwheel.store.folders import JOB, own_recipes, shop_file
from handwheel.store.layout import loads

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
    """A job's plan with the texts it was read from, for the places of findings.

    `said` is what a person has to be told. `read_only` says why the job may only be looked at: a newer
    program wrote its files, and what this one knows of them may not be all; "" where it may be worked at.
    """

    plan: Plan
    folder: Path
    texts: Mapping[str, str]
    said: tuple[str, ...] = ()
    read_only: str = ""


def load_job(folder: Path) -> OpenedJob:
    """Read job, shop and recipes and make the plan. Raises `FaultsError` with every fault found."""
    reading = _Reading()
    job = reading.take(folder / JOB, Job, job_model.SCHEMA)
    shop_path = shop_file(folder)
    shop = reading.take(shop_path, Shop, shop_model.SCHEMA) if os.path.isfile(shop_path) else Shop()
    library = load_library(folder)
    faults = [*reading.faults, *library.faults]
    if faults or job is None or shop is None:
        raise FaultsError(faults)
    plan = make_plan(job, shop, library.recipes, str(folder))
    return OpenedJob(plan, folder, reading.texts, tuple(reading.said), "; ".join(reading.newer))


def load_library(job: Path | None = None) -> Library:
    """Read all recipes: those that ship, then the person's own, then those beside the job; the last wins."""
    recipes: dict[str, Recipe] = {}
    origins: dict[str, str] = {}
    texts: dict[str, tuple[str, str]] = {}
    faults: list[Fault] = []
    for source in _recipe_sources(job):
        try:
            recipe, text = _recipe(source)
        except FaultsError as error:
            faults.extend(error.faults)
        else:
            recipes[recipe.id], origins[recipe.id] = recipe, source.origin
            texts[recipe.id] = (source.file, text)
    for id, recipe in recipes.items():
        file, text = texts[id]
        for problem in verify(recipe, recipes):
            key = ".".join(str(key) for key in problem.keys)
            faults.append(Fault(file, line_of(text, problem.keys), key, problem.what))
    return Library(recipes, origins, tuple(faults))


def place_of(finding: Finding, texts: Mapping[str, str]) -> str:
    """Say where a finding's cause stands: `job.toml:41 features.m8.depth`."""
    text = texts.get(finding.file, "")
    line = line_of(text, index_path(text, finding.keys)) if text else None
    place = finding.file if line is None else f"{finding.file}:{line}"
    return f"{place} {'.'.join(str(key) for key in finding.keys)}".strip()


def index_path(text: str, keys: Iterable[str | int]) -> tuple[str | int, ...]:
    """Turn names of tables in a list (`features`, `m8-holes`) into their indexes, as far as they go."""
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


class _Reading:
    """The files of a job being read: their texts, their faults, what has to be told, what is newer."""

    def __init__(self) -> None:
        self.texts: dict[str, str] = {}
        self.faults: list[Fault] = []
        self.said: list[str] = []
        self.newer: list[str] = []

    def take(self, path: Path, model: type[Shape], known: int) -> Shape | None:
        """Read one file into its shape; None where that left faults."""
        try:
            data, text = read_toml(path)
            self.texts[path.name] = text
            checked = check_schema(data, known, str(path), text)
            shape = _shaped(model, checked, str(path), text)
        except FaultsError as error:
            self.faults.extend(error.faults)
            return None
        if checked.note:
            self.said.append(f"{path.name}: {checked.note}")
        if checked.read_only:
            self.newer.append(f"{path.name}: {checked.note}")
        return shape


class _Source(NamedTuple):
    """Where a recipe comes from: from whom, what a fault of it names, and how it is read."""

    origin: str
    file: str
    read: Callable[[], tuple[dict[str, Any], str]]


def _recipe_sources(job: Path | None) -> Iterator[_Source]:
    for shipped in recipe_files():
        yield _Source("handwheel", shipped.name, partial(_shipped, shipped))
    folders = [("own", own_recipes())] + ([("job", job / "recipes")] if job else [])
    for origin, folder in folders:
        for path in _toml_files(folder):
            yield _Source(origin, str(path), partial(read_toml, path))


def _toml_files(folder: Path) -> list[Path]:
    try:
        return sorted(path for path in folder.iterdir() if path.suffix == ".toml")
    except (FileNotFoundError, NotADirectoryError):
        return []
    except OSError as error:
        raise FaultsError([Fault(str(folder), None, "", f"it cannot be read: {error.strerror}")]) from error


def _shipped(file: Traversable) -> tuple[dict[str, Any], str]:
    return parse_toml(file.name, file.read_bytes())


def _recipe(source: _Source) -> tuple[Recipe, str]:
    data, text = source.read()
    checked = check_schema(data, recipe_model.SCHEMA, source.file, text)
    if checked.read_only:
        raise _too_new(checked, source.file, text)
    return _shaped(Recipe, checked, source.file, text), text


def _shaped(model: type[Shape], checked: Checked, file: str, text: str) -> Shape:
    """Validate a file's data. Of a newer file what is known will do, where that validates."""
    if checked.read_only:
        return _known_part(model, checked, file, text)
    try:
        return _validated(model, checked.data)
    except ValidationError as error:
        found = model_faults(file, text, error, model=model)
        raise FaultsError([_placed(fault, text) for fault in found]) from error
    except InputError as error:
        raise FaultsError([Fault(file, None, "", str(error))]) from error


def _known_part(model: type[Shape], checked: Checked, file: str, text: str) -> Shape:
    data = deepcopy(checked.data)
    while True:
        try:
            return _validated(model, data)
        except ValidationError as error:
            unknown = unknown_keys(data, error)
        except InputError:
            unknown = []
        if not unknown:
            raise _too_new(checked, file, text)
        for *place, key in unknown:
            table: Any = data
            for step in place:
                table = table[step]
            del table[key]


def _too_new(checked: Checked, file: str, text: str) -> FaultsError:
    what = f"{checked.schema} is newer than this program knows ({checked.known}): it needs a newer handwheel"
    return FaultsError([Fault(file, line_of(text, ("schema",)), "schema", what)])


def _validated(model: type[Shape], data: dict[str, Any]) -> Shape:
    return model.model_validate(data, context={"units": _units(data)})


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
