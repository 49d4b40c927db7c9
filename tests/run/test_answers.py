"""What an answer to the live item does: slips refused, limits kept, gaps and holds asked again."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import pytest
from answers import good_answer
from hypothesis import given
from hypothesis import strategies as st
from planting import change

from handwheel.models.record import Event
from handwheel.plan.resolve import Plan
from handwheel.present.run_view import refusal_text, run_view
from handwheel.run.act import Answer, Refusal, act
from handwheel.run.changes import changed_since
from handwheel.run.live import Item, live
from handwheel.run.state import State, apply, fold
from handwheel.run.verdict import number_verdict
from handwheel.store.jobs import OpenedJob, load_job

START = datetime.fromisoformat("2026-11-24T08:00:00+01:00")


class Person:
    """Somebody at a plan, with a clock of their own."""

    def __init__(self, plan: Plan, events: tuple[Event, ...] = ()) -> None:
        self.plan = plan
        self.state: State = fold(events)
        self.now = START if not events else datetime.fromisoformat(events[-1].at)

    @property
    def item(self) -> Item:
        return live(self.plan, self.state)

    def do(self, answer: Answer) -> str:
        """Answer; give "" where it was taken, else why not, as it is read."""
        self.now += timedelta(seconds=1)
        outcome = act(self.plan, self.state, answer, self.now.isoformat())
        if isinstance(outcome, Refusal):
            return refusal_text(outcome.why, outcome.values, self.plan.job.job.units)
        self.state = apply(self.state, outcome)
        return ""

    def type(self, text: str) -> str:
        return self.do(Answer("typed", text) if text else Answer("enter"))

    def work_to(self, step: str, operation: int = 0, position: int = 1) -> None:
        """Answer well until a step is live."""
        while not (self.item.key[:3] == (operation, step, position) and self.item.step):
            assert self.item.kind not in ("finished", "stop"), f"{step} never came"
            assert self.type(good_answer(self.item)) == ""

    def finish(self) -> None:
        while self.item.kind != "finished":
            assert self.type(good_answer(self.item)) == ""


@pytest.fixture
def person(opened: OpenedJob) -> Person:
    return Person(opened.plan)


def test_good_answers_come_to_the_last_signature(person: Person) -> None:
    """The demo runs from its first item to its last, every operation signed in order."""
    person.finish()
    signed = [event.operation for event in person.state.events if event.kind == "signed"]
    assert signed == [10, 20, 30, 40, 50, 60, 70, 80, 90]
    assert person.type("") == "every operation is signed off; there is nothing left to answer"


def test_enter_alone_stops_at_the_first_typed_value(person: Person) -> None:
    """A run that presses only Enter comes to the first value that has to be typed, and signs nothing."""
    for _ in range(300):
        person.type("")
    assert person.item.key == (0, "session.stop", 1, 1)
    assert person.item.step is not None and person.item.step.step.takes.kind == "number"
    assert not person.state.signed
    assert {event.kind for event in person.state.events} == {"opened", "ticked"}


def test_enter_alone_does_not_pass_the_setup_either(person: Person) -> None:
    """With the list of the sitting answered, Enter alone stops at the first typed value of the setup."""
    person.work_to("setup-mill.clamped", 10)
    for _ in range(300):
        person.type("")
    assert person.item.key == (10, "setup-mill.grip", 1, 1)
    assert not person.state.signed


def test_a_sign_off_needs_a_name(person: Person) -> None:
    """Enter signs nothing, nor does a number that is nobody's; a number of the list or a word does."""
    person.work_to("done", 10)
    assert "Enter alone signs nothing" in person.type("")
    assert "1 AK" in person.type("7")
    assert "1 AK" in person.type("0")
    assert person.type("1") == ""
    assert person.state.events[-1].by == "AK"


