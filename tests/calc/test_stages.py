import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc.stages import growth_matters, size_at_reference, size_before_growth, stage_size
from handwheel.errors import InputError

SIZES = st.floats(1, 500)
WARMTH = st.floats(-20, 120)
EXPANSION = st.floats(0, 120)
KINDS = st.sampled_from(["shaft", "hole", "length"])


@given(SIZES, WARMTH, EXPANSION, st.floats(15, 30))
def test_warming_the_part_again_gives_the_reading_back(
    size: float, temperature: float, expansion: float, reference: float
) -> None:
    """The size at the reference, heated a hundredth of a kelvin at a time, grows back to the reading."""
    found = size_at_reference(
        size=size, temperature=temperature, expansion=expansion, reference=reference
    ).size_at_reference
    steps = 200
    length, step = found, (temperature - reference) / steps
    for _ in range(steps):
        length += found * expansion * 1e-6 * step
    assert length == pytest.approx(size, abs=1e-8)


@given(SIZES, WARMTH, EXPANSION)
def test_a_gauge_that_is_as_warm_and_of_the_same_metal_needs_no_correction(
    size: float, temperature: float, expansion: float
) -> None:
    found = size_at_reference(
        size=size,
        temperature=temperature,
        expansion=expansion,
        gauge_temperature=temperature,
        gauge_expansion=expansion,
    )
    assert found.correction == pytest.approx(0, abs=1e-6)
    assert found.warnings == ()


def test_a_gauge_of_unknown_warmth_is_told() -> None:
    said = size_at_reference(size=47, temperature=32, expansion=11.5).warnings
    assert said == ("the gauge counts as being at 20 °C: its temperature was not given",)
    cold = size_at_reference(size=47, temperature=20, expansion=11.5, gauge_temperature=0)
    assert cold.correction == pytest.approx(-47 * 20 * 11.5e-3)
    with pytest.raises(InputError, match="leave no size"):
        size_at_reference(size=47, temperature=-200, expansion=9000)


@given(SIZES, WARMTH, EXPANSION, st.floats(0.005, 1))
def test_the_shift_is_what_the_correction_takes_off(
    size: float, temperature: float, expansion: float, tolerance: float
) -> None:
    shift = growth_matters(size=size, expansion=expansion, temperature=temperature, tolerance=tolerance)
    correction = size_at_reference(size=size, temperature=temperature, expansion=expansion).correction
    assert shift.shift == pytest.approx(-correction, rel=0.02, abs=1e-6)
    assert shift.matters == (abs(shift.shift) > 100 * tolerance + 1e-7) or shift.share == pytest.approx(10)


@given(SIZES, KINDS, st.floats(0, 200), st.integers(0, 2))
def test_a_skin_on_every_surface_brings_the_size_back(
    size: float, kind: str, growth: float, surfaces: int
) -> None:
    if kind != "hole" and size <= surfaces * growth / 1000:
        return
    before = size_before_growth(size=size, growth_per_surface=growth, kind=kind, surfaces=surfaces)
    skin = surfaces * growth / 1000
    assert before + (-skin if kind == "hole" else skin) == pytest.approx(size)
    assert before == pytest.approx(
        stage_size(size=size, kind=kind, growth_per_surface=growth, surfaces=surfaces)
    )


@given(st.floats(20, 500), KINDS, st.floats(0, 5), st.floats(0, 200))
def test_stock_is_metal_and_a_hole_with_stock_is_smaller(
    size: float, kind: str, stock: float, growth: float
) -> None:
    """What a later cut has to take off is the stock, on either side, and what grows is taken off before."""
    bare = stage_size(size=size, kind=kind, growth_per_surface=growth)
    staged = stage_size(size=size, kind=kind, stock_per_surface=stock, growth_per_surface=growth)
    toward = -1 if kind == "hole" else 1
    assert toward * (staged - bare) == pytest.approx(2 * stock, abs=1e-9)


def test_a_stage_without_a_size_is_refused() -> None:
    with pytest.raises(InputError, match="the stock on its surfaces leaves nothing"):
        stage_size(size=2, kind="hole", stock_per_surface=1)
    with pytest.raises(InputError, match="the growth on its surfaces leaves nothing"):
        size_before_growth(size=0.1, kind="length", growth_per_surface=50)


def test_of_no_tolerance_any_warmth_matters() -> None:
    """Where zone and mate only just touch there is nothing left for heat to take."""
    warm = growth_matters(size=40, expansion=11.5, temperature=30, tolerance=0)
    assert warm.matters and warm.share is None and warm.shift == pytest.approx(4.6)
    assert not growth_matters(size=40, expansion=11.5, temperature=20, tolerance=0).matters
