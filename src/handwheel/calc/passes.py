"""How a stock is taken off: rough cuts of one depth, then two light ones with a reading between."""

from math import ceil, floor, remainder
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation
from handwheel.calc.quantities import Diameter

Size = Annotated[float, Quantity("mm", "s0", kind="size", at_least=0, usual=(0, 500))]
Target = Annotated[float, Quantity("mm", "s1", kind="size", at_least=0, usual=(0, 500))]
MaxDepth = Annotated[float, Quantity("mm", "a_max", above=0, usual=(0.05, 10))]
MinDepth = Annotated[float, Quantity("mm", "a_min", above=0, usual=(0.01, 1))]
Allowance = Annotated[float, Quantity("mm", "q", at_least=0, usual=(0, 5))]
Mode = Annotated[str, Quantity("", "mode", choices=("diameter", "radius", "length"))]
SpringPasses = Annotated[int, Quantity("", "spring", at_least=0, at_most=5)]
Number = Annotated[int, Quantity("", "i")]
Kind = Annotated[str, Quantity("", "kind", choices=("rough", "semi", "finish"))]
Count = Annotated[int, Quantity("", "N", at_least=0)]


_PASSES_EXAMPLE = '[{"number": 1, "size": 21, "depth": 0.5, "kind": "rough", "measure_after": false}]'

_MOST_CUTS = 500
"""More cuts than these are a slip of a size, not a plan."""


class Pass(NamedTuple):
    """One cut: the size it leaves, its depth per side, what it is, and whether to measure after it."""

    number: Number
    size: Annotated[float, Quantity("mm", "s", kind="size")]
    depth: Annotated[float, Quantity("mm", "a", kind="size")]
    kind: Kind
    measure_after: Annotated[bool, Quantity("", "measure")]


class Passes(NamedTuple):
    """The cuts in order, how many, and the sizes at which to measure: before the last cut, after roughing.

    `has_rough` says whether there is roughing at all, `rough_from` the size that its last cut starts from:
    what a tool springs goes by that cut, not by all the metal before it. `next_size` is what the first cut
    leaves.
    """

    passes: Annotated[tuple[Pass, ...], Quantity("", "passes")]
    count: Count  # type: ignore[assignment]  # the contract's name
    before_last: Annotated[float, Quantity("mm", "s_before", kind="size")]
    after_rough: Annotated[float, Quantity("mm", "s_rough", kind="size")]
    has_rough: Annotated[bool, Quantity("", "rough")]
    next_size: Annotated[float, Quantity("mm", "s_next", kind="size")]
    rough_from: Annotated[float, Quantity("mm", "s_from", kind="size")]
    warnings: tuple[str, ...] = ()


