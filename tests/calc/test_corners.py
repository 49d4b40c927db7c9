"""A round cutter in an inside corner, and in a helix: drawn, and looked at."""

from math import atan, cos, degrees, hypot, pi, radians, sin, tan

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from handwheel.calc.corners import corner_relief, helical_entry
from handwheel.errors import InputError

cutters = st.floats(0.5, 60)
corners = st.floats(20, 160)


@given(cutters, corners, st.floats(0, 0.999))
def test_the_relief_just_reaches_the_mates_edge(cutter: float, angle: float, share: float) -> None:
    """After the shift the cutter's rim goes through the foremost point of the mate's edge, no further."""
    radius, edge = cutter / 2, share * cutter / 2
    half = radians(angle) / 2
    found = corner_relief(cutter_diameter=cutter, mate_edge=edge, corner_angle=angle)
    centre = radius / sin(half)
    along = centre - hypot(found.shift_x, found.shift_y)
    foremost = edge / sin(half) - edge
    assert not found.fits
    assert along - radius == pytest.approx(foremost, abs=1e-9 * centre)
    assert found.warnings


@given(cutters, corners, st.floats(0, 0.999), st.floats(0, 1))
def test_the_whole_edge_of_the_mate_is_cut_free(
    cutter: float, angle: float, share: float, place: float
) -> None:
    """Every point of the mate's round edge lies within the cutter at the end of its shift."""
    radius, edge = cutter / 2, share * cutter / 2
    half = radians(angle) / 2
    found = corner_relief(cutter_diameter=cutter, mate_edge=edge, corner_angle=angle)
    centre = radius / sin(half) - hypot(found.shift_x, found.shift_y)
    turn = pi + (2 * place - 1) * (pi / 2 - half)  # the arc between the two walls, from its middle
    x, y = edge / sin(half) + edge * cos(turn), edge * sin(turn)
    assert hypot(x - centre, y) <= radius * (1 + 1e-9)


@given(cutters, corners, st.floats(1, 3))
def test_an_edge_no_sharper_than_the_cutter_fits(cutter: float, angle: float, more: float) -> None:
    found = corner_relief(cutter_diameter=cutter, mate_edge=more * cutter / 2, corner_angle=angle)
    assert found == (True, 0, 0, ())


@given(cutters, corners, st.floats(0.01, 2))
def test_a_chamfer_given_as_told_clears_the_corner_as_milled(
    cutter: float, angle: float, share: float
) -> None:
    """A chamfer whose leg times tan(theta / 2) fits has its edge where the wall is already straight."""
    half = radians(angle) / 2
    leg = share * cutter
    straight_from = cutter / 2 / tan(half)
    assume(abs(leg - straight_from) > 1e-9)
    found = corner_relief(cutter_diameter=cutter, mate_edge=leg * tan(half), corner_angle=angle)
    assert found.fits == (leg > straight_from)


@given(cutters, st.floats(0, 0.9), corners, st.floats(1, 15))
def test_a_wider_corner_and_a_rounder_edge_ask_for_less(
    cutter: float, share: float, angle: float, more: float
) -> None:
    def shift(edge: float, corner: float) -> float:
        found = corner_relief(cutter_diameter=cutter, mate_edge=edge, corner_angle=corner)
        return hypot(found.shift_x, found.shift_y)

    edge = share * cutter / 2
    assert shift(edge, angle + more) < shift(edge, angle)
    assert shift(edge + 0.01 * cutter, angle) < shift(edge, angle)


def test_in_a_square_corner_both_shifts_are_alike() -> None:
    found = corner_relief(cutter_diameter=6, mate_edge=0.5)
    assert found.shift_x == pytest.approx(found.shift_y)


@given(st.floats(0.5, 50), st.floats(1.01, 4), st.floats(0.2, 20))
def test_the_helix_leads_to_the_wall_at_its_angle(cutter: float, times: float, ramp: float) -> None:
    """Half the path and half the cutter reach the wall; lead over the way round is the angle's slope."""
    hole = cutter * times
    found = helical_entry(hole_diameter=hole, cutter_diameter=cutter, ramp_angle=ramp)
    assert found.path_diameter / 2 + cutter / 2 == pytest.approx(hole / 2)
    assert degrees(atan(found.lead_per_turn / (pi * found.path_diameter))) == pytest.approx(ramp)


def test_a_core_and_a_tight_hole_are_told() -> None:
    def told(hole: float) -> str:
        return " ".join(helical_entry(hole_diameter=hole, cutter_diameter=10, ramp_angle=2).warnings)

    assert "a core of 2 mm is left standing" in told(22)
    assert "hardly room for chips" in told(10.5)
    assert told(16) == ""


@pytest.mark.parametrize("hole", [10, 8.5])
def test_a_cutter_as_large_as_the_hole_is_refused(hole: float) -> None:
    with pytest.raises(InputError, match="it has to be smaller, for example"):
        helical_entry(hole_diameter=hole, cutter_diameter=10, ramp_angle=2)
