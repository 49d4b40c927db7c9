"""Holes for bolts and screws."""

from collections.abc import Mapping
from functools import cache
from math import isnan
from typing import Annotated, Any, NamedTuple

from handwheel.calc.catalogue import Example, Quantity, calculation
from handwheel.calc.designations import INCH, ThreadSize, parse_thread
from handwheel.calc.quantities import Thread
from handwheel.errors import InputError
from handwheel.tables import table

__all__ = ["clearance_hole", "counterbore", "flat_head_countersink"]

_SERIES = {
    "fine": "fine",
    "medium": "medium",
    "coarse": "coarse",
    "close": "fine",
    "normal": "medium",
    "loose": "coarse",
}
"""The series of ISO 273; the fits of ASME B18.2.8 are the same three by other names."""

Series = Annotated[str, Quantity("", "series", choices=tuple(_SERIES))]
HoleDiameter = Annotated[float, Quantity("mm", "dh", kind="size", above=0)]


@calculation(
    title="Clearance hole for a bolt or screw",
    formula="table: ISO 273, inch bolts ASME B18.2.8: the hole of the series for the thread's diameter",
    source="ISO 273:1979, table 1; ASME B18.2.8-1999, table 1; older DIN lists differ at a few sizes",
    examples=(
        Example({"thread": "M8"}, {"diameter": 9.0}, "ISO 273, table 1, medium"),
        Example({"thread": "M14", "series": "fine"}, {"diameter": 15.0}, "ISO 273, table 1"),
        Example(
            {"thread": "1/2-13 UNC"}, {"diameter": 14.275}, "ASME B18.2.8, normal, 0.562 in, from memory"
        ),
    ),
    second="a row of a table has no second route",
    result="diameter",
)
def clearance_hole(*, thread: Thread, series: Series = "medium") -> HoleDiameter:
    """Give the diameter [mm] of a hole that a bolt goes through; the pitch does not matter.

    Fine, medium and coarse are the close, normal and loose fit of inch bolts; either word does.
    """
    size = parse_thread(thread)
    if size.family == "unified":
        return float(_inch_row("asme_b18_2_8", size)[_SERIES[series]]) * INCH
    row = _by_diameter().get(size.nominal_diameter) if size.family == "metric" else None
    if row is None:
        raise InputError(f"ISO 273 has no clearance hole for {size.designation}; there are such as for M8")
    return row[_SERIES[series]]


@cache
def _by_diameter() -> dict[float, dict[str, float]]:
    rows = table("iso273").rows
    return {row["diameter"]: {name: row[name] for name in ("fine", "medium", "coarse")} for row in rows}


_HEADS = {
    "socket_cap": "DIN 974-1 series 1, head ISO 4762",
    "low_cap": "DIN 974-1 series 1, head DIN 7984",
    "cheese": "DIN 974-1 series 1, head ISO 1207",
    "button": "DIN 974-1 series 1, head ISO 7380-1",
    "pan": "DIN 974-1 series 2, head ISO 7045 or ISO 1580",
    "hex": "DIN 974-2 series 1, room for a socket wrench, head ISO 4014",
}
"""The heads that go into a counterbore, and the standard of the sizes given for each."""

_SINKING = ((1.4, 0.2), (6.0, 0.4), (20.0, 0.6), (27.0, 0.8), (100.0, 1.0))
"""Z of DIN 974: up to and including a thread diameter [mm] the head is sunk by so much [mm] more; from an
extract in an open library."""

HeadDiameter = Annotated[float, Quantity("mm", "dk", kind="size")]
Base = Annotated[str, Quantity("", "base")]


class Counterbore(NamedTuple):
    """The counterbore and the largest head that goes into it [mm]; `base` names the standard."""

    diameter: Annotated[float, Quantity("mm", "d1", kind="size", above=0)]
    depth: Annotated[float, Quantity("mm", "t", kind="depth", above=0)]
    head_diameter: HeadDiameter
    head_height: Annotated[float, Quantity("mm", "k", kind="size")]
    knurled_diameter: Annotated[float, Quantity("mm", "dkn", kind="size")] | None
    base: Base
    warnings: tuple[str, ...] = ()


@calculation(
    title="Counterbore for a screw's head, without a washer",
    formula=(
        "table: DIN 974, the diameter for the head; the depth is the head's height and Z, 0.4 to M6, "
        "0.6 to M20, 0.8 to M27, 1 above (inch heads: nothing more)"
    ),
    source=(
        "DIN 974-1 and DIN 974-2; heads ISO 4762, DIN 7984, ISO 1207, ISO 7380-1, ISO 7045, "
        "ISO 4014; inch ASME B18.3. "
        "The older DIN 373 tools and the ASME lists differ at some sizes"
    ),
    examples=(
        Example(
            {"thread": "M8"},
            {"diameter": 15, "depth": 8.6, "head_diameter": 13, "head_height": 8},
            "DIN 974-1 series 1, diameter read in a tool maker's guide",
        ),
        Example(
            {"thread": "1/4-20 UNC"},
            {"diameter": 11.1125, "depth": 6.35, "head_diameter": 9.525},
            "ASME B18.3, counterbore 7/16 in, head 0.375 in, from memory",
        ),
    ),
    second="a row of a table has no second route",
)
def counterbore(
    *, thread: Thread, head: Annotated[str, Quantity("", "head", choices=tuple(_HEADS))] = "socket_cap"
) -> Counterbore:
    """Give the counterbore [mm] that sinks a head of the thread; the pitch does not matter.

    Inch threads have socket cap heads only; their counterbore is as deep as the head is high.
    `knurled_diameter` is the head's greatest diameter where it is knurled. Of a hexagon the head's
    diameter is across corners.
    """
    size = parse_thread(thread)
    if size.family == "unified" and head == "socket_cap":
        return _inch_counterbore(size)
    row = _heads().get((head, size.nominal_diameter)) if size.family == "metric" else None
    if row is None:
        raise InputError(_no_head(size, head, _HEADS[head], [one for kind, one in _heads() if kind == head]))
    sinking = next(sinking for up_to, sinking in _SINKING if size.nominal_diameter <= up_to)
    knurled = row["knurled_diameter"]
    return Counterbore(
        row["counterbore"],
        row["head_height"] + sinking,
        row["head_diameter"],
        row["head_height"],
        None if isnan(knurled) else knurled,
        _HEADS[head],
    )


