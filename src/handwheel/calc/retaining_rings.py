"""Grooves for retaining rings (circlips) of the normal type."""

from functools import cache
from typing import Annotated, Any, NamedTuple

from handwheel.calc.catalogue import Example, Quantity, calculation
from handwheel.calc.iso286 import deviations, parse_zone
from handwheel.errors import InputError
from handwheel.tables import table

__all__ = ["bore_ring_groove", "shaft_ring_groove"]


class RingGroove(NamedTuple):
    """A groove [mm]: diameter and width with limits, depth, the ring, the land to the end face."""

    groove_diameter: Annotated[float, Quantity("mm", "d2", kind="size")]
    groove_max: Annotated[float, Quantity("mm", "d2_max", kind="size", bound="at most")]
    groove_min: Annotated[float, Quantity("mm", "d2_min", kind="size", bound="at least")]
    groove_width: Annotated[float, Quantity("mm", "m", kind="size", bound="at least")]
    groove_width_max: Annotated[float, Quantity("mm", "m_max", kind="size", bound="at most")]
    groove_depth: Annotated[float, Quantity("mm", "t", kind="size")]
    ring_thickness: Annotated[float, Quantity("mm", "s", kind="size")]
    edge_distance: Annotated[float, Quantity("mm", "n", kind="size", bound="at least")]
    zone: Annotated[str, Quantity("", "zone")]


@calculation(
    title="Groove in a bore for a retaining ring",
    formula="table: DIN 472, d2, m (H13), s and n by bore diameter; t = (d2 - d1) / 2",
    source="DIN 472, normal type; limits of the zones by ISO 286",
    examples=(
        Example(
            {"bore_diameter": 16},
            {"groove_diameter": 16.8, "groove_max": 16.91, "groove_width": 1.1, "ring_thickness": 1,
             "edge_distance": 1.2},
            "DIN 472, a ring maker's table: 16.8 +0.11, 1.1, 1.2",
        ),
        Example(
            {"bore_diameter": 47},
            {"groove_diameter": 49.5, "groove_max": 49.75, "groove_width": 1.85, "ring_thickness": 1.75},
            "DIN 472, groove diameter and thickness from an open library, the others from memory",
        ),
    ),
    second="a row of a table has no second route; the tests hold it to the rules of the standard",
)  # fmt: skip
def bore_ring_groove(
    *,
    bore_diameter: Annotated[
        float, Quantity("mm", "d1", kind="size", above=0, usual=(8, 100), example="47 mm")
    ],
) -> RingGroove:
    """Give the groove [mm] for a ring in a bore of 8 to 100 mm.

    The groove grows from its nominal diameter (H11, from 24 mm on H12), the width from m (H13).
    `edge_distance` is the least land between the groove and the end face.
    """
    return _groove("DIN 472", "bore", bore_diameter)


@calculation(
    title="Groove on a shaft for a retaining ring",
    formula="table: DIN 471, d2, m (H13), s and n by shaft diameter; t = (d1 - d2) / 2",
    source="DIN 471, normal type; limits of the zones by ISO 286",
    examples=(
        Example(
            {"shaft_diameter": 25},
            {"groove_diameter": 23.9, "groove_min": 23.69, "groove_width": 1.3, "ring_thickness": 1.2,
             "edge_distance": 1.7},
            "DIN 471, d2 and s from an open library; 1.3, 1.7 and -0.21 in a maker's table",
        ),
        Example(
            {"shaft_diameter": 8},
            {"groove_diameter": 7.6, "groove_width": 0.9, "ring_thickness": 0.8, "edge_distance": 0.6},
            "DIN 471, a supplier's table",
        ),
    ),
    second="a row of a table has no second route; the tests hold it to the rules of the standard",
)  # fmt: skip
def shaft_ring_groove(
    *,
    shaft_diameter: Annotated[
        float, Quantity("mm", "d1", kind="size", above=0, usual=(3, 100), example="25 mm")
    ],
) -> RingGroove:
    """Give the groove [mm] for a ring on a shaft of 3 to 100 mm.

    The groove shrinks from its nominal diameter (h10, from 10 mm on h11, from 24 mm on h12), the width
    grows from m (H13). `edge_distance` is the least land between the groove and the end face.
    """
    return _groove("DIN 471", "shaft", shaft_diameter)


def _groove(standard: str, what: str, diameter: float) -> RingGroove:
    rows = _rows(standard, what)
    row = rows.get(diameter)
    if row is None:
        near = sorted(sorted(rows, key=lambda one: abs(one - diameter))[:2])
        sizes = " and ".join(f"{one:g}" for one in near)
        raise InputError(
            f"{standard} has no ring for a {what} of {diameter:g} mm; the nearest are {sizes} mm"
        )
    groove, width = row["groove_diameter"], row["width"]
    upper, lower = deviations(groove, parse_zone(row["zone"]))
    return RingGroove(
        groove,
        groove + upper / 1000,
        groove + lower / 1000,
        width,
        width + deviations(width, parse_zone("H13"))[0] / 1000,
        abs(groove - diameter) / 2,
        row["thickness"],
        row["edge"],
        row["zone"],
    )


@cache
def _rows(standard: str, what: str) -> dict[float, dict[str, Any]]:
    rows = table(standard.lower().replace(" ", "")).rows
    return {float(row[f"{what}_diameter"]): dict(row) for row in rows}
