"""The sizes one dimension passes through: at its temperature, before it grows, with stock still on."""

from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import Example, Quantity, calculation
from handwheel.errors import InputError

__all__ = ["growth_matters", "size_at_reference", "size_before_growth", "stage_size"]

_MATTERS = 10.0
"""The share of a tolerance [%] above which growth by heat counts; common practice, no source."""

Size = Annotated[float, Quantity("mm", "size", kind="size", above=0, usual=(0.5, 500))]
Expansion = Annotated[float, Quantity("1e-6/K", "a", at_least=0, usual=(0.5, 200), example="11.5 1e-6/K")]
Temperature = Annotated[float, Quantity("°C", "t", above=-273.15, usual=(0, 100), example="32 °C")]
Reference = Annotated[float, Quantity("°C", "ref", above=-273.15, usual=(15, 30))]
Kind = Annotated[str, Quantity("", "kind", choices=("shaft", "hole", "length"))]
Growth = Annotated[float, Quantity("µm", "g", at_least=0, usual=(0, 200), example="8 µm")]
Surfaces = Annotated[int, Quantity("", "n", at_least=0, at_most=2)]


class AtReference(NamedTuple):
    """A reading brought to the reference temperature [mm], and what that added to it [µm]."""

    size_at_reference: Annotated[float, Quantity("mm", "s", kind="size")]
    correction: Annotated[float, Quantity("µm", "k")]
    warnings: tuple[str, ...] = ()


@calculation(
    title="Size at the reference temperature, from a reading on a warm part",
    formula=(
        "s = size * (1 + ag * 1e-6 * ((ref if tg is None else tg) - ref)) / (1 + a * 1e-6 * (t - ref)); "
        "k = 1000 * (s - size)"
    ),
    source="ISO 1: sizes hold at 20 °C; linear expansion; 11.5e-6/K for gauge steel, ISO 3650, from memory",
    examples=(
        Example(
            {"size": 150, "temperature": 28, "expansion": 23.6, "gauge_temperature": 28},
            {"size_at_reference": 149.98548, "correction": -14.52},
            "by hand: aluminium read with a steel gauge, 150 mm * 8 K * 12.1e-6/K",
        ),
        Example(
            {"size": 100, "temperature": 30, "expansion": 11.5},
            {"size_at_reference": 99.9885, "correction": -11.5},
            "by hand: 100 mm * 10 K * 11.5e-6/K",
        ),
    ),
    second=lambda **inputs: _reference_by_difference(**inputs),
)
def size_at_reference(
    *,
    size: Size,
    temperature: Temperature,
    expansion: Expansion,
    reference: Reference = 20.0,
    gauge_temperature: Annotated[float, Quantity("°C", "tg", above=-273.15, usual=(0, 60))] | None = None,
    gauge_expansion: Annotated[float, Quantity("1e-6/K", "ag", at_least=0, usual=(0, 30))] = 11.5,
) -> AtReference:
    """Give what a reading [mm] at a temperature [°C] would be at the reference.

    The part shrinks by its expansion [1e-6/K]; a warm gauge has grown too and shows too little.
    Without the gauge's temperature it counts as being at the reference, and a warning says so.
    """
    warnings: tuple[str, ...] = ()
    gauge = reference if gauge_temperature is None else gauge_temperature
    if gauge_temperature is None:
        warnings = (f"the gauge counts as being at {reference:g} °C: its temperature was not given",)
    stretch = 1 + gauge_expansion * 1e-6 * (gauge - reference)
    found = size * stretch / (1 + expansion * 1e-6 * (temperature - reference))
    if found <= 0:
        raise InputError("these temperatures and expansions leave no size; look at their units")
    return AtReference(found, 1000 * (found - size), warnings)


def _reference_by_difference(
    *,
    size: float,
    temperature: float,
    expansion: float,
    reference: float = 20.0,
    gauge_temperature: float | None = None,
    gauge_expansion: float = 11.5,
) -> AtReference:
    """Take off the difference of the two growths, as a share of the part's own length."""
    of_part = expansion * (temperature - reference) / 1e6
    of_gauge = 0.0
    if gauge_temperature is not None:
        of_gauge = gauge_expansion * (gauge_temperature - reference) / 1e6
    change = size * (of_gauge - of_part) / (1 + of_part)
    return AtReference(size + change, 1000 * change)


class Shift(NamedTuple):
    """How far a reading is off by heat [µm], its share of the tolerance [%], whether that matters.

    Of no tolerance at all there is no share, and any warmth matters.
    """

    shift: Annotated[float, Quantity("µm", "shift")]
    share: Annotated[float, Quantity("%", "share")] | None
    matters: Annotated[bool, Quantity("", "matters")]


