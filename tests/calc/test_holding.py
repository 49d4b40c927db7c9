from math import isclose, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc import CalculationError
from handwheel.calc.holding import ChuckGrip, GripNeeded, chuck_grip, grip_needed

forces = st.floats(2000, 200000)
masses = st.floats(0.1, 10)
radii = st.floats(20, 200)
speeds = st.floats(50, 4000)
shares = st.floats(0.05, 0.95)


def grip(
    force: float,
    mass: float,
    radius: float,
    speed: float,
    needed: float | None = None,
    gripping: str = "outside",
    reserve: float = 1.5,
) -> ChuckGrip:
    return chuck_grip(
        static_force=force,
        jaw_mass=mass,
        jaw_radius=radius,
        spindle_speed=speed,
        needed_grip=needed,
        gripping=gripping,
        force_reserve=reserve,
    )


@given(forces, masses, radii, speeds, shares)
def test_at_the_speed_for_a_grip_that_grip_is_left(
    force: float, mass: float, radius: float, speed: float, share: float
) -> None:
    needed = share * force
    limit = grip(force, mass, radius, speed, needed).speed_for_grip
    assert limit is not None
    assert isclose(grip(force, mass, radius, limit).grip, needed, rel_tol=1e-6)


@given(forces, masses, radii, speeds, st.floats(0.05, 0.6), st.floats(1, 1.6))
def test_with_the_reserve_grip_and_loss_together_are_that_much_less_than_the_force_at_rest(
    force: float, mass: float, radius: float, speed: float, share: float, reserve: float
) -> None:
    needed = share * force
    answer = grip(force, mass, radius, speed, needed, reserve=reserve)
    limit = answer.speed_with_reserve
    assert limit is not None and answer.speed_for_grip is not None
    assert limit <= answer.speed_for_grip * (1 + 1e-9)
    loss = grip(force, mass, radius, limit).centrifugal_force
    assert isclose(reserve * (needed + loss), force, rel_tol=1e-6)


@given(forces, masses, radii, speeds)
def test_at_the_free_speed_nothing_is_left_and_the_words_are_always_there(
    force: float, mass: float, radius: float, speed: float
) -> None:
    answer = grip(force, mass, radius, speed)
    free = answer.zero_grip_speed
    assert free is not None
    assert isclose(grip(force, mass, radius, free).grip, 0, abs_tol=1e-6 * force)
    assert f"the part is free at {int(free)} 1/min" in answer.warnings[0]
    assert grip(force, mass, radius, free * 1.2).grip == 0


@given(forces, masses, radii, speeds)
def test_an_inside_grip_gains_what_an_outside_grip_loses(
    force: float, mass: float, radius: float, speed: float
) -> None:
    inside = grip(force, mass, radius, speed, force / 2, "inside")
    outside = grip(force, mass, radius, speed, force / 2)
    assert inside.centrifugal_force == outside.centrifugal_force
    assert isclose(inside.grip - force, inside.centrifugal_force, rel_tol=1e-6, abs_tol=1e-6 * force)
    assert (inside.zero_grip_speed, inside.speed_for_grip, inside.speed_with_reserve) == (None, None, None)
    assert "press harder the faster it turns" in inside.warnings[0]


@given(masses, radii, speeds, st.integers(2, 6))
def test_the_pull_is_that_of_the_jaws_on_their_circle(
    mass: float, radius: float, speed: float, jaws: int
) -> None:
    answer = chuck_grip(static_force=1e6, jaw_mass=mass, jaw_radius=radius, spindle_speed=speed, jaws=jaws)
    path = 2 * pi * radius / 1000 * speed / 60
    assert isclose(answer.centrifugal_force, jaws * mass * path**2 / (radius / 1000), rel_tol=1e-9)


def by_key(torque: float, force: float | None = 40000, rated: float | None = 100) -> ChuckGrip:
    return chuck_grip(
        key_torque=torque,
        rated_force=force,
        rated_torque=rated,
        jaw_mass=1,
        jaw_radius=80,
        spindle_speed=500,
    )


def test_the_key_gives_force_in_proportion_to_the_makers_pair() -> None:
    assert by_key(50).force_at_rest == 20000
    assert (
        by_key(50).warnings[0] == "the force by the key is the maker's, for a chuck that is clean and greased"
    )
    assert any("key_torque 120 N·m is above the maker's 100 N·m" in said for said in by_key(120).warnings)


