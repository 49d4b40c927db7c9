"""A screw by its standard: its head, the counterbore or countersink that takes it, and the holes for it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from handwheel.calc.designations import ThreadSize, parse_thread
from handwheel.errors import InputError
from handwheel.look.answer import Answer, Bare, Part, chosen, gather, typed
from handwheel.values import Missing, Value

__all__ = ["clearance_parts", "head_parts", "screw_answers"]


class _Screw(NamedTuple):
    """What a standard's screw is called, the calculation that sinks its head, and the head's name there."""

    title: str
    calculation: str
    head: str


_CAP = _Screw("hexagon socket head cap screw", "counterbore", "socket_cap")
_LOW = _Screw("hexagon socket cap screw with a low head", "counterbore", "low_cap")
_CHEESE = _Screw("slotted cheese head screw", "counterbore", "cheese")
_BUTTON = _Screw("hexagon socket button head screw", "counterbore", "button")
_SLOTTED_PAN = _Screw("slotted pan head screw", "counterbore", "pan")
_CROSS_PAN = _Screw("cross recessed pan head screw", "counterbore", "pan")
_BOLT = _Screw("hexagon head bolt", "counterbore", "hex")
_SCREW = _Screw("hexagon head screw, threaded to the head", "counterbore", "hex")
_FLAT = _Screw("hexagon socket countersunk head screw", "flat_head_countersink", "socket")
_OLD_FLAT = _Screw("hexagon socket countersunk head screw", "flat_head_countersink", "din_7991")
_SLOTTED_FLAT = _Screw("slotted countersunk head screw", "flat_head_countersink", "recessed")
_CROSS_FLAT = _Screw("cross recessed countersunk head screw", "flat_head_countersink", "recessed")
_LOBED_FLAT = _Screw("hexalobular socket countersunk head screw", "flat_head_countersink", "recessed")

_SCREWS: Mapping[str, _Screw] = {
    # The titles are those of the standards, from memory; a DIN number beside its ISO successor.
    "ISO 4762": _CAP,
    "DIN 912": _CAP,
    "DIN 7984": _LOW,
    "ISO 1207": _CHEESE,
    "DIN 84": _CHEESE,
    "ISO 7380": _BUTTON,
    "ISO 1580": _SLOTTED_PAN,
    "DIN 85": _SLOTTED_PAN,
    "ISO 7045": _CROSS_PAN,
    "DIN 7985": _CROSS_PAN,
    "ISO 4014": _BOLT,
    "DIN 931": _BOLT,
    "ISO 4017": _SCREW,
    "DIN 933": _SCREW,
    "ISO 10642": _FLAT,
    "DIN 7991": _OLD_FLAT,
    "ISO 2009": _SLOTTED_FLAT,
    "DIN 963": _SLOTTED_FLAT,
    "ISO 7046": _CROSS_FLAT,
    "DIN 965": _CROSS_FLAT,
    "ISO 14581": _LOBED_FLAT,
}

_QUERY = re.compile(
    r"(?ix) (?:din\s*)? (?:en\s*)? (?P<body>iso|din) \s* (?P<number>\d{2,5}) (?:-\d)?"
    r"(?: [\s,–-]* (?P<thread>m.*) )?"
)


def screw_answers(query: str, _: Bare) -> Iterator[Answer]:
    """Give the screw of a standard and a thread; without a thread, what is missing.

    A length behind the thread, `M6x20`, is passed over. Raises `InputError` where the standard is none of
    those on file, or has no such thread.
    """
    match = _QUERY.fullmatch(query)
    if not match:
        return
    standard = f"{match['body'].upper()} {match['number']}"
    screw = _SCREWS.get(standard)
    if screw is None:
        raise InputError(f"there is no screw {standard} on file; there are {', '.join(_SCREWS)}")
    if match["thread"]:
        yield _answer(standard, screw, _thread(match["thread"]), query)
    else:
        wanted = Value(None, "", Missing("input thread", "for example M6"))
        yield Answer("screw", f"{standard}, {screw.title}", {"thread": wanted})


def _thread(text: str) -> ThreadSize:
    """Read the thread of a screw, `M6`, `M8x1`, `M6x20`, `M6 x 20`, `M8x1x30`: a length is no part of it."""
    try:
        return parse_thread(text)
    except InputError:
        without_length = re.sub(r"\s*[x×*]\s*\d+(?:[.,]\d+)?\s*(?:mm)?$", "", text)
        if without_length == text:
            raise
        return parse_thread(without_length)


def _answer(standard: str, screw: _Screw, size: ThreadSize, query: str) -> Answer:
    given = {"thread": typed(size.designation, query)}
    sunk, said = gather((_sinking(screw.calculation, screw.head, given),))
    if not sunk:
        raise InputError(f"there is no head for {standard} {size.designation} on file")
    others = (
        *clearance_parts(given),
        Part("tap_drill", given, {"drill": "tap_drill", "name": "tap_drill_name"}),
        Part("thread_dimensions", given, {"pitch": "pitch", "major_diameter": "major_diameter"}),
    )
    title = f"{standard} {size.designation}, {screw.title}"
    return Answer("screw", title, {**sunk, **gather(others)[0]}, said=said)


def _sinking(calculation: str, head: str, given: Mapping[str, Value], begin: str = "") -> Part:
    """Ask for what sinks a head; `begin` tells several heads apart."""
    names = {
        "counterbore": {
            "diameter": "counterbore_diameter",
            "depth": "counterbore_depth",
            "head_diameter": "head_diameter",
            "head_height": "head_height",
            "knurled_diameter": "knurled_diameter",
            "base": "counterbore_base",
        },
        "flat_head_countersink": {
            "major_diameter": "countersink_diameter",
            "included_angle": "countersink_angle",
            "base": "countersink_base",
        },
    }[calculation]
    asked = {**given, "head": chosen(head, "the head of the standard")}
    return Part(calculation, asked, {result: f"{begin}{name}" for result, name in names.items()})


def head_parts(given: Mapping[str, Value]) -> Iterator[Part]:
    """Ask for the heads that screws of a thread have: socket cap, hexagon, countersunk."""
    yield _sinking("counterbore", "socket_cap", given)
    hexagon = {"diameter": "hex_counterbore_diameter", "head_diameter": "hex_head_diameter"}
    asked = {**given, "head": chosen("hex", "the head of the standard")}
    yield Part("counterbore", asked, {**hexagon, "head_height": "hex_head_height"})
    yield _sinking("flat_head_countersink", "socket", given)


def clearance_parts(given: Mapping[str, Value]) -> Iterator[Part]:
    """Ask for the clearance hole of each series."""
    for series in ("fine", "medium", "coarse"):
        asked = {**given, "series": chosen(series, "each series of the standard")}
        yield Part("clearance_hole", asked, {"diameter": f"clearance_{series}"})
