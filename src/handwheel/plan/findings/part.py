"""What rules about the part share: where its features lie, who makes them, sums of their sizes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from handwheel.calc import CATALOGUE
from handwheel.calc.chains import ChainLink
from handwheel.calc.geometry import Point
from handwheel.errors import InputError
from handwheel.models.features import AnyFeature, Face, Flat, Hole, Spigot, Thread
from handwheel.models.job import Job, Mate, Setup, base_of
from handwheel.models.sizes import Size
from handwheel.plan.binding import find
from handwheel.plan.finding import Finding, Severity
from handwheel.plan.resolve import Plan, ResolvedOperation
from handwheel.values import Entered, Gathered, Listed, Value

__all__ = [
    "CLEANING",
    "ONLY_BEGINNING",
    "TYPING_SLIPS",
    "as_value",
    "at_feature",
    "at_mate",
    "constant",
    "cuts",
    "finished_by",
    "general",
    "ground_of",
    "is_named",
    "is_round",
    "of_feature",
    "of_mate",
    "of_setup",
    "of_stock",
    "part_length",
    "place_rows",
    "places",
    "points_of",
    "rows",
    "run",
    "side_of",
    "sunk",
    "thread_diameter",
    "total",
    "worked_by",
]

ONLY_BEGINNING = frozenset({"centre-drill", "drill", "drill-tailstock", "spot"})
"""Operations that begin a bore or a fitted hole, and never bring it to its size."""

CLEANING = frozenset({"deburr", "break-edges"})
"""Operations that take the burrs off."""

TYPING_SLIPS = ("ten times", "25.4", "swapped")
"""Words of the slips that come of typing a size, and not of reading it off an instrument."""

_NO_CHIP = frozenset(
    {"set-zero", "true-up", "turn-over", "change-jaws", "measure-mate", "inspect", "fit-to-mate"}
)
"""Operations that cut nothing."""


def cuts(operation: ResolvedOperation) -> bool:
    """Tell whether an operation takes chips off, burrs aside."""
    return operation.feature is not None and operation.recipe.does not in CLEANING | _NO_CHIP


# --- sizes as Values ---------------------------------------------------------------------------------


def as_value(written: Size | str | int, where: str, basis: str) -> Value:
    """Give a size, a word or a count of a file as a Value with its origin."""
    if isinstance(written, Size):
        return Value(written.plain, written.unit, Entered(where, written.text, written.basis or basis))
    return Value(written, "", Entered(where, str(written), basis))


def constant(plain: float, unit: str, what: str, source: str = "common practice, no source") -> Value:
    """Give a constant of a rule as a Value: what it is, and its source."""
    return Value(plain, unit, Listed(f"the plan check, {what}", source))


def of_feature(feature: AnyFeature, key: str) -> Value:
    """Give a size or a word of a feature that is there."""
    return as_value(getattr(feature, key), f"job.toml features.{feature.id}.{key}", feature.basis)


def of_mate(mate: Mate, key: str) -> Value:
    """Give a size of a mate that is there."""
    return as_value(getattr(mate, key), f"job.toml mates.{mate.id}.{key}", mate.basis)


def of_setup(setup: Setup, key: str) -> Value:
    """Give a size or a word of a setup that is there."""
    return as_value(getattr(setup, key), f"job.toml setups.{setup.id}.{key}", setup.basis)


def of_stock(job: Job, key: str) -> Value:
    """Give a size or a word of the stock that is there."""
    return as_value(getattr(job.stock, key), f"job.toml stock.{key}", job.stock.basis)


def run(calculation: str, **inputs: Value | str) -> dict[str, Value] | None:
    """Run a calculation for a rule; None where it refuses what is on file.

    A word may be the rule's own choice. A number without an origin is refused with a `TypeError`.
    """
    given = {name: _with_origin(name, value) for name, value in inputs.items()}
    try:
        return CATALOGUE[calculation].run(given)
    except InputError:
        return None


def _with_origin(name: str, value: object) -> Value:
    if isinstance(value, Value):
        return value
    if isinstance(value, str):
        return Value(value, "", Listed("the plan check", "what the rule looks at"))
    raise TypeError(f"{name} = {value!r} has no origin")


def thread_diameter(thread: Thread) -> Value | None:
    """Give the major diameter of a thread; None where its designation is not known."""
    found = run("thread_dimensions", thread=of_feature(thread, "thread"))
    return found["major_diameter"] if found is not None else None


def total(*terms: tuple[int, Value]) -> Value:
    """Add up lengths [mm], each with its sign."""
    links = tuple(ChainLink(value.number, 0, 0, sign) for sign, value in terms)
    given = rows("dimension_chain", "links", links, *(value for _, value in terms))
    return CATALOGUE["dimension_chain"].run({"links": given})["value"]


def general(job: Job, size: Value) -> Value:
    """Give the general tolerance [mm] of an untoleranced length, to either side."""
    its_class = as_value(job.job.general_tolerance, "job.toml job.general_tolerance", "drawing")
    return CATALOGUE["general_tolerance"].run({"size": size, "class": its_class})["tolerance"]


def rows(calculation: str, name: str, given: tuple[object, ...], *terms: Value) -> Value:
    """Give rows as an input of a calculation, and the values that they were put together from."""
    return Value(given, CATALOGUE[calculation].inputs[name].unit, Gathered(terms))


# --- where a feature lies ------------------------------------------------------------------------------


def is_round(job: Job) -> bool:
    """Tell whether the piece is one that turns about its axis."""
    return job.stock.form in ("round", "tube", "hexagon")


def ground_of(job: Job, from_: str) -> Face | Spigot | Flat | None:
    """Give the feature that `from` names; None where it is a side of the stock."""
    if from_ in job.sides or not from_:
        return None
    found = job.feature(from_)
    return found if isinstance(found, (Face, Spigot, Flat)) else None


def _grounds(job: Job, from_: str) -> Iterator[Face | Spigot | Flat]:
    """Follow `from` to the end face: shoulder, flat, and the face they are taken from."""
    seen: set[str] = set()
    while (ground := ground_of(job, from_)) is not None and ground.id not in seen:
        yield ground
        if isinstance(ground, Face):
            return
        seen.add(ground.id)
        from_ = ground.from_


def side_of(job: Job, feature: AnyFeature) -> str:
    """Give the side that a feature is made from, as its `from` says."""
    base = base_of(job, feature)
    if isinstance(base, Face):
        return base.side
    from_: str = getattr(base, "from_", base.side)
    for ground in _grounds(job, from_):
        from_ = ground.side if isinstance(ground, Face) else ground.from_
    return from_


def sunk(job: Job, from_: str) -> tuple[tuple[int, Value], ...]:
    """Give the terms of how far below the end face a `from` lies: the spigot above its shoulder, the flat."""
    found: list[tuple[int, Value]] = []
    for ground in _grounds(job, from_):
        if isinstance(ground, Spigot):
            found.append((1, of_feature(ground, "length")))
        elif isinstance(ground, Flat) and ground.depth is not None:
            found.append((1, of_feature(ground, "depth")))
    return tuple(found)


def part_length(job: Job) -> Value | None:
    """Give how long a round part is when finished: the face with a thickness."""
    face = next((one for one in job.features if isinstance(one, Face) and one.thickness is not None), None)
    return of_feature(face, "thickness") if face is not None else None


def places(plan: Plan, hole: Hole) -> Value:
    """Give the places [mm] of a hole's pattern as rows, as its first operation or the job has them."""
    for operation in worked_by(plan, hole.id):
        found = find(("pattern.positions", "feature.places"), operation.scope)
        if found is not None and isinstance(found.plain, tuple):
            points = tuple(Point(one.x, one.y) for one in found.plain)
            return rows("reach_of_places", "positions", points, found)
    return place_rows(hole, hole.at or ())


