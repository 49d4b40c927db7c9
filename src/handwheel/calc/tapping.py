"""Tapping: the hole for a tap, the thread that a hole leaves, and the turns of tapping by hand."""

from functools import cache, lru_cache
from math import ceil
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import Example, Quantity, calculation
from handwheel.calc.designations import ThreadSize, parse_thread
from handwheel.calc.drills import drill_size, nearest_drill
from handwheel.calc.quantities import Depth, Diameter, Pitch, Thread
from handwheel.calc.threads import TRIANGLE, thread_dimensions
from handwheel.errors import InputError
from handwheel.tables import table

__all__ = ["TapDrill", "tap_drill", "tap_plan", "thread_engagement"]

_FORMING = 147.06
"""Constant of the tap makers' formula for forming taps: hole = d - per cent * P / 147.06 (from memory)."""
_FORMING_DEFAULT = 65.0
"""Per cent of thread that makers of forming taps aim at, common practice, no source."""
_BASES = {"0.75H": 1.5 * TRIANGLE, "5/8H": 1.25 * TRIANGLE}
"""100 per cent of thread, on diameter over the pitch: 1.299 (0.75 H a side) or 1.0825 (5/8 H)."""

Kind = Annotated[str, Quantity("", "kind", choices=("cutting", "forming"))]
Engagement = Annotated[float, Quantity("%", "E", above=0, at_most=110, usual=(50, 85))]
Left = Annotated[float, Quantity("%", "E", usual=(50, 85))]
Base = Annotated[str, Quantity("", "base", choices=tuple(_BASES))]


class TapDrill(NamedTuple):
    """The drill [mm] and its name, the exact diameter [mm] it stands for, per cent of thread it leaves."""

    drill: Annotated[float, Quantity("mm", "drill", kind="size")]
    exact_diameter: Annotated[float, Quantity("mm", "d0", kind="size")]
    engagement: Left | None
    name: Annotated[str, Quantity("", "name")]
    warnings: tuple[str, ...] = ()


@calculation(
    title="Drill before tapping",
    formula=(
        "table: the listed drill, or the one nearest to d0 = d - E * 1.299038 * P / 100 (cutting), "
        "d0 = d - E * P / 147.06 (forming)"
    ),
    source=(
        "ISO 2306:1972; ASME B94.11M and B94.9; ISO 228-1 taps: common practice, no source; "
        "forming: the tap makers' formula, from memory"
    ),
    examples=(
        Example(
            {"thread": "M8"},
            {"drill": 6.8, "exact_diameter": 6.75, "engagement": 73.9},
            "ISO 2306: 6.8 mm, from memory; d - P; (8 - 6.8) / (1.299 * 1.25)",
        ),
        Example(
            {"thread": "M8", "kind": "forming"},
            {"exact_diameter": 7.4475, "drill": 7.45},
            "tap makers' formula and chart, from memory",
        ),
    ),
    second="a drill read from a list has no second route; thread_engagement holds the per cent",
)
def tap_drill(*, thread: Thread, kind: Kind = "cutting", engagement: Engagement | None = None) -> TapDrill:
    """Choose the drill [mm] for a tap; per cent of thread is on 1.299 P, which is 0.75 H a side.

    Without an engagement the drill is the listed one and `exact_diameter` the d - P that it is
    nearest to; for a forming tap the engagement is 65 per cent. With an engagement the drill is
    the nearest of its series: metric for metric threads, number, letter and fraction for inch threads.
    """
    return _tap_drill(thread, kind, engagement)


@lru_cache(maxsize=1024)
def _tap_drill(thread: str, kind: str, engagement: float | None) -> TapDrill:
    size = parse_thread(thread)
    if size.family == "NPT":
        return _tapered(size, kind, engagement)
    if not size.has_drill:
        raise InputError(
            f"no drill for {size.designation} is on file: take the tap maker's; parallel threads have one, "
            f"such as {size.designation.replace(size.family, 'G', 1)}"
        )
    if kind == "forming":
        return _forming(size, engagement or _FORMING_DEFAULT)
    if engagement is None:
        listed = _listed().get(size.designation.removesuffix("-LH"))
        exact = size.nominal_diameter - size.pitch
        if listed is not None:
            return _cutting(size, listed, exact)
        name = _fitting(size, exact)
        return _cutting(
            size, name, exact, f"{size.designation} is in no list of drills; this is next to d - P"
        )
    exact = size.nominal_diameter - engagement / 100 * _BASES["0.75H"] * size.pitch
    return _cutting(size, nearest_drill(diameter=exact, series=_shelf(size)).name, exact)


