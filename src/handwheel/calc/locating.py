"""Where the zero is and how true the work lies: touched edges, run-out of a round, tilt of a face."""

from collections.abc import Callable, Sequence
from math import atan2, cos, degrees, hypot, radians, sin
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation
from handwheel.calc.quantities import Angle

__all__ = ["AngleReading", "FaceReading", "centre_of_two", "level", "run_out", "touch_off"]

Touched = Annotated[float, Quantity("mm", "a", kind="position", usual=(-1000, 1000))]
Other = Annotated[float, Quantity("mm", "b", kind="position", usual=(-1000, 1000))]


class Middle(NamedTuple):
    """The middle between two positions, and how far each of them is from it."""

    centre: Annotated[float, Quantity("mm", "c", kind="position")]
    offset: Annotated[float, Quantity("mm", "o", kind="position")]


@calculation(
    title="Middle between two touched edges",
    formula="c = (a + b) / 2; o = abs(b - a) / 2",
    source="geometry",
    examples=(Example({"first": -12, "second": 148}, {"centre": 68, "offset": 80}, "by hand: 160 mm apart"),),
    second=lambda first, second: Middle(
        min(first, second) + abs(second - first) / 2, max(first, second) - (first + second) / 2
    ),
)
def centre_of_two(*, first: Touched, second: Other) -> Middle:
    """Give the middle of two positions [mm] and the distance of each from it [mm]."""
    return Middle((first + second) / 2, abs(second - first) / 2)


@calculation(
    title="Position of an edge touched with a round tip",
    formula="p = a + (dt / 2 + e) * (1 if side == '+' else -1)",
    source="geometry: the edge is half the tip from the spindle's axis",
    examples=(
        Example(
            {"touched_at": -5, "tip_diameter": 10, "side": "+"},
            {"position": 0.0},
            "by hand: the left edge, touched from the left, is half of 10 mm to the right of the axis",
        ),
        Example(
            {"touched_at": 105.05, "tip_diameter": 10, "side": "-", "feeler": 0.05},
            {"position": 100.0},
            "by hand: the right edge, with a paper of 0.05 mm between",
        ),
    ),
    second=lambda touched_at, tip_diameter, side, feeler=0: (
        (2 * touched_at + float(f"{side}1") * (tip_diameter + 2 * feeler)) / 2
    ),
    result="position",
)
def touch_off(
    *,
    touched_at: Touched,
    tip_diameter: Annotated[float, Quantity("mm", "dt", at_least=0, usual=(0, 30))],
    side: Annotated[str, Quantity("", "side", choices=("+", "-"))],
    feeler: Annotated[float, Quantity("mm", "e", at_least=0, usual=(0, 5))] = 0,
) -> Annotated[float, Quantity("mm", "p", kind="position")]:
    """Give the position [mm] of an edge that a tip of a diameter [mm] touches, the axis at `touched_at`.

    `side` is the side of the tip that the edge is on: + where the tip came to it along plus. `feeler`
    [mm] is a paper or gauge block between the two.
    """
    return touched_at + (tip_diameter / 2 + feeler) * (1 if side == "+" else -1)


# --- least squares ------------------------------------------------------------------------------------

_Columns = Sequence[Sequence[float]]
_Solver = Callable[[_Columns, Sequence[float]], list[float]]


def _dot(one: Sequence[float], other: Sequence[float]) -> float:
    return sum(a * b for a, b in zip(one, other, strict=True))


def _by_elimination(columns: _Columns, wanted: Sequence[float]) -> list[float]:
    """Fit by the normal equations, eliminated from the first column on (they are positive definite)."""
    size = len(columns)
    rows = [[_dot(one, other) for other in columns] + [_dot(one, wanted)] for one in columns]
    for pivot in range(size):
        for below in rows[pivot + 1 :]:
            factor = below[pivot] / rows[pivot][pivot]
            below[pivot:] = [a - factor * b for a, b in zip(below[pivot:], rows[pivot][pivot:], strict=True)]
    found = [0.0] * size
    for index in reversed(range(size)):
        known = _dot(rows[index][index + 1 : size], found[index + 1 :])
        found[index] = (rows[index][size] - known) / rows[index][index]
    return found


