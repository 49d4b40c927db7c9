"""Where a milling cutter goes: its tracks over a face, the walls of a pocket, and out at the far side."""

from math import ceil
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation
from handwheel.calc.passes import Pass
from handwheel.calc.quantities import Diameter, Length

__all__ = ["milling_tracks", "pocket_walls", "through_travel", "wall_settings"]

_SHARE = 0.75
"""Share of its diameter that a cutter covers at most in a track; Modern Metalworking and others want a
cutter about a third wider than the cut (from memory)."""

_SAME = 1e-6
"""Sizes [mm] nearer than this are one size."""

Width = Annotated[float, Quantity("mm", "w", kind="size", above=0, usual=(0.5, 1000))]
Position = Annotated[float, Quantity("mm", "p", kind="position")]
CentreX = Annotated[float, Quantity("mm", "cx", kind="position", usual=(-1000, 1000))]
CentreY = Annotated[float, Quantity("mm", "cy", kind="position", usual=(-1000, 1000))]
Share = Annotated[float, Quantity("", "k", above=0, at_most=1, usual=(0.3, 0.9))]
CutterDiameter = Annotated[float, Quantity("mm", "dc", kind="size", at_least=0, usual=(0, 200))]


class Tracks(NamedTuple):
    """How many tracks side by side, how wide each cuts, and how long each is, [mm]."""

    tracks: Annotated[int, Quantity("", "N", at_least=1)]
    width_of_cut: Annotated[float, Quantity("mm", "ae", kind="size", above=0)]
    along: Annotated[float, Quantity("mm", "la", kind="size", above=0)]


def _tracks_by_trying(
    length: float, width: float, cutter_diameter: float, most_share: float = _SHARE
) -> Tracks:
    """Add tracks until they cover the narrow way."""
    narrow, wide = sorted((length, width))
    count, covers = 1, cutter_diameter * most_share
    while count * covers < narrow - _SAME:
        count += 1
    return Tracks(count, narrow / count, wide)


@calculation(
    title="Tracks of a milling cutter over a face, along its longer side",
    formula="N = ceil(min(l, w) / (k * d) - 1e-9); ae = min(l, w) / N; la = max(l, w)",
    source="Modern Metalworking, face milling: a cutter about a third wider than its cut (from memory)",
    examples=(
        Example(
            {"length": 164, "width": 124, "cutter_diameter": 50},
            {"tracks": 4, "width_of_cut": 31, "along": 164},
            "by hand: tracks of at most 37.5 mm, so four of 31 mm",
        ),
    ),
    second=_tracks_by_trying,
)
def milling_tracks(
    *, length: Length, width: Width, cutter_diameter: Diameter, most_share: Share = _SHARE
) -> Tracks:
    """Give the equal tracks [mm] that cover a rectangle, each at most a share of the cutter wide.

    The cutter goes along the longer side; the tracks lie side by side across the narrower one.
    """
    narrow, wide = sorted((length, width))
    if narrow / (most_share * cutter_diameter) > _MOST_TRACKS:
        raise CalculationError(
            f"milling_tracks: {narrow:g} mm with a cutter of {cutter_diameter:g} mm is more than "
            f"{_MOST_TRACKS} tracks; expected a cutter of at least "
            f"{narrow / (most_share * _MOST_TRACKS):.3g} mm"
        )
    count = ceil(narrow / (most_share * cutter_diameter) - 1e-9)
    return Tracks(max(count, 1), narrow / max(count, 1), wide)


_MOST_TRACKS = 500
"""More tracks than this are a slip of a size."""


class Walls(NamedTuple):
    """Where the axis of the cutter stands at each wall, how far it moves aside [mm], and whether it does."""

    x_low: Annotated[float, Quantity("mm", "xl", kind="position")]
    x_high: Annotated[float, Quantity("mm", "xh", kind="position")]
    y_low: Annotated[float, Quantity("mm", "yl", kind="position")]
    y_high: Annotated[float, Quantity("mm", "yh", kind="position")]
    aside: Annotated[float, Quantity("mm", "s", kind="size", at_least=0)]
    widens: Annotated[bool, Quantity("", "widens")]


def _walls_by_edges(
    length: float,
    width: float,
    cutter_diameter: float,
    leave: float = 0,
    centre_x: float = 0,
    centre_y: float = 0,
) -> Walls:
    """Draw the finished walls, put the stock in front of each, then half of the cutter."""
    in_front = leave + cutter_diameter / 2
    left, right = centre_x - length / 2 + in_front, centre_x + length / 2 - in_front
    front, back = centre_y - width / 2 + in_front, centre_y + width / 2 - in_front
    return Walls(left, right, front, back, (back - front) / 2, back - front > 2 * _SAME)


