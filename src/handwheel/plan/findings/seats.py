"""What sits in what: a register in its recess, a bearing in its seat, a ring in its groove."""

from __future__ import annotations

from collections.abc import Iterator

from handwheel.models.features import Bore, Groove, Spigot
from handwheel.models.job import Mate
from handwheel.plan.finding import Finding
from handwheel.plan.findings.part import at_feature, at_mate, general, of_feature, of_mate, run, total
from handwheel.plan.findings.rules import rule
from handwheel.plan.resolve import Plan
from handwheel.values import SLACK, Value


@rule
def register_seats_before_it_bottoms(plan: Plan) -> Iterator[Finding]:
    """A spigot is shorter than the recess that it goes into is deep."""
    for spigot in plan.job.features:
        if not isinstance(spigot, Spigot) or spigot.mate is None:
            continue
        mate = plan.job.mate(spigot.mate)
        if mate.depth is None:
            continue
        length, depth = of_feature(spigot, "length"), of_mate(mate, "depth")
        values: dict[str, Value | str] = {
            "spigot": spigot.id, "length": length, "mate": mate.what, "depth": depth,
        }  # fmt: skip
        room = total((1, depth), (-1, length))
        if room.number < _LEAST_ROOM - SLACK:
            yield at_feature(
                plan,
                spigot,
                "register-bottoms",
                "{spigot} is {length} long; {mate} is {depth} deep",
                "it meets the ground before the shoulder seats, and then neither holds it square",
                "make it shorter, or measure the depth of the recess again",
                "stop" if room.number <= SLACK else "doubt",
                key="length",
                values=values,
            )
        elif depth.number > _DEEP_RECESS * length.number:
            yield at_mate(
                plan,
                mate,
                spigot,
                "recess-far-deeper",
                "{mate} is {depth} deep; {spigot} that goes in is {length} long",
                "a size in inches, or a digit too many, looks like this",
                "measure the depth of the recess again",
                "doubt",
                key="depth",
                values=values,
            )


_LEAST_ROOM = 0.5
"""A register with less room [mm] in front of it is doubted: common practice, no source."""

_DEEP_RECESS = 5.0
"""A recess so many times as deep as its register is long is doubted: common practice, no source."""


def _seats(plan: Plan) -> Iterator[tuple[Bore, Mate, Groove | None]]:
    """Give the blind bores that hold a mate of a known width, with the ring's groove in them."""
    grooves = [one for one in plan.job.features if isinstance(one, Groove) and one.ring]
    for bore in plan.job.features:
        if isinstance(bore, Bore) and bore.mate is not None and bore.depth is not None:
            mate = plan.job.mate(bore.mate)
            if mate.depth is not None:
                yield bore, mate, next((one for one in grooves if one.of == bore.id), None)


@rule
def seat_holds_its_mate(plan: Plan) -> Iterator[Finding]:
    """A seat is at least as deep as its mate is wide, and without a ring not far deeper."""
    for bore, mate, groove in _seats(plan):
        depth, width = of_feature(bore, "depth"), of_mate(mate, "depth")
        shallow = depth.number < width.number - SLACK
        if not shallow and (groove is not None or depth.number <= _FAR_DEEPER * width.number):
            continue
        yield at_feature(
            plan,
            bore,
            "seat-too-shallow" if shallow else "seat-far-deeper",
            "{seat} is {depth} deep; {mate} is {width} wide",
            "it stands out of its seat, where a cover or the shaft does not expect it"
            if shallow
            else "a size in inches, or a digit too many, looks like this",
            "look at the depth on the drawing, and at the width of the mate",
            "stop" if shallow and groove is not None else "doubt",
            key="depth",
            values={"seat": bore.id, "depth": depth, "mate": mate.what, "width": width},
        )


_FAR_DEEPER = 2.5
"""A seat so many times as deep as its mate is wide is doubted: common practice, no source."""


@rule
def shoulder_suits_a_bearing(plan: Plan) -> Iterator[Finding]:
    """Behind the seat of a ball bearing the shoulder holds the outer ring, and stays off the inner one."""
    through = [one for one in plan.job.features if isinstance(one, Bore) and one.through]
    for bore in plan.job.features:
        if not isinstance(bore, Bore) or bore.mate is None or bore.through:
            continue
        mate, own = plan.job.mate(bore.mate), of_feature(bore, "diameter")
        if "bearing" not in mate.what.lower():
            continue
        for other in through:
            behind = of_feature(other, "diameter")
            if not _INNER * own.number <= behind.number <= _OUTER * own.number:
                yield at_feature(
                    plan,
                    other,
                    "shoulder-unlike-its-bearing",
                    "{other} behind {seat}, {own}, is {behind}",
                    "a shoulder so high rubs on the inner ring; one so low does not hold the outer"
                    if behind.number < own.number
                    else "there is no shoulder",
                    "look at both diameters, and at the abutment sizes of the bearing",
                    "doubt",
                    key="diameter",
                    values={"other": other.id, "seat": bore.id, "own": own, "behind": behind},
                )


