"""What is on file about one operation, as Values: the names a recipe may refer to, and where each comes from.

`FACTS` is the one declared list. A fact that is not on file is `Missing`, with what to find out; a fact
without an `ask` may be left out, and the calculation's own default then stands.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from handwheel.models.job import Chamfer, Face, Feature, Hole, Job, Operation, Setup, Thread, base_of
from handwheel.models.shop import Machine, Shop, Tool, UseName, Workholding
from handwheel.models.sizes import Size
from handwheel.values import Entered, Missing, Plain, Unit, Value

__all__ = ["FACTS", "Fact", "Facts", "Place", "facts"]

Facts = Mapping[str, Value]


class Place(NamedTuple):
    """A place of a pattern, as listed by hand."""

    x: float
    y: float


class InstrumentRow(NamedTuple):
    """An instrument in one use, as the choice of an instrument reads it."""

    name: str
    smallest: float
    largest: float
    uncertainty: float


@dataclass(frozen=True, slots=True)
class Fact:
    """One name of the list: the shape and unit of its value, and what to ask where it is not on file."""

    shape: str
    unit: Unit = ""
    ask: str = ""


def _mm(ask: str = "") -> Fact:
    return Fact("number", "mm", ask)


_FLAG = Fact("flag")
_INSTRUMENTS = Fact(
    "rows",
    {"name": "", "smallest": "mm", "largest": "mm", "uncertainty": "mm"},
    "an instrument for this use, with its range and uncertainty",
)

FACTS: Mapping[str, Fact] = {
    "job.hardness": Fact("number", "HB"),
    "job.general_tolerance": Fact("text", "", "the class of untoleranced sizes"),
    "job.holes_go_through": _FLAG,
    "material.name": Fact("text", "", "the material"),
    "stock.length": _mm("the length of the stock"),
    "stock.width": _mm("the width of the stock"),
    "stock.thickness": _mm("the thickness of the stock"),
    "part.thickness": _mm("how thick the part is under this face"),
    "part.is_faced": _FLAG,
    "feature.diameter": _mm("the diameter"),
    "feature.depth": _mm("the depth"),
    "feature.thickness": _mm("the thickness to reach"),
    "feature.upper": _mm("the upper deviation"),
    "feature.lower": _mm("the lower deviation"),
    "feature.thread": Fact("text", "", "the thread"),
    "feature.thread_class": Fact("text", "", "the tolerance class of the thread"),
    "feature.thread_depth": _mm("the depth of full thread"),
    "feature.leg": _mm("the leg of the chamfer"),
    "feature.chamfer_diameter": _mm("the diameter of the chamfer"),
    "feature.included_angle": Fact("number", "deg"),
    "feature.places": Fact("rows", {"x": "mm", "y": "mm"}, "the places of the holes"),
    "feature.circle_count": Fact("count", "", "how many holes are on the circle"),
    "feature.circle_diameter": _mm("the diameter of the circle of holes"),
    "feature.circle_start": Fact("number", "deg"),
    "feature.centre_x": _mm(),
    "feature.centre_y": _mm(),
    "feature.rows": Fact("count", "", "how many rows of holes"),
    "feature.columns": Fact("count", "", "how many columns of holes"),
    "feature.pitch_x": _mm("the pitch of the holes along X"),
    "feature.pitch_y": _mm("the pitch of the holes along Y"),
    "feature.origin_x": _mm(),
    "feature.origin_y": _mm(),
    "feature.grid_angle": Fact("number", "deg"),
    "feature.on_circle": _FLAG,
    "feature.on_grid": _FLAG,
    "feature.at_places": _FLAG,
    "feature.through": _FLAG,
    "feature.threaded": _FLAG,
    "feature.thread_through": _FLAG,
    "feature.toleranced": _FLAG,
    "feature.by_leg": _FLAG,
    "feature.is_chamfer": _FLAG,
    "feature.has_depth": _FLAG,
    "operation.recipe": Fact("text", "", "the recipe"),
    "operation.cut_diameter": _mm(),
    "operation.leave": _mm(),
    "setup.grip_depth": _mm("how much of the piece the jaws hold"),
    "setup.in_jaws": _FLAG,
    "setup.stands_out": _mm("how far the piece stands out of the jaws"),
    "workholding.highest_speed": Fact("number", "1/min", "the maker's highest speed of the chuck"),
    "workholding.turns": _FLAG,
    "machine.spindle_speeds": Fact("numbers", "1/min", "the speeds of the machine"),
    "machine.highest_speed": Fact("number", "1/min", "the highest speed of the machine"),
    "machine.lowest_speed": Fact("number", "1/min", "the lowest speed of the machine"),
    "machine.rated_power": Fact("number", "kW", "the rated power of the spindle motor"),
    "machine.base_speed": Fact("number", "1/min", "the lowest speed at which the machine has its full power"),
    "machine.stepped": _FLAG,
    "machine.reverses": _FLAG,
    "machine.readout": _FLAG,
    "machine.metric": _FLAG,
    "tool.title": Fact("text", "", "the tool"),
    "tool.measurable": _FLAG,
    "tool.in_spindle": _FLAG,
    "tool.diameter": _mm("the diameter of the tool, as measured"),
    "tool.material": Fact("text", "", "what the tool is made of"),
    "tool.teeth": Fact("count", "", "the number of teeth"),
    "tool.point_angle": Fact("number", "deg", "the point angle of the tool"),
    "tool.tip_diameter": _mm("the diameter of the flat at the tip (0 mm where it is sharp)"),
    "tool.reach": _mm("how deep the tool reaches"),
    "tool.highest_speed": Fact("number", "1/min"),
    "tool.on_axis": _FLAG,
    "tool.jobber": _FLAG,
    "drill.point_angle": Fact("number", "deg", "the point angle of the drill that makes this hole"),
    "tap.thread": Fact("text", "", "the thread that the tap cuts"),
    "tap.lead": Fact("number", "", "how many pitches long the lead of the tap is"),
    "tap.point": _mm("how far the tap's point stands in front of its first tooth (0 mm for none)"),
    "shop.inside": _INSTRUMENTS,
    "shop.outside": _INSTRUMENTS,
    "shop.depth": _INSTRUMENTS,
    "shop.rim": _INSTRUMENTS,
}
"""Every name a recipe may refer to, its unit, and what is asked where it is not on file."""


class _Book:
    """Facts being written down, each with its origin."""

    def __init__(self) -> None:
        self.values: dict[str, Value] = {}

    def size(self, name: str, size: Size | None, where: str, basis: str) -> None:
        """Write down a size, or that it is missing where there is something to ask."""
        fact = FACTS[name]
        if size is not None:
            origin = Entered(where, size.text, size.basis or basis)
            self.values[name] = Value(size.plain, fact.unit, origin)
        elif fact.ask:
            self.values[name] = Value(None, fact.unit, Missing(where, fact.ask))

    def plain(self, name: str, plain: Plain, where: str, basis: str, text: str = "") -> None:
        """Write down a word, a count, a yes or no, a list; None is missing."""
        fact = FACTS[name]
        if plain is None or plain == ():
            if fact.ask:
                self.values[name] = Value(None, fact.unit, Missing(where, fact.ask))
            return
        shown = text or (str(plain).lower() if isinstance(plain, bool) else str(plain))
        self.values[name] = Value(plain, fact.unit, Entered(where, shown, basis))

    def numbers(self, name: str, sizes: tuple[Size, ...], where: str, basis: str) -> None:
        """Write down a list of sizes."""
        text = ", ".join(size.text for size in sizes)
        self.plain(name, tuple(size.plain for size in sizes), where, basis, text)


def facts(job: Job, shop: Shop, operation: Operation, does: str = "") -> Facts:
    """Give every fact that is on file for an operation, and every one that would be asked for.

    `does` is the operation of the trade that its recipe is, where the recipe has an id of its own.
    """
    book = _Book()
    _job(book, job)
    setup = job.setup(operation.setup)
    if operation.feature is not None:
        _feature(book, job, job.feature(operation.feature))
        _tools_of_the_hole(book, job, shop, operation)
    where = f"job.toml operations.{operation.number}"
    name = operation.recipe
    book.plain("operation.recipe", does or name, f"{where}.recipe", operation.basis, name)
    book.size("operation.leave", operation.leave, f"{where}.leave", operation.basis)
    _setup(book, setup)
    _machine(book, shop.machine(setup.machine), setup.machine)
    _workholding(book, shop.workholding(setup.workholding), setup.workholding)
    _tool(book, shop.tool(operation.tool), operation)
    _instruments(book, shop)
    return book.values


def _job(book: _Book, job: Job) -> None:
    head, stock = job.job, job.stock
    book.size("job.hardness", head.hardness, "job.toml job.hardness", "drawing")
    book.plain("job.general_tolerance", head.general_tolerance, "job.toml job.general_tolerance", "drawing")
    book.plain("material.name", head.material, "job.toml job.material", "drawing")
    through = any(isinstance(one, Hole) and one.through for one in job.features)
    book.plain("job.holes_go_through", through, "job.toml features", "drawing")
    for name in ("length", "width", "thickness"):
        book.size(f"stock.{name}", getattr(stock, name), f"job.toml stock.{name}", stock.basis)


def _feature(book: _Book, job: Job, feature: Feature) -> None:
    """Write down a feature with what stands of the same hole: its thread and its chamfer."""
    base = base_of(job, feature)
    if isinstance(base, Face):
        _face(book, base)
        return
    assert isinstance(base, Hole)  # held by the model of the job
    _hole(book, base)
    _part_thickness(book, job, base)
    _thread(book, next(_standing(job, base, Thread), None), base)
    chamfer = feature if isinstance(feature, Chamfer) else next(_standing(job, base, Chamfer), None)
    _chamfer(book, chamfer, base)
    if isinstance(feature, Chamfer):
        where = f"job.toml features.{feature.id}.diameter"
        book.size("operation.cut_diameter", feature.diameter, where, feature.basis)
    book.plain(
        "feature.is_chamfer", isinstance(feature, Chamfer), f"job.toml features.{feature.id}.kind", "drawing"
    )


def _standing(job: Job, hole: Hole, kind: type[Thread] | type[Chamfer]) -> Iterator[Thread | Chamfer]:
    return (one for one in job.features if isinstance(one, kind) and one.of == hole.id)


def _face(book: _Book, face: Face) -> None:
    where = f"job.toml features.{face.id}"
    book.size("feature.thickness", face.thickness, f"{where}.thickness", face.basis)
    _tolerance(book, face, where)


def _tolerance(book: _Book, feature: Face | Hole, where: str) -> None:
    book.plain("feature.toleranced", feature.upper is not None, f"{where}.upper", feature.basis)
    book.size("feature.upper", feature.upper, f"{where}.upper", feature.basis)
    book.size("feature.lower", feature.lower, f"{where}.lower", feature.basis)


def _part_thickness(book: _Book, job: Job, hole: Hole) -> None:
    """The part under a hole's face is as thick as that face is made, or as the stock behind its side."""
    faces = [one for one in job.features if isinstance(one, Face)]
    own = next((one for one in faces if hole.from_ in (one.id, one.side)), None)
    face = own or next((one for one in faces if {one.side, hole.from_} == {"top", "bottom"}), None)
    book.plain("part.is_faced", own is not None, f"job.toml features.{hole.id}.from", hole.basis)
    if face is not None:
        where, size, basis = f"job.toml features.{face.id}.thickness", face.thickness, face.basis
        book.size("part.thickness", size, where, basis)
    else:
        name = _ACROSS.get(hole.from_, "thickness")
        size = getattr(job.stock, name)
        book.size("part.thickness", size, f"job.toml stock.{name}", job.stock.basis)


