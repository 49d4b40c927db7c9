"""Lengths along one axis: what a chain of dimensions adds up to, and what saw-cut ends leave."""

from cmath import rect
from math import cos, radians, sqrt, tan
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation
from handwheel.calc.quantities import Length

__all__ = ["ChainLink", "blade_travel", "clean_up", "dimension_chain", "first_face"]


class ChainLink(NamedTuple):
    """One dimension of a chain: its size and deviations [mm], and 1 along the chain or -1 back."""

    value: Annotated[float, Quantity("mm", "v", kind="size", usual=(0, 500))]
    upper: Annotated[float, Quantity("mm", "u", kind="deviation", usual=(0, 2))]
    lower: Annotated[float, Quantity("mm", "l", kind="deviation", usual=(-2, 0))]
    sign: Annotated[int, Quantity("", "s", at_least=-1, at_most=1)]


class Chain(NamedTuple):
    """What closes the chain [mm]: size, worst deviations, limits, and the likely half-width.

    `likely` is the root of the sum of squares of the half tolerances: most parts lie within it where
    the links vary on their own; a one-off part can lie anywhere between the limits.
    """

    value: Annotated[float, Quantity("mm", "V", kind="size")]
    upper: Annotated[float, Quantity("mm", "ES", kind="deviation")]
    lower: Annotated[float, Quantity("mm", "EI", kind="deviation")]
    max_size: Annotated[float, Quantity("mm", "max_size", kind="size")]
    min_size: Annotated[float, Quantity("mm", "min_size", kind="size")]
    tolerance: Annotated[float, Quantity("mm", "T", kind="deviation")]
    likely: Annotated[float, Quantity("mm", "q", kind="deviation")]


def _by_limits(links: tuple[ChainLink, ...]) -> Chain:
    """Lay every link once at the size that makes the chain long, and once at the one that makes it short."""
    ends = [(link.sign * (link.value + link.upper), link.sign * (link.value + link.lower)) for link in links]
    longest, shortest = sum(map(max, ends)), sum(map(min, ends))
    value = sum(link.value for link in links if link.sign > 0) - sum(
        link.value for link in links if link.sign < 0
    )
    squares = sum((max(pair) - min(pair)) ** 2 for pair in ends)
    return Chain(
        value,
        longest - value,
        shortest - value,
        longest,
        shortest,
        longest - shortest,
        sqrt(squares) / 2,
    )


@calculation(
    title="Chain of dimensions: what closes it, in the worst case",
    formula=(
        "V = sum([s * v for v, u, l, s in links]); "
        "ES = sum([u if s > 0 else -l for v, u, l, s in links]); "
        "EI = sum([l if s > 0 else -u for v, u, l, s in links]); "
        "max_size = V + ES; min_size = V + EI; T = ES - EI; "
        "q = sqrt(sum([((u - l) / 2)**2 for v, u, l, s in links]))"
    ),
    source="arithmetic of limits: the tolerance of the closing dimension is the sum of all the others",
    examples=(
        Example(
            {"links": (ChainLink(40, 0.1, -0.1, 1), ChainLink(14, 0.2, 0, -1), ChainLink(6, 0, -0.1, -1))},
            {"value": 20.0, "upper": 0.2, "lower": -0.3, "max_size": 20.2, "min_size": 19.7,
             "tolerance": 0.5, "likely": 0.15},
            "by hand: longest 40.1 - 14 - 5.9, shortest 39.9 - 14.2 - 6",
        ),
    ),
    second=_by_limits,
)  # fmt: skip
def dimension_chain(*, links: Annotated[tuple[ChainLink, ...], Quantity("", "links")]) -> Chain:
    """Add up a chain of sizes with deviations [mm], each along the chain (sign 1) or back (sign -1).

    Deviations are signed: 14 -0.1 has upper 0 and lower -0.1. The worst case has every link at the
    end that hurts.
    """
    for number, link in enumerate(links, start=1):
        if link.sign not in (1, -1):
            raise CalculationError(
                f"dimension_chain: the sign of link {number} is {link.sign:g}; expected 1 along or -1 back"
            )
        if link.upper < link.lower:
            raise CalculationError(
                f"dimension_chain: the upper deviation of link {number}, {link.upper:g} mm, is below the "
                f"lower one, {link.lower:g} mm"
            )
    value = sum(link.sign * link.value for link in links)
    upper = sum(link.upper if link.sign > 0 else -link.lower for link in links)
    lower = sum(link.lower if link.sign > 0 else -link.upper for link in links)
    likely = sqrt(sum(((link.upper - link.lower) / 2) ** 2 for link in links))
    return Chain(value, upper, lower, value + upper, value + lower, upper - lower, likely)


