import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc.drills import drill_size, nearest_drill
from handwheel.errors import InputError

SERIES = ("metric", "metric-0.05", "fraction", "all")


@given(st.sampled_from(SERIES), st.floats(0.5, 70))
def test_lower_nearest_and_upper_enclose_the_diameter(series: str, diameter: float) -> None:
    lower, nearest, upper = (
        nearest_drill(diameter=diameter, series=series, rule=rule) for rule in ("lower", "nearest", "upper")
    )
    assert lower.diameter <= diameter <= upper.diameter
    assert nearest in (lower, upper)
    assert abs(nearest.difference) <= min(abs(lower.difference), abs(upper.difference)) + 1e-9


@given(st.sampled_from(SERIES), st.floats(0.7, 70))
def test_below_and_above_are_the_neighbours_of_a_drill_that_is_listed(series: str, diameter: float) -> None:
    """From a listed drill one step down and one up again comes back to it, and never to itself at once.

    The smallest of a series has none below it.
    """
    listed = nearest_drill(diameter=diameter, series=series).diameter
    below = nearest_drill(diameter=listed, series=series, rule="below")
    above = nearest_drill(diameter=listed, series=series, rule="above")
    assert below.diameter < listed < above.diameter
    assert nearest_drill(diameter=below.diameter, series=series, rule="above").diameter == listed
    assert nearest_drill(diameter=above.diameter, series=series, rule="below").diameter == listed


@given(st.sampled_from(SERIES), st.floats(0.5, 70))
def test_a_drill_found_is_found_again_by_its_name_and_its_size(series: str, diameter: float) -> None:
    found = nearest_drill(diameter=diameter, series=series)
    assert drill_size(name=found.name) == pytest.approx(found.diameter, abs=1e-9)
    again = nearest_drill(diameter=found.diameter, series=series)
    assert (again.name, again.difference) == (found.name, 0)


@pytest.mark.parametrize(
    ("name", "diameter"),
    [
        ("no. 7", 5.1054),
        ("f", 6.5278),
        ("13/64 in", 5.159375),
        ("1 9/64", 28.971875),
        ("6,8 mm", 6.8),
        ("6.8", 6.8),
        ("0.201 in", 5.1054),
        ('.201"', 5.1054),
    ],
)
def test_spellings(name: str, diameter: float) -> None:
    assert drill_size(name=name) == pytest.approx(diameter)


def test_a_bare_whole_number_could_be_two_drills() -> None:
    with pytest.raises(InputError, match="#7 or 7 mm"):
        drill_size(name="7")


@pytest.mark.parametrize("name", ["", "#0", "#81", "foo", "1/3", "-6.8", "0", "mm", "9" * 50])
def test_what_is_no_drill_is_refused(name: str) -> None:
    with pytest.raises(InputError, match="is not a drill"):
        drill_size(name=name)


def test_of_two_equally_near_the_smaller() -> None:
    assert nearest_drill(diameter=6.35).name == "6.3 mm"


def test_beyond_a_series_there_is_no_answer() -> None:
    for diameter, rule in ((6.8, "nearest"), (6.0, "upper"), (0.1, "nearest"), (0.33, "lower")):
        with pytest.raises(InputError, match="#80"):
            nearest_drill(diameter=diameter, series="number", rule=rule)