_ACROSS = {"left": "length", "right": "length", "front": "width", "back": "width"}
"""Which size of the stock lies behind a side of it; behind top and bottom it is the thickness."""


def _hole(book: _Book, hole: Hole) -> None:
    where = f"job.toml features.{hole.id}"
    book.size("feature.diameter", hole.diameter, f"{where}.diameter", hole.basis)
    book.size("feature.depth", hole.depth, f"{where}.depth", hole.basis)
    book.plain("feature.has_depth", hole.depth is not None, f"{where}.depth", hole.basis)
    book.plain("feature.through", hole.through, f"{where}.through", hole.basis)
    _tolerance(book, hole, where)
    for flag, pattern in (("on_circle", "circle"), ("on_grid", "grid"), ("at_places", "at")):
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


def _thread(book: _Book, thread: Thread | Chamfer | None, hole: Hole) -> None:
    assert thread is None or isinstance(thread, Thread)
    where = f"job.toml features.{thread.id}" if thread else f"job.toml features.(thread-of-{hole.id})"
    basis = thread.basis if thread else hole.basis
    book.plain("feature.threaded", thread is not None, where, basis)
    book.plain("feature.thread_through", bool(thread and thread.through), f"{where}.through", basis)
    book.plain("feature.thread", thread.thread if thread else None, f"{where}.thread", basis)
    book.plain("feature.thread_class", thread.class_ if thread else None, f"{where}.class", basis)
    book.size("feature.thread_depth", thread.depth if thread else None, f"{where}.depth", basis)


