"""Grooves held to the rules of the standards: the ring slips in, the land carries it."""

from typing import Any

import pytest

from handwheel.calc.retaining_rings import RingGroove, bore_ring_groove, shaft_ring_groove
from handwheel.errors import InputError
from handwheel.tables import table

BORES = [
    (row["bore_diameter"], bore_ring_groove(bore_diameter=row["bore_diameter"]))
    for row in table("din472").rows
]
SHAFTS = [
    (row["shaft_diameter"], shaft_ring_groove(shaft_diameter=row["shaft_diameter"]))
    for row in table("din471").rows
]
GROOVES = [*BORES, *SHAFTS]


@pytest.mark.parametrize(("diameter", "groove"), GROOVES)
def test_the_groove_takes_the_ring_and_leaves_land(diameter: float, groove: RingGroove) -> None:
    """A little wider than the ring, three times its depth from the end face, and nowhere deep."""
    room = groove.groove_width - groove.ring_thickness
    assert 0.05 < room <= 0.15 + 1e-9
    assert groove.groove_width < groove.groove_width_max <= groove.groove_width + 0.18 + 1e-9
    assert 3 * groove.groove_depth - 1e-9 <= groove.edge_distance <= 3 * groove.groove_depth + 0.051
    assert 0.015 * diameter < groove.groove_depth < 0.04 * diameter


def test_a_bore_groove_only_grows_and_a_shaft_groove_only_shrinks() -> None:
    for diameter, groove in BORES:
        assert diameter < groove.groove_min == groove.groove_diameter < groove.groove_max
    for diameter, groove in SHAFTS:
        assert diameter > groove.groove_max == groove.groove_diameter > groove.groove_min


@pytest.mark.parametrize("rows", [BORES, SHAFTS], ids=["bores", "shafts"])
def test_larger_rings_are_no_thinner_and_lie_no_shallower(rows: list[tuple[float, RingGroove]]) -> None:
    columns: list[list[Any]] = [
        [size for size, _ in rows],
        [groove.groove_diameter for _, groove in rows],
        [groove.ring_thickness for _, groove in rows],
        [round(groove.groove_depth, 6) for _, groove in rows],
        [groove.edge_distance for _, groove in rows],
    ]
    for column in columns:
        assert column == sorted(column)
    assert len(set(columns[0])) == len(rows)


def test_a_size_without_a_ring_is_answered_with_its_neighbours() -> None:
    with pytest.raises(
        InputError, match=r"DIN 472 has no ring for a bore of 47\.1 mm; the nearest are 47 and 48 mm"
    ):
        bore_ring_groove(bore_diameter=47.1)
    with pytest.raises(
        InputError, match="DIN 471 has no ring for a shaft of 2 mm; the nearest are 3 and 4 mm"
    ):
        shaft_ring_groove(shaft_diameter=2)
