"""Every number of every screen of the ready jobs opens its origin: a walk through both, item by item."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from answers import good_answer
from whole_run import fresh_demo

from handwheel.demo import EXAMPLES
from handwheel.present.numbers import filled, shown
from handwheel.present.rows import columns_of
from handwheel.present.run_view import on_hand, text_of
from handwheel.run.act import Answer
from handwheel.run.left import left_to_remove
from handwheel.sitting import Sitting
from handwheel.values import Value


def values_on_the_screen(sitting: Sitting) -> Iterator[tuple[str, Value]]:
    """Give what the live item shows: its text, the large number, its limits, its list, its drawings."""
    item = sitting.item
    if item.step is None:
        return
    left = left_to_remove(item, sitting.state)
    for piece in filled(text_of(item.step, left), on_hand(item.step, item.key.position, left)):
        if piece.value is not None:
            yield piece.name, piece.value
    for name, value in (
        ("big", item.step.big),
        ("expect", item.step.value("expect") if item.kind == "reading" else None),
        ("low", item.step.value("low") if item.step.step.takes.kind == "number" else None),
        ("high", item.step.value("high") if item.step.step.takes.kind == "number" else None),
    ):
        if value is not None and value.plain is not None:
            yield name, value
    yield from ((name, value) for name, value in left.items() if name in ("left.set_to", "left.shows"))


@pytest.mark.parametrize("example", sorted(EXAMPLES))
def test_every_number_of_every_screen_opens_its_origin(example: str) -> None:
    """The key for why tells of each number what stands there, and its source to the leaves."""
    with tempfile.TemporaryDirectory() as folder:
        sitting = Sitting.open(fresh_demo(Path(folder) / "job", example))
        seen = 0
        try:
            while sitting.item.kind != "finished":
                seen += opens_all(sitting)
                typed = good_answer(sitting.item, sitting.state)
                assert sitting.answer(Answer("typed", typed) if typed else Answer("enter")) == ""
        finally:
            sitting.close()
    assert seen > 100


def opens_all(sitting: Sitting) -> int:
    """Hold what is on the screen against what is explained; give how many numbers there were."""
    explained = {one.shown: one for one in sitting.explain()}
    item, seen = sitting.item, 0
    for name, value in values_on_the_screen(sitting):
        told = explained.get(shown(value))
        assert told is not None, f"{item.key}: {name} = {shown(value)} has no origin to open"
        assert told.lines and all(line.strip() for line in told.lines), f"{item.key}: {name}"
        seen += 1
    if item.step is not None and item.step.table is not None:
        assert any("the list" in one.name for one in sitting.explain())
        assert columns_of(item.step.table, "mm")
    drawn = {one.shown for one in sitting.explain_drawn()}
    for drawing in sitting.drawings():
        for name, value in drawing.values.items():
            assert shown(value) in drawn, f"{item.key}: {name} is drawn and has no origin to open"
            seen += 1
    return seen


def test_a_briefing_opens_the_numbers_that_it_comes_back_to(tmp_path: Path) -> None:
    """Whoever comes back sees the number to go on with, and may ask why it is that."""
    sitting = Sitting.open(fresh_demo(tmp_path / "job", "carrier"))
    try:
        while sitting.item.key[:2] != (20, "speed"):
            typed = good_answer(sitting.item, sitting.state)
            assert sitting.answer(Answer("typed", typed) if typed else Answer("enter")) == ""
        assert sitting.answer(Answer("hold")) == ""
        view = sitting.view()
        assert view.kind == "HOLDING" and f"{view.big} {view.unit}" in {
            one.shown for one in sitting.explain()
        }
    finally:
        sitting.close()
