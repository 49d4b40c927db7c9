"""Measuring: what a drawing allows, what an instrument can prove, and what is still to come off."""

from functools import cache
from math import isnan
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import Example, Quantity, calculation
from handwheel.errors import InputError
from handwheel.tables import table

__all__ = [
    "Instrument",
    "acceptance",
    "deviation_limits",
    "general_tolerance",
    "instrument_for",
    "reading_slip",
    "settled_reading",
    "to_come_off",
]

_GOOD_RATIO = 4.0
"""An instrument serves where the tolerance is at least four times its 2 U; calibration practice 4:1."""

_SLACK = 1e-9
"""Rounding dust [mm] that is not to decide whether a zone is empty."""

Size = Annotated[float, Quantity("mm", "size", kind="size")]
UpperLimit = Annotated[float, Quantity("mm", "hi", kind="size", bound="at most")]
LowerLimit = Annotated[float, Quantity("mm", "lo", kind="size", bound="at least")]
Uncertainty = Annotated[float, Quantity("mm", "U", kind="deviation", at_least=0, usual=(0, 0.5))]
Tolerance = Annotated[float, Quantity("mm", "T", kind="deviation", at_least=0)]


class Acceptance(NamedTuple):
    """The limits that a reading has to keep [mm], and T over 2 U; None where no reading proves the part."""

    lower_acceptance: Annotated[float, Quantity("mm", "la", kind="size", bound="at least")] | None
    upper_acceptance: Annotated[float, Quantity("mm", "ua", kind="size", bound="at most")] | None
    ratio: Annotated[float, Quantity("", "ratio")] | None
    middle: Annotated[float, Quantity("mm", "mid", kind="size")] | None = None
    warnings: tuple[str, ...] = ()


@calculation(
    title="Limits that a reading has to keep, with the instrument's uncertainty taken off",
    formula="la = lo + U; ua = hi - U; ratio = (hi - lo) / (2 * U); mid = (lo + hi) / 2",
    source="ISO 14253-1: conformity is proven inside the limits less a guard band g = U, from memory",
    examples=(
        Example(
            {"lower_limit": 46.988, "upper_limit": 47.014, "uncertainty": 0.003},
            {"lower_acceptance": 46.991, "upper_acceptance": 47.011, "ratio": 4.3333},
            "arithmetic of the rule",
        ),
    ),
    second=lambda lower_limit, upper_limit, uncertainty: _acceptance_by_middle(
        lower_limit, upper_limit, uncertainty
    ),
)
def acceptance(*, lower_limit: LowerLimit, upper_limit: UpperLimit, uncertainty: Uncertainty) -> Acceptance:
    """Take the expanded uncertainty U [mm] off both limits [mm].

    `middle` is what to aim at. Where 2 U is more than the tolerance no reading proves the part: both limits
    and the middle are None. At an uncertainty of 0 there is no ratio.
    """
    width = upper_limit - lower_limit
    if width < 0:
        raise InputError(f"the lower limit, {lower_limit:g} mm, is above the upper one, {upper_limit:g} mm")
    if uncertainty == 0:
        said = "an uncertainty of 0 is no instrument's"
        return Acceptance(lower_limit, upper_limit, None, (lower_limit + upper_limit) / 2, (said,))
    ratio = width / (2 * uncertainty)
    half = width / 2 - uncertainty
    if half < -_SLACK:
        said = (
            f"no reading proves this part: {uncertainty:g} mm of uncertainty on either side are more than "
            f"the tolerance of {width:.4g} mm; measure with a finer instrument"
        )
        return Acceptance(None, None, ratio, None, (said,))
    warnings: tuple[str, ...] = ()
    if ratio < _GOOD_RATIO:
        warnings = (
            f"tolerance over 2 U is {ratio:.1f}; below 4 much of the tolerance goes to the instrument",
        )
    lowest = lower_limit + uncertainty
    middle = (lower_limit + upper_limit) / 2
    return Acceptance(lowest, max(lowest, upper_limit - uncertainty), ratio, middle, warnings)


