"""Tapers held to geometry: an angle and a ratio say the same, a small end lies where its taper leads."""

from math import asin, degrees, hypot, isclose, radians, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc.catalogue import CalculationError
from handwheel.calc.tapers import chuck_taper, morse_taper, sine_bar, taper
from handwheel.errors import InputError
from handwheel.tables import table

SIZES = st.floats(1, 300)
MORSE = [morse_taper(number=number) for number in range(7)]
CHUCKS = [str(row["name"]) for row in table("chuck_tapers").rows]


@given(SIZES, SIZES, SIZES)
def test_the_angle_and_the_ratio_of_a_cone_say_the_same(one: float, other: float, length: float) -> None:
    large, small = max(one, other), min(one, other)
    cone = taper(large_diameter=large, small_diameter=small, length=length)
    assert isclose(2 * tan(radians(cone.half_angle)), cone.taper_per_length, rel_tol=1e-9, abs_tol=1e-12)
    assert isclose(cone.included_angle, 2 * cone.half_angle)
    assert isclose(large - cone.taper_per_length * length, small, rel_tol=1e-9)
    assert cone.setover is None and not cone.warnings


@given(SIZES, st.floats(1, 5))
def test_the_setover_tilts_the_work_by_the_half_angle(length: float, longer: float) -> None:
    """A tailstock set over by S turns the work's axis by S over the length between centres."""
    work = length * longer
    cone = taper(large_diameter=20, small_diameter=19, length=length, work_length=work)
    assert cone.setover is not None
    assert isclose(cone.setover / work, tan(radians(cone.half_angle)), rel_tol=1e-9)


def test_a_cylinder_has_no_angle_and_a_point_is_a_cone_too() -> None:
    assert taper(large_diameter=20, small_diameter=20, length=50).included_angle == 0
    assert taper(large_diameter=20, small_diameter=0, length=10).half_angle == pytest.approx(45)


def test_far_set_over_is_warned_about() -> None:
    """Beyond one fiftieth of the length between centres."""
    near = taper(large_diameter=22, small_diameter=20, length=50, work_length=100)
    far = taper(large_diameter=22.1, small_diameter=20, length=50, work_length=100)
    assert not near.warnings and "ball centres" in far.warnings[0]


@pytest.mark.parametrize(
    ("sizes", "said"),
    [
        ({"large_diameter": 20, "small_diameter": 25, "length": 50}, "change them round"),
        (
            {"large_diameter": 25, "small_diameter": 20, "length": 50, "work_length": 40},
            "shorter than the taper",
        ),
    ],
)
def test_a_cone_that_is_none_is_refused(sizes: dict[str, float], said: str) -> None:
    with pytest.raises(InputError, match=said):
        taper(**sizes)


@given(st.floats(0.01, 89), st.floats(10, 500))
def test_the_height_under_a_sine_bar_leads_back_to_its_angle(angle: float, bar: float) -> None:
    height = sine_bar(angle=angle, bar_length=bar)
    assert 0 < height < bar
    assert degrees(asin(height / bar)) == pytest.approx(angle, rel=1e-6)
    assert hypot(height, bar * sine_bar(angle=90 - angle, bar_length=1)) == pytest.approx(bar)


def test_morse_tapers_grow_and_no_two_have_the_same_angle() -> None:
    for name in ("gauge_diameter", "length", "small_diameter"):
        column = [getattr(one, name) for one in MORSE]
        assert column == sorted(column) and len(set(column)) == 7
    assert len({one.half_angle for one in MORSE}) == 7
    assert all(1.42 < one.half_angle < 1.51 for one in MORSE)
    assert all(one.diameter_at_depth is None for one in MORSE)


@pytest.mark.parametrize("number", range(7))
def test_a_morse_taper_is_a_cone_between_its_ends(number: int) -> None:
    found = morse_taper(number=number, depth=morse_taper(number=number).length)
    cone = taper(
        large_diameter=found.gauge_diameter, small_diameter=found.small_diameter, length=found.length
    )
    assert cone.half_angle == pytest.approx(found.half_angle, rel=1e-9)
    assert cone.taper_per_length == pytest.approx(found.taper_per_length, rel=1e-9)
    assert found.diameter_at_depth == found.small_diameter
    assert morse_taper(number=number, depth=0).diameter_at_depth == found.gauge_diameter


def test_far_below_a_morse_taper_there_is_nothing() -> None:
    with pytest.raises(CalculationError, match="number 2 is 64 mm to its small end, such as 32 mm"):
        morse_taper(number=2, depth=200)


@pytest.mark.parametrize("name", CHUCKS)
def test_a_chuck_taper_is_a_piece_of_its_morse_taper(name: str) -> None:
    """Its two diameters lie on the cone of the Morse number, one behind the other."""
    chuck = chuck_taper(name=name)
    morse = morse_taper(number=chuck.number)
    assert chuck.half_angle == morse.half_angle
    # B12, B18 and B24 begin at the gauge plane, the smaller three end where the Morse shank ends
    begins = chuck.large_diameter == morse.gauge_diameter
    ends = abs(chuck.small_diameter - morse.small_diameter) < 0.06
    assert begins or ends
    assert morse.small_diameter - 0.06 < chuck.small_diameter < chuck.large_diameter <= morse.gauge_diameter


def test_a_chuck_taper_is_written_with_or_without_a_space() -> None:
    assert chuck_taper(name="b 16") == chuck_taper(name="B16")
    with pytest.raises(CalculationError, match='no taper "B14"; there are B10, B12'):
        chuck_taper(name="B14")
