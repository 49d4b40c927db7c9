"""The section of a turned part: outside, spigots, bores and grooves about one axis, from the face in hand.

On a lathe the axis lies and the face is at the right, where the tool comes from; elsewhere it stands.
One half is drawn, from the axis out, as large as the feature in hand needs: the part is broken off behind
it. It is drawn as it is to become; what the operation in hand makes is marked.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from handwheel.drawing.known import Known, Named, offset_of, side_of
from handwheel.drawing.shapes import Area, CentreLine, Dimension, Drawing, Outline, OutlineKind, Point
from handwheel.models.features import AnyFeature, Bore, Edge, Face, Groove, Outside, Spigot

__all__ = ["turned_section"]

_NEAR = 1e-9
_BEHIND = 2.5
"""How far the part is drawn behind the face, in depths of the feature in hand."""
_OUTSIDE = 1.4
"""How far the part is drawn round a bore, in radii of it."""

_Corner = tuple[float, float]
"""Distance from the face, and radius [mm]."""


class _Cylinder(NamedTuple):
    """A cylinder about the axis, outer or inner: where it begins and ends from the face, and its radius."""

    feature: AnyFeature | None
    begin: float
    end: float
    radius: float


def turned_section(known: Known) -> Drawing:
    """Draw the section along the axis."""
    feature = known.feature
    assert feature is not None  # make.py asks for nothing else
    seen = "half, axis below, face at the right" if _lies(known) else "half, axis at the left, face up"
    return _Section(known, feature).drawing(f"Section of {feature.id}", seen)


def _lies(known: Known) -> bool:
    return known.said("machine.is_lathe")


class _Section:
    """A turned part being drawn."""

    def __init__(self, known: Known, feature: AnyFeature) -> None:
        self.known = known
        self.feature = feature
        self.base = known.base or feature
        self.side = side_of(known.job, feature)
        self.length = known.length_of_the_part()
        self.unknown: list[str] = []
        inner = [*self._inner()]
        outer = [*self._outer()]
        ends = [one.end for one in (*inner, *outer) if one.end != float("inf")]
        if self.length is None:
            self.unknown.append("how long the finished part is is not on file")
        self.end = self.length.number if self.length else max(ends, default=10.0) * 1.2
        self.inner = [*_within(inner, self.end), *self._from_behind(inner=True)]
        self.outer = [*_within(outer, self.end), *self._from_behind(inner=False)]
        self.raw = self._raw()
        self.shown = self._shown()

    def _cylinders(self, side: str, *, inner: bool) -> Iterator[_Cylinder]:
        for one in self.known.job.features:
            if not isinstance(one, (Outside, Spigot, Bore)) or isinstance(one, Bore) != inner:
                continue
            if side_of(self.known.job, one) == side:
                begin = offset_of(self.known.job, one)
                size = one.depth if isinstance(one, Bore) else one.length
                end = begin + size.plain if size is not None else float("inf")
                yield _Cylinder(one, begin, end, one.diameter.plain / 2)

    def _outer(self) -> Iterator[_Cylinder]:
        yield from self._cylinders(self.side, inner=False)

    def _inner(self) -> Iterator[_Cylinder]:
        bores = [*self._cylinders(self.side, inner=True)]
        yield from bores
        for groove in self.known.job.features:
            base = next((one for one in bores if one.feature and isinstance(groove, Groove)
                         and groove.of == one.feature.id), None)  # fmt: skip
            if isinstance(groove, Groove) and base is not None:
                begin = base.begin + groove.position.plain
                yield _Cylinder(groove, begin, begin + groove.width.plain, groove.diameter.plain / 2)

    def _from_behind(self, *, inner: bool) -> Iterator[_Cylinder]:
        """Give what is made from the other end, where the length of the part is known."""
        behind = {"top": "bottom", "bottom": "top"}.get(self.side)
        if self.length is None or behind is None:
            return
        for one in self._cylinders(behind, inner=inner):
            begin = 0.0 if one.end == float("inf") else max(self.end - one.end, 0.0)
            yield one._replace(begin=begin, end=max(self.end - one.begin, 0.0))

    def _raw(self) -> float:
        """Give the radius where nothing is turned: that of the stock, or enough to show the rest."""
        stock = self.known.job.stock
        widest = max((one.radius for one in (*self.outer, *self.inner)), default=10.0)
        if stock.form in ("round", "tube") and stock.diameter is not None:
            return max(stock.diameter.plain / 2, _NEAR)
        return widest * (1.0 if self.outer else 1.5)

    def _shown(self) -> _Corner:
        """Give how far from the face and from the axis the part is drawn."""
        near = [self.base, self.feature]
        near += [one for one in self.known.job.features if isinstance(one, Groove) and one.of == self.base.id]
        own = [one for part in near for one in self._own(part)]
        deep = max((one.end for one in own), default=0.0)
        wide = max((one.radius for one in own), default=0.0)
        far = self.end if deep <= _NEAR else min(deep * _BEHIND, self.end)
        inside = isinstance(self.base, Bore)
        return far, (wide * _OUTSIDE if inside and wide * _OUTSIDE < self.raw else float("inf"))

    # --- the profile ------------------------------------------------------------------------------

    def _radius(self, at: float, *, inner: bool) -> float:
        here = [one.radius for one in (self.inner if inner else self.outer) if one.begin <= at < one.end]
        if inner:
            return max(here, default=self._hollow())
        return min(here, default=self.raw)

    def _hollow(self) -> float:
        bore = self.known.job.stock.bore_diameter
        return bore.plain / 2 if bore is not None else 0.0

    def _steps(self, *, inner: bool) -> list[_Corner]:
        marks = {0.0, self.end}
        for one in self.inner if inner else self.outer:
            marks |= {mark for mark in (one.begin, one.end) if 0 < mark < self.end}
        at = sorted(marks)
        corners: list[_Corner] = []
        for begin, end in pairwise(at):
            radius = self._radius((begin + end) / 2, inner=inner)
            corners += [(begin, radius), (end, radius)]
        return [one for index, one in enumerate(corners) if index == 0 or one != corners[index - 1]]

    def _half(self) -> list[_Corner]:
        """Give the closed outline of the half above the axis, its edges broken."""
        outer = self._steps(inner=False)
        inner = [(at, min(radius, self._radius(at, inner=False))) for at, radius in self._steps(inner=True)]
        corners = [*outer, *reversed(inner)]
        for edge in self.known.job.features:
            if isinstance(edge, Edge):
                corners = self._broken(corners, edge)
        far, wide = self.shown
        return [(min(at, far), min(radius, wide)) for at, radius in corners]

    def _broken(self, corners: list[_Corner], edge: Edge) -> list[_Corner]:
        base = next((one for one in self.known.job.features if one.id == edge.of), None)
        own = [one for one in (*self.outer, *self.inner) if one.feature is base]
        if isinstance(base, Face) and side_of(self.known.job, base) == self.side:
            own = [_Cylinder(base, 0.0, 0.0, self._radius(0.0, inner=False))]
        for one in own:
            behind = side_of(self.known.job, base) != self.side if base else False
            corner = (one.end if behind else one.begin, one.radius)
            if corner in corners:
                return _with_leg(corners, corners.index(corner), edge.leg.plain)
        return corners

    # --- the drawing ------------------------------------------------------------------------------

    def drawing(self, title: str, seen: str) -> Drawing:
        """Put the section together."""
        half = self._half()
        widest = max(radius for _, radius in half)
        return Drawing(
            "section",
            title,
            seen,
            self.known.job.job.units,
            outlines=tuple(self._outlines(half)),
            areas=(Area(tuple(self._lay(*corner) for corner in half)),),
            centre_lines=(CentreLine(self._lay(0, 0), self._lay(self.shown[0], 0)),),
            dimensions=tuple(self._dimensions(widest)),
            unknown=tuple(self.unknown),
        )

    def _lay(self, at: float, radius: float) -> Point:
        return Point(-at, radius) if _lies(self.known) else Point(radius, -at)

    def _outlines(self, half: list[_Corner]) -> Iterator[Outline]:
        for one, other in zip(half, [*half[1:], half[0]], strict=True):
            if one[1] <= _NEAR and other[1] <= _NEAR:
                continue  # along the axis the two halves are one piece
            far, wide = self.shown
            broken = (self.length is None or far < self.end) and min(one[0], other[0]) >= far
            aside = not self.outer and not self._round and min(one[1], other[1]) >= self.raw
            if broken or aside or min(one[1], other[1]) >= wide:
                continue
            kind: OutlineKind = "work" if self._is_work(one, other) else "edge"
            yield Outline((self._lay(*one), self._lay(*other)), kind)

    @property
    def _round(self) -> bool:
        return self.known.job.stock.form in ("round", "tube")

    def _is_work(self, one: _Corner, other: _Corner) -> bool:
        """Tell whether an edge of the profile is one that the operation in hand makes."""
        if isinstance(self.feature, Face):
            return one[0] <= _NEAR and other[0] <= _NEAR
        if isinstance(self.feature, Edge):
            slanted = abs(one[0] - other[0]) > _NEAR and abs(one[1] - other[1]) > _NEAR
            return slanted and any(self._touches(own, one, other) for own in self._own(self.base))
        return any(self._on(own, one) and self._on(own, other) for own in self._own(self.feature))

    def _own(self, feature: AnyFeature) -> list[_Cylinder]:
        if isinstance(feature, Face):
            return [_Cylinder(feature, 0.0, 0.0, self._radius(0.0, inner=False))]
        return [one for one in (*self.outer, *self.inner) if one.feature is feature]

    def _on(self, own: _Cylinder, corner: _Corner) -> bool:
        at, radius = corner
        within = own.begin - _NEAR <= at <= own.end + _NEAR
        if isinstance(own.feature, Groove):
            return within and radius > self._of_groove(own.feature) - _NEAR
        if isinstance(own.feature, (Bore, Spigot)) and abs(at - own.end) < _NEAR and own.end < self.end:
            return radius <= own.radius + _NEAR if isinstance(own.feature, Bore) else radius >= own.radius
        return within and abs(radius - own.radius) < _NEAR

    def _of_groove(self, groove: Groove) -> float:
        return next((one.radius for one in self.inner if one.feature and one.feature.id == groove.of), 0.0)

    def _touches(self, own: _Cylinder, one: _Corner, other: _Corner) -> bool:
        leg = self.feature.leg.plain if isinstance(self.feature, Edge) else 0.0
        at = (own.begin + _NEAR + leg) if self.side == side_of(self.known.job, self.base) else own.end
        return min(one[0], other[0]) <= at and any(
            abs(corner[1] - own.radius) < _NEAR for corner in (one, other)
        )

    # --- dimensions ---------------------------------------------------------------------------------

    def _dimensions(self, widest: float) -> Iterator[Dimension]:
        known, feature = self.known, self.feature
        if isinstance(feature, Edge):
            yield from self._leg(feature)
        if isinstance(feature, Groove):
            yield from self._groove(feature)
        yield from self._of(self.base)
        for one in known.job.features:
            if isinstance(one, Groove) and one.of == self.base.id and one is not feature:
                yield from self._groove(one)
        if self.length is not None and self.shown[0] >= self.end:
            yield self._along(0.0, self.end, self.length, "part", widest, running=True)

    def _of(self, base: AnyFeature) -> Iterator[Dimension]:
        for own in self._own(base):
            deep = self.known.size(base, "depth") or self.known.size(base, "length")
            words = "deep" if isinstance(base, Bore) else "long"
            if deep is not None and own.end > own.begin:
                yield self._along(own.begin, own.end, deep, words, own.radius, running=own.begin == 0)
            diameter = self.known.size(base, "diameter")
            if diameter is not None:
                yield self._across((own.begin + min(own.end, self.end)) / 2, diameter, base.kind)

    def _groove(self, groove: Groove) -> Iterator[Dimension]:
        found = {key: self.known.size(groove, key) for key in ("position", "width", "diameter")}
        for own in self._own(groove):
            start = own.begin - groove.position.plain
            if found["position"] is not None:
                yield self._along(start, own.begin, found["position"], "to groove", own.radius,
                                  running=start == 0)  # fmt: skip
            if found["width"] is not None:
                yield self._along(own.begin, own.end, found["width"], "groove", own.radius)
            if found["diameter"] is not None:
                yield self._across((own.begin + own.end) / 2, found["diameter"], "groove")

    def _leg(self, edge: Edge) -> Iterator[Dimension]:
        leg = self.known.size(edge, "leg")
        for own in self._own(self.base)[:1]:
            if leg is not None:
                yield self._along(own.begin, own.begin + leg.number, leg, "leg", own.radius)

    def _along(
        self, begin: float, end: float, value: Named, words: str, radius: float, *, running: bool = False
    ) -> Dimension:
        axis = "x" if _lies(self.known) else "y"
        points = self._lay(begin, radius), self._lay(end, radius)
        return Dimension(*points, *value, words=words, along=axis, running=running)  # type: ignore[arg-type]

    def _across(self, at: float, value: Named, words: str) -> Dimension:
        axis = "y" if _lies(self.known) else "x"
        points = self._lay(at, 0), self._lay(at, value.number / 2)
        return Dimension(*points, *value, words=words, before="Ø", along=axis)  # type: ignore[arg-type]


def _within(cylinders: list[_Cylinder], end: float) -> Iterator[_Cylinder]:
    for one in cylinders:
        yield one._replace(begin=min(one.begin, end), end=min(one.end, end))


def _with_leg(corners: list[_Corner], index: int, leg: float) -> list[_Corner]:
    """Cut a corner off a closed outline, as far as its neighbours leave room."""
    here = corners[index]
    ends = [_towards(here, corners[index - 1], leg), _towards(here, corners[(index + 1) % len(corners)], leg)]
    return [*corners[:index], *ends, *corners[index + 1 :]]


def _towards(here: _Corner, there: _Corner, leg: float) -> _Corner:
    way = (there[0] - here[0], there[1] - here[1])
    far = abs(way[0]) + abs(way[1])
    share = min(leg / far, 1.0) if far > _NEAR else 0.0
    return here[0] + way[0] * share, here[1] + way[1] * share
