"""Where the holes of a pattern lie: X to the right, Y up, the zero, what is done, and which one is next."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from itertools import combinations
from math import cos, pi, sin

from handwheel.drawing.known import Known, Named
from handwheel.drawing.milled import plan_of
from handwheel.drawing.shapes import (
    CentreLine,
    Dimension,
    Drawing,
    Outline,
    Place,
    PlaceState,
    Point,
)
from handwheel.models.features import Flat, Hole, Slot
from handwheel.values import Computed, Value

__all__ = ["pattern"]

_ZERO = Point(0.0, 0.0)


def pattern(known: Known, position: int = 0, done: Collection[int] = ()) -> Drawing | None:
    """Draw the places of the operation's holes; `position` is the current one, from 1, and `done` those made.

    A slot and a flat are drawn as they lie; a feature without a place has no such drawing.
    """
    if isinstance(known.base, Hole):
        return _holes(known, known.base, position, done)
    if isinstance(known.base, (Slot, Flat)) and known.base.at is not None:
        return _plan(known, known.base)
    return None


def _holes(known: Known, hole: Hole, position: int, done: Collection[int]) -> Drawing:
    title = f"Places of {hole.id}"
    seen = _seen(hole.from_ if hole.from_ in known.job.sides else hole.side)
    rows = known.rows("positions", "feature.places")  # computed from a circle or a grid, or as listed
    if rows is None:
        return Drawing("places", title, seen, unknown=("the places of the holes are not known",))
    assert isinstance(rows.plain, tuple)  # rows are a tuple
    diameter = known.fact("feature.diameter")
    wide = diameter.number if diameter else None
    places = tuple(
        Place(number, Point(row.x, row.y), wide, _state(number, position, done))
        for number, row in enumerate(rows.plain, start=1)
    )
    now = next((one for one in places if one.state == "now"), None)
    return Drawing(
        "places",
        title,
        seen,
        known.dial,
        outlines=(*_stock(known), *_circle(known)),
        centre_lines=_axes(places),
        dimensions=tuple(_dimensions(known, rows, places, now)),
        places=places,
        zero=_ZERO,
        unknown=() if diameter else ("the diameter of the holes is not on file",),
    )


def _seen(side: str) -> str:
    """Say from where one looks; what is up and right is said by the machine's axes."""
    return "X right, Y up" if side == "top" else f"on the {side} side, X right, Y up"


def _state(number: int, position: int, done: Collection[int]) -> PlaceState:
    if number == position:
        return "now"
    return "done" if number in done else "to come"


def _axes(places: tuple[Place, ...]) -> tuple[CentreLine, ...]:
    """Give the axes through the zero, as far as the places reach."""
    reach_x = [one.at.x for one in places] + [0.0]
    reach_y = [one.at.y for one in places] + [0.0]
    return (
        CentreLine(Point(min(reach_x), 0), Point(max(reach_x), 0)),
        CentreLine(Point(0, min(reach_y)), Point(0, max(reach_y))),
    )


def _circle(known: Known) -> Iterator[Outline]:
    diameter = known.fact("feature.circle_diameter")
    if diameter is None or not known.said("feature.on_circle"):
        return
    middle = Point(*(_plain(known, f"feature.centre_{axis}") for axis in "xy"))
    radius = diameter.number / 2
    turns = [2 * pi * index / 72 for index in range(73)]
    points = (Point(middle.x + radius * cos(turn), middle.y + radius * sin(turn)) for turn in turns)
    yield Outline(tuple(points), "around")


def _plain(known: Known, name: str) -> float:
    value = known.operation.scope.get(name)
    return value.number if value is not None and isinstance(value.plain, (int, float)) else 0.0


def _stock(known: Known) -> Iterator[Outline]:
    """Draw the edges of a plate, where the setup says in what corner of it its zero lies."""
    stock = known.job.stock
    setup = known.job.setup(known.operation.operation.setup)
    if stock.form != "plate" or stock.width is None or setup.origin is None:
        return
    wide, deep = stock.length.plain, stock.width.plain
    left = -wide / 2 if setup.origin == "middle" else -wide if "right" in setup.origin else 0.0
    front = -deep / 2 if setup.origin == "middle" else -deep if "back" in setup.origin else 0.0
    corners = [(0, 0), (wide, 0), (wide, deep), (0, deep), (0, 0)]
    yield Outline(tuple(Point(left + x, front + y) for x, y in corners), "around")