# --- limits ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("end", ["low", "high"])
def test_a_reading_just_past_its_limit_is_not_signed_without_a_waiver(person: Person, end: str) -> None:
    """A ten-thousandth past the limit is past it; only a waiver with a reason goes on, and it is kept."""
    person.work_to("size", 50)
    assert person.item.step is not None
    limit = person.item.step.value("low" if end == "low" else "high")
    assert limit is not None
    past = limit.number + (1e-4 if end == "high" else -1e-4)
    assert person.type(f"{past:.6f}") == ""
    assert person.state.events[-1].verdict == "past the limit"
    stuck = person.item.key
    assert person.type("") != "" and person.item.key == stuck
    assert person.do(Answer("waive", "")) != "" and person.item.key == stuck
    assert person.do(Answer("waive", "1")) == ""
    waiver = person.state.events[-1]
    assert (waiver.kind, waiver.code, waiver.verdict) == ("waived", "reading", "past the limit")
    assert waiver.reason == person.plan.shop.reasons[0]
    assert person.item.key != stuck


@pytest.mark.parametrize("end", ["low", "high"])
def test_a_reading_at_its_limit_exactly_is_not_past_it(person: Person, end: str) -> None:
    """At the limit the size is not proven by an instrument that may be out, and it is not past."""
    person.work_to("size", 50)
    assert person.item.step is not None
    limit = person.item.step.value("low" if end == "low" else "high")
    assert limit is not None
    assert person.type(f"{limit.number:.6f}") == ""
    assert person.state.events[-1].verdict == "not proven"


def test_a_good_reading_after_a_bad_one_goes_on(person: Person) -> None:
    """A second reading of the same size counts; both stay in the record."""
    person.work_to("size", 50)
    key = person.item.key
    assert person.type("9.9") == "" and person.item.key == key
    assert person.type("9.02") == "" and person.item.key != key
    assert [event.verdict for event in person.state.events[-2:]] == ["past the limit", "pass"]


def test_more_to_come_off_asks_for_the_cut_again(person: Person) -> None:
    """A face that is still thick is cut again by what is left, and measured again, as often as it takes."""
    person.work_to("thickness", 20)
    assert person.type("20.45") == ""
    assert person.item.key == (20, "last-cuts", 1, 2)
    view = run_view(person.plan, person.state, person.item)
    assert (view.heading, view.unit) == ("SET TO", "mm")
    assert 20.0 < float(view.big) < 20.45 and f"Z to {view.big} mm" in view.text
    assert person.type("") == ""
    assert person.item.key == (20, "thickness", 1, 2)
    assert person.type("20.25") == ""
    assert person.item.key == (20, "last-cuts", 1, 3)
    assert person.type("") == "" and person.type("20.02") == ""
    assert person.item.key == (20, "low-corner", 1, 1)
    assert person.do(Answer("undo")) == ""
    assert person.item.key == (20, "thickness", 1, 3)


def test_past_the_limit_on_the_far_side_offers_no_further_cut(person: Person) -> None:
    """A face cut too thin is lost: it is measured again, and then nothing is offered to take off."""
    person.work_to("thickness", 20)
    assert person.type("19.43") == ""
    first = person.state.events[-1]
    assert first.verdict == "measure again" and "whole cut of roughing" in (first.reason or "")
    assert person.type("19.43") == ""
    assert person.state.events[-1].verdict == "past the limit"
    assert person.item.key == (20, "thickness", 1, 1)


def test_a_speed_above_its_limit_is_refused(person: Person) -> None:
    """A typed speed above what rules is refused with the limit; ten times what is shown is called that."""
    person.work_to("speed", 50)
    assert person.item.step is not None and person.item.step.limit is not None
    limit = person.item.step.limit.number
    assert "above the limit" in person.type(f"{limit + 1:.0f}")
    assert "ten times what is shown" in person.type("5400")
    assert person.type(f"{limit - 100:.0f}") == ""
    assert person.state.events[-1].value == pytest.approx(limit - 100, abs=1)


def test_an_attribute_that_is_not_so_holds(person: Person) -> None:
    """A gauge that does not go keeps the thread open."""
    person.work_to("gauge", 80)
    assert person.type("2") == ""
    assert person.state.events[-1].verdict == "not so"
    assert person.item.key == (80, "gauge", 1, 1)
    assert person.type("1") == ""
    assert person.item.key == (80, "cut", 2, 1)