@calculation(
    title="Cuts from the stock to the size (depths per side)",
    formula=(
        "k = 2 if mode == 'diameter' else 1; T = abs(s0 - s1) / k; f = min(max(q, 2 * a_min), 2 * a_max); "
        "n = ceil((T - f) / a_max - 1e-9); h = max(1, ceil(T / 2 / a_max)); "
        "a = [] if T == 0 else [T] if T < 2 * a_min else [T / 2 / h] * (2 * h) if T - f < a_min else "
        "[T / 2] * 2 if T - f < n * a_min else [(T - f) / n] * n + [f / 2] * 2; "
        "m = len(a); N = m + (spring if m else 0); "
        "passes = [(i, s0 + (s1 > s0 or -1) * k * sum(a[:i]), a[i - 1] if i <= m else 0, "
        "'rough' if m - i > 1 else 'semi' if m - i == 1 else 'finish', m - i <= 1) for i in "
        "range(1, N + 1)]; "
        "s_before = passes[m - 2][1] if m > 1 else s0; s_rough = passes[m - 3][1] if m > 2 "
        "else s0; rough = m > 2; "
        "s_from = passes[m - 4][1] if m > 3 else s0; s_next = passes[0][1] if m else s1"
    ),
    source="common practice, no source: the last cut copies the one before",
    examples=(
        Example(
            {"start": 22, "target": 20, "max_depth": 1, "min_depth": 0.1, "finish_allowance": 0.5,
             "mode": "length"},
            {"count": 4, "rough_from": 21.25, "after_rough": 20.5, "before_last": 20.25},
            "by hand: 1.5 mm in two rough cuts of 0.75, then 0.25 and 0.25",
        ),
    ),
    second=lambda **given: _plan_from_the_target(**given),
)  # fmt: skip
def pass_plan(
    *,
    start: Size,
    target: Target,
    max_depth: MaxDepth,
    min_depth: MinDepth,
    finish_allowance: Allowance,
    mode: Mode,
    spring_passes: SpringPasses = 0,
) -> Passes:
    """Plan the cuts from `start` to `target` [mm]; all depths and allowances per side [mm].

    Roughing leaves the finish allowance, which goes in two equal cuts. Where the stock is too thin
    for that, it is two equal cuts, or one, and a warning says so.
    """
    if min_depth > max_depth:
        raise CalculationError(
            f"pass_plan: min_depth {min_depth:g} mm is above max_depth {max_depth:g} mm; "
            "expected the thinnest cut below the deepest, such as 0.1 mm and 1 mm"
        )
    sides = 2 if mode == "diameter" else 1
    total = abs(start - target) / sides
    if total / max_depth > _MOST_CUTS:
        raise CalculationError(
            f"pass_plan: {total:g} mm in cuts of {max_depth:g} mm is more than {_MOST_CUTS} cuts; "
            "look at the two sizes, or cut deeper"
        )
    depths, warnings = _depths(total, max_depth, min_depth, finish_allowance)
    toward = sides if target > start else -sides
    rows: list[Pass] = []
    taken = 0.0
    for number, depth in enumerate(depths + [0.0] * (spring_passes if depths else 0), start=1):
        taken += depth
        left = len(depths) - number
        kind = "rough" if left > 1 else "semi" if left == 1 else "finish"
        size = target if left <= 0 else start + toward * taken
        rows.append(Pass(number, size, depth, kind, left <= 1))
    before_last = rows[len(depths) - 2].size if len(depths) > 1 else start
    rough = [row.size for row in rows if row.kind == "rough"]
    after_rough = rough[-1] if rough else start
    rough_from = rough[-2] if len(rough) > 1 else start
    next_size = rows[0].size if rows else target
    return Passes(
        tuple(rows), len(rows), before_last, after_rough, bool(rough), next_size, rough_from, warnings
    )


def _plan_from_the_target(
    start: float,
    target: float,
    max_depth: float,
    min_depth: float,
    finish_allowance: float,
    mode: str,
    spring_passes: int = 0,
) -> Passes:
    """Go the other way: put on again at the target what each cut takes off, the last one first."""
    sides = 2 if mode == "diameter" else 1
    depths, _ = _depths(abs(start - target) / sides, max_depth, min_depth, finish_allowance)
    back = sides if start > target else -sides
    rows = [
        Pass(len(depths) + 1 + one, target, 0.0, "finish", True)
        for one in range(spring_passes if depths else 0)
    ]
    size = target
    for left, depth in enumerate(reversed(depths)):
        kind = ("finish", "semi", "rough")[min(left, 2)]
        rows.insert(0, Pass(len(depths) - left, size, depth, kind, left < 2))
        size += back * depth
    sizes = [start, *(row.size for row in rows if row.kind == "rough")]
    before_last = rows[len(depths) - 2].size if len(depths) > 1 else start
    return Passes(
        tuple(rows),
        len(rows),
        before_last,
        sizes[-1],
        len(sizes) > 1,
        rows[0].size if rows else target,
        sizes[-2] if len(sizes) > 2 else start,
    )


CountsOn = Annotated[str, Quantity("", "counts_on", choices=("diameter", "radius"))]


class RoughCut(NamedTuple):
    """One cut of the roughing as the machine counts it: where the tool stands, and how far it went in."""

    number: Number
    set_to: Annotated[float, Quantity("mm", "to", kind="size")]
    advance: Annotated[float, Quantity("mm", "adv", kind="size")]


class RoughCuts(NamedTuple):
    """The roughing as the machine counts it, and where it ends."""

    cuts: Annotated[tuple[RoughCut, ...], Quantity("", "cuts")]
    begin: Annotated[float, Quantity("mm", "b", kind="size")]
    end: Annotated[float, Quantity("mm", "e", kind="size")]