SlantA = Annotated[float, Quantity("deg", "a", at_least=0, below=45, usual=(0, 5))]
SlantB = Annotated[float, Quantity("deg", "b", at_least=0, below=45, usual=(0, 5))]
Leaning = Annotated[str, Quantity("", "leaning", choices=("same", "opposite"))]


class CleanedUp(NamedTuple):
    """The length that cleans up on both faces [mm], what it has over the target, and what the slants cost."""

    usable: Annotated[float, Quantity("mm", "usable", kind="size", bound="at most")]
    spare: Annotated[float, Quantity("mm", "spare", kind="size", bound="at most")]
    lost: Annotated[float, Quantity("mm", "lost", kind="size", bound="at least")]
    warnings: tuple[str, ...] = ()


@calculation(
    title="Length that cleans up between two slanted saw cuts",
    formula=(
        "lost = d * (tan(radians(a)) + tan(radians(b)) if leaning == 'opposite' "
        "else tan(radians(max(a, b)))) + 2 * skin; "
        "usable = l - d * (tan(radians(a)) + tan(radians(b)) if leaning == 'opposite' "
        "else tan(radians(max(a, b)))) - 2 * skin; "
        "spare = l - d * (tan(radians(a)) + tan(radians(b)) if leaning == 'opposite' "
        "else tan(radians(max(a, b)))) - 2 * skin - target"
    ),
    source="geometry: two square faces have to lie inside both slanted ones",
    examples=(
        Example(
            {"length": 43, "slant_a": 0.75, "slant_b": 0.5, "leaning": "opposite", "diameter": 115,
             "skin": 0.2, "target": 39.5},
            {"usable": 40.0909, "spare": 0.5909, "lost": 2.9091},
            "by hand: 115 tan 0.75° is 1.5055, 115 tan 0.5° is 1.0036; 43 - 1.5055 - 1.0036 - 0.4",
        ),
        Example(
            {"length": 43, "slant_a": 0.75, "slant_b": 0.5, "leaning": "same", "diameter": 115, "target": 41},
            {"usable": 41.4945, "spare": 0.4945},
            "by hand: the faces lean alike, so that only the larger slant is lost",
        ),
    ),
    second=lambda **inputs: _by_corners(**inputs),
)  # fmt: skip
def clean_up(
    *,
    length: Length,
    slant_a: SlantA,
    slant_b: SlantB,
    leaning: Leaning,
    diameter: Annotated[float, Quantity("mm", "d", above=0, usual=(5, 500))],
    target: Annotated[float, Quantity("mm", "target", kind="size", above=0, usual=(1, 1000))],
    skin: Annotated[float, Quantity("mm", "skin", at_least=0, usual=(0, 3))] = 0,
) -> CleanedUp:
    """Give what is left between two square faces of a piece whose saw-cut ends are slanted.

    `length` [mm] is the longest, as measured along the side; `slant_a` and `slant_b` [deg] are by how much
    the ends are out of square. Leaning the same way
    the two cuts are nearly parallel; leaning opposite ways the piece is a wedge. `skin` [mm] comes off each
    face besides. `spare` is what is left over the target; negative where the piece will not clean up.
    """
    over_a, over_b = diameter * tan(radians(slant_a)), diameter * tan(radians(slant_b))
    lost = (over_a + over_b if leaning == "opposite" else max(over_a, over_b)) + 2 * skin
    usable = length - lost
    spare = usable - target
    warnings: tuple[str, ...] = ()
    if spare < 0:
        warnings = (f"this piece will not clean up: it is {-spare:.2f} mm short of {target:g} mm",)
    return CleanedUp(usable, spare, lost, warnings)


def _by_corners(
    length: float,
    slant_a: float,
    slant_b: float,
    leaning: str,
    diameter: float,
    target: float,
    skin: float = 0,
) -> CleanedUp:
    """Draw the piece: the ends of face A at both edges, those of face B, and the gap between the faces."""
    rise_a, rise_b = (rect(diameter / cos(radians(one)), radians(one)).imag for one in (slant_a, slant_b))
    face_a = (0.0, rise_a)
    face_b = (rise_b, 0.0) if leaning == "opposite" else (0.0, rise_b)
    lengths = [far - near for near, far in zip(face_a, face_b, strict=True)]
    shift = length - max(lengths)  # so that the longer edge is as long as it was measured
    usable = min(face_b) + shift - max(face_a) - skin - skin
    return CleanedUp(usable, usable - target, length - usable)


