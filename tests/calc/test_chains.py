import random
from math import atan2, degrees

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc import CalculationError
from handwheel.calc.chains import ChainLink, blade_travel, clean_up, dimension_chain, first_face

links = st.lists(
    st.builds(
        lambda value, upper, width, sign: ChainLink(value, upper, upper - width, sign),
        st.floats(0, 200),
        st.floats(-1, 1),
        st.floats(0, 1),
        st.sampled_from([1, -1]),
    ),
    min_size=1,
    max_size=6,
).map(tuple)


@given(links, st.integers(0, 1000))
def test_no_part_made_to_the_links_is_outside_the_chain(chain: tuple[ChainLink, ...], seed: int) -> None:
    """Links drawn anywhere between their limits add up to a size between the chain's, and the ends occur."""
    answer = dimension_chain(links=chain)
    dice = random.Random(seed)
    for _ in range(20):
        made = sum(one.sign * (one.value + dice.uniform(one.lower, one.upper)) for one in chain)
        assert answer.min_size - 1e-9 <= made <= answer.max_size + 1e-9
    longest = sum(one.sign * (one.value + (one.upper if one.sign > 0 else one.lower)) for one in chain)
    assert longest == pytest.approx(answer.max_size, abs=1e-9)
    assert answer.likely <= answer.tolerance / 2 + 1e-9


@given(links)
def test_turning_the_chain_round_changes_every_sign(chain: tuple[ChainLink, ...]) -> None:
    there = dimension_chain(links=chain)
    back = dimension_chain(links=tuple(one._replace(sign=-one.sign) for one in chain))
    assert back.value == pytest.approx(-there.value)
    assert back.upper == pytest.approx(-there.lower)
    assert back.tolerance == pytest.approx(there.tolerance)


def test_links_that_cannot_be_are_refused() -> None:
    with pytest.raises(CalculationError, match="link 2 is 0; expected 1 along or -1 back"):
        dimension_chain(links=(ChainLink(10, 0, 0, 1), ChainLink(10, 0, 0, 0)))
    with pytest.raises(CalculationError, match=r"link 1, .* is below"):
        dimension_chain(links=(ChainLink(10, -0.1, 0.1, 1),))


@given(
    st.floats(20, 200),
    st.floats(0, 5),
    st.floats(0, 5),
    st.sampled_from(["same", "opposite"]),
    st.floats(0, 1),
)
def test_the_two_square_faces_lie_in_the_metal(
    length: float, a: float, b: float, leaning: str, skin: float
) -> None:
    """Along every line through the piece both new faces lie inside the old ones, by the skin at least."""
    turned = [degrees(atan2(one, 100)) for one in (a, b)]
    answer = clean_up(
        length=length,
        slant_a=turned[0],
        slant_b=turned[1],
        leaning=leaning,
        diameter=100,
        skin=skin,
        target=10,
    )
    at_b = (b, 0.0) if leaning == "opposite" else (0.0, b)
    longest = max(at_b[0], at_b[1] - a)
    near = a + skin
    far = near + answer.usable
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        old_near = a * share
        old_far = at_b[0] + (at_b[1] - at_b[0]) * share + length - longest
        assert old_near + skin <= near + 1e-9
        assert far <= old_far - skin + 1e-9
    assert bool(answer.warnings) == (answer.spare < 0)


def test_leaning_alike_loses_less() -> None:
    same, wedge = (
        clean_up(
            length=50,
            slant_a=degrees(atan2(2, 100)),
            slant_b=degrees(atan2(1, 100)),
            leaning=leaning,
            diameter=100,
            target=48.5,
        )
        for leaning in ("same", "opposite")
    )
    assert same.usable == pytest.approx(48)
    assert wedge.usable == pytest.approx(47)
    assert wedge.warnings == ("this piece will not clean up: it is 1.50 mm short of 48.5 mm",)


@given(
    st.floats(0, 3),
    st.floats(0, 3),
    st.sampled_from(["same", "opposite"]),
    st.floats(5, 300),
    st.floats(0, 1),
    st.floats(1, 50),
)
def test_face_by_face_the_piece_has_as_much_to_spare_as_at_once(
    slant_a: float, slant_b: float, leaning: str, diameter: float, skin: float, target: float
) -> None:
    """What the first face leaves over what the second needs is what both leave over the target."""
    piece = {"slant_a": slant_a, "slant_b": slant_b, "diameter": diameter, "skin": skin, "target": target}
    first = first_face(length=60, leaning=leaning, **piece)
    both = clean_up(length=60, leaning=leaning, **piece)
    assert first.spare == pytest.approx(both.spare, abs=1e-9)
    assert first.stays <= 60 - skin + 1e-9
    assert bool(first.warnings) == (first.spare < 0)


def test_a_blade_goes_in_by_its_own_width_more() -> None:
    assert blade_travel(position=4.1, width=1.85) == pytest.approx(5.95)
    assert blade_travel(position=0, width=3) == 3
