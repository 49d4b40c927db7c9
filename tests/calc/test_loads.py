from math import isclose, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc import CATALOGUE, CalculationError
from handwheel.calc.loads import drilling_load, specific_cutting_force, spindle_capacity, tapping_torque
from handwheel.values import Computed, Listed, Value

forces = st.floats(500, 4500)
exponents = st.floats(0.05, 0.4)
feeds = st.floats(0.02, 1)


@given(forces, exponents)
def test_kc_at_one_millimetre_is_the_main_value(kc1_1: float, mc: float) -> None:
    assert specific_cutting_force(kc1_1=kc1_1, mc=mc, chip_thickness=1) == kc1_1


@given(forces, exponents, feeds)
def test_a_thinner_chip_takes_more_force_for_its_area(kc1_1: float, mc: float, thickness: float) -> None:
    thick = specific_cutting_force(kc1_1=kc1_1, mc=mc, chip_thickness=thickness)
    assert specific_cutting_force(kc1_1=kc1_1, mc=mc, chip_thickness=thickness / 2) > thick


@given(st.floats(1, 40), feeds, st.floats(5, 100), forces, exponents)
def test_the_power_of_a_drill_is_its_torque_times_its_speed(
    diameter: float, feed: float, speed: float, kc1_1: float, mc: float
) -> None:
    load = drilling_load(diameter=diameter, feed=feed, cutting_speed=speed, kc1_1=kc1_1, mc=mc)
    turns = 1000 * speed / (pi * diameter)
    assert isclose(load.net_power, load.torque * 2 * pi * turns / 60000, rel_tol=1e-9)


@given(st.floats(1, 40), feeds, st.floats(5, 100), forces, exponents, st.floats(80, 150))
def test_the_two_routes_of_a_drills_load_agree(
    diameter: float, feed: float, speed: float, kc1_1: float, mc: float, angle: float
) -> None:
    given_ = {
        "diameter": diameter,
        "feed": feed,
        "cutting_speed": speed,
        "kc1_1": kc1_1,
        "mc": mc,
        "point_angle": angle,
    }
    assert disagreement("drilling_load", given_) == ""


@given(st.floats(0.1, 20), st.floats(50, 2000), st.floats(1, 4), st.floats(0.01, 1), st.floats(0.5, 1))
def test_the_two_routes_of_a_spindles_capacity_agree(
    power: float, base: float, span: float, place: float, efficiency: float
) -> None:
    given_ = {
        "rated_power": power,
        "base_speed": base,
        "max_speed": base * span,
        "spindle_speed": base * span * place,
        "efficiency": efficiency,
    }
    assert disagreement("spindle_capacity", given_) == ""


def disagreement(name: str, plains: dict[str, float]) -> str:
    calculation = CATALOGUE.find(name)
    values = {
        key: Value(plain, calculation.inputs[key].unit, Listed("test", "test"))
        for key, plain in plains.items()
    }
    origin = next(iter(calculation.run(values).values())).origin
    assert isinstance(origin, Computed)
    return calculation.recheck(origin.call)


def test_a_spindle_gives_constant_torque_below_its_base_speed_and_constant_power_above() -> None:
    low, base, high = (
        spindle_capacity(rated_power=2, base_speed=1000, max_speed=3000, spindle_speed=n)
        for n in (500, 1000, 3000)
    )
    assert low.torque == base.torque
    assert isclose(low.power, base.power / 2)
    assert high.power == base.power
    assert isclose(high.torque, base.torque / 3)


def test_a_speed_outside_the_belt_range_is_refused() -> None:
    with pytest.raises(CalculationError, match="above the max_speed 900"):
        spindle_capacity(rated_power=2, base_speed=500, max_speed=900, spindle_speed=901)
    with pytest.raises(CalculationError, match="base_speed 1000 1/min is above max_speed 900"):
        spindle_capacity(rated_power=2, base_speed=1000, max_speed=900, spindle_speed=500)


def test_a_finer_pitch_takes_less_torque_and_a_worn_tap_twice_as_much() -> None:
    coarse = tapping_torque(thread="M10", specific_force=2600)
    fine = tapping_torque(thread="M10x1", specific_force=2600)
    assert fine.torque < coarse.torque
    assert coarse.torque_worn == 2 * coarse.torque
    assert coarse.warnings == ()


def test_a_taper_thread_is_answered_with_a_warning() -> None:
    answer = tapping_torque(thread="1/8-27 NPT", specific_force=2300)
    assert "parallel triangular threads" in answer.warnings[0]
