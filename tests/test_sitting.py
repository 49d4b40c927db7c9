"""A person at a job: answers go in, views come out, and what is said to be saved is on the disk."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from answers import good_answer

from handwheel.models.record import Event
from handwheel.present.view import view_from_table
from handwheel.run.act import Answer
from handwheel.sitting import Sitting
from handwheel.store.jobs import load_job
from handwheel.store.record import NAME, parse


class Clock:
    """A clock that goes on by a second whenever it is looked at."""

    def __init__(self) -> None:
        self.now = datetime.fromisoformat("2026-11-24T08:00:00+01:00")

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


@contextmanager
def seated(folder: Path, clock: Callable[[], datetime] | None = None) -> Iterator[Sitting]:
    sitting = Sitting(load_job(folder), clock=clock or Clock())
    try:
        yield sitting
    finally:
        sitting.close()


def well(sitting: Sitting) -> None:
    """Answer the live item as somebody does who does everything right."""
    typed = good_answer(sitting.item)
    refused = sitting.answer(Answer("typed", typed) if typed else Answer("enter"))
    assert refused == "", f"{sitting.item.key}: {refused}"


def work_to(sitting: Sitting, operation: int, step: str) -> None:
    while sitting.item.key[:2] != (operation, step):
        assert sitting.item.kind != "finished"
        well(sitting)


def on_disk(folder: Path) -> tuple[Event, ...]:
    record = parse((folder / NAME).read_bytes())
    assert record.intact
    return record.events


def test_what_is_saved_is_on_the_disk(demo: Path) -> None:
    """Once saving says so, the file holds every entry, and opens with what is live."""
    with seated(demo) as sitting:
        assert sitting.wait(20) and on_disk(demo) == ()
        work_to(sitting, 10, "zero-x")
        assert sitting.wait(20)
        assert on_disk(demo) == sitting.state.events
        first_paint = view_from_table(parse((demo / NAME).read_bytes()).now)
        assert sitting.saved_text().startswith("SAVED ")
    with seated(demo) as again:
        assert first_paint == again.view()
        assert (first_paint.kind, first_paint.big, first_paint.unit) == ("COMING BACK", "0.00", "mm")


def test_an_acknowledged_setting_keeps_the_text_that_was_shown(demo: Path) -> None:
    """The record says what stood on the screen when a person said that it is set."""
    with seated(demo) as sitting:
        work_to(sitting, 50, "speed")
        shown = sitting.view().text
        well(sitting)
        assert sitting.state.events[-1].shown == shown
        assert "1/min" in shown


def test_coming_back_finds_everything_and_asks_before_the_spindle_turns(demo: Path) -> None:
    """A second sitting has the same entries, a briefing, and then the same item."""
    with seated(demo) as sitting:
        work_to(sitting, 50, "cut")
        key, events = sitting.item.key, sitting.state.events
    with seated(demo) as again:
        assert again.state.events == events
        assert again.view().kind == "COMING BACK"
        assert "Signed so far: 4 of 9 operations." in again.view().remarks
        work_to(again, 50, "cut")
        assert again.item.key == key


def test_looking_about_changes_nothing(demo: Path) -> None:
    """Items before and after can be read; the live one stays live, and nothing is written."""
    with seated(demo) as sitting:
        work_to(sitting, 50, "speed")
        key, count = sitting.item.key, len(sitting.state.events)
        texts = [sitting.look(step).text for step in (-1, 0, 1)]
        assert len(set(texts)) == 3
        assert texts[1] == sitting.view().text
        assert all(sitting.look(step).takes == "nothing" for step in (-1000, 1000))
        assert (sitting.item.key, len(sitting.state.events)) == (key, count)


def test_the_second_who_opens_a_job_only_looks(demo: Path) -> None:
    """While one person works at a job, another can look, is told so, and cannot answer."""
    with seated(demo) as first:
        well(first)
        with seated(demo) as second:
            assert second.read_only
            assert second.answer(Answer("enter")).startswith("looking only: ")
            assert second.saved_text().startswith("LOOKING ONLY")
        well(first)
        assert first.wait(20)
    assert len(on_disk(demo)) == 2


def test_the_numbers_of_every_item_are_explained(demo: Path) -> None:
    """Each number that a live item shows has an explanation, the large one first."""
    with seated(demo) as sitting:
        while sitting.item.kind != "finished":
            view = sitting.view()
            if view.big and sitting.item.step is not None and sitting.item.step.big is not None:
                first = sitting.explain()[0]
                assert first.lines and view.big in first.shown
            well(sitting)


def test_route_and_findings_are_told_in_words(demo: Path) -> None:
    """The route says how each operation stands; a note is told with its place."""
    with seated(demo) as sitting:
        work_to(sitting, 30, "speed")
        states = {row.number: row.state for row in sitting.route().rows}
        assert states == {10: "signed", 20: "signed", 30: "under way"} | dict.fromkeys(
            range(40, 100, 10), "to come"
        )
        notes = sitting.findings()
        assert {note.severity for note in notes} == {"note"}
        assert all("job.toml:" in note.place for note in notes)


def test_a_changed_size_is_told_on_the_route(demo: Path) -> None:
    """A plan changed after signing is shown as changed, with what it was and is."""
    with seated(demo) as sitting:
        work_to(sitting, 30, "speed")
    text = (demo / "job.toml").read_text()
    (demo / "job.toml").write_text(text.replace('thickness = "20 mm"', 'thickness = "19 mm"'))
    with seated(demo) as again:
        route = again.route()
        assert {row.number for row in route.rows if row.state == "changed since"} == {20}
        assert any(
            "features.top-face.thickness was 20 mm" in line and "now 19 mm" in line for line in route.head
        )


def test_a_waived_stop_of_the_whole_job_is_shown_as_waived(demo: Path) -> None:
    """A stop that belongs to no one operation carries the reason once it was waived."""
    text = (demo / "job.toml").read_text()
    (demo / "job.toml").write_text(text.replace('pitch_x = "48 mm"', 'pitch_x = "6 mm"'))
    with seated(demo) as sitting:
        while sitting.item.kind != "stop":
            well(sitting)
        assert sitting.answer(Answer("waive", "1")) == ""
        told = next(one for one in sitting.findings() if one.code == "no-wall")
        assert told.waived == sitting.reasons()[0]


def test_pending_is_shown_until_the_disk_has_it(demo: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A spindle start waits for what is pending, and what never reaches the disk is said to be not saved."""

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    with seated(demo) as sitting:
        work_to(sitting, 50, "grab")
        assert sitting.wait(20)
        monkeypatch.setattr("handwheel.store.writer.replace_file", full)
        well(sitting)
        assert sitting.item.key.step == "speed" and sitting.must_wait
        assert "pending" in {line.mark for line in sitting.view().lines}
        while not sitting.save_state().problem:
            sitting.wait(0.05)
        assert sitting.saved_text() == "NOT SAVED: the disk is full"
        monkeypatch.undo()
        assert sitting.close() == ""
    assert len(on_disk(demo)) == len(sitting.state.events)
