"""The section of a hole with all that stands of it: point, thread, lead of the tap, chamfer, sink, floor."""

from __future__ import annotations

from collections.abc import Iterator
from math import radians, tan
from typing import NamedTuple

from handwheel.drawing.known import Known, Named
from handwheel.drawing.shapes import Area, CentreLine, Dimension, Drawing, Outline, OutlineKind, Point
from handwheel.models.features import Chamfer, Counterbore, Countersink, Hole, Thread

__all__ = ["hole_section"]

_ASIDE = 1.8
"""How much of the piece is drawn beside a hole, in radii of it."""

_BELOW = 1.3
"""How far below the deepest size the piece is broken off where its thickness is not on file."""

_MUCH = 4.0
"""A piece that is so many times as thick as its hole is deep is broken off below it."""

_Corner = tuple[float, float]
"""Radius and depth [mm]."""


class _Mouth(NamedTuple):
    """What widens the hole at its face: its corners from the face down, and its dimensions."""

    corners: tuple[_Corner, ...] = ()
    dimensions: tuple[Dimension, ...] = ()
    unknown: tuple[str, ...] = ()


def hole_section(known: Known) -> Drawing:
    """Draw the section through one hole of the operation's feature, the tool coming from above."""
    assert isinstance(known.base, Hole)  # make.py asks for nothing else
    title = f"Section of {known.base.id}"
    seen = "through its axis, tool from above"
    diameter = known.fact("feature.diameter")
    if diameter is None:
        return Drawing("section", title, seen, unknown=("the diameter is not on file",))
    return _Section(known, diameter).drawing(title, seen)


