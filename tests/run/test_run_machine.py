"""The run of a job as a state machine: whatever a person does, in any order, the rules of the run hold."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from answers import good_answer
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    rule,
    run_state_machine_as_test,
)
from planting import change

from handwheel.demo import make_demo
from handwheel.models.record import Event
from handwheel.plan.resolve import Plan
from handwheel.run.act import Answer, Refusal, act
from handwheel.run.live import Item, live
from handwheel.run.state import State, apply, fold, key_of
from handwheel.store.jobs import load_job

SPOT_OF_THE_FRAME = (
    '[[operations]]\nnumber = 30\nsetup = "A"\nrecipe = "spot"\nfeature = "frame-holes"\ntool = "spot-10"\n'
)


@cache
def plans() -> tuple[Plan, Plan]:
    """Give the demo, and the demo with stops: a spot left out, a size carried over."""
    with TemporaryDirectory() as folder:
        job = make_demo(str(Path(folder) / "plate"), "plate")[0]
        good = load_job(job).plan
        change(job / "job.toml", SPOT_OF_THE_FRAME, "")
        change(job / "job.toml", '"96 mm"', '{ size = "96 mm", basis = "carried" }')
        change(job / "job.toml", 'diameter = "9 mm"', 'diameter = { size = "9 mm", basis = "carried" }')
        return good, load_job(job).plan


WRONG = st.sampled_from(
    ["0", "-1", "9", "99999", "1e9", "nan", "1,000", "x", "2000 mm", "0.1 in", "20.0999 mm"]
)


class Run(RuleBasedStateMachine):
    """A person at the job, who answers well, badly, too fast, and goes away."""

    plan: Plan
    state: State
    now: datetime

    @initialize(stops=st.booleans(), ahead=st.integers(0, 130))
    def begin(self, stops: bool, ahead: int) -> None:
        self.plan = plans()[stops]
        self.state = fold(())
        self.now = datetime.fromisoformat("2026-11-24T08:00:00+01:00")
        for _ in range(ahead):
            if live(self.plan, self.state).kind in ("stop", "finished"):
                break
            self.answer_well()

    def do(self, answer: Answer) -> Event | None:
        """Answer the live item; what is taken belongs to it, and never signs by Enter."""
        before = live(self.plan, self.state)
        self.now += timedelta(seconds=20)
        outcome = act(self.plan, self.state, answer, self.now.isoformat())
        if isinstance(outcome, Refusal):
            assert outcome.why
            return None
        signed = set(self.state.signed)
        self.state = apply(self.state, outcome)
        if outcome.kind == "undone":
            assert set(self.state.signed) <= signed
            assert signed - set(self.state.signed) <= {outcome.operation}
        else:
            assert signed <= set(self.state.signed), "a signature went without an undo"
            belongs(outcome, before)
        if answer.kind == "enter":
            assert outcome.kind != "signed"
        return outcome

    def answer_well(self) -> None:
        item = live(self.plan, self.state)
        if item.kind in ("stop", "finished"):
            return
        typed = good_answer(item, self.state)
        taken = self.do(Answer("typed", typed) if typed else Answer("enter", "", "as shown"))
        assert taken is not None, f"{item.key}: {typed!r} was not taken"
        assert live(self.plan, self.state) != item or taken.verdict in ("once more", "measure again")

    @rule(times=st.integers(1, 6))
    def works(self, times: int) -> None:
        for _ in range(times):
            self.answer_well()

    @rule(text=WRONG)
    def types_something_wrong(self, text: str) -> None:
        self.do(Answer("typed", text))

    @rule(share=st.sampled_from([0.7, 0.95, 0.9999, 1.0, 1.0001, 1.05, 1.4]), worse=st.booleans())
    def reads(self, share: float, worse: bool) -> None:
        """Go on to the next reading and type a number near the meant one, or what is not so."""
        for _ in range(40):
            if live(self.plan, self.state).kind in ("reading", "stop", "finished"):
                break
            self.answer_well()
        item = live(self.plan, self.state)
        if item.step is None or item.kind != "reading":
            return
        expect = item.step.value("expect")
        text = f"{expect.number * share:.6f}" if expect is not None else "2" if worse else "1"
        event = self.do(Answer("typed", text))
        if event is not None and event.verdict not in ("pass", "as it should be"):
            after = live(self.plan, self.state)
            assert after.key == item.key or after.kind == "cut", "a bad reading was passed"

    @rule()
    def presses_enter(self) -> None:
        before = live(self.plan, self.state)
        self.do(Answer("enter", "", "as shown"))
        if before.kind in ("stop", "reading", "sign-off", "finished"):
            assert live(self.plan, self.state).kind == before.kind
            assert live(self.plan, self.state).key == before.key

    @rule()
    def holds(self) -> None:
        item = live(self.plan, self.state)
        if self.do(Answer("hold")) is not None:
            assert item.kind not in ("briefing", "opening")
            assert live(self.plan, self.state).kind == "briefing"

    @rule()
    def takes_back(self) -> None:
        index = self.state.last_to_undo()
        event = self.do(Answer("undo"))
        assert (event is None) == (index is None)
        if index is None:
            return
        taken_back = self.state.events[index]
        later = self.state.events[index + 1 : -1]
        quiet = all(one.kind in ("remarked", "undone") for one in later)
        if quiet and self.state.seated and not self.state.held:
            item = live(self.plan, self.state)
            if (taken_back.code and taken_back.step is None) or taken_back.kind == "confirmed":
                assert item.kind == "stop" and item.key.operation == taken_back.operation
            else:
                assert item.key == key_of(taken_back)

    @rule(words=st.sampled_from(["1", "2", "as agreed by telephone", "", "77"]))
    def waives(self, words: str) -> None:
        item = live(self.plan, self.state)
        event = self.do(Answer("waive", words))
        if event is not None:
            assert event.kind == "waived" and event.reason
            assert item.kind in ("stop", "reading")
            after = live(self.plan, self.state)
            assert after.key != item.key or after.finding is not item.finding

    @rule(text=st.sampled_from(["96", "96 mm", "9", "9 mm", "95", "frame", ""]))
    def confirms(self, text: str) -> None:
        item = live(self.plan, self.state)
        event = self.do(Answer("typed", text)) if item.kind == "stop" else None
        if event is not None:
            assert item.finding is not None and item.finding.confirm is not None
            assert text.partition(" ")[0] == item.finding.confirm[1].partition(" ")[0]

    @rule(words=st.sampled_from(["chatter at the second cut", " ", "\x1b[31m"]))
    def remarks(self, words: str) -> None:
        item = live(self.plan, self.state)
        self.do(Answer("remark", words))
        assert live(self.plan, self.state) == item

    @rule()
    def opens_it_again(self) -> None:
        self.state = fold(self.state.events)
        assert live(self.plan, self.state).kind in ("briefing", "opening", "finished")

    @rule(minutes=st.integers(31, 3000))
    def goes_away(self, minutes: int) -> None:
        item, events = live(self.plan, self.state), len(self.state.events)
        self.now += timedelta(minutes=minutes)
        self.do(Answer("enter"))
        if events and self.state.events[events:] and item.kind not in ("cut", "briefing", "opening"):
            assert self.state.events[-1].kind == "held"

    @invariant()
    def events_add_up_to_the_state(self) -> None:
        if hasattr(self, "state"):
            assert replace(fold(self.state.events), seated=self.state.seated) == self.state

    @invariant()
    def nothing_before_the_live_item_is_open(self) -> None:
        if hasattr(self, "state"):
            nothing_is_jumped_over(self.plan, self.state)


def belongs(event: Event, item: Item) -> None:
    """Hold an event to the item that was live."""
    if event.kind in ("opened", "resumed"):
        assert item.kind in ("opening", "briefing")
    elif item.step is not None:
        assert key_of(event) == item.key
    else:
        assert (event.operation or 0) == item.key.operation


def nothing_is_jumped_over(plan: Plan, state: State) -> None:
    """Whatever stands before the live item is done: signed operations, hold points, readings, stops."""
    item = live(plan, state)
    if item.operation is None or item.kind in ("opening", "briefing"):
        return
    at = plan.operations.index(item.operation)
    assert all(one.number in state.signed for one in plan.operations[:at])
    assert not any(one.number in state.signed for one in plan.operations[at:])
    if item.kind == "stop" or item.key.operation == 0:
        return
    for finding in plan.findings:
        if finding.severity == "stop" and finding.operation in (None, item.key.operation):
            waived = (finding.code, item.key.operation, finding.place) in state.waived
            assert waived or (finding.confirm and finding.confirm[0] in state.confirmed)
    for planned in item.operation.items:
        step = planned.step
        if (step.id, planned.position) == (item.key.step, item.key.position):
            return
        done = [key for key in state.done if key[:3] == (item.key.operation, step.id, planned.position)]
        assert done or step.step.after_reading, f"{step.id} hole {planned.position} was jumped over"
        if step.step.kind == "reading":
            event = state.events[max(state.done[key] for key in done)]
            assert event.kind == "waived" or event.verdict in ("pass", "as it should be")


def test_whatever_a_person_does_the_rules_of_the_run_hold() -> None:
    """Answers, slips, holds, undos, waivers and reopenings in any order leave every invariant standing."""
    run_state_machine_as_test(Run, settings=settings(max_examples=150, stateful_step_count=30))


@pytest.mark.slow
def test_many_more_ways_to_do_it() -> None:
    """The same over a thousand runs of a hundred steps."""
    run_state_machine_as_test(
        Run, settings=settings(max_examples=1000, derandomize=False, stateful_step_count=100, deadline=None)
    )
