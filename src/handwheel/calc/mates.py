"""Fitting a real part: the size to make for a mate that was measured, and what a fit came out as."""

from math import hypot
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation
from handwheel.calc.fits import clearance_in_words
from handwheel.calc.measuring import acceptance
from handwheel.errors import InputError

__all__ = ["fit_result", "size_for_mate", "zone_with_mate"]

_SLACK = 1e-9
"""Rounding dust [mm] that is not to decide whether a zone is empty."""

Clearance = Annotated[float, Quantity("µm", "c", usual=(-300, 2000))]
MateSize = Annotated[float, Quantity("mm", "m", kind="size", above=0, usual=(0.5, 500))]
MateUncertainty = Annotated[float, Quantity("mm", "U_m", kind="deviation", at_least=0, usual=(0, 0.5))]
MinSize = Annotated[float, Quantity("mm", "lo", kind="size", bound="at least")]
MaxSize = Annotated[float, Quantity("mm", "hi", kind="size", bound="at most")]
Aim = Annotated[float, Quantity("mm", "aim", kind="size")]


class SizeForMate(NamedTuple):
    """What to make [mm]: aim and limits, the limits of a reading, T over 2 U, the ruling mate size."""

    aim: Aim | None
    min_size: MinSize | None
    max_size: MaxSize | None
    lower_acceptance: Annotated[float, Quantity("mm", "la", kind="size", bound="at least")] | None
    upper_acceptance: Annotated[float, Quantity("mm", "ua", kind="size", bound="at most")] | None
    ratio: Annotated[float, Quantity("", "ratio")] | None
    ruling_size: Annotated[float, Quantity("mm", "r", kind="size")]
    warnings: tuple[str, ...] = ()


@calculation(
    title="Size to make so that a measured mate fits (before any growth)",
    formula=(
        "r = m or (max(ms) if mate_is == 'shaft' else min(ms)); "
        "lo = (r + (c_min + n * g) / 1000 if mate_is == 'shaft' else r - (c_max + n * g) / 1000) + U_m; "
        "hi = (r + (c_max + n * g) / 1000 if mate_is == 'shaft' else r - (c_min + n * g) / 1000) - U_m; "
        "aim = (lo + hi) / 2; la = lo + U_g; ua = hi - U_g; ratio = (hi - lo) / (2 * U_g)"
    ),
    source=(
        "clearance is hole less shaft, ISO 286-1; each uncertainty comes off both ends, after ISO 14253-1, "
        "from memory; the tightest place of the mate rules: common practice, no source"
    ),
    examples=(
        Example(
            {"mate_is": "shaft", "mate_size": 20.004, "min_clearance": 5, "max_clearance": 25,
             "mate_uncertainty": 0.002, "gauge_uncertainty": 0.003},
            {"aim": 20.019, "min_size": 20.011, "max_size": 20.027, "lower_acceptance": 20.014,
             "upper_acceptance": 20.024, "ratio": 2.6667},
            "by hand: 20.004 + 0.005 + 0.002 and 20.004 + 0.025 - 0.002",
        ),
        Example(
            {"mate_is": "hole", "mate_sizes": (47.012, 47.006, 47.009), "min_clearance": -12,
             "max_clearance": 8, "gauge_uncertainty": 0.002, "growth_per_surface": 5},
            {"aim": 46.998, "min_size": 46.988, "max_size": 47.008, "ruling_size": 47.006, "ratio": 5.0},
            "by hand: 47.006 - 0.008 - 0.010 and 47.006 + 0.012 - 0.010",
        ),
    ),
    second=lambda **inputs: _size_by_middle(**inputs),
)  # fmt: skip
def size_for_mate(
    *,
    mate_is: Annotated[str, Quantity("", "mate_is", choices=("shaft", "hole"))],
    min_clearance: Annotated[float, Quantity("µm", "c_min", usual=(-300, 2000), example="5 µm")],
    max_clearance: Annotated[float, Quantity("µm", "c_max", usual=(-300, 2000), example="25 µm")],
    mate_size: MateSize | None = None,
    mate_sizes: Annotated[
        tuple[float, ...], Quantity("mm", "ms", above=0, usual=(0.5, 500), example="[20.004, 20.002]")
    ]
    | None = None,
    mate_uncertainty: MateUncertainty = 0.0,
    gauge_uncertainty: Annotated[
        float, Quantity("mm", "U_g", kind="deviation", at_least=0, usual=(0, 0.5))
    ] = 0.0,
    growth_per_surface: Annotated[float, Quantity("µm", "g", at_least=0, usual=(0, 200))] = 0.0,
    surfaces: Annotated[int, Quantity("", "n", at_least=0, at_most=2)] = 2,
) -> SizeForMate:
    """Give the limits [mm] that keep the clearance [µm] against a mate measured at one or several places.

    The largest reading of a shaft rules, the smallest of a hole. The limits are before the feature
    grows by plating or nitriding: a hole is made larger, a shaft smaller. What the mate's uncertainty
    [mm] leaves of the zone are the limits, what the gauge's leaves is for a reading to keep; None
    where nothing is left, and a warning says so.
    """
    if min_clearance > max_clearance:
        raise CalculationError(
            f"size_for_mate: min_clearance {min_clearance:g} µm is above max_clearance {max_clearance:g} µm"
        )
    ruling, warnings = _ruling(mate_is, mate_size, mate_sizes)
    sign = 1 if mate_is == "shaft" else -1
    ends = (
        ruling + sign * (one + surfaces * growth_per_surface) / 1000 for one in (min_clearance, max_clearance)
    )
    low, high = sorted(ends)
    low, high = low + mate_uncertainty, high - mate_uncertainty
    if high - low < -_SLACK:
        said = (
            f"nothing is left to make: the mate's uncertainty of {1000 * mate_uncertainty:g} µm comes off "
            f"both ends of {max_clearance - min_clearance:g} µm; measure the mate better or allow more"
        )
        return SizeForMate(None, None, None, None, None, None, ruling, (*warnings, said))
    high = max(low, high)
    if gauge_uncertainty == 0:
        said = "the gauge's uncertainty counts as 0: it was not given, so the limits of a reading are bare"
        return SizeForMate((low + high) / 2, low, high, low, high, None, ruling, (*warnings, said))
    proof = acceptance(lower_limit=low, upper_limit=high, uncertainty=gauge_uncertainty)
    return SizeForMate(
        (low + high) / 2,
        low,
        high,
        proof.lower_acceptance,
        proof.upper_acceptance,
        proof.ratio,
        ruling,
        (*warnings, *proof.warnings),
    )


