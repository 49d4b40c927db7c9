"""Sections of what is milled: a face and the stock above it, a flat, a slot; and how these lie in plan."""

from __future__ import annotations

from collections.abc import Iterator
from math import acos, cos, pi, radians, sin

from handwheel.drawing.known import Known, Named, side_of
from handwheel.drawing.shapes import Area, CentreLine, Dimension, Drawing, Outline, Point
from handwheel.models.features import Face, Flat, Slot

__all__ = ["face_section", "flat_section", "plan_of", "slot_section"]

_ASIDE = 0.6
"""How much of the piece is drawn beside a slot or a flat, in widths of it."""

_MUCH = 4.0
"""A piece that is so many times as thick as a recess is deep or half as wide is broken off below it."""

_LONG = 8.0
"""A plate that is so many times as long as high is broken off at its right."""

_ACROSS = {
    "left": ("length", "width"),
    "right": ("length", "width"),
    "front": ("width", "length"),
    "back": ("width", "length"),
}
"""For a side of a plate, which size of the stock lies behind it, and which beside."""

_ARC = 72
"""How many straight pieces a circle is drawn with."""


def face_section(known: Known) -> Drawing:
    """Draw a plate seen from the front: what its face is milled to, and the stock above."""
    assert isinstance(known.base, Face)  # make.py asks for nothing else
    face, stock, system = known.base, known.job.stock, known.job.job.units
    title, seen = f"Height of {face.id}", "from its edge, the face up"
    behind, beside = _ACROSS.get(side_of(known.job, face), ("thickness", "length"))
    raw, long = (known.entered(f"stock.{key}", getattr(stock, key), stock.basis) for key in (behind, beside))
    reached = known.size(face, "thickness")
    high = reached or raw
    if high is None or long is None:
        return Drawing("section", title, seen, system, unknown=("how thick the stock is is not on file",))
    broken = long.number > _LONG * high.number
    wide = high.number * _LONG if broken else long.number
    corners = [Point(0, 0), Point(wide, 0), Point(wide, high.number), Point(0, high.number)]
    edge = (corners[3], corners[0], corners[1])
    outlines = [
        Outline(edge if broken else (*edge, corners[2])),
        Outline((corners[3], corners[2]), "work"),
    ]
    words = "to reach" if reached else "stock"
    dimensions = [Dimension(corners[1], corners[2], *high, words=words)]
    if raw is not None and reached is not None and raw.number > reached.number:
        above = (corners[3], Point(0, raw.number), Point(wide, raw.number), corners[2])
        outlines.append(Outline(above[:3] if broken else above, "around"))
        dimensions.append(Dimension(corners[1], above[2], *raw, words="stock"))
    if not broken:
        dimensions.append(Dimension(corners[0], corners[1], *long, words="stock", along="x"))
    unknown = () if reached else ("it is only cleaned up: no thickness is given",)
    return Drawing(
        "section", title, seen, system, tuple(outlines), (Area(tuple(corners)),), (), tuple(dimensions),
        unknown=unknown,
    )  # fmt: skip


def flat_section(known: Known) -> Drawing:
    """Draw a flat: on a round along its axis, below a face cut through its width."""
    assert isinstance(known.base, Flat)  # make.py asks for nothing else
    flat = known.base
    if flat.across is not None:
        return _on_a_round(known, flat)
    depth, width = known.size(flat, "depth"), known.size(flat, "width")
    assert depth is not None and width is not None  # the model has one of two, and always a width
    seen = "across it, tool from above"
    return _recess(known, f"Section of {flat.id}", seen, width, depth)


def slot_section(known: Known) -> Drawing:
    """Draw a slot cut through its width."""
    assert isinstance(known.base, Slot)  # make.py asks for nothing else
    slot = known.base
    width, depth = known.size(slot, "width"), known.size(slot, "depth")
    assert width is not None  # the model has it always
    return _recess(known, f"Section of {slot.id}", "across it, tool from above", width, depth)


