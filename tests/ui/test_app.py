"""The app, driven by keys through Textual's pilot: answers, waiting, pages, leaving."""

from __future__ import annotations

import asyncio
import errno
import threading
import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from answers import good_answer
from fake_sitting import DRILL, FakeSitting, number, setting

from handwheel.errors import InputError
from handwheel.models.record import Event
from handwheel.present.lists_view import JobRow
from handwheel.present.view import RunView
from handwheel.run.act import Answer
from handwheel.sitting import Sitting
from handwheel.store.record import parse
from handwheel.store.writer import SaveState
from handwheel.ui import jobs, operation
from handwheel.ui.app import HandwheelApp
from handwheel.ui.keys import Press
from handwheel.ui.looks import Look

NAMES = {
    "+": "plus",
    "-": "minus",
    "*": "asterisk",
    "/": "slash",
    ".": "full_stop",
    "\r": "enter",
    " ": "space",
}
WHOLE = ("f2", "f3", "escape", "ctrl+q")
ITEM = replace(DRILL, kind="ITEM", text="Chuck key out and in its place.", big="", table=())
PENDING = SaveState(2, 1, pending_since=0.0)


class Driver:
    """Presses keys and reads the screen."""

    def __init__(self, app: HandwheelApp, pilot: Any) -> None:
        self.app = app
        self.gate = asyncio.Event()
        self._pilot = pilot

    async def settle(self) -> None:
        await self._pilot._wait_for_screen()

    async def press(self, *keys: str) -> None:
        """Press keys, all at once; a text that names no key is typed sign by sign."""
        for key in keys:
            for name in [key] if key in WHOLE else key:
                self.app.simulate_key(NAMES.get(name, name))
        await self.settle()

    def text(self) -> str:
        return " ".join(" ".join(self.app.paper.text()).split())

    async def until(self, shown: str | Callable[[], bool]) -> None:
        """Wait until the screen shows a text, or a condition holds."""
        end = time.monotonic() + 10
        while not (shown in self.text() if isinstance(shown, str) else shown()):
            assert time.monotonic() < end, f"not seen: {shown}\n" + "\n".join(self.app.paper.text())
            await asyncio.sleep(0.005)


@asynccontextmanager
async def opened(
    sitting: Any = None,
    folder: Path | None = Path("nowhere"),
    size: tuple[int, int] = (80, 24),
    opener: Any = None,
    clock: Callable[[], float] = time.monotonic,
) -> AsyncIterator[Driver]:
    app = HandwheelApp(folder, Look(), opener=opener or sitting.open, clock=clock)
    async with app.run_test(size=size) as pilot:
        driver = Driver(app, pilot)
        if sitting is not None and folder is not None:
            await driver.until(lambda: app.desk.pages[0].ready)
        await driver.settle()
        yield driver


# --- answers -----------------------------------------------------------------------------------------


async def test_enter_acknowledges_and_the_next_item_is_live() -> None:
    sitting = FakeSitting(ITEM, DRILL)
    async with opened(sitting) as driver:
        await driver.press("\r")
        assert sitting.answers == [("enter", "")]
        assert "Drill to the stop" in driver.text()


async def test_what_is_typed_stands_in_the_field_and_enter_takes_it() -> None:
    sitting = FakeSitting(number(), ITEM)
    async with opened(sitting) as driver:
        await driver.press("46.98")
        assert "46.98▏" in driver.text()
        await driver.press("\r")
        assert sitting.answers == [("typed", "46.98")]


async def test_operator_keys_are_signs_inside_an_entry() -> None:
    sitting = FakeSitting(number(signed=True), number(), ITEM)
    async with opened(sitting) as driver:
        await driver.press("-0.022", "*", "\r", "3/8", "\r")
        assert sitting.answers == [("typed", "-0.02"), ("typed", "3/8")]


async def test_the_keypad_of_the_kitty_protocol_and_a_comma_are_understood() -> None:
    sitting = FakeSitting(number(signed=True), ITEM)
    async with opened(sitting) as driver:
        for key in ("subtract", "2", "decimal", "5", "enter"):
            driver.app.simulate_key(key)
        await driver.settle()
        assert sitting.answers == [("typed", "-2.5")]