def _ruling(
    mate_is: str, size: float | None, sizes: tuple[float, ...] | None
) -> tuple[float, tuple[str, ...]]:
    """Give the size [mm] that rules, and say how much looser the fit is where the mate is thinnest."""
    if (size is None) == (sizes is None):
        raise CalculationError(
            "size_for_mate: give mate_size, such as 20.004 mm, or mate_sizes, a list; one of them"
        )
    if sizes is None:
        assert size is not None
        return size, ()
    ruling, other = (max(sizes), min(sizes)) if mate_is == "shaft" else (min(sizes), max(sizes))
    spread = round(1000 * abs(ruling - other), 1)
    if not spread:
        return ruling, ()
    return ruling, (
        f"the mate's readings differ by {spread:g} µm: where it is {other:g} mm the fit is that much looser",
    )


def _size_by_middle(
    *,
    mate_is: str,
    min_clearance: float,
    max_clearance: float,
    mate_size: float | None = None,
    mate_sizes: tuple[float, ...] | None = None,
    mate_uncertainty: float = 0.0,
    gauge_uncertainty: float = 0.0,
    growth_per_surface: float = 0.0,
    surfaces: int = 2,
) -> SizeForMate:
    """Go out from the middle clearance by half of what each uncertainty leaves of the zone."""
    sizes = sorted(mate_sizes or (mate_size or 0.0,))
    ruling = sizes[-1] if mate_is == "shaft" else sizes[0]
    offset = (min_clearance + max_clearance) / 2000 + surfaces * growth_per_surface / 1000
    middle = ruling + offset if mate_is == "shaft" else ruling - offset
    half = (max_clearance - min_clearance) / 2000 - mate_uncertainty
    if half < -_SLACK / 2:
        return SizeForMate(None, None, None, None, None, None, ruling)
    proven = half - gauge_uncertainty
    ratio = half / gauge_uncertainty if gauge_uncertainty else None
    low, high = (middle - proven, middle + proven) if proven >= -_SLACK else (None, None)
    return SizeForMate(middle, middle - half, middle + half, low, high, ratio, ruling)