def _acceptance_by_middle(lower: float, upper: float, uncertainty: float) -> Acceptance:
    """Go out from the middle of the zone by half of what the instrument leaves of it."""
    middle, half = (lower + upper) / 2, (upper - lower) / 2 - uncertainty
    ratio = (half + uncertainty) / uncertainty if uncertainty else None
    return (
        Acceptance(middle - half, middle + half, ratio, middle)
        if half >= -_SLACK
        else Acceptance(None, None, ratio)
    )


class GeneralTolerance(NamedTuple):
    """Plus and minus of a length or a broken edge [mm] or of an angle [deg], and a length's limits [mm]."""

    tolerance: Annotated[float, Quantity("mm", "t", kind="deviation")] | None
    max_size: Annotated[float, Quantity("mm", "max", kind="size", bound="at most")] | None
    min_size: Annotated[float, Quantity("mm", "min", kind="size", bound="at least")] | None
    angle_tolerance: Annotated[float, Quantity("deg", "ta")] | None


GeneralSize = Annotated[float, Quantity("mm", "size", kind="size", above=0)]
ToleranceClass = Annotated[str, Quantity("", "class", choices=("f", "m", "c", "v"))]
GeneralKind = Annotated[str, Quantity("", "kind", choices=("length", "edge", "angle"))]


@calculation(
    title="General tolerance of a size without its own, plus and minus",
    formula="table: ISO 2768-1, t of lengths and edges or ta of angles; max = size + t; min = size - t",
    source="ISO 2768-1:1989, tables 1 to 3",
    examples=(
        Example(
            {"size": 30, "class": "m"},
            {"tolerance": 0.2, "max_size": 30.2, "min_size": 29.8},
            "ISO 2768-1, table 1: over 6 up to 30 mm, from memory",
        ),
    ),
    second="a cell of a table has no second route",
)
def general_tolerance(
    *, size: GeneralSize, class_: ToleranceClass, kind: GeneralKind = "length"
) -> GeneralTolerance:
    """Give the tolerance of a length, of a broken edge (radius or chamfer height), or of an angle.

    For an angle `size` is the length [mm] of its shorter side and the tolerance comes as
    `angle_tolerance` [deg]; then there is none in mm. A size on the border belongs to the lower band.
    """
    tolerance = _general(size, class_, kind)
    if kind == "angle":
        return GeneralTolerance(None, None, None, tolerance)
    if kind == "edge":
        return GeneralTolerance(tolerance, None, None, None)
    return GeneralTolerance(tolerance, size + tolerance, size - tolerance, None)


def _general(size: float, grade: str, kind: str) -> float:
    bands = _bands()[kind, grade]
    found = next((width for over, up_to, width in bands if over - _SLACK <= size <= up_to + _SLACK), None)
    if found is None:
        low, high = bands[0][0], bands[-1][1]
        raise InputError(
            f"ISO 2768-{grade} gives no {kind} tolerance for {size:g} mm, only from {low:g} to {high:g} mm"
        )
    return found


@cache
def _bands() -> dict[tuple[str, str], tuple[tuple[float, float, float], ...]]:
    """Give the bands of each kind and class that have a tolerance, rising: the lower band has the border."""
    rows = table("iso2768").rows
    return {
        (kind, grade): tuple(
            (float(row["over"]), float(row["up_to"]), float(row[grade]))
            for row in rows
            if row["kind"] == kind and not isnan(row[grade])
        )
        for kind in ("length", "edge", "angle")
        for grade in "fmcv"
    }


class Limits(NamedTuple):
    """Largest and smallest size, and what lies between them [mm]."""

    max_size: Annotated[float, Quantity("mm", "max", kind="size", bound="at most")]
    min_size: Annotated[float, Quantity("mm", "min", kind="size", bound="at least")]
    tolerance: Tolerance


UpperDeviation = Annotated[float, Quantity("mm", "es", kind="deviation", usual=(-5, 5))]
LowerDeviation = Annotated[float, Quantity("mm", "ei", kind="deviation", usual=(-5, 5))]