@calculation(
    title="Roughing, as the machine counts it",
    formula=(
        "k = 1 / 2 if counts_on == 'radius' else 1; rough = [one for one in passes if one.kind == 'rough']; "
        "stands = [s0 * k, *[one.size * k for one in rough]]; "
        "cuts = [(one.number, stands[i], abs(stands[i] - stands[i - 1])) for i, one in enumerate(rough, 1)]; "
        "b = s0 * k; e = stands[-1]"
    ),
    source="how the dials of a lathe are graduated: on diameter, or on radius",
    examples=(
        Example(
            {
                "start": 22,
                "passes": (
                    Pass(1, 21, 0.5, "rough", False),
                    Pass(2, 20.5, 0.25, "semi", True),
                    Pass(3, 20, 0.25, "finish", True),
                ),
                "counts_on": "radius",
            },
            {"begin": 11, "end": 10.5},
            "by hand: half of 22 mm, half of 21 mm",
        ),
    ),
    second=lambda **given: _rough_by_advances(**given),
)
def rough_settings(
    *,
    start: Size,
    passes: Annotated[tuple[Pass, ...], Quantity("", "passes", example=_PASSES_EXAMPLE)],
    counts_on: CountsOn,
) -> RoughCuts:
    """Put the rough cuts of a plan into the terms of the cross slide [mm]: on diameter, or on radius."""
    share = 0.5 if counts_on == "radius" else 1.0
    stood = start * share
    rows: list[RoughCut] = []
    for one in passes:
        if one.kind == "rough":
            rows.append(RoughCut(one.number, one.size * share, abs(one.size * share - stood)))
            stood = one.size * share
    return RoughCuts(tuple(rows), start * share, stood)


def _rough_by_advances(start: float, passes: tuple[Pass, ...], counts_on: str) -> RoughCuts:
    """Go on diameter from cut to cut, and add up what the slide is advanced."""
    sides = 2 if counts_on == "radius" else 1
    sizes = [start, *(one.size for one in passes if one.kind == "rough")]
    numbers = [one.number for one in passes if one.kind == "rough"]
    set_to, rows = start / sides, list[RoughCut]()
    for number, before, after in zip(numbers, sizes, sizes[1:], strict=False):
        set_to += (after - before) / sides
        rows.append(RoughCut(number, set_to, max(after - before, before - after) / sides))
    return RoughCuts(tuple(rows), start / sides, set_to)


@calculation(
    title="Where the cross slide stands for a size",
    formula="to = s if counts_on == 'diameter' else s / 2",
    source="how the dials of a lathe are graduated: on diameter, or on radius",
    examples=(
        Example({"size": 46.5, "counts_on": "radius"}, {"setting": 23.25}, "by hand: half of 46.5 mm"),
        Example({"size": 46.5, "counts_on": "diameter"}, {"setting": 46.5}, "by hand"),
    ),
    second=lambda size, counts_on: size - size / 2 * (counts_on == "radius"),
    result="setting",
)
def slide_setting(
    *, size: Annotated[float, Quantity("mm", "s", kind="size", usual=(-500, 500))], counts_on: CountsOn
) -> Annotated[float, Quantity("mm", "to", kind="size")]:
    """Give where the slide stands [mm] when the tool is at a size [mm on diameter]."""
    return size / 2 if counts_on == "radius" else size


@calculation(
    title="Size at which the tool stands for a setting of the cross slide",
    formula="s = to if counts_on == 'diameter' else 2 * to",
    source="how the dials of a lathe are graduated: on diameter, or on radius",
    examples=(
        Example({"setting": 23.25, "counts_on": "radius"}, {"size": 46.5}, "by hand: twice 23.25 mm"),
        Example({"setting": 46.5, "counts_on": "diameter"}, {"size": 46.5}, "by hand"),
    ),
    second=lambda setting, counts_on: setting + setting * (counts_on == "radius"),
    result="size",
)
def slide_size(
    *, setting: Annotated[float, Quantity("mm", "to", kind="size", usual=(-500, 500))], counts_on: CountsOn
) -> Annotated[float, Quantity("mm", "s", kind="size")]:
    """Give the size [mm on diameter] at which the tool stands when the slide shows `setting` [mm]."""
    return 2 * setting if counts_on == "radius" else setting


