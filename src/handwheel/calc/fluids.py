"""Cutting fluids by material and operation."""

from collections.abc import Mapping
from functools import cache
from typing import Annotated, Any, NamedTuple

from handwheel.calc.catalogue import Example, Quantity, calculation
from handwheel.calc.materials import Material, MaterialName, find_material
from handwheel.tables import table

__all__ = ["cutting_fluid"]

_WAYS = ("turn", "drill", "ream", "tap", "mill")
_BY_GROUP = {"P": "steel", "M": "stainless steel", "K": "cast iron", "H": "tool steel"}
_BY_CLASS = (
    ("stainless", "stainless steel"),
    ("tool steel", "tool steel"),
    ("aluminium", "aluminium"),
    ("magnesium", "magnesium"),
    ("titanium", "titanium"),
    ("plastic", "plastic"),
    ("brass", "copper alloy"),
    ("bronze", "copper alloy"),
    ("copper", "copper alloy"),
)

Way = Annotated[str, Quantity("", "way", choices=_WAYS)]
Text = Annotated[str, Quantity("", "text")]


class CuttingFluid(NamedTuple):
    """What to cut with, the kind of material it was looked up for, the source; cautions are warnings."""

    fluid: Text
    kind: Text
    source: Text
    warnings: tuple[str, ...] = ()


@calculation(
    title="Cutting fluid",
    formula="table: cutting_fluids, by the kind of material and the way of cutting",
    source="US Army TC 9-524, appendix C, and US Navy NAVEDTRA 14345, from memory; the maker comes first",
    examples=(
        Example(
            {"material": "EN-GJL-250", "operation": "turn"},
            {"fluid": "dry", "kind": "cast iron"},
            "US Navy NAVEDTRA 14345: cast iron is cut dry, from memory",
        ),
    ),
    second="a row of a table has no second route",
)
def cutting_fluid(*, material: MaterialName, operation: Way) -> CuttingFluid:
    """Say what to cut a material with: turning and boring, drilling, reaming, tapping or milling.

    Fluids get onto hands and into lungs: the maker's sheet, clean skin and no mist come first. A fire risk
    of the chips is among the warnings.
    """
    found = find_material(material)
    row = _fluids()[_kind(found)]
    said = [str(row["caution"])] if row["caution"] else []
    said.append("keep fluid and mist off skin and out of lungs; the maker's data sheet comes first")
    return CuttingFluid(row[operation], row["material"], table("cutting_fluids").source, tuple(said))


def _kind(material: Material) -> str:
    by_class = (kind for word, kind in _BY_CLASS if word in material.start_class)
    return next(by_class, _BY_GROUP.get(material.group, "steel"))


@cache
def _fluids() -> Mapping[str, Mapping[str, Any]]:
    return {row["material"]: row for row in table("cutting_fluids").rows}
