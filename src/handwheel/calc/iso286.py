"""ISO 286: what a zone such as H7 or g6 stands for, as the standard tabulates it.

The tables rule, not the formulas they were once made with: those differ by up to 15 % in the small
bands. Holes have no table of their own here, because ISO 286-1 derives them from the shafts, with a
delta and a handful of exceptions.
"""

import re
from functools import cache
from math import isnan
from typing import NamedTuple

from handwheel.errors import InputError, one_line
from handwheel.tables import table

__all__ = ["LARGEST", "Zone", "deviations", "parse_zone", "split_zones"]

_LAST_BIT = 1e-9
"""Sizes [mm] nearer than this are one size."""

LARGEST = 500.0
"""The largest size [mm] that the tables on file reach."""

_ROOM = ("a", "b", "c", "cd", "d", "e", "ef", "f", "fg", "g", "h")
_PRESSED = ("k", "m", "n", "p", "r", "s", "t", "u", "v", "x", "y", "z", "za", "zb", "zc")
_LETTERS = (*_ROOM, "js", "j", *_PRESSED)
_GRADES = ("01", "0", *(str(grade) for grade in range(1, 19)))
_COARSE = _GRADES.index("14")
_FORM = "a letter and a grade, such as H7 for a hole or g6 for a shaft"


class Zone(NamedTuple):
    """A tolerance zone: its letters, capitals for a hole, and its grade, `01`, `0` or `1` to `18`."""

    letter: str
    grade: str

    def __str__(self) -> str:
        return self.letter + self.grade

    @property
    def is_hole(self) -> bool:
        """Whether the zone is a hole's: capital letters."""
        return self.letter.isupper()


def parse_zone(text: str) -> Zone:
    """Read a zone such as `H7`, `js9` or `Js 9`; the first letter settles hole or shaft.

    Raises `InputError` with one line that says which letters and grades there are.
    """
    match = re.fullmatch(r"\s*([A-Za-z]{1,2})\s*(\d{1,2})\s*", text)
    if not match:
        raise InputError(f'"{one_line(text[:40])}" is no ISO 286 zone; write {_FORM}')
    hole = match[1][0].isupper()
    if match[1].lower() not in _LETTERS or (match[1][1:].isupper() and not hole):
        what, known = ("holes", (one.upper() for one in _LETTERS)) if hole else ("shafts", iter(_LETTERS))
        raise InputError(
            f'"{match[0].strip()}" is no ISO 286 zone: there is no {match[1]}; {what} have {" ".join(known)}'
        )
    grade = match[2] if match[2] in ("0", "01") else match[2].lstrip("0")
    if grade not in _GRADES:
        raise InputError(
            f'"{match[0].strip()}" is no ISO 286 zone: there is no grade {match[2]}; '
            "the grades are 01, 0 and 1 to 18"
        )
    return Zone(match[1].upper() if hole else match[1].lower(), grade)


def split_zones(text: str) -> tuple[str, tuple[Zone, ...]]:
    """Split what a drawing writes, `47 H7`, `ø25H7/g6` or `25 H7 g6`, into its size and its zones.

    The size stays text, with its unit where one was written. Raises `InputError` where no zone follows.
    """
    match = re.fullmatch(
        r"\s*[øØ⌀]?\s*(?P<size>[\d.,/ ]*\d(?:\s*(?:mm|in|\"))?)\s*"
        r"(?P<first>[A-Za-z]{1,2}\d{1,2})(?:\s*[/\s-]\s*(?P<second>[A-Za-z]{1,2}\d{1,2}))?\s*",
        text,
    )
    if not match:
        raise InputError(
            f'"{one_line(text[:40])}" is no size with a zone; write for example 47 H7 or 25 H7/g6'
        )
    zones = (match["first"], match["second"])
    return match["size"].strip(), tuple(parse_zone(one) for one in zones if one)


def deviations(size: float, zone: Zone) -> tuple[float, float]:
    """Give the upper and the lower deviation [µm] of a zone at a nominal size [mm], over 0 up to 500.

    Raises `InputError` where the standard tabulates none: beyond the sizes on file, letters that begin
    at a larger size or end at a smaller one, and J and j but for a few grades.
    """
    if not 0 < size <= LARGEST:
        raise InputError(f"ISO 286 zones are on file over 0 and up to {LARGEST:g} mm; {size:g} mm is outside")
    _refuse_small(size, zone)
    width = _width(size, zone.grade)
    if zone.letter.lower() == "js":
        return width / 2, -width / 2
    if zone.is_hole:
        if zone.letter.lower() in _ROOM:
            lower = 0.0 if zone.letter == "H" else 0 - _tabulated(size, zone)
            return lower + width, lower
        upper = _upper_of_hole(size, zone, width)
        return upper, upper - width
    fundamental = _shaft(size, zone)
    if zone.letter in ("j", *_PRESSED):
        return fundamental + width, fundamental
    return fundamental, fundamental - width


