from math import acos, asin, isclose, pi, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc import CalculationError
from handwheel.calc.cutting import MillingLoad, TurningLoad, milling_load, turning_load
from handwheel.calc.loads import specific_cutting_force

depths = st.floats(0.1, 8)
feeds = st.floats(0.05, 0.8)
speeds = st.floats(10, 400)
forces = st.floats(500, 3500)
exponents = st.floats(0, 0.35)
angles = st.floats(20, 120)


def turn(
    depth: float, feed: float, v: float, kc11: float, mc: float, edge: float | None = None
) -> TurningLoad:
    return turning_load(
        depth_of_cut=depth, feed=feed, cutting_speed=v, kc1_1=kc11, mc=mc, cutting_edge_angle=edge
    )


@given(depths, feeds, speeds, forces, exponents, angles)
def test_the_force_is_the_specific_force_of_its_chip_times_the_area(
    depth: float, feed: float, v: float, kc11: float, mc: float, edge: float
) -> None:
    load = turn(depth, feed, v, kc11, mc, edge)
    kc = specific_cutting_force(kc1_1=kc11, mc=mc, chip_thickness=load.chip_thickness)
    assert isclose(load.cutting_force, kc * depth * feed, rel_tol=1e-9)
    assert isclose(load.net_power * 60000, load.cutting_force * v, rel_tol=1e-9)
    assert isclose(load.net_power, load.removal_rate * kc / 60000, rel_tol=1e-9)


@given(depths, feeds, speeds, forces, exponents, st.floats(20, 89))
def test_a_slanted_edge_thins_the_chip_and_takes_no_less_force(
    depth: float, feed: float, v: float, kc11: float, mc: float, edge: float
) -> None:
    square, slanted = turn(depth, feed, v, kc11, mc), turn(depth, feed, v, kc11, mc, edge)
    assert slanted.chip_thickness < square.chip_thickness
    assert slanted.cutting_force >= square.cutting_force * (1 - 1e-9)


@given(depths, feeds, speeds, forces, exponents, st.floats(20, 120))
def test_the_approach_angle_is_the_rest_to_a_right_angle(
    depth: float, feed: float, v: float, kc11: float, mc: float, edge: float
) -> None:
    by_approach = turning_load(
        depth_of_cut=depth, feed=feed, cutting_speed=v, kc1_1=kc11, mc=mc, approach_angle=90 - edge
    )
    assert isclose(
        by_approach.cutting_force, turn(depth, feed, v, kc11, mc, edge).cutting_force, rel_tol=1e-9
    )


def test_two_angles_that_contradict_each_other_are_refused_and_two_that_agree_are_one() -> None:
    given_ = {"depth_of_cut": 2.0, "feed": 0.2, "cutting_speed": 100.0, "kc1_1": 2000.0, "mc": 0.2}
    both = turning_load(**given_, cutting_edge_angle=95, approach_angle=-5)
    assert both == turning_load(**given_, approach_angle=-5)
    with pytest.raises(CalculationError, match="an approach_angle of -5 deg, not 5 deg; give one of the two"):
        turning_load(**given_, cutting_edge_angle=95, approach_angle=5)


@given(st.floats(0.1, 1), st.floats(0.1, 1))
def test_a_worse_drive_takes_more_of_the_motor_and_nothing_more_at_the_edge(one: float, two: float) -> None:
    given_ = {"depth_of_cut": 2.0, "feed": 0.2, "cutting_speed": 100.0, "kc1_1": 2000.0, "mc": 0.2}
    first, second = turning_load(**given_, efficiency=one), turning_load(**given_, efficiency=two)
    assert first.net_power == second.net_power
    assert isclose(first.motor_power * one, second.motor_power * two, rel_tol=1e-9)


def test_a_chip_that_is_thinner_than_was_ever_measured_is_told() -> None:
    assert "thinner than kc1.1 and mc were measured for" in turn(1, 0.03, 100, 2000, 0.2).warnings[0]
    assert turn(1, 0.05, 100, 2000, 0.2).warnings == ()


def mill(
    diameter: float,
    width: float,
    mc: float,
    position: str = "side",
    edge: float = 90,
    teeth: int = 4,
    kc11: float = 2000,
) -> MillingLoad:
    return milling_load(
        diameter=diameter,
        width_of_cut=width,
        depth_of_cut=3,
        feed_per_tooth=0.1,
        teeth=teeth,
        cutting_speed=100,
        kc1_1=kc11,
        mc=mc,
        cutting_edge_angle=edge,
        position=position,
    )