@calculation(
    title="Whether a part's warmth matters to its tolerance",
    formula="shift = size * (a - ag) * (t - ref) / 1000; share = abs(shift) / (10 * T)",
    source="linear expansion, ISO 1 for the 20 °C; a tenth of the tolerance: common practice, no source",
    examples=(
        Example(
            {"size": 80, "expansion": 17.2, "temperature": 35, "tolerance": 0.03},
            {"shift": 20.64, "share": 68.8, "matters": True},
            "by hand: austenitic stainless, 80 mm * 15 K * 17.2e-6/K",
        ),
        Example(
            {"size": 25, "expansion": 11.5, "temperature": 23, "tolerance": 0.021},
            {"shift": 0.8625, "share": 4.107, "matters": False},
            "by hand",
        ),
    ),
    second=lambda size, expansion, temperature, tolerance, reference=20.0, gauge_expansion=0.0: _shift(
        size * expansion / 1000 * (temperature - reference)
        - size * gauge_expansion / 1000 * (temperature - reference),
        tolerance,
    ),
)
def growth_matters(
    *,
    size: Size,
    expansion: Expansion,
    temperature: Temperature,
    tolerance: Annotated[float, Quantity("mm", "T", kind="deviation", at_least=0, usual=(0.002, 5))],
    reference: Reference = 20.0,
    gauge_expansion: Annotated[float, Quantity("1e-6/K", "ag", at_least=0, usual=(0, 30))] = 0.0,
) -> Shift:
    """Give how much too large [µm] a warm part is read, and whether that is over a tenth of `tolerance` [mm].

    With `gauge_expansion` [1e-6/K] the gauge is as warm as the part; without, it is at the reference.
    """
    return _shift(size * (expansion - gauge_expansion) * (temperature - reference) / 1000, tolerance)


def _shift(shift: float, tolerance: float) -> Shift:
    if tolerance == 0:
        return Shift(shift, None, shift != 0)
    share = abs(shift) / (10 * tolerance)
    return Shift(shift, share, share > _MATTERS + 1e-9)


@calculation(
    title="Size before plating, nitriding or another skin makes it grow",
    formula="b = size + (1 if kind == 'hole' else -1) * n * g / 1000",
    source="geometry: a skin lies on every surface, so a diameter grows by two; common practice, no source",
    examples=(
        Example(
            {"size": 25, "growth_per_surface": 8, "kind": "shaft"},
            {"size_before": 24.984},
            "by hand: 25 - 2 * 0.008",
        ),
        Example(
            {"size": 47.01, "growth_per_surface": 5, "kind": "hole"},
            {"size_before": 47.02},
            "by hand: a hole closes in by 2 * 0.005",
        ),
        Example(
            {"size": 12, "growth_per_surface": 10, "kind": "length", "surfaces": 1},
            {"size_before": 11.99},
            "by hand: one face masked",
        ),
    ),
    second=lambda size, growth_per_surface, kind, surfaces=2: _skinned(
        size, kind, [-growth_per_surface / 1000] * surfaces
    ),
    result="size_before",
)
def size_before_growth(
    *, size: Size, growth_per_surface: Growth, kind: Kind, surfaces: Surfaces = 2
) -> Annotated[float, Quantity("mm", "b", kind="size", above=0)]:
    """Give the size [mm] to make so that it is right after each surface has grown [µm].

    How much grows is what the one who plates or nitrides says. A shaft and a length are made smaller,
    a hole larger. `surfaces` counts those that the size runs between and that grow: 1 where one is masked.
    """
    direction = 1 if kind == "hole" else -1
    before = size + direction * surfaces * growth_per_surface / 1000
    return _something(before, "growth")


@calculation(
    title="Size at a stage: stock still on, growth still to come",
    formula="s = size + (1 if kind == 'hole' else -1) * n * (g / 1000 - q)",
    source="geometry: stock and skin lie on every surface, so a diameter has them twice",
    examples=(
        Example(
            {"size": 25, "kind": "shaft", "stock_per_surface": 0.15},
            {"size": 25.3},
            "by hand: 25 + 2 * 0.15 for grinding",
        ),
        Example(
            {"size": 47, "kind": "hole", "stock_per_surface": 0.2, "growth_per_surface": 10},
            {"size": 46.62},
            "by hand: 47 - 0.4 + 0.02",
        ),
        Example(
            {"size": 30, "kind": "length", "stock_per_surface": 0.1, "surfaces": 1},
            {"size": 30.1},
            "by hand: one face left to grind",
        ),
    ),
    second=lambda size, kind, stock_per_surface=0.0, growth_per_surface=0.0, surfaces=2: _skinned(
        size, kind, [stock_per_surface, -growth_per_surface / 1000] * surfaces
    ),
    result="size",
)
def stage_size(
    *,
    size: Size,
    kind: Kind,
    stock_per_surface: Annotated[
        float, Quantity("mm", "q", kind="deviation", at_least=0, usual=(0, 5))
    ] = 0.0,
    growth_per_surface: Growth = 0.0,
    surfaces: Surfaces = 2,
) -> Annotated[float, Quantity("mm", "s", kind="size", above=0)]:
    """Give the size [mm] that a stage is to leave, from the finished size [mm].

    Stock [mm per surface] is what later cuts take off, growth [µm per surface] what a skin will add.
    """
    direction = 1 if kind == "hole" else -1
    staged = size + direction * surfaces * (growth_per_surface / 1000 - stock_per_surface)
    return _something(staged, "stock" if kind == "hole" else "growth")


def _skinned(size: float, kind: str, layers: list[float]) -> float:
    """Lay one skin after the other on the metal: outward on a shaft or length, inward in a hole."""
    for layer in layers:
        size += -layer if kind == "hole" else layer
    return size


def _something(size: float, taken: str) -> float:
    if size <= 0:
        raise InputError(f"the {taken} on its surfaces leaves nothing of this size ({size:g} mm)")
    return size