class CommonZone(NamedTuple):
    """The part that two zones share [mm]: its limits, its middle, its width; None where they share none."""

    min_size: MinSize | None
    max_size: MaxSize | None
    aim: Aim | None
    tolerance: Annotated[float, Quantity("mm", "T", kind="deviation")] | None
    warnings: tuple[str, ...] = ()


@calculation(
    title="What the drawing's zone and the measured mate both allow",
    formula="lo = max(d_lo, m_lo or d_lo); hi = min(d_hi, m_hi or d_hi); aim = (lo + hi) / 2; T = hi - lo",
    source="the common part of two intervals",
    examples=(
        Example(
            {"lower_limit": 46.988, "upper_limit": 47.014, "min_size": 46.995, "max_size": 47.021},
            {"min_size": 46.995, "max_size": 47.014, "aim": 47.0045, "tolerance": 0.019},
            "by hand",
        ),
        Example(
            {"lower_limit": 46.988, "upper_limit": 47.014},
            {"min_size": 46.988, "max_size": 47.014, "aim": 47.001, "tolerance": 0.026},
            "by hand: without a mate the drawing's limits alone",
        ),
    ),
    second=lambda lower_limit, upper_limit, min_size=None, max_size=None: _common_by_sorting(
        lower_limit,
        upper_limit,
        lower_limit if min_size is None else min_size,
        upper_limit if max_size is None else max_size,
    ),
)
def zone_with_mate(
    *,
    lower_limit: Annotated[float, Quantity("mm", "d_lo", kind="size", bound="at least", usual=(0, 500))],
    upper_limit: Annotated[float, Quantity("mm", "d_hi", kind="size", bound="at most", usual=(0, 500))],
    min_size: Annotated[float, Quantity("mm", "m_lo", kind="size", bound="at least", usual=(0, 500))]
    | None = None,
    max_size: Annotated[float, Quantity("mm", "m_hi", kind="size", bound="at most", usual=(0, 500))]
    | None = None,
) -> CommonZone:
    """Give the part [mm] that the drawing's limits and the limits for a measured mate have in common.

    Where they have none, every result is None and a warning says which contradicts which. Without a mate
    the drawing's limits stand.
    """
    min_size = lower_limit if min_size is None else min_size
    max_size = upper_limit if max_size is None else max_size
    for what, low, high in (("drawing", lower_limit, upper_limit), ("mate", min_size, max_size)):
        if low > high:
            raise InputError(f"the {what}'s lower limit, {low:g} mm, is above its upper one, {high:g} mm")
    low, high = max(lower_limit, min_size), min(upper_limit, max_size)
    if high - low < -_SLACK:
        said = (
            f"the zone and the mate contradict: the drawing allows {lower_limit:.3f} to {upper_limit:.3f} "
            f"mm, the mate needs {min_size:.3f} to {max_size:.3f} mm"
        )
        return CommonZone(None, None, None, None, (said,))
    return CommonZone(low, high, (low + high) / 2, high - low)


def _common_by_sorting(lower: float, upper: float, low: float, high: float) -> CommonZone:
    """Take the two middle ones of the four ends, where the intervals reach each other."""
    if min(upper, high) - max(lower, low) < -_SLACK:
        return CommonZone(None, None, None, None)
    width = (upper - lower + high - low - abs(lower - low) - abs(upper - high)) / 2
    start = (lower + low + abs(lower - low)) / 2
    return CommonZone(start, start + width, start + width / 2, width)


class FitResult(NamedTuple):
    """What came out: the clearance and its uncertainty [µm], what it is, and in a fitter's words."""

    clearance: Annotated[float, Quantity("µm", "c")]
    uncertainty: Annotated[float, Quantity("µm", "U")]
    kind: Annotated[str, Quantity("", "kind")]
    words: Annotated[str, Quantity("", "words")]


