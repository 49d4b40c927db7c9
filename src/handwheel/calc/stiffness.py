"""How far a bar or the work springs away from the tool, and how slender is too slender.

Beams after Euler and Bernoulli, held or carried by rigid supports. The play and the spring of holder,
spindle, chuck and centre come on top, and so does the shear of a stubby bar: what is measured is more.
"""

from collections.abc import Mapping
from functools import cache
from math import pi, sqrt
from typing import Annotated, Any, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation
from handwheel.tables import table

__all__ = [
    "BarDeflection",
    "OverhangRatio",
    "WorkDeflection",
    "bar_deflection",
    "bar_modulus",
    "overhang_ratio",
    "work_deflection",
]

RadialForce = Annotated[float, Quantity("N", "F", kind="force", above=0, usual=(1, 5000), example="200 N")]
Overhang = Annotated[float, Quantity("mm", "l", above=0, usual=(1, 1000), example="80 mm")]
WorkLength = Annotated[float, Quantity("mm", "l", above=0, usual=(1, 3000), example="200 mm")]
BarDiameter = Annotated[float, Quantity("mm", "d", above=0, usual=(2, 500), example="20 mm")]
Inside = Annotated[float, Quantity("mm", "di", kind="size", at_least=0, usual=(0, 500))]
Modulus = Annotated[float, Quantity("GPa", "E", above=0, usual=(2, 700), example="210 GPa")]
BarMaterial = Annotated[str, Quantity("", "bar_material", choices=("steel", "carbide"))]
WorkSupport = Annotated[str, Quantity("", "support", choices=("chuck", "centre", "between_centres"))]
Place = Annotated[float, Quantity("mm", "a", above=0, usual=(1, 3000))]
WorstPlace = Annotated[float, Quantity("mm", "at", above=0)]
Deflection = Annotated[float, Quantity("µm", "y", at_least=0)]
DiameterError = Annotated[float, Quantity("µm", "e", at_least=0)]
Ratio = Annotated[float, Quantity("", "q", above=0)]

_BEAM = "strength of materials: a beam after Euler and Bernoulli, I = pi (d^4 - di^4) / 64"

_CARBIDE_MODULUS = 450.0
"""A modulus [GPa] from here on is cemented carbide's; steel has 210, tungsten heavy metal 350."""

_SUPPORTS = ("chuck", "centre", "between_centres", "steady", "steel_bar", "carbide_bar", "damped_bar")


@cache
def _rows(name: str, key: str) -> Mapping[str, Mapping[str, Any]]:
    return {row[key]: row for row in table(name).rows}


def _usual(support: str) -> float:
    """Give how many diameters are usual without further support."""
    return float(_rows("slender_limits", "support")[support]["usual"])


def _farthest(support: str) -> float:
    """Give how many diameters are the most that anybody prints."""
    return float(_rows("slender_limits", "support")[support]["farthest"])


class BarDeflection(NamedTuple):
    """How far the tool is pushed off and what that makes of the diameter [µm]; overhang over diameter."""

    deflection: Deflection
    diameter_error: DiameterError
    overhang_ratio: Ratio
    warnings: tuple[str, ...] = ()


def _bar_by_energy(
    force: float, overhang: float, diameter: float, modulus: float = 210, inside_diameter: float = 0
) -> BarDeflection:
    """Integrate the moment's energy along the bar: the moment grows evenly from the tool to the holder."""
    stiffness = _bending_stiffness(diameter, inside_diameter, modulus)
    deflection = _energy((0.0, 0.0, force * overhang), (0.0, overhang), force, stiffness)
    return BarDeflection(deflection, 2 * deflection, overhang / diameter)


def _bending_stiffness(diameter: float, inside: float, modulus: float) -> float:
    """Give E I [N mm²] of a round or tube."""
    outer, inner = (diameter / 2) ** 2, (inside / 2) ** 2
    return modulus * 1000 * pi / 4 * (outer - inner) * (outer + inner)