def test_the_first_hole_is_measured_before_the_second_is_cut(person: Person) -> None:
    """Of six holes the first is read before the second is drilled (HF-43)."""
    person.work_to("size", 50)
    assert person.item.key == (50, "size", 1, 1)
    person.work_to("cut", 50, 2)
    kinds = [(event.step, event.position) for event in person.state.events if event.operation == 50]
    assert kinds[-2:] == [("cut", 1), ("size", 1)]


numbers = st.floats(-100, 100)


@given(numbers, numbers, numbers, st.floats(0, 10), st.sampled_from(["from outside", "from inside", None]))
def test_a_verdict_never_passes_what_is_outside(
    reading: float, one: float, other: float, uncertainty: float, removing: str | None
) -> None:
    """Pass is inside the limits by the uncertainty; past and more are outside; the rest is not proven."""
    low, high = sorted((one, other))
    verdict = number_verdict(reading, low, high, low + uncertainty, high - uncertainty, removing)  # type: ignore[arg-type]
    slack = 2e-6
    if verdict == "pass":
        assert low + uncertainty - slack <= reading <= high - uncertainty + slack
    elif verdict == "not proven":
        assert low - slack <= reading <= high + slack
    else:
        assert reading < low or reading > high
        on_side = reading > high if removing == "from outside" else reading < low
        assert (verdict == "more to come off") == (removing is not None and on_side)


def test_without_an_acceptance_nothing_is_proven() -> None:
    """An instrument whose uncertainty is not on file proves no limit."""
    assert number_verdict(5, 4, 6, None, None, None) == "not proven"
    assert number_verdict(5, None, None, None, None, None) == "pass"


# --- slips ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("factor", "said"),
    [
        (10, "ten times too large"),
        (0.1, "ten times too small"),
        (25.4, "25.4 times, an inch for a millimetre too large"),
        (1 / 25.4, "25.4 times, an inch for a millimetre too small"),
        (2, "twice too large"),
        (0.5, "twice too small"),
        (5, "more than 2 times off"),
    ],
)
def test_a_slip_of_size_is_refused_by_its_name(person: Person, factor: float, said: str) -> None:
    """A number ten times, an inch for a millimetre, twice or far off is refused and not kept (HF-17)."""
    person.work_to("size", 50)
    kept = len(person.state.events)
    refusal = person.type(f"{9 * factor:.4f}")
    assert said in refusal and "9.00 mm" in refusal and "Measure again" in refusal
    assert len(person.state.events) == kept


@pytest.mark.parametrize("text", ["nine", "9 N", "1,000", "nan", "9**9**9", "", "-"])
def test_what_is_no_number_is_refused(person: Person, text: str) -> None:
    """Words, other units, two readings and nothing at all are refused where a number is asked."""
    person.work_to("size", 50)
    kept = len(person.state.events)
    assert person.type(text) != ""
    assert len(person.state.events) == kept


def test_a_decimal_comma_and_a_unit_are_taken_and_kept_as_typed(person: Person) -> None:
    """What was typed stands in the record beside the number."""
    person.work_to("size", 50)
    assert person.type("9,02 mm") == ""
    assert (person.state.events[-1].entered, person.state.events[-1].value) == ("9,02 mm", 9.02)


def test_a_job_in_inches_takes_bare_readings_in_inches(demo: Path) -> None:
    """What is typed without a unit is in the unit of the job; the record keeps millimetres and the text."""
    change(demo / "job.toml", 'units = "mm"', 'units = "inch"')
    person = Person(load_job(demo).plan)
    person.work_to("setup-mill.grip", 10)
    assert "25.4 times" in person.type("8")
    assert person.type("0.315") == ""
    event = person.state.events[-1]
    assert (event.entered, event.unit) == ("0.315", "mm")
    assert event.value == pytest.approx(8.001)


def test_a_choice_that_is_wrong_has_to_be_put_right(person: Person) -> None:
    """A readout in inches on a metric job is refused with what it has to be."""
    person.work_to("setup-mill.metric", 10)
    assert "It has to be: mm" in person.type("2")
    assert "1 mm" in person.type("3")
    assert person.type("1") == ""