def _chamfer(book: _Book, chamfer: Thread | Chamfer | None, hole: Hole) -> None:
    assert chamfer is None or isinstance(chamfer, Chamfer)
    where = f"job.toml features.{chamfer.id}" if chamfer else f"job.toml features.(chamfer-of-{hole.id})"
    basis = chamfer.basis if chamfer else hole.basis
    book.plain("feature.by_leg", bool(chamfer and chamfer.leg), f"{where}.leg", basis)
    book.size("feature.leg", chamfer.leg if chamfer else None, f"{where}.leg", basis)
    book.size("feature.chamfer_diameter", chamfer.diameter if chamfer else None, f"{where}.diameter", basis)
    angle = chamfer.included_angle if chamfer else None
    book.size("feature.included_angle", angle, f"{where}.included_angle", basis)


def _setup(book: _Book, setup: Setup) -> None:
    where = f"job.toml setups.{setup.id}"
    book.plain("setup.in_jaws", setup.grip_depth is not None, f"{where}.grip_depth", setup.basis)
    book.size("setup.grip_depth", setup.grip_depth, f"{where}.grip_depth", setup.basis)
    book.size("setup.stands_out", setup.stands_out, f"{where}.stands_out", setup.basis)


def _machine(book: _Book, machine: Machine | None, id: str) -> None:
    where = f"shop.toml machines.{id}"
    speeds = machine.speeds if machine else ()
    by_speed = sorted(speeds, key=lambda one: one.plain)
    highest = by_speed[-1] if speeds else getattr(machine, "highest_speed", None)
    lowest = by_speed[0] if speeds else getattr(machine, "lowest_speed", None)
    of_steps = ".speeds" if speeds else ""
    book.plain("machine.stepped", bool(speeds), f"{where}.speeds", "estimate")
    book.plain("machine.reverses", bool(machine and machine.reverses), f"{where}.reverses", "estimate")
    book.plain("machine.readout", bool(machine and machine.readout), f"{where}.readout", "estimate")
    metric = machine is None or machine.units == "mm"
    book.plain("machine.metric", metric, f"{where}.units", "estimate")
    book.numbers("machine.spindle_speeds", speeds, f"{where}.speeds", "estimate")
    book.size("machine.highest_speed", highest, f"{where}{of_steps or '.highest_speed'}", "estimate")
    book.size("machine.lowest_speed", lowest, f"{where}{of_steps or '.lowest_speed'}", "estimate")
    for name in ("rated_power", "base_speed"):
        book.size(f"machine.{name}", getattr(machine, name, None), f"{where}.{name}", "estimate")


