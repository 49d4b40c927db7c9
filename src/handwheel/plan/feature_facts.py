"""What is on file about the feature of an operation, about what it stands of, and about what stands of it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple, TypeVar

from handwheel.models.features import (
    AnyFeature,
    Bore,
    Chamfer,
    Counterbore,
    Countersink,
    Edge,
    Face,
    Flat,
    Groove,
    Hole,
    OfHole,
    Outside,
    Slot,
    Spigot,
    Thread,
    Toleranced,
)
from handwheel.models.job import Job, Operation, base_of
from handwheel.models.shop import Shop
from handwheel.plan.book import Book

__all__ = ["Place", "write_feature"]

_Kind = TypeVar("_Kind")


class Place(NamedTuple):
    """A place of a pattern, as listed by hand."""

    x: float
    y: float


def write_feature(book: Book, job: Job, shop: Shop, operation: Operation, feature: AnyFeature) -> None:
    """Write down a feature, the feature it stands of, and how large it is before this operation."""
    base = base_of(job, feature)
    where = f"job.toml features.{base.id}"
    match base:
        case Face():
            _face(book, job, base, where)
        case Outside() | Spigot():
            _outside(book, base, where)
        case Bore():
            _bore(book, base, where)
        case Hole():
            _hole(book, base)
            _part_under(book, job, base, base.from_)
            _of_a_hole(book, job, base, feature)
            _left_in_hole(book, job, operation, base)
        case Flat():
            _flat(book, job, base, where)
        case Slot():
            _slot(book, job, base, where)
    if isinstance(base, (Outside, Spigot, Bore)):
        _fits(book, base, where)
        _start(book, job, shop, operation, base)
    if isinstance(base, Face):
        _opposite(book, job, operation, base)
    if isinstance(feature, Groove):
        _groove(book, shop, feature, f"job.toml features.{feature.id}")
    if isinstance(feature, Edge):
        book.size("feature.leg", feature.leg, f"job.toml features.{feature.id}.leg", feature.basis)
    fine = getattr(base, "mate", None) is not None or getattr(feature, "zone", None) is not None
    tight = fine and operation.leave is None
    book.plain("feature.is_tight", tight, f"{where}.zone", base.basis)
    book.plain("feature.is_slot", isinstance(base, Slot), f"{where}.kind", base.basis)
    inside = isinstance(base, (Bore, Hole))
    book.plain("feature.is_inside", inside, f"{where}.kind", base.basis)
    book.plain("feature.is_a", "hole" if inside else "shaft", f"{where}.kind", base.basis)


# --- faces and turned features -------------------------------------------------------------------------


def _face(book: Book, job: Job, face: Face, where: str) -> None:
    book.plain("feature.only_cleaned", face.thickness is None, f"{where}.thickness", face.basis)
    book.size("feature.thickness", face.thickness, f"{where}.thickness", face.basis)
    _tolerance(book, face, where)
    behind = _behind(job, face.side)
    around = {"plate": _AROUND.get(behind, _AROUND["thickness"]), "hexagon": ("width", "width")}
    length, width = around.get(job.stock.form, ("diameter", "diameter"))
    for name, size in (("start_thickness", behind), ("face_length", length), ("face_width", width)):
        book.size(f"feature.{name}", getattr(job.stock, size), f"job.toml stock.{size}", job.stock.basis)


def _opposite(book: Book, job: Job, operation: Operation, face: Face) -> None:
    """Write down how long the part will be, and whether the face opposite was cut before this operation."""
    earlier = [one for one in job.operations if one.number < operation.number and one.feature is not None]
    cut = [one for one in map(job.feature, (one.feature or "" for one in earlier)) if isinstance(one, Face)]
    second = any({one.side, face.side} == {"top", "bottom"} for one in cut)
    where = f"job.toml features.{face.id}.side"
    book.plain("operation.is_second_face", second, where, face.basis)
    faces = [
        one for one in job.features if isinstance(one, Face) and {one.side, face.side} <= {"top", "bottom"}
    ]
    both = len({one.side for one in faces}) > 1 and any(one.thickness is not None for one in faces)
    book.plain("part.faced_at_both_ends", both, "job.toml features", face.basis)
    _length_of_the_part(book, job, [one for one in job.features if isinstance(one, Face)], face.side)


_AROUND = {
    "thickness": ("length", "width"),
    "length": ("width", "thickness"),
    "width": ("length", "thickness"),
}
"""The two sizes of a plate that a face has, by the size that lies behind it."""


def _outside(book: Book, feature: Outside | Spigot, where: str) -> None:
    book.size("feature.diameter", feature.diameter, f"{where}.diameter", feature.basis)
    book.plain("feature.has_length", feature.length is not None, f"{where}.length", feature.basis)
    book.size("feature.length", feature.length, f"{where}.length", feature.basis)
    _tolerance(book, feature, where)


def _bore(book: Book, bore: Bore, where: str) -> None:
    book.size("feature.diameter", bore.diameter, f"{where}.diameter", bore.basis)
    book.plain("feature.through", bore.through, f"{where}.through", bore.basis)
    book.plain("feature.has_depth", bore.depth is not None, f"{where}.depth", bore.basis)
    book.size("feature.depth", bore.depth, f"{where}.depth", bore.basis)
    _tolerance(book, bore, where)


def _fits(book: Book, feature: Outside | Spigot | Bore, where: str) -> None:
    book.plain("feature.has_mate", feature.mate is not None, f"{where}.mate", feature.basis)


def _groove(book: Book, shop: Shop, groove: Groove, where: str) -> None:
    book.size("feature.groove_diameter", groove.diameter, f"{where}.diameter", groove.basis)
    book.size("feature.groove_width", groove.width, f"{where}.width", groove.basis)
    book.size("feature.groove_position", groove.position, f"{where}.position", groove.basis)
    book.plain("feature.for_a_ring", groove.ring, f"{where}.ring", groove.basis)
    gauged = any(
        use.use == "groove" and use.smallest.plain <= groove.diameter.plain <= use.largest.plain
        for instrument in shop.instruments
        for use in instrument.uses
    )
    book.plain("feature.groove_gauged", gauged, "shop.toml instruments (use groove)", "estimate")
    _tolerance(book, groove, where)


def _start(book: Book, job: Job, shop: Shop, operation: Operation, feature: Outside | Spigot | Bore) -> None:
    """Write down from what diameter a cut starts: what an earlier operation left there, or the stock."""
    earlier = [one for one in job.operations if one.number < operation.number and one.feature is not None]
    same = [one for one in earlier if one.feature == feature.id and one.leave is not None]
    where = f"job.toml operations.{same[-1].number if same else operation.number}.leave"
    book.plain("operation.continues", bool(same), where, operation.basis)
    book.size("operation.left_before", same[-1].leave if same else None, where, operation.basis)
    if isinstance(feature, Bore):
        _start_of_bore(book, job, shop, feature, earlier)
    else:
        _start_outside(book, job, feature, earlier)


def _start_outside(book: Book, job: Job, feature: Outside | Spigot, earlier: list[Operation]) -> None:
    turned = [job.feature(one.feature or "") for one in earlier if one.leave is None]
    cleared = [
        one
        for one in turned
        if isinstance(one, (Outside, Spigot)) and one.id != feature.id and one.from_ == feature.from_
        and _reaches(one, feature)
    ]  # fmt: skip
    least = min(cleared, key=lambda one: one.diameter.plain, default=None)
    if least is not None:
        where = f"job.toml features.{least.id}.diameter"
        book.size("feature.start_diameter", least.diameter, where, least.basis)
    else:
        where = "job.toml stock.diameter"
        book.size("feature.start_diameter", job.stock.diameter, where, job.stock.basis)


def _reaches(other: Outside | Spigot, feature: Outside | Spigot) -> bool:
    """Tell whether another feature was turned at least as far along the piece."""
    if other.length is None or feature.length is None:
        return other.length is None
    return other.length.plain >= feature.length.plain


def _start_of_bore(book: Book, job: Job, shop: Shop, bore: Bore, earlier: list[Operation]) -> None:
    found = [("job.toml stock.bore_diameter", job.stock.bore_diameter, job.stock.basis)]
    for one in earlier:
        other = job.feature(one.feature or "")
        tool = shop.tool(one.tool)
        if not isinstance(other, Bore) or not (other.id == bore.id or _as_deep(other, bore)):
            continue
        if tool is not None and tool.kind == "drill":
            found.append((f"shop.toml tools.{tool.id}.diameter", tool.diameter, "estimate"))
        elif tool is not None and tool.kind == "boring-bar" and one.leave is None and other.id != bore.id:
            found.append((f"job.toml features.{other.id}.diameter", other.diameter, other.basis))
    known = [(where, size, basis) for where, size, basis in found if size is not None]
    where, size, basis = max(
        known,
        key=lambda one: one[1].plain,
        default=(f"job.toml features.{bore.id} (the hole that its boring starts in)", None, bore.basis),
    )
    book.size("feature.start_diameter", size, where, basis)


def _as_deep(other: Bore, bore: Bore) -> bool:
    if other.through or other.depth is None:
        return True
    return bore.depth is not None and other.from_ == bore.from_ and other.depth.plain >= bore.depth.plain


# --- milled features ---------------------------------------------------------------------------------


def _flat(book: Book, job: Job, flat: Flat, where: str) -> None:
    book.plain("feature.is_across", flat.across is not None, f"{where}.across", flat.basis)
    for name in ("across", "depth", "width", "length"):
        book.size(f"feature.{name}", getattr(flat, name), f"{where}.{name}", flat.basis)
    book.plain("feature.has_depth", flat.depth is not None, f"{where}.depth", flat.basis)
    if flat.at:
        book.size("feature.middle_x", flat.at[0], f"{where}.at", flat.basis)
        book.size("feature.middle_y", flat.at[1], f"{where}.at", flat.basis)
    round_ = next((one for one in job.features if isinstance(one, Outside)), None)
    if round_ is not None:
        at = f"job.toml features.{round_.id}.diameter"
        book.size("feature.round_diameter", round_.diameter, at, round_.basis)
    else:
        book.size("feature.round_diameter", job.stock.diameter, "job.toml stock.diameter", job.stock.basis)
    _part_under(book, job, flat, flat.from_)
    _tolerance(book, flat, where)


def _slot(book: Book, job: Job, slot: Slot, where: str) -> None:
    for name in ("width", "length", "depth", "angle"):
        book.size(f"feature.{name}", getattr(slot, name), f"{where}.{name}", slot.basis)
    turned = slot.angle is not None and slot.angle.plain != 0
    book.plain("feature.has_angle", turned, f"{where}.angle", slot.basis)
    book.plain("feature.through", slot.through, f"{where}.through", slot.basis)
    book.plain("feature.has_depth", slot.depth is not None, f"{where}.depth", slot.basis)
    book.size("feature.middle_x", slot.at[0], f"{where}.at", slot.basis)
    book.size("feature.middle_y", slot.at[1], f"{where}.at", slot.basis)
    _part_under(book, job, slot, slot.from_)
    _tolerance(book, slot, where)


# --- holes and what stands of them -------------------------------------------------------------------


def _of_a_hole(book: Book, job: Job, hole: Hole, feature: AnyFeature) -> None:
    """Write down what stands of the same hole: its thread, its chamfer, its counterbore or countersink."""
    _thread(book, _own(job, hole, feature, Thread), hole)
    chamfer = _own(job, hole, feature, Chamfer)
    _chamfer(book, chamfer, hole)
    if isinstance(feature, Chamfer):
        where = f"job.toml features.{feature.id}.diameter"
        book.size("operation.cut_diameter", feature.diameter, where, feature.basis)
    where = f"job.toml features.{feature.id}.kind"
    book.plain("feature.is_chamfer", isinstance(feature, Chamfer), where, "drawing")
    if isinstance(feature, (Counterbore, Countersink)):
        _sink(book, feature)


def _left_in_hole(book: Book, job: Job, operation: Operation, hole: Hole) -> None:
    """Write down what an earlier operation on the same hole left on for this one, per side."""
    earlier = [one for one in job.operations_by_base.get(hole.id, ()) if one.number < operation.number]
    own = [one for one in earlier if one.feature == hole.id]
    left = next((one for one in reversed(own) if one.leave is not None), None)
    last = left or (own[-1] if own else operation)
    where = f"job.toml operations.{last.number}.leave"
    book.size("operation.left_before", left.leave if left else None, where, last.basis)


def _own(job: Job, hole: Hole, feature: AnyFeature, kind: type[_Kind]) -> _Kind | None:
    """Give the feature itself where it is of that kind, else the first that stands of the hole."""
    if isinstance(feature, kind):
        return feature
    standing: Iterator[AnyFeature] = (
        one for one in job.features if isinstance(one, OfHole) and one.of == hole.id
    )
    return next((one for one in standing if isinstance(one, kind)), None)


def _sink(book: Book, feature: Counterbore | Countersink) -> None:
    where = f"job.toml features.{feature.id}"
    book.plain("feature.by_screw", feature.screw is not None, f"{where}.screw", feature.basis)
    book.plain("feature.screw", feature.screw, f"{where}.screw", feature.basis)
    book.size("feature.sink_diameter", feature.diameter, f"{where}.diameter", feature.basis)
    if isinstance(feature, Counterbore):
        book.size("feature.sink_depth", feature.depth, f"{where}.depth", feature.basis)
    else:
        angle = feature.included_angle
        book.size("feature.included_angle", angle, f"{where}.included_angle", feature.basis)


def _part_under(book: Book, job: Job, feature: Hole | Flat | Slot, from_: str) -> None:
    """Write down how thick the part is under the face that a feature is made from.

    That is what its face is made to, or the stock behind its side; under a flat on a round the size across.
    Under the shoulder of a spigot, and under a flat below a face, it follows from the length of the part:
    then that, and what stands above, is written down.
    """
    where = f"job.toml features.{feature.id}.from"
    ground = {one.id: one for one in job.features}.get(from_)
    if isinstance(ground, Flat) and ground.across is not None:
        book.plain("part.is_below_shoulder", False, where, feature.basis)
        book.plain("part.is_faced", True, where, feature.basis)
        at = f"job.toml features.{ground.id}.across"
        book.size("part.thickness", ground.across, at, ground.basis)
        return
    sunk = ground if isinstance(ground, Flat) else None
    if sunk is not None:
        ground = {one.id: one for one in job.features}.get(sunk.from_)
        book.size("part.sunk", sunk.depth, f"job.toml features.{sunk.id}.depth", sunk.basis)
    shoulder = ground if isinstance(ground, Spigot) else None
    chained = shoulder is not None or sunk is not None
    book.plain("part.is_below_shoulder", chained, where, feature.basis)
    faces = [one for one in job.features if isinstance(one, Face)]
    own = next((one for one in faces if from_ in (one.id, one.side)), None)
    book.plain("part.is_faced", own is not None or chained, where, feature.basis)
    if shoulder is not None:
        at = f"job.toml features.{shoulder.id}.length"
        book.size("part.shoulder", shoulder.length, at, shoulder.basis)
    _length_of_the_part(book, job, faces, getattr(shoulder or sunk, "from_", from_))
    if not chained:
        _thickness_behind(book, job, faces, own, from_)


def _length_of_the_part(book: Book, job: Job, faces: list[Face], from_: str) -> None:
    """The finished length stands with the face that has a thickness; the stock's where none has.

    On a plate that is the face in question or the one opposite, on a round any: its length is one.
    """
    near = [one for one in faces if from_ in (one.id, one.side) or {one.side, from_} == {"top", "bottom"}]
    other = faces if job.stock.form != "plate" else []
    face = next((one for one in (*near, *other) if one.thickness is not None), None)
    if face is not None:
        book.size("part.length", face.thickness, f"job.toml features.{face.id}.thickness", face.basis)
    else:
        name = _behind(job, from_)
        book.size("part.length", getattr(job.stock, name), f"job.toml stock.{name}", job.stock.basis)


def _thickness_behind(book: Book, job: Job, faces: list[Face], own: Face | None, from_: str) -> None:
    opposite = next((one for one in faces if {one.side, from_} == {"top", "bottom"}), None)
    face = next((one for one in (own, opposite) if one is not None and one.thickness is not None), None)
    if face is not None:
        book.size("part.thickness", face.thickness, f"job.toml features.{face.id}.thickness", face.basis)
        return
    name = _behind(job, from_)
    book.size("part.thickness", getattr(job.stock, name), f"job.toml stock.{name}", job.stock.basis)


def _behind(job: Job, side: str) -> str:
    """Give the size of the stock that lies behind a side."""
    return _ACROSS.get(side, "thickness" if job.stock.thickness is not None else "length")


_ACROSS = {"left": "length", "right": "length", "front": "width", "back": "width"}
"""Which size of the stock lies behind a side of it; behind top and bottom it is the thickness or length."""


def _tolerance(book: Book, feature: Toleranced, where: str) -> None:
    book.plain("feature.toleranced", feature.upper is not None, f"{where}.upper", feature.basis)
    book.size("feature.upper", feature.upper, f"{where}.upper", feature.basis)
    book.size("feature.lower", feature.lower, f"{where}.lower", feature.basis)
    book.plain("feature.zoned", feature.zone is not None, f"{where}.zone", feature.basis)
    book.plain("feature.zone", feature.zone, f"{where}.zone", feature.basis)


def _hole(book: Book, hole: Hole) -> None:
    where = f"job.toml features.{hole.id}"
    book.size("feature.diameter", hole.diameter, f"{where}.diameter", hole.basis)
    book.size("feature.depth", hole.depth, f"{where}.depth", hole.basis)
    book.plain("feature.has_depth", hole.depth is not None, f"{where}.depth", hole.basis)
    book.plain("feature.through", hole.through, f"{where}.through", hole.basis)
    _tolerance(book, hole, where)
    for flag, pattern in (("on_circle", "circle"), ("on_grid", "grid")):
        book.plain(f"feature.{flag}", bool(getattr(hole, pattern)), f"{where}.{pattern}", hole.basis)
    if hole.at:
        places = tuple(Place(x.plain, y.plain) for x, y in hole.at)
        text = " ".join(f"({x.text}, {y.text})" for x, y in hole.at)
        book.plain("feature.places", places, f"{where}.at", hole.basis, text)
    if hole.circle:
        circle = hole.circle
        book.plain("feature.circle_count", circle.count, f"{where}.circle.count", hole.basis)
        book.size("feature.circle_diameter", circle.diameter, f"{where}.circle.diameter", hole.basis)
        book.size("feature.circle_start", circle.start, f"{where}.circle.start", hole.basis)
        book.size("feature.centre_x", circle.centre_x, f"{where}.circle.centre_x", hole.basis)
        book.size("feature.centre_y", circle.centre_y, f"{where}.circle.centre_y", hole.basis)
    if hole.grid:
        grid = hole.grid
        book.plain("feature.rows", grid.rows, f"{where}.grid.rows", hole.basis)
        book.plain("feature.columns", grid.columns, f"{where}.grid.columns", hole.basis)
        for name in ("pitch_x", "pitch_y", "origin_x", "origin_y"):
            book.size(f"feature.{name}", getattr(grid, name), f"{where}.grid.{name}", hole.basis)
        book.size("feature.grid_angle", grid.angle, f"{where}.grid.angle", hole.basis)


def _thread(book: Book, thread: Thread | None, hole: Hole) -> None:
    where = f"job.toml features.{thread.id}" if thread else f"job.toml features.(thread-of-{hole.id})"
    basis = thread.basis if thread else hole.basis
    book.plain("feature.threaded", thread is not None, where, basis)
    book.plain("feature.thread_through", bool(thread and thread.through), f"{where}.through", basis)
    book.plain("feature.thread", thread.thread if thread else None, f"{where}.thread", basis)
    book.plain("feature.thread_class", thread.class_ if thread else None, f"{where}.class", basis)
    book.size("feature.thread_depth", thread.depth if thread else None, f"{where}.depth", basis)


def _chamfer(book: Book, chamfer: Chamfer | None, hole: Hole) -> None:
    where = f"job.toml features.{chamfer.id}" if chamfer else f"job.toml features.(chamfer-of-{hole.id})"
    basis = chamfer.basis if chamfer else hole.basis
    book.plain("feature.by_leg", bool(chamfer and chamfer.leg), f"{where}.leg", basis)
    book.size("feature.leg", chamfer.leg if chamfer else None, f"{where}.leg", basis)
    book.size("feature.chamfer_diameter", chamfer.diameter if chamfer else None, f"{where}.diameter", basis)
    angle = chamfer.included_angle if chamfer else None
    book.size("feature.included_angle", angle, f"{where}.included_angle", basis)
