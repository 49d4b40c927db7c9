"""The carrier made at the lathe: a bar that springs, readings twice, warmth, a mate that moves the aim."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from answers import good_answer

from handwheel.demo import make_demo
from handwheel.run.act import Answer
from handwheel.run.left import expected_of, left_to_remove
from handwheel.sitting import Sitting
from handwheel.values import Value

SEAT = 140


@pytest.fixture
def sitting(tmp_path: Path) -> Sitting:
    """Open the carrier on a lathe that has a readout."""
    folder = make_demo(str(tmp_path / "carrier"), "carrier")[0]
    shop = folder / "shop.toml"
    text = shop.read_text(encoding="utf-8")
    assert text.count("readout = false") == 1
    shop.write_text(text.replace("readout = false", "readout = true"), encoding="utf-8")
    return Sitting.open(folder)


def test_a_lathe_without_a_readout_is_told_turns_and_lines_of_its_dial(tmp_path: Path) -> None:
    """The settings count from the touch; what the next cut is computed from is where the tool stood."""
    sitting = Sitting.open(make_demo(str(tmp_path / "carrier"), "carrier")[0])
    work_to(sitting, SEAT, "rough-by-dial")
    scope = sitting.plan.by_number[SEAT].scope
    wound = scope["dials.turns"].number * 4 + scope["dials.shows"].number
    assert wound == pytest.approx(scope["dials.end"].number - 45.4)
    assert wound / 0.02 == pytest.approx(round(wound / 0.02))
    assert answer(sitting) == ""
    assert sitting.state.events[-1].value == pytest.approx(scope["dials.end"].number)
    work_to(sitting, SEAT, "cut-by-dial")
    told = left(sitting)
    wound = told["left.turns"].number * 4 + told["left.shows"].number
    assert wound == pytest.approx(told["left.set_to"].number - 45.4)
    assert sitting.view().big == f"{told['left.shows'].number:.3f}".rstrip("0").ljust(4, "0")


def answer(sitting: Sitting, text: str = "") -> str:
    return sitting.answer(Answer("typed", text) if text else Answer("enter"))


def work_to(sitting: Sitting, operation: int, step: str) -> None:
    """Answer well until a step is live."""
    while sitting.item.key[:2] != (operation, step):
        assert sitting.item.kind not in ("finished", "stop"), f"{step} never came"
        typed = good_answer(sitting.item, sitting.state)
        assert answer(sitting, typed) == "", f"{sitting.item.key}: {typed!r}"


def plain(sitting: Sitting, operation: int, name: str) -> float:
    return sitting.plan.by_number[operation].scope[name].number


def measure_the_ring(sitting: Sitting) -> None:
    """Measure the ring of the bearing as it stands in the job."""
    work_to(sitting, 130, "outside-first")
    for reading in ("46.994", "46.993", "46.994"):
        assert answer(sitting, reading) == ""


class Bore:
    """A bore in truth: of what the dial asks a share goes into spring, and the dial has an error of zero."""

    def __init__(self, size: float, share: float, zero: float) -> None:
        self.size, self.share, self.zero = size, share, zero

    def cut(self, dial: float) -> None:
        asked = dial + self.zero - self.size
        self.size += max(asked, 0.0) / (1 + self.share)


def left(sitting: Sitting) -> dict[str, Value]:
    return left_to_remove(sitting.item, sitting.state)


def make_bore(sitting: Sitting, bore: Bore) -> list[float]:
    """Rough as listed, then cut by cut as told, reading what is there; give the advances of the last cuts."""
    advances: list[float] = []
    while sitting.item.key[:2] != (SEAT, "floor"):
        item = sitting.item
        if item.kind == "cut" and item.key.step == "rough":
            scope = sitting.plan.by_number[SEAT].scope
            rows = scope["rough.cuts"].plain
            assert isinstance(rows, tuple)
            for row in rows:
                bore.cut(row.set_to)
            assert answer(sitting) == ""
        elif item.kind == "cut":
            told = left(sitting)
            advances.append(told["left.advance"].number)
            bore.cut(told["left.set_to"].number)
            assert answer(sitting) == ""
        elif item.kind == "reading":
            assert answer(sitting, f"{bore.size:.4f}") == ""
            # a true size may look like a slip: measured again and the same, it counts
            good = ("once more", "measure again", "more to come off", "pass")
            assert sitting.state.events[-1].verdict in good, bore.size
        else:
            assert answer(sitting, good_answer(item, sitting.state)) == ""
        assert len(advances) < 5
    return advances


@pytest.mark.parametrize(("share", "zero"), [(0.15, 0.0), (0.1, 0.03), (0.08, -0.03), (0.2, 0.02)])
def test_a_springing_bar_is_answered_with_equal_cuts(sitting: Sitting, share: float, zero: float) -> None:
    """After a heavy rough cut two light cuts follow, as like as may be; the bore comes out proven."""
    measure_the_ring(sitting)
    work_to(sitting, SEAT, "rough")
    bore = Bore(45.4, share, zero)
    advances = make_bore(sitting, bore)
    assert 2 <= len(advances) <= 3
    low, high = plain(sitting, SEAT, "own.min_size"), plain(sitting, SEAT, "own.max_size")
    assert low <= bore.size <= high
    sitting.close()


def test_dialling_what_is_missing_would_not_do(sitting: Sitting) -> None:
    """The same bore, dialled to its aim in one cut, stays small: so the run is needed for it."""
    work_to(sitting, SEAT, "rough")
    bore = Bore(45.4, 0.3, 0.0)
    bore.cut(plain(sitting, SEAT, "cuts.after_rough"))
    bore.cut(plain(sitting, SEAT, "accept.middle"))
    assert bore.size < plain(sitting, SEAT, "own.min_size")
    sitting.close()


def read_to(sitting: Sitting, size: Callable[[float], float]) -> None:
    """Go to the reading after the first of the last cuts, and type a size made from what is expected."""
    work_to(sitting, SEAT, "size")
    assert answer(sitting, f"{plain(sitting, SEAT, 'cuts.after_rough') - 0.06:.4f}") == ""
    work_to(sitting, SEAT, "size")
    told = expected_of(sitting.item, sitting.state)
    assert told is not None
    assert answer(sitting, f"{size(told.number):.4f}") == ""


def test_a_tight_size_is_read_twice_and_the_first_is_not_shown(sitting: Sitting) -> None:
    """The second reading is typed without the first on the screen; only both together count."""
    measure_the_ring(sitting)
    read_to(sitting, lambda told: told)
    assert sitting.state.events[-1].verdict == "once more"
    assert sitting.item.key[:2] == (SEAT, "size")
    typed = sitting.state.events[-1].entered
    view = sitting.view()
    assert typed is not None and typed not in f"{view.text} {view.big}"
    assert answer(sitting, f"{float(typed) + 0.001:.4f}") == ""
    assert sitting.state.events[-1].verdict in ("pass", "more to come off")
    assert [event.entered for event in sitting.state.events if event.step == "size"][-2] == typed
    sitting.close()


@pytest.mark.parametrize("slip", ["4.61", "1.815", "92.2", "460.3"])
def test_a_slip_is_not_a_size(sitting: Sitting, slip: str) -> None:
    """A tenth, an inch, twice, ten times: refused, and the reading stays live."""
    work_to(sitting, SEAT, "size")
    before = len(sitting.state.readings)
    said = answer(sitting, slip)
    assert "Measure again" in said
    assert len(sitting.state.readings) == before and sitting.item.key[:2] == (SEAT, "size")
    sitting.close()


def test_half_a_turn_of_the_micrometer_is_measured_again(sitting: Sitting) -> None:
    """Off by half a millimetre exactly: kept, named as the slip that it looks like, and not yet counted."""
    work_to(sitting, SEAT, "size")
    expected = plain(sitting, SEAT, "cuts.after_rough")
    assert answer(sitting, f"{expected + 0.5:.4f}") == ""
    event = sitting.state.events[-1]
    assert event.verdict == "measure again" and event.reason
    sitting.close()


def test_a_warm_part_counts_as_what_it_will_be_cold(sitting: Sitting) -> None:
    """32 degrees on 47 mm of steel are 6.5 µm: a bore that reads 47.002 mm is 46.9955 mm at 20 degrees."""
    work_to(sitting, SEAT, "part-temperature")
    assert answer(sitting, "32") == "" and answer(sitting, "20") == ""
    assert answer(sitting, "46.1") == ""
    counts = sitting.state.events[-1].counts
    assert counts == pytest.approx(46.1 * (1 - 12 * 11.5e-6), abs=3e-4)
    sitting.close()


def test_a_measured_mate_moves_the_aim(sitting: Sitting) -> None:
    """A ring of 46.988 mm asks for 46.986 to 47.010: with J7 from 46.989, the aim is 46.9995 mm."""
    assert plain(sitting, SEAT, "accept.middle") == pytest.approx(47.003)
    work_to(sitting, 130, "outside-first")
    for reading in ("46.986", "46.988", "46.987"):
        assert answer(sitting, reading) == ""
    assert "46.988" in sitting.view().text
    assert plain(sitting, SEAT, "own.min_size") == pytest.approx(46.989)
    assert plain(sitting, SEAT, "own.max_size") == pytest.approx(47.010)
    assert plain(sitting, SEAT, "accept.middle") == pytest.approx(46.9995)
    sitting.close()


def test_another_bearing_is_not_a_reading(sitting: Sitting) -> None:
    """A ring half a millimetre off its catalogue is another one: past the limit, not a mate."""
    work_to(sitting, 130, "outside-first")
    answer(sitting, "46.6")
    assert sitting.state.events[-1].verdict in ("past the limit", "measure again")
    assert sitting.item.key[:2] == (130, "outside-first")
    sitting.close()


def test_the_fit_is_said_in_words(sitting: Sitting) -> None:
    """With mate and seat both measured, the line says how loose it is, and how surely."""
    work_to(sitting, 130, "outside-first")
    for reading in ("46.993", "46.994", "46.993"):
        assert answer(sitting, reading) == ""
    work_to(sitting, SEAT, "fit")
    size = next(event.value for event in reversed(sitting.state.events) if event.step == "size")
    assert size is not None and 46.996 <= size <= 47.010
    loose = f"{round(1000 * (size - 46.994), 1):g} µm loose, give or take 5.7 µm"
    assert loose in sitting.view().text
    sitting.close()


def test_after_a_break_the_list_of_the_machine_at_hand_is_asked(sitting: Sitting, tmp_path: Path) -> None:
    """Back at the mill it is the mill's list, although the job began on the lathe."""
    work_to(sitting, 190, "speed")
    assert sitting.wait(20)
    sitting.close()
    again = Sitting.open(tmp_path / "carrier")
    assert answer(again) == ""
    assert again.item.key.step == "restart.held"
    again.close()