def _by_right_angles(columns: _Columns, wanted: Sequence[float]) -> list[float]:
    """Fit by making the columns square to each other, one after the other: the second route."""
    square: list[list[float]] = []
    shares: list[list[float]] = []
    for column in columns:
        rest, taken = list(column), []
        for one in square:
            factor = _dot(rest, one) / _dot(one, one)
            taken.append(factor)
            rest = [a - factor * b for a, b in zip(rest, one, strict=True)]
        square.append(rest)
        shares.append(taken)
    left, found = list(wanted), [0.0] * len(columns)
    for index in reversed(range(len(columns))):
        found[index] = _dot(left, square[index]) / _dot(square[index], square[index])
        left = [a - found[index] * b for a, b in zip(left, columns[index], strict=True)]
    return found


# --- run-out ------------------------------------------------------------------------------------------

_SPREAD_ANGLES = 1e-3
"""Least determinant of three fitted terms over the count: angles closer together tell no direction."""

_TRUE = 1e-7
"""An eccentricity [mm] below which there is no direction."""


class AngleReading(NamedTuple):
    """The indicator's reading [mm] at an angle of the work [deg]."""

    angle: Angle
    reading: Annotated[float, Quantity("mm", "r", kind="deviation", usual=(-2, 2))]


class RunOut(NamedTuple):
    """Run-out [mm]: whole reading, eccentricity, angle of the high spot, and how to move the work true.

    `direction` [deg] is None where the readings do not tell it. `move_x` and `move_y` [mm] bring the
    work's axis to the spindle's, along the angles 0 and 90. `out_of_round` [mm] is what is then left.
    """

    tir: Annotated[float, Quantity("mm", "tir", kind="deviation")]
    eccentricity: Annotated[float, Quantity("mm", "e", kind="deviation")]
    direction: Annotated[float, Quantity("deg", "phi")] | None
    move_x: Annotated[float, Quantity("mm", "mx", kind="deviation")] | None
    move_y: Annotated[float, Quantity("mm", "my", kind="deviation")] | None
    out_of_round: Annotated[float, Quantity("mm", "round", kind="deviation")] | None
    warnings: tuple[str, ...] = ()


@calculation(
    title="Run-out of a round, and where its high spot is",
    formula=(
        "w = [one.reading for one in readings]; tir = max(w) - min(w); "
        "c = [cos(radians(one.angle)) for one in readings]; s = [sin(radians(one.angle)) "
        "for one in readings]; "
        "u = [one - sum(c) / len(c) for one in c]; v = [one - sum(s) / len(s) for one in s]; "
        "uu = sum([a * a for a in u]); vv = sum([b * b for b in v]); uv = sum([a * b for a, "
        "b in zip(u, v)]); "
        "uw = sum([a * r for a, r in zip(u, w)]); vw = sum([b * r for b, r in zip(v, w)]); "
        "mx = (vw * uv - uw * vv) / (uu * vv - uv ** 2); my = (uw * uv - vw * uu) / (uu * vv - uv ** 2); "
        "e = hypot(mx, my); phi = degrees(atan2(-my, -mx)) % 360; "
        "rest = [r + mx * a + my * b for r, a, b in zip(w, u, v)]; "
        "round = max(rest) - min(rest) if len(w) > 3 else None"
    ),
    source="least squares; ISO 1101: run-out is the whole reading, twice the eccentricity of a true round",
    examples=(
        Example(
            {"readings": (AngleReading(0, 0.3), AngleReading(90, 0.4), AngleReading(180, -0.3),
                          AngleReading(270, -0.4))},
            {"tir": 0.8, "eccentricity": 0.5, "direction": 53.13, "move_x": -0.3, "move_y": -0.4},
            "by hand, 3, 4, 5: half of 0.6 and half of 0.8 across the two pairs of jaws",
        ),
    ),
    second=lambda readings: _run_out(readings, _by_right_angles),
)  # fmt: skip
def run_out(*, readings: Annotated[tuple[AngleReading, ...], Quantity("", "readings")]) -> RunOut:
    """Give run-out and eccentricity [mm] from indicator readings [mm] at angles of the work [deg].

    The reading grows where the work stands out. Angles are 0 along +X, counter-clockwise seen from
    the spindle. Three angles well apart tell a direction; four, one at each jaw, also tell how round
    the work is. With fewer, half the whole reading stands for the eccentricity.
    """
    return _run_out(readings, _by_elimination)


