"""The look-up: every kind of thing is asked whether the line means one of its own."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from difflib import get_close_matches
from functools import lru_cache

from handwheel.calc import CATALOGUE
from handwheel.calc.designations import known_threads
from handwheel.errors import HandwheelError, InputError, one_line
from handwheel.look.answer import Answer, Bare
from handwheel.look.lines import line_answers
from handwheel.look.materials import material_answers
from handwheel.look.rings import ring_answers
from handwheel.look.screws import screw_answers
from handwheel.look.sizes import size_answers
from handwheel.look.tapers import taper_answers
from handwheel.look.threads import thread_answers
from handwheel.look.words import Files, own_files, recipe_names, word_answers
from handwheel.look.zones import zone_answers
from handwheel.tables import table

__all__ = ["LONGEST", "NothingFoundError", "look", "warm"]

LONGEST = 300
"""Signs of a line that are looked at; a longer one is refused unread."""

_NEAREST = 4


class NothingFoundError(HandwheelError):
    """Nothing is called so. The message says what is called nearly so."""


Reader = Callable[[str, Bare], Iterable[Answer]]

_READERS: tuple[Reader, ...] = (
    ring_answers,
    screw_answers,
    taper_answers,
    size_answers,
    thread_answers,
    zone_answers,
    material_answers,
)


def look(query: str, bare: Bare = "mm") -> tuple[Answer, ...]:
    """Give what a line means, the likeliest first; a size without a unit is in `bare`.

    Raises `NothingFoundError` with the nearest things, and `InputError` where the line is none: empty, too
    long, or with signs that cannot be shown.
    """
    line = _line(query)
    found: list[Answer] = []
    refused: list[str] = []
    for reader in _READERS:
        try:
            found.extend(reader(line, bare))
        except InputError as fault:
            refused.append(str(fault))
    found += _called(line, bool(found or refused))
    if found:
        return tuple(found)
    raise NothingFoundError(refused[0] if refused else f'nothing is called "{line}"{_near(line)}')


def _line(query: str) -> str:
    line = query.strip(" ")
    if not line:
        raise InputError('type what to look up, such as M8, 6.8, 1/4-20, "47 H7", C45 or chamfer')
    if len(line) > LONGEST:
        raise InputError(f"{len(line)} signs are too long for the look-up; it takes {LONGEST}")
    if not line.isprintable():
        raise InputError(f'"{one_line(line[:40])}" has signs that cannot be typed')
    return " ".join(line.split())


def _called(line: str, understood: bool) -> list[Answer]:
    """Give what is called by its words: the calculation that the line begins with, or all that fit.

    A line with a number in it that is `understood` already means that, and no words.
    """
    own = line_answers(line)
    if understood and any(sign.isdecimal() for sign in line):
        return own
    if own and re.search(r"[\d=\[]", line):
        return own  # inputs stand behind the name
    titles = {one.title for one in own}
    return [*own, *(one for one in word_answers(line) if one.title not in titles)]


def _near(line: str) -> str:
    """Name the nearest things, those that begin so first."""
    key = line.casefold()
    everything = _everything(own_files())
    begins = (name for low, name in everything.items() if low.startswith(key))
    close = get_close_matches(key[:60], everything, n=_NEAREST, cutoff=0.5)
    names = dict.fromkeys((*begins, *(everything[low] for low in close)))
    near = list(names)[:_NEAREST]
    return f"; near it: {', '.join(near)}" if near else "; M8, 6.8, 47 H7, C45 and chamfer would do"


@lru_cache(maxsize=1)
def _everything(own: Files) -> dict[str, str]:
    """Give every name there is, by how it is compared; the person's own files say when it is out of date."""
    return {name.casefold(): name for name in _all_names()}


def _all_names() -> Iterator[str]:
    yield from CATALOGUE
    yield from recipe_names()
    for row in table("materials").rows:
        yield from (row["designation"], *row["aliases"])
    yield from known_threads()


def warm() -> None:
    """Read the tables before the first key, so that each answer comes while the next one is typed."""
    for line in ("M8", "6.8", "47 H7", "C45", "spindle_speed 80 ft/min 1/4 in", "chamfer", "nothing at all"):
        try:
            look(line)
        except HandwheelError:
            continue
