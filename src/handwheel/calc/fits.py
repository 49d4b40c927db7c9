"""Limits and fits: what a zone allows, how two zones or a zone and a real part go together."""

from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import Example, Quantity, calculation
from handwheel.calc.iso286 import Zone, deviations, parse_zone, split_zones
from handwheel.errors import InputError

__all__ = ["clearance_in_words", "fit", "limits", "parse_zone", "split_zones"]

_MICROMETRES = 1000.0
"""Micrometres in a millimetre."""

NominalSize = Annotated[float, Quantity("mm", "size", kind="size", above=0, usual=(1, 500), example="47 mm")]
ZoneName = Annotated[str, Quantity("", "zone", example="H7")]
MaxSize = Annotated[float, Quantity("mm", "max_size", kind="size", bound="at most")]
MinSize = Annotated[float, Quantity("mm", "min_size", kind="size", bound="at least")]


class ZoneLimits(NamedTuple):
    """Deviations and tolerance [µm] of a zone, and the largest, smallest and middle size [mm]."""

    upper_deviation: Annotated[float, Quantity("µm", "upper")]
    lower_deviation: Annotated[float, Quantity("µm", "lower")]
    max_size: MaxSize
    min_size: MinSize
    tolerance: Annotated[float, Quantity("µm", "T")]
    middle_size: Annotated[float, Quantity("mm", "middle", kind="size")]


@calculation(
    title="Limits of a size with an ISO 286 zone",
    formula=(
        "table: ISO 286, deviations of the zone; max_size = size + upper / 1000; "
        "min_size = size + lower / 1000; T = upper - lower; middle = size + (upper + lower) / 2000"
    ),
    source="ISO 286-1:2010, tables 1 to 5, as tabulated, up to 500 mm; limits as ISO 286-2 prints them",
    examples=(
        Example(
            {"size": 25, "zone": "H7"},
            {
                "upper_deviation": 21,
                "lower_deviation": 0,
                "max_size": 25.021,
                "min_size": 25,
                "tolerance": 21,
                "middle_size": 25.0105,
            },
            "ISO 286-2, H7 over 18 up to 30 mm",
        ),
        Example(
            {"size": 50, "zone": "K7"},
            {"upper_deviation": 7, "lower_deviation": -18, "max_size": 50.007, "min_size": 49.982},
            "ISO 286-2, K7 over 30 up to 50 mm, from memory",
        ),
        Example(
            {"size": 300, "zone": "f9"},
            {"upper_deviation": -56, "lower_deviation": -186, "tolerance": 130},
            "ISO 286-2:1988, corrigendum 1:2006, table 20",
        ),
    ),
    second="cells of a table have no second route; the tests hold them to the formulas of ISO 286-1",
)
def limits(*, size: NominalSize, zone: ZoneName) -> ZoneLimits:
    """Give the limits of a nominal size [mm] with a zone such as H7 or g6.

    A size on the border of a band belongs to the lower one. js is half the tolerance to either side,
    not rounded. Raises `InputError` for what the standard does not tabulate.
    """
    return _limits(size, parse_zone(zone))


def _limits(size: float, zone: Zone) -> ZoneLimits:
    upper, lower = deviations(size, zone)
    largest, smallest = size + upper / _MICROMETRES, size + lower / _MICROMETRES
    return ZoneLimits(
        upper, lower, largest, smallest, upper - lower, size + (upper + lower) / 2 / _MICROMETRES
    )


class Fit(NamedTuple):
    """How a hole and a shaft go together: clearances and deviations [µm], the kind, the sizes [mm]."""

    max_clearance: Annotated[float, Quantity("µm", "c_max")]
    min_clearance: Annotated[float, Quantity("µm", "c_min")]
    kind: Annotated[str, Quantity("", "kind")]
    words: Annotated[str, Quantity("", "words")]
    hole_max_size: Annotated[float, Quantity("mm", "hole_max", kind="size", bound="at most")]
    hole_min_size: Annotated[float, Quantity("mm", "hole_min", kind="size", bound="at least")]
    shaft_max_size: Annotated[float, Quantity("mm", "shaft_max", kind="size", bound="at most")]
    shaft_min_size: Annotated[float, Quantity("mm", "shaft_min", kind="size", bound="at least")]
    hole_upper_deviation: Annotated[float, Quantity("µm", "ES")]
    hole_lower_deviation: Annotated[float, Quantity("µm", "EI")]
    shaft_upper_deviation: Annotated[float, Quantity("µm", "es")]
    shaft_lower_deviation: Annotated[float, Quantity("µm", "ei")]


