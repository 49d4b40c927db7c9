import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc.holes import (
    blind_hole_depth,
    chamfer_depth,
    chamfer_diameter,
    countersink_depth,
    drill_point_length,
    drill_travel,
    peck_plan,
    spot_depth,
)
from handwheel.errors import InputError

diameters = st.floats(0.5, 50)
angles = st.floats(60, 150)
MATERIALS = ("C45", "6082", "EN-GJL-250", "X5CrNi18-10", "CW614N")


@given(diameters, st.floats(0.05, 10), angles)
def test_a_spot_to_the_chamfers_diameter_is_the_leg_deeper_than_to_the_hole(
    hole: float, leg: float, angle: float
) -> None:
    wide = chamfer_diameter(hole_diameter=hole, leg=leg, included_angle=angle)
    deep = spot_depth(chamfer_diameter=wide, point_angle=angle)
    assert deep - spot_depth(chamfer_diameter=hole, point_angle=angle) == pytest.approx(leg)
    sink = countersink_depth(major_diameter=wide, hole_diameter=hole, included_angle=angle)
    assert sink.depth_from_surface == pytest.approx(deep)
    assert sink.depth_from_edge == pytest.approx(leg)


@given(diameters, angles, st.floats(1, 20))
def test_a_blunter_point_is_shorter_and_a_thicker_one_longer(
    diameter: float, angle: float, more: float
) -> None:
    length = drill_point_length(diameter=diameter, point_angle=angle)
    assert drill_point_length(diameter=diameter, point_angle=angle + more) < length
    assert drill_point_length(diameter=diameter + more, point_angle=angle) > length
    assert drill_travel(depth=more, diameter=diameter, point_angle=angle, clearance=1) == pytest.approx(
        more + length + 1
    )


@given(diameters, st.floats(0.05, 5), angles, st.floats(0, 1), st.floats(0, 1))
def test_a_chamfer_tool_runs_where_the_plunged_cone_would_cut(
    hole: float, leg: float, angle: float, tip_share: float, gap_share: float
) -> None:
    """With the largest clearance that goes in, the tool stands on the axis and only plunges."""
    tip = tip_share * hole
    room = spot_depth(chamfer_diameter=hole, point_angle=angle, tip_diameter=tip)
    run = chamfer_depth(
        leg=leg,
        hole_diameter=hole,
        included_angle=angle,
        tip_diameter=tip,
        tip_clearance=gap_share * room * 0.999999,
    )
    assert run.tool_offset == pytest.approx((1 - gap_share) * (hole - tip) / 2, abs=1e-4)
    plunged = countersink_depth(
        major_diameter=chamfer_diameter(hole_diameter=hole, leg=leg, included_angle=angle),
        hole_diameter=hole,
        included_angle=angle,
        tip_diameter=tip,
    )
    assert run.depth <= plunged.depth_from_surface + 1e-9


def test_tools_that_do_not_fit_are_refused() -> None:
    with pytest.raises(InputError, match="does not go into the hole"):
        chamfer_depth(leg=0.5, hole_diameter=4, tip_clearance=3)
    with pytest.raises(InputError, match="wider than"):
        spot_depth(chamfer_diameter=3, tip_diameter=4)
    with pytest.raises(InputError, match="smaller than"):
        countersink_depth(major_diameter=5, hole_diameter=6, included_angle=90)


def test_a_flat_tip_wider_than_the_hole_touches_the_surface_first() -> None:
    sink = countersink_depth(major_diameter=10, hole_diameter=2, included_angle=90, tip_diameter=4)
    assert sink.depth_from_surface == sink.depth_from_edge == pytest.approx(3)


@given(st.floats(2, 60), st.floats(0.25, 6), st.floats(0, 8), st.floats(0, 5), st.floats(0, 4))
def test_a_blind_hole_leaves_room_below_the_tap(
    thread: float, pitch: float, lead: float, gap: float, point: float
) -> None:
    hole = blind_hole_depth(
        thread_depth=thread, pitch=pitch, tap_lead=lead, clearance=gap, tap_point=point, drill_diameter=6.8
    )
    assert hole.full_diameter_depth - hole.tap_tip_depth == pytest.approx(gap, abs=1e-9)
    assert hole.turns * pitch + point == pytest.approx(hole.tap_tip_depth)
    assert hole.tip_depth > hole.full_diameter_depth
    assert hole.floor is None
    assert bool(hole.warnings) == (gap < pitch)


def test_a_blind_hole_through_the_bottom_is_said_to_be() -> None:
    hole = blind_hole_depth(thread_depth=12, pitch=1.25, tap_lead=2, drill_diameter=6.8, thickness=17)
    assert hole.floor == pytest.approx(17 - 12 - 2.5 - 1.25 - 2.0429, abs=1e-4)
    assert "breaks through" in hole.warnings[0]


@given(st.floats(0.5, 40), st.floats(0.5, 400), st.sampled_from(MATERIALS))
def test_pecks_sum_to_the_depth_and_none_is_deeper_than_the_first(
    diameter: float, depth: float, material: str
) -> None:
    plan = peck_plan(diameter=diameter, depth=depth, material=material)
    assert plan.pecks[-1].depth == depth
    assert sum(peck.increment for peck in plan.pecks) == pytest.approx(depth)
    assert plan.pecks[0].increment == plan.first_peck == max(peck.increment for peck in plan.pecks)
    assert all(peck.increment > 0 for peck in plan.pecks)
    assert len({round(peck.increment, 6) for peck in plan.pecks[1:]}) <= 1
    assert plan.count == len(plan.pecks)
    assert bool(plan.warnings) == (depth >= 5 * diameter)


def test_tough_and_sticky_materials_peck_earlier() -> None:
    first = {name: peck_plan(diameter=6, depth=60, material=name).first_peck for name in MATERIALS}
    assert first == {"C45": 12, "6082": 6, "EN-GJL-250": 18, "X5CrNi18-10": 6, "CW614N": 18}


def test_no_drill_goes_thousands_of_pecks_deep() -> None:
    with pytest.raises(InputError, match="no drill goes"):
        peck_plan(diameter=0.1, depth=500, material="6082")
