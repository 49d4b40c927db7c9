from typing import Any

import pytest

from handwheel.calc.fasteners import clearance_hole, counterbore, flat_head_countersink
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


@pytest.mark.parametrize(
    ("thread", "said"), [("#12-24 UNC", r"ASME B18.2.8.* it has #0"), ("G 1/4", "ISO 273"), ("M9", "ISO 273")]
)
def test_what_is_not_listed_is_refused(thread: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        clearance_hole(thread=thread)


HEADS = table("din974").rows


@pytest.mark.parametrize("row", HEADS, ids=lambda row: f"{row['head']} M{row['diameter']:g}")
def test_a_counterbore_takes_its_head_and_sinks_it(row: dict[str, Any]) -> None:
    """Wider than the head, even where that is knurled or spun by a wrench, and a little deeper than high."""
    found = counterbore(thread=f"M{row['diameter']:g}", head=row["head"])
    widest = found.knurled_diameter or found.head_diameter
    assert found.knurled_diameter is None or found.head_diameter < found.knurled_diameter
    assert 0.2 <= found.diameter - widest <= (40 if row["head"] == "hex" else 6)
    assert 0.2 <= found.depth - found.head_height <= 1
    through = clearance_hole(thread=f"M{row['diameter']:g}")
    assert found.diameter > through + 1


@pytest.mark.parametrize("head", ["socket_cap", "low_cap", "cheese", "pan", "hex"])
def test_larger_screws_have_larger_heads_and_counterbores(head: str) -> None:
    rows = [row for row in HEADS if row["head"] == head]
    for name in ("diameter", "head_diameter", "head_height", "counterbore"):
        column = [row[name] for row in rows]
        assert column == sorted(column)


def test_the_pitch_of_a_screw_does_not_change_its_head() -> None:
    assert counterbore(thread="M8x1") == counterbore(thread="M8")
    assert counterbore(thread="1/4-28 UNF") == counterbore(thread="1/4-20 UNC")
    assert flat_head_countersink(thread="M10x1") == flat_head_countersink(thread="M10")


@pytest.mark.parametrize("row", table("asme_b18_3_cap").rows, ids=lambda row: str(row["size"]))
def test_an_inch_counterbore_is_wider_than_its_head(row: dict[str, Any]) -> None:
    assert 1 / 64 < row["counterbore"] - row["head_diameter"] < 1 / 7


@pytest.mark.parametrize("name", ["asme_b18_3_flat", "asme_b18_6_3_flat"])
def test_inch_flat_heads_grow_and_a_machine_screw_has_the_smaller_one(name: str) -> None:
    """A hexagon socket wants the larger head of the two standards at every size that both have."""
    rows = table(name).rows
    heads = [row["major_diameter"] for row in rows]
    assert heads == sorted(heads)
    socket = {row["size"]: row["major_diameter"] for row in table("asme_b18_3_flat").rows}
    assert all(row["major_diameter"] <= socket.get(row["size"], 9) for row in rows)


@pytest.mark.parametrize(("series", "fit"), [("fine", "close"), ("medium", "normal"), ("coarse", "loose")])
def test_a_series_may_be_called_by_the_fit(series: str, fit: str) -> None:
    for thread in ("M8", "1/4-20 UNC"):
        assert clearance_hole(thread=thread, series=series) == clearance_hole(thread=thread, series=fit)


@pytest.mark.parametrize(("size", "thread"), [(3, "M3"), (6, "M6"), (12, "M12"), (16, "M16"), (20, "M20")])
def test_a_flat_socket_head_is_a_cone_on_its_shank(size: float, thread: str) -> None:
    """The head's height, half of what its theoretical diameter is wider than the shank, is in print."""
    heights = {3: 1.86, 6: 3.72, 12: 7.44, 16: 8.8, 20: 10.16}  # ISO 10642:2004, table 1
    assert (flat_head_countersink(thread=thread).major_diameter - size) / 2 == pytest.approx(
        heights[int(size)]
    )


@pytest.mark.parametrize("head", ["socket", "recessed", "din_7991"])
def test_flat_heads_grow_with_the_thread(head: str) -> None:
    rows = [row for row in table("flat_heads").rows if row["head"] == head]
    for name in ("diameter", "major_diameter"):
        column = [row[name] for row in rows]
        assert column == sorted(column)
    assert all(row["major_diameter"] > 1.5 * row["diameter"] for row in rows)


@pytest.mark.parametrize(
    ("thread", "head", "said"),
    [
        ("M7", "socket_cap", "no socket_cap head for M7; there are some from M1.6 to M48"),
        ("M12", "pan", "no pan head for M12"),
        ("1/4-20 UNC", "hex", "no hex head for 1/4-20 UNC"),
        ("#12-24 UNC", "socket_cap", "ASME B18.3 has nothing for #12-24 UNC"),
        ("G 1/4", "socket_cap", "no socket_cap head for G 1/4"),
    ],
)
def test_a_thread_without_such_a_head_is_refused(thread: str, head: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        counterbore(thread=thread, head=head)


def test_a_thread_without_such_a_flat_head_is_refused() -> None:
    with pytest.raises(InputError, match="no socket head for M30; there are some from M3 to M20"):
        flat_head_countersink(thread="M30")
    with pytest.raises(InputError, match="no din_7991 head for #10-32 UNF"):
        flat_head_countersink(thread="#10-32 UNF", head="din_7991")
    with pytest.raises(InputError, match="has nothing for 1-8 UNC; it has #0, #1"):
        flat_head_countersink(thread="1-8 UNC", head="recessed")
    assert flat_head_countersink(thread="M24", head="din_7991").included_angle == 60
