"""Walls between holes, to the edge, and what a chamfer leaves."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from handwheel.calc import CATALOGUE
from handwheel.calc.walls import HoleRow
from handwheel.models.features import Chamfer, Face, Hole, Thread
from handwheel.plan.binding import find
from handwheel.plan.finding import Finding
from handwheel.plan.findings.part import (
    of_feature,
    of_setup,
    of_stock,
    places,
    points_of,
    rows,
    thread_diameter,
)
from handwheel.plan.findings.rules import at, rule
from handwheel.plan.resolve import Plan
from handwheel.values import SLACK, Value


@rule
def walls_between_holes(plan: Plan) -> Iterator[Finding]:
    """Between two holes of one face a wall stays."""
    for holes in _holes_by_face(plan).values():
        if sum(len(points_of(places(plan, hole))) for hole in holes) > 1:
            thin = CATALOGUE["thinnest_wall"].run({"holes": _hole_rows(plan, holes)})
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
    setup = next((setup for setup in plan.job.setups if setup.origin), None)
    faces = {one.id for one in plan.job.features if isinstance(one, Face) and one.side == "top"} | {"top"}
    holes = [hole for face, holes in _holes_by_face(plan).items() if face in faces for hole in holes]
    if setup is None or stock.form != "plate" or stock.width is None or not holes:
        return
    thin = CATALOGUE["wall_to_edge"].run(
        {
            "holes": _hole_rows(plan, holes),
            "length": of_stock(plan.job, "length"),
            "width": of_stock(plan.job, "width"),
            "origin": of_setup(setup, "origin"),
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


def _holes_by_face(plan: Plan) -> dict[str, list[Hole]]:
    """Give the holes by what they are made from, those that somebody makes and whose places are known."""
    made: dict[str, list[Hole]] = {}
    for hole in plan.job.features:
        if isinstance(hole, Hole) and plan.by_feature.get(hole.id) and points_of(places(plan, hole)):
            made.setdefault(hole.from_, []).append(hole)
    return dict(sorted(made.items()))


def _hole_rows(plan: Plan, holes: list[Hole]) -> Value:
    """Give holes as rows, each with its name, its place, its diameter."""
    at = [(hole, places(plan, hole)) for hole in holes]
    given = tuple(
        HoleRow(f"{hole.id} {number}", place.x, place.y, hole.diameter.plain)
        for hole, its_places in at
        for number, place in enumerate(points_of(its_places), start=1)
    )
    terms = (term for hole, its_places in at for term in (its_places, of_feature(hole, "diameter")))
    return rows("thinnest_wall", "holes", given, *terms)


@rule
def places_are_on_the_stock(plan: Plan) -> Iterator[Finding]:
    """No hole lies further from the zero than the plate is long: wherever the zero is, that is off it."""
    length, width = plan.job.stock.length, plan.job.stock.width
    if width is None:
        return
    longest = of_stock(plan.job, "length" if length.plain >= width.plain else "width")
    for hole in (hole for holes in _holes_by_face(plan).values() for hole in holes):
        far = [
            number
            for number, place in enumerate(points_of(places(plan, hole)), start=1)
            if max(abs(place.x), abs(place.y)) > longest.number
        ]
        if far:
            yield Finding(
                "place-off-the-stock",
                "stop",
                "{first} lies further from the zero than the {longest} of the stock",
                "a size of its pattern may be in inches, or have a digit too many",
                "look at the pattern again",
                keys=("features", hole.id),
                feature=hole.id,
                values={"first": f"{hole.id} {far[0]}", "longest": longest},
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
