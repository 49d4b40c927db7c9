"""Walls between holes, to the edge, and what a chamfer leaves."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from handwheel.calc import CATALOGUE
from handwheel.calc.walls import HoleRow
from handwheel.models.features import Chamfer, Face, Hole, Thread
from handwheel.plan.binding import find
from handwheel.plan.finding import Finding
from handwheel.plan.findings.part import thread_diameter
from handwheel.plan.findings.rules import at, rule
from handwheel.plan.resolve import Plan
from handwheel.values import SLACK, Listed, Value


@rule
def walls_between_holes(plan: Plan) -> Iterator[Finding]:
    """Between two holes of one face a wall stays."""
    for rows in _holes_by_face(plan).values():
        if len(rows) > 1:
            thin = CATALOGUE["thinnest_wall"].run({"holes": _as_value(rows)})
            if thin["share"].number < _THIN_WALL:
                yield _wall(
                    thin,
                    str(thin["first"].plain),
                    ("no-wall", "thin-wall"),
                    "between {first} and {second} a wall of {wall} stays",
                    "the second drill runs off into the first hole, or the wall bulges",
                )


@rule
def walls_to_the_edge(plan: Plan) -> Iterator[Finding]:
    """Between a hole of the top and the edge of the plate a wall stays, where the zero is known."""
    stock = plan.job.stock
    origin = next((setup.origin for setup in plan.job.setups if setup.origin), None)
    faces = {one.id for one in plan.job.features if isinstance(one, Face) and one.side == "top"} | {"top"}
    rows = tuple(row for face, holes in _holes_by_face(plan).items() if face in faces for row in holes)
    if origin is None or stock.form != "plate" or stock.width is None or not rows:
        return
    thin = CATALOGUE["wall_to_edge"].run(
        {
            "holes": _as_value(rows),
            "length": Value(stock.length.plain, "mm", Listed("the job", "its stock")),
            "width": Value(stock.width.plain, "mm", Listed("the job", "its stock")),
            "origin": Value(origin, "", Listed("the job", "its setup")),
        }
    )
    if thin["share"].number < _THIN_WALL:
        yield _wall(
            thin,
            str(thin["hole"].plain),
            ("hole-breaks-out", "thin-wall-at-edge"),
            "between {hole} and the edge of the plate a wall of {wall} stays",
            "the drill breaks out at the edge, into the jaw that holds it",
        )


_THIN_WALL = 0.5
"""A wall thinner than this share of the smaller hole is doubted: common practice, no source."""


def _wall(thin: Mapping[str, Value], hole: str, codes: tuple[str, str], what: str, why: str) -> Finding:
    none = thin["wall"].number <= SLACK
    feature = hole.partition(" ")[0]
    return Finding(
        codes[0] if none else codes[1],
        "stop" if none else "doubt",
        what,
        why,
        "look at the places and diameters again",
        keys=("features", feature),
        feature=feature,
        values=dict(thin),
    )


def _as_value(rows: tuple[HoleRow, ...]) -> Value:
    unit = CATALOGUE["thinnest_wall"].inputs["holes"].unit
    return Value(rows, unit, Listed("the job", "its holes"))


def _holes_by_face(plan: Plan) -> dict[str, tuple[HoleRow, ...]]:
    holes = [one for one in plan.job.features if isinstance(one, Hole)]
    faces = sorted({hole.from_ for hole in holes})
    return {face: tuple(row for hole in holes for row in _places(plan, hole, face)) for face in faces}


def _places(plan: Plan, hole: Hole, face: str) -> Iterator[HoleRow]:
    """Give the holes of a feature at one face, each with its name and place."""
    if hole.from_ != face:
        return
    operation = next(iter(plan.by_feature.get(hole.id, ())), None)
    if operation is None:
        return
    places = find(("pattern.positions", "feature.places"), operation.scope)
    if places is not None and isinstance(places.plain, tuple):
        for number, place in enumerate(places.plain, start=1):
            yield HoleRow(f"{hole.id} {number}", place.x, place.y, hole.diameter.plain)


@rule
def places_are_on_the_stock(plan: Plan) -> Iterator[Finding]:
    """No hole lies further from the zero than the plate is long: wherever the zero is, that is off it."""
    length, width = plan.job.stock.length, plan.job.stock.width
    if width is None:
        return
    longest = max(length, width, key=lambda size: size.plain)
    for hole in (one for one in plan.job.features if isinstance(one, Hole)):
        far = [row for row in _places(plan, hole, hole.from_) if max(abs(row.x), abs(row.y)) > longest.plain]
        if far:
            yield Finding(
                "place-off-the-stock",
                "stop",
                "{first} lies further from the zero than the {longest} of the stock",
                "a size of its pattern may be in inches, or have a digit too many",
                "look at the pattern again",
                keys=("features", hole.id),
                feature=hole.id,
                values={"first": far[0].name, "longest": longest.text},
            )


@rule
def chamfer_is_of_its_hole(plan: Plan) -> Iterator[Finding]:
    """A chamfer is wider than its hole, and a threaded hole's chamfer reaches the thread's diameter."""
    threads = {one.of: one for one in plan.job.features if isinstance(one, Thread)}
    for operation in plan.operations:
        rim = find(_RIMS, operation.scope)
        if not isinstance(operation.feature, Chamfer) or rim is None or rim.plain is None:
            continue
        thread = threads.get(operation.feature.of)
        crest = thread_diameter(thread) if thread is not None else None
        if crest is not None and crest.plain is not None and rim.number < crest.number - SLACK:
            yield at(
                operation,
                "chamfer-below-thread",
                "the chamfer is {rim}, the thread {thread}",
                "the first turn of the thread stands up as a burr, and a screw will not start",
                "make the chamfer at least as wide as the thread",
                "doubt",
                keys=("features", operation.feature.id),
                values={"rim": rim, "thread": crest},
            )


_RIMS = ("feature.chamfer_diameter", "rim.diameter", "operation.cut_diameter")
