"""Where to start: cutting speed, feed and depth of cut for a material, an operation and a tool.

The tables hold the figures as printed, in feet and inches; here they become metres and millimetres.
A published range stays a range. The value given is its low end for a speed, a place in proportion to
the diameter for a drill's feed, and the printed suggestion for a depth of cut. A machine that is lighter
than those the figures were printed for is given a share of speed and depth; the feed stays, because a
feed too fine rubs, and speed is what excites chatter (common practice, no source).
"""

from collections.abc import Mapping
from functools import cache
from math import isnan
from typing import Annotated, Any, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation
from handwheel.calc.materials import CONDITIONS, Material, MaterialName, find_material
from handwheel.calc.quantities import CuttingSpeed, Diameter, Feed
from handwheel.tables import table

__all__ = ["OPERATIONS", "TOOL_MATERIALS", "start_values"]

OPERATIONS = (
    "face", "flat", "slot", "pocket", "profile", "mill", "turn", "bore", "drill", "spot", "chamfer",
    "countersink", "counterbore", "ream", "tap", "tap-by-hand", "thread", "knurl", "shoulder", "groove",
    "face-recess", "internal-groove", "part-off", "break-edges", "centre-drill",
)  # fmt: skip
TOOL_MATERIALS = ("HSS", "HSS-Co", "carbide", "carbide-insert")

_FOOT = 0.3048  # m, exact (ISO 80000-3)
_INCH = 25.4  # mm, exact (ISO 80000-3)
_LAST_BIT = 1e-9  # in; sizes nearer than this are one size
# Twice HSS: mill maker's manual and university handout, both read. Carbide drills two to three times:
# US Navy NAVEDTRA 14345, read.
_CARBIDE = {"drill": (2.0, 3.0), "turn": (2.0, 2.0), "mill": (2.0, 2.0)}
# How much faster than plain HSS the fast end of cobalt is: tool makers' catalogues, 10 to 25 %, from memory.
_COBALT = 1.1
# A cutter buried in the metal to half of its diameter is deep enough: common practice, no source.
_DEEPEST = 0.5
# "The lower feed for harder materials" is the Navy's rule; from which hardness on is common practice.
_HARD = 300.0  # HB

Operation = Annotated[str, Quantity("", "operation", choices=OPERATIONS)]
ToolMaterial = Annotated[str, Quantity("", "tool", choices=TOOL_MATERIALS)]
Condition = Annotated[str, Quantity("", "condition", choices=CONDITIONS)]
Hardness = Annotated[float, Quantity("HB", "HB", above=0, usual=(30, 450))]
FeedPerTooth = Annotated[float, Quantity("mm", "fz", kind="feed", above=0)]
DepthOfCut = Annotated[float, Quantity("mm", "ap", above=0)]
LightFactor = Annotated[float, Quantity("", "k", at_least=0.2, at_most=1, usual=(0.5, 1))]
Text = Annotated[str, Quantity("", "text")]
SpeedLow = Annotated[float, Quantity("m/min", "v_low", above=0)]
SpeedHigh = Annotated[float, Quantity("m/min", "v_high", above=0)]
DepthLow = Annotated[float, Quantity("mm", "ap_low", above=0)]
DepthHigh = Annotated[float, Quantity("mm", "ap_high", above=0)]


class Range(NamedTuple):
    """A value inside a published range, and the source."""

    value: float | None = None
    low: float | None = None
    high: float | None = None
    source: str | None = None


class Speed(NamedTuple):
    """A published range of cutting speeds [m/min], and the source."""

    low: float
    high: float
    source: str


