"""Roughness: what the nose of a turning tool leaves at its best, and what each process usually gives."""

from collections.abc import Mapping
from functools import cache
from math import isnan, sqrt
from typing import Annotated, Any, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation
from handwheel.calc.quantities import Feed
from handwheel.errors import nearest, one_line
from handwheel.tables import table

__all__ = ["FinishFeed", "Roughness", "feed_for_roughness", "process_finish", "roughness"]

NoseRadius = Annotated[float, Quantity("mm", "r", kind="size", above=0, usual=(0.05, 10), example="0.8 mm")]
RaWanted = Annotated[float, Quantity("µm", "Ra", above=0, usual=(0.05, 25), example="1.6 µm")]
Rt = Annotated[float, Quantity("µm", "Rt", above=0)]
Ra = Annotated[float, Quantity("µm", "Ra", above=0)]
FeedLimit = Annotated[float, Quantity("mm", "f", kind="feed", above=0, bound="at most")]

_BEST = (
    "theoretical, the best case: a real surface is rougher, in Ra commonly 1.5 to 2 times this and more at a "
    "low feed"
)
_LESS = (
    "theoretical, the best case: a real surface comes out rougher, commonly 1.5 to 2 times; take less feed "
    "to reach this Ra"
)
"""The factors: common practice, no source; built-up edge, wear, chatter and spring add to the geometry."""

_GEOMETRY = (
    "geometry of arcs side by side (Schmaltz): Rt = f^2 / (8 r); Ra, the mean distance from the mean line, "
    "f^2 / (18 sqrt(3) r). The common f^2 / (32 r) is 2.6 per cent less"
)


class Roughness(NamedTuple):
    """The height of the feed marks, and their mean distance from the mean line [µm]."""

    rt: Rt
    ra: Ra
    warnings: tuple[str, ...] = ()


def _roughness_by_integration(feed: float, nose_radius: float) -> Roughness:
    """Take one mark as the parabola y = x² / 2r, find its mean, and integrate what lies on each side."""
    half = feed / 2
    height = half * half / (2 * nose_radius)
    mean = half**3 / 3 / (2 * nose_radius) / half
    crossing = sqrt(2 * nose_radius * mean)
    below = mean * crossing - crossing**3 / 3 / (2 * nose_radius)
    return Roughness(1000 * height, 1000 * 2 * below / half)


def _check_nose(id: str, feed: float, nose_radius: float, name: str) -> None:
    if feed >= 2 * nose_radius:
        raise CalculationError(
            f"{id}: {name} {feed:.3g} mm is no less than twice the nose radius, {nose_radius:g} mm: the "
            "marks of the nose do not meet, and what stands between them follows from the edges"
        )


@calculation(
    title="Roughness of a turned surface, at best",
    formula="Rt = 1000 * f ** 2 / (8 * r); Ra = 1000 * f ** 2 / (18 * sqrt(3) * r)",
    source=_GEOMETRY,
    examples=(
        Example(
            {"feed": 0.2, "nose_radius": 0.8},
            {"rt": 6.25, "ra": 1.604},
            "tool maker's page: 125 f² / r; Ra by the exact mean of arcs (from memory)",
        ),
        Example({"feed": 0.1, "nose_radius": 0.4}, {"rt": 3.125, "ra": 0.802}, "the same rule, from memory"),
    ),
    second=_roughness_by_integration,
)
def roughness(*, feed: Feed, nose_radius: NoseRadius) -> Roughness:
    """Give the theoretical Rt and Ra [µm] that a feed [mm] leaves with a round nose [mm].

    Only the nose cuts: the feed is less than the nose leaves round. A wiper edge and a flat on the nose
    follow another rule.
    """
    _check_nose("roughness", feed, nose_radius, "feed")
    return Roughness(
        rt=1000 * feed**2 / (8 * nose_radius),
        ra=1000 * feed**2 / (18 * sqrt(3) * nose_radius),
        warnings=(_BEST,),
    )


class FinishFeed(NamedTuple):
    """The largest feed [mm] whose marks are no rougher, and what has to be said about it."""

    feed: FeedLimit
    warnings: tuple[str, ...] = ()


def _feed_by_height(ra: float, nose_radius: float) -> FinishFeed:
    """Turn the mean into the height of the mark, and take the chord of the nose at that height."""
    height = ra / 1000 * 9 * sqrt(3) / 4
    return FinishFeed(2 * sqrt(2 * nose_radius * height))


@calculation(
    title="Largest feed for a roughness, at best",
    formula="f = sqrt(18 * sqrt(3) * r * Ra / 1000)",
    source=_GEOMETRY,
    examples=(
        Example(
            {"ra": 1.604, "nose_radius": 0.8},
            {"feed": 0.2},
            "the exact mean of arcs, worked backward (from memory)",
        ),
    ),
    second=_feed_by_height,
)
def feed_for_roughness(*, ra: RaWanted, nose_radius: NoseRadius) -> FinishFeed:
    """Give the largest feed [mm] at which a round nose [mm] can leave this Ra [µm]; take less to reach it."""
    feed = sqrt(18 * sqrt(3) * nose_radius * ra / 1000)
    _check_nose("feed_for_roughness", feed, nose_radius, "for this Ra the feed of")
    return FinishFeed(feed, (_LESS,))


class ProcessFinish(NamedTuple):
    """What a process usually gives: roughness Ra [µm] and ISO tolerance grade, finest and coarsest.

    The grades are None where none is published.
    """

    ra_low: Annotated[float, Quantity("µm", "Ra_lo", above=0)]
    ra_high: Annotated[float, Quantity("µm", "Ra_hi", above=0)]
    grade_fine: Annotated[int, Quantity("", "IT_lo", at_least=1)] | None
    grade_coarse: Annotated[int, Quantity("", "IT_hi", at_least=1)] | None


@calculation(
    title="Roughness and tolerance grade that a process usually gives",
    formula="table: process_finish, the row of the process",
    source=(
        "ASME B46.1 and Machinery's Handbook, surface roughness by production method, average application; "
        "grades: ANSI B4.1, relation of machining processes to tolerance grades"
    ),
    examples=(
        Example(
            {"process": "reaming"},
            {"ra_low": 0.8, "ra_high": 3.2, "grade_fine": 6, "grade_coarse": 10},
            "ASME B46.1, reaming 0.8 to 3.2 µm; ANSI B4.1, reaming grades 6 to 10",
        ),
    ),
    second="a row of a table has no second route",
)
def process_finish(*, process: Annotated[str, Quantity("", "process", example="turning")]) -> ProcessFinish:
    """Give the range of Ra [µm] and of ISO tolerance grades that a process usually gives.

    Finer is met with care and coarser without; the machine, its state and the hand on it decide.
    """
    key = " ".join(process.casefold().replace("-", " ").split())
    row = _processes().get(key)
    if row is None:
        known = ", ".join(_processes())
        raise CalculationError(
            f'process_finish: "{one_line(process[:60])}" is not in the table{nearest(key, _processes())} '
            f"processes: {known}"
        )
    return ProcessFinish(
        row["ra_low"], row["ra_high"], _grade(row["grade_fine"]), _grade(row["grade_coarse"])
    )


def _grade(number: float) -> int | None:
    return None if isnan(number) else int(number)


@cache
def _processes() -> Mapping[str, Mapping[str, Any]]:
    return {row["process"]: row for row in table("process_finish").rows}
