"""Materials by EN or ISO designation, and by the names they are commonly called."""

from collections.abc import Mapping
from difflib import get_close_matches
from functools import cache
from math import isnan
from typing import Annotated, Any, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation
from handwheel.errors import one_line
from handwheel.tables import table

__all__ = ["CONDITIONS", "Material", "MaterialName", "find_material", "material_data", "materials_called"]

CONDITIONS = ("annealed", "normalized", "cold-drawn", "quenched-tempered", "aged", "as-cast", "as-supplied")
"""The states in which the table gives a hardness."""

_PREFIXES = ("aisi", "sae", "enaw", "enac", "din", "wnr", "en", "gr")

MaterialName = Annotated[str, Quantity("", "material", example="C45")]
Condition = Annotated[str, Quantity("", "condition", choices=CONDITIONS)]
Text = Annotated[str, Quantity("", "text")]
Designation = Annotated[str, Quantity("", "name")]
Group = Annotated[str, Quantity("", "group", choices=("P", "M", "K", "N", "S", "H"))]
Hardness = Annotated[float, Quantity("HB", "HB", above=0)]
Density = Annotated[float, Quantity("kg/m³", "rho", above=0)]
SpecificForce1 = Annotated[float, Quantity("N/mm²", "kc11", above=0)]
Exponent = Annotated[float, Quantity("", "mc", at_least=0, below=1)]
TappingForce = Annotated[float, Quantity("N/mm²", "kc", above=0)]
Expansion = Annotated[float, Quantity("1e-6/K", "alpha", above=0)]
Modulus = Annotated[float, Quantity("GPa", "E", above=0)]
FireRisk = Annotated[bool, Quantity("", "fire")]
Chips = Annotated[str, Quantity("", "chips", choices=("long", "short"))]


class Material(NamedTuple):
    """One row of the table; None where no published value was found."""

    name: str
    group: str
    start_class: str
    conditions: Mapping[str, tuple[float, float]]
    density: float
    kc1_1: float | None
    mc: float | None
    kc_family: str
    tapping_force: float | None
    expansion: float
    modulus: float
    fire_risk: bool
    chips: str
    source: str

    @property
    def hardness(self) -> tuple[float, float] | None:
        """The range over all its conditions [HB]; None for a plastic."""
        if not self.conditions:
            return None
        lows, highs = zip(*self.conditions.values(), strict=True)
        return min(lows), max(highs)


def _key(name: str) -> str:
    """Write a name as it is compared: without case, spaces, hyphens and underscores."""
    return "".join(sign for sign in name.casefold() if sign not in " -_\t")


def _known(number: float) -> float | None:
    return None if isnan(number) else number


def _material(row: Mapping[str, Any]) -> Material:
    return Material(
        name=row["designation"],
        group=row["group"],
        start_class=row["class"],
        conditions={name: (float(low), float(high)) for name, low, high in row["conditions"]},
        density=row["density"],
        kc1_1=_known(row["kc1_1"]),
        mc=_known(row["mc"]),
        kc_family=row["kc_family"],
        tapping_force=_known(row["tapping_force"]),
        expansion=row["expansion"],
        modulus=row["modulus"],
        fire_risk=row["fire_risk"],
        chips=row["chips"],
        source=row["source"],
    )


@cache
def _index() -> Mapping[str, tuple[Material, ...]]:
    """Give the materials by designation and alias; a designation wins over another row's alias."""
    index: dict[str, tuple[Material, ...]] = {}
    rows = [(_material(row), row["aliases"]) for row in table("materials").rows]
    for material, aliases in rows:
        for alias in {_key(alias) for alias in aliases}:
            index[alias] = (*index.get(alias, ()), material)
    index.update({_key(material.name): (material,) for material, _ in rows})
    return index


def materials_called(name: str) -> tuple[Material, ...]:
    """Give the materials of a designation or alias: none, one, or the choices of an ambiguous alias."""
    key = _key(name)
    keys = (key, *(key.removeprefix(prefix) for prefix in _PREFIXES if key.startswith(prefix)))
    return next((found for one in keys if (found := _index().get(one))), ())


@cache
def _names() -> Mapping[str, str]:
    """Give every name as printed, by its key, for suggestions."""
    printed = (name for row in table("materials").rows for name in (row["designation"], *row["aliases"]))
    return {_key(name): name for name in printed}


def find_material(name: str) -> Material:
    """Find a material by designation or alias; raise with the choices, or with the nearest names."""
    found = materials_called(name)
    if len(found) == 1:
        return found[0]
    if found:
        choices = ", ".join(material.name for material in found)
        raise CalculationError(f'material "{one_line(name)}" may be any of: {choices}')
    close = get_close_matches(_key(name[:60]), _names(), n=3, cutoff=0.5)
    names = ", ".join(_names()[key] for key in close) or "C45, S235, X5CrNi18-10, 6082, CW614N"
    raise CalculationError(f'material "{one_line(name[:60])}" is not in the table; near it: {names}')


class MaterialData(NamedTuple):
    """What the table says of a material; None where no published value was found."""

    name: Designation
    group: Group
    hardness_low: Hardness | None
    hardness_high: Hardness | None
    density: Density
    kc1_1: SpecificForce1 | None
    mc: Exponent | None
    kc_family: Text
    tapping_force: TappingForce | None
    expansion: Expansion
    modulus: Modulus
    fire_risk: FireRisk
    chips: Chips
    source: Text


@calculation(
    title="Data of a material",
    formula="table: materials, the row of this designation or alias; hardness of the condition, or of all",
    source="EN and ISO material standards for hardness; kc1.1 and mc of the family named; a thread-tool "
    "maker's list for the tapping force; alloy handbooks for density, expansion and modulus",
    examples=(
        Example(
            {"material": "1045"},
            {"name": "C45", "group": "P", "kc1_1": 2220, "mc": 0.14},
            "Kienzle and Victor, worked turning example for C45 (from memory)",
        ),
        Example(
            {"material": "C45", "condition": "annealed"},
            {"hardness_high": 207},
            "EN 10083-2: soft annealed at most 207 HB, as a steel maker's data sheet prints it",
        ),
    ),
    second="a row of a table has no second route",
)
def material_data(*, material: MaterialName, condition: Condition | None = None) -> MaterialData:
    """Give the row of a material: hardness [HB] over all conditions, density [kg/m³], forces [N/mm²].

    With a condition the hardness is that of the condition. Expansion is in 1e-6/K, the modulus in GPa.
    `fire_risk` says that its chips can burn.
    """
    row = find_material(material)
    low, high = _hardness_as(row, condition)
    return MaterialData(
        name=row.name,
        group=row.group,
        hardness_low=low,
        hardness_high=high,
        density=row.density,
        kc1_1=row.kc1_1,
        mc=row.mc,
        kc_family=row.kc_family,
        tapping_force=row.tapping_force,
        expansion=row.expansion,
        modulus=row.modulus,
        fire_risk=row.fire_risk,
        chips=row.chips,
        source=row.source,
    )


def _hardness_as(material: Material, condition: str | None) -> tuple[float | None, float | None]:
    """Give the range of hardness [HB] in a condition, or over all of them; None for a plastic."""
    if condition is None:
        return material.hardness or (None, None)
    if condition not in material.conditions:
        known = ", ".join(material.conditions) or "no condition, it has no Brinell hardness"
        raise CalculationError(f"material_data: {material.name} is listed only as: {known}")
    return material.conditions[condition]
