"""What a drawing is made of: sizes in their places, values of the operation, and what is missing."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from drawn_jobs import FLANGE, PLANS, PLATE, drawn, make_job
from hypothesis import given
from hypothesis import strategies as st

from handwheel.drawing.make import drawings, section
from handwheel.drawing.shapes import Dimension, Drawing, Outline, Point
from handwheel.drawing.svg import svg_of
from handwheel.drawing.text import text_of
from handwheel.plan.resolve import Plan
from handwheel.present.numbers import shown
from handwheel.store.jobs import load_job


def sizes(drawing: Drawing) -> dict[str, Dimension]:
    return {one.words: one for one in drawing.dimensions}


def lines(drawing: Drawing, kind: str) -> list[Outline]:
    return [one for one in drawing.outlines if one.kind == kind]


def corners(drawing: Drawing, kind: str) -> set[tuple[float, float]]:
    return {(round(x, 3), round(y, 3)) for one in lines(drawing, kind) for x, y in one.points}


# --- holes ---------------------------------------------------------------------------------------------


def test_a_tapped_hole_has_its_depths_where_they_are(plate: Plan) -> None:
    """Every depth of a running dimension ends as far below the face as its value says."""
    found = sizes(drawn(plate, 30))
    assert {"drill tip", "full size", "thread", "tap tip", "floor", "part"} <= set(found)
    for one in found.values():
        if one.along == "y":
            assert one.start.y - one.end.y == pytest.approx(one.value.number, abs=1e-9)
        else:
            assert one.end.x - one.start.x == pytest.approx(one.value.number, abs=1e-9)
    tip, floor, part = (found[name].value.number for name in ("drill tip", "floor", "part"))
    assert part - tip == pytest.approx(floor)


def test_the_point_of_the_drill_is_drawn_as_its_angle_says(plate: Plan) -> None:
    """From the full diameter to the tip the wall runs in: 118 deg is 59 deg from the axis."""
    drawing = drawn(plate, 30)
    found = sizes(drawing)
    full, tip = found["full size"].value.number, found["drill tip"].value.number
    assert {(3.4, round(-full, 3)), (0.0, round(-tip, 3))} <= corners(drawing, "work")
    assert tip - full == pytest.approx(3.4 / 1.664279, abs=1e-3)  # tan 59 deg, from a table


def test_a_thread_is_drawn_outside_the_hole_as_far_as_it_is_full(plate: Plan) -> None:
    """The root of M8 lies at 4 mm; below the full thread the lead of the tap runs in to the hole."""
    drawing = drawn(plate, 40)
    assert (4.0, -10.0) in corners(drawing, "thread")
    tap = sizes(drawing)["tap tip"].value.number
    assert {(4.0, -10.0), (3.4, round(-tap, 3))} <= corners(drawing, "lead")
    assert drawing.dimensions[0].words == "tap tip"  # what this operation goes by comes first


def test_a_through_hole_ends_with_the_part_and_the_drill_goes_on(plate: Plan) -> None:
    drawing = drawn(plate, 20)
    assert (4.5, -20.0) in corners(drawing, "work")
    tip = sizes(drawing)["drill tip"].value.number
    assert tip > 20 and (0.0, round(-tip, 3)) in corners(drawing, "tool")
    assert "floor" not in sizes(drawing)


def test_a_chamfer_widens_the_mouth_of_the_hole(plate: Plan) -> None:
    drawing = drawn(plate, 30)
    assert {(4.3, 0.0), (3.4, -0.9)} <= corners(drawing, "edge")  # 8.6 mm at 90 deg on 6.8 mm


def test_the_depth_of_a_spot_is_drawn_as_the_tools(plate: Plan) -> None:
    drawing = drawn(plate, 10)
    spot = sizes(drawing)["spot tip"].value.number
    assert (0.0, round(-spot, 3)) in corners(drawing, "tool")


def test_a_counterbore_and_a_countersink_are_drawn_on_their_own_operations(flange: Plan) -> None:
    assert {(5.5, 0.0), (5.5, -6.4), (3.3, -6.4)} <= corners(drawn(flange, 90), "work")
    assert {(6.7, 0.0), (3.3, -3.4)} <= corners(drawn(flange, 100), "work")  # 13.4 mm at 90 deg on 6.6 mm


def test_the_material_beside_a_blind_hole_is_closed_below_it(plate: Plan) -> None:
    """The two areas cover the piece less the hole: their surface is that of the profile."""
    drawing = drawn(plate, 50)
    tip = sizes(drawing)["drill tip"].value.number
    aside = max(x for area in drawing.areas for x, _ in area.points)
    whole = 2 * aside * 20 - 2 * 15 * 8 - 15 * (tip - 8)
    assert sum(surface(area.points) for area in drawing.areas) == pytest.approx(whole, rel=1e-9)


def surface(points: tuple[Point, ...]) -> float:
    pairs = zip(points, [*points[1:], points[0]], strict=True)
    return abs(sum(a.x * b.y - b.x * a.y for a, b in pairs)) / 2


# --- turned and milled ---------------------------------------------------------------------------------


def test_on_a_lathe_the_face_is_at_the_right_and_depths_go_left(flange: Plan) -> None:
    drawing = drawn(flange, 40)
    assert (-18.0, 23.5) in corners(drawing, "work")
    deep = sizes(drawing)["deep"]
    assert (deep.start.x, deep.end.x, deep.along) == (0.0, -18.0, "x")


def test_on_a_mill_the_face_is_above_and_depths_go_down(tmp_path: Path) -> None:
    plan = load_job(make_job(tmp_path / "job", FLANGE, machine="mill")).plan
    drawing = drawn(plan, 40)
    assert (23.5, -18.0) in corners(drawing, "work")
    assert sizes(drawing)["deep"].along == "y"


def test_a_groove_lies_at_its_place_in_its_bore(flange: Plan) -> None:
    """2.5 mm from the face, 1.85 mm wide, 49.5 mm in diameter; on its own operation it is the work."""
    walls = {(-2.5, 23.5), (-2.5, 24.75), (-4.35, 24.75), (-4.35, 23.5)}
    assert walls <= corners(drawn(flange, 60), "work")
    assert walls <= corners(drawn(flange, 40), "edge") | corners(drawn(flange, 40), "work")
    widths = [one.value.number for one in drawn(flange, 60).dimensions if one.words == "groove"]
    assert sorted(widths) == [1.85, 49.5]


def test_a_spigot_has_its_shoulder(flange: Plan) -> None:
    drawing = drawn(flange, 30)
    assert {(-6.0, 36.0), (-6.0, 55.0)} <= corners(drawing, "work")


def test_an_edge_is_broken_where_it_is(flange: Plan) -> None:
    """A leg of 1 mm on the spigot of 72 mm takes the corner off, and nothing else is the work."""
    assert corners(drawn(flange, 70), "work") == {(0.0, 35.0), (-1.0, 36.0)}


def test_a_part_of_unknown_length_is_broken_off(tmp_path: Path) -> None:
    """What is broken off has no edge there: nothing says that the part ends so."""
    text = PLATE.replace('thickness = "20 mm"\nfrom = "bottom"', 'from = "bottom"')
    drawing = drawn(load_job(make_job(tmp_path / "job", text)).plan, 20)
    assert any(one.words == "part" for one in drawing.dimensions) or drawing.unknown


def test_a_face_of_a_plate_is_drawn_with_the_stock_above_it(tmp_path: Path) -> None:
    """The face in hand is the work; behind a side face lies the length of the plate, not its thickness."""
    more = PLATE.replace(
        "[[setups]]",
        '[[features]]\nid = "end"\nkind = "face"\nthickness = "156 mm"\n'
        'from = "left"\nside = "right"\n[[setups]]',
    )
    faces = "".join(
        f'[[operations]]\nnumber = {number}\nsetup = "A"\nrecipe = "mill-a-face"\nfeature = "{id}"\n'
        for number, id in ((60, "top-face"), (70, "end"))
    )
    plan = load_job(make_job(tmp_path / "job", more + faces)).plan
    top, end = drawn(plan, 60), drawn(plan, 70)
    assert corners(top, "work") == {(0.0, 20.0), (160.0, 20.0)}
    assert {(0.0, 22.0), (160.0, 22.0)} <= corners(top, "around")
    assert corners(end, "work") == {(0.0, 156.0), (120.0, 156.0)}
    assert [one.value.plain for one in end.dimensions] == [156.0, 160.0, 120.0]


def test_a_flat_on_a_round_is_cut_at_its_height(flange: Plan) -> None:
    drawing = drawn(flange, 120)
    flat = lines(drawing, "work")[0].points
    assert {round(point.y, 6) for point in flat} == {49.0}  # 104 mm across a round of 110 mm
    assert all(x * x + y * y <= 55.0**2 + 1e-6 for area in drawing.areas for x, y in area.points)


def test_a_slot_and_a_flat_have_a_section_and_a_place(flange: Plan) -> None:
    assert {(4.0, -4.0), (-4.0, 0.0)} <= corners(drawn(flange, 130), "work")
    outline = lines(drawn(flange, 130, "places"), "work")[0].points
    xs, ys = [point.x for point in outline], [point.y for point in outline]
    assert (min(xs), max(xs)) == pytest.approx((-56, -32)) and (min(ys), max(ys)) == pytest.approx((-4, 4))
    turned = lines(drawn(flange, 140, "places"), "work")[0].points
    reach = max((x * 0.8660254 + (y + 48) * 0.5) for x, y in turned)  # along 30 deg
    assert reach == pytest.approx(7.5, abs=1e-6)
    through = drawn(flange, 140)
    assert "deep" not in sizes(through) and len(through.areas) == 2


# --- places --------------------------------------------------------------------------------------------


def test_places_are_numbered_and_say_what_is_done_and_what_is_next(plate: Plan) -> None:
    drawing = drawn(plate, 30, "places", position=3, done={1, 2})
    assert [one.state for one in drawing.places] == ["done", "done", "now", "to come"]
    assert drawing.places[2].at == (-24.0, 20.0)
    found = {one.name: one for one in drawing.dimensions}
    assert (found["place.x"].value.plain, found["place.y"].value.plain) == (-24.0, 20.0)
    assert found["place.x"].start.x == 0 and found["place.x"].end.x == -24.0


def test_places_that_are_listed_are_drawn_as_they_are(plate: Plan) -> None:
    drawing = drawn(plate, 50, "places")
    assert [one.at for one in drawing.places] == [(-50.0, 0.0), (50.0, 20.0)]


@pytest.mark.parametrize(
    ("origin", "left", "front"), [("middle", -80, -60), ("front left", 0, 0), ("back right", -160, -120)]
)
def test_the_plate_lies_round_the_zero_as_the_setup_says(
    tmp_path: Path, origin: str, left: float, front: float
) -> None:
    text = PLATE.replace('origin = "middle"', f'origin = "{origin}"')
    drawing = drawn(load_job(make_job(tmp_path / "job", text)).plan, 20, "places")
    around = corners(replace(drawing, outlines=drawing.outlines[:1]), "around")
    assert (left, front) in around and (left + 160, front + 120) in around


def test_places_are_in_the_units_of_the_machine_and_sections_in_those_of_the_job(tmp_path: Path) -> None:
    """What is driven to by a readout in mm is drawn in mm, though the job is in inches."""
    text = PLATE.replace('units = "mm"', 'units = "inch"')
    plan = load_job(make_job(tmp_path / "job", text)).plan
    assert drawn(plan, 20, "places").system == "mm"
    assert drawn(plan, 20).system == "inch"


# --- values --------------------------------------------------------------------------------------------


def test_every_label_is_a_value_of_the_job(plate: Plan, flange: Plan) -> None:
    """No number on a drawing is made by it: each is a value of an operation, or stands in the job."""
    for plan in (plate, flange):
        for operation in plan.operations:
            for drawing in drawings(plan, operation, 1):
                for one in drawing.dimensions:
                    assert shown(one.value, drawing.system) in one.label(drawing.system)
                    assert is_of_the_job(plan, operation.number, one), (operation.number, one.name)


def is_of_the_job(plan: Plan, number: int, one: Dimension) -> bool:
    prefix, _, name = one.name.rpartition(" ")
    scope = plan.by_number[int(prefix.removeprefix("op "))].scope if prefix else plan.by_number[number].scope
    if name in scope:
        return scope[name] is one.value
    if name.startswith("place."):
        scopes = [other.scope for other in plan.operations]
        rows = [other.plain for known in scopes for other in known.values() if isinstance(other.plain, tuple)]
        places = [row for plain in rows for row in plain if hasattr(row, "x")]
        return any(getattr(row, name[-1]) == one.value.plain for row in places)
    kind, _, rest = name.partition(".")
    if kind == "stock":
        return bool(getattr(plan.job.stock, rest).plain == one.value.plain)
    feature, _, key = rest.rpartition(".")
    return bool(getattr(plan.job.feature(feature), key).plain == one.value.plain)


def test_an_operation_without_a_feature_has_no_drawing(plate: Plan) -> None:
    operation = replace(plate.by_number[30], feature=None)
    assert drawings(plate, operation) == () and section(plate, operation) is None


@given(st.data())
def test_what_is_missing_is_said_and_never_a_fault(data: st.DataObject) -> None:
    """Whatever is not on file: what is known is drawn, in every form, and nothing breaks."""
    plan = data.draw(st.sampled_from(PLANS))
    operation = data.draw(st.sampled_from(plan.operations))
    gone = data.draw(st.sets(st.sampled_from(sorted(operation.scope))))
    scope = {name: value for name, value in operation.scope.items() if name not in gone}
    poorer = replace(operation, scope=scope)
    alone = replace(plan, operations=(poorer,))
    for drawing in drawings(alone, poorer, 1, {2}):
        assert text_of(drawing, 60, 16) and svg_of(drawing).startswith("<svg")
        assert not drawing.empty or drawing.unknown


def test_a_hole_without_its_depth_says_so(plate: Plan) -> None:
    """Without tap and drill on file the depth of the hole is not known, and no depth is drawn for it."""
    operation = plate.by_number[30]
    scope = {name: value for name, value in operation.scope.items() if name.startswith("feature.")}
    alone = replace(operation, scope=scope)
    drawing = drawn(replace(plate, operations=(alone,)), 30)
    assert "the depth is not known yet" in drawing.unknown
    assert not {"drill tip", "full size", "floor", "part"} & set(sizes(drawing))
    bottom = drawing.box.bottom
    closed = [one for one in drawing.outlines if all(point.y == bottom for point in one.points)]
    assert not closed  # it is broken off there: it neither ends nor goes through
