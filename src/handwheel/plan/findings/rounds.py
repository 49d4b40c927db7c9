"""What lies round the axis: walls between cylinders, hole circles beside them, holes on flats, edges."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from handwheel.models.features import (
    Bore,
    Counterbore,
    Countersink,
    Edge,
    Flat,
    Grid,
    Groove,
    Hole,
    Outside,
    Spigot,
    Thread,
)
from handwheel.models.job import base_of
from handwheel.plan.finding import Finding, Severity
from handwheel.plan.findings.part import (
    TYPING_SLIPS,
    as_value,
    at_feature,
    ground_of,
    is_round,
    of_feature,
    places,
    run,
    side_of,
    thread_diameter,
    total,
)
from handwheel.plan.findings.rules import rule
from handwheel.plan.resolve import Plan
from handwheel.values import SLACK, Value


@rule
def turned_walls_stay(plan: Plan) -> Iterator[Finding]:
    """Between a bore or its groove and the outside over it a wall stays."""
    job = plan.job
    outsides = [one for one in job.features if isinstance(one, (Outside, Spigot))]
    for inside in (one for one in job.features if isinstance(one, (Bore, Groove))):
        bore = base_of(job, inside)
        over = [one for one in outsides if _is_over(plan, one, bore)]
        if not over:
            continue
        outside = min(over, key=lambda one: one.diameter.plain)
        own, around = of_feature(inside, "diameter"), of_feature(outside, "diameter")
        both = total((1, around), (-1, own))
        if both.number >= _LEAST_WALL:
            continue
        none = both.number <= SLACK
        yield at_feature(
            plan,
            inside,
            "no-turned-wall" if none else "thin-turned-wall",
            "{inside} is {own}, {outside} round it {around}: on diameter {both} stay",
            "the bore breaks out through the outside" if none else "so thin a wall gives way and springs",
            "look at both diameters again",
            "stop" if none else "doubt",
            key="diameter",
            values={"inside": inside.id, "own": own, "outside": outside.id, "around": around, "both": both},
        )


_LEAST_WALL = 4.0
"""A turned wall of less than half of this [mm] is doubted: common practice, no source."""


def _is_over(plan: Plan, outside: Outside | Spigot, bore: object) -> bool:
    """Tell whether an outside stands round a bore: on its side, or the bore goes through."""
    return isinstance(bore, Bore) and (bore.through or side_of(plan.job, outside) == side_of(plan.job, bore))


@rule
def steps_are_steps(plan: Plan) -> Iterator[Finding]:
    """A spigot is smaller than the outside it stands on, a seat larger than the bore behind it."""
    job = plan.job
    outsides = [one for one in job.features if isinstance(one, Outside)]
    for spigot in (one for one in job.features if isinstance(one, Spigot)):
        wide = [one for one in outsides if one.diameter.plain <= spigot.diameter.plain + SLACK]
        if wide:
            yield at_feature(
                plan,
                spigot,
                "no-shoulder",
                "{spigot} is {own}, {outside} that it stands on {around}",
                "without a step there is no shoulder to seat on",
                "look at both diameters again",
                key="diameter",
                values={
                    "spigot": spigot.id,
                    "own": of_feature(spigot, "diameter"),
                    "outside": wide[0].id,
                    "around": of_feature(wide[0], "diameter"),
                },
            )
    through = [one for one in job.features if isinstance(one, Bore) and one.through]
    for seat in (one for one in job.features if isinstance(one, Bore) and not one.through):
        wide_bores = [one for one in through if one.diameter.plain >= seat.diameter.plain - SLACK]
        if wide_bores:
            yield at_feature(
                plan,
                seat,
                "no-floor-to-seat-on",
                "{seat} is {own}, and {bore} behind it {through}",
                "what goes in has nothing to seat on",
                "look at both diameters again",
                key="diameter",
                values={
                    "seat": seat.id,
                    "own": of_feature(seat, "diameter"),
                    "bore": wide_bores[0].id,
                    "through": of_feature(wide_bores[0], "diameter"),
                },
            )


# --- holes beside cylinders ------------------------------------------------------------------------------


@rule
def holes_clear_what_is_turned(plan: Plan) -> Iterator[Finding]:
    """Between the holes of a round part and its spigot, its bores and its outside edge a wall stays."""
    if not is_round(plan.job):
        return
    turned = [one for one in plan.job.features if isinstance(one, (Outside, Spigot, Bore, Groove))]
    for hole in (one for one in plan.job.features if isinstance(one, Hole)):
        if side_of(plan.job, hole) not in ("top", "bottom"):
            continue
        out = run("reach_of_places", positions=places(plan, hole))
        if out is None:
            continue
        for other, edge in _edges(plan, hole, turned):
            circle = out["furthest" if edge == "outside" else "nearest"]
            yield from _beside(plan, hole, other, edge, circle)


def _edges(
    plan: Plan, hole: Hole, turned: list[Outside | Spigot | Bore | Groove]
) -> Iterator[tuple[Outside | Spigot | Bore | Groove, str]]:
    """Give the cylinders that a hole stands between, and to which edge of the material each is."""
    ground = ground_of(plan.job, hole.from_)
    shoulder = ground if isinstance(ground, Spigot) else ground_of(plan.job, getattr(ground, "from_", ""))
    below = isinstance(shoulder, Spigot)
    side = side_of(plan.job, hole)
    for other in turned:
        same = side_of(plan.job, other) == side
        if isinstance(other, Outside):
            yield other, "outside"
        elif isinstance(other, Spigot) and same:
            yield other, "inside" if below and shoulder is other else "outside"
        else:
            bore = base_of(plan.job, other)
            if same and (isinstance(bore, Bore) and (bore.through or hole.through or not below)):
                yield other, "inside"


def _beside(
    plan: Plan, hole: Hole, other: Outside | Spigot | Bore | Groove, edge: str, circle: Value
) -> Iterator[Finding]:
    left = run(
        "edge_wall",
        edge_diameter=of_feature(other, "diameter"),
        circle_diameter=circle,
        hole_diameter=of_feature(hole, "diameter"),
        edge=edge,
    )
    if left is None or left["share"].plain is None or left["share"].number >= _THIN_SHARE:
        return
    none = left["wall"].number <= SLACK
    yield at_feature(
        plan,
        hole,
        "hole-runs-into" if none else "thin-wall-beside",
        "between {hole} and {other}, {diameter}, a wall of {wall} stays",
        "the drill runs off into it, and breaks there"
        if none
        else "so thin a wall bulges as the drill passes",
        "look at the places of the holes and at both diameters again",
        "stop" if none else "doubt",
        key="circle" if hole.circle else "at" if hole.at else "grid",
        values={
            "hole": hole.id,
            "other": other.id,
            "diameter": of_feature(other, "diameter"),
            "wall": left["wall"],
        },
    )


_THIN_SHARE = 0.5
"""A wall thinner than this share of its hole is doubted: common practice, no source."""


# --- flats and what stands on them -----------------------------------------------------------------------


def _rectangle(flat: Flat) -> dict[str, Value]:
    """Give middle and sizes of a flat below a face along X and Y; nothing of one across the axis."""
    if flat.at is None:
        return {}
    where = f"job.toml features.{flat.id}.at"
    middle_x, middle_y = (as_value(size, where, flat.basis) for size in flat.at)
    return {
        "middle_x": middle_x,
        "middle_y": middle_y,
        "size_x": of_feature(flat, "width"),
        "size_y": of_feature(flat, "length"),
    }


@rule
def holes_lie_on_their_flat(plan: Plan) -> Iterator[Finding]:
    """A hole from a flat lies on it with all of its rim, one from elsewhere not across its edge."""
    flats = [one for one in plan.job.features if isinstance(one, Flat) and one.at is not None]
    for hole in (one for one in plan.job.features if isinstance(one, Hole) and flats):
        at, diameter = places(plan, hole), of_feature(hole, "diameter")
        for flat in flats:
            if side_of(plan.job, flat) != side_of(plan.job, hole):
                continue
            rims = run("rims_on_rectangle", positions=at, diameter=diameter, **_rectangle(flat))
            if rims is None:
                continue
            if hole.from_ == flat.id and rims["inside"].number < -SLACK:
                yield _off_the_flat(
                    plan, hole, flat, "hole-off-its-flat", "{hole} is made from {flat}, and lies off it",
                    "the drill starts on the edge of the flat, or on another height", "stop",
                )  # fmt: skip
            elif hole.from_ != flat.id and rims["overlap"].number > -SLACK:
                yield _off_the_flat(
                    plan, hole, flat, "hole-across-a-flat", "{hole} lies on {flat}, or across its edge",
                    "it is measured from another face; at the edge of the flat the drill runs off", "doubt",
                )  # fmt: skip


def _off_the_flat(
    plan: Plan, hole: Hole, flat: Flat, code: str, what: str, why: str, severity: Severity
) -> Finding:
    return at_feature(
        plan,
        hole,
        code,
        what,
        why,
        "look at the places of the hole, and at middle, width and length of the flat",
        severity,
        key="circle" if hole.circle else "at" if hole.at else "grid",
        values={"hole": hole.id, "flat": flat.id},
    )


@rule
def flats_clear_the_spigot(plan: Plan) -> Iterator[Finding]:
    """A flat beside a spigot does not cut into it, and lies on the part."""
    for flat in (one for one in plan.job.features if isinstance(one, Flat)):
        out = run("reach_of_rectangle", **_rectangle(flat)) if flat.at is not None else None
        if out is None:
            continue
        near, middle = out["nearest"].number, out["middle"].number
        for other in plan.job.features:
            its_own = isinstance(other, Spigot) and other.id == flat.from_
            if isinstance(other, Spigot) and its_own and near < other.diameter.plain - SLACK:
                code, what = "flat-cuts-the-spigot", "{flat} reaches into {other}, {diameter}"
                why = "the mill cuts into the register, which then locates nothing"
            elif isinstance(other, Outside) and middle > other.diameter.plain + SLACK:
                code, what = "flat-off-the-part", "the middle of {flat} lies off {other}, {diameter}"
                why = "most of it would be cut in air"
            else:
                continue
            yield at_feature(
                plan,
                flat,
                code,
                what,
                why,
                "look at middle, width and length of the flat",
                key="at",
                values={"flat": flat.id, "other": other.id, "diameter": of_feature(other, "diameter")},
            )


@rule
def flats_are_deep_enough_to_see(plan: Plan) -> Iterator[Finding]:
    """A flat below a face is deeper than the skin of a touch."""
    for flat in (one for one in plan.job.features if isinstance(one, Flat)):
        if flat.depth is not None and flat.depth.plain < _SHALLOW:
            yield at_feature(
                plan,
                flat,
                "flat-hardly-deep",
                "{flat} is only {depth} deep",
                "within its tolerance hardly anything is left of it: a digit too few looks like this",
                "look at its depth again",
                "doubt",
                key="depth",
                values={"flat": flat.id, "depth": of_feature(flat, "depth")},
            )


_SHALLOW = 0.3
"""A flat shallower than this [mm] is doubted: common practice, no source."""


@rule
def broken_edges_are_small(plan: Plan) -> Iterator[Finding]:
    """A broken edge is neither so small that nobody sees it nor larger than an edge."""
    for edge in (one for one in plan.job.features if isinstance(one, Edge)):
        leg = of_feature(edge, "leg")
        if _SMALL_LEG <= leg.number <= _LARGE_LEG:
            continue
        large = leg.number > _LARGE_LEG
        yield at_feature(
            plan,
            edge,
            "edge-far-broken" if large else "edge-hardly-broken",
            "{edge} is broken by {leg}",
            "that is a cone, and takes away what the part is to seat on"
            if large
            else "nobody can tell such an edge from a sharp one",
            "look at its leg again",
            "doubt",
            key="leg",
            values={"edge": edge.id, "leg": leg},
        )


_SMALL_LEG, _LARGE_LEG = 0.15, 3.0
"""Legs of a broken edge [mm] that are usual lie between these: common practice, no source."""


# --- screws ----------------------------------------------------------------------------------------------


@rule
def hole_lets_its_screw_through(plan: Plan) -> Iterator[Finding]:
    """Under a counterbore or countersink for a screw the hole is a clearance hole of that screw."""
    for sink in (one for one in plan.job.features if isinstance(one, (Counterbore, Countersink))):
        if sink.screw is None:
            continue
        screw = of_feature(sink, "screw")
        fine, coarse = (run("clearance_hole", thread=screw, series=one) for one in ("fine", "coarse"))
        if fine is None or coarse is None:
            continue
        hole = of_feature(base_of(plan.job, sink), "diameter")
        low, high = fine["diameter"], coarse["diameter"]
        if low.number - SLACK <= hole.number <= high.number + SLACK:
            continue
        tight = hole.number < low.number
        yield at_feature(
            plan,
            base_of(plan.job, sink),
            "screw-does-not-go-through" if tight else "hole-wide-for-its-screw",
            "the hole is {hole}; a clearance hole for {screw} is from {low} to {high}",
            "the screw does not go through" if tight else "the head finds little to seat on",
            "look at the diameter of the hole, and at the screw",
            "stop" if tight else "doubt",
            key="diameter",
            values={"hole": hole, "screw": sink.screw, "low": low, "high": high},
        )


@rule
def threads_are_deep_enough(plan: Plan) -> Iterator[Finding]:
    """A blind thread is as deep as a nut is high, and not as deep as a tap is long."""
    for thread in (one for one in plan.job.features if isinstance(one, Thread)):
        nominal = thread_diameter(thread)
        if thread.depth is None or nominal is None or nominal.plain is None:
            continue
        depth = of_feature(thread, "depth")
        shallow = depth.number < _NUT * nominal.number - SLACK
        if not shallow and depth.number <= _DEEP_THREAD * nominal.number:
            continue
        yield at_feature(
            plan,
            thread,
            "thread-hardly-deep" if shallow else "thread-very-deep",
            "the thread is {nominal} and {depth} deep",
            "its screw strips it" if shallow else "no tap goes there, and no screw needs it",
            "look at the depth of the thread again",
            "doubt",
            key="depth",
            values={"nominal": nominal, "depth": depth},
        )


_NUT, _DEEP_THREAD = 0.8, 4.0
"""Depths of thread in diameters: a nut is about 0.8 high (ISO 4032, from memory); the far end is common
practice, no source."""


@rule
def places_are_alike(plan: Plan) -> Iterator[Finding]:
    """No place of a pattern is a slip of another: ten times as far out, in inches, its digits swapped."""
    for hole in (one for one in plan.job.features if isinstance(one, Hole)):
        for kind, one, other in _pairs(hole):
            found = run("reading_slip", reading=one, expected=other)
            slip = str(found["slip"].plain) if found is not None else ""
            if any(word in slip for word in TYPING_SLIPS):
                yield at_feature(
                    plan,
                    hole,
                    "places-look-like-a-slip",
                    "{kind} of {hole}: {one} is {slip} beside {other}",
                    "of a pattern that is alike on either side one number looks mistyped",
                    "look at its places again",
                    "doubt",
                    key="at" if hole.at else "grid",
                    values={
                        "kind": kind,
                        "hole": hole.id,
                        "slip": slip.rstrip(","),
                        "one": one,
                        "other": other,
                    },
                )
                break


def _pairs(hole: Hole) -> Iterator[tuple[str, Value, Value]]:
    """Give sizes that are usually one: places on either side of an axis, a grid's reach and its origin."""
    where = f"job.toml features.{hole.id}"
    for axis in (0, 1):
        sizes = (as_value(place[axis], f"{where}.at", hole.basis) for place in hole.at or ())
        out = {abs(one.number): replace(one, plain=abs(one.number)) for one in sizes if one.number}
        if len(out) == 2 and len(hole.at or ()) in (2, 4):
            yield "places", out[max(out)], out[min(out)]
    if hole.grid is not None:
        yield from _reaches(hole.grid, f"{where}.grid", hole.basis)


def _reaches(grid: Grid, where: str, basis: str) -> Iterator[tuple[str, Value, Value]]:
    """Give how far a grid reaches either way, and twice how far its origin lies before the zero."""
    for counted, way in (("columns", "x"), ("rows", "y")):
        count, pitch, origin = (getattr(grid, key) for key in (counted, f"pitch_{way}", f"origin_{way}"))
        if origin is None or count < 2 or origin.plain >= 0:
            continue
        start = as_value(origin, f"{where}.origin_{way}", basis)
        span = run(
            "pitch_span",
            count=as_value(count, f"{where}.{counted}", basis),
            pitch=as_value(pitch, f"{where}.pitch_{way}", basis),
        )
        if span is not None:
            yield "pitch and twice the origin", span["span"], total((-1, start), (-1, start))