def _energy(
    moments: tuple[float, float, float], places: tuple[float, float], force: float, stiffness: float
) -> float:
    """Give the deflection [µm] under a force from the strain energy of one or two straight runs of moment.

    The moments [N mm] stand at one end, at the force, and at the other end; the places [mm] are the
    lengths of the two runs. The square of a straight run is integrated exactly by Simpson's rule.
    """
    total = 0.0
    for length, first, last in zip(places, moments, moments[1:], strict=False):
        middle = (first + last) / 2
        total += length / 6 * (first**2 + 4 * middle**2 + last**2)
    return total / (force * stiffness) * 1000


def _check_tube(id: str, diameter: float, inside: float) -> None:
    if inside >= diameter:
        raise CalculationError(
            f"{id}: inside_diameter {inside:g} mm leaves no wall in {diameter:g} mm; "
            "expected less than the diameter"
        )


@calculation(
    title="Modulus of elasticity of a tool's bar",
    formula="table: bar_moduli, E by the material of the bar",
    source="materials handbooks, the low end of what is in print (from memory)",
    result="modulus",
    examples=(
        Example(
            {"bar_material": "steel"}, {"modulus": 205}, "materials handbooks, steel 205 to 210 (from memory)"
        ),
        Example(
            {"bar_material": "carbide"},
            {"modulus": 550},
            "materials handbooks, cemented carbide 550 to 640 (from memory)",
        ),
    ),
    second="a row of a table has no second route",
)
def bar_modulus(*, bar_material: BarMaterial) -> Modulus:
    """Give the modulus of elasticity [GPa] of the bar a tool is made of: `steel` or cemented `carbide`.

    The grade of a carbide moves it by a tenth or so; the low end is given: the bar springs no more.
    """
    return float(_rows("bar_moduli", "bar_material")[bar_material]["modulus"])


@calculation(
    title="Spring of a bar that stands out, at its tip",
    formula=("y = 64 * F * l ** 3 / (3 * pi * E * (d ** 4 - di ** 4)); e = 2 * y; q = l / d"),
    source=_BEAM + "; y = F l^3 / (3 E I), held at one end",
    examples=(
        Example(
            {"force": 911.1, "overhang": 101.6, "diameter": 25.4, "modulus": 206},
            {"deflection": 75.7, "overhang_ratio": 4},
            "trade magazine, July 2019, boring-bar deflection, metric example: 0.0757 mm",
        ),
        Example(
            {"force": 100, "overhang": 96, "diameter": 16, "modulus": 600},
            {"deflection": 15.28, "diameter_error": 30.56},
            "textbook cantilever, carbide bar, worked (from memory)",
        ),
    ),
    second=_bar_by_energy,
)
def bar_deflection(
    *,
    force: RadialForce,
    overhang: Overhang,
    diameter: BarDiameter,
    modulus: Modulus = 210,
    inside_diameter: Inside = 0,
) -> BarDeflection:
    """Give how far the radial force [N] pushes the tip of a bar off [µm], and twice that on diameter [µm].

    The overhang [mm] is from the holder to the tip. The modulus [GPa] is that of steel unless given;
    cemented carbide has about 600. A coolant hole is the inside diameter.
    """
    _check_tube("bar_deflection", diameter, inside_diameter)
    area = (diameter**2 - inside_diameter**2) * (diameter**2 + inside_diameter**2)
    deflection = 64 * force * overhang**3 / (3 * pi * modulus * area)
    ratio = overhang / diameter
    warnings = _said_of_bar(ratio, modulus) + _said_of_bend(deflection, overhang)
    return BarDeflection(deflection, 2 * deflection, ratio, warnings)


def _said_of_bar(ratio: float, modulus: float) -> tuple[str, ...]:
    carbide = modulus >= _CARBIDE_MODULUS
    name, limit = ("carbide", _usual("carbide_bar")) if carbide else ("steel", _usual("steel_bar"))
    if ratio <= limit * (1 + 1e-9):
        return ()
    return (
        f"{ratio:.3g} times its diameter is more than the {limit:g} of a plain {name} bar: it may chatter",
    )