@calculation(
    title="Limits of a size from its deviations",
    formula="max = size + es; min = size + ei; T = es - ei",
    source="ISO 286-1, definitions of limit deviations and limits of size",
    examples=(
        Example(
            {"size": 47, "upper_deviation": 0.014, "lower_deviation": -0.012},
            {"max_size": 47.014, "min_size": 46.988, "tolerance": 0.026},
            "arithmetic",
        ),
    ),
    second="sums of two numbers; the tests hold the tolerance to the difference of the limits",
)
def deviation_limits(
    *, size: GeneralSize, upper_deviation: UpperDeviation, lower_deviation: LowerDeviation
) -> Limits:
    """Give the limits [mm] of a size written with its deviations [mm], such as 47 +0.014 -0.012."""
    if upper_deviation < lower_deviation:
        raise InputError(
            f"the upper deviation, {upper_deviation:g} mm, is below the lower one, {lower_deviation:g} mm"
        )
    return Limits(size + upper_deviation, size + lower_deviation, upper_deviation - lower_deviation)


Removing = Annotated[str, Quantity("", "removing", choices=("from a shaft or thickness", "from a hole"))]


class LeftOver(NamedTuple):
    """What is left to come off [mm]: of the size, and on each side of a diameter."""

    amount: Annotated[float, Quantity("mm", "amount", kind="deviation")]
    per_side: Annotated[float, Quantity("mm", "per_side", kind="deviation")]


@calculation(
    title="What is still to come off, on diameter or on the whole length",
    formula=(
        "amount = (reading - aim) * (1 if removing == 'from a shaft or thickness' else -1); "
        "per_side = (reading - aim) * (1 if removing == 'from a shaft or thickness' else -1) / 2"
    ),
    source="a difference: a shaft shrinks towards its aim, a hole grows",
    examples=(
        Example({"reading": 20.3, "aim": 20}, {"amount": 0.3, "per_side": 0.15}, "arithmetic"),
        Example({"reading": 46.6, "aim": 47, "removing": "from a hole"}, {"amount": 0.4}, "arithmetic"),
    ),
    second="a difference has no second route",
)
def to_come_off(
    *,
    reading: Annotated[float, Quantity("mm", "reading", kind="size")],
    aim: Annotated[float, Quantity("mm", "aim", kind="size")],
    removing: Removing = "from a shaft or thickness",
) -> LeftOver:
    """Give what is left to remove [mm] to reach the aim; negative where the cut has gone too far."""
    amount = reading - aim if removing == "from a shaft or thickness" else aim - reading
    return LeftOver(amount, amount / 2)


class Instrument(NamedTuple):
    """An instrument: its name, the sizes it spans [mm], its expanded uncertainty U [mm]."""

    name: Annotated[str, Quantity("", "name")]
    smallest: Annotated[float, Quantity("mm", "smallest", at_least=0)]
    largest: Annotated[float, Quantity("mm", "largest", above=0)]
    uncertainty: Annotated[float, Quantity("mm", "U", kind="deviation", above=0)]


class Choice(NamedTuple):
    """The instrument chosen ("" where none spans the size), its U [mm], and T over 2 U."""

    instrument: Annotated[str, Quantity("", "instrument")]
    uncertainty: Annotated[float, Quantity("mm", "U", kind="deviation")] | None
    ratio: Annotated[float, Quantity("", "ratio")] | None
    warnings: tuple[str, ...] = ()


Instruments = Annotated[
    tuple[Instrument, ...],
    Quantity(
        "",
        "instruments",
        example='[{"name": "micrometer", "smallest": 25, "largest": 50, "uncertainty": 0.004}]',
    ),
]


