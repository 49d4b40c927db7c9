"""Lengths along the part: stock that cleans up, lengths that add up, floors between two sides."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from handwheel.calc.chains import ChainLink
from handwheel.calc.geometry import Point
from handwheel.calc.walls import PitRow
from handwheel.models.features import Bore, Counterbore, Face, Flat, Hole, Outside, Slot, Spigot
from handwheel.models.job import base_of
from handwheel.plan.binding import find
from handwheel.plan.finding import Finding
from handwheel.plan.findings.part import (
    at_feature,
    constant,
    cuts,
    finished_by,
    general,
    ground_of,
    is_named,
    is_round,
    of_feature,
    of_setup,
    of_stock,
    part_length,
    place_rows,
    places,
    points_of,
    rows,
    run,
    side_of,
    sunk,
    total,
    worked_by,
)
from handwheel.plan.findings.rules import at, rule
from handwheel.plan.resolve import Plan
from handwheel.values import SLACK, Value


@rule
def stock_is_long_enough(plan: Plan) -> Iterator[Finding]:
    """A round piece cleans up on both faces, and is not far longer than the part."""
    job, stock = plan.job, plan.job.stock
    length = part_length(job)
    if not is_round(job) or length is None:
        return
    across = "diameter" if stock.diameter is not None else "width"
    slants = (stock.slant_a, stock.slant_b, stock.leaning)
    skin = {"skin": of_stock(job, "skin")} if stock.skin is not None else {}
    left = run(
        "clean_up",
        length=of_stock(job, "length"),
        slant_a=of_stock(job, "slant_a") if stock.slant_a is not None else _SQUARE,
        slant_b=of_stock(job, "slant_b") if stock.slant_b is not None else _SQUARE,
        leaning=of_stock(job, "leaning") if stock.leaning is not None else "opposite",
        diameter=of_stock(job, across),
        target=length,
        **skin,
    )
    if left is None:
        return
    face = next(one for one in job.features if isinstance(one, Face) and one.thickness is not None)
    values: dict[str, Value | str] = {
        "stock": of_stock(job, "length"), "usable": left["usable"], "length": length, "spare": left["spare"],
    }  # fmt: skip
    if left["spare"].number < -SLACK:
        yield _of_the_stock(
            plan,
            "stock-too-short",
            "of {stock} of stock {usable} are left when both ends are square; the part is {length} long",
            "it will not clean up: a raw spot stays on one face, or the part comes out short",
            "saw a longer piece, or measure its length and its slants again",
            face,
            values,
        )
    elif all(one is None for one in slants) and left["spare"].number < _LEAST_SPARE:
        yield _of_the_stock(
            plan,
            "stock-hardly-long-enough",
            "the stock has {spare} over the part, and how far its ends are out of square is not on file",
            "a saw cut that leans takes more than that",
            "measure how far the ends are out of square: slant_a, slant_b, leaning",
            face,
            values,
            doubt=True,
        )
    parted = any(one.recipe.does == "part-off" for one in plan.operations)
    if not parted and left["spare"].number * _MUCH > length.number:
        yield _of_the_stock(
            plan,
            "stock-far-longer",
            "the stock is {stock}, the part {length}: {spare} would be cut to chips",
            "one of the two may be in inches, or have a digit too many",
            "measure the stock again, look at the drawing, or part it off",
            face,
            values,
            doubt=True,
        )


_SQUARE = constant(0.0, "deg", "an end of which nothing is written down")
"""The slant [deg] that is reckoned with where none is on file; that it is not is told besides."""

_LEAST_SPARE = 1.0
"""Stock over the part [mm] that a leaning saw cut eats up: common practice, no source."""

_MUCH = 4.0
"""More than one part in so many of the length to be faced off is doubted: common practice, no source."""


def _of_the_stock(
    plan: Plan,
    code: str,
    what: str,
    why: str,
    cure: str,
    face: Face | Outside,
    values: dict[str, Value | str],
    *,
    doubt: bool = False,
    key: str = "length",
) -> Finding:
    first = next(iter(worked_by(plan, face.id)), None)
    return Finding(
        code,
        "doubt" if doubt else "stop",
        what,
        why,
        cure,
        keys=("stock", key),
        operation=first.number if first else None,
        feature=face.id,
        values=values,
    )


@rule
def stock_is_thick_enough_to_turn(plan: Plan) -> Iterator[Finding]:
    """The raw diameter holds the largest turned one with its skin on either side, and is not far larger."""
    job, stock = plan.job, plan.job.stock
    outsides = [one for one in job.features if isinstance(one, (Outside, Spigot))]
    if stock.diameter is None or not outsides:
        return
    largest = max(outsides, key=lambda one: one.diameter.plain)
    raw, own = of_stock(job, "diameter"), of_feature(largest, "diameter")
    terms = [(1, raw), (-1, own)]
    terms += [(-1, of_stock(job, "skin"))] * 2 if stock.skin is not None else []
    over = total(*terms)
    values: dict[str, Value | str] = {"stock": raw, "feature": largest.id, "diameter": own, "over": over}
    anchor = largest if isinstance(largest, Outside) else None
    if over.number < -SLACK:
        yield at_feature(
            plan,
            largest,
            "stock-too-thin",
            "the stock is {stock}; {feature} is {diameter}, and the skin comes off besides",
            "it will not clean up: raw skin stays on the part",
            "take thicker stock, or measure it again",
            key="diameter",
            values=values,
        )
    elif raw.number > _THICK * own.number and anchor is not None:
        yield _of_the_stock(
            plan,
            "stock-far-thicker",
            "the stock is {stock}, the largest turned size {diameter}",
            "one of the two may be in inches, or have a digit too many",
            "measure the stock again, and look at the drawing",
            anchor,
            values,
            doubt=True,
            key="diameter",
        )


_THICK = 1.25
"""Stock so many times as thick as the largest turned size is doubted: common practice, no source."""


@rule
def features_are_within_the_part(plan: Plan) -> Iterator[Finding]:
    """A spigot, a bore and a turned length are not longer than the part."""
    length = part_length(plan.job)
    if not is_round(plan.job) or length is None:
        return
    for feature in plan.job.features:
        if isinstance(feature, (Spigot, Outside)) and feature.length is not None:
            key, own = "length", of_feature(feature, "length")
        elif isinstance(feature, Bore) and feature.depth is not None:
            key, own = "depth", of_feature(feature, "depth")
        else:
            continue
        from_ = sunk(plan.job, feature.from_)
        deep = total((1, own), *from_)
        # an outside may be turned past the part, where it is parted off
        least = SLACK if isinstance(feature, Outside) else -SLACK
        if deep.number > length.number + least:
            yield at_feature(
                plan,
                feature,
                "longer-than-the-part",
                "{feature} reaches {deep} from its end; the part is {length} long",
                "nothing of the part would be left behind it",
                "look at both lengths again",
                key=key,
                values={"feature": feature.id, "deep": deep, "length": length},
            )


@rule
def turned_lengths_meet(plan: Plan) -> Iterator[Finding]:
    """Between what is turned from one end and what is turned from the other no raw band stays."""
    job, length = plan.job, part_length(plan.job)
    outsides = [one for one in job.features if isinstance(one, Outside)]
    spigots = [one for one in job.features if isinstance(one, Spigot)]
    if not is_round(job) or length is None or not outsides or any(one.length is None for one in outsides):
        return
    turned: list[Outside | Spigot] = [*outsides, *spigots]
    reach: dict[str, Value] = {}
    for one in turned:
        far = total((1, of_feature(one, "length")), *sunk(job, one.from_))
        side = side_of(job, one)
        if side not in reach or far.number > reach[side].number:
            reach[side] = far
    if len(reach) > 2:
        return
    both = total(*((1, far) for far in reach.values()))
    one_end = len({one.operation.setup for one in plan.operations if cuts(one)}) == 1
    if both.number < length.number - SLACK:
        yield at_feature(
            plan,
            outsides[0],
            "raw-band-left",
            "turned from one end only, {both} of {length} are reached"
            if one_end
            else "turned from either end, {both} of {length} are reached",
            "behind them the bar stays as it is"
            if one_end
            else "between them a band stays that no tool has touched",
            "make one of the lengths longer, or look at them again",
            "note" if one_end else "stop",
            key="length",
            values={"both": both, "length": length},
        )


@rule
def cut_stays_off_the_jaws(plan: Plan) -> Iterator[Finding]:
    """What is turned on the outside lies outside the jaws."""
    for operation in plan.operations:
        feature, setup = operation.feature, plan.job.setup(operation.operation.setup)
        turned = isinstance(feature, (Outside, Spigot)) and operation.recipe.does in ("turn", "shoulder")
        if not turned or setup.stick_out is None or setup.jaws == "inside":
            continue
        assert isinstance(feature, (Outside, Spigot))  # just looked at
        if feature.length is None:
            continue
        far = total((1, of_feature(feature, "length")), *sunk(plan.job, feature.from_))
        if far.number > setup.stick_out.plain + SLACK:
            yield at(
                operation,
                "cut-reaches-the-jaws",
                "{feature} reaches {far} from the end; the piece stands out {out}",
                "the tool runs into the jaws before the length is done",
                "let it stand out further, or look at the length again",
                keys=("setups", setup.id, "stick_out"),
                values={"feature": feature.id, "far": far, "out": of_setup(setup, "stick_out")},
            )


# --- floors between two sides -------------------------------------------------------------------------


@rule
def floors_hold_from_both_sides(plan: Plan) -> Iterator[Finding]:
    """Over a recess from the other side a floor stays under a blind bore, a hole, a flat, a counterbore."""
    length = part_length(plan.job)
    if length is None:
        return
    pits = {one.id: (one, deep) for one, deep in _pits(plan)}
    over = run("pits_over", above=_pit_rows(plan, pits, "top"), below=_from_below(plan, pits))
    for names in _rows_of(over["meetings"] if over is not None else None):
        (one, deep), (other, other_deep) = pits[names.above], pits[names.below]
        left = run("floor_between", thickness=length, depth_a=deep, depth_b=other_deep)
        if left is None or left["floor"].number >= _THIN_BETWEEN:
            continue
        none = left["floor"].number <= SLACK
        yield at_feature(
            plan,
            one,
            "sides-break-through" if none else "thin-floor-between-sides",
            "{one} and {other}, from the other side, leave {floor} of {length} between them",
            "the tool breaks through into the recess behind" if none else "so thin a floor bulges or tears",
            "make one of them shallower, or look at the depths again",
            "stop" if none else "doubt",
            key="depth",
            values={"one": one.id, "other": other.id, "floor": left["floor"], "length": length},
        )


_THIN_BETWEEN = 1.0
"""A floor thinner than this [mm] is doubted: common practice, no source."""

_Pit = Bore | Hole | Flat | Slot | Counterbore
_Pits = dict[str, tuple[_Pit, Value]]


def _pits(plan: Plan) -> Iterator[tuple[_Pit, Value]]:
    """Give everything with a floor, and how far that lies below the end face."""
    for feature in plan.job.features:
        if isinstance(feature, (Bore, Flat, Slot, Counterbore)) and feature.depth is not None:
            own: Value | None = of_feature(feature, "depth")
        elif isinstance(feature, Hole) and not feature.through:
            own = _depth_of_hole(plan, feature)
        else:
            continue
        if own is not None:
            from_ = getattr(base_of(plan.job, feature), "from_", "top")
            yield feature, total((1, own), *sunk(plan.job, from_))


def _depth_of_hole(plan: Plan, hole: Hole) -> Value | None:
    """Give how deep a blind hole is: with its point where its drilling was reckoned."""
    for operation in worked_by(plan, hole.id):
        deep = find(("travel.tip_depth",), operation.scope)
        if deep is not None and deep.plain is not None:
            return deep
    return of_feature(hole, "depth") if hole.depth is not None else None


def _from_below(plan: Plan, pits: _Pits) -> Value:
    """Give the rows of what is worked from below as it lies seen from the top.

    On the axis turning over moves nothing; what lies elsewhere is left out where the zero is at an edge.
    """
    below = _pit_rows(plan, pits, "bottom")
    given = _rows_of(below)
    if any(setup.origin not in (None, "middle") for setup in plan.job.setups):
        given = tuple(row for row in given if row.x == 0 and row.y == 0)
    setup = next((one for one in plan.job.setups if one.turned_about is not None), None)
    points = tuple(Point(row.x, row.y) for row in given)
    found = run(
        "turn_over_positions",
        positions=rows("turn_over_positions", "positions", points, below),
        about=of_setup(setup, "turned_about") if setup is not None else "x",
    )
    if found is None:
        return rows("pits_over", "below", ())
    there = zip(given, _rows_of(found["positions"]), strict=True)
    turned = tuple(row._replace(x=point.x, y=point.y) for row, point in there)
    return rows("pits_over", "below", turned, below, found["positions"])


def _rows_of(value: Value | None) -> tuple[Any, ...]:
    """Give the rows of a value that has some."""
    return value.plain if value is not None and isinstance(value.plain, tuple) else ()


def _pit_rows(plan: Plan, pits: _Pits, side: str) -> Value:
    """Give everything with a floor that is worked from a side, as round pits seen along the axis."""
    given: list[PitRow] = []
    terms: list[Value] = []
    for pit, deep in pits.values():
        if side_of(plan.job, pit) == side:
            at, wide = _round(plan, pit)
            given += [PitRow(pit.id, one.x, one.y, wide.number, deep.number) for one in points_of(at)]
            terms += [at, wide, deep]
    return rows("pits_over", "above", tuple(given), *terms)


_AXIS = constant(0.0, "mm", "the axis of a round piece", "places on a round piece count from it")


def _round(plan: Plan, pit: _Pit) -> tuple[Value, Value]:
    """Give what a pit takes up, seen along the axis, as circles: places and diameter [mm].

    A flat and a slot count as the circle in their middle.
    """
    if isinstance(pit, Bore):
        return rows("reach_of_places", "positions", (Point(0.0, 0.0),), _AXIS), of_feature(pit, "diameter")
    if isinstance(pit, Flat):
        narrow = "width" if pit.width.plain <= pit.length.plain else "length"
        return place_rows(pit, (pit.at,) if pit.at is not None else ()), of_feature(pit, narrow)
    if isinstance(pit, Slot):
        return place_rows(pit, (pit.at,)), of_feature(pit, "width")
    hole = base_of(plan.job, pit)
    assert isinstance(hole, Hole)  # a counterbore stands of a hole
    return places(plan, hole), of_feature(pit if pit.diameter is not None else hole, "diameter")


# --- chains of lengths -----------------------------------------------------------------------------------


@rule
def chains_are_short_enough(plan: Plan) -> Iterator[Finding]:
    """A toleranced depth is taken from its own face, or the chain through another is narrow enough."""
    for feature in plan.job.features:
        if not isinstance(feature, (Flat, Face)) or feature.upper is None or feature.lower is None:
            continue
        made = finished_by(plan, feature)
        if made is None:
            continue
        setup = plan.job.setup(made.operation.setup)
        ground = ground_of(plan.job, feature.from_)
        if ground is None or _rests_on(plan, ground, (*setup.located_on, setup.zero)):
            continue
        own_made = finished_by(plan, ground)
        if own_made is None or own_made.operation.setup == setup.id:
            continue
        chain = _chain_to(plan, ground)
        own = total((1, of_feature(feature, "upper")), (-1, of_feature(feature, "lower")))
        if chain is not None and chain.number > own.number + SLACK:
            yield at_feature(
                plan,
                feature,
                "chain-wider-than-tolerance",
                "{feature} has {own} of tolerance from {ground}, which was cut in another setup: "
                "by the faces located on it can be off by {chain}",
                "lengths taken from another face carry the tolerance of every length between",
                "locate on {ground}, put the zero there, or cut both in one setup",
                "stop" if chain.number > 2 * own.number else "doubt",
                key="upper",
                values={"feature": feature.id, "own": own, "ground": ground.id, "chain": chain},
            )


def _rests_on(plan: Plan, ground: Face | Spigot | Flat, texts: tuple[str, ...]) -> bool:
    """Tell whether a setup locates on a face, or has its zero there; a shoulder is the face of its flange."""
    names = [ground.id]
    if isinstance(ground, Spigot):
        names += ["shoulder", *(one.id for one in plan.job.features if isinstance(one, Outside))]
    return any(is_named(name, text) for name in names for text in texts)


def _chain_to(plan: Plan, ground: Face | Spigot | Flat) -> Value | None:
    """Give by how much a face may lie elsewhere [mm], taken from the face opposite."""
    length = part_length(plan.job)
    sizes = [length] if length is not None else []
    if isinstance(ground, Spigot):
        sizes.append(of_feature(ground, "length"))
    elif isinstance(ground, Flat) and ground.depth is not None:
        sizes.append(of_feature(ground, "depth"))
    if not sizes:
        return None
    widths = [general(plan.job, size) for size in sizes]
    links = tuple(
        ChainLink(size.number, off.number, -off.number, 1) for size, off in zip(sizes, widths, strict=True)
    )
    found = run("dimension_chain", links=rows("dimension_chain", "links", links, *sizes, *widths))
    return found["tolerance"] if found is not None else None
