from math import isclose

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc import CalculationError
from handwheel.calc.speeds import (
    cutting_speed,
    limited_spindle_speed,
    nearest_spindle_speed,
    ruling_spindle_speed,
    spindle_speed,
)

speeds = st.floats(1, 1500)
diameters = st.floats(0.1, 500)
turns = st.floats(10, 30000)
steps = st.lists(st.floats(20, 5000), min_size=1, max_size=20).map(tuple)


@given(speeds, diameters)
def test_spindle_speed_and_cutting_speed_undo_each_other(speed: float, diameter: float) -> None:
    n = spindle_speed(cutting_speed=speed, diameter=diameter)
    assert isclose(cutting_speed(spindle_speed=n, diameter=diameter), speed, rel_tol=1e-12)


@given(speeds, diameters, st.floats(1.01, 10))
def test_a_larger_diameter_turns_slower_in_proportion(speed: float, diameter: float, factor: float) -> None:
    small = spindle_speed(cutting_speed=speed, diameter=diameter)
    large = spindle_speed(cutting_speed=speed, diameter=diameter * factor)
    assert isclose(small / large, factor, rel_tol=1e-12)


@given(st.floats(10, 1000), st.floats(0.01, 10))
def test_feet_and_inches_give_the_same_turns_as_metres_and_millimetres(feet: float, inches: float) -> None:
    by_inches = 12 * feet / (3.141592653589793 * inches)
    assert isclose(
        spindle_speed(cutting_speed=feet * 0.3048, diameter=inches * 25.4), by_inches, rel_tol=1e-12
    )


@given(turns, turns, st.none() | turns, st.none() | turns)
def test_the_ruling_limit_is_one_of_the_limits_and_above_none(
    cutting: float, machine: float, tool: float | None, holding: float | None
) -> None:
    limits = {"cutting speed": cutting, "machine": machine, "tool": tool, "holding": holding}
    answer = ruling_spindle_speed(
        cutting_limit=cutting, machine_limit=machine, tool_limit=tool, holding_limit=holding
    )
    assert limits[answer.ruled_by] == answer.spindle_speed
    assert all(answer.spindle_speed <= limit for limit in limits.values() if limit is not None)


@given(turns, steps)
def test_the_step_to_set_is_never_above_the_wanted_speed_without_a_word(
    wanted: float, steps: tuple[float, ...]
) -> None:
    for rule in ("lower", "nearest"):
        answer = nearest_spindle_speed(spindle_speed=wanted, steps=steps, rule=rule)
        assert answer.spindle_speed in steps
        assert (answer.spindle_speed > wanted) == bool(answer.warnings)
    lower = nearest_spindle_speed(spindle_speed=wanted, steps=steps)
    assert bool(lower.warnings) == (wanted < min(steps))


@given(turns, st.floats(10, 500), st.floats(500, 5000))
def test_a_stepless_machine_stays_in_its_range(wanted: float, lowest: float, highest: float) -> None:
    answer = limited_spindle_speed(spindle_speed=wanted, lowest=lowest, highest=highest)
    assert lowest <= answer.spindle_speed <= highest
    assert (answer.spindle_speed > wanted) == bool(answer.warnings)
    if lowest <= wanted <= highest:
        assert answer.spindle_speed == wanted


def test_of_two_steps_equally_near_the_lower_is_taken() -> None:
    assert nearest_spindle_speed(spindle_speed=400, steps=(300, 500), rule="nearest").spindle_speed == 300


def test_a_range_upside_down_is_refused() -> None:
    with pytest.raises(CalculationError, match="lowest 500 1/min is above highest 100 1/min"):
        limited_spindle_speed(spindle_speed=300, lowest=500, highest=100)