def _run_out(readings: tuple[AngleReading, ...], solve: _Solver) -> RunOut:
    if len(readings) < 2:
        raise CalculationError("run_out: expected at least two readings, such as one at each jaw")
    wanted = [one.reading for one in readings]
    tir = max(wanted) - min(wanted)
    turns = [radians(one.angle) for one in readings]
    columns = ([1.0] * len(turns), [cos(turn) for turn in turns], [sin(turn) for turn in turns])
    if _determinant(columns) < _SPREAD_ANGLES:
        said = "the readings do not tell a direction; take at least three, well apart around the work"
        return RunOut(tir, tir / 2, None, None, None, None, (said,))
    mean, along, across = solve(columns, wanted)
    eccentricity = hypot(along, across)
    fitted = [mean + along * c + across * s for _, c, s in zip(*columns, strict=True)]
    rest = [reading - fit for reading, fit in zip(wanted, fitted, strict=True)]
    left = max(rest) - min(rest) if len(readings) > 3 else None
    direction = degrees(atan2(across, along)) % 360 if eccentricity > _TRUE else None
    if direction is not None and direction > 360 - 1e-6:
        direction = 0.0
    return RunOut(tir, eccentricity, direction, -along, -across, left, _run_out_said(eccentricity, left))


def _run_out_said(eccentricity: float, left: float | None) -> tuple[str, ...]:
    if left is not None and left > eccentricity > _TRUE:
        return ("the work is less round than it is out of true: moving it will not take the run-out away",)
    return ()


def _determinant(columns: _Columns) -> float:
    """Give the determinant of three columns' products, each over the count."""
    count = len(columns[0])
    (a, b, c), (_, d, e), (_, _, f) = ([_dot(x, y) / count for y in columns] for x in columns)
    return a * (d * f - e * e) - b * (b * f - e * c) + c * (b * e - d * c)


# --- level --------------------------------------------------------------------------------------------

_IN_LINE = 1e-4
"""Share of their spread by which points have to leave a line to tell a tilt across it."""


class FaceReading(NamedTuple):
    """The indicator's reading [mm] at a place of the face [mm]."""

    x: Annotated[float, Quantity("mm", "x", kind="position", usual=(-1000, 1000))]
    y: Annotated[float, Quantity("mm", "y", kind="position", usual=(-1000, 1000))]
    reading: Annotated[float, Quantity("mm", "r", kind="deviation", usual=(-2, 2))]


class Level(NamedTuple):
    """How a face lies [mm]: rise along X and along Y over the length, the steepest, and the shim.

    `error_over_length` is the rise over the length the way it is steepest; `shim` what to put under the
    lowest of the places read, against the highest; `downhill` [deg] the way down; `out_of_flat` what no
    shim takes away. None where the readings do not tell it.
    """

    tilt_x: Annotated[float, Quantity("mm", "tx", kind="deviation")] | None
    tilt_y: Annotated[float, Quantity("mm", "ty", kind="deviation")] | None
    error_over_length: Annotated[float, Quantity("mm", "err", kind="deviation")]
    shim: Annotated[float, Quantity("mm", "shim", kind="deviation")]
    downhill: Annotated[float, Quantity("deg", "down")] | None
    out_of_flat: Annotated[float, Quantity("mm", "flat", kind="deviation")] | None
    warnings: tuple[str, ...] = ()


