"""The drawing and the far view line by line, and the drawings of a job being worked at."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from answers import good_answer
from drawn_jobs import PLATE, make_job

from handwheel.plain import run_plain
from handwheel.run.act import Answer
from handwheel.sitting import Sitting


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Give the folder of the plate."""
    return make_job(tmp_path / "job", PLATE)


def lines_of(sitting: Sitting, *given: str) -> list[str]:
    out = io.StringIO()
    run_plain(sitting, [f"{line}\n" for line in given], out)
    return out.getvalue().splitlines()


def worked_to(folder: Path, kind: str, operation: int, position: int) -> Sitting:
    """Work at the job until an item is live."""
    sitting = Sitting.open(folder)
    for _ in range(400):
        item = sitting.item
        if (item.kind, item.key.operation, item.key.position) == (kind, operation, position):
            break
        if item.kind == "stop":
            refused = sitting.answer(Answer("waive", "1"))
        else:
            typed = good_answer(item)
            refused = sitting.answer(Answer("typed", typed) if typed else Answer("enter"))
        assert not refused, refused
        sitting.wait()
    assert (item.kind, item.key.operation, item.key.position) == (kind, operation, position)
    return sitting


def test_d_prints_the_drawings_in_ascii(folder: Path) -> None:
    """The section and the places, and the live item stays as it was."""
    said = lines_of(Sitting.open(folder), "", "d", "q")
    text = "\n".join(said)
    assert "Section of motor-holes" in text and "Places of motor-holes" in text
    assert "16.42 mm drill tip" in text and "o to come 4" in text
    begin = next(index for index, line in enumerate(said) if "Section of" in line)
    assert all(line.isascii() for line in said[begin : begin + 30])


def test_v_prints_the_number_with_its_heading(folder: Path) -> None:
    sitting = worked_to(folder, "cut", 20, 2)
    shown = sitting.view()
    assert f"{shown.heading} {shown.big} {shown.unit}" in lines_of(sitting, "v", "q")


def test_the_places_follow_the_work(folder: Path) -> None:
    """At the third hole two are done; the numbers of the drawing say where they come from."""
    sitting = worked_to(folder, "cut", 20, 3)
    places = sitting.drawings()[1]
    assert [one.state for one in places.places] == ["done", "done", "now", "to come", "to come", "to come"]
    assert sitting.drawings()[1] is places  # made once for each state
    explained = {one.name: one for one in sitting.explain_drawn()}
    assert set(explained) >= {"place.x", "place.y", "travel.tip_depth", "feature.circle_diameter"}
    assert any("job.toml features.frame-holes.circle.diameter" in line for line in explained["place.x"].lines)
    sitting.close()


def test_a_job_that_is_finished_has_no_drawing(folder: Path) -> None:
    sitting = worked_to(folder, "finished", 0, 1)
    assert sitting.drawings() == ()
    sitting.close()
