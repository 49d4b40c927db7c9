"""Sizes that are each possible and together are not: one line that says what would do."""

from __future__ import annotations

import pytest

from handwheel.cli import main


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("spot_depth chamfer_diameter=8 tip_diameter=10", "expected a tip of at most 8 mm"),
        (
            "countersink_depth major_diameter=6 hole_diameter=6.6 included_angle=90",
            "expected at least 6.6 mm",
        ),
        ("chamfer_depth leg=0.5 tip_clearance=4 hole_diameter=5", "take a smaller clearance, or plunge"),
        ("peck_plan diameter=0.1 depth=400 material=C45", "expected at most 200 mm"),
        ("hole_grid rows=100 columns=30 pitch_x=1 pitch_y=1", "expected at most 66 rows of as many"),
        ("flat_depth diameter=10 across=12", "expected the distance from the flat to the opposite side"),
        ("milling_tracks length=900 width=800 cutter_diameter=0.1", "expected a cutter of at least 2.13 mm"),
        ("pocket_walls length=40 width=8 cutter_diameter=10", "expected one that is no wider"),
        ("chip_thinning diameter=10 width_of_cut=11 chip_thickness=0.05", "expected at most 10 mm"),
        (
            "limited_spindle_speed spindle_speed=500 lowest=900 highest=800",
            "expected a lowest of at most 800 1/min",
        ),
        (
            "constant_surface_speed cutting_speed=100 start_diameter=50 end_diameter=0 feed=0.1 "
            "max_spindle_speed=800 min_spindle_speed=900",
            "expected at most 800 1/min",
        ),
        ("helical_entry hole_diameter=10 cutter_diameter=10 ramp_angle=2", "smaller, for example 6 mm"),
        ("dividing divisions=0 plates=[15]", "divisions is 0; it has to be at least 2"),
        ("dividing divisions=7 plates=[15.5]", "expected whole numbers such as 15"),
        ("dividing divisions=900 plates=[15,20]", "more than the 800 that a circle of 20 holes has"),
        ("polygon_stock sides=2 across_flats=10", "sides is 2; it has to be at least 3"),
        ("corner_relief cutter_diameter=-6 mate_edge=0", "cutter_diameter is -6 mm; it has to be above 0"),
        ("corner_relief cutter_diameter=6 mate_edge=0 corner_angle=180", "corner_angle is 180 deg; it has"),
        (
            'thinnest_wall holes=[{"name":"a","x":0,"y":0,"diameter":5}]',
            "expected at least two holes",
        ),
    ],
)
def test_what_would_do_is_said(capsys: pytest.CaptureFixture[str], words: str, said: str) -> None:
    assert main(["calc", *words.split()]) == 2
    out, err = capsys.readouterr()
    assert out == "" and err.count("\n") == 1
    assert said in err