class StartValues(NamedTuple):
    """What to start with; None where it does not apply to the operation."""

    cutting_speed: CuttingSpeed | None
    cutting_speed_low: SpeedLow | None
    cutting_speed_high: SpeedHigh | None
    cutting_speed_source: Text | None
    feed: Feed | None
    feed_low: Feed | None
    feed_high: Feed | None
    feed_source: Text | None
    feed_per_tooth: FeedPerTooth | None
    feed_per_tooth_low: FeedPerTooth | None
    feed_per_tooth_high: FeedPerTooth | None
    feed_per_tooth_source: Text | None
    depth_of_cut: DepthOfCut | None
    depth_of_cut_low: DepthLow | None
    depth_of_cut_high: DepthHigh | None
    depth_of_cut_source: Text | None
    hardness_used: Hardness | None
    note: Text
    warnings: tuple[str, ...] = ()


@cache
def _rows(name: str, column: str) -> Mapping[str, tuple[Mapping[str, Any], ...]]:
    """Give the rows of a table by the word in one of its columns."""
    rows: dict[str, tuple[Mapping[str, Any], ...]] = {}
    for row in table(name).rows:
        rows[row[column]] = (*rows.get(row[column], ()), row)
    return rows


@cache
def _source(keys: str) -> str:
    """Spell out the sources of a row."""
    return "; ".join(_rows("start_sources", "key")[key][0]["text"] for key in keys.split())


def _band(name: str, start_class: str, hardness: float | None) -> Mapping[str, Any] | None:
    """Give the row of a class up to a hardness; None where the table has no such class."""
    rows = _rows(name, "class").get(start_class)
    if rows is None:
        return None
    for row in rows:
        if hardness is None or hardness <= row["hardness_to"]:
            return row
    raise CalculationError(
        f"start_values: no published speed for {start_class} of {hardness:g} HB; "
        f"there is one up to {rows[-1]['hardness_to']:g} HB"
    )


def _hss(process: str, start_class: str, hardness: float | None) -> Speed:
    row = _band("start_hss", start_class, hardness)
    if row is None:
        raise CalculationError(f"start_values: no published speed for {start_class}")
    low, high = row[f"{process}_low"] * _FOOT, row[f"{process}_high"] * _FOOT
    return Speed(low, high, _source(row[f"{process}_source"]))


def _insert(process: str, start_class: str, hardness: float | None) -> Speed:
    row = _band("start_inserts", start_class, hardness)
    if row is None or isnan(row[f"{process}_low"]):
        return _carbide(process, start_class, hardness)
    unit = _FOOT if process == "turn" and row["turn_unit"] == "ft/min" else 1.0
    low, high = row[f"{process}_low"] * unit, row[f"{process}_high"] * unit
    return Speed(low, high, _source(row[f"{process}_source"]))


def _carbide(process: str, start_class: str, hardness: float | None) -> Speed:
    hss = _hss(process, start_class, hardness)
    low, high = _CARBIDE[process]
    times = f"{low:g}" if low == high else f"{low:g} to {high:g}"
    return Speed(hss.low * low, hss.high * high, f"{times} times the HSS speed; {hss.source}")


def _tap(start_class: str, hardness: float | None) -> Speed:
    row = _band("start_taps", start_class, hardness)
    if row is None:
        raise CalculationError(f"start_values: no published tapping speed for {start_class}")
    return Speed(row["low"] * _FOOT, row["high"] * _FOOT, _source(row["source"]))


def _speed(row: Mapping[str, Any], tool: str, start_class: str, hardness: float | None) -> Range:
    """Give the speed [m/min] of an operation, by the factors of its row."""
    process = row["speed"]
    if process == "none":
        return Range()
    routes = {"carbide": _carbide, "carbide-insert": _insert}
    if process == "tap":
        speed = _tap(start_class, hardness)
    else:
        speed = routes.get(tool, _hss)(process, start_class, hardness)
    low, high = speed.low * row["factor_low"], speed.high * row["factor_high"]
    said = f"{_source(row['source'])}; {speed.source}" if row["source"] else speed.source
    if tool == "HSS-Co":
        return Range(low, low, high * _COBALT, f"{said}; {_source('cobalt')}")
    return Range(low, low, high, said)


def _holds(row: Mapping[str, Any], size: float) -> bool:
    """Whether a drill [in] is over one diameter and up to another; the last bit of an inch is no next row."""
    return bool(row["diameter_over"] + _LAST_BIT < size <= row["diameter_to"] + _LAST_BIT)