def _cutting(size: ThreadSize, name: str, exact: float, *warnings: str) -> TapDrill:
    """Judge a drill for a cutting tap by the limits of the minor diameter."""
    drill = drill_size(name=name)
    return TapDrill(drill, exact, _left(size, drill), name, (*warnings, *_outside(size, drill)))


def _fitting(size: ThreadSize, exact: float) -> str:
    """Give the drill next to a diameter, if need be that on its other side, that the limits allow."""
    drills = [
        nearest_drill(diameter=exact, series=_shelf(size), rule=rule)
        for rule in ("nearest", "upper", "lower")
    ]
    return next((drill.name for drill in drills if not _outside(size, drill.diameter)), drills[0].name)


def _forming(size: ThreadSize, engagement: float) -> TapDrill:
    if size.family not in ("metric", "unified"):
        raise InputError(f"forming taps make metric and Unified threads, not {size.designation}")
    exact = size.nominal_diameter - engagement * size.pitch / _FORMING
    series = "metric-0.05" if size.family == "metric" else "all"
    drill = nearest_drill(diameter=exact, series=series)
    formed = (size.nominal_diameter - drill.diameter) * _FORMING / size.pitch
    said = "forming tap: the hole decides the thread; follow the maker's own chart where there is one"
    return TapDrill(drill.diameter, exact, formed, drill.name, (said,))


def _tapered(size: ThreadSize, kind: str, engagement: float | None) -> TapDrill:
    if kind == "forming" or engagement is not None:
        raise InputError(f"{size.designation} is tapered: a cutting tap, and no per cent of thread")
    name = _listed()[size.designation.removesuffix("-LH")]
    drill = drill_size(name=name)
    return TapDrill(drill, drill, None, name, ("for tapping without a taper reamer",))


def _left(size: ThreadSize, hole: float) -> float | None:
    """Give the per cent of thread that a hole leaves, where the 60 degree base means anything."""
    if size.family not in ("metric", "unified"):
        return None
    return 100 * (size.nominal_diameter - hole) / (_BASES["0.75H"] * size.pitch)


def _outside(size: ThreadSize, drill: float) -> tuple[str, ...]:
    """Say where a drill stands outside the limits of the minor diameter of the default class."""
    limits = thread_dimensions(thread=size.designation)
    low, high = limits.internal_minor_min, limits.internal_minor_max
    if low is None or high is None or low <= drill <= high:
        return ()
    side = f"below the least, {low:.3f} mm" if drill < low else f"above the largest, {high:.3f} mm"
    what = f"minor diameter of {limits.internal_class}".removesuffix(" of ")
    return (f"{drill:g} mm is {side}, that the {what} allows",)


def _shelf(size: ThreadSize) -> str:
    return "metric" if size.family in ("metric", "Tr") else "all"


@cache
def _listed() -> dict[str, str]:
    """Give the name of the listed drill of each thread."""
    metric = {row["thread"]: f"{row['drill']:g} mm" for row in table("iso2306").rows}
    unified = {row["thread"]: row["drill"] for row in table("drills_unified").rows}
    pipe = {f"G {row['size']}": f"{row['drill']:g} mm" for row in table("iso228").rows}
    tapered = {
        f"{row['size']}-{row['threads_per_inch']:g} NPT": row["drill"] for row in table("asme_b1_20_1").rows
    }
    return {**metric, **unified, **pipe, **tapered}


class ThreadLeft(NamedTuple):
    """Per cent of thread, and the base that it is counted on."""

    engagement: Left
    base: Base
    warnings: tuple[str, ...] = ()