class _Section:
    """A hole being drawn."""

    def __init__(self, known: Known, diameter: Named) -> None:
        self.known = known
        self.diameter = diameter
        self.radius = diameter.number / 2
        self.through = known.said("feature.through")
        self.full = known.fact("feature.depth") or known.result("blind_hole_depth", "full_diameter_depth")
        self.tip = known.result("drill_travel", "tip_depth") or known.result("blind_hole_depth", "tip_depth")
        deepest = self.tip or self.full
        blind = deepest.value if deepest is not None and not self.through else None
        self.thickness, self.floor = known.thickness(blind)
        self.thread = known.result("thread_dimensions", "major_diameter")
        self.thread_depth = (
            None if known.said("feature.thread_through") else known.fact("feature.thread_depth")
        )
        self.tap = known.result("blind_hole_depth", "tap_tip_depth")
        self.spot = known.result("spot_depth", "depth", own=True)
        self.mouth = _mouth(known, self.radius)
        self.unknown = list(self.mouth.unknown)
        self.broken = False

    def drawing(self, title: str, seen: str) -> Drawing:
        """Put the section together."""
        wall = self._wall()
        bottom = self._bottom(wall)
        wide = max(radius for radius, _ in (*self.mouth.corners, *wall))
        aside = max(wide, (self.thread.number / 2 if self.thread else 0)) * _ASIDE
        known = self.known
        return Drawing(
            "section",
            title,
            seen,
            known.job.job.units,
            outlines=tuple(self._outlines(wall, bottom, aside)),
            areas=tuple(self._areas(wall, bottom, aside)),
            centre_lines=(CentreLine(Point(0, 0), Point(0, -bottom)),),
            dimensions=tuple(self._dimensions(aside)),
            unknown=tuple(self.unknown),
        )

    def _wall(self) -> list[_Corner]:
        """Give the corners below the mouth, down to the axis or out of the other face."""
        top = self.mouth.corners[-1][1] if self.mouth.corners else 0.0
        start = (self.radius, top)
        if self.through:
            if self.thickness is not None:
                return [start, (self.radius, max(self.thickness.number, top))]
            self.unknown.append("how thick the part is under this face is not on file")
            return [start, (self.radius, max(4 * self.radius, 2 * top))]
        if self.full is None:
            self.unknown.append("the depth is not known yet")
            return [start, (self.radius, max(3 * self.radius, 2 * top))]
        full = max(self.full.number, top)
        if self.tip is None or self.tip.number < full:
            self.unknown.append("the point of the drill is not known: drawn flat")
            return [start, (self.radius, full), (0.0, full)]
        return [start, (self.radius, full), (0.0, self.tip.number)]

    def _bottom(self, wall: list[_Corner]) -> float:
        """Give how deep the piece is drawn."""
        deep = max(depth for _, depth in wall)
        if not self.through and self.full is None:  # nobody knows what is below
            self.broken = True
            return deep
        if self.thickness is not None and (self.through or self.thickness.number < deep * _MUCH):
            return self.thickness.number
        self.broken = True
        if self.thickness is not None:
            return deep * (_MUCH - 1) / 2
        if not self.through:
            self.unknown.append("how thick the part is under this face is not on file")
        return deep * (1.0 if self.through else _BELOW)

    def _areas(self, wall: list[_Corner], bottom: float, aside: float) -> Iterator[Area]:
        """Give the material at both sides, and under the hole where some is left."""
        inner = _cut_off([*self.mouth.corners, *wall], bottom)
        closed = inner[-1][0] > 0  # the hole comes out below
        floor: list[_Corner] = [] if closed else [(0.0, bottom)]
        half = [*inner, *floor, *([(inner[-1][0], bottom)] if closed else []), (aside, bottom), (aside, 0.0)]
        for side in (-1, 1):
            yield Area(tuple(Point(side * radius, -depth) for radius, depth in half))

    def _outlines(self, wall: list[_Corner], bottom: float, aside: float) -> Iterator[Outline]:
        feature = self.known.feature
        own = isinstance(feature, Hole) and self.spot is None
        mouth = _cut_off(list(self.mouth.corners), bottom) if self.mouth.corners else []
        body = _cut_off(wall, bottom)
        rim = (mouth or body)[0][0]
        yield from _mirrored([(rim, 0.0), (aside, 0.0)], "edge")
        if mouth:
            sunk = isinstance(feature, (Chamfer, Counterbore, Countersink))
            yield from _mirrored([*mouth, body[0]], "work" if sunk else "edge")
        yield from _mirrored(body, "work" if own else "edge")
        if not self.broken:
            yield from _mirrored([(body[-1][0], bottom), (aside, bottom)], "edge")
        yield from self._thread(bottom)
        yield from self._tools(aside)

    def _thread(self, bottom: float) -> Iterator[Outline]:
        if not self.known.said("feature.threaded"):
            return
        deep = bottom if self.thread_depth is None else self.thread_depth.number
        if self.thread_depth is None and not self.known.said("feature.thread_through"):
            return
        radius = self.thread.number / 2 if self.thread else self.radius
        top = self.mouth.corners[-1][1] if self.mouth.corners else 0.0
        yield from _mirrored([(radius, min(top, deep)), (radius, deep)], "thread")
        if self.tap is not None and self.tap.number > deep:
            yield from _mirrored([(radius, deep), (self.radius, self.tap.number)], "lead")

    def _tools(self, aside: float) -> Iterator[Outline]:
        """Draw how deep a tool goes where it leaves no edge of its own: a spot, a drill run through."""
        if self.spot is not None:
            wide = min(self.spot.number, aside)
            yield from _mirrored([(wide, 0.0), (0.0, self.spot.number)], "tool")
        if self.through and self.tip is not None and self.thickness is not None:
            past = self.tip.number
            if past > self.thickness.number:
                yield from _mirrored([(self.radius, self.thickness.number), (0.0, past)], "tool")

    def _dimensions(self, aside: float) -> Iterator[Dimension]:
        """Give the dimensions, the most needed first."""
        threaded = isinstance(self.known.feature, Thread)
        sunk = isinstance(self.known.feature, (Chamfer, Counterbore, Countersink))
        depth = (
            ("drill tip", self.tip, 0.0),
            ("full size", None if self.through else self.full, self.radius),
        )
        of_thread = (("tap tip", self.tap, self.radius), ("thread", self.thread_depth, self.radius))
        if self.spot is not None:
            yield _depth(self.spot, "spot tip", 0.0)
        if sunk:
            yield from self.mouth.dimensions
        for words, value, radius in (*of_thread, *depth) if threaded else (*depth, *of_thread):
            if value is not None:
                yield _depth(value, words, radius)
        below = not self.through and not self.broken
        if self.tip is not None and self.thickness is not None and self.floor is not None and below:
            yield Dimension(
                Point(0, -self.tip.number), Point(0, -self.thickness.number), *self.floor, words="floor"
            )
        if self.thickness is not None and not self.broken:
            yield _depth(self.thickness, "part", aside)
        yield _across(self.diameter, self.radius, "hole")
        if self.thread is not None and self.known.said("feature.threaded"):
            yield _across(self.thread, self.thread.number / 2, f"thread {self.known.word('feature.thread')}")
        if not sunk:
            yield from self.mouth.dimensions


