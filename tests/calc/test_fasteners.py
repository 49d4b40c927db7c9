import pytest

from handwheel.calc.fasteners import clearance_hole
from handwheel.errors import InputError
from handwheel.tables import table


def test_fine_is_below_medium_is_below_coarse_and_all_grow() -> None:
    rows = table("iso273").rows
    for row in rows:
        assert row["diameter"] < row["fine"] < row["medium"] < row["coarse"]
    for name in ("fine", "medium", "coarse"):
        holes = [row[name] for row in rows]
        assert holes == sorted(holes)


def test_the_pitch_does_not_matter() -> None:
    assert clearance_hole(thread="M8x1") == clearance_hole(thread="M8") == 9.0


@pytest.mark.parametrize("thread", ["1/4-20 UNC", "G 1/4", "M9"])
def test_what_iso_273_does_not_list_is_refused(thread: str) -> None:
    with pytest.raises(InputError, match="ISO 273"):
        clearance_hole(thread=thread)
