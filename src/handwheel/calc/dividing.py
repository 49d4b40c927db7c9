"""Dividing a round: turns of a dividing head's crank, and the stock that a polygon is milled from."""

from fractions import Fraction
from math import cos, hypot, pi, radians, tan
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation

__all__ = ["dividing", "polygon_stock"]

Divisions = Annotated[int, Quantity("", "N", at_least=2, usual=(2, 400))]
WormRatio = Annotated[float, Quantity("", "w", above=0, usual=(5, 180))]
Plates = Annotated[tuple[float, ...], Quantity("", "plates", at_least=1, example="[15, 16, 17, 18, 19, 20]")]
WholeTurns = Annotated[int, Quantity("", "turns", at_least=0)]
Holes = Annotated[int, Quantity("", "k", at_least=0)]
Circle = Annotated[int, Quantity("", "p", at_least=1)]
AngleError = Annotated[float, Quantity("deg", "e", kind="fine")]
SumError = Annotated[float, Quantity("deg", "E", kind="fine")]
Sides = Annotated[int, Quantity("", "n", at_least=3, usual=(3, 12))]
AcrossFlats = Annotated[float, Quantity("mm", "s", kind="size", above=0, usual=(1, 300))]
RoundDiameter = Annotated[float, Quantity("mm", "D", kind="size", above=0, bound="at least")]


class Division(NamedTuple):
    """Whole turns of the crank and holes on a circle for one division; its angle, and how far it is out."""

    turns: WholeTurns
    holes: Holes
    plate: Circle
    angle: Annotated[float, Quantity("deg", "alpha", kind="fine")]
    error: AngleError
    error_all_round: SumError
    warnings: tuple[str, ...] = ()


def _dividing_again(
    divisions: int, plates: tuple[float, ...], worm_ratio: float = 40
) -> tuple[int, int, int, float, float, float]:
    """Do the same in exact fractions: of all circles the one that comes nearest, the largest of several."""
    wanted = Fraction(worm_ratio) / divisions
    off, _, plate, holes = min(
        (abs(Fraction(holes, int(plate)) - wanted), -plate, int(plate), holes)
        for plate in plates
        for holes in [round(wanted * int(plate))]
    )
    turn = 360 / Fraction(worm_ratio)
    error = (Fraction(holes, plate) - wanted) * turn
    assert off == abs(Fraction(holes, plate) - wanted)
    return (
        holes // plate,
        holes % plate,
        plate,
        float(turn * Fraction(holes, plate)),
        float(error),
        float(error * divisions),
    )


@calculation(
    title="Turns of the crank for one division on a dividing head",
    formula=(
        "p = min([(abs(round(w * q / N) / q - w / N), -q) for q in plates])[1] * -1; "
        "turns = floor(round(w * p / N) / p); k = round(w * p / N) - turns * p; "
        "alpha = 360 / w * (turns + k / p); e = alpha - 360 / N; E = N * e"
    ),
    source=(
        "US Army TC 9-524, chapter 8, and OD1644, Milling Machine Operations: turns = 40 / N; "
        "the largest circle where several divide exactly: common practice, no source"
    ),
    examples=(
        Example(
            {"divisions": 7, "plates": (15.0, 16.0, 17.0, 18.0, 19.0, 20.0, 21.0)},
            {"turns": 5, "holes": 15, "plate": 21, "angle": 51.428571, "error": 0},
            "plain indexing worked by hand: 40 / 7 = 5 5/7 = 5 15/21",
        ),
    ),
    second=_dividing_again,
)
def dividing(*, divisions: Divisions, plates: Plates, worm_ratio: WormRatio = 40) -> Division:
    """Give the turns of the crank and the holes on a circle of a plate for one of equal divisions.

    `plates` are the numbers of holes of all circles at hand, `worm_ratio` the turns of the crank for one of
    the spindle. Where no circle divides exactly, the nearest is given with what each division is out by
    [deg], and with what that adds up to all round: the last gap takes it.
    """
    turn = worm_ratio / divisions
    circles = _whole(plates)
    if turn * max(circles) < 1:
        raise CalculationError(
            f"dividing: {divisions} divisions are more than the {worm_ratio * max(circles):g} that a circle "
            f"of {max(circles)} holes has; expected fewer, or a circle with more holes"
        )
    circle = min(circles, key=lambda one: (_off(turn, one), -one))
    steps = round(turn * circle)
    exact = _off(turn, circle) < 1e-12
    angle = 360 / divisions if exact else 360 / worm_ratio * steps / circle
    error = 0.0 if exact else angle - 360 / divisions
    said = () if exact else (f"no circle divides by {divisions}: the last division is not like the others",)
    return Division(steps // circle, steps % circle, circle, angle, error, error * divisions, said)


def _whole(plates: tuple[float, ...]) -> list[int]:
    """Take the circles as counts of holes; half a hole is a slip."""
    for plate in plates:
        if plate != int(plate):
            raise CalculationError(
                f"dividing: a circle of {plate:g} holes; expected whole numbers such as {int(plate)}"
            )
    return [int(plate) for plate in plates]


def _off(turn: float, circle: int) -> float:
    """How far the nearest hole of a circle is from where the crank should stop [turns]."""
    off = abs(round(turn * circle) / circle - turn)
    return 0.0 if off < 1e-12 else off


@calculation(
    title="Round stock for a polygon",
    formula="D = s / cos(pi / n) if n % 2 == 0 else 2 * s / (1 + cos(pi / n))",
    source="geometry of the regular polygon; Machinery's Handbook, 31st ed., regular polygons, from memory",
    examples=(
        Example(
            {"sides": 6, "across_flats": 24},
            {"round_diameter": 27.713},
            "hexagon of 24 mm: 2 / sqrt(3) times its width, by hand",
        ),
    ),
    second=lambda sides, across_flats: (
        hypot(across_flats, across_flats * tan(pi / sides))
        if sides % 2 == 0
        else 2 * across_flats / (1 + cos(radians(180 / sides)))
    ),
    result="round_diameter",
)
def polygon_stock(*, sides: Sides, across_flats: AcrossFlats) -> RoundDiameter:
    """Give the smallest round [mm] that a polygon with sharp corners is milled from.

    With an even number of sides `across_flats` is from flat to flat, with an odd one from a flat to the
    corner that faces it, as a calliper takes it.
    """
    if sides % 2 == 0:
        return across_flats / cos(pi / sides)
    return 2 * across_flats / (1 + cos(pi / sides))