def _drill_feed(diameter: float, hard: bool, factor: float) -> Range:
    """Give the feed per revolution [mm]: in proportion between the ends of a row; the low end if hard."""
    size = diameter / _INCH
    drills = table("start_drill_feeds")
    row = next((row for row in drills.rows if _holds(row, size)), None)
    if row is None:
        smallest, largest = drills.rows[0]["diameter_over"], drills.rows[-1]["diameter_to"]
        raise CalculationError(
            f"start_values: no published drill feed for {diameter:g} mm; there is one over "
            f"{smallest * _INCH:.2f} mm and up to {largest * _INCH:.1f} mm"
        )
    scale = _INCH * factor
    place = (size - row["diameter_over"]) / (row["diameter_to"] - row["diameter_over"])
    grown = row["low"] + place * (row["high"] - row["low"])
    return Range(
        (row["low"] if hard else grown) * scale, row["low"] * scale, row["high"] * scale, drills.source
    )


def _turn_feed(start_class: str, factor: float) -> Range:
    """Give the feed per revolution [mm]: the middle of the finish feeds; a small lathe roughs with it too."""
    row = _rows("start_cuts", "class")[start_class][0]
    low, high = row["turn_feed_low"] * _INCH * factor, row["turn_feed_high"] * _INCH * factor
    return Range((low + high) / 2, low, high, _source("shop"))


def _given_feed(row: Mapping[str, Any]) -> Range:
    """Give the feed per revolution [mm] that is printed for an operation, whatever the material."""
    low, high = row["feed_low"] * _INCH, row["feed_high"] * _INCH
    return Range(low, low, high, _source(row["source"]))


def _feed(row: Mapping[str, Any], start_class: str, diameter: float, hard: bool) -> Range:
    """Give the feed per revolution [mm]; none where it is per tooth, or the pitch."""
    if row["feed"] == "drill":
        return _drill_feed(diameter, hard, row["feed_factor"])
    if row["feed"] == "given":
        return _given_feed(row)
    return _turn_feed(start_class, row["feed_factor"]) if row["feed"] in ("turn", "face") else Range()


def _feed_per_tooth(start_class: str, diameter: float) -> Range:
    """Give the feed per tooth [mm] of a face mill, kept down to what a small cutter takes."""
    row = _rows("start_cuts", "class")[start_class][0]
    face_low, face_high = row["face_feed_low"] * _INCH, row["face_feed_high"] * _INCH
    return Range(
        min(face_low, row["small_start"] * diameter),
        min(face_low, row["small_low"] * diameter),
        min(face_high, row["small_high"] * diameter),
        _source(row["face_source"]),
    )


def _depth(start_class: str, feed: str, tool: str, diameter: float) -> Range:
    """Give the depth of cut per side [mm] as printed; half of it as the low end (common practice).

    An end mill cuts no deeper than half of its diameter.
    """
    row = _rows("start_cuts", "class")[start_class][0]
    turned = "turn_depth_carbide" if tool.startswith("carbide") else "turn_depth_hss"
    depth = row["mill_depth" if feed in ("face", "mill") else turned] * _INCH
    if feed == "mill" and depth > _DEEPEST * diameter:
        return Range(_DEEPEST * diameter, _DEEPEST * diameter / 2, depth, _source("shop practice"))
    return Range(depth, depth / 2, depth, _source("shop"))


def _hardness(
    material: Material, hardness: float | None, condition: str | None
) -> tuple[float | None, list[str]]:
    """Give the hardness to count with [HB]: given, of the condition, or the highest there is."""
    span = material.hardness
    if span is None:
        return None, []
    if hardness is not None:
        if span[0] * 0.8 <= hardness <= span[1] * 1.2:
            return hardness, []
        return hardness, [f"{material.name} is usually {span[0]:g} to {span[1]:g} HB, not {hardness:g} HB"]
    if condition is not None:
        if condition not in material.conditions:
            known = ", ".join(material.conditions)
            raise CalculationError(f"start_values: {material.name} is listed only as: {known}")
        return material.conditions[condition][1], []
    return span[1], [f"hardness not given: the slowest of {material.name}, for {span[1]:g} HB"]