async def test_a_second_point_is_refused_with_a_message_that_stays_until_the_next_key() -> None:
    async with opened(FakeSitting(number())) as driver:
        await driver.press("1.2.")
        assert "second point was not taken: 1.2 stands" in driver.text()
        await driver.press("5")
        assert "second point" not in driver.text() and "1.25▏" in driver.text()


async def test_a_refusal_is_shown_and_the_number_is_typed_afresh() -> None:
    sitting = FakeSitting(setting())
    sitting.refuses = {"8500": "8500 is above the limit, 850 1/min. That is ten times too much."}
    async with opened(sitting) as driver:
        await driver.press("8500", "\r")
        assert "above the limit, 850 1/min" in driver.text()
        assert "> ▏" in driver.text()
        assert sitting.at == 0


async def test_a_digit_at_an_item_without_a_number_says_what_would_do() -> None:
    sitting = FakeSitting(ITEM)
    async with opened(sitting) as driver:
        await driver.press("5")
        assert "nothing to type here; Enter says it is done" in driver.text()
        assert sitting.answers == []


async def test_choices_are_made_by_number_and_enter_or_in_own_words() -> None:
    choice = number(takes="choice", choices=("goes", "does not go"), prompt="type the number")
    sitting = FakeSitting(choice, choice, ITEM)
    async with opened(sitting) as driver:
        await driver.press("2")
        assert sitting.answers == []
        await driver.press("\r", "f2")
        assert "Own words" in driver.text()
        await driver.press("A K", "\r")
        assert sitting.answers == [("typed", "2"), ("typed", "A K")]


async def test_a_stop_is_confirmed_by_typing_the_number_again() -> None:
    sitting = FakeSitting(replace(ITEM, kind="STOP", takes="nothing"), ITEM)
    async with opened(sitting) as driver:
        await driver.press("47", "\r")
        assert sitting.answers == [("typed", "47")]


async def test_a_paste_is_typed_up_to_its_first_line_end() -> None:
    sitting = FakeSitting(number(), ITEM)
    async with opened(sitting) as driver:
        driver.app.desk.pages[-1].paste("46.98 mm\nrm -rf\n")
        await driver.press("\r")
        assert sitting.answers == [("typed", "46.98 mm")]


@pytest.mark.parametrize("text", ["hello 12", "u u u", "*9", "*2", "/", "-", "q", "", "\n5"])
async def test_a_paste_is_never_taken_for_commands(text: str) -> None:
    sitting = FakeSitting(number(), ITEM)
    async with opened(sitting) as driver:
        driver.app.desk.paste(text)
        await driver.settle()
        assert sitting.answers == [] and "> ▏" in driver.text()
        assert "the pasted text was not taken: it does not begin an answer" in driver.text()


@pytest.mark.parametrize(
    ("view", "text", "why"),
    [
        (ITEM, "5", "there is nothing to type here"),
        (number(), "1.2.3", "a second point was not taken"),
        (number(), "1\t2", "a sign that cannot be shown"),
        (number(), "1" * 41, "an entry has at most 40 signs"),
        (number(takes="choice", choices=("goes", "does not go")), "1u", "u was not taken: type the number"),
    ],
)
async def test_a_paste_that_is_no_entry_leaves_the_field_as_it_was(
    view: RunView, text: str, why: str
) -> None:
    sitting = FakeSitting(view, ITEM)
    async with opened(sitting) as driver:
        driver.app.desk.paste(text)
        await driver.settle()
        assert f"the pasted text was not taken: {why}" in driver.text()
        assert "> ▏" in driver.text() and sitting.answers == []


async def test_a_paste_goes_on_with_an_entry_and_comes_back_from_a_look() -> None:
    sitting = FakeSitting(number(), ITEM)
    async with opened(sitting) as driver:
        await driver.press("+")
        driver.app.desk.paste("46")
        await driver.press(".")
        driver.app.desk.paste("98")
        await driver.press("\r")
        assert sitting.answers == [("typed", "46.98")]


