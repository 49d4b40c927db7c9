"""Centre holes held to geometry: cones of 60 and 120 degrees, a mouth inside the body, sizes that grow."""

from math import atan, degrees

import pytest

from handwheel.calc.catalogue import CalculationError
from handwheel.calc.centre_drills import CentreDrill, centre_drill
from handwheel.tables import table

PILOTS = [float(row["pilot"]) for row in table("centre_drills").rows]
COMMON = [size for size in PILOTS if size >= 1]
HOLES = [pytest.param(size, centre_drill(pilot=size), id=f"A{size:g}") for size in PILOTS]


@pytest.mark.parametrize(("pilot", "hole"), HOLES)
def test_a_centre_hole_is_a_pilot_and_a_cone(pilot: float, hole: CentreDrill) -> None:
    """From the pilot to the mouth the wall leans 30 degrees, and the mouth lies inside the body."""
    assert hole.depth is not None and hole.pilot_length is not None
    lean = degrees(atan((hole.countersink - pilot) / 2 / (hole.depth - hole.pilot_length)))
    assert lean == pytest.approx(30)
    assert pilot < hole.countersink < hole.body
    assert hole.face_diameter == hole.countersink
    assert 1.05 * pilot < hole.pilot_length < 1.75 * pilot
    assert hole.shaft_from < hole.shaft_to and hole.countersink < 0.6 * hole.shaft_from


@pytest.mark.parametrize("pilot", COMMON)
def test_form_b_has_a_cone_of_120_degrees_on_top_of_form_a(pilot: float) -> None:
    plain, guarded = centre_drill(pilot=pilot), centre_drill(pilot=pilot, form="B")
    assert plain.depth is not None and guarded.depth is not None
    rim = guarded.depth - plain.depth
    lean = degrees(atan((guarded.face_diameter - guarded.countersink) / 2 / rim))
    assert lean == pytest.approx(60)
    assert guarded.countersink == plain.countersink < guarded.face_diameter < guarded.body
    assert guarded.body > plain.body


@pytest.mark.parametrize("pilot", COMMON)
def test_form_r_has_an_arc_and_no_depth(pilot: float) -> None:
    """The arc is as large as the next body or so; without a pilot length on file there is no depth."""
    plain, arc = centre_drill(pilot=pilot), centre_drill(pilot=pilot, form="R")
    assert arc.radius_min is not None and arc.radius_max is not None
    assert 2 * pilot < arc.radius_min < arc.radius_max <= 3.3 * pilot
    assert (arc.body, arc.countersink) == (plain.body, plain.countersink)
    assert arc.depth is None and arc.pilot_length is None and "go by the mouth" in arc.warnings[0]
    assert plain.radius_min is None and plain.radius_max is None


@pytest.mark.parametrize("form", ["A", "B", "R"])
def test_larger_pilots_make_larger_holes(form: str) -> None:
    holes = [centre_drill(pilot=pilot, form=form) for pilot in COMMON]
    for name in ("body", "countersink", "face_diameter", "shaft_from", "shaft_to", "depth"):
        column = [getattr(hole, name) for hole in holes]
        assert None in column or column == sorted(column)


@pytest.mark.parametrize(
    ("pilot", "form", "said"),
    [(3.0, "A", "not in ISO 866; there are 0.5, 0.63"), (0.5, "B", "not in ISO 2540; there are 1, 1.25")],
)
def test_a_pilot_of_no_standard_is_answered_with_those_there_are(pilot: float, form: str, said: str) -> None:
    with pytest.raises(CalculationError, match=said):
        centre_drill(pilot=pilot, form=form)
