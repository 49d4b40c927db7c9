"""What is on file about one operation, as Values: where each name of the list comes from.

`names.py` is the declared list. Never a default: what is not on file is `Missing`, with what to find out.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from handwheel.models.features import Bore, Edge, Groove, Hole, Outside, Spigot
from handwheel.models.job import Job, Mate, Operation, Setup, base_of
from handwheel.models.shop import LATHE_TOOLS, Machine, Shop, Tool, UseName, Workholding
from handwheel.plan.book import Book
from handwheel.plan.feature_facts import write_feature
from handwheel.values import Value

__all__ = ["Facts", "facts"]

Facts = Mapping[str, Value]


class InstrumentRow(NamedTuple):
    """An instrument in one use, as the choice of an instrument reads it."""

    name: str
    smallest: float
    largest: float
    uncertainty: float


def facts(job: Job, shop: Shop, operation: Operation, does: str = "") -> Facts:
    """Give every fact that is on file for an operation, and every one that would be asked for.

    `does` is the operation of the trade that its recipe is, where the recipe has an id of its own.
    """
    book = Book()
    _job(book, job)
    setup = job.setup(operation.setup)
    if operation.feature is not None:
        write_feature(book, job, shop, operation, job.feature(operation.feature))
        _tools_of_the_hole(book, job, shop, operation)
    mate = job.mate_of(operation)
    if mate is not None:
        _mate(book, mate)
    where = f"job.toml operations.{operation.number}"
    name = operation.recipe
    book.plain("operation.recipe", does or name, f"{where}.recipe", operation.basis, name)
    _turned(book, job, shop, operation)
    if (does or name) == "face" and "operation.turned_diameter" in book.values:
        book.plain("operation.starts_as", "turn", f"{where}.tool", operation.basis, operation.tool or "")
    book.size("operation.leave", operation.leave, f"{where}.leave", operation.basis)
    book.yes_or_no("operation.leaves", operation.leave is not None, f"{where}.leave", operation.basis)
    backward = operation.spindle == "reverse"
    book.yes_or_no("operation.turns_backward", backward, f"{where}.spindle", operation.basis)
    _setup(book, job, setup)
    _machine(book, shop.machine(setup.machine), setup.machine)
    machine = shop.machine(setup.machine)
    in_spindle = machine is None or machine.kind == "lathe"
    _workholding(book, shop.workholding(setup.workholding), setup.workholding, in_spindle)
    _tool(book, shop.tool(operation.tool), operation)
    _instruments(book, shop)
    return book.values


def _job(book: Book, job: Job) -> None:
    head, stock = job.job, job.stock
    book.size("job.hardness", head.hardness, "job.toml job.hardness", "drawing")
    book.plain("job.general_tolerance", head.general_tolerance, "job.toml job.general_tolerance", "drawing")
    book.plain("material.name", head.material, "job.toml job.material", "drawing")
    through = any(isinstance(one, Hole) and one.through for one in job.features)
    book.plain("job.holes_go_through", through, "job.toml features", "drawing")
    for name in ("length", "width", "diameter", "bore_diameter", "slant_a", "slant_b", "skin"):
        book.size(f"stock.{name}", getattr(stock, name), f"job.toml stock.{name}", stock.basis)
    book.plain("stock.leaning", stock.leaning, "job.toml stock.leaning", stock.basis)
    known = stock.slant_a is not None and stock.slant_b is not None and stock.leaning is not None
    book.yes_or_no("stock.slants_known", known, "job.toml stock.slant_a", stock.basis)


def _turned(book: Book, job: Job, shop: Shop, operation: Operation) -> None:
    """Write down the largest diameter that a tool on the slide cuts: the cutting speed is taken there."""
    tool = shop.tool(operation.tool)
    if tool is None or tool.kind not in LATHE_TOOLS:
        return
    own = job.feature(operation.feature) if operation.feature else None
    widest = own if isinstance(own, Groove) else base_of(job, own) if own else None
    as_finished = (Groove, Bore, Outside, Spigot) if isinstance(own, Edge) else (Groove, Bore)
    if isinstance(widest, as_finished):
        where = f"job.toml features.{widest.id}.diameter"
        book.size("operation.turned_diameter", widest.diameter, where, widest.basis)
    elif "feature.start_diameter" in book.values:
        book.values["operation.turned_diameter"] = book.values["feature.start_diameter"]
    else:
        size = job.stock.diameter or job.stock.width
        book.size("operation.turned_diameter", size, "job.toml stock.diameter", job.stock.basis)


def _mate(book: Book, mate: Mate) -> None:
    """Write down a mate. A size that stands in the job is an estimate until an operation has measured it."""
    where = f"job.toml mates.{mate.id}"
    book.plain("mate.what", mate.what, f"{where}.what", mate.basis)
    book.plain("mate.kind", mate.is_, f"{where}.is", mate.basis)
    book.yes_or_no("mate.is_shaft", mate.is_ == "shaft", f"{where}.is", mate.basis)
    book.yes_or_no("mate.is_fitted", mate.fitted, f"{where}.fitted", mate.basis)
    book.yes_or_no("mate.is_measured", bool(mate.sizes), f"{where}.measured", mate.basis)
    book.yes_or_no("mate.has_fit", mate.min_clearance is not None, f"{where}.min_clearance", mate.basis)
    book.numbers("mate.sizes", mate.sizes, f"{where}.measured", "estimate")
    for name in ("nominal", "min_clearance", "max_clearance"):
        book.size(f"mate.{name}", getattr(mate, name), f"{where}.{name}", mate.basis)


def _setup(book: Book, job: Job, setup: Setup) -> None:
    where, basis = f"job.toml setups.{setup.id}", setup.basis
    book.yes_or_no("setup.in_jaws", setup.grip_depth is not None, f"{where}.grip_depth", basis)
    for name in ("grip_depth", "grip_diameter", "stick_out", "bar_behind"):
        book.size(f"setup.{name}", getattr(setup, name), f"{where}.{name}", basis)
    for name in ("gripped_on", "trued_on", "clocked_on", "support"):
        book.plain(f"setup.{name}", getattr(setup, name), f"{where}.{name}", basis)
    book.plain("setup.gripping", setup.jaws, f"{where}.jaws", basis)
    held_by = setup.support or "chuck"
    book.plain("setup.held_by", held_by, f"{where}.{'support' if setup.support else 'workholding'}", basis)
    given = (
        ("setup.grip_known", setup.grip_diameter is not None and setup.jaws is not None, "grip_diameter"),
        ("setup.sticks_out", setup.stick_out is not None, "stick_out"),
        ("setup.supported", setup.support is not None, "support"),
        ("setup.grips_inside", setup.jaws == "inside", "jaws"),
        ("setup.is_trued", setup.trued_on is not None, "trued_on"),
        ("setup.trues_a_feature", setup.trued_on in {one.id for one in job.features}, "trued_on"),
        ("setup.has_soft_jaws", setup.soft_jaws, "soft_jaws"),
        ("setup.is_clocked", setup.clocked_on is not None, "clocked_on"),
        ("setup.is_turned_over", setup.turned_about is not None, "turned_about"),
        ("setup.has_bar_behind", setup.bar_behind is not None, "bar_behind"),
    )
    for name, flag, key in given:
        book.yes_or_no(name, flag, f"{where}.{key}", basis)


def _machine(book: Book, machine: Machine | None, id: str) -> None:
    where = f"shop.toml machines.{id}"
    speeds = machine.speeds if machine else ()
    by_speed = sorted(speeds, key=lambda one: one.plain)
    highest = by_speed[-1] if speeds else getattr(machine, "highest_speed", None)
    lowest = by_speed[0] if speeds else getattr(machine, "lowest_speed", None)
    of_steps = ".speeds" if speeds else ""
    book.plain("machine.stepped", bool(speeds), f"{where}.speeds", "estimate")
    book.plain("machine.reverses", bool(machine and machine.reverses), f"{where}.reverses", "estimate")
    metric = machine is None or machine.units == "mm"
    book.plain("machine.metric", metric, f"{where}.units", "estimate")
    book.numbers("machine.spindle_speeds", speeds, f"{where}.speeds", "estimate")
    book.size("machine.highest_speed", highest, f"{where}{of_steps or '.highest_speed'}", "estimate")
    book.size("machine.lowest_speed", lowest, f"{where}{of_steps or '.lowest_speed'}", "estimate")
    for name in ("rated_power", "base_speed", "backlash", "dial_turn", "graduation"):
        book.size(f"machine.{name}", getattr(machine, name, None), f"{where}.{name}", "estimate")
    book.plain("machine.title", machine.title if machine else None, f"{where}.title", "estimate")
    factor = machine.light_factor if machine else None
    book.plain("machine.light_factor", factor, f"{where}.light_factor", "estimate")
    reads = machine.reads if machine else None
    follows = machine and machine.constant_surface_speed
    book.plain("machine.counts_on", reads, f"{where}.reads", "estimate")
    given = (
        ("machine.by_dial", bool(machine and machine.dial_turn and not machine.readout), "dial_turn"),
        ("machine.counts_radius", reads == "radius", "reads"),
        ("machine.is_lathe", bool(machine and machine.kind == "lathe"), "kind"),
        ("machine.follows_diameter", bool(follows), "constant_surface_speed"),
        ("machine.has_backlash", bool(machine and machine.backlash), "backlash"),
        ("machine.screwed_nose", bool(machine and machine.nose == "screwed"), "nose"),
    )
    for name, flag, key in given:
        book.yes_or_no(name, flag, f"{where}.{key}", "estimate")


def _workholding(book: Book, holding: Workholding | None, id: str, in_spindle: bool) -> None:
    """Write down what holds the piece. On the table of a mill a chuck stands still: no speed is its limit."""
    where = f"shop.toml workholdings.{id}"
    turns = in_spindle and holding is not None and holding.kind in ("chuck", "collet", "faceplate")
    book.plain("workholding.turns", turns, f"{where}.kind", "estimate")
    book.plain("workholding.title", holding.title if holding else None, f"{where}.title", "estimate")
    book.yes_or_no(
        "workholding.independent", bool(holding and holding.independent), f"{where}.independent", "estimate"
    )
    if not turns or holding is None:
        return
    book.size("workholding.highest_speed", holding.highest_speed, f"{where}.highest_speed", "estimate")
    known = holding.static_force is not None or holding.key_torque is not None
    by_speed = holding.jaw_mass is not None and holding.jaw_radius is not None
    book.yes_or_no("workholding.grip_known", known and by_speed, f"{where}.static_force", "estimate")
    book.plain("workholding.jaws", holding.jaws, f"{where}.jaws", "estimate")
    for name in ("static_force", "key_torque", "rated_force", "rated_torque", "jaw_mass", "jaw_radius"):
        book.size(f"workholding.{name}", getattr(holding, name), f"{where}.{name}", "estimate")


def _tools_of_the_hole(book: Book, job: Job, shop: Shop, operation: Operation) -> None:
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


def _tool(book: Book, tool: Tool | None, operation: Operation) -> None:
    id = operation.tool
    where = f"shop.toml tools.{id}" if id else f"job.toml operations.{operation.number}.tool"
    for name in (
        "diameter", "point_angle", "tip_diameter", "reach", "highest_speed", "pilot_diameter", "bevel",
        "width", "nose_radius", "overhang", "bar_diameter", "smallest_bore",
    ):  # fmt: skip
        book.size(f"tool.{name}", getattr(tool, name, None), f"{where}.{name}", "estimate")
    for name in ("material", "teeth", "bar_material"):
        book.plain(f"tool.{name}", getattr(tool, name, None), f"{where}.{name}", "estimate")
    book.plain("tool.title", tool.title if tool else None, f"{where}.title", "estimate")
    rounded = tool is not None and tool.nose_radius is not None
    book.yes_or_no("tool.has_nose_radius", rounded, f"{where}.nose_radius", "estimate")
    barred = tool is not None and tool.bar_diameter is not None and tool.overhang is not None
    book.yes_or_no("tool.has_bar", barred, f"{where}.bar_diameter", "estimate")
    typed = (tool.bar_material if tool else None) or ""
    support = {"steel": "steel_bar", "carbide": "carbide_bar"}.get(typed)
    book.plain("tool.bar_support", support, f"{where}.bar_material", "estimate", typed)
    book.yes_or_no("tool.on_slide", bool(tool and tool.kind in LATHE_TOOLS), f"{where}.kind", "estimate")
    measurable = bool(tool and tool.kind in ("drill", "end-mill", "counterbore", "reamer"))
    book.plain("tool.measurable", measurable, f"{where}.kind", "estimate")
    in_spindle = bool(tool and tool.kind != "hand-tap" and tool.kind not in LATHE_TOOLS)
    book.plain("tool.in_spindle", in_spindle, f"{where}.kind", "estimate")
    book.yes_or_no("tool.has_pilot", bool(tool and tool.kind == "counterbore"), f"{where}.kind", "estimate")
    on_axis = bool(tool and tool.kind in ("countersink", "spot-drill"))
    book.plain("tool.on_axis", on_axis, f"{where}.kind", "estimate")
    jobber = bool(tool and tool.kind == "drill" and tool.length in ("jobber", "long"))
    book.plain("tool.jobber", jobber, f"{where}.length", "estimate")


def _instruments(book: Book, shop: Shop) -> None:
    uses: tuple[UseName, ...] = ("inside", "outside", "depth", "rim", "groove")
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