def _workholding(book: _Book, holding: Workholding | None, id: str) -> None:
    where = f"shop.toml workholdings.{id}"
    turns = bool(holding and holding.kind in ("chuck", "collet", "faceplate"))
    book.plain("workholding.turns", turns, f"{where}.kind", "estimate")
    limit = holding.highest_speed if holding else None
    if turns:
        book.size("workholding.highest_speed", limit, f"{where}.highest_speed", "estimate")


def _tools_of_the_hole(book: _Book, job: Job, shop: Shop, operation: Operation) -> None:
    """Write down the drill and the tap that the hole of an operation gets, each by its own operation."""
    feature = job.feature(operation.feature or "")
    hole = base_of(job, feature)
    tools = [shop.tool(one.tool) for one in job.operations_by_base.get(hole.id, ())]
    drill = next((tool for tool in tools if tool and tool.kind == "drill"), None)
    tap = next((tool for tool in tools if tool and tool.kind in ("tap", "hand-tap")), None)
    where = f"shop.toml tools.{drill.id if drill else f'(drill-of-{hole.id})'}"
    book.size("drill.point_angle", getattr(drill, "point_angle", None), f"{where}.point_angle", "estimate")
    where = f"shop.toml tools.{tap.id if tap else f'(tap-of-{hole.id})'}"
    book.plain("tap.thread", getattr(tap, "thread", None), f"{where}.thread", "estimate")
    book.plain("tap.lead", getattr(tap, "lead", None), f"{where}.lead", "estimate")
    book.size("tap.point", getattr(tap, "tap_point", None), f"{where}.tap_point", "estimate")