def place_rows(feature: AnyFeature, at: tuple[tuple[Size, Size], ...]) -> Value:
    """Give places [mm] that are written down with a feature as rows."""
    where = f"job.toml features.{feature.id}.at"
    sizes = (as_value(size, where, feature.basis) for place in at for size in place)
    points = tuple(Point(x.plain, y.plain) for x, y in at)
    return rows("reach_of_places", "positions", points, *sizes)


def points_of(places: Value) -> tuple[Point, ...]:
    """Give the places of rows, to be compared."""
    assert isinstance(places.plain, tuple)  # places are rows
    return places.plain


def is_named(id: str, text: str | None) -> bool:
    """Tell whether a text in words names a feature by its id."""
    return text is not None and id in text.replace(",", " ").replace(";", " ").split()


# --- who makes it ----------------------------------------------------------------------------------------


def worked_by(plan: Plan, id: str) -> list[ResolvedOperation]:
    """Give the operations on a feature itself, in order."""
    return list(plan.by_feature.get(id, ()))


def finished_by(plan: Plan, feature: AnyFeature) -> ResolvedOperation | None:
    """Give the operation that brings a feature to its size: the last that cuts it and leaves nothing on."""
    made = [one for one in worked_by(plan, feature.id) if cuts(one) and one.operation.leave is None]
    sized = [one for one in made if one.recipe.does not in ONLY_BEGINNING]
    return (sized or made)[-1] if made else None


# --- findings --------------------------------------------------------------------------------------------


def at_feature(
    plan: Plan,
    feature: AnyFeature,
    code: str,
    what: str,
    why: str,
    cure: str,
    severity: Severity = "stop",
    *,
    key: str = "",
    values: Mapping[str, Value | str] | None = None,
) -> Finding:
    """Make a finding about a feature; it touches the first operation on it, or on what stands of it."""
    own = (*worked_by(plan, feature.id), *_on_what_stands_of(plan, feature))
    return Finding(
        code,
        severity,
        what,
        why,
        cure,
        keys=("features", feature.id, *((key,) if key else ())),
        operation=own[0].number if own else None,
        feature=feature.id,
        values=values or {},
    )


def _on_what_stands_of(plan: Plan, feature: AnyFeature) -> Iterator[ResolvedOperation]:
    for one in plan.operations:
        if one.feature is not None and base_of(plan.job, one.feature).id == feature.id:
            yield one


def at_mate(
    plan: Plan,
    mate: Mate,
    feature: AnyFeature,
    code: str,
    what: str,
    why: str,
    cure: str,
    severity: Severity = "stop",
    *,
    key: str = "",
    values: Mapping[str, Value | str] | None = None,
) -> Finding:
    """Make a finding about a mate; it touches the first operation on the feature that has to fit it."""
    first = next(iter(worked_by(plan, feature.id)), None)
    return Finding(
        code,
        severity,
        what,
        why,
        cure,
        keys=("mates", mate.id, *((key,) if key else ())),
        operation=first.number if first else None,
        feature=feature.id,
        values=values or {},
    )