def _operation(operation: str, tool: str) -> Mapping[str, Any]:
    row = _rows("start_operations", "operation")[operation][0]
    if tool not in row["tools"]:
        known = ", ".join(row["tools"])
        raise CalculationError(
            f'start_values: no published values for {operation} with "{tool}"; there are: {known}'
        )
    return row


def _share(light_factor: float, printed: Range) -> Range:
    """Give a machine its share of what is printed; the printed range stays as it is."""
    value = None if printed.value is None else printed.value * light_factor
    return printed._replace(value=value)


@calculation(
    title="Values to start with",
    formula="table: start_hss, start_inserts, start_taps, start_drill_feeds, start_cuts, by "
    "start_operations; v = k*v_low; ap = k*2*ap_low",
    source="the documents named with each value; where they differ, the low end is the cautious one; the "
    "share for a light machine: common practice, no source",
    examples=(
        Example(
            {"material": "S235", "operation": "drill", "tool_material": "HSS", "diameter": 12.7},
            {"cutting_speed": 24.384, "feed": 0.1778},
            "US Navy NAVEDTRA 14345: low carbon steel from 80 ft/min; 1/2 in drill to 0.007 in",
        ),
        Example(
            {
                "material": "6082", "operation": "turn", "tool_material": "HSS", "diameter": 50.0,
                "light_factor": 0.5,
            },
            {"cutting_speed": 45.72, "cutting_speed_low": 91.44, "depth_of_cut": 0.635},
            "lathe maker's manual: aluminium at 300 ft/min; university handout: 0.05 in deep; half of both",
        ),
    ),
    second="a row of a table has no second route",
)  # fmt: skip
def start_values(
    *,
    material: MaterialName,
    operation: Operation,
    tool_material: ToolMaterial,
    diameter: Diameter,
    hardness: Hardness | None = None,
    condition: Condition | None = None,
    light_factor: LightFactor = 1.0,
) -> StartValues:
    """Give cutting speed [m/min], feed per revolution or per tooth [mm], depth of cut per side [mm].

    The diameter [mm] is the tool's, in turning and boring the cut's. A hardness [HB] wins over a
    condition; with neither the hardest state of the material is taken, and a warning says so. The
    light factor is the share of the published speed and depth that a light machine is given.
    """
    row = _operation(operation, tool_material)
    found = find_material(material)
    used, warnings = _hardness(found, hardness, condition)
    if found.fire_risk:
        warnings.append(f"chips and dust of {found.name} can burn: sharp tools, no fine dry chips, no heaps")
    hard = found.group == "S" or found.start_class.endswith("tool steel") or (used or 0) > _HARD
    milled = row["feed"] in ("face", "mill")
    cuts = milled or row["feed"] == "turn"
    speed = _share(light_factor, _speed(row, tool_material, found.start_class, used))
    feed = _feed(row, found.start_class, diameter, hard)
    per_tooth = _feed_per_tooth(found.start_class, diameter) if milled else Range()
    depth = _depth(found.start_class, row["feed"], tool_material, diameter) if cuts else Range()
    depth = _share(light_factor, depth)
    note = _note(row, tool_material, light_factor)
    return StartValues(*speed, *feed, *per_tooth, *depth, used, note, tuple(warnings))


def _note(row: Mapping[str, Any], tool: str, light_factor: float) -> str:
    parts = [str(row["note"])]
    if tool == "HSS-Co" and row["speed"] != "none":
        parts.append("the speed is that of plain HSS, cobalt stands more heat")
    if light_factor < 1 and row["speed"] != "none":
        parts.append(
            f"for a light machine {light_factor:g} of the printed speed and depth, the feed as printed"
        )
    return "; ".join(parts)
