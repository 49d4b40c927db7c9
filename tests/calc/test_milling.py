"""Tracks, walls and travel of milling cutters: a face is covered, a slot gets its width."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from handwheel.calc import CATALOGUE, CalculationError
from handwheel.calc.milling import milling_tracks, pocket_walls, through_travel, wall_settings
from handwheel.calc.passes import pass_plan

SIZES = st.floats(1, 400)


@given(SIZES, SIZES, st.floats(2, 100))
def test_tracks_cover_the_face_and_no_track_is_too_wide(length: float, width: float, cutter: float) -> None:
    """The tracks side by side are the narrow side, each within three quarters of the cutter; no fewer do."""
    answer = milling_tracks(length=length, width=width, cutter_diameter=cutter)
    narrow = min(length, width)
    assert answer.tracks * answer.width_of_cut == pytest.approx(narrow)
    assert answer.width_of_cut <= 0.75 * cutter * (1 + 1e-8)
    assert answer.tracks == 1 or (answer.tracks - 1) * 0.75 * cutter < narrow
    assert answer.along == max(length, width)


def test_more_tracks_than_a_person_mills_are_a_slip() -> None:
    """A metre with a cutter of 0.1 mm is refused in one line."""
    with pytest.raises(CalculationError, match="more than 500 tracks"):
        milling_tracks(length=1000, width=1000, cutter_diameter=0.1)


@given(SIZES, SIZES, st.floats(0, 50), st.floats(0, 2), st.floats(-100, 100), st.floats(-100, 100))
def test_the_cutter_touches_each_wall(
    length: float, width: float, cutter: float, leave: float, x: float, y: float
) -> None:
    """Half a cutter and the stock beyond each position of the axis is the wall."""
    assume(cutter <= min(length, width) - 2 * leave)
    walls = pocket_walls(
        length=length, width=width, cutter_diameter=cutter, leave=leave, centre_x=x, centre_y=y
    )
    reach = cutter / 2 + leave
    assert walls.x_high + reach == pytest.approx(x + length / 2)
    assert walls.x_low - reach == pytest.approx(x - length / 2)
    assert walls.y_high + reach == pytest.approx(y + width / 2)
    assert walls.y_low - reach == pytest.approx(y - width / 2)
    assert walls.aside == pytest.approx((walls.y_high - walls.y_low) / 2, abs=1e-9)


def test_a_cutter_that_does_not_go_in_is_refused() -> None:
    """A slot narrower than its cutter cannot be milled with it; the stock on both walls counts."""
    with pytest.raises(CalculationError, match=r"a cutter of 10 mm does not go into 9\.8 mm"):
        pocket_walls(length=40, width=9.8, cutter_diameter=10)
    with pytest.raises(CalculationError, match=r"does not go into 9\.9 mm"):
        pocket_walls(length=40, width=10.1, cutter_diameter=10, leave=0.1)


@given(st.floats(3, 20), st.floats(0.5, 30), st.floats(-50, 50))
def test_a_slot_widened_to_the_listed_positions_has_the_listed_width(
    cutter: float, more: float, centre: float
) -> None:
    """The two walls that the cutter leaves are the width of each rough cut apart, about the centre."""
    plan = pass_plan(
        start=cutter,
        target=cutter + more,
        max_depth=0.7,
        min_depth=0.05,
        finish_allowance=0.2,
        mode="diameter",
    )
    answer = wall_settings(passes=plan.passes, cutter_diameter=cutter, centre=centre)
    rough = [one for one in plan.passes if one.kind == "rough"]
    assert [row.number for row in answer.cuts] == [one.number for one in rough]
    for row, one in zip(answer.cuts, rough, strict=True):
        assert row.high + cutter / 2 - (row.low - cutter / 2) == pytest.approx(one.size)
        assert (row.high + row.low) / 2 == pytest.approx(centre, abs=1e-9)
    assert answer.high - answer.low + cutter == pytest.approx(plan.after_rough if rough else cutter)


def test_through_is_deeper_than_the_part() -> None:
    """Bevel and clearance come on top of the thickness."""
    assert through_travel(thickness=20, bevel=2) == 23
    assert CATALOGUE.find("through_travel").results["depth"].unit == "mm"
