"""Centre drills: the centre hole that a size makes, and the shaft it is usual for."""

from collections.abc import Mapping
from functools import cache
from math import radians, sqrt, tan
from typing import Annotated, Any, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation
from handwheel.tables import table

__all__ = ["centre_drill"]

_CONE = 60.0  # deg, the included angle of every lathe centre: ISO 866

Pilot = Annotated[float, Quantity("mm", "d", kind="size", above=0, usual=(1, 10))]
Body = Annotated[float, Quantity("mm", "D", kind="size", above=0)]
PilotLength = Annotated[float, Quantity("mm", "l", kind="depth", above=0)]
Mouth = Annotated[float, Quantity("mm", "D2", kind="size", above=0)]
HoleDepth = Annotated[float, Quantity("mm", "t", kind="depth", above=0)]
ShaftFrom = Annotated[float, Quantity("mm", "sf", above=0)]
ShaftTo = Annotated[float, Quantity("mm", "st", above=0)]


class CentreDrill(NamedTuple):
    """Diameters, pilot length and depth of a centre hole, and the shafts it is usual for [mm]."""

    body: Body
    pilot_length: PilotLength
    countersink: Mouth
    depth: HoleDepth
    shaft_from: ShaftFrom
    shaft_to: ShaftTo


def _centre_again(pilot: float) -> tuple[float, ...]:
    """Take the cone's height by the height of an equilateral triangle."""
    row = _sizes()[pilot]
    depth = row["pilot_length"] + (row["countersink"] - pilot) * sqrt(3) / 2
    return (*_cells(row)[:3], depth, *_cells(row)[3:])


@calculation(
    title="Centre hole of a centre drill, type A",
    formula="table: centre_drills, the row of the pilot d; t = l + (D2 - d) / (2 * tan(pi / 6))",
    source="ISO 866:1975 and DIN 333, form A, from memory; the shafts: common practice, no source",
    examples=(
        Example(
            {"pilot": 2.5},
            {"body": 6.3, "pilot_length": 3.1, "countersink": 5.3, "depth": 5.525},
            "DIN 333 form A, 2.5 x 6.3, from memory",
        ),
    ),
    second=_centre_again,
)
def centre_drill(*, pilot: Pilot) -> CentreDrill:
    """Give body, pilot length, mouth and depth [mm] of the centre hole of a pilot diameter [mm].

    The depth is that of the pilot's tip edge with the 60 degree cone opened to its full mouth. A worn or
    reground pilot is shorter: the mouth is what is measured.
    """
    row = _sizes().get(pilot)
    if row is None:
        known = ", ".join(f"{size:g}" for size in _sizes())
        raise CalculationError(
            f"centre_drill: pilot {pilot:g} mm is not in ISO 866; there are {known}, such as 2.5 mm"
        )
    depth = row["pilot_length"] + (row["countersink"] - pilot) / (2 * tan(radians(_CONE / 2)))
    body, length, mouth, shaft_from, shaft_to = _cells(row)
    return CentreDrill(body, length, mouth, depth, shaft_from, shaft_to)


def _cells(row: Mapping[str, Any]) -> tuple[float, ...]:
    names = ("body", "pilot_length", "countersink", "shaft_from", "shaft_to")
    return tuple(row[name] for name in names)


@cache
def _sizes() -> Mapping[float, Mapping[str, Any]]:
    return {row["pilot"]: row for row in table("centre_drills").rows}