_INNER, _OUTER = 0.55, 0.92
"""Shoulders behind the outer ring of a ball bearing as shares of its diameter: bearing makers' abutment
sizes, from memory."""


@rule
def ring_sits_in_front_of_its_mate(plan: Plan) -> Iterator[Finding]:
    """The groove of a ring lies outside the place of the mate, and right in front of it."""
    for bore, mate, groove in _seats(plan):
        if groove is None:
            continue
        position, width = of_feature(groove, "position"), of_feature(groove, "width")
        far_wall = total((1, position), (1, width))
        front = total((1, of_feature(bore, "depth")), (-1, of_mate(mate, "depth")))
        room = total((1, front), (-1, far_wall))
        values: dict[str, Value | str] = {
            "groove": groove.id, "far": far_wall, "mate": mate.what, "front": front, "room": room,
        }  # fmt: skip
        if room.number < -SLACK:
            yield at_feature(
                plan,
                groove,
                "groove-behind-its-mate",
                "{groove} ends {far} from the face; {mate} begins {front} from it",
                "the ring does not go in once the mate is seated",
                "look at the groove, at the depth of the seat, and at the width of the mate",
                key="position",
                values=values,
            )
        elif room.number > _RING_PLAY:
            yield at_feature(
                plan,
                groove,
                "ring-leaves-play",
                "between {groove} and {mate} there are {room} of room",
                "the ring does not hold it: it can wander along its seat by so much",
                "look at the groove, at the depth of the seat, and at the width of the mate",
                "stop" if room.number > _FAR_PLAY else "doubt",
                key="position",
                values=values,
            )
        else:
            yield from _room_by_tolerances(plan, bore, groove, room, values)


_RING_PLAY, _FAR_PLAY = 0.5, 3.0
"""Play of a mate behind its ring [mm] that is doubted, and that stops: common practice, no source."""


def _room_by_tolerances(
    plan: Plan, bore: Bore, groove: Groove, room: Value, values: dict[str, Value | str]
) -> Iterator[Finding]:
    """Tell that the untoleranced lengths alone may close the room: they are then cut by reading."""
    lengths = (of_feature(bore, "depth"), of_feature(groove, "position"))
    off = total(*((1, general(plan.job, length)) for length in lengths))
    if off.number > room.number:
        yield at_feature(
            plan,
            groove,
            "ring-room-by-tolerances",
            "between {groove} and its mate there are {room}; the general tolerance of the lengths is {off}",
            "within the drawing the ring may not go in, or rattle",
            "cut the seat by its reading, then set the groove from the floor of the seat",
            "note",
            key="position",
            values={**values, "off": off},
        )


@rule
def groove_is_in_its_bore(plan: Plan) -> Iterator[Finding]:
    """A groove is wider than its bore, and ends before the bore does."""
    for groove in plan.job.features:
        if not isinstance(groove, Groove):
            continue
        bore = plan.job.feature(groove.of)
        assert isinstance(bore, Bore)  # held when the job is read
        diameter, own = of_feature(bore, "diameter"), of_feature(groove, "diameter")
        if own.number <= diameter.number + SLACK:
            yield at_feature(
                plan,
                groove,
                "groove-smaller-than-bore",
                "{groove} is {own}, the bore {bore}",
                "there is nothing to cut: the bore is larger already",
                "look at both diameters again",
                key="diameter",
                values={"groove": groove.id, "own": own, "bore": diameter},
            )
        if bore.depth is None:
            continue
        far_wall = total((1, of_feature(groove, "position")), (1, of_feature(groove, "width")))
        if far_wall.number > bore.depth.plain + SLACK:
            yield at_feature(
                plan,
                groove,
                "groove-beyond-its-bore",
                "{groove} ends {far} from the face, the bore is {depth} deep",
                "the blade runs into the floor of the bore",
                "look at position and width of the groove, and at the depth of the bore",
                key="position",
                values={"groove": groove.id, "far": far_wall, "depth": of_feature(bore, "depth")},
            )