def _depths(
    total: float, deepest: float, thinnest: float, allowance: float
) -> tuple[list[float], tuple[str, ...]]:
    if total == 0:
        return [], ("there is nothing to take off",)
    if total < thinnest:
        return [total], (f"{total:g} mm is thinner than the thinnest cut, {thinnest:g} mm: it may only rub",)
    if total < 2 * thinnest:
        return [total], ("too little stock for two cuts: there is no reading before the last",)
    light = min(max(allowance, 2 * thinnest), 2 * deepest)
    rough = total - light
    if rough < thinnest:
        halves = ceil(total / 2 / deepest) if total / 2 > deepest else 1
        return [total / 2 / halves] * (2 * halves), ()
    count = ceil(rough / deepest - 1e-9)
    if rough / count < thinnest:
        return [total / 2, total / 2], ()
    return [rough / count] * count + [light / 2, light / 2], ()


@calculation(
    title="Diameter of a spot that only guides the drill",
    formula="s = min(d, max(d / 2, 2))",
    source="common practice, no source: wider than the drill's web, narrower than the hole",
    examples=(Example({"hole_diameter": 9}, {"diameter": 4.5}, "by hand: half of 9 mm"),),
    second=lambda hole_diameter: (
        sorted((hole_diameter / 2, 2.0, hole_diameter))[1] if hole_diameter >= 2 else hole_diameter
    ),
    result="diameter",
)
def guide_spot(*, hole_diameter: Diameter) -> Annotated[float, Quantity("mm", "s", above=0)]:
    """Give the diameter [mm] of a spot before a drill of the hole's diameter [mm]."""
    return min(hole_diameter, max(hole_diameter / 2, 2.0))


Turn = Annotated[float, Quantity("mm", "p", kind="size", above=0, usual=(0.5, 10), example="4 mm")]
Graduation = Annotated[float, Quantity("mm", "g", kind="deviation", above=0, usual=(0.001, 0.1))]


class DialCut(NamedTuple):
    """One rough cut by the dial: whole turns since the touch, what the dial then shows, and the advance."""

    number: Number
    turns: Annotated[int, Quantity("", "turns")]
    dial: Annotated[float, Quantity("mm", "dial", kind="size")]
    advance: Annotated[float, Quantity("mm", "adv", kind="size")]


class DialCuts(NamedTuple):
    """The roughing by the dial, and where its last cut leaves turns and dial; `end` as the slide counts."""

    cuts: Annotated[tuple[DialCut, ...], Quantity("", "cuts")]
    turns: Annotated[int, Quantity("", "turns")]
    shows: Annotated[float, Quantity("mm", "shows", kind="size")]
    end: Annotated[float, Quantity("mm", "e", kind="size")]


class DialSetting(NamedTuple):
    """Whole turns since the touch, and what the dial then shows."""

    turns: Annotated[int, Quantity("", "turns")]
    shows: Annotated[float, Quantity("mm", "shows", kind="size")]


_DUST = 1e-9


def _wound_back(wound: float, turn: float) -> tuple[int, float]:
    """Look for the whole turn that is nearest, and go back one from there where it is not yet reached."""
    shows = remainder(wound, turn)
    if shows < -_DUST * turn:
        shows += turn
    return round((wound - shows) / turn), max(shows, 0.0)


@calculation(
    title="Turns and dial for a size, the dial at 0 where the tool touched",
    formula=(
        "w = abs(s - s0) * (1 / 2 if counts_on == 'radius' else 1); turns = floor(w / p + 1e-9); "
        "shows = max(w - turns * p, 0)"
    ),
    source="how a dial counts: from 0 again after each turn",
    examples=(
        Example(
            {"size": 104.5, "touched": 115, "counts_on": "diameter", "dial_turn": 4},
            {"turns": 2, "shows": 2.5},
            "by hand: 10.5 mm wound, two turns of 4 mm and 2.5 mm",
        ),
        Example(
            {"size": 26, "touched": 20, "counts_on": "radius", "dial_turn": 2},
            {"turns": 1, "shows": 1},
            "by hand: 3 mm wound, one turn of 2 mm and 1 mm",
        ),
    ),
    second=lambda size, touched, counts_on, dial_turn: DialSetting(
        *_wound_back(abs(size - touched) / (2 if counts_on == "radius" else 1), dial_turn)
    ),
)
def dial_setting(
    *,
    size: Annotated[float, Quantity("mm", "s", kind="size", usual=(0, 500))],
    touched: Annotated[float, Quantity("mm", "s0", kind="size", usual=(0, 500))],
    counts_on: CountsOn,
    dial_turn: Turn,
) -> DialSetting:
    """Give whole turns and dial [mm, as it counts] for a size [mm on diameter].

    The dial was set to 0 where the tool touched at the size `touched` [mm on diameter].
    """
    wound = abs(size - touched) * (0.5 if counts_on == "radius" else 1.0)
    turns = floor(wound / dial_turn + _DUST)
    return DialSetting(turns, max(wound - turns * dial_turn, 0.0))