def test_a_zero_that_moved_is_refused(person: Person) -> None:
    """Coming back, a touched edge has to read what it read when zero was set."""
    person.work_to("cut", 50)
    again = Person(person.plan, person.state.events)
    again.work_to("restart.zero")
    assert "It has to be: it does" in again.type("2")
    assert again.type("1") == ""


# --- going away and coming back -------------------------------------------------------------------


def test_a_gap_of_half_an_hour_counts_as_a_hold(person: Person) -> None:
    """After 31 minutes the next answer is not taken: the work is held, the briefing comes (HF-7)."""
    person.work_to("speed", 50)
    key = person.item.key
    person.now += timedelta(minutes=31)
    assert person.type("") == ""
    held = person.state.events[-1]
    assert (held.kind, held.reason) == ("held", "no entry for 31 min")
    assert person.item.kind == "briefing"
    assert person.type("") == "" and person.item.key == key


def test_thirty_minutes_are_no_gap(person: Person) -> None:
    """Just below the limit the answer is taken."""
    person.work_to("speed", 50)
    person.now += timedelta(minutes=29, seconds=30)
    assert person.type("") == ""
    assert person.state.events[-1].kind == "set"


@pytest.mark.parametrize(("step", "answer"), [("cut", ""), ("size", "9.02")])
def test_a_long_cut_is_no_gap(person: Person, step: str, answer: str) -> None:
    """A cut, or a reading after it, may take its time."""
    person.work_to(step, 50)
    person.now += timedelta(minutes=50)
    assert person.type(answer) == ""
    assert person.state.events[-1].kind in ("cut", "read")


def test_a_hold_brings_back_the_same_item(person: Person) -> None:
    """After a hold the briefing stands there, and then the very item that was live."""
    person.work_to("cut", 50, 4)
    key = person.item.key
    assert person.do(Answer("hold")) == ""
    assert person.item.kind == "briefing"
    assert "held already" in person.do(Answer("hold"))
    assert person.type("") == "" and person.item.key == key


def test_a_list_that_a_hold_broke_off_is_asked_from_its_start(person: Person) -> None:
    """The list of the setup begins again; what was ticked stays in the record."""
    person.work_to("setup-mill.covers", 10)
    assert person.do(Answer("hold")) == "" and person.type("") == ""
    assert person.item.key == (10, "setup-mill.clamped", 1, 1)
    person.work_to("setup-mill.covers", 10)
    ticks = [event.step for event in person.state.events if event.step == "setup-mill.clamped"]
    assert len(ticks) == 2


def test_a_list_of_the_sitting_that_a_hold_broke_off_is_asked_from_its_start(person: Person) -> None:
    """So does the list of the sitting."""
    person.work_to("session.eyes")
    assert person.do(Answer("hold")) == "" and person.type("") == ""
    assert person.item.key == (0, "session.entangle", 1, 1)
    person.work_to("setup-mill.clamped", 10)


def test_a_list_that_was_done_is_not_asked_again_after_a_hold(person: Person) -> None:
    """A hold in the middle of the work leaves finished lists as they are."""
    person.work_to("burrs", 10)
    assert person.do(Answer("hold")) == "" and person.type("") == ""
    assert person.item.key == (10, "burrs", 1, 1)


@pytest.mark.parametrize(
    ("minutes", "lists"), [(1, ["restart"]), (31, ["restart", "session"])], ids=["soon", "after long"]
)
def test_coming_back_asks_lists_again(person: Person, minutes: int, lists: list[str]) -> None:
    """After cuts the restart list is asked, then the session's too, if that was long ago."""
    person.work_to("cut", 50, 3)
    key = person.item.key
    again = Person(person.plan, person.state.events)
    again.now = person.now + timedelta(minutes=minutes)
    assert again.item.kind == "briefing"
    asked = []
    while again.item.key != key:
        assert again.type(good_answer(again.item)) == ""
        if again.item.key.operation == 0:
            asked.append(again.item.key.step)
    owners = [step.partition(".")[0] for step in asked]
    assert list(dict.fromkeys(owners)) == lists


def test_before_any_work_there_is_nothing_to_restart(person: Person) -> None:
    """Coming back to a job where nothing was set or cut asks no restart list."""
    person.work_to("burrs", 10)
    again = Person(person.plan, person.state.events)
    asked = []
    while again.item.key != person.item.key:
        assert again.type(good_answer(again.item)) == ""
        asked.append(again.item.key.step)
    assert not [step for step in asked if step.startswith("restart")]