def _said_of_bend(deflection: float, length: float) -> tuple[str, ...]:
    """Say where the bend is past the small slopes that the theory of beams is for."""
    if deflection / 1000 <= length / 20:
        return ()
    return ("the bend is more than a twentieth of the length: such a force bends it for good or worse",)


class WorkDeflection(NamedTuple):
    """How far the work is pushed off [µm], what that makes of the diameter [µm], and where [mm]."""

    deflection: Deflection
    diameter_error: DiameterError
    length_ratio: Ratio
    at: WorstPlace
    warnings: tuple[str, ...] = ()


def _work_by_energy(
    force: float,
    length: float,
    diameter: float,
    support: str,
    modulus: float = 210,
    position: float | None = None,
    inside_diameter: float = 0,
) -> WorkDeflection:
    """Find the reaction of the far support, then integrate the energy of the moment along the work."""
    worst = {"chuck": length, "centre": length / (1 + sqrt(0.5)), "between_centres": length / 2}[support]
    place = worst if position is None else position
    rest = length - place
    moments = {
        "chuck": (0.0, 0.0, -force * place),
        "centre": (0.0, *_propped_moments(force, place, rest)),
        "between_centres": (0.0, force * place * rest / length, 0.0),
    }[support]
    stiffness = _bending_stiffness(diameter, inside_diameter, modulus)
    deflection = _energy(moments, (rest, place), force, stiffness)
    return WorkDeflection(deflection, 2 * deflection, length / diameter, place)


def _propped_moments(force: float, place: float, rest: float) -> tuple[float, float]:
    """Give the moments [N mm] at the force and at the chuck, the work carried by a centre at its end."""
    length = place + rest
    reaction = force * place**2 * (2 * place + 3 * rest) / (2 * length**3)
    return reaction * rest, -force * place * rest * (place + 2 * rest) / (2 * length**2)


@calculation(
    title="Spring of the work under the tool",
    formula=(
        "at = a or l * {'chuck': 1, 'centre': 2 - sqrt(2), 'between_centres': 1 / 2}[support]; "
        "y = 64 * F / (pi * E * (d ** 4 - di ** 4)) * {'chuck': at ** 3 / 3, "
        "'centre': at ** 3 * (l - at) ** 2 * (4 * l - at) / (12 * l ** 3), "
        "'between_centres': at ** 2 * (l - at) ** 2 / (3 * l)}[support]; "
        "e = 2 * y; q = l / d"
    ),
    source=_BEAM
    + "; held at one end; held at one end and carried at the other; carried at both ends. At the "
    "worst place F l^3 / (3 E I), about F l^3 / (102 E I) at 0.586 l, and F l^3 / (48 E I)",
    examples=(
        Example(
            {
                "force": 300,
                "length": 200,
                "diameter": 25,
                "modulus": 207,
                "support": "between_centres",
            },
            {"deflection": 12.6, "diameter_error": 25.19, "at": 100},
            "textbook beam, steel bar, worked (from memory)",
        ),
        Example(
            {"force": 300, "length": 200, "diameter": 25, "modulus": 207, "support": "chuck"},
            {"deflection": 201.55},
            "textbook beam, steel bar, worked (from memory)",
        ),
        Example(
            {
                "force": 300,
                "length": 200,
                "diameter": 25,
                "modulus": 207,
                "support": "centre",
                "position": 100,
            },
            {"deflection": 5.511},
            "table of beams, held at one end and carried at the other: 7 F l^3 / (768 E I) at the middle "
            "(from memory), worked",
        ),
    ),
    second=_work_by_energy,
)
def work_deflection(
    *,
    force: RadialForce,
    length: WorkLength,
    diameter: BarDiameter,
    support: WorkSupport,
    modulus: Modulus = 210,
    position: Place | None = None,
    inside_diameter: Inside = 0,
) -> WorkDeflection:
    """Give how far the radial force [N] pushes the work off at the tool [µm], and twice that on diameter.

    `support`: held in the chuck alone, in the chuck with its end on the centre, or carried between two
    centres. The length [mm] is what is free, the position of the tool [mm] counts from the chuck or the
    headstock's centre; left out, it is the worst place, which `at` names.
    """
    _check_tube("work_deflection", diameter, inside_diameter)
    if position is not None and position > length:
        raise CalculationError(
            f"work_deflection: position {position:g} mm is beyond the length, {length:g} mm; "
            "expected a place on the work, counted from the chuck"
        )
    worst = {"chuck": 1.0, "centre": 2 - sqrt(2), "between_centres": 0.5}[support]
    place = length * worst if position is None else position
    rest = length - place
    shape = {
        "chuck": place**3 / 3,
        "centre": place**3 * rest**2 * (4 * length - place) / (12 * length**3),
        "between_centres": place**2 * rest**2 / (3 * length),
    }[support]
    area = (diameter**2 - inside_diameter**2) * (diameter**2 + inside_diameter**2)
    deflection = 64 * force * shape / (pi * modulus * area)
    warnings = _said_of_bend(deflection, length)
    return WorkDeflection(deflection, 2 * deflection, length / diameter, place, warnings)


