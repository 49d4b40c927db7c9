"""What a piece weighs, and how hard it pulls at the spindle where it runs out of balance."""

from math import pi, sqrt
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation
from handwheel.calc.quantities import Length, SpindleSpeed

__all__ = ["Mass", "Unbalance", "mass", "unbalance"]

Form = Annotated[str, Quantity("", "form", choices=("round", "tube", "rectangle", "hexagon"))]
FormDiameter = Annotated[float, Quantity("mm", "d", kind="size", above=0, usual=(0.5, 1000), example="50 mm")]
BoreDiameter = Annotated[float, Quantity("mm", "b", kind="size", at_least=0, usual=(0, 1000))]
Width = Annotated[float, Quantity("mm", "w", kind="size", above=0, usual=(0.5, 2000), example="50 mm")]
Height = Annotated[float, Quantity("mm", "t", kind="size", above=0, usual=(0.5, 2000), example="20 mm")]
Density = Annotated[float, Quantity("kg/m³", "rho", above=0, usual=(800, 20000), example="7850 kg/m³")]
MassResult = Annotated[float, Quantity("kg", "m", above=0)]
Area = Annotated[float, Quantity("mm²", "A", above=0)]


class Mass(NamedTuple):
    """The mass of a piece [kg], and the area of its section [mm²]."""

    mass: MassResult
    area: Area


_SIZES = {
    "round": ("diameter",),
    "tube": ("diameter", "bore_diameter"),
    "rectangle": ("width", "height"),
    "hexagon": ("width",),
}
"""The sizes that a form has besides its length."""


def _mass_by_parts(
    form: str,
    length: float,
    density: float,
    diameter: float | None = None,
    bore_diameter: float | None = None,
    width: float | None = None,
    height: float | None = None,
) -> Mass:
    """Sum the section another way: a ring at its mean radius, a hexagon as six triangles, metres and kg."""
    if form == "hexagon":
        across = (width or 0) / 1000
        area = 6 * (across / sqrt(3)) * (across / 2) / 2
    elif form == "rectangle":
        area = (width or 0) / 1000 * (height or 0) / 1000
    else:
        outer, inner = (diameter or 0) / 2000, (bore_diameter or 0) / 2000
        area = 2 * pi * (outer + inner) / 2 * (outer - inner)
    return Mass(area * length / 1000 * density, area * 1e6)


@calculation(
    title="Mass of a bar, tube or block",
    formula=(
        "A = pi / 4 * (d ** 2 - (b or 0) ** 2) if form == 'round' or form == 'tube' "
        "else w * t if form == 'rectangle' else sqrt(3) / 2 * w ** 2; "
        "m = A * l * rho / 1e9"
    ),
    source="geometry; the width of a hexagon is across its flats",
    examples=(
        Example(
            {"form": "round", "diameter": 50, "length": 1000, "density": 7850},
            {"mass": 15.41},
            "steel dealers' tables: round 50 mm, 15.4 kg/m (from memory)",
        ),
        Example(
            {"form": "hexagon", "width": 24, "length": 1000, "density": 7850},
            {"mass": 3.92},
            "steel dealers' tables: hexagon 24 mm, 3.92 kg/m (from memory)",
        ),
        Example(
            {
                "form": "tube",
                "diameter": 48.3,
                "bore_diameter": 41.9,
                "length": 1000,
                "density": 7850,
            },
            {"mass": 3.56},
            "EN 10220: 48.3 x 3.2, 3.56 kg/m (from memory)",
        ),
        Example(
            {"form": "rectangle", "width": 50, "height": 10, "length": 1000, "density": 7850},
            {"mass": 3.925, "area": 500},
            "steel dealers' tables: flat 50 x 10, 3.93 kg/m (from memory)",
        ),
    ),
    second=_mass_by_parts,
)
def mass(
    *,
    form: Form,
    length: Length,
    density: Density,
    diameter: FormDiameter | None = None,
    bore_diameter: BoreDiameter | None = None,
    width: Width | None = None,
    height: Height | None = None,
) -> Mass:
    """Give the mass [kg] of a piece: its form, its sizes [mm] and its density [kg/m³].

    A round has a diameter; a tube a diameter and a bore diameter; a rectangle width and height; a hexagon
    the width across its flats. A size that the form does not have is refused.
    """
    given = {
        "diameter": diameter,
        "bore_diameter": bore_diameter,
        "width": width,
        "height": height,
    }
    sizes = _sizes_of(form, given)
    if form == "rectangle":
        area = sizes[0] * sizes[1]
    elif form == "hexagon":
        area = sqrt(3) / 2 * sizes[0] ** 2
    else:
        bore = sizes[1] if form == "tube" else 0.0
        if bore >= sizes[0]:
            raise CalculationError(
                f"mass: bore_diameter {bore:g} mm leaves no wall in a diameter of {sizes[0]:g} mm"
            )
        area = pi / 4 * (sizes[0] - bore) * (sizes[0] + bore)
    return Mass(area * length * density / 1e9, area)