@calculation(
    title="Per cent of thread that a hole leaves",
    formula="table: d, P of the thread; E = 100 * (d - d0) / (k * P), k = 1.299038 (0.75H), 1.082532 (5/8H)",
    source="Machinery's Handbook, 31st ed., table of tap drill sizes and percentage of thread (base 0.75H)",
    examples=(
        Example(
            {"thread": "M10", "hole_diameter": 8.5},
            {"engagement": 77.0, "base": "0.75H"},
            "tool supplier's tapping guide: 8.5 mm is 77 %",
        ),
    ),
    second=lambda thread, hole_diameter, base="0.75H": (_by_depth(thread, hole_diameter, base), base),
)
def thread_engagement(*, thread: Thread, hole_diameter: Diameter, base: Base = "0.75H") -> ThreadLeft:
    """Give the per cent of thread of a hole [mm] on a base: two are in print, a fifth apart.

    `0.75H` counts 1.299 P on diameter as 100 per cent, as the printed drill tables do; `5/8H`
    counts 1.0825 P, the depth of the basic profile, and gives figures 20 per cent higher.
    """
    size = parse_thread(thread)
    if size.family not in ("metric", "unified"):
        raise InputError(f"per cent of thread is said of 60 degree threads, not of {size.designation}")
    engagement = 100 * (size.nominal_diameter - hole_diameter) / (_BASES[base] * size.pitch)
    return ThreadLeft(engagement, base, _outside(size, hole_diameter))


def _by_depth(thread: str, hole_diameter: float, base: str) -> float:
    """Give the per cent by the radial height left over the basic depth of the nut thread."""
    left = (parse_thread(thread).nominal_diameter - hole_diameter) / 2
    depth = thread_dimensions(thread=thread).internal_depth
    return 100 * left / (depth * (1.2 if base == "0.75H" else 1.0))


class Bite(NamedTuple):
    """One bite of the tap: its number, turns forward so far, depth of the tap's tip [mm]."""

    number: Annotated[int, Quantity("", "number")]
    turns: Annotated[float, Quantity("", "turns", kind="turns")]
    depth: Depth


class TapPlan(NamedTuple):
    """The bites of a hand tap, how many there are, and the turns forward to the full depth."""

    bites: Annotated[tuple[Bite, ...], Quantity("", "bites")]
    count: Annotated[int, Quantity("", "count")]  # type: ignore[assignment]  # the contract's name; no tuple counts here
    turns: Annotated[float, Quantity("", "turns", kind="turns")]
    turned: Annotated[float, Quantity("", "turned", kind="turns")]


TipDepth = Annotated[float, Quantity("mm", "depth", above=0, at_most=500, usual=(1, 100))]
Turns = Annotated[float, Quantity("", "bite", kind="turns", at_least=0.05, at_most=10, usual=(0.25, 2))]
Back = Annotated[float, Quantity("", "back", kind="turns", at_least=0, usual=(0.25, 1))]


@calculation(
    title="Turns of a hand tap, a bite forward and back to break the chip",
    formula=(
        "turns = depth / P; count = max(1, ceil(turns / bite - 1e-9)); turned = turns + 2 * "
        "back * (count - 1); "
        "bites = [(i, min(bite * i, turns), min(bite * i, turns) * P) for i in range(1, count + 1)]"
    ),
    source="common practice, no source: a turn forward, half a turn back",
    examples=(
        Example(
            {"tap_tip_depth": 12.5, "pitch": 1.25}, {"turns": 10.0, "count": 10, "turned": 19.0}, "arithmetic"
        ),
    ),
    second="the turns are a division and the bites a count; tapping_time has the same turns",
)
def tap_plan(*, tap_tip_depth: TipDepth, pitch: Pitch, bite: Turns = 1.0, back: Back = 0.5) -> TapPlan:
    """List the bites of a hand tap from the surface to the depth of its tip [mm].

    `bite` and `back` are turns; `turns` counts the way forward only, `turned` is what the wrench
    really turns, there and back. The last bite ends at the depth and may be shorter.
    """
    turns = tap_tip_depth / pitch
    # the slack keeps 10.000000000000002 turns from asking for an eleventh bite
    count = max(1, ceil(turns / bite - 1e-9))
    if count > 1000:
        raise InputError(f"{count} bites: the bite of {bite:g} turns is too short for {turns:g} turns")
    forward = (*(bite * number for number in range(1, count)), turns)
    bites = tuple(Bite(number, turn, turn * pitch) for number, turn in enumerate(forward, 1))
    last = bites[-1]._replace(depth=tap_tip_depth)
    return TapPlan((*bites[:-1], last), count, turns, turns + 2 * back * (count - 1))
