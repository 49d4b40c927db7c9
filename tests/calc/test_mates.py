import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc import CalculationError
from handwheel.calc.mates import fit_result, size_for_mate, zone_with_mate
from handwheel.errors import InputError

SIDES = st.sampled_from(["shaft", "hole"])


@given(
    SIDES,
    st.floats(1, 500),
    st.floats(-100, 100),
    st.floats(0, 100),
    st.floats(0, 0.01),
    st.floats(0, 0.01),
    st.floats(0, 50),
    st.integers(0, 2),
)
def test_what_a_gauge_accepts_fits_whatever_the_two_readings_hide(
    mate_is: str,
    size: float,
    least: float,
    range_: float,
    mate_off: float,
    gauge_off: float,
    growth: float,
    surfaces: int,
) -> None:
    """Read anywhere inside the acceptance limits, grown, against any true mate: inside the clearances."""
    made = size_for_mate(
        mate_is=mate_is,
        mate_size=size,
        min_clearance=least,
        max_clearance=least + range_,
        mate_uncertainty=mate_off,
        gauge_uncertainty=gauge_off,
        growth_per_surface=growth,
        surfaces=surfaces,
    )
    if made.lower_acceptance is None or made.upper_acceptance is None:
        assert range_ / 1000 < 2 * (mate_off + gauge_off) + 1e-9
        assert any("nothing is left" in said or "no reading proves" in said for said in made.warnings)
        return
    dice = random.Random(7)
    grown = (-1 if mate_is == "shaft" else 1) * surfaces * growth / 1000
    for reading in (made.lower_acceptance, made.upper_acceptance, made.aim):
        assert reading is not None
        for sign, other in ((-1, -1), (1, -1), (-1, 1), (1, 1), (dice.uniform(-1, 1), dice.uniform(-1, 1))):
            feature, mate = reading + sign * gauge_off + grown, size + other * mate_off
            clearance = 1000 * (feature - mate if mate_is == "shaft" else mate - feature)
            assert least - 2e-5 <= clearance <= least + range_ + 2e-5


@given(st.lists(st.floats(10, 11), min_size=1, max_size=6))
def test_the_tightest_place_of_the_mate_rules(sizes: list[float]) -> None:
    shaft = size_for_mate(mate_is="shaft", mate_sizes=tuple(sizes), min_clearance=10, max_clearance=30)
    hole = size_for_mate(mate_is="hole", mate_sizes=tuple(sizes), min_clearance=10, max_clearance=30)
    assert shaft.ruling_size == max(sizes) and hole.ruling_size == min(sizes)
    alone = size_for_mate(mate_is="shaft", mate_size=max(sizes), min_clearance=10, max_clearance=30)
    assert shaft[:6] == alone[:6]
    assert any("that much looser" in said for said in shaft.warnings) == (max(sizes) - min(sizes) > 5e-5)


def test_nothing_left_is_said_and_not_a_size() -> None:
    lost = size_for_mate(
        mate_is="shaft", mate_size=20, min_clearance=5, max_clearance=12, mate_uncertainty=0.004
    )
    assert lost[:6] == (None,) * 6
    assert "4 µm comes off both ends of 7 µm" in lost.warnings[0]
    coarse = size_for_mate(
        mate_is="shaft", mate_size=20, min_clearance=5, max_clearance=12, gauge_uncertainty=0.004
    )
    assert coarse.min_size == pytest.approx(20.005) and coarse.lower_acceptance is None
    assert "no reading proves" in coarse.warnings[0]
    one_point = size_for_mate(
        mate_is="hole", mate_size=20, min_clearance=5, max_clearance=13, mate_uncertainty=0.004
    )
    assert one_point.min_size == pytest.approx(one_point.max_size)


def test_a_gauge_of_unknown_uncertainty_is_told() -> None:
    bare = size_for_mate(mate_is="shaft", mate_size=20, min_clearance=5, max_clearance=13)
    assert (bare.lower_acceptance, bare.upper_acceptance, bare.ratio) == (bare.min_size, bare.max_size, None)
    assert bare.warnings[0].startswith("the gauge's uncertainty counts as 0")


def test_a_mate_is_given_once_and_its_clearances_in_order() -> None:
    for wrong in ({}, {"mate_size": 20.0, "mate_sizes": (20.0, 20.01)}):
        with pytest.raises(CalculationError, match=r"mate_size.*mate_sizes, a list; one of them"):
            size_for_mate(mate_is="shaft", min_clearance=5, max_clearance=12, **wrong)  # type: ignore[arg-type]
    with pytest.raises(CalculationError, match="min_clearance 12 µm is above max_clearance 5 µm"):
        size_for_mate(mate_is="shaft", mate_size=20, min_clearance=12, max_clearance=5)


@given(st.floats(1, 100), st.floats(0, 0.1), st.floats(0.9, 101), st.floats(0, 0.1), st.floats(0.9, 101.1))
def test_the_common_zone_holds_just_what_both_allow(
    low: float, width: float, mate_low: float, mate_width: float, size: float
) -> None:
    common = zone_with_mate(
        lower_limit=low, upper_limit=low + width, min_size=mate_low, max_size=mate_low + mate_width
    )
    both = low <= size <= low + width and mate_low <= size <= mate_low + mate_width
    if common.min_size is None or common.max_size is None or common.aim is None:
        assert not both
        assert common.warnings[0].startswith("the zone and the mate contradict: the drawing allows")
    else:
        assert (common.min_size <= size <= common.max_size) == both
        assert common.min_size - 1e-9 <= common.aim <= common.max_size + 1e-9


def test_limits_in_the_wrong_order_are_refused_by_whose_they_are() -> None:
    with pytest.raises(InputError, match=r"the drawing's lower limit, 25\.1 mm, is above"):
        zone_with_mate(lower_limit=25.1, upper_limit=25, min_size=24, max_size=26)
    with pytest.raises(InputError, match="the mate's lower limit, 26 mm, is above"):
        zone_with_mate(lower_limit=25, upper_limit=25.1, min_size=26, max_size=24)


@given(
    st.floats(1, 500),
    st.floats(1, 500),
    st.floats(0, 0.05),
    st.floats(0, 0.05),
    st.floats(-1, 1),
    st.floats(-1, 1),
)
def test_a_fit_that_is_called_proven_holds_for_the_true_sizes(
    feature: float, near: float, one: float, other: float, off: float, off_mate: float
) -> None:
    """Whatever the true sizes inside the combined uncertainty, clearance stays clearance."""
    mate = feature + (near - 250) / 5000
    if mate <= 0:
        return
    found = fit_result(
        feature_size=feature,
        feature_uncertainty=one,
        mate_size=mate,
        mate_uncertainty=other,
        feature_is="hole",
    )
    away = (off**2 + off_mate**2) ** 0.5 or 1.0
    true = (feature + one * off / max(1.0, away)) - (mate + other * off_mate / max(1.0, away))
    if found.kind == "clearance":
        assert true >= -1e-8
    elif found.kind == "interference":
        assert true <= 1e-8
    else:
        assert abs(found.clearance) < found.uncertainty and found.words.endswith("not proven")
    swapped = fit_result(
        feature_size=mate,
        feature_uncertainty=other,
        mate_size=feature,
        mate_uncertainty=one,
        feature_is="shaft",
    )
    assert swapped == found
