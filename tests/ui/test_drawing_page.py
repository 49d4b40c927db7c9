"""The drawing on a page of its own and beside the live item, and the far view."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from drawn_jobs import PLANS, drawn
from fake_sitting import DRILL, FakeSitting, number, setting
from rich.cells import cell_len

from handwheel.drawing.shapes import Drawing
from handwheel.present.lists_view import Explanation
from handwheel.present.view import RunView
from handwheel.store.writer import SaveState
from handwheel.ui.drawn import Around, operation_rows, with_drawing
from handwheel.ui.far import far_rows
from handwheel.ui.looks import Look
from handwheel.ui.rows import Row, plain, row
from handwheel.ui.sketch import drawing_rows

from .test_app import ITEM, opened

LOOKS = [Look(), Look("16"), Look("mono"), Look("mono", ascii=True)]
SIZES = [(80, 24), (120, 40), (64, 18), (40, 12), (40, 10)]
SECTION = drawn(PLANS[0], 30)
PLACES = drawn(PLANS[0], 30, "places", 2, {1})


class DrawnSitting(FakeSitting):
    """A sitting with drawings; `made` counts how often it was asked for them."""

    shown: tuple[Drawing, ...] = (SECTION, PLACES)
    made = 0

    def drawings(self) -> tuple[Drawing, ...]:
        """A section and places."""
        self.made += 1
        return self.shown

    def explain_drawn(self) -> tuple[Explanation, ...]:
        """One number."""
        return (Explanation("travel.tip_depth", "16.42 mm", ("z = t + d / (2 * tan(sigma / 2))",)),)


# --- the page ------------------------------------------------------------------------------------------


async def test_one_key_opens_the_drawing_and_returns() -> None:
    sitting = DrawnSitting(ITEM, DRILL)
    async with opened(sitting) as driver:
        await driver.press("d")
        assert "Section of motor-holes" in driver.text() and "16.42 mm drill tip" in driver.text()
        await driver.press("+")
        assert "Places of motor-holes" in driver.text() and "◆ now 2" in driver.text()
        await driver.press("+")
        assert "Section of motor-holes" in driver.text()
        await driver.press("0")
        assert ITEM.text in driver.text()
        assert sitting.answers == []


async def test_the_keypad_reaches_the_drawing_and_the_far_view() -> None:
    sitting = DrawnSitting(DRILL, ITEM)
    async with opened(sitting) as driver:
        await driver.press("*")
        assert "/ drawing" in driver.text()
        await driver.press("/")
        assert "Section of motor-holes" in driver.text()
        await driver.press("1")
        assert "S T O P A T" in driver.text()
        await driver.press("\r")
        assert sitting.answers == [("enter", "")]


async def test_the_numbers_of_a_drawing_say_why() -> None:
    async with opened(DrawnSitting(ITEM)) as driver:
        await driver.press("d2")
        assert "travel.tip_depth" in driver.text() and "tan(sigma / 2)" in driver.text()
        await driver.press("0")
        assert "Section of motor-holes" in driver.text()


async def test_where_nothing_is_drawn_it_is_said() -> None:
    async with opened(FakeSitting(ITEM)) as driver:
        await driver.press("d+-")
        assert "nothing to draw" in driver.text()


@pytest.mark.parametrize("size", SIZES)
async def test_the_page_keeps_to_every_size(size: tuple[int, int]) -> None:
    async with opened(DrawnSitting(ITEM), size=size) as driver:
        await driver.press("d")
        lines = driver.app.paper.text()
        assert len(lines) == size[1] and all(cell_len(line) <= size[0] for line in lines)
        assert "0 or Enter" in driver.text() and "drill tip" in driver.text()


@pytest.mark.parametrize("look", LOOKS)
def test_a_drawing_in_ascii_is_ascii(look: Look) -> None:
    text = "".join(plain(one) for one in drawing_rows(PLACES, look, 60, 18))
    assert text.isascii() == look.ascii


# --- beside the live item ------------------------------------------------------------------------------


async def test_on_a_wide_terminal_it_stands_beside_the_item() -> None:
    """The places of the holes while they are made; nothing that stood there is pushed away."""
    async with opened(DrawnSitting(setting()), size=(120, 40)) as driver:
        assert "Places of motor-holes" in driver.text() and "Y -20.00 mm hole 2" in driver.text()
        beside = driver.app.paper.text()
    async with opened(FakeSitting(setting()), size=(120, 40)) as driver:
        alone = driver.app.paper.text()
    assert kept(alone, beside)


async def test_on_a_narrow_terminal_nothing_is_drawn() -> None:
    sitting = DrawnSitting(setting())
    async with opened(sitting, size=(80, 24)) as driver:
        assert "motor-holes" not in driver.text()
        assert sitting.made == 0


async def test_looking_ahead_shows_no_drawing_of_what_is_live() -> None:
    async with opened(DrawnSitting(setting(), ITEM), size=(120, 40)) as driver:
        await driver.press("+")
        assert "motor-holes" not in driver.text()


def kept(alone: list[str], beside: list[str]) -> bool:
    """Tell whether every sign of one screen stands at its place in another."""
    return all(
        sign in (" ", other)
        for line, over in zip(alone, beside, strict=True)
        for sign, other in zip(line, over.ljust(len(line)), strict=False)
    )


@pytest.mark.parametrize("view", [DRILL, setting(), number(), ITEM])
@pytest.mark.parametrize("size", [(100, 30), (120, 40), (160, 50), (133, 31)])
def test_no_sign_is_pushed_away(view: RunView, size: tuple[int, int]) -> None:
    """Whatever the screen holds, each of its signs stands where it stood without the drawing."""
    look, (width, height) = Look(), size
    rows = operation_rows(view, Around(saved="SAVED", hint=("Enter done", "* menu")), look, width, height)
    with_it = with_drawing(rows, lambda w, h: drawing_rows(SECTION, look, w, h), width)
    assert len(with_it) == len(rows)
    assert all(cell_len(plain(one)) <= width for one in with_it)
    assert kept([plain(one) for one in rows], [plain(one) for one in with_it])


def test_without_room_the_rows_stay_as_they_are() -> None:
    rows: list[Row] = [row("x" * 100)] * 30
    assert with_drawing(rows, lambda w, h: [row("never")], 120) == rows


# --- the far view --------------------------------------------------------------------------------------


def far(
    view: RunView, size: tuple[int, int] = (80, 24), look: Look | None = None, **around: Any
) -> list[str]:
    look = look or Look()
    shown = Around(**{"saved": "SAVED 14:05:31", **around})
    rows = far_rows(look.clean(view), look.clean(shown), look, *size)
    lines = [plain(one).rstrip() for one in rows]
    assert len(lines) == size[1] and all(cell_len(line) <= size[0] for line in lines)
    return lines


def inked(lines: list[str]) -> int:
    """Count the rows that large figures are drawn in."""
    return sum(any(sign in line for sign in "█▀▄") or "##" in line for line in lines)


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("size", SIZES)
def test_the_number_is_at_least_five_rows_high(size: tuple[int, int], look: Look) -> None:
    lines = far(setting(), size, look)
    assert inked(lines) >= 5
    assert all(line.isascii() for line in lines) or not look.ascii


def test_at_80x24_number_and_unit_are_large_and_the_words_are_there() -> None:
    lines = far(DRILL)
    text = " ".join(" ".join(lines).split())
    assert inked(lines) >= 14 and "S T O P A T" in text
    assert DRILL.text[:40] in text and "Pecks" not in text and DRILL.title not in text


def test_at_120x40_the_heading_is_large_too() -> None:
    assert inked(far(DRILL, (120, 40))) >= 22


def test_it_grows_with_the_terminal() -> None:
    heights = [inked(far(setting(unit=""), size)) for size in ((40, 12), (64, 18), (80, 24), (120, 40))]
    assert heights == sorted(set(heights))


@pytest.mark.parametrize("look", LOOKS)
def test_a_danger_is_seen_from_afar_as_well(look: Look) -> None:
    hazard = replace(ITEM, kind="HAZARD", word="DANGER", text="A key left in the chuck is thrown out.")
    text = " ".join(far(hazard, look=look))
    assert "DANGER" in text and hazard.text in text


def test_what_is_not_on_the_disk_is_seen_from_afar_as_well() -> None:
    assert "NOT SAVED: no space is left" in " ".join(far(DRILL, saved="NOT SAVED: no space is left"))
    long = "NOT SAVED: " + "the disk is full and takes nothing more " * 3
    assert "takes nothing more" in " ".join(far(DRILL, saved=long))
    assert "SAVED" not in " ".join(far(DRILL))


def test_choices_are_there_to_be_picked() -> None:
    view = replace(ITEM, kind="READING", takes="choice", choices=("goes", "does not go"))
    text = " ".join(" ".join(far(view)).split())
    assert "1 goes" in text and "2 does not go" in text


def test_an_item_some_way_ahead_is_never_taken_for_the_live_one() -> None:
    assert "LOOKING AHEAD: 2" in " ".join(far(DRILL, away=2))


async def test_the_far_view_is_a_look_of_the_same_page() -> None:
    """Digits, Enter and refusals do there what they do on the operation page; the same key returns."""
    reading = number(heading="MEANT", big="47.00")
    sitting = FakeSitting(reading, ITEM)
    sitting.refuses = {"4.7": "ten times too small"}
    async with opened(sitting) as driver:
        await driver.press("v")
        assert "M E A N T" in driver.text()
        await driver.press("4.7")
        assert "R E A D" in driver.text() and "4.7▏" in driver.text()
        await driver.press("\r")
        assert sitting.answers == [("typed", "4.7")] and "ten times too small" in driver.text()
        await driver.press("46.98\r")
        assert sitting.answers[-1] == ("typed", "46.98") and ITEM.text in driver.text()
        await driver.press("v")
        assert "NOW" in driver.text()


async def test_an_entry_that_waits_is_said_in_the_far_view() -> None:
    sitting = FakeSitting(ITEM, DRILL)
    async with opened(sitting) as driver:
        await driver.press("v")
        sitting.state = SaveState(2, 1, pending_since=0.0)
        driver.app.paper.paint()
        await driver.settle()
        assert "PENDING" in driver.text()
