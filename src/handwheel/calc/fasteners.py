"""Holes for bolts and screws."""

from functools import cache
from typing import Annotated

from handwheel.calc.catalogue import Example, Quantity, calculation
from handwheel.calc.designations import parse_thread
from handwheel.calc.quantities import Thread
from handwheel.errors import InputError
from handwheel.tables import table

__all__ = ["clearance_hole"]

Series = Annotated[str, Quantity("", "series", choices=("fine", "medium", "coarse"))]
HoleDiameter = Annotated[float, Quantity("mm", "dh", kind="size", above=0)]


@calculation(
    title="Clearance hole for a bolt or screw",
    formula="table: ISO 273, the hole of the series for the thread's diameter",
    source="ISO 273:1979, table 1; ASME B18.2.8 and older DIN lists differ at a few sizes",
    examples=(
        Example({"thread": "M8"}, {"diameter": 9.0}, "ISO 273, table 1, medium"),
        Example({"thread": "M14", "series": "fine"}, {"diameter": 15.0}, "ISO 273, table 1"),
    ),
    second="a row of a table has no second route",
    result="diameter",
)
def clearance_hole(*, thread: Thread, series: Series = "medium") -> HoleDiameter:
    """Give the diameter [mm] of a hole that a metric bolt goes through; the pitch does not matter."""
    size = parse_thread(thread)
    row = _by_diameter().get(size.nominal_diameter) if size.family == "metric" else None
    if row is None:
        raise InputError(f"ISO 273 has no clearance hole for {size.designation}")
    return row[series]


@cache
def _by_diameter() -> dict[float, dict[str, float]]:
    rows = table("iso273").rows
    return {row["diameter"]: {name: row[name] for name in ("fine", "medium", "coarse")} for row in rows}