@calculation(
    title="Instrument for a size",
    formula=(
        "spans = [one.uncertainty for one in instruments if one.smallest <= size <= one.largest]; "
        "good = [one for one in spans if T and T / (2 * one) >= 4 * (1 - 1e-9)]; "
        "U = max(good) if good else min(spans) if spans else None; ratio = T / (2 * U)"
    ),
    source="common practice, no source: tolerance to uncertainty 4 to 1, as in calibration",
    examples=(
        Example(
            {
                "size": 47,
                "instruments": (Instrument("caliper", 0, 150, 0.03), Instrument("micrometer", 25, 50, 0.004)),
                "tolerance": 0.04,
            },
            {"instrument": "micrometer", "uncertainty": 0.004, "ratio": 5.0},
            "by the rule: 0.04 / 0.008",
        ),
    ),
    second="a choice from a list has no second route",
)
def instrument_for(*, size: Size, instruments: Instruments, tolerance: Tolerance | None = None) -> Choice:
    """Choose an instrument for a size [mm] with a tolerance [mm]: good enough, and no finer than that.

    Without a tolerance, and where none is good enough, it is the one with the smallest uncertainty.
    """
    spanning = sorted(
        (uncertainty, name)
        for name, smallest, largest, uncertainty in instruments
        if smallest <= size <= largest
    )
    if not spanning:
        return Choice("", None, None, (f"no instrument spans {size:g} mm",))
    if tolerance is None:
        return Choice(spanning[0][1], spanning[0][0], None)
    # the slack keeps 0.024 / 0.006 at 4
    good = [one for one in spanning if tolerance / (2 * one[0]) >= _GOOD_RATIO * (1 - 1e-9)]
    uncertainty, name = good[-1] if good else spanning[0]
    ratio = tolerance / (2 * uncertainty)
    warnings: tuple[str, ...] = ()
    if ratio < 1:
        warnings = (
            f"{name} cannot prove a tolerance of {tolerance:.4g} mm: 2 U is {2 * uncertainty:.4g} mm",
        )
    elif not good:
        warnings = (f"tolerance over 2 U is only {ratio:.1f} with {name}; 4 is wanted",)
    return Choice(name, uncertainty, ratio, warnings)


class Settled(NamedTuple):
    """The size that two readings agree on (None where no two do), and how far apart the nearest two are."""

    reading: Annotated[float, Quantity("mm", "r", kind="size")] | None
    apart: Annotated[float, Quantity("mm", "a", kind="deviation")] | None
    agree: Annotated[bool, Quantity("", "agree")]


@calculation(
    title="Size on which two readings agree",
    formula=(
        "near = min([(abs(one - x[-1]), i) for i, one in enumerate(x[:-1])])[1]; a = abs(x[near] - x[-1]); "
        "agree = a <= rep + 1e-9; r = (x[near] + x[-1]) / 2 if agree else None"
    ),
    source="common practice, no source: the same place measured twice, the gauge taken off between, and a "
    "third time where the two differ by more than the gauge repeats",
    examples=(
        Example(
            {"readings": (47.004, 47.006), "repeatability": 0.004},
            {"reading": 47.005, "apart": 0.002, "agree": True},
            "by hand",
        ),
        Example(
            {"readings": (47.004, 46.98, 47.002), "repeatability": 0.004},
            {"reading": 47.003, "apart": 0.002, "agree": True},
            "by hand: the second stands alone",
        ),
    ),
    second="a choice from a list has no second route",
)
def settled_reading(
    *,
    readings: Annotated[tuple[float, ...], Quantity("mm", "x", kind="size", example="[47.004, 47.006]")],
    repeatability: Annotated[float, Quantity("mm", "rep", kind="deviation", at_least=0, usual=(0, 0.2))],
) -> Settled:
    """Hold the last of several readings [mm] of one place against those before it.

    Where it differs from the nearest by the repeatability [mm] at the most, their mean counts; else none
    does, and one more is needed.
    """
    *before, last = readings or (0.0,)
    if not before:
        return Settled(None, None, False)
    nearest = min(before, key=lambda one: abs(one - last))
    apart = abs(nearest - last)
    agree = apart <= repeatability + _SLACK
    return Settled((nearest + last) / 2 if agree else None, apart, agree)


_NEAR = 0.02
"""How near [mm] a reading has to be to what a slip would give; common practice, no source."""


_CLOSE = 0.1
"""Nearer to what is expected than this [mm] swapped digits cannot be told from a cut that sprang."""


class Slip(NamedTuple):
    """The slip that a reading looks like, in words; "" where it looks like none."""

    slip: Annotated[str, Quantity("", "slip")]


