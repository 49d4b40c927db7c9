"""Inputs of calculations drawn from their own declarations: units, ranges, choices."""

from __future__ import annotations

import math
from typing import Any

from hypothesis import strategies as st

from handwheel.calc import Calculation, Declared
from handwheel.values import Listed, Plain, Value

__all__ = ["as_values", "json_values", "usual_inputs"]

WORDS: dict[str, tuple[str, ...]] = {
    "thread": ("M1.6", "M3", "M6", "M8", "M8x1", "M10x1.25", "M12", "M24", "M64"),
    "material": ("S235", "C45", "42CrMo4", "EN AW-6082", "CuZn39Pb3", "EN-GJL-250", "1.4301"),
    "name": ("6.8 mm", "#7", "F", "1/4"),
    "tool_material": ("HSS", "carbide"),
    "operation": ("face", "spot", "drill", "chamfer", "tap"),
    "class": ("f", "m", "c", "v"),
    "internal_class": ("6H",),
    "external_class": ("6g",),
    "zone": ("H7", "g6", "js9", "K7", "N9", "P7", "A11", "zc8", "J6", "j5", "CD8", "T7", "H14"),
    "form": ("A", "b", "C", "E", "plug", "bottoming"),
    "hole": ("H7", "H11", "JS7", "N7", "P7"),
    "shaft": ("g6", "h6", "js6", "k6", "n6", "s6", "c11"),
}
"""Words that inputs take where the declaration lists no choices."""


def as_values(calculation: Calculation, plains: dict[str, Plain]) -> dict[str, Value]:
    """Give plain inputs as values in the declared units."""
    return {
        name: Value(plain, calculation.inputs[name].unit, Listed(f"test {name}", "a test"))
        for name, plain in plains.items()
    }


def usual_inputs(calculation: Calculation) -> st.SearchStrategy[dict[str, Plain]]:
    """Draw inputs from the usual ranges; those that may be left out are left out now and then."""
    required = {name: _plain(one) for name, one in calculation.inputs.items() if one.required}
    optional = {name: _plain(one) for name, one in calculation.inputs.items() if not one.required}
    return st.fixed_dictionaries(required, optional=optional)


def _plain(declared: Declared) -> st.SearchStrategy[Any]:
    if declared.shape == "numbers":
        return st.lists(_number(declared), min_size=1, max_size=8).map(tuple)
    if declared.shape == "rows":
        make = declared.row
        assert make is not None  # rows are declared with the type of their row
        cells = st.tuples(*(_plain(one) for one in declared.fields.values()))
        return st.lists(cells.map(lambda row: make(*row)), min_size=1, max_size=6).map(tuple)
    if declared.shape == "flag":
        return st.booleans()
    if declared.shape == "text":
        return st.sampled_from(declared.quantity.choices or WORDS.get(declared.name, ("one", "two")))
    return _number(declared)


def _number(declared: Declared) -> st.SearchStrategy[Any]:
    quantity = declared.quantity
    low, high = quantity.usual or (None, None)
    low = _first(low, quantity.at_least, quantity.above, -1000.0)
    high = _first(high, quantity.at_most, quantity.below, 1000.0)
    if declared.shape == "count":
        return st.integers(math.ceil(low), math.floor(min(high, low + 100)))
    numbers = st.floats(low, high, exclude_min=low == quantity.above, exclude_max=high == quantity.below)
    # Nobody types an angle finer than that; a hair below a full turn the two routes name it 360 and 0.
    return numbers.map(lambda angle: round(angle, 6)) if quantity.unit == "deg" else numbers


def _first(*numbers: float | None) -> float:
    return next(number for number in numbers if number is not None)


def json_values() -> st.SearchStrategy[Any]:
    """Draw anything that JSON can hold, with typed sizes and numbers of every size among it."""
    numbers = st.integers() | st.floats() | st.sampled_from([10**400, -(10**20), 1e308, 5e-324, 0, -0.0])
    words = st.text(max_size=12) | st.sampled_from(
        ["6.8 mm", "M8", "C45", "1,000", "nan", "9**9**9 mm", "HSS"]
    )
    leaves = st.none() | st.booleans() | numbers | words
    return st.recursive(
        leaves,
        lambda inner: (
            st.lists(inner, max_size=3)
            | st.dictionaries(
                st.sampled_from(["value", "unit", "x", "name"]) | st.text(max_size=4), inner, max_size=3
            )
        ),
        max_leaves=6,
    )
