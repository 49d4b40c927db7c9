"""What rules about the part share: where its features lie, who makes them, sums of their sizes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from handwheel.calc import CATALOGUE
from handwheel.calc.chains import ChainLink
from handwheel.errors import InputError
from handwheel.models.features import AnyFeature, Face, Flat, Hole, Spigot, Thread
from handwheel.models.job import Job, Mate, Setup, base_of
from handwheel.models.sizes import Size
from handwheel.plan.binding import find
from handwheel.plan.finding import Finding, Severity
from handwheel.plan.resolve import Plan, ResolvedOperation
from handwheel.values import Entered, Listed, Plain, Value

__all__ = [
    "CLEANING",
    "ONLY_BEGINNING",
    "as_value",
    "at_feature",
    "at_mate",
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
    "places",
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

_NO_CHIP = frozenset(
    {"set-zero", "true-up", "turn-over", "change-jaws", "measure-mate", "inspect", "fit-to-mate"}
)
"""Operations that cut nothing."""


def cuts(operation: ResolvedOperation) -> bool:
    """Tell whether an operation takes chips off, burrs aside."""
    return operation.feature is not None and operation.recipe.does not in CLEANING | _NO_CHIP


# --- sizes as Values ---------------------------------------------------------------------------------


def as_value(size: Size, where: str, basis: str) -> Value:
    """Give a size of a file as a Value with its origin."""
    return Value(size.plain, size.unit, Entered(where, size.text, size.basis or basis))


def of_feature(feature: AnyFeature, key: str) -> Value:
    """Give a size of a feature that is there."""
    return as_value(getattr(feature, key), f"job.toml features.{feature.id}.{key}", feature.basis)


def of_mate(mate: Mate, key: str) -> Value:
    """Give a size of a mate that is there."""
    return as_value(getattr(mate, key), f"job.toml mates.{mate.id}.{key}", mate.basis)


def of_setup(setup: Setup, key: str) -> Value:
    """Give a size of a setup that is there."""
    return as_value(getattr(setup, key), f"job.toml setups.{setup.id}.{key}", setup.basis)


def of_stock(job: Job, key: str) -> Value:
    """Give a size of the stock that is there."""
    return as_value(getattr(job.stock, key), f"job.toml stock.{key}", job.stock.basis)


def run(calculation: str, **inputs: Value | Plain) -> dict[str, Value] | None:
    """Run a calculation for a rule; None where it refuses what is on file."""
    one = CATALOGUE[calculation]
    given = {
        name: value
        if isinstance(value, Value)
        else Value(value, one.inputs[name].unit, Listed("the plan check", "what the rule looks at"))
        for name, value in inputs.items()
    }
    try:
        return one.run(given)
    except InputError:
        return None


def thread_diameter(thread: Thread) -> Value | None:
    """Give the major diameter of a thread; None where its designation is not known."""
    where = f"job.toml features.{thread.id}.thread"
    found = run(
        "thread_dimensions", thread=Value(thread.thread, "", Entered(where, thread.thread, thread.basis))
    )
    return found["major_diameter"] if found is not None else None


def total(*terms: tuple[int, Value]) -> Value:
    """Add up lengths [mm], each with its sign."""
    links = tuple(ChainLink(value.number, 0, 0, sign) for sign, value in terms)
    return CATALOGUE["dimension_chain"].run({"links": rows("dimension_chain", "links", links)})["value"]


def general(job: Job, size: Value) -> Value:
    """Give the general tolerance [mm] of an untoleranced length, to either side."""
    inputs = {"size": size, "class": Value(job.job.general_tolerance, "", Listed("the job", "its class"))}
    return CATALOGUE["general_tolerance"].run(inputs)["tolerance"]


def rows(calculation: str, name: str, given: tuple[object, ...]) -> Value:
    """Give rows as an input of a calculation."""
    unit = CATALOGUE[calculation].inputs[name].unit
    return Value(given, unit, Listed("the job", "its sizes"))


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


def places(plan: Plan, hole: Hole) -> tuple[tuple[float, float], ...]:
    """Give the places [mm] of a hole's pattern, as its first operation has them."""
    for operation in worked_by(plan, hole.id):
        found = find(("pattern.positions", "feature.places"), operation.scope)
        if found is not None and isinstance(found.plain, tuple):
            return tuple((one.x, one.y) for one in found.plain)
    if hole.at is not None:
        return tuple((x.plain, y.plain) for x, y in hole.at)
    return ()


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
