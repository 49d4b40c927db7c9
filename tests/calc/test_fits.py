import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc.fits import clearance_in_words, fit, limits
from handwheel.errors import InputError

SIZES = st.floats(1.01, 500)
HOLES = st.sampled_from(["H7", "H11", "JS7", "K7", "N7", "P7", "F8", "ZC8", "E9"])
SHAFTS = st.sampled_from(["h6", "g6", "f7", "js6", "k6", "n6", "p6", "s6", "zc7", "c11"])


@given(SIZES, st.one_of(HOLES, SHAFTS))
def test_the_limits_are_the_deviations_on_the_size(size: float, zone: str) -> None:
    found = limits(size=size, zone=zone)
    assert found.max_size - size == pytest.approx(found.upper_deviation / 1000, abs=1e-9)
    assert found.min_size - size == pytest.approx(found.lower_deviation / 1000, abs=1e-9)
    assert found.tolerance == pytest.approx(found.upper_deviation - found.lower_deviation)
    assert found.min_size < found.middle_size < found.max_size


@given(SIZES, st.floats(1, 2), st.sampled_from(["H7", "h6", "h11", "H13"]))
def test_a_larger_size_is_never_held_tighter(size: float, factor: float, zone: str) -> None:
    larger = min(500.0, size * factor)
    assert limits(size=larger, zone=zone).tolerance >= limits(size=size, zone=zone).tolerance


@given(SIZES, HOLES, SHAFTS)
def test_a_fit_is_what_any_two_parts_inside_their_limits_make(size: float, hole: str, shaft: str) -> None:
    """Every hole and shaft inside their limits go together with a clearance inside those of the fit."""
    made = fit(size=size, hole=hole, shaft=shaft)
    for one in (made.hole_min_size, made.hole_max_size):
        for other in (made.shaft_min_size, made.shaft_max_size):
            clearance = 1000 * (one - other)
            assert made.min_clearance - 1e-6 <= clearance <= made.max_clearance + 1e-6
    assert made.max_clearance - made.min_clearance == pytest.approx(
        limits(size=size, zone=hole).tolerance + limits(size=size, zone=shaft).tolerance
    )
    if made.kind == "clearance":
        assert made.min_clearance >= 0 and "tight" not in made.words
    elif made.kind == "interference":
        assert made.max_clearance <= 0 and "loose" not in made.words
    else:
        assert made.min_clearance < 0 < made.max_clearance
        assert "tight to" in made.words and made.words.endswith("loose")


def test_a_fit_in_the_words_of_a_fitter() -> None:
    assert fit(size=25, hole="H7", shaft="h6").words == "clearance: from size for size to 34 µm loose"
    assert fit(size=25, hole="H7", shaft="js6").words == "transition: from 6.5 µm tight to 27.5 µm loose"
    assert fit(size=25, hole="H7", shaft="p6").words == "interference: 1 to 35 µm tight"
    assert fit(size=2, hole="H6", shaft="p6").words == "interference: from 12 µm tight to size for size"
    assert clearance_in_words(-0.04) == "size for size"
    assert clearance_in_words(-5.26) == "5.3 µm tight"


@pytest.mark.parametrize(
    ("hole", "shaft", "said"),
    [
        ("h7", "g6", "hole h7 has to be in capital letters, such as H7"),
        ("H7", "G6", "shaft G6 has to be in small letters, such as g6"),
        ("H7", "q6", "there is no q; shafts have"),
        ("T7", "h6", "no T7 at 20 mm"),
    ],
)
def test_zones_on_the_wrong_part_are_refused(hole: str, shaft: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        fit(size=20, hole=hole, shaft=shaft)