def test_the_force_at_rest_is_given_one_way() -> None:
    with pytest.raises(CalculationError, match="is missing; give static_force, or key_torque"):
        chuck_grip(jaw_mass=1, jaw_radius=80, spindle_speed=500)
    with pytest.raises(CalculationError, match="is given two ways; give static_force, or key_torque"):
        chuck_grip(static_force=20000, key_torque=50, jaw_mass=1, jaw_radius=80, spindle_speed=500)
    with pytest.raises(CalculationError, match="without the maker's pair; rated_torque is missing"):
        by_key(50, rated=None)
    with pytest.raises(CalculationError, match="without the maker's pair; rated_force is missing"):
        by_key(50, force=None)


def test_a_force_above_the_makers_is_told() -> None:
    answer = chuck_grip(static_force=50000, rated_force=40000, jaw_mass=1, jaw_radius=80, spindle_speed=500)
    assert "static_force 50000 N is above the maker's 40000 N" in answer.warnings[0]


def test_each_stage_of_too_little_grip_has_its_own_words() -> None:
    def said(force: float, speed: float, needed: float | None = None) -> str:
        return "; ".join(grip(force, 1, 80, speed, needed).warnings)

    assert "there is no grip left" in said(20000, 3000)
    assert "1200 N are left of the 2000 N needed" in said(3600, 954.93, 2000)
    assert "70 % of the grip at rest is lost" in said(3420, 954.93)
    assert "10000 N at rest are not even the 12000 N needed" in said(10000, 100, 12000)
    assert "divided by the reserve of 1.5 are not the 8000 N needed" in said(10000, 100, 8000)
    assert "the reserve of 1.5 is used up" in said(10000, 954.93, 5000)
    assert "reserve" not in said(20000, 100, 5000)


lengths = st.floats(5, 150)
frictions = st.floats(0.06, 0.45)


@given(forces, radii, radii, frictions, st.floats(1, 5))
def test_the_friction_of_the_grip_holds_the_moment_of_the_cut_with_its_safety(
    force: float, cut: float, held: float, friction: float, safety: float
) -> None:
    answer = grip_needed(
        cutting_force=force,
        cut_diameter=cut,
        grip_diameter=held,
        friction=friction,
        safety_factor=safety,
    )
    assert isclose(answer.force * friction * held / 2, safety * force * cut / 2, rel_tol=1e-9)
    assert answer.force_tipping is None


@given(forces, radii, frictions, lengths, st.floats(1, 5))
def test_one_jaw_at_its_lever_holds_the_moment_that_tips(
    force: float, held: float, friction: float, stick_out: float, safety: float
) -> None:
    tipping = grip_needed(
        cutting_force=force,
        cut_diameter=held,
        grip_diameter=held,
        friction=friction,
        safety_factor=safety,
        stick_out=stick_out,
    ).force_tipping
    assert tipping is not None
    assert isclose(friction * tipping / 3 * 0.75 * held, safety * force * stick_out, rel_tol=1e-9)


def held_by(grip_length: float | None, stick_out: float | None, safety: float = 4) -> str:
    return "; ".join(
        grip_needed(
            cutting_force=1000,
            cut_diameter=50,
            grip_diameter=50,
            friction=0.2,
            safety_factor=safety,
            grip_length=grip_length,
            stick_out=stick_out,
        ).warnings
    )


def test_a_grip_that_is_short_against_tipping_is_told() -> None:
    assert "24 mm of grip are short against tipping" in held_by(24, None)
    assert held_by(25, None) == ""
    assert "20 mm of grip are short for 61 mm of stick-out" in held_by(20, 61)
    assert "short for" not in held_by(25, 45)


def test_work_that_stands_out_is_told_what_tips_it_and_which_safety_is_asked_for() -> None:
    assert "more than against turning" in held_by(None, 40)
    assert "more than against turning" not in held_by(None, 10)
    assert "a safety factor of 4" in held_by(None, 10, safety=2)
    assert "safety factor" not in held_by(None, 10)
    assert "stick-out of 51 mm is more than the gripped diameter" in held_by(None, 51)
    assert "gripped diameter" not in held_by(None, 50)


def test_in_a_centre_nothing_tips_out_of_the_jaws() -> None:
    """The far end in a centre: no force against tipping and no word of it; a steady does not count as one."""

    def needed(support: str) -> GripNeeded:
        return grip_needed(
            cutting_force=1000,
            cut_diameter=38,
            grip_diameter=40,
            friction=0.15,
            grip_length=5,
            stick_out=130,
            support=support,
        )

    held, free = needed("centre"), needed("chuck")
    assert held.force == free.force
    assert held.force_tipping is None and held.warnings == ()
    assert free.force_tipping is not None and len(free.warnings) == 5
    assert needed("steady") == free