@calculation(
    title="Slip that a reading looks like",
    formula="rule: 25.4, 10 or 2 times; 0.500 mm or 0.635 mm off; two neighbouring digits swapped",
    source="metric micrometers have half a millimetre a turn and inch ones 0.025 in; swapping two "
    "neighbouring digits is a common slip of typing (common practice, no source)",
    examples=(
        Example(
            {"reading": 46.5, "expected": 47}, {"slip": "half a millimetre too small"}, "by hand: 47 - 0.5"
        ),
        Example({"reading": 74, "expected": 47}, {"slip": "two digits swapped"}, "by hand"),
        Example({"reading": 46.99, "expected": 47}, {"slip": ""}, "by hand: none"),
    ),
    second="a comparison with a list has no second route",
)
def reading_slip(
    *,
    reading: Annotated[float, Quantity("mm", "r", kind="size")],
    expected: Annotated[float, Quantity("mm", "e", kind="size", above=0)],
    typed_in: Annotated[str, Quantity("", "typed_in", choices=("mm", "inch"))] = "mm",
    before: Annotated[float, Quantity("mm", "b", kind="size")] | None = None,
    removing: Removing | None = None,
    far: Annotated[float, Quantity("mm", "far", kind="size", above=0)] | None = None,
) -> Slip:
    """Name the slip that turns the expected size [mm] into this reading [mm], where there is one.

    Swapped digits are looked for in the unit that the reading was typed in. With the size `before` the cut
    [mm] and what it was `removing` from, a size that went the wrong way is one too; and so is a reading
    that is `far` [mm] and more from what is expected.
    """
    if abs(reading - expected) <= 2 * _NEAR:
        return Slip("")
    known = (
        _by_a_factor(reading, expected)
        or _by_a_turn(reading, expected)
        or _swapped(reading, expected, typed_in)
    )
    return Slip(known or _against_the_cut(reading, before, removing) or _far_off(reading, expected, far))


def _against_the_cut(reading: float, before: float | None, removing: str | None) -> str:
    if before is None or removing is None:
        return ""
    if removing == "from a hole":
        return "smaller than before the cut, and a hole does not shrink" if reading < before - _NEAR else ""
    return "larger than before the cut, and what is cut does not grow" if reading > before + _NEAR else ""


def _far_off(reading: float, expected: float, far: float | None) -> str:
    if far is None or abs(reading - expected) < far:
        return ""
    return "further from what the cut was to leave than a whole cut of roughing"


def _by_a_factor(reading: float, expected: float) -> str:
    known = ((10.0, "ten times"), (25.4, "25.4 times, an inch for a millimetre,"), (2.0, "twice"))
    for factor, name in known:
        if abs(reading - expected * factor) <= _NEAR * factor:
            return f"{name} too large"
        if abs(reading * factor - expected) <= _NEAR * factor:
            return f"{name} too small"
    return ""


def _by_a_turn(reading: float, expected: float) -> str:
    off = reading - expected
    for turn, name in ((0.5, "half a millimetre"), (0.635, "0.025 in, a turn of an inch micrometer,")):
        if abs(abs(off) - turn) <= _NEAR:
            return f"{name} too {'large' if off > 0 else 'small'}"
    return ""


def _swapped(reading: float, expected: float, typed_in: str) -> str:
    """Tell whether two neighbouring digits of the reading are swapped, those of the thousandths apart.

    So near to what is expected a cut comes out by itself.
    """
    if abs(reading - expected) <= _CLOSE:
        return ""
    unit, places = (1.0, 3) if typed_in == "mm" else (25.4, 4)
    text = f"{reading / unit:.{places}f}".rstrip("0")  # a nought at the end was not typed
    digits, decimals = text.replace(".", ""), len(text.partition(".")[2])
    for at in range(len(digits) - 1):
        turned = digits[:at] + digits[at + 1] + digits[at] + digits[at + 2 :]
        if turned != digits and abs(int(turned) / 10**decimals * unit - expected) <= _NEAR:
            return "two digits swapped"
    return ""