def _sizes_of(form: str, given: dict[str, float | None]) -> tuple[float, ...]:
    """Give the sizes of a form in its order; raise where one is missing or does not belong to it."""
    wanted = _SIZES[form]
    missing = [name for name in wanted if given[name] is None]
    if missing:
        raise CalculationError(f"mass: a {form} has {' and '.join(wanted)}; missing {', '.join(missing)}")
    for name, size in given.items():
        if size is not None and name not in wanted:
            raise CalculationError(f"mass: a {form} has no {name}, only {' and '.join(wanted)} and length")
    return tuple(size for name in wanted if (size := given[name]) is not None)


RotorMass = Annotated[float, Quantity("kg", "m", above=0, usual=(0.01, 500), example="5 kg")]
Eccentricity = Annotated[
    float, Quantity("mm", "ec", kind="deviation", at_least=0, usual=(0, 100), example="0.5 mm")
]
PullForce = Annotated[float, Quantity("N", "F", kind="force", at_least=0, bound="at least")]

_GRAVITY = 9.80665
"""Standard acceleration of free fall [m/s²], ISO 80000-3."""


class Unbalance(NamedTuple):
    """The force that turns with the spindle [N], and what has to be said about it."""

    force: PullForce
    warnings: tuple[str, ...] = ()


def _pull_by_path(mass: float, eccentricity: float, spindle_speed: float) -> Unbalance:
    """Take the speed of the centre of gravity on its circle: m v² / r."""
    radius = eccentricity / 1000
    speed = 2 * pi * radius * spindle_speed / 60
    return Unbalance(mass * speed * speed / radius if radius else 0.0)


@calculation(
    title="Force of work that runs out of balance",
    formula="F = m * ec / 1000 * (2 * pi * n / 60) ** 2",
    source="mechanics: F = m r omega^2",
    examples=(
        Example(
            {"mass": 10, "eccentricity": 1, "spindle_speed": 955},
            {"force": 100.0},
            "by hand: 955 1/min is 100 rad/s; 10 kg × 0.001 m × 100² /s²",
        ),
        Example(
            {"mass": 2, "eccentricity": 15, "spindle_speed": 600},
            {"force": 118.4},
            "by hand: 62.83 rad/s; 2 kg × 0.015 m × 3947.8 /s²",
        ),
    ),
    second=_pull_by_path,
)
def unbalance(*, mass: RotorMass, eccentricity: Eccentricity, spindle_speed: SpindleSpeed) -> Unbalance:
    """Give the force [N] of a mass [kg] whose centre of gravity is off the axis [mm], at a speed [1/min].

    It goes with the square of the speed and turns with the spindle. Where it is more than the weight, the
    work lifts at every turn.
    """
    force = mass * eccentricity / 1000 * (2 * pi * spindle_speed / 60) ** 2
    weight = mass * _GRAVITY
    if force > weight:
        return Unbalance(
            force,
            (
                f"the pull is {force / weight:.2g} times the weight of the work, at every turn to another "
                "side: balance it or turn slower",
            ),
        )
    return Unbalance(force)
