"""The same quantity in another unit is the same quantity: every worked example, typed in other units."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest

from handwheel.calc import CATALOGUE, Calculation, Example
from handwheel.present.calls import plain_json
from handwheel.typed import inputs_from_json
from handwheel.values import Plain

OTHER: dict[str, tuple[str, Callable[[float], float]]] = {
    # what an inch is and the like is written out here as NIST SP 811 (2008), appendix B, gives it
    "mm": ("in", lambda number: number / 25.4),
    "µm": ("thou", lambda number: number / 25.4),
    "m/min": ("ft/min", lambda number: number / 0.3048),
    "mm/min": ("in/min", lambda number: number / 25.4),
    "1/min": ("1/s", lambda number: number / 60),
    "min": ("s", lambda number: number * 60),
    "N": ("lbf", lambda number: number / 4.4482216152605),
    "N·m": ("lbf·ft", lambda number: number / 1.3558179483314004),
    "kW": ("hp", lambda number: number / 0.74569987158227022),
    "N/mm²": ("psi", lambda number: number / 6894.757293168361e-6),
    "GPa": ("MPa", lambda number: number * 1000),
    "kg": ("lb", lambda number: number / 0.45359237),
    "kg/m³": ("g/cm³", lambda number: number / 1000),
    "deg": ("rad", lambda number: number * math.pi / 180),
    "°C": ("°F", lambda number: number * 9 / 5 + 32),
    "%": ("", lambda number: number / 100),
}
EXAMPLES = [
    pytest.param(calculation, example, id=f"{calculation.id}-{number}")
    for calculation in CATALOGUE.values()
    for number, example in enumerate(calculation.examples, start=1)
]


def in_other_units(given: Any, unit: Any) -> Any:
    """Write a number, or every number of a list, as text in another unit of its kind."""
    if isinstance(given, list):
        return [in_other_units(one, unit) for one in given]
    if isinstance(given, dict):
        return {name: in_other_units(one, unit[name]) for name, one in given.items()}
    if isinstance(given, bool) or not isinstance(given, (int, float)) or unit not in OTHER:
        return given
    name, convert = OTHER[unit]
    number = convert(given)
    return number * 100 if not name else f"{number:.17g} {name}" if 1e-4 < abs(number) < 1e9 else given


def close(one: Plain, other: Plain) -> bool:
    if isinstance(one, tuple) and isinstance(other, tuple):
        return len(one) == len(other) and all(map(close, one, other))
    if isinstance(one, float) and isinstance(other, (int, float)):
        return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-9)
    return one == other


@pytest.mark.parametrize(("calculation", "example"), EXAMPLES)
def test_an_example_in_other_units_gives_the_same(calculation: Calculation, example: Example) -> None:
    """Inches for millimetres, feet a minute for metres, pounds for newtons: the results do not move."""
    given = {name: plain_json(plain) for name, plain in example.inputs.items()}
    turned = {name: in_other_units(one, calculation.inputs[name].unit) for name, one in given.items()}
    wanted = calculation.run(inputs_from_json(calculation, given))
    got = calculation.run(inputs_from_json(calculation, turned))
    for name, value in wanted.items():
        if isinstance(value.plain, str):
            continue  # words may name the number that was typed
        assert close(value.plain, got[name].plain), f"{name}: {value.plain} and {got[name].plain}"


def test_the_other_units_are_typed_at_all() -> None:
    """The test above does turn what it is given: nearly every calculation has a unit that it knows."""
    turned = [
        calculation.id
        for calculation in CATALOGUE.values()
        if any(one.unit in OTHER for one in calculation.inputs.values() if isinstance(one.unit, str))
        or any(isinstance(one.unit, dict) for one in calculation.inputs.values())
    ]
    assert len(turned) > 0.8 * len(CATALOGUE)