async def test_a_paste_waits_for_the_disk_as_keys_do() -> None:
    sitting = FakeSitting(setting(), ITEM)
    sitting.waits, sitting.state = True, PENDING
    async with opened(sitting) as driver:
        await driver.press("\r")
        driver.app.desk.paste("84")
        await driver.settle()
        assert "the pasted text was not taken: keys are waiting already" in driver.text()


async def test_a_key_without_a_meaning_says_so() -> None:
    async with opened(FakeSitting(ITEM)) as driver:
        await driver.press("z")
        assert "the key z does nothing here" in driver.text()


# --- the guard against doubled and held keys -----------------------------------------------------------


async def test_a_second_enter_within_the_guard_is_dropped_and_said() -> None:
    now = [10.0]
    sitting = FakeSitting(ITEM, ITEM, DRILL, guard=0.3)
    async with opened(sitting, clock=lambda: now[0]) as driver:
        await driver.press("\r")
        now[0] += 0.1
        await driver.press("\r")
        assert len(sitting.answers) == 1
        assert "a second Enter within 0.3 s was dropped" in driver.text()
        now[0] += 0.25
        await driver.press("\r")  # a held key goes on being dropped
        assert len(sitting.answers) == 1
        now[0] += 0.4
        await driver.press("\r")
        assert len(sitting.answers) == 2


async def test_digits_are_never_guarded() -> None:
    async with opened(FakeSitting(number(), guard=5.0), clock=lambda: 1.0) as driver:
        await driver.press("1111")
        assert "1111▏" in driver.text()


# --- waiting -------------------------------------------------------------------------------------------


@asynccontextmanager
async def reading(sitting: Callable[[Path, Callable[[], None]], Any], folder: Path) -> AsyncIterator[Driver]:
    """The app while the plan is read, which goes on until `driver.gate` is set."""
    gate, loop = asyncio.Event(), asyncio.get_running_loop()

    def slow(folder: Path, after: Callable[[], None]) -> Any:
        asyncio.run_coroutine_threadsafe(gate.wait(), loop).result(10)
        return sitting(folder, after)

    async with opened(opener=slow, folder=folder) as driver:
        driver.gate = gate
        yield driver


