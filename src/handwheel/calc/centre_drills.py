"""Centre drills: the centre hole that a size makes, and the shaft it is usual for."""

from collections.abc import Mapping
from functools import cache
from math import isnan, radians, sqrt, tan
from typing import Annotated, Any, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation
from handwheel.tables import table

__all__ = ["centre_drill"]

_CONE = 60.0  # deg, the included angle of every lathe centre: ISO 866
_GUARD = 120.0  # deg, the cone that protects the mouth of form B: ISO 2540

_FORMS = {"A": "ISO 866", "B": "ISO 2540", "R": "ISO 2541"}
"""The forms, and the standard of each: plain, with a protecting cone, with an arc."""

Pilot = Annotated[float, Quantity("mm", "d", kind="size", above=0, usual=(0.5, 10), example="2.5 mm")]
Form = Annotated[str, Quantity("", "form", choices=tuple(_FORMS))]
Body = Annotated[float, Quantity("mm", "D", kind="size", above=0)]
PilotLength = Annotated[float, Quantity("mm", "l", kind="depth", above=0)]
Mouth = Annotated[float, Quantity("mm", "D2", kind="size", above=0)]
FaceDiameter = Annotated[float, Quantity("mm", "D3", kind="size", above=0)]
HoleDepth = Annotated[float, Quantity("mm", "t", kind="depth", above=0)]
RadiusMin = Annotated[float, Quantity("mm", "r1", kind="size", above=0)]
RadiusMax = Annotated[float, Quantity("mm", "r2", kind="size", above=0)]
ShaftFrom = Annotated[float, Quantity("mm", "sf", above=0)]
ShaftTo = Annotated[float, Quantity("mm", "st", above=0)]


class CentreDrill(NamedTuple):
    """Diameters, pilot length and depth of a centre hole, and the shafts it is usual for [mm].

    `countersink` is the mouth of the 60 degree cone, `face_diameter` what is seen at the face.
    """

    body: Body
    pilot_length: PilotLength | None
    countersink: Mouth
    face_diameter: FaceDiameter
    depth: HoleDepth | None
    radius_min: RadiusMin | None
    radius_max: RadiusMax | None
    shaft_from: ShaftFrom
    shaft_to: ShaftTo
    warnings: tuple[str, ...] = ()


def _centre_again(pilot: float, form: str = "A") -> tuple[Any, ...]:
    """Take the cones' heights by the height of an equilateral triangle, and by a third of it."""
    hole = _hole(pilot, form)
    if hole.pilot_length is None:
        return hole
    rim = (hole.face_diameter - hole.countersink) / sqrt(3) / 2
    return hole._replace(depth=hole.pilot_length + (hole.countersink - pilot) * sqrt(3) / 2 + rim)


@calculation(
    title="Centre hole of a centre drill",
    formula=(
        "table: centre_drills, the row of the pilot d and the form; "
        "t = l + (D2 - d) / (2 * tan(pi / 6)) + (D3 - D2) / (2 * tan(pi / 3))"
    ),
    source=(
        "ISO 866:1975 (form A), ISO 2540:1973 (B), ISO 2541:1972 (R), DIN 333 and DIN 332-1, from memory; "
        "the shafts: common practice, no source"
    ),
    examples=(
        Example(
            {"pilot": 2.5},
            {"body": 6.3, "pilot_length": 3.1, "countersink": 5.3, "face_diameter": 5.3, "depth": 5.525},
            "DIN 333 form A, 2.5 x 6.3, from memory; the cone's height by hand",
        ),
        Example(
            {"pilot": 2.5, "form": "B"},
            {"body": 10, "pilot_length": 3.1, "countersink": 5.3, "face_diameter": 8, "depth": 6.304},
            "DIN 333 form B, 2.5 x 10, from memory; DIN 332-1 has form B 0.8 mm deeper than form A",
        ),
        Example(
            {"pilot": 4, "form": "R"},
            {"body": 10, "countersink": 8.5, "radius_min": 10, "radius_max": 12.5},
            "DIN 333 form R, 4 x 10, from memory",
        ),
    ),
    second=_centre_again,
)
def centre_drill(*, pilot: Pilot, form: Form = "A") -> CentreDrill:
    """Give body, pilot length, mouth and depth [mm] of the centre hole of a pilot diameter [mm].

    Form A is the plain 60 degree cone; form B has a 120 degree cone before it, which takes the knocks;
    form R has an arc, on which a centre sits true even where the tailstock is set over. The depth is that
    of the pilot's edge with the cones opened to their full mouths, for the shortest pilot of the standard.
    A worn or reground pilot is shorter: the mouth is what is measured. Form R has no pilot length on
    file and so no depth.
    """
    hole = _hole(pilot, form)
    if hole.pilot_length is None:
        return hole._replace(warnings=("form R: go by the mouth, its depth is not on file",))
    cone = (hole.countersink - pilot) / (2 * tan(radians(_CONE / 2)))
    rim = (hole.face_diameter - hole.countersink) / (2 * tan(radians(_GUARD / 2)))
    return hole._replace(depth=hole.pilot_length + cone + rim)


def _hole(pilot: float, form: str) -> CentreDrill:
    """Put together what the tables have of a centre hole, the depth not yet."""
    plain = _plain().get(pilot)
    row = plain if form == "A" else _others().get((form, pilot))
    if plain is None or row is None:
        sizes = _plain() if form == "A" else [size for kind, size in _others() if kind == form]
        known = ", ".join(f"{size:g}" for size in sizes)
        raise CalculationError(
            f"centre_drill: pilot {pilot:g} mm is not in {_FORMS[form]}; there are {known}, such as 2.5 mm"
        )
    radius_min, radius_max = _radii(row)
    face = row.get("face_diameter", plain["countersink"])
    return CentreDrill(
        row["body"],
        None if form == "R" else plain["pilot_length"],
        plain["countersink"],
        plain["countersink"] if isnan(face) else face,
        None,
        radius_min,
        radius_max,
        plain["shaft_from"],
        plain["shaft_to"],
    )


def _radii(row: Mapping[str, Any]) -> tuple[float, float] | tuple[None, None]:
    if isnan(row.get("radius_min", float("nan"))):
        return None, None
    return row["radius_min"], row["radius_max"]


@cache
def _plain() -> Mapping[float, Mapping[str, Any]]:
    return {row["pilot"]: row for row in table("centre_drills").rows}


@cache
def _others() -> Mapping[tuple[str, float], Mapping[str, Any]]:
    return {(row["form"], row["pilot"]): row for row in table("centre_drills_b_r").rows}