def _refuse_small(size: float, zone: Zone) -> None:
    """Refuse what ISO 286-1 keeps from sizes up to 1 mm (footnotes to its tables 1, 2, 3 and 4)."""
    if size > 1:
        return
    index = _GRADES.index(zone.grade)
    if index >= _COARSE or zone.letter.lower() in ("a", "b") or (zone.letter == "N" and _number(zone) > 8):
        raise InputError(f"ISO 286 has no {zone} up to 1 mm, only above it")


def _shaft(size: float, zone: Zone) -> float:
    """Give the fundamental deviation [µm] of a shaft, with its sign."""
    letter = zone.letter
    if letter == "h":
        return 0.0
    if letter == "j":
        return _tabulated_j(size, zone)
    if letter == "k" and not 4 <= _number(zone) <= 7:
        return 0.0
    return _tabulated(size, zone)


def _upper_of_hole(size: float, zone: Zone, width: float) -> float:
    """Give ES [µm] of a hole from J to ZC, by the rules under tables 2 and 3 of ISO 286-1.

    The hole mirrors the shaft of the same letter and grade, and over 3 mm up to grade 8 (K, M, N) or 7
    (P to ZC) comes up by delta, the step from the next finer grade.
    """
    letter, grade = zone.letter, _number(zone)
    if letter == "J":
        return _tabulated_j(size, zone)
    if letter == "K" and grade > 8 and size > 3:
        raise InputError(f"ISO 286 has no {zone} over 3 mm: K goes up to grade 8 there")
    if letter == "N" and grade > 8 and size > 3:
        return 0.0
    if letter == "M" and grade == 6 and 250 < size <= 315:
        return -9.0
    deviation = 0 - _tabulated(size, zone)
    if size <= 3 or grade > (8 if letter in ("K", "M", "N") else 7):
        return deviation
    if grade < 3:
        raise InputError(
            f"ISO 286 has no {zone} over 3 mm: it gives delta, which {letter} needs, from grade 3 on"
        )
    return deviation + width - _width(size, str(grade - 1))


def _tabulated(size: float, zone: Zone) -> float:
    """Give the tabulated deviation [µm] of the shaft that has, or mirrors, the letters of the zone."""
    column = zone.letter.lower()
    deviation = float(_band("iso286_shafts", size)[column])
    if isnan(deviation):
        rows = [row for row in _rows("iso286_shafts") if not isnan(row[column])]
        low, high = rows[0]["over"], rows[-1]["up_to"]
        raise InputError(
            f"ISO 286 has no {zone} at {size:g} mm; {zone.letter} goes from over {low:g} up to {high:g} mm"
        )
    return deviation


def _tabulated_j(size: float, zone: Zone) -> float:
    row = _band("iso286_j", size)
    deviation = float(row.get(str(zone), float("nan")))
    if isnan(deviation):
        known = [
            name for name in row if name.startswith(zone.letter) and not isnan(row[name]) and len(name) == 2
        ]
        raise InputError(
            f"ISO 286 has no {zone} at {size:g} mm; there {zone.letter} comes as {', '.join(known)}"
        )
    return deviation


def _width(size: float, grade: str) -> float:
    return float(_band("iso286_grades", size)[grade])


def _number(zone: Zone) -> int:
    """Give the grade as a number; 01 counts as -1, being finer than 0."""
    return -1 if zone.grade == "01" else int(zone.grade)


def _band(name: str, size: float) -> dict[str, float]:
    """Give the row of a table whose band, over … up to and including, holds the size.

    A size typed in inches may miss the end of a band by the last bit of a float; that is no next band.
    """
    return next(row for row in _rows(name) if row["over"] + _LAST_BIT < size <= row["up_to"] + _LAST_BIT)


@cache
def _rows(name: str) -> tuple[dict[str, float], ...]:
    return tuple(dict(row) for row in table(name).rows)
