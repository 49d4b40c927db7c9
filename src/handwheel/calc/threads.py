"""Threads: the basic sizes of a thread and the limits that its tolerance classes set."""

import re
from functools import cache, lru_cache
from math import sqrt
from typing import Annotated, Any, NamedTuple

from handwheel.calc.catalogue import Bound, Example, Quantity, calculation
from handwheel.calc.designations import INCH, ThreadSize, parse_thread
from handwheel.calc.quantities import Pitch, Thread
from handwheel.errors import InputError
from handwheel.tables import table

__all__ = ["TRIANGLE", "ThreadDimensions", "ThreadSize", "parse_thread", "thread_dimensions"]

TRIANGLE = sqrt(3) / 2
"""Height of the fundamental triangle of a 60 degree thread over its pitch, H = 0.866025 P (ISO 68-1)."""
_PIPE_DEPTH = 0.640327
"""Depth of a 55 degree pipe thread over its pitch (ISO 228-1)."""
_CREST_CLEARANCE = ((1.5, 0.15), (5.0, 0.25), (12.0, 0.5), (44.0, 1.0))
"""Crest clearance a_c [mm] of trapezoidal threads up to a pitch [mm] (ISO 2901, from memory)."""

InternalClass = Annotated[str, Quantity("", "internal_class", example="6H")]
ExternalClass = Annotated[str, Quantity("", "external_class", example="6g")]


def _size(symbol: str, bound: Bound = "") -> Quantity:
    return Quantity("mm", symbol, kind="size", bound=bound)


class ThreadDimensions(NamedTuple):
    """Basic sizes, limits and depths of a thread [mm], and the classes that the limits belong to.

    `minor_diameter` is the basic one, of the nut; `external_minor` is the root of the bolt. Depths
    are radial. A limit that no standard on file gives is None.
    """

    major_diameter: Annotated[float, _size("d")]
    pitch: Pitch
    pitch_diameter: Annotated[float, _size("d2")]
    minor_diameter: Annotated[float, _size("D1")]
    internal_minor_min: Annotated[float, _size("D1_min", "at least")] | None
    internal_minor_max: Annotated[float, _size("D1_max", "at most")] | None
    internal_pitch_min: Annotated[float, _size("D2_min", "at least")] | None
    internal_pitch_max: Annotated[float, _size("D2_max", "at most")] | None
    external_major_min: Annotated[float, _size("d_min", "at least")] | None
    external_major_max: Annotated[float, _size("d_max", "at most")] | None
    external_pitch_min: Annotated[float, _size("d2_min", "at least")] | None
    external_pitch_max: Annotated[float, _size("d2_max", "at most")] | None
    external_depth: Annotated[float, _size("h3")]
    internal_depth: Annotated[float, _size("H1")]
    external_minor: Annotated[float, _size("d3")]
    internal_class: InternalClass
    external_class: ExternalClass
    warnings: tuple[str, ...] = ()


class _Basic(NamedTuple):
    """Major, pitch and minor diameter, and the depths of bolt and nut thread [mm]."""

    major: float
    pitch: float
    minor: float
    external_depth: float
    internal_depth: float


class _Zone(NamedTuple):
    """A class: its name, the shift of the whole zone, the tolerances of crest and pitch diameter [mm]."""

    name: str
    shift: float
    crest: float
    pitch: float


@calculation(
    title="Dimensions and limits of a thread",
    formula=(
        "table: limits from the tolerances of ISO 965-1, ASME B1.1 or ISO 228-1, on the "
        "basic sizes; at 60 degrees "
        "d2 is d - 0.649519 P, D1 is d - 1.082532 P, d3 is d - 1.226869 P, h3 is 0.613435 P, H1 is 0.541266 P"
    ),
    source=(
        "ISO 68-1, ISO 724, ISO 965-1:1998; ASME B1.1-2003, B1.20.1; ISO 228-1:2000; ISO 7-1; ISO 2901, 2904"
    ),
    examples=(
        Example(
            {"thread": "M12"},
            {"internal_minor_min": 10.106, "internal_minor_max": 10.441, "external_major_max": 11.966},
            "ISO 965-2, M12 in 6H and 6g, from memory",
        ),
    ),
    second="tolerances are cells of a table, not a formula; a test holds each to the standard's formula",
)
def thread_dimensions(
    *,
    thread: Thread,
    internal_class: InternalClass | None = None,
    external_class: ExternalClass | None = None,
) -> ThreadDimensions:
    """Give basic sizes, limits and depths [mm] of a thread; classes default to 6H and 6g, or 2B and 2A.

    Two grades are written as the standard does, that of the pitch diameter first: `7g6g`, `4H5H`.
    Of a tapered pipe thread the basic sizes at its gauge plane are given, and a warning says where that is.
    """
    return _dimensions(thread, internal_class, external_class)