async def test_keys_that_waited_for_the_plan_answer_what_was_on_the_screen_and_nothing_else(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    sitting = FakeSitting(number(), DRILL, ITEM)
    monkeypatch.setattr(operation, "first_view", lambda folder: number())
    async with reading(sitting.open, Path("nowhere")) as driver:
        await driver.press("46.9\r\r\r")
        assert sitting.answers == []
        driver.gate.set()
        await driver.until("Drill to the stop")
        assert sitting.answers == [("typed", "46.9")]
        assert "the keys pressed meanwhile were not taken" in driver.text()


async def test_keys_pressed_before_anything_was_on_the_screen_answer_nothing() -> None:
    sitting = FakeSitting(ITEM, number(), DRILL)
    async with reading(sitting.open, Path("nowhere")) as driver:
        assert "Reading the plan" in driver.text()
        await driver.press("\r46.9\r*2")
        driver.gate.set()
        await driver.until("the keys pressed meanwhile were not taken")
        assert sitting.answers == [] and "Chuck key out" in driver.text()


def worked_at(folder: Path, entries: int) -> tuple[Event, ...]:
    """Do a job up to a number of entries; give them."""
    sitting = Sitting.open(folder)
    while len(sitting.state.events) < entries:
        typed = good_answer(sitting.item)
        assert sitting.answer(Answer("typed", typed) if typed else Answer("enter")) == ""
    assert sitting.close() == ""
    return sitting.state.events


def entries_of(folder: Path) -> tuple[Event, ...]:
    return parse((folder / "record.toml").read_bytes()).events


def open_sitting(folder: Path, after: Callable[[], None]) -> Sitting:
    return Sitting.open(folder, after=after)


async def test_keys_before_the_plan_is_there_open_the_job_and_tick_nothing_unseen(demo: Path) -> None:
    before = worked_at(demo, 6)
    async with reading(open_sitting, demo) as driver:
        await driver.press("\r\r1\r\r")
        driver.gate.set()
        await driver.until("the keys pressed meanwhile were not taken")
        assert "> ▏" in driver.text()
        await driver.press("q")
        await driver.until(lambda: not driver.app.desk.pages)
    assert entries_of(demo)[: len(before)] == before
    assert [one.kind for one in entries_of(demo)[len(before) :]] == ["opened"]


async def test_an_enter_at_the_beginning_begins_and_ticks_no_hazard_behind_it(demo: Path) -> None:
    worked_at(demo, 0)
    async with reading(open_sitting, demo) as driver:
        assert "Nothing of it is done yet" in driver.text()
        for at in range(4):  # slowly: no guard against doubled keys drops them
            driver.app.desk.press(Press("enter", float(at)))
        driver.gate.set()
        await driver.until("the keys pressed meanwhile were not taken")
        await driver.press("q")
        await driver.until(lambda: not driver.app.desk.pages)
    assert [one.kind for one in entries_of(demo)] == ["opened"]


async def test_an_answer_waits_while_an_earlier_one_must_reach_the_disk() -> None:
    sitting = FakeSitting(setting(), ITEM, DRILL)
    sitting.waits, sitting.state = True, PENDING
    async with opened(sitting) as driver:
        await driver.press("84\r")
        assert sitting.answers == [] and "PENDING" in driver.text()
        assert "waits until the last entry is on the disk" in driver.text()
        sitting.waits, sitting.state = False, SaveState(2, 2)
        sitting.after()
        await driver.until(lambda: bool(sitting.answers))
        assert sitting.answers == [("typed", "84")]
        assert "SAVED 14:05:31" in driver.text()


async def test_keys_that_waited_for_the_disk_tick_nothing_that_nobody_has_seen() -> None:
    sitting = FakeSitting(setting(), ITEM, DRILL)
    sitting.waits, sitting.state = True, PENDING
    async with opened(sitting) as driver:
        await driver.press("\r\r\r")
        sitting.waits, sitting.state = False, SaveState(2, 2)
        sitting.after()
        await driver.until("the keys pressed meanwhile were not taken")
        assert sitting.answers == [("enter", "")]


async def test_own_words_wait_for_the_disk_as_well() -> None:
    choice = number(takes="choice", choices=("A", "B"), kind="SIGN-OFF")
    sitting = FakeSitting(choice, ITEM)
    sitting.waits, sitting.state = True, PENDING
    async with opened(sitting) as driver:
        await driver.press("f2", "C", "\r")
        assert sitting.answers == [] and "waits until the last entry is on the disk" in driver.text()
        sitting.waits, sitting.state = False, SaveState(2, 2)
        sitting.after()
        await driver.until(lambda: sitting.answers == [("typed", "C")])


async def test_keys_that_wait_for_a_disk_that_is_full_are_given_up_with_a_word() -> None:
    sitting = FakeSitting(setting(), ITEM)
    sitting.waits, sitting.state = True, PENDING
    async with opened(sitting) as driver:
        await driver.press("\r*4")
        sitting.state = replace(PENDING, problem="the disk is full")
        sitting.after()
        await driver.until("were not taken: it is not on the disk")
        assert "NOT SAVED: the disk is full" in driver.text()
        await driver.press("*")
        assert "Menu" in driver.text()


async def test_the_menu_is_there_even_when_the_disk_hangs() -> None:
    sitting = FakeSitting(setting(), ITEM)
    sitting.waits, sitting.state = True, PENDING
    async with opened(sitting) as driver:
        await driver.press("\r")
        sitting.state = replace(PENDING, problem="the disk does not answer")  # and no save ends
        await driver.press("*")
        assert "9 leave" in driver.text()
        await driver.press("0")
        assert "were not taken" in driver.text() and sitting.answers == []


async def test_pending_becomes_done_when_the_disk_has_it() -> None:
    sitting = FakeSitting(ITEM, ITEM)
    async with opened(sitting) as driver:
        sitting.state = PENDING
        await driver.press("\r")
        assert "PENDING" in driver.text()
        sitting.state = SaveState(2, 2)
        sitting.after()
        await driver.until("SAVED 14:05:31")


async def test_keys_typed_ahead_belong_to_the_page_that_they_open() -> None:
    sitting = FakeSitting(number(), ITEM)
    async with opened(sitting) as driver:
        await driver.press("*70.5\r")  # menu, remark, and its words
        assert sitting.answers == [("remark", "0.5")]


# --- looking around ------------------------------------------------------------------------------------


async def test_looking_ahead_and_back_never_answers_and_enter_returns() -> None:
    sitting = FakeSitting(ITEM, DRILL, setting())
    async with opened(sitting) as driver:
        await driver.press("+")
        assert "LOOKING AHEAD: 1" in driver.text() and "item 1" in driver.text()
        await driver.press("+")
        assert "LOOKING AHEAD: 2" in driver.text()
        await driver.press("+")
        assert "nothing further ahead" in driver.text() and "LOOKING AHEAD: 2" in driver.text()
        await driver.press("\r")
        assert "NOW" in driver.text() and sitting.answers == []
        await driver.press("-")
        assert "nothing further back" in driver.text()


async def test_a_digit_while_looking_returns_and_begins_the_entry() -> None:
    async with opened(FakeSitting(number(), DRILL)) as driver:
        await driver.press("+", "4")
        assert "NOW" in driver.text() and "4▏" in driver.text()


@pytest.mark.parametrize(
    ("digit", "letter", "shown"),
    [
        ("1", "w", "n = 1000 * v"),
        ("4", "f", "carried-number"),
        ("5", "r", "Face, top"),
        ("8", "?", "one Enter"),
    ],
)
async def test_pages_open_by_keypad_and_by_letter_and_close_again(
    digit: str, letter: str, shown: str
) -> None:
    async with opened(FakeSitting(DRILL)) as driver:
        for keys in (f"*{digit}", letter):
            await driver.press(keys)
            assert shown.lower() in driver.text().lower()
            await driver.press("0")
            assert "NOW" in driver.text()


async def test_why_shows_the_whole_table_first() -> None:
    async with opened(FakeSitting(DRILL)) as driver:
        await driver.press("w")
        assert "3 18.00" in driver.text() and "850 1/min" in driver.text()


async def test_text_longer_than_the_screen_scrolls_and_says_how_much_is_left() -> None:
    async with opened(FakeSitting(DRILL), size=(80, 24)) as driver:
        await driver.press("?")
        first = driver.text()
        assert "more lines" in first
        for _ in range(6):
            await driver.press("+")
        assert "type: reset" in driver.text() and "more lines" not in driver.text()
        for _ in range(6):
            await driver.press("-")
        assert driver.text() == first


async def test_undo_hold_and_waiver_go_by_keypad() -> None:
    sitting = FakeSitting(ITEM, ITEM, replace(ITEM, kind="STOP"), ITEM)
    async with opened(sitting) as driver:
        await driver.press("*2", "/", "*3")
        assert "1 measured otherwise" in driver.text()
        await driver.press("2")
        assert sitting.answers == [("undo", ""), ("hold", ""), ("waive", "2")]


async def test_a_waiver_in_own_words() -> None:
    sitting = FakeSitting(replace(ITEM, kind="STOP"), ITEM)
    async with opened(sitting) as driver:
        await driver.press("x", "f2", "thin", "\r")
        assert sitting.answers == [("waive", "thin")]


async def test_a_list_of_more_than_nine_takes_digits_and_enter() -> None:
    sitting = FakeSitting(replace(ITEM, kind="STOP"), ITEM)
    sitting.reasons = lambda: tuple(f"reason {index}" for index in range(1, 13))  # type: ignore[method-assign]
    async with opened(sitting) as driver:
        await driver.press("*3", "1")
        assert sitting.answers == []
        await driver.press("2", "\r")
        assert sitting.answers == [("waive", "12")]


async def test_a_number_without_end_picks_nothing_and_ends_nothing() -> None:
    sitting = FakeSitting(replace(ITEM, kind="STOP"), ITEM)
    sitting.reasons = lambda: tuple(f"reason {index}" for index in range(1, 13))  # type: ignore[method-assign]
    async with opened(sitting) as driver:
        await driver.press("*3")
        await driver.press("9" * 9)
        assert "a number has at most 4 digits here" in driver.text()
        await driver.press("\r")
        assert "there is no number 9999" in driver.text() and sitting.answers == []


async def test_words_without_end_are_refused_with_a_word() -> None:
    sitting = FakeSitting(ITEM, ITEM)
    async with opened(sitting) as driver:
        await driver.press("*7", "so")
        driver.app.desk.paste("x" * 500)
        await driver.settle()
        assert "not taken: there is room for 500 signs" in driver.text()
        await driver.press("\r")
        assert sitting.answers == [("remark", "so")]


async def test_notices_are_said_at_opening() -> None:
    async with opened(FakeSitting(ITEM, notices=("record.toml is kept as record.toml.corrupt",))) as driver:
        assert "record.toml is kept as record.toml.corrupt" in driver.text()


# --- two records, faults -------------------------------------------------------------------------------


CONFLICT = SaveState(1, 0, 0.0, problem="changed by somebody else", conflict=Path("record.conflict-1.toml"))


@asynccontextmanager
async def two_records(sitting: FakeSitting) -> AsyncIterator[Driver]:
    """The app at 80x24 when the question comes up which of two records stands."""
    async with opened(sitting) as driver:
        sitting.state = CONFLICT
        sitting.after()
        await driver.until("Two records")
        yield driver


async def test_what_was_done_here_stands_when_it_is_chosen_by_keypad() -> None:
    sitting = FakeSitting(ITEM, ITEM)
    async with two_records(sitting) as driver:
        assert "NOT SAVED: changed by somebody else" in driver.text()
        assert "What was done here goes to record.conflict-1.toml" in driver.text()
        await driver.press("1")
        assert sitting.choices == [], "a single digit may have been meant for the item below"
        await driver.press("\r")
        await driver.until("SAVED 14:05:31")
        assert sitting.choices == [True] and "NOW" in driver.text()


async def test_keeping_what_was_done_here_is_tried_aside_and_a_failure_is_said() -> None:
    sitting = FakeSitting(ITEM, ITEM)
    threads: list[int] = []

    def fail(mine: bool) -> None:
        threads.append(threading.get_ident())
        if len(threads) == 1:
            raise OSError(errno.ENOSPC, "No space left on device")
        sitting.state = SaveState(1, 1)

    sitting.conflict_choice = fail  # type: ignore[method-assign]
    async with two_records(sitting) as driver:
        await driver.press("1\r")
        await driver.until("The changed file could not be kept: the disk is full.")
        assert "1 what was done here stands" in driver.text()
        await driver.press("1\r")
        await driver.until("SAVED 14:05:31")
        assert len(threads) == 2 and threading.get_ident() not in threads


async def test_the_changed_record_is_read_anew_where_it_stands() -> None:
    sitting = FakeSitting(ITEM, ITEM)
    async with two_records(sitting) as driver:
        await driver.press("2\r")
        await driver.until(lambda: sitting.closed == 1 and "SAVED 14:05:31" in driver.text())
        assert sitting.choices == [False] and "NOW" in driver.text()


async def test_keys_pressed_while_the_changed_record_is_read_tick_nothing_of_it() -> None:
    first, changed = FakeSitting(ITEM, ITEM), FakeSitting(number(), DRILL)
    gate = threading.Event()

    def opener(folder: Path, after: Callable[[], None]) -> FakeSitting:
        if first.closed:
            assert gate.wait(10)
            return changed.open(folder, after)
        return first.open(folder, after)

    async with opened(opener=opener) as driver:
        await driver.until("SAVED 14:05:31")
        first.state = CONFLICT
        first.after()
        await driver.until("Two records")
        await driver.press("2\r", "\r46.9\r")
        gate.set()
        await driver.until("the keys pressed meanwhile were not taken")
        assert first.answers == changed.answers == [] and "Measure the bore" in driver.text()


async def test_which_record_stands_may_be_decided_later_and_is_asked_after_the_next_entry() -> None:
    sitting = FakeSitting(ITEM, ITEM, ITEM)
    async with two_records(sitting) as driver:
        await driver.press("0")
        sitting.after()
        await driver.settle()
        assert "NOW" in driver.text() and "NOT SAVED: changed by somebody else" in driver.text()
        await driver.press("\r")
        sitting.after()
        await driver.until("Two records")
        assert sitting.choices == []


async def test_two_records_are_asked_about_when_nothing_is_typed_or_read() -> None:
    sitting = FakeSitting(number(), ITEM)
    async with opened(sitting) as driver:
        await driver.press("1")
        sitting.state = CONFLICT
        sitting.after()
        await driver.press("2")
        assert "12▏" in driver.text()
        await driver.press("**")
        assert "Two records" in driver.text()
        await driver.press("0", "*")
        sitting.after()
        await driver.settle()
        assert "Menu" in driver.text()


async def test_two_records_wait_until_the_menu_is_closed() -> None:
    sitting = FakeSitting(ITEM)
    async with opened(sitting) as driver:
        await driver.press("*")
        sitting.state = CONFLICT
        sitting.after()
        await driver.settle()
        assert "Menu" in driver.text()
        await driver.press("0")
        assert "Two records" in driver.text()


async def test_a_job_that_cannot_be_opened_says_why_and_can_be_tried_again() -> None:
    sitting = FakeSitting(ITEM)
    tried = []

    def opener(folder: Path, after: Callable[[], None]) -> FakeSitting:
        tried.append(folder)
        if len(tried) == 1:
            raise InputError("job.toml:41 features.m8.depth: expected a size\njob.toml:42: another")
        return sitting.open(folder, after)

    async with opened(opener=opener) as driver:
        await driver.until("job.toml:41 features.m8.depth: expected a size")
        assert "job.toml:42: another" in driver.text()
        await driver.press("1")
        await driver.until("Chuck key out")


async def test_leaving_a_job_that_cannot_be_opened_ends_the_app() -> None:
    def opener(folder: Path, after: Callable[[], None]) -> FakeSitting:
        raise InputError("no job")

    async with opened(opener=opener) as driver:
        await driver.until("no job")
        await driver.press("0")
        await driver.until(lambda: not driver.app.desk.pages)


# --- leaving -------------------------------------------------------------------------------------------


async def test_leaving_closes_the_sitting() -> None:
    sitting = FakeSitting(ITEM)
    async with opened(sitting) as driver:
        await driver.press("*9")
        await driver.until(lambda: sitting.closed == 1 and not driver.app.desk.pages)
    assert driver.app.return_code == 0


async def test_leaving_waits_for_the_disk() -> None:
    sitting = FakeSitting(ITEM)
    async with opened(sitting) as driver:
        sitting.state = PENDING
        await driver.press("q")
        assert "waiting for the disk" in driver.text() and sitting.closed == 0
        sitting.state = SaveState(2, 2)
        sitting.after()
        await driver.until(lambda: sitting.closed == 1 and not driver.app.desk.pages)


async def test_after_two_seconds_leaving_says_what_is_unsaved_and_asks() -> None:
    sitting = FakeSitting(ITEM, ITEM)
    sitting.unsaved = "NOT SAVED: record.toml of version 2"
    async with opened(sitting) as driver:
        sitting.state = replace(PENDING, problem="the disk is full")
        await driver.press("q")
        await driver.until("NOT SAVED: the disk is full 1 stay")
        await driver.press("2")
        assert "Not everything is saved" in driver.text(), "leaving wants its Enter"
        await driver.press("*1\r")
        assert "NOW" in driver.text() and sitting.closed == 0
        await driver.press("*9")
        await driver.until("2 leave; what is not saved is lost")
        await driver.press("0", "q")
        await driver.until("2 leave; what is not saved is lost")
        await driver.press("2\r")
        await driver.until(lambda: not driver.app.desk.pages)
    assert driver.app.desk.parting == ["NOT SAVED: record.toml of version 2"]


async def test_keys_that_waited_for_the_disk_do_not_answer_whether_to_leave() -> None:
    sitting = FakeSitting(setting(), ITEM)
    sitting.waits, sitting.state = True, PENDING
    async with opened(sitting) as driver:
        await driver.press("\r2\r")
        await driver.press("ctrl+q")
        await driver.until("Not everything is saved")
        sitting.waits, sitting.state = False, SaveState(2, 2)
        sitting.after()
        await driver.settle()
        assert "Not everything is saved" in driver.text() and sitting.answers == []
        await driver.press("0")
        assert sitting.answers == [("enter", "")] and sitting.closed == 0


async def test_control_q_leaves_from_any_page() -> None:
    sitting = FakeSitting(ITEM)
    async with opened(sitting) as driver:
        await driver.press("*5")
        await driver.press("ctrl+q")
        await driver.until(lambda: sitting.closed == 1 and not driver.app.desk.pages)


# --- jobs ------------------------------------------------------------------------------------------------


async def test_the_list_of_jobs_opens_one_and_comes_back(monkeypatch: pytest.MonkeyPatch) -> None:
    rows = [
        JobRow("plate", "Plate [b]x", "op 50 Drill", "2026-11-25 08:00"),
        JobRow("bad", "", "", fault="job.toml:3"),
    ]
    sitting = FakeSitting(ITEM)
    monkeypatch.setattr(jobs.JobsPage.__init__, "__defaults__", (lambda: tuple(rows),))
    async with opened(sitting, folder=None) as driver:
        await driver.until("1 Plate [b]x op 50 Drill 2026-11-25 08:00 2 bad job.toml:3")
        await driver.press("1")
        await driver.until("Chuck key out")
        await driver.press("q")
        await driver.until("0 leave")
        assert sitting.closed == 1
        await driver.press("0")
        await driver.until(lambda: not driver.app.desk.pages)


async def test_without_jobs_the_list_says_how_to_get_one() -> None:
    async with opened(FakeSitting(ITEM), folder=None) as driver:
        await driver.until("handwheel demo")


# --- the look-up -----------------------------------------------------------------------------------------


async def test_the_look_up_answers_while_typing_and_keeps_the_entry() -> None:
    """F3 inside a number, the answer to what is typed, F3 again: the number is typed on and taken."""
    sitting = FakeSitting(number(), ITEM)
    async with opened(sitting) as driver:
        await driver.press("46.9", "f3")
        await driver.press("6.8")
        await driver.until("tap drill of M8")
        await driver.press("f3", "8", "\r")
        assert sitting.answers == [("typed", "46.98")]


async def test_the_look_up_is_there_in_the_list_of_jobs() -> None:
    """The point of the keypad opens it, and it comes back to the list."""
    async with opened(FakeSitting(ITEM), folder=None) as driver:
        await driver.until("handwheel demo")
        await driver.press(".")
        await driver.until("Look up")
        await driver.press("13/64")
        await driver.until("fraction diameter 5.159 mm")
        await driver.press("f3")
        assert "handwheel demo" in driver.text()


# --- sizes -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("size", [(80, 24), (40, 12), (120, 40)])
async def test_every_page_opens_at_every_size(size: tuple[int, int]) -> None:
    async with opened(FakeSitting(number()), size=size) as driver:
        for keys in ("*", "*1", "*3", "*4", "*5", "*7", "*8"):
            await driver.press(keys)
            lines = driver.app.paper.text()
            assert len(lines) == size[1] and all(len(line) <= size[0] for line in lines)
            await driver.press("escape")
            assert "NOW" in driver.text()


async def test_a_resized_window_is_filled_anew_and_keeps_what_was_typed() -> None:
    async with opened(FakeSitting(number())) as driver:
        await driver.press("46.9")
        for width, height, shown in ((38, 9, "enlarge to 80x24 (now 38x9)"), (120, 40, "46.9▏")):
            await driver._pilot.resize_terminal(width, height)
            await driver.until(shown)
