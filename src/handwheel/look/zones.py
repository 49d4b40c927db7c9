"""A size with a zone of ISO 286, or with the zones of a hole and a shaft: `47 H7`, `25 H7/g6`, `H7/g6 25`."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handwheel.calc import CATALOGUE
from handwheel.calc.designations import parse_thread
from handwheel.calc.iso286 import parse_zone, split_zones
from handwheel.errors import InputError
from handwheel.look.answer import Answer, Bare, Kind, typed
from handwheel.look.lines import with_inputs
from handwheel.units import read

__all__ = ["zone_answers"]

_ZONE = r"[A-Za-z]{1,2} ?\d{1,2}"
_ZONES = re.compile(rf"(?P<first>{_ZONE})(?: ?[/\- ] ?(?P<second>{_ZONE}))?(?: (?P<size>\S.*))?")
_SIZE_FIRST = re.compile(rf"[øØ⌀]?(?P<size>[\d.,/ ]*\d(?: ?(?:mm|in|\"))?) ?(?P<zones>{_ZONE}.*)")


def zone_answers(query: str, bare: Bare) -> Iterator[Answer]:
    """Give the limits of a size with a zone, or the fit of two zones; without a size, what is missing.

    Raises `InputError` where a size stands with a zone that the standard does not have.
    """
    line = _size_first(query)
    if _SIZE_FIRST.fullmatch(line):
        size, zones = split_zones(line)
        yield _answer(size, [str(zone) for zone in zones], bare)
        return
    match = _ZONES.fullmatch(line)
    if match and not match["size"]:
        names = [name for name in (match["first"], match["second"]) if name]
        try:
            zones = tuple(map(parse_zone, names))
        except InputError:
            return  # C45 and P20 are no zones, and nothing says that they were meant as such
        if not _is_thread(line):
            yield _answer("", [str(zone) for zone in zones], bare)


def _is_thread(line: str) -> bool:
    try:
        parse_thread(line)
    except InputError:
        return False
    return True


def _size_first(query: str) -> str:
    """Put the size before the zones, as a drawing has it."""
    match = _ZONES.fullmatch(query)
    if match and match["size"] and re.match(r"[øØ⌀]?[\d.,]", match["size"]):
        zones = "/".join(name for name in (match["first"], match["second"]) if name)
        return f"{match['size']} {zones}"
    return query


def _answer(size: str, zones: list[str], bare: Bare) -> Answer:
    kind: Kind = "fit" if len(zones) > 1 else "zone"
    names = ("hole", "shaft") if kind == "fit" else ("zone",)
    if size and bare == "in" and size[-1].isdecimal():
        size = f"{size} in"
    title = f"{size} {'/'.join(zones)}".strip()
    given = {name: typed(zone, zone) for name, zone in zip(names, zones, strict=True)}
    calculation = CATALOGUE["fit" if kind == "fit" else "limits"]
    if not size:
        asked = with_inputs(calculation, [f"{name}={zone}" for name, zone in zip(names, zones, strict=True)])
        return Answer(kind, title, asked.values)
    results = calculation.run({"size": typed(read(size, "mm", bare), size, "mm"), **given})
    return Answer(kind, title, results)