@lru_cache(maxsize=1024)
def _dimensions(thread: str, internal: str | None, external: str | None) -> ThreadDimensions:
    size = parse_thread(thread)
    if size.family == "metric":
        return _metric(size, internal, external)
    if size.family == "unified":
        return _unified(size, internal or "2B", external or "2A")
    if size.family == "G":
        return _pipe(size, internal, external or "A")
    if size.family == "Tr":
        return _trapezoidal(size, internal, external)
    if internal or external:
        raise InputError(f"{size.designation} has no tolerance classes: it seals in the thread")
    return _american_taper(size) if size.family == "NPT" else _sealing(size)


def _sealing(size: ThreadSize) -> ThreadDimensions:
    """Give the sizes at the gauge plane of a 55 degree thread that seals; those of Rp hold all along."""
    depth = _PIPE_DEPTH * size.pitch
    major = size.nominal_diameter
    length = _pipe_row("iso7_1", size.designation.split(" ", 1)[1])["gauge_length"]
    where = (
        "all along"
        if size.family == "Rp"
        else f"at the gauge plane, {length:g} mm from the small end; 1 in 16"
    )
    basic = _Basic(major, major - depth, major - 2 * depth, depth, depth)
    return _assemble(size, basic, None, None, (f"basic sizes {where}",))


def _american_taper(size: ThreadSize) -> ThreadDimensions:
    """Give the sizes at the hand-tight plane: E1 = D - (0.05 D + 1.1) P + L1 / 16, truncated to 0.8 P."""
    length = _pipe_row("asme_b1_20_1", size.designation.split("-")[0])["gauge_length"] * INCH
    outside, pitch = size.nominal_diameter, size.pitch
    effective = outside - (0.05 * outside / INCH + 1.1) * pitch + length / 16
    depth = 0.8 * pitch
    basic = _Basic(effective + depth, effective, effective - depth, depth, depth)
    said = f"basic sizes at the hand-tight plane, {length:.2f} mm from the small end; 1 in 16"
    return _assemble(size, basic, None, None, (said,))


@cache
def _pipe_row(name: str, size: str) -> Any:
    return next(row for row in table(name).rows if row["size"] == size.removesuffix("-LH"))


def _metric(size: ThreadSize, internal: str | None, external: str | None) -> ThreadDimensions:
    warnings = []
    nut = internal or "6H"
    if internal is None and not _tolerance(size, "TD1", "6"):
        nut = "5H" if _tolerance(size, "TD1", "5") else "4H"
        warnings.append(f"{size.designation} has no class 6H; the limits are those of {nut}")
    basic = _sixty_degrees(size)
    return _assemble(
        size, basic, _metric_nut(size, nut), _metric_bolt(size, external or "6g"), tuple(warnings)
    )


def _metric_nut(size: ThreadSize, name: str) -> _Zone:
    match = re.fullmatch(r"([4-8])([GH])(?:([4-8])\2)?", name)
    crest = _tolerance(size, "TD1", match[3] or match[1]) if match else 0
    pitch = _tolerance(size, "TD2", match[1]) if match else 0
    if not match or not crest or not pitch:
        grades = [one for one in "45678" if _tolerance(size, "TD1", one) and _tolerance(size, "TD2", one)]
        known = ", ".join(f"{grade}{letter}" for letter in "HG" for grade in grades)
        raise InputError(f'"{name}" is not an internal class of {size.designation}; there are {known}')
    shift = _by_pitch()[size.pitch]["g"] if match[2] == "G" else 0
    return _Zone(name, shift / 1000, crest / 1000, pitch / 1000)


def _metric_bolt(size: ThreadSize, name: str) -> _Zone:
    match = re.fullmatch(r"([3-9])([efgh])(?:([468])\2)?", name)
    row = _by_pitch()[size.pitch]
    crest = _tolerance(size, "Td", match[3] or match[1]) if match else 0
    pitch = _tolerance(size, "Td2", match[1]) if match else 0
    shift = (0 if match[2] == "h" else row[match[2]]) if match else 0
    if not match or not crest or not pitch or (match[2] != "h" and not shift):
        grades = [one for one in "468" if _tolerance(size, "Td", one) and _tolerance(size, "Td2", one)]
        letters = [letter for letter in "hgfe" if letter == "h" or row[letter]]
        known = ", ".join(f"{grade}{letter}" for letter in letters for grade in grades)
        raise InputError(
            f'"{name}" is not an external class of {size.designation}; there are {known}, '
            "and two grades, that of the pitch diameter first, as in 7g6g"
        )
    return _Zone(name, shift / 1000, crest / 1000, pitch / 1000)


def _tolerance(size: ThreadSize, name: str, grade: str) -> float:
    """Give a tolerance of ISO 965-1 [µm]; 0 where the standard has no such grade for the thread."""
    if name in ("TD1", "Td"):
        return float(_by_pitch()[size.pitch].get(f"{name}_{grade}", 0))
    for row in table("iso965_diameter").rows:
        if row["over"] < size.nominal_diameter <= row["up_to"] and row["pitch"] == size.pitch:
            return float(row.get(f"{name}_{grade}", 0))
    return 0.0


@cache
def _by_pitch() -> dict[float, Any]:
    return {row["pitch"]: row for row in table("iso965_pitch").rows}