@calculation(
    title="Tilt of a face, and the shim that levels it",
    formula=(
        "n = len(readings); w = [one.reading for one in readings]; "
        "u = [one.x - sum([p.x for p in readings]) / n for one in readings]; "
        "v = [one.y - sum([p.y for p in readings]) / n for one in readings]; "
        "uu = sum([a * a for a in u]); vv = sum([b * b for b in v]); uv = sum([a * b for a, "
        "b in zip(u, v)]); "
        "uw = sum([a * r for a, r in zip(u, w)]); vw = sum([b * r for b, r in zip(v, w)]); "
        "D = uu * vv - uv ** 2; bx = (uw * vv - vw * uv) / D if D else uw / uu if uu else 0; "
        "by = (vw * uu - uw * uv) / D if D else vw / vv if vv else 0; tx = bx * l; ty = by * l; "
        "err = hypot(tx, ty); down = degrees(atan2(-by, -bx)) % 360; "
        "plane = [bx * a + by * b for a, b in zip(u, v)]; shim = max(plane) - min(plane); "
        "rest = [r - p for r, p in zip(w, plane)]; flat = max(rest) - min(rest) if n > 3 else None"
    ),
    source="least squares",
    examples=(
        Example(
            {"readings": (FaceReading(0, 0, 0), FaceReading(100, 0, 0.03), FaceReading(0, 100, 0.04),
                          FaceReading(100, 100, 0.07)), "length": 100},
            {"tilt_x": 0.03, "tilt_y": 0.04, "error_over_length": 0.05, "shim": 0.07, "downhill": 233.13},
            "by hand, 3, 4, 5; the front left corner is 0.07 mm below the back right one",
        ),
    ),
    second=lambda readings, length: _level(readings, length, _by_right_angles),
)  # fmt: skip
def level(
    *,
    readings: Annotated[tuple[FaceReading, ...], Quantity("", "readings")],
    length: Annotated[float, Quantity("mm", "l", above=0, usual=(10, 1000))],
) -> Level:
    """Give the tilt of a face [mm over `length` mm] from indicator readings [mm] at places x, y [mm].

    The reading grows where the face is high. Readings along one axis only tell the tilt along that one.
    """
    return _level(readings, length, _by_elimination)


def _level(readings: tuple[FaceReading, ...], length: float, solve: _Solver) -> Level:
    if len(readings) < 2:
        raise CalculationError("level: expected at least two readings, better three that are not in a line")
    count = len(readings)
    xs, ys, wanted = (_centred([one[place] for one in readings]) for place in range(3))
    spread_x, spread_y, shared = _dot(xs, xs), _dot(ys, ys), _dot(xs, ys)
    least = (1e-6 * max(1.0, length)) ** 2
    if spread_x <= least and spread_y <= least:
        raise CalculationError("level: all readings are at one place; expected places apart from each other")
    columns = [column for column, spread in ((xs, spread_x), (ys, spread_y)) if spread > least]
    if len(columns) == 2 and spread_x * spread_y - shared**2 <= _IN_LINE * spread_x * spread_y:
        raise CalculationError(
            "level: the places lie in a line that is not along X or Y; expected one more beside it"
        )
    slopes = iter(solve(columns, wanted))
    slope_x = next(slopes) if spread_x > least else None
    slope_y = next(slopes) if spread_y > least else None
    bx, by = slope_x or 0.0, slope_y or 0.0
    plane = [bx * x + by * y for x, y in zip(xs, ys, strict=True)]
    rest = [reading - fit for reading, fit in zip(wanted, plane, strict=True)]
    both = slope_x is not None and slope_y is not None
    steepest = hypot(bx, by) * length
    down = degrees(atan2(-by, -bx)) % 360 if both and steepest > _TRUE else None
    if down is not None and down > 360 - 1e-6:
        down = 0.0
    return Level(
        bx * length if slope_x is not None else None,
        by * length if slope_y is not None else None,
        steepest,
        max(plane) - min(plane),
        down,
        max(rest) - min(rest) if count > len(columns) + 1 else None,
        () if both else (f"the readings tell no tilt along {'Y' if slope_y is None else 'X'}",),
    )


def _centred(numbers: list[float]) -> list[float]:
    """Count from the mean: the fit then needs no constant."""
    mean = sum(numbers) / len(numbers)
    return [number - mean for number in numbers]