def torque_round_a_turn(diameter: float, width: float, mc: float, position: str, edge: float) -> float:
    """Add the torque of one tooth over its way through the cut, in small steps, and take the mean of a turn.

    At every step the chip has its own thickness and its own specific force.
    """
    if position == "side":
        begin, end = 0.0, acos(1 - 2 * width / diameter)
    else:
        begin, end = pi / 2 - asin(width / diameter), pi / 2 + asin(width / diameter)
    steps, lean, total = 4000, sin(radians(edge)), 0.0
    step = (end - begin) / steps
    for number in range(steps):
        chip = 0.1 * sin(begin + (number + 0.5) * step) * lean
        total += 3 / lean * 2000 * chip ** (1 - mc) * diameter / 2000 * step
    return 4 * total / (2 * pi)


widths = st.floats(0.03, 1)
positions = st.sampled_from(["side", "centred"])


@given(st.floats(4, 100), widths, positions, st.floats(30, 90))
def test_without_an_exponent_the_torque_is_the_mean_of_all_positions_of_the_tooth(
    diameter: float, share: float, position: str, edge: float
) -> None:
    width = share * diameter
    exact = torque_round_a_turn(diameter, width, 0, position, edge)
    assert isclose(mill(diameter, width, 0, position, edge).torque, exact, rel_tol=1e-4)


@given(st.floats(4, 100), widths, positions, st.floats(0.1, 0.3))
def test_the_mean_chip_tells_the_torque_within_a_twentieth_and_not_too_little(
    diameter: float, share: float, position: str, mc: float
) -> None:
    width = share * diameter
    exact = torque_round_a_turn(diameter, width, mc, position, 90)
    assert exact * (1 - 1e-4) <= mill(diameter, width, mc, position).torque <= 1.05 * exact


@given(st.floats(4, 100), widths, st.floats(0.1, 0.3), positions)
def test_the_power_of_a_cutter_is_its_torque_times_its_speed(
    diameter: float, share: float, mc: float, position: str
) -> None:
    load = mill(diameter, share * diameter, mc, position)
    turns = 100000 / (pi * diameter)
    assert isclose(load.net_power, load.torque * 2 * pi * turns / 60000, rel_tol=1e-9)
    assert isclose(load.removal_rate, share * diameter * 3 * 0.1 * 4 * turns / 1000, rel_tol=1e-9)


def test_a_full_slot_is_the_same_from_both_positions_and_half_the_teeth_cut() -> None:
    side, centred = mill(10, 10, 0.2), mill(10, 10, 0.2, "centred")
    assert isclose(side.torque, centred.torque, rel_tol=1e-12)
    assert isclose(side.teeth_in_cut, 2)
    assert isclose(side.chip_thickness, 0.2 / pi)


def test_a_cut_that_is_wider_than_the_cutter_is_refused() -> None:
    with pytest.raises(
        CalculationError, match=r"width_of_cut 10\.1 mm is above the cutter's diameter, 10 mm"
    ):
        mill(10, 10.1, 0.2)


def test_where_teeth_cut_one_after_the_other_the_torque_pulses_and_that_is_told() -> None:
    assert any("in the cut for 36 % of the time only" in said for said in mill(10, 0.76, 0.2).warnings)
    assert not any("of the time" in said for said in mill(10, 5, 0.2).warnings)


@given(depths, feeds, speeds, forces, exponents, angles, st.floats(1.01, 3))
def test_a_deeper_cut_and_a_coarser_feed_take_more_force_and_the_feed_takes_less_than_its_share(
    depth: float, feed: float, v: float, kc11: float, mc: float, edge: float, more: float
) -> None:
    once = turn(depth, feed, v, kc11, mc, edge).cutting_force
    assert isclose(turn(depth * more, feed, v, kc11, mc, edge).cutting_force, once * more, rel_tol=1e-9)
    coarser = turn(depth, feed * more, v, kc11, mc, edge).cutting_force
    assert once < coarser <= once * more * (1 + 1e-9)


@given(depths, feeds, speeds, forces, exponents)
def test_an_approach_angle_of_nothing_is_a_square_shoulder(
    depth: float, feed: float, v: float, kc11: float, mc: float
) -> None:
    approach = turning_load(
        depth_of_cut=depth, feed=feed, cutting_speed=v, kc1_1=kc11, mc=mc, approach_angle=0
    )
    assert approach == turn(depth, feed, v, kc11, mc, 90) == turn(depth, feed, v, kc11, mc)


@given(widths, st.floats(0.05, 0.3), st.floats(1.01, 2), positions)
def test_a_milling_cutter_takes_more_power_the_deeper_and_the_faster_it_is_fed(
    share: float, fz: float, more: float, position: str
) -> None:
    def power(depth: float, feed: float) -> float:
        return milling_load(
            diameter=20,
            width_of_cut=20 * share,
            depth_of_cut=depth,
            feed_per_tooth=feed,
            teeth=4,
            cutting_speed=80,
            kc1_1=2000,
            mc=0.2,
            position=position,
        ).net_power

    assert isclose(power(3 * more, fz), more * power(3, fz), rel_tol=1e-9)
    assert power(3, fz) < power(3, fz * more) < more * power(3, fz)
