from itertools import pairwise
from math import cos, isclose, pi, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc import CalculationError
from handwheel.calc.masses import mass, unbalance

sizes = st.floats(2, 500)
lengths = st.floats(1, 2000)
densities = st.floats(900, 19000)


@given(sizes, st.floats(0, 0.99), lengths, densities)
def test_a_tube_is_a_round_without_the_round_of_its_bore(
    diameter: float, share: float, length: float, density: float
) -> None:
    bore = share * diameter
    tube = mass(form="tube", diameter=diameter, bore_diameter=bore, length=length, density=density).mass
    outer = mass(form="round", diameter=diameter, length=length, density=density).mass
    inner = mass(form="round", diameter=bore, length=length, density=density).mass if bore else 0
    assert isclose(tube, outer - inner, rel_tol=1e-9, abs_tol=1e-9 * outer)


@given(sizes, lengths, densities)
def test_a_hexagon_has_the_area_of_its_corners_and_its_width_across_flats(
    width: float, length: float, density: float
) -> None:
    corner = width / 2 / cos(radians(30))
    points = [(corner * cos(radians(60 * k)), corner * sin(radians(60 * k))) for k in range(7)]
    area = sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairwise(points)) / 2
    answer = mass(form="hexagon", width=width, length=length, density=density)
    assert isclose(answer.area, area, rel_tol=1e-9)
    assert isclose(max(y for _, y in points), width / 2, rel_tol=1e-9)
    assert isclose(answer.mass, area * length * density / 1e9, rel_tol=1e-9)


@given(sizes, sizes, lengths, densities)
def test_a_block_has_the_volume_of_its_edges_whichever_way_it_lies(
    width: float, height: float, length: float, density: float
) -> None:
    one = mass(form="rectangle", width=width, height=height, length=length, density=density).mass
    other = mass(form="rectangle", width=height, height=width, length=length, density=density).mass
    assert isclose(one, other, rel_tol=1e-12)
    assert isclose(one, width / 1000 * height / 1000 * length / 1000 * density, rel_tol=1e-9)


def test_a_size_that_is_missing_or_of_another_form_is_named() -> None:
    with pytest.raises(
        CalculationError, match="a tube has diameter and bore_diameter; missing bore_diameter"
    ):
        mass(form="tube", diameter=50, length=100, density=7850)
    with pytest.raises(CalculationError, match="a rectangle has width and height; missing width, height"):
        mass(form="rectangle", length=100, density=7850)
    with pytest.raises(CalculationError, match="a round has no bore_diameter, only diameter and length"):
        mass(form="round", diameter=50, bore_diameter=0, length=100, density=7850)
    with pytest.raises(CalculationError, match="bore_diameter 50 mm leaves no wall in a diameter of 50 mm"):
        mass(form="tube", diameter=50, bore_diameter=50, length=100, density=7850)


@given(st.floats(0.05, 100), st.floats(0.001, 50), st.floats(20, 3000))
def test_twice_the_speed_pulls_four_times_as_hard(kilograms: float, off: float, speed: float) -> None:
    one = unbalance(mass=kilograms, eccentricity=off, spindle_speed=speed).force
    assert isclose(
        unbalance(mass=kilograms, eccentricity=off, spindle_speed=2 * speed).force, 4 * one, rel_tol=1e-9
    )
    turning = speed * 2 * pi / 60
    assert isclose(one, kilograms * turning**2 * off / 1000, rel_tol=1e-9)


def test_a_pull_above_the_weight_is_told_and_none_is_none() -> None:
    assert unbalance(mass=10, eccentricity=0, spindle_speed=3000) == (0.0, ())
    assert unbalance(mass=10, eccentricity=1, spindle_speed=900).warnings == ()
    assert (
        "1.1 times the weight of the work"
        in (unbalance(mass=10, eccentricity=1, spindle_speed=1000).warnings[0])
    )