@calculation(
    title="Fit as made: the clearance between two measured parts; negative is interference",
    formula="c = 1000 * (f - m if feature_is == 'hole' else m - f); U = 1000 * sqrt(U_f ** 2 + U_m ** 2)",
    source=(
        "clearance is hole less shaft, ISO 286-1; uncertainties of two independent readings add as squares, "
        "JCGM 100:2008 (GUM), clause 5.1"
    ),
    examples=(
        Example(
            {"feature_size": 25.012, "feature_uncertainty": 0.004, "mate_size": 25, "mate_uncertainty": 0.003,
             "feature_is": "hole"},
            {"clearance": 12, "uncertainty": 5, "kind": "clearance",
             "words": "12 µm loose, give or take 5 µm"},
            "by hand: 3, 4, 5",
        ),
        Example(
            {"feature_size": 25.003, "feature_uncertainty": 0.005, "mate_size": 25, "feature_is": "shaft"},
            {"clearance": -3, "uncertainty": 5, "kind": "not proven"},
            "by hand",
        ),
    ),
    second=lambda feature_size, feature_uncertainty, mate_size, feature_is, mate_uncertainty=0.0: _fit_result(
        (1 if feature_is == "hole" else -1) * (feature_size * 1000 - mate_size * 1000),
        hypot(feature_uncertainty * 1000, mate_uncertainty * 1000),
    ),
)  # fmt: skip
def fit_result(
    *,
    feature_size: Annotated[float, Quantity("mm", "f", kind="size", above=0, usual=(0.5, 500))],
    feature_uncertainty: Annotated[
        float, Quantity("mm", "U_f", kind="deviation", at_least=0, usual=(0, 0.5))
    ],
    mate_size: MateSize,
    feature_is: Annotated[str, Quantity("", "feature_is", choices=("hole", "shaft"))],
    mate_uncertainty: MateUncertainty = 0.0,
) -> FitResult:
    """Give the clearance [µm] between a feature and its mate, both measured [mm] with expanded uncertainties.

    `kind` is clearance or interference where the reading proves it, `not proven` where the
    uncertainty is larger than the clearance.
    """
    clearance = 1000 * (feature_size - mate_size if feature_is == "hole" else mate_size - feature_size)
    return _fit_result(clearance, 1000 * (feature_uncertainty**2 + mate_uncertainty**2) ** 0.5)


def _fit_result(clearance: float, uncertainty: float) -> FitResult:
    proven = abs(clearance) >= uncertainty - 1000 * _SLACK
    kind = ("clearance" if clearance >= 0 else "interference") if proven else "not proven"
    words = f"{clearance_in_words(clearance)}, give or take {round(uncertainty, 1):g} µm"
    return FitResult(clearance, uncertainty, kind, words if proven else f"{words}: not proven")


@calculation(
    title="The size of a mate that rules, of several readings",
    formula="m = max(ms) if mate_is == 'shaft' else min(ms)",
    source="common practice, no source: a shaft goes in only where it is thickest, a hole lets in only what "
    "its narrowest place does",
    examples=(
        Example({"mate_sizes": (46.994, 46.991), "mate_is": "shaft"}, {"size": 46.994}, "by looking"),
        Example({"mate_sizes": (46.994, 46.991), "mate_is": "hole"}, {"size": 46.991}, "by looking"),
    ),
    second=lambda mate_sizes, mate_is: sorted(mate_sizes)[-1 if mate_is == "shaft" else 0],
    result="size",
)
def mate_ruling_size(
    *,
    mate_sizes: Annotated[
        tuple[float, ...], Quantity("mm", "ms", kind="size", above=0, usual=(0.5, 500), example="[20.004]")
    ],
    mate_is: Annotated[str, Quantity("", "mate_is", choices=("shaft", "hole"))],
) -> Annotated[float, Quantity("mm", "m", kind="size", above=0)]:
    """Give the largest reading [mm] of a shaft, the smallest of a hole; at least one is needed."""
    if not mate_sizes:
        raise CalculationError("mate_ruling_size: give at least one size, such as [20.004]")
    return max(mate_sizes) if mate_is == "shaft" else min(mate_sizes)