# --- taking back ----------------------------------------------------------------------------------


def test_undo_takes_entries_back_one_by_one(person: Person) -> None:
    """Each undo brings the item of the entry before; nothing is deleted."""
    person.work_to("size", 50)
    keys = []
    for _ in range(4):
        assert person.do(Answer("undo")) == ""
        keys.append(person.item.key.step)
    assert keys == ["cut", "depth", "speed", "grab"]
    assert sum(event.kind == "undone" for event in person.state.events) == 4


def test_a_signature_can_be_taken_back(person: Person) -> None:
    """The operation is open again, at its sign-off."""
    person.work_to("done", 10)
    person.type("1")
    assert 10 in person.state.signed
    assert person.do(Answer("undo")) == ""
    assert 10 not in person.state.signed and person.item.key == (10, "done", 1, 1)


def test_nothing_to_undo_is_said(person: Person) -> None:
    """In a fresh job there is no entry to take back."""
    assert person.do(Answer("undo")) == "there is no entry to take back"


# --- stops ----------------------------------------------------------------------------------------


def two_carried(folder: Path) -> Person:
    change(folder / "job.toml", '"96 mm"', '{ size = "96 mm", basis = "carried" }')
    change(folder / "job.toml", 'diameter = "9 mm"', 'diameter = { size = "9 mm", basis = "carried" }')
    person = Person(load_job(folder).plan)
    while person.item.kind != "stop":
        assert person.type(good_answer(person.item)) == ""
    return person


def test_a_stop_stands_before_its_operation(demo: Path) -> None:
    """Enter does not pass it; the refusal is filled in and names the cure."""
    person = two_carried(demo)
    assert person.item.key == (30, "", 1, 1)
    refusal = person.type("")
    assert "carried over" in refusal and "{" not in refusal


def test_each_carried_number_is_confirmed_by_typing_it(demo: Path) -> None:
    """A number without its unit will do, as a keypad types it; another number will not."""
    person = two_carried(demo)
    first = person.item.finding
    assert first is not None
    assert "look at the drawing" in person.type("95")
    assert "look at the drawing" in person.type("9 N")
    assert person.type("96") == ""
    assert person.item.kind == "stop" and person.item.finding is not first
    assert person.type("9 mm") == ""
    assert person.item.key.step != ""


def test_one_waiver_passes_one_stop(demo: Path) -> None:
    """The second stop of the same code at the same operation stands until it has its own waiver."""
    person = two_carried(demo)
    first = person.item.finding
    assert person.do(Answer("waive", "1")) == ""
    assert person.item.kind == "stop" and person.item.finding is not first
    assert person.do(Answer("waive", "agreed by telephone")) == ""
    assert person.item.key.step != ""
    assert person.state.events[-1].reason == "agreed by telephone"


# --- what it rests on -----------------------------------------------------------------------------


def test_the_first_entry_of_an_operation_keeps_what_it_rests_on(person: Person) -> None:
    """Every leaf with its text, and the recipe with its version, stand in one event of each operation."""
    person.finish()
    kept = [event for event in person.state.events if event.used is not None]
    assert [event.operation for event in kept] == [10, 20, 30, 40, 50, 60, 70, 80, 90]
    drill = next(event for event in kept if event.operation == 60)
    assert drill.used is not None and drill.used["job.toml features.motor-holes.diameter"] == "6.8 mm"
    assert (drill.recipe, drill.version) == ("drill", 2)


def test_what_changed_since_is_named(person: Person, demo: Path) -> None:
    """A size changed after the work names the operations that rested on it, what it was and what it is."""
    person.finish()
    change(demo / "job.toml", 'depth = "10 mm"', 'depth = "10.5 mm"')
    changed = changed_since(load_job(demo).plan, person.state)
    place = ("job.toml features.motor-threads.depth", "10 mm", "10.5 mm")
    assert set(changed) == {60, 80}
    assert all(place in changes for changes in changed.values())
    assert changed_since(person.plan, person.state) == {}