def _tool(book: _Book, tool: Tool | None, operation: Operation) -> None:
    id = operation.tool
    where = f"shop.toml tools.{id}" if id else f"job.toml operations.{operation.number}.tool"
    for name in ("diameter", "point_angle", "tip_diameter", "reach", "highest_speed"):
        book.size(f"tool.{name}", getattr(tool, name, None), f"{where}.{name}", "estimate")
    for name in ("material", "teeth"):
        book.plain(f"tool.{name}", getattr(tool, name, None), f"{where}.{name}", "estimate")
    book.plain("tool.title", tool.title if tool else None, f"{where}.title", "estimate")
    measurable = bool(tool and tool.kind in ("drill", "end-mill"))
    book.plain("tool.measurable", measurable, f"{where}.kind", "estimate")
    book.plain("tool.in_spindle", bool(tool and tool.kind != "hand-tap"), f"{where}.kind", "estimate")
    on_axis = bool(tool and tool.kind in ("countersink", "spot-drill"))
    book.plain("tool.on_axis", on_axis, f"{where}.kind", "estimate")
    jobber = bool(tool and tool.kind == "drill" and tool.length in ("jobber", "long"))
    book.plain("tool.jobber", jobber, f"{where}.length", "estimate")


def _instruments(book: _Book, shop: Shop) -> None:
    uses: tuple[UseName, ...] = ("inside", "outside", "depth", "rim")
    for name in uses:
        rows = tuple(
            InstrumentRow(instrument.id, use.smallest.plain, use.largest.plain, use.uncertainty.plain)
            for instrument in shop.instruments
            for use in instrument.uses
            if use.use == name
        )
        text = ", ".join(
            f"{row.name} {row.smallest:g} to {row.largest:g} mm, U {row.uncertainty:g}" for row in rows
        )
        book.plain(f"shop.{name}", rows, f"shop.toml instruments (use {name})", "estimate", text)