def test_the_carrier_comes_to_its_last_signature(sitting: Sitting) -> None:
    """Somebody who does everything right signs every operation in order."""
    while sitting.item.kind != "finished":
        typed = good_answer(sitting.item, sitting.state)
        assert answer(sitting, typed) == "", f"{sitting.item.key}: {typed!r}"
    signed = [event.operation for event in sitting.state.events if event.kind == "signed"]
    assert signed == [one.number for one in sitting.plan.operations]
    sitting.close()


def test_a_reading_that_no_gauge_shows_is_refused(sitting: Sitting) -> None:
    """The bore gauge begins at 35 mm: 28 is a slip, whatever was cut."""
    work_to(sitting, SEAT, "size")
    said = answer(sitting, "28")
    assert "no size that bore-gauge shows" in said and "35 mm" in said


def test_after_a_reading_far_off_the_cuts_are_planned_anew(sitting: Sitting) -> None:
    """A bore that came out millimetres short is no last cut away: touched off again, it is roughed on."""
    work_to(sitting, 60, "size")
    expected = expected_of(sitting.item, sitting.state)
    assert expected is not None
    short = f"{expected.number - 5.6:.2f}"
    assert [answer(sitting, short), answer(sitting, short)] == ["", ""]
    verdicts = [event.verdict for event in sitting.state.events[-2:]]
    assert verdicts == ["measure again", "more to come off"]
    told = left(sitting)
    deepest = plain(sitting, 60, "start.depth_of_cut")
    assert "touch the part" in str(told["left.kind"].plain)
    assert 0 < told["left.expected"].number - float(short) <= 2 * deepest + 1e-9
    assert answer(sitting) == ""
    assert answer(sitting, f"{told['left.expected'].number:.3f}") == ""
    assert "touch the part" not in str(left(sitting)["left.kind"].plain)