@calculation(
    title="Where the cutter's axis stands at the walls of a pocket or slot",
    formula=(
        "xl = cx - (l - dc) / 2 + q; xh = cx + (l - dc) / 2 - q; "
        "yl = cy - (w - dc) / 2 + q; yh = cy + (w - dc) / 2 - q; s = (w - dc) / 2 - q"
    ),
    source="geometry: the axis of the cutter is half of its diameter in front of the wall",
    examples=(
        Example(
            {"length": 60, "width": 40, "cutter_diameter": 12, "leave": 0.2, "centre_x": 10},
            {"x_low": -13.8, "x_high": 33.8, "y_low": -13.8, "y_high": 13.8, "aside": 13.8},
            "by hand: 30 mm less 6 mm and 0.2 mm, and 20 mm less the same",
        ),
        Example(
            {"length": 40, "width": 10, "cutter_diameter": 10, "centre_y": 5},
            {"x_low": -15, "x_high": 15, "y_low": 5, "y_high": 5, "aside": 0, "widens": False},
            "by hand: a slot as wide as its cutter",
        ),
    ),
    second=_walls_by_edges,
)
def pocket_walls(
    *,
    length: Length,
    width: Width,
    cutter_diameter: CutterDiameter,
    leave: Annotated[float, Quantity("mm", "q", kind="size", at_least=0, usual=(0, 5))] = 0,
    centre_x: CentreX = 0,
    centre_y: CentreY = 0,
) -> Walls:
    """Give the positions [mm] of the cutter's axis at the four walls; length along X, width along Y.

    The diameter is the cutter's as measured: 0 gives the walls themselves. `leave` stays on each wall.
    `aside` is how far the axis moves from the middle to a long wall; a cutter of the slot's own width does
    not move, and `widens` is no.
    """
    narrow = min(length, width) - 2 * leave
    if cutter_diameter > narrow + _SAME:
        raise CalculationError(
            f"pocket_walls: a cutter of {cutter_diameter:g} mm does not go into {narrow:g} mm; "
            "expected one that is no wider"
        )
    half_x, half_y = (length - cutter_diameter) / 2 - leave, (width - cutter_diameter) / 2 - leave
    return Walls(
        centre_x - half_x,
        centre_x + half_x,
        centre_y - half_y,
        centre_y + half_y,
        max(half_y, 0.0),
        half_y > _SAME,
    )


class WallSetting(NamedTuple):
    """One cut at both walls: the width it leaves, and where the axis stands at each wall [mm]."""

    number: Annotated[int, Quantity("", "i")]
    width: Annotated[float, Quantity("mm", "wi", kind="size")]
    low: Annotated[float, Quantity("mm", "lo", kind="position")]
    high: Annotated[float, Quantity("mm", "hi", kind="position")]


class WallSettings(NamedTuple):
    """The rough cuts at both walls, and where the last of them stands [mm]."""

    cuts: Annotated[tuple[WallSetting, ...], Quantity("", "cuts")]
    low: Position
    high: Annotated[float, Quantity("mm", "ph", kind="position")]


def _settings_by_walls(
    passes: tuple[Pass, ...], cutter_diameter: float, centre: float = 0
) -> tuple[tuple[tuple[int, float, float, float], ...], float, float]:
    """Draw both walls that a cut leaves, and put half of the cutter in front of each."""
    half = cutter_diameter / 2
    cuts = tuple(
        (one.number, one.size, (centre - one.size / 2) + half, (centre + one.size / 2) - half)
        for one in passes
        if one.kind == "rough"
    )
    return (cuts, *cuts[-1][2:]) if cuts else (cuts, centre, centre)


_PASSES_EXAMPLE = '[{"number": 1, "size": 11, "depth": 0.5, "kind": "rough", "measure_after": false}]'


@calculation(
    title="Where the cutter's axis stands at both walls, cut by cut",
    formula=(
        "cuts = [(one.number, one.size, c - (one.size - dc) / 2, c + (one.size - dc) / 2) "
        "for one in passes if one.kind == 'rough']; p = cuts[-1][2] if cuts else c; ph = "
        "cuts[-1][3] if cuts else c"
    ),
    source="geometry: the axis of the cutter is half of its diameter in front of the wall",
    examples=(
        Example(
            {
                "passes": (Pass(1, 11, 0.5, "rough", False), Pass(2, 11.5, 0.25, "semi", True)),
                "cutter_diameter": 10,
                "centre": 4,
            },
            {"low": 3.5, "high": 4.5},
            "by hand: 11 mm wide with 10 mm is half a millimetre to either side",
        ),
    ),
    second=_settings_by_walls,
)
def wall_settings(
    *,
    passes: Annotated[tuple[Pass, ...], Quantity("", "passes", example=_PASSES_EXAMPLE)],
    cutter_diameter: CutterDiameter,
    centre: Annotated[float, Quantity("mm", "c", kind="position", usual=(-1000, 1000))] = 0,
) -> WallSettings:
    """Put the rough cuts that widen a slot [mm] into positions of the axis, to either side of its centre.

    The sizes of the cuts are widths. Without a rough cut the axis stays at the centre.
    """
    rows = tuple(
        WallSetting(
            one.number,
            one.size,
            centre - (one.size - cutter_diameter) / 2,
            centre + (one.size - cutter_diameter) / 2,
        )
        for one in passes
        if one.kind == "rough"
    )
    return WallSettings(rows, rows[-1].low if rows else centre, rows[-1].high if rows else centre)


@calculation(
    title="Travel of a flat-ended tool until it is through",
    formula="t = s + b + c",
    source="geometry; 1 mm of clearance: common practice, no source",
    examples=(
        Example({"thickness": 12, "clearance": 0.5}, {"depth": 12.5}, "by hand"),
        Example({"thickness": 20, "bevel": 2}, {"depth": 23}, "by hand: 20 mm, the bevel, 1 mm"),
    ),
    second=lambda thickness, bevel=0, clearance=1: sum((clearance, bevel, thickness)),
    result="depth",
)
def through_travel(
    *,
    thickness: Annotated[float, Quantity("mm", "s", kind="size", above=0, usual=(0.5, 300))],
    bevel: Annotated[float, Quantity("mm", "b", kind="size", at_least=0, usual=(0, 20))] = 0,
    clearance: Annotated[float, Quantity("mm", "c", kind="size", at_least=0, usual=(0, 5))] = 1,
) -> Annotated[float, Quantity("mm", "t", kind="depth", above=0)]:
    """Give how deep the end goes [mm] until the full diameter is a clearance below the far face.

    `bevel` is what of the tool's end is not of full diameter: the bevel lead of a reamer, the corner
    radius of an end mill.
    """
    return thickness + bevel + clearance