def _unified(size: ThreadSize, internal: str, external: str) -> ThreadDimensions:
    """Compute the limits by the formulas of ASME B1.1, which are in inches."""
    if internal not in ("1B", "2B", "3B") or external not in ("1A", "2A", "3A"):
        raise InputError(f"classes of {size.designation} are 1B, 2B, 3B inside and 1A, 2A, 3A outside")
    diameter, pitch = size.nominal_diameter / INCH, size.pitch / INCH
    # the length of engagement that the standard series assume; nine pitches for the special 1-14
    length = 9 * pitch if "UNS" in size.designation else diameter
    basic = 0.0015 * diameter ** (1 / 3) + 0.0015 * length**0.5 + 0.015 * pitch ** (2 / 3)
    share = {"1A": 1.5, "2A": 1.0, "3A": 0.75}[external]
    crest = (0.09 if external == "1A" else 0.06) * pitch ** (2 / 3)
    allowance = 0.0 if external == "3A" else 0.3 * basic
    bolt = _Zone(external, allowance * INCH, crest * INCH, share * basic * INCH)
    wide = {"1B": 1.95, "2B": 1.3, "3B": 0.975}[internal]
    nut = _Zone(internal, 0.0, _unified_minor(internal, diameter, pitch) * INCH, wide * basic * INCH)
    return _assemble(size, _sixty_degrees(size), nut, bolt)


def _unified_minor(internal: str, diameter: float, pitch: float) -> float:
    """Give the tolerance of the minor diameter [in] of ASME B1.1-2003, 5.8.2, from memory."""
    fine = 0.05 * pitch ** (2 / 3) + 0.03 * pitch / diameter - 0.002
    if internal == "3B":
        least = 0.23 * pitch - 1.5 * pitch**2 if pitch < 1 / 12.5 else 0.12 * pitch
    else:
        least = 0.25 * pitch - 0.4 * pitch**2
        if diameter >= 0.25:
            return least
    return float(min(max(fine, least), 0.394 * pitch))


def _pipe(size: ThreadSize, internal: str | None, external: str) -> ThreadDimensions:
    if internal is not None or external not in ("A", "B"):
        raise InputError(f"{size.designation} has one internal class and the external classes A and B")
    row = next(
        row for row in table("iso228").rows if f"G {row['size']}" == size.designation.removesuffix("-LH")
    )
    depth = _PIPE_DEPTH * size.pitch
    major = size.nominal_diameter
    nut = _Zone("", 0.0, row["internal_minor"], row["internal_pitch"])
    bolt = _Zone(external, 0.0, row["external_major"], row[f"external_pitch_{external.lower()}"])
    return _assemble(size, _Basic(major, major - depth, major - 2 * depth, depth, depth), nut, bolt)


def _trapezoidal(size: ThreadSize, internal: str | None, external: str | None) -> ThreadDimensions:
    if internal or external:
        raise InputError(f"{size.designation}: tolerances of trapezoidal threads (ISO 2903) are not on file")
    clearance = next(gap for pitch, gap in _CREST_CLEARANCE if size.pitch <= pitch)
    depth = size.pitch / 2 + clearance
    major = size.nominal_diameter
    basic = _Basic(major, major - size.pitch / 2, major - size.pitch, depth, depth)
    said = "basic sizes only: tolerances of trapezoidal threads (ISO 2903) are not on file"
    return _assemble(size, basic, None, None, (said,))


def _sixty_degrees(size: ThreadSize) -> _Basic:
    """Give the basic profile of ISO 68-1, which Unified threads share.

    The bolt is 17/24 H deep; later editions of ASME B1.1 have 11/16 H, which is the shallower.
    """
    height, major = TRIANGLE * size.pitch, size.nominal_diameter
    return _Basic(major, major - 0.75 * height, major - 1.25 * height, 17 / 24 * height, 0.625 * height)


def _assemble(
    size: ThreadSize, basic: _Basic, nut: _Zone | None, bolt: _Zone | None, warnings: tuple[str, ...] = ()
) -> ThreadDimensions:
    """Set the zones on the basic sizes: the nut grows from them, the bolt shrinks."""
    return ThreadDimensions(
        major_diameter=basic.major,
        pitch=size.pitch,
        pitch_diameter=basic.pitch,
        minor_diameter=basic.minor,
        internal_minor_min=nut and basic.minor + nut.shift,
        internal_minor_max=nut and basic.minor + nut.shift + nut.crest,
        internal_pitch_min=nut and basic.pitch + nut.shift,
        internal_pitch_max=nut and basic.pitch + nut.shift + nut.pitch,
        external_major_min=bolt and basic.major - bolt.shift - bolt.crest,
        external_major_max=bolt and basic.major - bolt.shift,
        external_pitch_min=bolt and basic.pitch - bolt.shift - bolt.pitch,
        external_pitch_max=bolt and basic.pitch - bolt.shift,
        external_depth=basic.external_depth,
        internal_depth=basic.internal_depth,
        external_minor=basic.major - 2 * basic.external_depth,
        internal_class=nut.name if nut else "",
        external_class=bolt.name if bolt else "",
        warnings=warnings,
    )