SlenderSupport = Annotated[str, Quantity("", "support", choices=_SUPPORTS)]


class OverhangRatio(NamedTuple):
    """Length over diameter, the usual limit of it, what to do, and the far end of what is in print."""

    ratio: Ratio
    limit: Annotated[float, Quantity("", "limit", above=0, bound="at most")]
    advice: Annotated[str, Quantity("", "advice")]
    farthest: Annotated[float, Quantity("", "far", above=0, bound="at most")]


@calculation(
    title="Length over diameter of work or bar, and what it asks for",
    formula="table: slender_limits, the usual and the farthest limit of the support; q = l / d",
    source="limits of q: bars by tool makers' catalogues and guides (steel 4, carbide 6, damped 7); work by "
    "teaching practice (chuck 3, carried at both ends 10)",
    examples=(
        Example(
            {"overhang": 120, "diameter": 25, "support": "steel_bar"},
            {"ratio": 4.8, "limit": 4, "farthest": 5},
            "tool maker's catalogue, choice of small boring bars: steel up to 4 times its diameter; a tool "
            "maker's course page: 5 before it chatters",
        ),
    ),
    second=lambda overhang, diameter, support: _ratio_by_counting(overhang, diameter, support),
)
def overhang_ratio(*, overhang: Overhang, diameter: BarDiameter, support: SlenderSupport) -> OverhangRatio:
    """Give the free length over the diameter, the usual limit of that, and what to do, in words.

    `support` of work: `chuck` alone, chuck and `centre`, `between_centres`, `steady` (the length free
    between the steady and the next support). Of a tool: `steel_bar`, `carbide_bar`, `damped_bar`, from the
    holder to the tip. Within the limit nothing is proven: force, grip and speed set limits of their own.
    """
    ratio = overhang / diameter
    return OverhangRatio(ratio, _usual(support), _advice(ratio, support), _farthest(support))


def _advice(ratio: float, support: str) -> str:
    limit = _rows("slender_limits", "support")[support]
    said = f"{ratio:.3g} times the diameter"
    if ratio <= limit["usual"] * (1 + 1e-9):
        return f"{said}, within the usual {limit['usual']:g}; shorter is stiffer"
    if ratio <= limit["farthest"] * (1 + 1e-9):
        return f"{said}, over the usual {limit['usual']:g}: {limit['past']}"
    return f"{said}, far over the usual {limit['usual']:g}: {limit['beyond']}"


def _ratio_by_counting(overhang: float, diameter: float, support: str) -> OverhangRatio:
    """Lay whole diameters along the length, and measure what is left over in diameters."""
    whole, left = divmod(overhang, diameter)
    ratio = whole + left / diameter
    return OverhangRatio(ratio, _usual(support), _advice(overhang / diameter, support), _farthest(support))
