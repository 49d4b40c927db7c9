"""What a person set, and for what a waiver was given: the plan and the stops follow it."""

from __future__ import annotations

from pathlib import Path

import pytest
from answers import good_answer
from planting import change

from handwheel.errors import StoreError
from handwheel.run.act import Answer
from handwheel.run.changes import changed_since
from handwheel.sitting import Sitting
from handwheel.store import record


def work_to(sitting: Sitting, operation: int, step: str) -> None:
    while sitting.item.key[:2] != (operation, step):
        typed = good_answer(sitting.item)
        refused = sitting.answer(Answer("typed", typed) if typed else Answer("enter"))
        assert refused == "", f"{sitting.item.key}: {refused}"


def type_in(sitting: Sitting, text: str) -> str:
    return sitting.answer(Answer("typed", text))


def test_the_feed_follows_the_speed_that_was_set(demo: Path) -> None:
    """A slower step than the computed one, typed, slows the feed with it; undone, all is as it was."""
    sitting = Sitting.open(demo)
    work_to(sitting, 20, "speed")
    assert sitting.view().big == "540"
    assert type_in(sitting, "330") == ""
    assert "134 mm/min" in sitting.view().text
    assert "330 1/min" in sitting.look(-1).text
    assert changed_since(sitting.plan, sitting.state) == {}
    assert sitting.answer(Answer("undo")) == ""
    assert sitting.view().big == "540"
    sitting.close()


def test_the_speed_that_was_set_comes_back_with_the_record(demo: Path) -> None:
    """Opened again, the feed is still that of the speed that was set."""
    sitting = Sitting.open(demo)
    work_to(sitting, 20, "speed")
    assert type_in(sitting, "330") == "" and sitting.wait(20)
    sitting.close()
    again = Sitting.open(demo)
    work_to(again, 20, "feed")
    assert again.view().big == "134"
    again.close()


@pytest.mark.parametrize("typed", ["0", "-300", "16.9 m"])
def test_a_setting_takes_no_number_that_moves_nothing(demo: Path, typed: str) -> None:
    """Nothing, a negative speed and a length are no spindle speeds."""
    sitting = Sitting.open(demo)
    work_to(sitting, 20, "speed")
    assert type_in(sitting, typed) != ""
    sitting.close()


def test_a_depth_has_to_be_set_as_shown(demo: Path) -> None:
    """A stop depth takes Enter alone: another number would be the floor of the hole."""
    sitting = Sitting.open(demo)
    work_to(sitting, 60, "depth")
    assert "no other number" in type_in(sitting, "19.5")
    sitting.close()


def test_a_waiver_holds_for_the_numbers_it_was_given_for(demo: Path) -> None:
    """A speed raised after it was waived is a stop again."""
    setting = 'tool = "face-mill-50"\nsettings = { spindle_speed = "1500 1/min", reason = "it sings" }'
    change(demo / "job.toml", 'tool = "face-mill-50"', setting)
    sitting = Sitting.open(demo)
    while sitting.item.kind != "stop":
        typed = good_answer(sitting.item)
        assert sitting.answer(Answer("typed", typed) if typed else Answer("enter")) == ""
    assert sitting.answer(Answer("waive", "1")) == "" and sitting.item.kind != "stop"
    sitting.wait(20)
    sitting.close()
    change(demo / "job.toml", '"1500 1/min"', '"2000 1/min"')
    again = Sitting.open(demo)
    while again.item.kind in ("briefing", "item", "hazard"):
        typed = good_answer(again.item)
        assert again.answer(Answer("typed", typed) if typed else Answer("enter")) == ""
    assert again.item.kind == "stop"
    again.close()


def test_a_failed_opening_lets_the_job_go(demo: Path) -> None:
    """A record that cannot be read keeps no lock: put right, the job opens for work."""
    in_the_way = demo / record.NAME
    in_the_way.unlink(missing_ok=True)
    in_the_way.mkdir()
    with pytest.raises((StoreError, OSError)):
        Sitting.open(demo)
    in_the_way.rmdir()
    again = Sitting.open(demo)
    assert again.read_only == ""
    again.close()


def test_a_speed_that_the_machine_no_longer_has_does_not_keep_the_job_shut(demo: Path) -> None:
    """The shop file changed after a speed was typed: the job opens, with the numbers as planned."""
    sitting = Sitting.open(demo)
    work_to(sitting, 50, "speed")
    assert type_in(sitting, "1100") == "" and sitting.wait(20)
    sitting.close()
    change(demo / "shop.toml", ', "1400 1/min", "2200 1/min"]', "]")
    again = Sitting.open(demo)
    assert again.plan.by_number[50].scope["set.spindle_speed"].plain == 540
    again.close()
