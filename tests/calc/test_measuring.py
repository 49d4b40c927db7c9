import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc import CATALOGUE
from handwheel.calc.measuring import (
    Instrument,
    acceptance,
    deviation_limits,
    general_tolerance,
    instrument_for,
    to_come_off,
)
from handwheel.errors import InputError
from handwheel.tables import table

BENCH = (
    Instrument("caliper", 0, 150, 0.03),
    Instrument("micrometer", 25, 50, 0.004),
    Instrument("rule", 0, 300, 0.25),
)


@given(st.floats(1, 500), st.floats(0.001, 1), st.floats(0.0005, 0.5))
def test_acceptance_is_symmetric_or_empty(lower: float, width: float, uncertainty: float) -> None:
    upper = lower + width
    answer = acceptance(lower_limit=lower, upper_limit=upper, uncertainty=uncertainty)
    assert answer.ratio == pytest.approx(width / (2 * uncertainty), rel=1e-6)
    if answer.lower_acceptance is None or answer.upper_acceptance is None:
        assert answer.lower_acceptance is answer.upper_acceptance is None
        assert upper - lower < 2 * uncertainty
        assert "no reading proves" in answer.warnings[0]
    else:
        assert answer.lower_acceptance <= answer.upper_acceptance
        assert answer.lower_acceptance - lower == pytest.approx(upper - answer.upper_acceptance, abs=1e-8)


def test_a_zone_of_just_two_uncertainties_is_one_point() -> None:
    answer = acceptance(lower_limit=20, upper_limit=20.006, uncertainty=0.003)
    assert answer.lower_acceptance == pytest.approx(20.003)
    assert answer.upper_acceptance == pytest.approx(20.003)


def test_limits_in_the_wrong_order_and_a_perfect_instrument() -> None:
    with pytest.raises(InputError, match="above the upper"):
        acceptance(lower_limit=20.1, upper_limit=20, uncertainty=0.01)
    perfect = acceptance(lower_limit=20, upper_limit=20.1, uncertainty=0)
    assert perfect.ratio is None and perfect.warnings


def test_below_four_to_one_is_said() -> None:
    assert "below 4" in acceptance(lower_limit=20, upper_limit=20.02, uncertainty=0.004).warnings[0]
    assert acceptance(lower_limit=20, upper_limit=20.04, uncertainty=0.004).warnings == ()


@pytest.mark.parametrize("kind", ["length", "edge", "angle"])
def test_general_tolerances_never_shrink_from_fine_to_very_coarse(kind: str) -> None:
    for row in table("iso2768").rows:
        widths = [row[grade] for grade in "fmcv" if row["kind"] == kind and row[grade] == row[grade]]
        assert widths == sorted(widths)


@given(st.floats(0.5, 2000), st.floats(1, 2), st.sampled_from("mc"))
def test_a_longer_size_has_no_smaller_general_tolerance(size: float, factor: float, grade: str) -> None:
    short, long = (
        general_tolerance(size=one, class_=grade).tolerance for one in (size, min(4000, size * factor))
    )
    assert short is not None and long is not None
    assert long >= short


def test_general_tolerance_gives_limits_for_lengths_only() -> None:
    assert general_tolerance(size=30, class_="m") == (0.2, 30.2, 29.8, None)
    assert general_tolerance(size=2, class_="m", kind="edge") == (0.2, None, None, None)
    assert general_tolerance(size=30, class_="m", kind="angle") == (None, None, None, 0.5)
    assert list(CATALOGUE["general_tolerance"].inputs) == ["size", "class", "kind"]


@pytest.mark.parametrize(("size", "grade"), [(0.4, "m"), (4001, "m"), (2, "v"), (2500, "f")])
def test_outside_the_table_there_is_no_general_tolerance(size: float, grade: str) -> None:
    with pytest.raises(InputError, match=f"ISO 2768-{grade} gives no length tolerance"):
        general_tolerance(size=size, class_=grade)


@given(st.floats(1, 500), st.floats(-1, 1), st.floats(0, 1))
def test_deviations_give_limits_a_tolerance_apart(size: float, lower: float, width: float) -> None:
    limits = deviation_limits(size=size, upper_deviation=lower + width, lower_deviation=lower)
    assert limits.max_size - limits.min_size == pytest.approx(limits.tolerance, abs=1e-9)
    assert limits.tolerance >= 0


def test_deviations_in_the_wrong_order_are_refused() -> None:
    with pytest.raises(InputError, match="below the lower"):
        deviation_limits(size=20, upper_deviation=-0.02, lower_deviation=-0.007)


@given(st.floats(1, 500), st.floats(1, 500))
def test_a_hole_and_a_shaft_come_off_the_other_way(reading: float, aim: float) -> None:
    shaft = to_come_off(reading=reading, aim=aim).amount
    assert shaft == -to_come_off(reading=reading, aim=aim, removing="from a hole").amount
    assert aim + shaft == pytest.approx(reading)


@given(st.floats(0, 350), st.floats(0.001, 5))
def test_the_instrument_is_good_enough_and_no_finer_than_that(size: float, tolerance: float) -> None:
    chosen = instrument_for(size=size, instruments=BENCH, tolerance=tolerance)
    spanning = [one for one in BENCH if one.smallest <= size <= one.largest]
    good = [one.uncertainty for one in spanning if tolerance / (2 * one.uncertainty) >= 4 * (1 - 1e-9)]
    if not spanning:
        assert chosen.instrument == "" and chosen.uncertainty is None and chosen.warnings
    elif good:
        assert chosen.uncertainty == max(good) and chosen.warnings == ()
    else:
        assert chosen.uncertainty == min(one.uncertainty for one in spanning) and chosen.warnings


def test_without_a_tolerance_the_finest_is_chosen() -> None:
    assert instrument_for(size=30, instruments=BENCH) == ("micrometer", 0.004, None, ())


def test_an_instrument_that_cannot_prove_the_tolerance_is_named() -> None:
    assert "cannot prove" in instrument_for(size=30, instruments=BENCH, tolerance=0.005).warnings[0]