@calculation(
    title="Fit of a hole and a shaft; a negative clearance is interference",
    formula="table: ISO 286, ES and EI of the hole, es and ei of the shaft; c_max = ES - ei; c_min = EI - es",
    source="ISO 286-1:2010, tables 1 to 5 and the definitions of clearance, transition and interference fit",
    examples=(
        Example(
            {"size": 25, "hole": "H7", "shaft": "g6"},
            {"kind": "clearance", "max_clearance": 41, "min_clearance": 7},
            "ISO 286-1, preferred fits; sums of tabulated deviations",
        ),
        Example(
            {"size": 50, "hole": "H7", "shaft": "k6"},
            {"kind": "transition", "max_clearance": 23, "min_clearance": -18},
            "ISO 286-1, preferred fits; sums of tabulated deviations",
        ),
        Example(
            {"size": 60, "hole": "H7", "shaft": "s6"},
            {"kind": "interference", "max_clearance": -23, "min_clearance": -72},
            "ISO 286-1, preferred fits; sums of tabulated deviations",
        ),
    ),
    second=lambda size, hole, shaft: _fit_by_sizes(
        _limits(size, parse_zone(hole)), _limits(size, parse_zone(shaft))
    ),
)
def fit(
    *,
    size: NominalSize,
    hole: Annotated[str, Quantity("", "hole", example="H7")],
    shaft: Annotated[str, Quantity("", "shaft", example="g6")],
) -> Fit:
    """Give the fit of a hole's and a shaft's zone on one nominal size [mm].

    Interference is where even the largest hole is no larger than the smallest shaft, clearance where
    even the smallest hole is no smaller than the largest shaft, transition all between.
    """
    of_hole, of_shaft = parse_zone(hole), parse_zone(shaft)
    for zone, wanted in ((of_hole, True), (of_shaft, False)):
        if zone.is_hole != wanted:
            what, other = ("hole", "capital") if wanted else ("shaft", "small")
            raise InputError(
                f"{what} {zone} has to be in {other} letters, such as {'H7' if wanted else 'g6'}"
            )
    outer, inner = _limits(size, of_hole), _limits(size, of_shaft)
    return _fit(
        outer,
        inner,
        outer.upper_deviation - inner.lower_deviation,
        outer.lower_deviation - inner.upper_deviation,
    )


def _fit_by_sizes(hole: ZoneLimits, shaft: ZoneLimits) -> Fit:
    """Take the clearances between the sizes that a gauge would show."""
    loosest, tightest = hole.max_size - shaft.min_size, hole.min_size - shaft.max_size
    return _fit(hole, shaft, loosest * _MICROMETRES, tightest * _MICROMETRES)


def _fit(hole: ZoneLimits, shaft: ZoneLimits, loosest: float, tightest: float) -> Fit:
    loosest, tightest = round(loosest, 6), round(tightest, 6)
    kind = "clearance" if tightest >= 0 else "interference" if loosest <= 0 else "transition"
    return Fit(
        loosest,
        tightest,
        kind,
        f"{kind}: {_range_in_words(tightest, loosest)}",
        hole.max_size,
        hole.min_size,
        shaft.max_size,
        shaft.min_size,
        hole.upper_deviation,
        hole.lower_deviation,
        shaft.upper_deviation,
        shaft.lower_deviation,
    )


def _range_in_words(tightest: float, loosest: float) -> str:
    """Say a range of clearances [µm] as a fitter does: `from 18 µm tight to 23 µm loose`."""
    if tightest >= 0 or loosest <= 0:
        word = "loose" if tightest >= 0 else "tight"
        near, far = sorted((abs(tightest), abs(loosest)))
        if near > 0:
            return f"{near:g} to {far:g} µm {word}"
    return f"from {clearance_in_words(tightest)} to {clearance_in_words(loosest)}"


def clearance_in_words(clearance: float) -> str:
    """Say a clearance [µm] as a fitter does: `12 µm loose`, `5 µm tight`, `size for size`."""
    rounded = round(clearance, 1)
    if rounded == 0:
        return "size for size"
    return f"{abs(rounded):g} µm {'loose' if rounded > 0 else 'tight'}"