def _inch_counterbore(size: ThreadSize) -> Counterbore:
    row = _inch_row("asme_b18_3_cap", size)
    return Counterbore(
        row["counterbore"] * INCH,
        size.nominal_diameter,
        row["head_diameter"] * INCH,
        size.nominal_diameter,
        None,
        "ASME B18.3 socket head cap screw",
        ("the depth is the head's greatest height: it ends flush, sunk no deeper",),
    )


_FLAT_HEADS = {
    "socket": "ISO 10642, the head's theoretical sharp diameter",
    "recessed": "ISO 15065, for heads of ISO 2009, ISO 7046 and ISO 14581",
    "din_7991": "DIN 7991, which ISO 10642 replaced; its heads are smaller",
}
"""The countersunk heads, and the standard of the sizes given for each."""


_INCH_FLATS = {
    "socket": ("asme_b18_3_flat", "ASME B18.3, the head's theoretical sharp diameter"),
    "recessed": ("asme_b18_6_3_flat", "ASME B18.6.3, the head's sharp diameter"),
}
"""The inch heads of 82 degrees: their table, and the standard of the sizes."""


class FlatHead(NamedTuple):
    """The countersink's diameter at the surface [mm] and included angle [deg]; `base` names the standard."""

    major_diameter: Annotated[float, Quantity("mm", "dc", kind="size", above=0)]
    included_angle: Annotated[float, Quantity("deg", "alpha")]
    base: Base
    warnings: tuple[str, ...] = ()


@calculation(
    title="Countersink for a flat head",
    formula="table: the diameter at the surface and the angle of the head's standard",
    source="ISO 10642:2004, table 1; ISO 15065:2005; DIN 7991; inch ASME B18.3 and ASME B18.6.3",
    examples=(
        Example(
            {"thread": "M6"}, {"major_diameter": 13.44, "included_angle": 90}, "ISO 10642, read in a table"
        ),
        Example(
            {"thread": "1/4-20 UNC", "head": "recessed"},
            {"major_diameter": 12.878, "included_angle": 82},
            "ASME B18.6.3, 0.507 in, from memory",
        ),
        Example(
            {"thread": "M6", "head": "recessed"},
            {"major_diameter": 12.6, "included_angle": 90},
            "ISO 15065, from an open library",
        ),
        Example(
            {"thread": "#10-32 UNF"},
            {"major_diameter": 10.439, "included_angle": 82},
            "ASME B18.3, 0.411 in",
        ),
    ),
    second="a row of a table has no second route",
)
def flat_head_countersink(
    *, thread: Thread, head: Annotated[str, Quantity("", "head", choices=tuple(_FLAT_HEADS))] = "socket"
) -> FlatHead:
    """Give the diameter at the surface [mm] and the cone [deg] that sink the largest head of a thread flush.

    `socket` is the hexagon socket screw (ISO 10642, inch ASME B18.3), `recessed` the slotted or cross
    recessed one (inch ASME B18.6.3), `din_7991` the older socket screw. A smaller head of its tolerance
    sits a little deep.
    """
    size = parse_thread(thread)
    if size.family == "unified" and head in _INCH_FLATS:
        name, base = _INCH_FLATS[head]
        return FlatHead(_inch_row(name, size)["major_diameter"] * INCH, 82.0, base)
    found = _flat_heads().get((head, size.nominal_diameter)) if size.family == "metric" else None
    if found is None:
        known = [one for kind, one in _flat_heads() if kind == head]
        raise InputError(_no_head(size, head, _FLAT_HEADS[head].split(",")[0], known))
    return FlatHead(found["major_diameter"], found["angle"], _FLAT_HEADS[head])


def _no_head(size: ThreadSize, head: str, base: str, known: list[float]) -> str:
    reach = f"M{min(known):g} to M{max(known):g}"
    return f"{base}: there is no {head} head for {size.designation}; there are some from {reach}"


def _inch_row(name: str, size: ThreadSize) -> Mapping[str, Any]:
    """Give the row of an inch table for a thread, by the size before the hyphen of its designation."""
    rows = {str(row["size"]): row for row in table(name).rows}
    named = size.designation.split("-")[0]
    if named not in rows:
        standard = table(name).source.split(",")[0]
        raise InputError(f"{standard} has nothing for {size.designation}; it has {', '.join(rows)}")
    return rows[named]


@cache
def _heads() -> dict[tuple[str, float], Mapping[str, Any]]:
    return {(row["head"], row["diameter"]): row for row in table("din974").rows}


@cache
def _flat_heads() -> dict[tuple[str, float], Mapping[str, Any]]:
    return {(row["head"], row["diameter"]): row for row in table("flat_heads").rows}
