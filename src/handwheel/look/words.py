"""Calculations and recipes by the words of their ids and titles, and by what they give."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from handwheel.calc import CATALOGUE
from handwheel.errors import HandwheelError
from handwheel.look.answer import Answer
from handwheel.look.lines import suggestion, with_inputs
from handwheel.resources import recipe_files
from handwheel.store.files import parse_toml, read_toml
from handwheel.store.folders import own_recipes
from handwheel.values import Listed, Value

__all__ = ["Files", "own_files", "recipe_names", "word_answers"]

_MOST = 12
_SHORTEST = 3
_NO_FIT = 3

_SMALL = frozenset(
    [
        "a",
        "and",
        "at",
        "by",
        "for",
        "from",
        "iso",
        "din",
        "en",
        "in",
        "of",
        "on",
        "or",
        "per",
        "the",
        "to",
        "with",
    ]
)
"""Words that half of all titles have."""

_ALSO: Mapping[str, str] = {
    # What the trade says, and the word that ids and titles have for it.
    "rpm": "spindle",
    "revs": "spindle",
    "sfm": "cutting_speed",
    "ipm": "feed_rate",
    "pcd": "bolt_circle",
    "bcd": "bolt_circle",
    "csk": "countersink",
    "cbore": "counterbore",
    "tir": "run_out",
    "runout": "run_out",
    "indexing": "dividing",
    "finish": "roughness",
    "surface": "roughness",
    "warm": "temperature",
    "weight": "mass",
    "circlip": "ring",
    "center": "centre",
    "vernier": "instrument",
    "pecking": "peck",
    "tapping": "tap",
    "drilling": "drill",
    "chamfer": "chamfer_countersink",
    "chamfering": "chamfer_countersink",
    "reaming": "ream",
    "milling": "mill",
    "turning": "turn",
    "boring": "bore",
    "facing": "face",
}


@dataclass(frozen=True, slots=True)
class _Entry:
    """One thing that has words: those of its name, and those of what goes in and comes out."""

    name: frozenset[str]
    about: frozenset[str]
    id: str


def word_answers(query: str) -> list[Answer]:
    """Give the calculations and recipes that all words of a line fit, the closest first.

    Numbers behind the words are inputs: a calculation that takes them all shows what comes of them.
    """
    words, inputs = _apart(query)
    if not words or max(map(len, words)) < _SHORTEST:
        return []
    found = _ranked(words)
    if inputs:
        return _with_inputs([id for kind, id in found if kind == "calculation"], inputs)
    recipes = _recipes()
    return [
        suggestion(CATALOGUE[id]) if kind == "calculation" else _recipe_answer(id, recipes[id])
        for kind, id in found
    ][:_MOST]


def _apart(query: str) -> tuple[list[str], list[str]]:
    """Part a line into its words, and what begins with a digit or names an input."""
    parts = query.split()
    at = next((k for k, part in enumerate(parts) if re.search(r"\d|=|\[", part)), len(parts))
    words = [word for word in re.findall(r"[^\W_]+", " ".join(parts[:at]).casefold()) if word not in _SMALL]
    return words, parts[at:]


def _ranked(words: Sequence[str]) -> list[tuple[str, str]]:
    """Give what every word fits, as kind and id: words of a name, then beginnings, then what it gives.

    Of what fits as well the shorter name comes first: it says less besides.
    """
    ranked: list[tuple[bool, int, int, str, str]] = []
    for kind, entries in (("recipe", _recipe_entries()), ("calculation", _calculation_entries())):
        for entry in entries:
            ranks = [_rank(word, entry) for word in words]
            other = "_".join(words) != entry.id
            ranked.append((other, max(ranks), len(entry.name), kind, entry.id))
    ranked.sort(key=lambda one: one[:3])
    return [(kind, id) for _, rank, _, kind, id in ranked if rank < _NO_FIT]


def _rank(word: str, entry: _Entry) -> int:
    """Say how well a word fits: 0 a word of the name, 1 its beginning, 2 a word of what it gives, 3 not."""
    alike = {word, word.removesuffix("s"), *_ALSO.get(word, word).split("_")}
    if alike & entry.name:
        return 0
    if any(name.startswith(word) for name in entry.name):
        return 1
    return 2 if any(name.startswith(word) for name in entry.about) else _NO_FIT


@cache
def _calculation_entries() -> tuple[_Entry, ...]:
    return tuple(
        _Entry(_split(f"{id} {one.title}"), _split(" ".join((*one.results, *one.inputs))), id)
        for id, one in CATALOGUE.items()
    )


def _recipe_entries() -> tuple[_Entry, ...]:
    return tuple(
        _Entry(_split(f"{id} {data['title']}"), _split(" ".join(data.get("features", ()))), id)
        for id, data in _recipes().items()
    )


def _split(text: str) -> frozenset[str]:
    return frozenset(re.findall(r"[^\W_]+", text.casefold()))


def _with_inputs(ids: Sequence[str], inputs: Sequence[str]) -> list[Answer]:
    answers = []
    for id in ids[:_MOST]:
        try:
            answer = with_inputs(CATALOGUE[id], inputs)
        except HandwheelError:
            continue  # what it refuses is no input of this one
        if not answer.said or not any("nothing takes" in line for line in answer.said):
            answers.append(answer)
    return answers


# --- recipes -------------------------------------------------------------------------------------------


Files = tuple[tuple[Path, int, int], ...]
"""The files of a folder with their time and size: where those are the same, what is in them is."""


def own_files() -> Files:
    """Give the person's own recipe files as they are now; none where the folder cannot be read."""
    try:
        paths = sorted(path for path in own_recipes().iterdir() if path.suffix == ".toml")
        stats = [(path, path.stat()) for path in paths]
    except OSError:
        return ()
    return tuple((path, stat.st_mtime_ns, stat.st_size) for path, stat in stats)


def _recipes() -> Mapping[str, Mapping[str, Any]]:
    """Give the recipes of operations by id: read once, and again when a file of the person's changed."""
    return _recipes_with(own_files())


@lru_cache(maxsize=1)
def _recipes_with(own: Files) -> Mapping[str, Mapping[str, Any]]:
    """Give the recipes of operations by id as their files have them, those that ship and the person's own.

    They are not validated: only titles are shown, and what is wrong with a file is said by the check of
    recipes. A file that cannot be read is passed over.
    """
    found: dict[str, Mapping[str, Any]] = {}
    for file, data in _recipe_data(own):
        id, title = data.get("id"), data.get("title")
        if isinstance(id, str) and isinstance(title, str) and data.get("belongs", "operation") == "operation":
            found[id] = {**data, "file": file}
    return found


def _recipe_data(own: Files) -> Iterator[tuple[str, dict[str, Any]]]:
    for shipped in recipe_files():
        yield f"recipes/{shipped.name}", parse_toml(shipped.name, shipped.read_bytes())[0]
    for path, _, _ in own:
        try:
            yield str(path), read_toml(path)[0]
        except HandwheelError:
            continue


def recipe_names() -> Iterator[str]:
    """Give the ids of the recipes that are found."""
    return iter(_recipes())


def _recipe_answer(id: str, data: Mapping[str, Any]) -> Answer:
    source = str(data.get("source") or "the recipe itself")
    where = str(data["file"])
    values = {
        name: Value(", ".join(map(str, data[name])), "", Listed(f"{where} {name}", source))
        for name in ("features", "machines", "tools")
        if isinstance(data.get(name), list) and data[name]
    }
    return Answer("recipe", f"{id}: {data['title']}", values)