@rule
def ring_groove_is_of_the_standard(plan: Plan) -> Iterator[Finding]:
    """A groove for a ring has the diameter, the width and the land of its standard."""
    for groove in plan.job.features:
        if not isinstance(groove, Groove) or not groove.ring:
            continue
        bore = plan.job.feature(groove.of)
        ring = run("bore_ring_groove", bore_diameter=of_feature(bore, "diameter"))
        if ring is None:
            yield at_feature(
                plan,
                groove,
                "no-ring-for-this-bore",
                "there is no ring of the standard for a bore of {bore}",
                "the ring that was bought is for another bore",
                "look at the diameter of the bore again",
                values={"bore": of_feature(bore, "diameter")},
            )
            continue
        yield from _sizes_of_a_ring(plan, groove, ring)
        yield from _limits_of_a_ring(plan, groove, ring)


def _sizes_of_a_ring(plan: Plan, groove: Groove, ring: dict[str, Value]) -> Iterator[Finding]:
    diameter, width, land = (of_feature(groove, key) for key in ("diameter", "width", "position"))
    if abs(diameter.number - ring["groove_diameter"].number) > SLACK:
        yield _unlike(plan, groove, "diameter", diameter, ring["groove_diameter"])
    if width.number < ring["groove_width"].number - SLACK:
        yield _unlike(plan, groove, "width", width, ring["groove_width"])
    elif width.number > ring["groove_width_max"].number + SLACK:
        yield _unlike(plan, groove, "width", width, ring["groove_width_max"])
    if land.number < ring["edge_distance"].number - SLACK:
        yield at_feature(
            plan,
            groove,
            "groove-near-the-edge",
            "{groove} is {land} from the face; the standard of its ring asks for {least}",
            "under load the land in front of the ring shears off",
            "move the groove in, or look at its position again",
            key="position",
            values={"groove": groove.id, "land": land, "least": ring["edge_distance"]},
        )


def _unlike(plan: Plan, groove: Groove, key: str, given: Value, standard: Value) -> Finding:
    return at_feature(
        plan,
        groove,
        "groove-unlike-its-ring",
        f"the {key} of {{groove}} is {{given}}; DIN 472 has {{standard}} for this bore",
        "the ring does not go in, or does not hold",
        "look at the groove and at the diameter of its bore again",
        key=key,
        values={"groove": groove.id, "given": given, "standard": standard},
    )


def _limits_of_a_ring(plan: Plan, groove: Groove, ring: dict[str, Value]) -> Iterator[Finding]:
    """Hold the limits of the groove's diameter against those of the standard."""
    told: dict[str, Value | str] = {
        "groove": groove.id,
        "low": ring["groove_min"],
        "high": ring["groove_max"],
    }
    if groove.upper is None or groove.lower is None:
        within = groove.zone is not None
        largest = smallest = None
    else:
        own = of_feature(groove, "diameter")
        largest = total((1, own), (1, of_feature(groove, "upper")))
        smallest = total((1, own), (1, of_feature(groove, "lower")))
        within = (
            largest.number <= ring["groove_max"].number + _DUST
            and smallest.number >= ring["groove_min"].number - _DUST
        )
    if not within:
        yield at_feature(
            plan,
            groove,
            "groove-limits-unlike-its-ring",
            "the standard of its ring wants {groove} from {low} to {high}; its limits are others, or none",
            "a groove too shallow lets the ring jump out, one too deep lets it rattle",
            "write down the limits of the standard with upper and lower",
            "doubt",
            key="upper" if largest is not None else "diameter",
            values=told,
        )
    elif largest is not None and smallest is not None:
        yield from _no_wider_than_can_be_cut(plan, groove, largest, smallest, ring, told)


_DUST = 0.0005
"""Limits of a standard are printed in hundredths and thousandths [mm]."""


def _no_wider_than_can_be_cut(
    plan: Plan,
    groove: Groove,
    largest: Value,
    smallest: Value,
    ring: dict[str, Value],
    told: dict[str, Value | str],
) -> Iterator[Finding]:
    """Doubt limits that keep only a small part of what the standard gives."""
    own = total((1, largest), (-1, smallest))
    given = total((1, ring["groove_max"]), (-1, ring["groove_min"]))
    if own.number * _NARROW < given.number:
        yield at_feature(
            plan,
            groove,
            "groove-limits-narrow",
            "the limits of {groove} are {own} apart; the standard of its ring gives {given}",
            "a digit too few, or a decimal point in the wrong place, looks like this",
            "look at upper and lower again",
            "doubt",
            key="upper",
            values={**told, "own": own, "given": given},
        )


_NARROW = 4.0
"""Limits narrower than the standard's by so many times are doubted: common practice, no source."""