def _dimensions(
    known: Known, rows: Value, places: tuple[Place, ...], now: Place | None
) -> Iterator[Dimension]:
    """Give where the current hole is from the zero, then the sizes of the pattern."""
    if now is not None:
        yield from _of_place(rows, now)
    circle = known.fact("feature.circle_diameter") if known.said("feature.on_circle") else None
    if circle is not None:
        middle = Point(*(_plain(known, f"feature.centre_{axis}") for axis in "xy"))
        radius = circle.number / 2
        start, end = Point(middle.x - radius, middle.y), Point(middle.x + radius, middle.y)
        yield Dimension(start, end, *circle, words="circle", before="Ø", along="x")
    if known.said("feature.on_grid") and len(places) > 1:
        yield from _pitches(known, places)


def _of_place(rows: Value, now: Place) -> Iterator[Dimension]:
    units = rows.unit
    assert not isinstance(units, str)  # rows have a unit for each field
    for axis, end in (("x", Point(now.at.x, 0)), ("y", Point(now.at.x, now.at.y))):
        origin = rows.origin
        if isinstance(origin, Computed):
            origin = Computed(origin.call, f"{origin.result}.{axis}")
        value = Value(getattr(now.at, axis), units[axis], origin)
        start = Point(0, 0) if axis == "x" else Point(now.at.x, 0)
        yield Dimension(
            start,
            end,
            f"place.{axis}",
            value,
            f"hole {now.number}",
            f"{axis.upper()} ",
            along=axis,  # type: ignore[arg-type]
        )


def _pitches(known: Known, places: tuple[Place, ...]) -> Iterator[Dimension]:
    """Give the pitch along X and Y of a grid that is not turned."""
    if _plain(known, "feature.grid_angle"):
        return
    for axis, other in (("x", "y"), ("y", "x")):
        pitch = known.fact(f"feature.pitch_{axis}")
        ends = next(
            (
                (one.at, two.at)
                for one, two in combinations(places[:60], 2)
                if abs(getattr(one.at, other) - getattr(two.at, other)) < 1e-9
                and getattr(one.at, axis) != getattr(two.at, axis)
            ),
            None,
        )
        if pitch is not None and ends is not None:
            yield Dimension(*ends, *pitch, words="pitch", along=axis)  # type: ignore[arg-type]


def _plan(known: Known, feature: Slot | Flat) -> Drawing:
    """Draw a slot or a flat as it lies, with where its middle is."""
    assert feature.at is not None  # whoever calls has looked
    middle = Point(feature.at[0].plain, feature.at[1].plain)
    dimensions: list[Dimension] = []
    for index, axis in enumerate("xy"):
        name = f"feature.middle_{axis}"
        typed = known.entered(f"features.{feature.id}.at", feature.at[index], feature.basis)
        value = known.operation.scope.get(name) or (typed.value if typed is not None else None)
        start = Point(0, 0) if axis == "x" else Point(middle.x, 0)
        end = Point(middle.x, 0) if axis == "x" else middle
        if value is not None:
            named = Named(name, value)
            before = f"{axis.upper()} "
            dimensions.append(Dimension(start, end, *named, "middle", before, along=axis))  # type: ignore[arg-type]
    for key, words in (("length", "long"), ("width", "wide")):
        size = known.size(feature, key)
        reach = size.number / 2 if size else 0.0
        across_x = (key == "length") == isinstance(feature, Slot)
        turned = isinstance(feature, Slot) and feature.angle is not None and feature.angle.plain % 180 != 0
        if size is not None and not turned:
            axis = "x" if across_x else "y"
            step = Point(reach, 0) if across_x else Point(0, reach)
            start = Point(middle.x - step.x, middle.y - step.y)
            end = Point(middle.x + step.x, middle.y + step.y)
            dimensions.append(Dimension(start, end, *size, words, along=axis))  # type: ignore[arg-type]
    return Drawing(
        "places",
        f"Place of {feature.id}",
        _seen(feature.side),
        known.dial,
        outlines=(*_stock(known), *plan_of(known)),
        centre_lines=(
            CentreLine(Point(min(0, middle.x), 0), Point(max(0, middle.x), 0)),
            CentreLine(Point(0, min(0, middle.y)), Point(0, max(0, middle.y))),
        ),
        dimensions=tuple(dimensions),
        zero=_ZERO,
    )