class FirstFace(NamedTuple):
    """What the first face leaves [mm]: the length that stays, the least it may be, what is to spare."""

    stays: Annotated[float, Quantity("mm", "stays", kind="size")]
    least: Annotated[float, Quantity("mm", "least", kind="size", bound="at least")]
    spare: Annotated[float, Quantity("mm", "spare", kind="size", bound="at least")]
    warnings: tuple[str, ...] = ()


@calculation(
    title="Length that stays when the first of two saw-cut ends is faced clean",
    formula=(
        "stays = l - skin - d * (tan(radians(a)) if leaning == 'opposite' "
        "else max(tan(radians(a)) - tan(radians(b)), 0)); "
        "least = target + skin + d * tan(radians(b)); "
        "spare = l - skin - d * (tan(radians(a)) if leaning == 'opposite' "
        "else max(tan(radians(a)) - tan(radians(b)), 0)) - target - skin - d * tan(radians(b))"
    ),
    source="geometry: a face is square once its cut reaches the lowest edge of the slanted one",
    examples=(
        Example(
            {"length": 43, "slant_a": 0.75, "slant_b": 0.5, "leaning": "opposite", "diameter": 115,
             "skin": 0.2, "target": 39.5},
            {"stays": 41.2945, "least": 40.7036, "spare": 0.5909},
            "by hand: 115 tan 0.75° is 1.5055, 115 tan 0.5° is 1.0036; 43 - 1.7055, and 39.5 + 1.2036",
        ),
        Example(
            {"length": 43, "slant_a": 0.75, "slant_b": 0.5, "leaning": "same", "diameter": 115, "target": 41},
            {"stays": 42.4981, "least": 42.0036},
            "by hand: the other edge was shorter by 1.5055 - 1.0036 and loses nothing",
        ),
    ),
    second=lambda **inputs: _first_by_edges(**inputs),
)  # fmt: skip
def first_face(
    *,
    length: Length,
    slant_a: SlantA,
    slant_b: SlantB,
    leaning: Leaning,
    diameter: Annotated[float, Quantity("mm", "d", above=0, usual=(5, 500))],
    target: Annotated[float, Quantity("mm", "target", kind="size", above=0, usual=(1, 1000))],
    skin: Annotated[float, Quantity("mm", "skin", at_least=0, usual=(0, 3))] = 0,
) -> FirstFace:
    """Give the longest length that is left when end a is faced, and the least that end b still needs.

    Sizes [mm] and slants [deg] are those of `clean_up`: `length` is the longest, before anything is cut.
    Shorter than `least` the second face cannot clean up at the target length; a warning says so.
    """
    over_a, over_b = diameter * tan(radians(slant_a)), diameter * tan(radians(slant_b))
    stays = length - skin - (over_a if leaning == "opposite" else max(over_a - over_b, 0.0))
    least = target + skin + over_b
    spare = stays - least
    said = f"this piece will not clean up: it is {-spare:.2f} mm short of {target:g} mm"
    return FirstFace(stays, least, spare, (said,) if spare < 0 else ())


def _first_by_edges(
    length: float,
    slant_a: float,
    slant_b: float,
    leaning: str,
    diameter: float,
    target: float,
    skin: float = 0,
) -> FirstFace:
    """Follow both edges of the piece: what each loses, and which is then the longer."""
    rise_a, rise_b = (rect(diameter / cos(radians(one)), radians(one)).imag for one in (slant_a, slant_b))
    high, low = (rise_a + rise_b, 0.0) if leaning == "opposite" else (rise_a, rise_b)
    edge_high, edge_low = length - max(high, low) + high, length - max(high, low) + low
    stays = max(edge_high - rise_a, edge_low) - skin
    return FirstFace(stays, target + rise_b + skin, stays - target - rise_b - skin)


@calculation(
    title="Travel of a blade from touching the face with its leading side",
    formula="t = p + w",
    source="geometry: the leading side runs ahead of the near wall by the width of the blade",
    examples=(Example({"position": 4.1, "width": 1.85}, {"travel": 5.95}, "by hand: 4.1 mm and 1.85 mm"),),
    second=lambda position, width: (2 * position + 2 * width) / 2,
    result="travel",
)
def blade_travel(
    *,
    position: Annotated[float, Quantity("mm", "p", kind="size", at_least=0, usual=(0, 300))],
    width: Annotated[float, Quantity("mm", "w", kind="size", above=0, usual=(0.5, 10))],
) -> Annotated[float, Quantity("mm", "t", kind="size")]:
    """Give how far the carriage goes in [mm] for a groove whose near wall stands `position` [mm] inside."""
    return position + width
