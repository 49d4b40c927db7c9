"""Every size of a ready job mistyped in the ways that people mistype: what the check says of each."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from itertools import pairwise
from pathlib import Path
from tomllib import loads
from typing import NamedTuple

from pydantic import ValidationError

from handwheel.models.job import Job
from handwheel.models.recipe import Recipe
from handwheel.models.shop import Shop
from handwheel.plan.finding import Finding
from handwheel.plan.make import make_plan
from handwheel.plan.resolve import Plan
from handwheel.resources import demo_files
from handwheel.store.jobs import load_library

__all__ = ["INCH", "Slip", "found_by", "plan_of", "slips_of", "texts_of"]

INCH = 25.4

_SIZE = re.compile(r'"(?P<number>-?\d+(?:\.\d+)?) (?P<unit>mm|deg|µm|1/min|kW|kN|N·m|kg|HB)"')
_TABLE = re.compile(r"^\[\[?(?P<name>[A-Za-z.]+)\]\]?", re.MULTILINE)
_ID = re.compile(r'^(?:id|number|use) = "?(?P<id>[A-Za-z0-9-]+)"?', re.MULTILINE)
_KEY = re.compile(r"^(?P<key>[A-Za-z_]+) = ", re.MULTILINE)


class Slip(NamedTuple):
    """A size as it stands and as it was mistyped: the file, what it is of, and the new text of the file."""

    file: str
    where: str
    way: str
    old: str
    new: str
    text: str

    @property
    def name(self) -> str:
        """What the list of what cannot be known calls it."""
        return f"{self.where} {self.old} -> {self.new}"


@cache
def texts_of(example: str) -> dict[str, str]:
    """Give the files of a ready job."""
    return {file.name: file.read_text(encoding="utf-8") for file in demo_files(example)}


def slips_of(example: str) -> Iterator[Slip]:
    """Give every slip of every size in the files of a ready job."""
    for file, text in texts_of(example).items():
        for found in _SIZE.finditer(text):
            old, unit = found["number"], found["unit"]
            for way, number, its_unit in _mistyped(old, unit):
                new = f"{number} {its_unit}"
                changed = f'{text[: found.start()]}"{new}"{text[found.end() :]}'
                yield Slip(file, _where(file, text, found.start()), way, f"{old} {unit}", new, changed)


def _mistyped(number: str, unit: str) -> Iterator[tuple[str, str, str]]:
    """Give a number mistyped: digits swapped, ten times, inch for millimetre; nothing within a twentieth."""
    plain = float(number)
    if plain == 0:
        return
    seen = {number}
    digits = [index for index, sign in enumerate(number) if sign.isdigit()]
    for one, other in pairwise(digits):
        signs = list(number)
        signs[one], signs[other] = signs[other], signs[one]
        swapped = "".join(signs)
        if swapped not in seen and abs(float(swapped) - plain) > 0.05 * abs(plain):
            seen.add(swapped)
            yield "swapped", swapped, unit
    for way, factor in (("ten times", 10.0), ("a tenth", 0.1)):
        yield way, f"{plain * factor:.6g}", unit
    if unit == "mm":
        yield "inch for mm", number, "in"
        yield "mm for inch", f"{plain / INCH:.4f}", unit


def _where(file: str, text: str, at: int) -> str:
    """Say what a size is of: its table, the id that the table has, the use of an instrument, its key."""
    before = text[:at]
    tables = list(_TABLE.finditer(before))
    outer = next(one for one in reversed(tables) if "." not in one["name"])
    id = _ID.search(before, outer.end())
    parts = [file.removesuffix(".toml"), outer["name"], id["id"] if id is not None else ""]
    if tables[-1] is not outer:
        use = _ID.search(before, tables[-1].end())
        parts.append(use["id"] if use is not None else "")
    parts.append([found["key"] for found in _KEY.finditer(before)][-1])
    return ".".join(part for part in parts if part)


@cache
def _library() -> dict[str, Recipe]:
    return dict(load_library(None).recipes)


def plan_of(example: str, texts: Mapping[str, str], *recipes: Recipe) -> Plan:
    """Give the plan of a ready job with other texts of its files, and recipes of one's own."""
    given = {**texts_of(example), **texts}
    job = Job.model_validate(loads(given["job.toml"]), context={"units": "mm"})
    shop = Shop.model_validate(loads(given["shop.toml"]), context={"units": "mm"})
    return make_plan(job, shop, {**_library(), **{one.id: one for one in recipes}}, str(Path()))


def found_by(example: str, file: str, text: str) -> tuple[Finding, ...] | None:
    """Give the stops and doubts of a ready job with one file changed; None where it is refused at once."""
    try:
        plan = plan_of(example, {file: text})
    except ValidationError:
        return None
    return tuple(one for one in plan.findings if one.severity != "note")
