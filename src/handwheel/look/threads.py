"""A thread: pitch, drill, limits, clearance holes, and the screw heads that go with it."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handwheel.calc.designations import ThreadSize, known_threads, parse_thread
from handwheel.look.answer import Answer, Bare, Part, chosen, gather, typed
from handwheel.look.screws import clearance_parts, head_parts
from handwheel.values import Value

__all__ = ["thread_answers"]

_MADE_LIKE_ONE = re.compile(
    r"""(?ix) (?:m|tr|g|r[pc]?|bsp[pt]|npt)\s*\.?\d.*
    | .*\d.*\b(?:npt|un(?:ef|[cfs])?|bsp[pt]) | [\#\d][\d./ ]*\s*-\s*\d+ """
)
"""What is meant as a thread, so that a wrong one is answered with the right ones."""

_FAMILIES = {
    "metric": "ISO metric thread",
    "unified": "Unified thread",
    "G": "parallel pipe thread",
    "NPT": "taper pipe thread",
    "R": "taper pipe thread, outside",
    "Rp": "pipe thread, inside, parallel",
    "Rc": "taper pipe thread, inside",
    "Tr": "trapezoidal thread",
}

_MINOR = ("internal_minor_min", "internal_minor_max")
_LIMITS = (
    "major_diameter",
    "pitch_diameter",
    "minor_diameter",
    "external_major_max",
    "external_major_min",
    "external_pitch_max",
    "external_pitch_min",
    "internal_pitch_min",
    "internal_pitch_max",
    "external_minor",
    "external_depth",
    "internal_depth",
    "internal_class",
    "external_class",
)


def thread_answers(query: str, _: Bare) -> Iterator[Answer]:
    """Give the thread of a designation, or those that a half-written one may become.

    Raises `InputError` with the nearest where something is written as a thread and is none.
    """
    meant = _begun(query)
    if not meant and _MADE_LIKE_ONE.fullmatch(query):
        meant = (parse_thread(query),)
    pointing = len(meant) > 1
    for size in meant:
        yield _pointer(size, query) if pointing else _answer(size, query)


def _begun(query: str) -> tuple[ThreadSize, ...]:
    """Give the threads of a size written without its threads per inch or its pitch: `1/4`, `#10`, `Tr 20`."""
    begin = re.sub(r"\s+", " ", query.casefold())
    listed = known_threads()
    if any(begin == name.casefold() for name in listed):
        return ()
    return tuple(
        size
        for name, size in listed.items()
        if size.family in ("unified", "Tr") and name.casefold().startswith((f"{begin}-", f"{begin}x"))
    )


def _answer(size: ThreadSize, query: str) -> Answer:
    thread = typed(size.designation, query)
    values, said = gather(_parts(thread))
    return Answer("thread", _title(size), values, said=said)


def _pointer(size: ThreadSize, query: str) -> Answer:
    """Point at one of several threads by what tells them apart."""
    given = {"thread": typed(size.designation, query)}
    parts = [Part("thread_dimensions", given, {"pitch": "pitch"})]
    if size.has_drill:
        parts.append(Part("tap_drill", given, {"drill": "tap_drill", "name": "tap_drill_name"}))
    return Answer("thread", _title(size), gather(parts)[0], query=size.designation)


def _title(size: ThreadSize) -> str:
    return f"{size.designation}, {_FAMILIES[size.family]}"


def _parts(thread: Value) -> Iterator[Part]:
    given = {"thread": thread}
    yield Part("thread_dimensions", given, {"pitch": "pitch"})
    yield Part(
        "tap_drill",
        given,
        {"drill": "tap_drill", "name": "tap_drill_name", "engagement": "engagement"},
    )
    forming = {**given, "kind": chosen("forming", "the other kind of tap")}
    yield Part("tap_drill", forming, {"drill": "tap_drill_forming"})
    yield from clearance_parts(given)
    yield Part("thread_dimensions", given, {name: name for name in _MINOR})
    yield from head_parts(given)
    yield Part("thread_dimensions", given, {name: name for name in _LIMITS})