@calculation(
    title="Roughing by the dial, set to 0 where the tool touched",
    formula=(
        "k = 1 / 2 if counts_on == 'radius' else 1; rough = [one for one in passes if one.kind == 'rough']; "
        "wound = [0, *[g * floor(abs(one.size - s0) * k / g + 1e-6) for one in rough]]; "
        "cuts = [(one.number, floor(wound[i] / p + 1e-9), max(wound[i] - p * floor(wound[i] / p + 1e-9), 0), "
        "wound[i] - wound[i - 1]) for i, one in enumerate(rough, 1)]; "
        "turns = cuts[-1][1] if cuts else 0; shows = cuts[-1][2] if cuts else 0; "
        "e = s0 * k + (1 if rough and rough[-1].size > s0 else -1) * wound[-1]"
    ),
    source="how a dial counts: from 0 again after each turn",
    examples=(
        Example(
            {
                "start": 22,
                "passes": (Pass(1, 16.51, 1.375, "rough", False), Pass(2, 16, 0.255, "finish", True)),
                "counts_on": "diameter",
                "dial_turn": 4,
                "graduation": 0.02,
            },
            {"turns": 1, "shows": 1.48, "end": 16.52},
            "by hand: 5.48 mm wound, the line before 5.49 mm; one turn of 4 mm and 1.48 mm",
        ),
    ),
    second=lambda **given: _dial_by_lines(**given),
)
def dial_settings(
    *,
    start: Size,
    passes: Annotated[tuple[Pass, ...], Quantity("", "passes", example=_PASSES_EXAMPLE)],
    counts_on: CountsOn,
    dial_turn: Turn,
    graduation: Graduation = 0.01,
) -> DialCuts:
    """Put the rough cuts of a plan into turns and lines of the dial [mm, as it counts].

    A size between two lines takes the one that leaves metal on.
    """
    share = 0.5 if counts_on == "radius" else 1.0
    rows: list[DialCut] = []
    stood, toward = 0.0, 1.0
    for one in passes:
        if one.kind == "rough":
            wound = graduation * floor(abs(one.size - start) * share / graduation + 1e-6)
            turns = floor(wound / dial_turn + _DUST)
            rows.append(DialCut(one.number, turns, max(wound - turns * dial_turn, 0.0), wound - stood))
            stood, toward = wound, 1.0 if one.size > start else -1.0
    last = rows[-1] if rows else DialCut(0, 0, 0.0, 0.0)
    return DialCuts(tuple(rows), last.turns, last.dial, start * share + toward * stood)


def _dial_by_lines(
    start: float, passes: tuple[Pass, ...], counts_on: str, dial_turn: float, graduation: float = 0.01
) -> DialCuts:
    """Count in lines of the dial, from one cut to the next."""
    sides = 2 if counts_on == "radius" else 1
    rough = [one for one in passes if one.kind == "rough"]
    reached = [int(abs(one.size - start) / sides / graduation + 1e-6) for one in rough]
    rows = [
        DialCut(one.number, *_wound_back(lines * graduation, dial_turn), (lines - before) * graduation)
        for one, lines, before in zip(rough, reached, [0, *reached], strict=False)
    ]
    turns, shows = (rows[-1].turns, rows[-1].dial) if rows else (0, 0.0)
    wound = sum(row.advance for row in rows)
    grows = bool(rough) and rough[-1].size > start
    return DialCuts(tuple(rows), turns, shows, start / sides + (wound if grows else -wound))
