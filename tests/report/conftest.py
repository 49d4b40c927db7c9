"""Sheets of the demo: before anything is done, and after a day on which not everything went well."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from answers import good_answer
from planting import change
from sheets import Sheet, sheet_of

from handwheel.demo import make_demo
from handwheel.resources import demo_files
from handwheel.run.act import Answer
from handwheel.run.state import fold
from handwheel.sitting import Sitting
from handwheel.store.jobs import OpenedJob, load_job

BEGAN = datetime(2024, 3, 1, 8, 0, tzinfo=timezone(timedelta(hours=1)))
SPOT = """[[operations]]
number = 30
setup = "A"
recipe = "spot"
feature = "frame-holes"
tool = "spot-10"
"""
DEMOS = sorted(
    path.parent.name for path in (Path(__file__).parents[2] / "src" / "handwheel" / "demo").glob("*/job.toml")
)


@pytest.fixture(scope="session", params=DEMOS)
def every_demo(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> OpenedJob:
    """Give each of the demos in turn, as it is opened."""
    folder = tmp_path_factory.mktemp("demos") / request.param
    folder.mkdir()
    for file in demo_files(request.param):
        (folder / file.name).write_bytes(file.read_bytes())
    return load_job(folder)


@pytest.fixture
def planned(demo: Path) -> Sheet:
    """Give the sheet of the demo before anything is done."""
    return sheet_of(demo, fold(()))


@pytest.fixture(scope="session")
def day(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give the folder of a day's work: a minute from entry to entry, so that each is known by its time."""
    folder = make_demo(str(tmp_path_factory.mktemp("day") / "plate"), "plate")[0]
    change(folder / "job.toml", SPOT, "")
    times = _minutes()
    sitting = Sitting(load_job(folder), clock=lambda: next(times))
    try:
        _work(sitting)
    finally:
        sitting.close()
    return folder


@pytest.fixture
def worked(day: Path, tmp_path: Path) -> Path:
    """Give a copy of the day's work, to change."""
    return Path(shutil.copytree(day, tmp_path / "worked"))


@pytest.fixture(scope="session")
def built(day: Path) -> Sheet:
    """Give the sheet of the day's work."""
    return sheet_of(day)


def _minutes() -> Iterator[datetime]:
    at = BEGAN
    while True:
        at += timedelta(minutes=1)
        yield at


def _work(sitting: Sitting) -> None:
    """Work to the chamfers: a speed typed, a stop and a bad reading waived, a reading taken back, a hold."""
    once = {"speed", "size", "undo", "hold"}
    while sitting.item.key.operation < 70:
        item, step = sitting.item, sitting.item.step
        typed = good_answer(item)
        if item.kind == "stop":
            assert not sitting.answer(Answer("waive", "the face is punched | <b>deep</b> enough"))
            continue
        if step is not None and (item.key.operation, step.id) == (50, "speed"):
            typed = "530"
        if step is not None and (item.key.operation, step.id) == (60, "size") and "size" in once:
            once.remove("size")
            assert not sitting.answer(Answer("typed", "6.6"))
            assert not sitting.answer(Answer("waive", "agreed, 2 of 4 are enough"))
            continue
        if step is not None and (item.key.operation, step.id) == (50, "size") and "undo" in once:
            once.remove("undo")
            assert not sitting.answer(Answer("typed", "9.02"))
            assert not sitting.answer(Answer("undo"))
            continue
        if item.key.operation == 40 and item.kind == "cut" and "hold" in once:
            once.remove("hold")
            assert not sitting.answer(Answer("remark", "belt squeals above 1/2 load"))
            assert not sitting.answer(Answer("hold"))
            continue
        refused = sitting.answer(Answer("typed", typed) if typed else Answer("enter"))
        assert not refused, refused
