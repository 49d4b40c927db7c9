"""Cutting fluids by material and operation."""

from collections.abc import Mapping
from functools import cache
from typing import Annotated, Any, NamedTuple

from handwheel.calc.catalogue import Example, Quantity, calculation
from handwheel.calc.materials import Material, MaterialName, find_material
from handwheel.tables import table

__all__ = ["cutting_fluid"]

_WAYS: Mapping[str, tuple[str, ...]] = {
    "turn": (
        "turn", "face", "bore", "shoulder", "groove", "face-recess", "internal-groove", "part-off",
        "break-edges", "knurl",
    ),
    "drill": ("drill", "spot", "centre-drill", "chamfer", "countersink", "counterbore"),
    "ream": ("ream",),
    "tap": ("tap", "tap-by-hand", "thread"),
    "mill": ("mill", "flat", "slot", "pocket", "profile"),
}  # fmt: skip
"""Column of the table, and the operations that cut alike: threads are cut as with a tap (common practice)."""

_WAY_OF = {operation: way for way, operations in _WAYS.items() for operation in operations}
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
    ("copper", "copper"),
)

Operation = Annotated[str, Quantity("", "operation", choices=tuple(_WAY_OF))]
Text = Annotated[str, Quantity("", "text")]


class CuttingFluid(NamedTuple):
    """What to cut with, the kind of material it was looked up for, the source; cautions are warnings."""

    fluid: Text
    kind: Text
    source: Text
    warnings: tuple[str, ...] = ()


@calculation(
    title="Cutting fluid",
    formula="table: cutting_fluids, by the kind of material and the way an operation cuts",
    source="Machinery's Handbook, 31st ed., p. 1250; T.O. 1-1A-9, 4-21 (magnesium); US Army TC 9-524, "
    "appendix C (from memory); the maker's sheet comes first",
    examples=(
        Example(
            {"material": "EN-GJL-250", "operation": "turn"},
            {"fluid": "dry", "kind": "cast iron"},
            "Machinery's Handbook, 31st ed., p. 1250: cast iron, turning, dry",
        ),
    ),
    second="a row of a table has no second route",
)
def cutting_fluid(*, material: MaterialName, operation: Operation) -> CuttingFluid:
    """Say what to cut a material with; operations that cut alike, as facing and turning, are given the same.

    Fluids get onto hands and into lungs: the maker's sheet, clean skin and no mist come first. A fire risk
    of the chips is among the warnings.
    """
    found = find_material(material)
    row = _fluids()[_kind(found)]
    said = [str(row["caution"])] if row["caution"] else []
    said.append("keep fluid and mist off skin and out of lungs; the maker's data sheet comes first")
    return CuttingFluid(row[_WAY_OF[operation]], row["material"], row["source"], tuple(said))


def _kind(material: Material) -> str:
    by_class = (kind for word, kind in _BY_CLASS if word in material.start_class)
    return next(by_class, _BY_GROUP.get(material.group, "steel"))


@cache
def _fluids() -> Mapping[str, Mapping[str, Any]]:
    return {row["material"]: row for row in table("cutting_fluids").rows}