def _recess(known: Known, title: str, seen: str, width: Named, depth: Named | None) -> Drawing:
    """Draw a recess with upright walls; without a depth it goes through."""
    thickness, floor = known.thickness(depth.value if depth is not None else None)
    half, aside = width.number / 2, width.number * (0.5 + _ASIDE)
    unknown = () if thickness else ("how thick the part is under this face is not on file",)
    if depth is not None:
        deep, bottom = depth.number, thickness.number if thickness else depth.number * 1.5
    else:
        bottom = thickness.number if thickness else width.number
        deep = bottom
    deep = min(deep, bottom)
    if depth is not None and bottom > _MUCH * max(deep, half):  # broken off below: too thick to be drawn
        bottom, thickness, floor = _MUCH * max(deep, half) / 2, None, None
    outlines = [Outline((Point(side * half, 0), Point(side * aside, 0))) for side in (-1, 1)]
    if deep < bottom:
        walls = (Point(-half, 0), Point(-half, -deep), Point(half, -deep), Point(half, 0))
        outlines.append(Outline(walls, "work"))
        corners = (Point(-aside, 0), *walls, Point(aside, 0), Point(aside, -bottom), Point(-aside, -bottom))
        areas = [Area(corners)]
    else:
        areas = []
        for side in (-1, 1):
            outlines.append(Outline((Point(side * half, 0), Point(side * half, -bottom)), "work"))
            areas.append(
                Area(tuple(Point(side * x, y) for x, y in
                           ((half, 0), (aside, 0), (aside, -bottom), (half, -bottom))))
            )  # fmt: skip
    if thickness is not None:
        inside = half if deep >= bottom else 0.0
        outlines += [
            Outline((Point(side * inside, -bottom), Point(side * aside, -bottom))) for side in (-1, 1)
        ]
    dimensions = list(_of_recess(width, depth, thickness, floor, half, aside))
    axis = (CentreLine(Point(0, 0), Point(0, -bottom)),)
    return Drawing(
        "section", title, seen, known.job.job.units, tuple(outlines), tuple(areas), axis, tuple(dimensions),
        unknown=unknown,
    )  # fmt: skip


def _of_recess(
    width: Named,
    depth: Named | None,
    thickness: Named | None,
    floor: Named | None,
    half: float,
    aside: float,
) -> Iterator[Dimension]:
    if depth is not None:
        down = Point(half, -depth.number)
        yield Dimension(Point(half, 0), down, *depth, words="deep", running=True)
    if depth is not None and floor is not None and thickness is not None:
        yield Dimension(Point(0, -depth.number), Point(0, -thickness.number), *floor, words="floor")
    if thickness is not None:
        yield Dimension(
            Point(aside, 0), Point(aside, -thickness.number), *thickness, words="part", running=True
        )
    yield Dimension(Point(-half, 0), Point(half, 0), *width, words="wide", along="x")


def _on_a_round(known: Known, flat: Flat) -> Drawing:
    """Draw a round seen along its axis with a flat at its top."""
    title, seen = f"Section of {flat.id}", "along the axis, the flat up"
    across, round_ = known.size(flat, "across"), known.fact("feature.round_diameter")
    assert across is not None  # whoever calls has looked
    if round_ is None:
        return Drawing("section", title, seen, unknown=("the diameter of the round is not on file",))
    radius = round_.number / 2
    height = across.number - radius
    unknown: tuple[str, ...] = ()
    if not -radius < height < radius:
        height, unknown = radius, ("the flat does not cut this round",)
    start = acos(height / radius)  # from the upright
    count = max(round(_ARC * (pi - start) / pi), 8)
    turns = [start + index * (2 * pi - 2 * start) / count for index in range(count + 1)]
    arc = tuple(Point(radius * sin(turn), radius * cos(turn)) for turn in turns)
    half = abs(arc[0].x)
    dimensions = [
        Dimension(Point(0, -radius), Point(half, height), *across, words="across"),
        Dimension(Point(-radius, 0), Point(radius, 0), *round_, words="round", before="Ø", along="x"),
    ]
    width = known.size(flat, "width")
    if width is not None:
        reach = width.number / 2
        ends = Point(-reach, height), Point(reach, height)
        dimensions.append(Dimension(*ends, *width, words="wide", along="x"))
    outlines = (Outline(arc), Outline((arc[-1], arc[0]), "work"))
    axes = (
        CentreLine(Point(-radius, 0), Point(radius, 0)),
        CentreLine(Point(0, -radius), Point(0, radius)),
    )
    return Drawing(
        "section", title, seen, known.job.job.units, outlines, (Area(arc),), axes, tuple(dimensions),
        unknown=unknown,
    )  # fmt: skip


def plan_of(known: Known) -> tuple[Outline, ...]:
    """Give the outline of a slot or a flat as it lies in the plan; nothing where its middle is not given."""
    feature = known.base
    if not isinstance(feature, (Slot, Flat)) or feature.at is None:
        return ()
    x, y = feature.at[0].plain, feature.at[1].plain
    wide, long = feature.width.plain / 2, feature.length.plain / 2
    if isinstance(feature, Slot):
        straight = long - wide
        ends = [(straight, turn) for turn in range(-90, 91, 10)]
        ends += [(-straight, turn) for turn in range(90, 271, 10)]
        corners = [(shift + wide * cos(radians(turn)), wide * sin(radians(turn))) for shift, turn in ends]
        angle = radians(feature.angle.plain) if feature.angle is not None else 0.0
        turned = [(a * cos(angle) - b * sin(angle), a * sin(angle) + b * cos(angle)) for a, b in corners]
    else:
        turned = [(-wide, -long), (wide, -long), (wide, long), (-wide, long)]
    points = tuple(Point(x + a, y + b) for a, b in turned)
    return (Outline((*points, points[0]), "work"),)