def _mouth(known: Known, radius: float) -> _Mouth:
    """Give what widens the hole at its face: a counterbore, a countersink or a chamfer."""
    wide = known.result("counterbore", "diameter")
    deep = known.result("counterbore", "depth") or known.fact("feature.sink_depth")
    if wide is None and deep is not None:
        wide = known.fact("feature.sink_diameter")
    cone = isinstance(known.feature, (Chamfer, Countersink))
    if not cone and wide is not None and deep is not None and wide.number / 2 > radius:
        corners = ((wide.number / 2, 0.0), (wide.number / 2, deep.number))
        return _Mouth(
            corners, (_depth(deep, "sunk", wide.number / 2), _across(wide, wide.number / 2, "sunk"))
        )
    sunk = known.result("flat_head_countersink", "major_diameter") or known.fact("feature.sink_diameter")
    rim = sunk or known.fact("feature.chamfer_diameter") or known.result("chamfer_diameter", "diameter")
    if rim is not None and rim.number / 2 > radius:
        return _cone(known, rim, radius, "sunk" if sunk else "chamfer")
    return _Mouth()


def _cone(known: Known, rim: Named, radius: float, words: str) -> _Mouth:
    angle = known.result("flat_head_countersink", "included_angle") or known.fact("feature.included_angle")
    leg = known.fact("feature.leg")
    deep = known.result("countersink_depth", "depth_from_edge") or (leg if angle is None else None)
    across = _across(rim, rim.number / 2, words)
    beside = rim.number / 2 - radius
    unknown: tuple[str, ...] = ()
    if angle is not None:
        depth = beside / tan(radians(angle.number) / 2)
    elif deep is not None:
        depth = deep.number
    else:
        depth, unknown = beside, (f"the angle of the {words} is not on file: drawn at 90 deg",)
    shown = (_depth(deep, words, rim.number / 2),) if deep is not None else ()
    return _Mouth(((rim.number / 2, 0.0), (radius, depth)), (*shown, across), unknown)


def _depth(value: Named, words: str, radius: float) -> Dimension:
    """Give a depth from the face."""
    return Dimension(Point(radius, 0.0), Point(radius, -value.number), *value, words=words, running=True)


def _across(value: Named, radius: float, words: str) -> Dimension:
    """Give a diameter."""
    return Dimension(Point(-radius, 0), Point(radius, 0), *value, words=words, before="Ø", along="x")


def _mirrored(corners: list[_Corner], kind: OutlineKind) -> Iterator[Outline]:
    """Give a line at both sides of the axis."""
    for side in (-1, 1):
        yield Outline(tuple(Point(side * radius, -depth) for radius, depth in corners), kind)


def _cut_off(corners: list[_Corner], bottom: float) -> list[_Corner]:
    """End a profile where the piece ends."""
    kept: list[_Corner] = []
    for radius, depth in corners:
        if depth > bottom and kept:
            before, above = kept[-1]
            share = (bottom - above) / (depth - above) if depth > above else 1.0
            return [*kept, (before + (radius - before) * share, bottom)]
        kept.append((radius, min(depth, bottom)))
    return kept
