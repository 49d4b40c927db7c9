"""A person at a job: the plan, the state, and the record that is being saved.

Screen and line mode hold one `Sitting` and nothing else of the house. An answer goes in, an event comes
out of the pure run, the view of it is live at once (pending), and it is done when the disk has it.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import datetime
from functools import partial
from pathlib import Path

from handwheel.drawing.live import explain_drawings, live_drawings
from handwheel.drawing.shapes import Drawing
from handwheel.errors import one_line
from handwheel.models.record import Event
from handwheel.models.shop import GUARD
from handwheel.plan.resolve import Limit
from handwheel.present.explain import explain
from handwheel.present.lists_view import Explanation, FindingView, RouteView
from handwheel.present.numbers import System
from handwheel.present.run_view import live_text, refusal_text, run_view
from handwheel.present.tables import finding_views, route_view
from handwheel.present.view import RunView
from handwheel.run.act import Answer, Refusal, act
from handwheel.run.left import left_to_remove
from handwheel.run.live import Item, first_open, items_of, live
from handwheel.run.settings import as_set, moves_the_plan
from handwheel.run.state import State, apply, fold
from handwheel.store.durable import sweep
from handwheel.store.jobs import OpenedJob, load_job, place_of
from handwheel.store.lock import JobLock
from handwheel.store.record import NAME, RecordText, keep_copy, load
from handwheel.store.writer import SaveState, Writer
from handwheel.values import Value

__all__ = ["Sitting"]

_LIMITS: dict[Limit, str] = {"expect": "meant", "low": "at least", "high": "at most"}

PATIENCE = 2.0
"""Seconds that something may be pending before it is said that it is not saved."""


class Sitting:
    """One opened job. Take it from `Sitting.open`; every method is for one thread."""

    def __init__(
        self,
        opened: OpenedJob,
        *,
        after: Callable[[], None] | None = None,
        clock: Callable[[], datetime] | None = None,
        monotonic: Callable[[], float] = time.monotonic,
    ) -> None:
        self._opened = opened
        self._clock = clock or _now
        self._monotonic = monotonic
        self._saved_at = ""
        self._after = after
        self._versions = 0
        self._live: tuple[State, Item] | None = None
        self._drawn: tuple[tuple[object, ...], tuple[Drawing, ...]] | None = None
        self._lock = JobLock(opened.folder)
        try:
            self._take_up(opened)
        except BaseException:
            self._lock.release()
            raise

    def _take_up(self, opened: OpenedJob) -> None:
        """Read the record under the lock, and begin to save where that is allowed."""
        loaded = load(opened.folder, clock=self._clock, move=self._lock.held)
        self.read_only = opened.read_only or ("" if self._lock.held else self._lock.why)
        if loaded.read_only:
            self.read_only = loaded.record.problem or "the record was written by a newer program"
        said = [*opened.said, *loaded.said]
        if not self.read_only:
            said.extend(_tried("what killed saves left could not be cleared", partial(sweep, opened.folder)))
            copying = partial(keep_copy, opened.folder, self._clock())
            said.extend(_tried("no dated copy of the record could be kept", copying))
            said.extend([self._lock.why] if self._lock.why else [])
        self.notices = tuple(said)
        self.state = fold(loaded.record.events)
        self.plan = as_set(opened.plan, self.state)
        self._text = RecordText.resume(loaded)
        self._writer: Writer | None = None
        if not self.read_only:
            path = opened.folder / NAME
            self._writer = Writer(path, loaded.data, after=self._on_save, clock=self._monotonic)
            if loaded.data is None:
                self._submit()  # from now on the head of the record is there for the first paint

    @classmethod
    def open(cls, folder: Path, *, after: Callable[[], None] | None = None) -> Sitting:
        """Open a job for work. Raises `HandwheelError` with what is wrong with its files."""
        return cls(load_job(folder), after=after)

    # --- what is live ----------------------------------------------------------------------------

    @property
    def title(self) -> str:
        """The title of the job, as its file has it."""
        return self.plan.job.job.title

    @property
    def system(self) -> System:
        """The unit system of the job."""
        return self.plan.job.job.units

    @property
    def guard(self) -> float:
        """Seconds within which a second Enter is dropped."""
        guard = self.plan.shop.keys.guard
        return guard.plain if guard else GUARD

    @property
    def item(self) -> Item:
        """The live item, found once for each state."""
        if self._live is None or self._live[0] is not self.state:
            self._live = (self.state, live(self.plan, self.state))
        return self._live[1]

    def view(self) -> RunView:
        """Give what is live, in words."""
        return run_view(self.plan, self.state, self.item, self._pending_events())

    def look(self, step: int) -> RunView:
        """Give the item so many away from the live one, for looking only."""
        items = list(self._all_items())
        keys = [item.key for item in items]
        if self.item.key in keys:
            at = keys.index(self.item.key) + step
        else:  # the live item is none of the operation's own: what follows it is the first that is open
            at = self._first_open(items) + (step - 1 if step > 0 else step)
        item = items[min(max(at, 0), len(items) - 1)]
        view = run_view(self.plan, self.state, item, self._pending_events())
        return replace(view, prompt="looking only; Enter goes back to what is live", takes="nothing")

    def _all_items(self) -> Iterator[Item]:
        for operation in self.plan.operations:
            yield from items_of(operation, self.state)

    def _first_open(self, items: list[Item]) -> int:
        number = self.item.key.operation
        return next((index for index, one in enumerate(items) if one.key.operation >= number), 0)

    # --- answers -----------------------------------------------------------------------------------

    def answer(self, answer: Answer) -> str:
        """Take an answer to the live item: "" when it was taken, else why not."""
        if self._writer is None:
            return f"looking only: {self.read_only}"
        if self.must_wait and answer.kind in ("enter", "typed") and not self.wait(PATIENCE):
            return "the last entry is not on the disk; answer again when it is"
        if answer.kind == "enter":
            answer = Answer("enter", "", self._shown())
        now = self._clock().isoformat(timespec="seconds")
        outcome = act(self.plan, self.state, answer, now)
        if isinstance(outcome, Refusal):
            return refusal_text(outcome.why, outcome.values, self.plan.job.job.units)
        self._enter(outcome)
        return ""

    def _shown(self) -> str:
        """What stands on the screen as the live line: the text that an acknowledged setting keeps."""
        item = self.item
        return live_text(self.plan, self.state, item) if item.kind in ("setting", "cut") else ""

    def _enter(self, event: Event) -> None:
        self.state = apply(self.state, event)
        if moves_the_plan(self._opened.plan, event):
            self.plan = as_set(self._opened.plan, self.state, self.plan)
        self._text.append(event)
        self._submit()

    def _submit(self) -> None:
        assert self._writer is not None  # whoever may not write has been refused
        self._versions += 1
        now = self._on_coming_back().table_of_words()
        self._writer.submit(self._versions, self._text.text(now))

    def _on_coming_back(self) -> RunView:
        """What is live when the job is opened next: the first paint shows it from the record alone."""
        state = replace(self.state, seated=False)
        return run_view(self.plan, state, live(self.plan, state))

    # --- saving ------------------------------------------------------------------------------------

    @property
    def must_wait(self) -> bool:
        """Whether keys have to wait: a spindle start or a sign-off comes after what is on the disk."""
        if self._writer is None or not self._writer.state().pending:
            return False
        item = self.item
        spindle = item.kind == "setting" and item.step is not None and item.step.step.limit is not None
        return item.kind == "sign-off" or spindle

    def save_state(self) -> SaveState:
        """Say how saving stands."""
        return self._writer.state() if self._writer else SaveState(0, 0)

    def saved_text(self) -> str:
        """Say it in words: SAVED and when, PENDING, or NOT SAVED and why."""
        state = self.save_state()
        if self._writer is None:
            return f"LOOKING ONLY: {self.read_only}"
        if state.problem:
            return f"NOT SAVED: {state.problem}"
        if not state.pending:
            return f"SAVED {self._saved_at}".strip()
        waited = self._monotonic() - (state.pending_since or self._monotonic())
        return "NOT SAVED: the disk does not answer" if waited > PATIENCE else "PENDING"

    def wait(self, timeout: float | None = None) -> bool:
        """Wait until everything is on the disk; say whether it is."""
        return self._writer.wait(self._versions, timeout) if self._writer else True

    def conflict_choice(self, mine: bool) -> None:
        """End a conflict over a record that somebody else changed: this one stands, or theirs does."""
        if self._writer is not None and mine:
            self._writer.keep_mine()

    def close(self) -> str:
        """Leave the job: "" or what could not be saved."""
        unsaved = self._writer.close() if self._writer else ""
        self._lock.release()
        return unsaved

    def _on_save(self, state: SaveState) -> None:
        """Come from the writer's thread after each save or failure."""
        if not state.pending:
            self._saved_at = self._clock().strftime("%H:%M:%S")
        if self._after is not None:
            self._after()

    def _pending_events(self) -> frozenset[int]:
        state = self.save_state()
        waiting = state.submitted - state.saved
        count = len(self.state.events)
        return frozenset(range(count - waiting, count)) if waiting else frozenset()

    # --- beside the live item --------------------------------------------------------------------

    def route(self) -> RouteView:
        """Give the route of the job."""
        return route_view(self.plan, self.state)

    def findings(self) -> tuple[FindingView, ...]:
        """Give the findings, with the places they come from."""
        return finding_views(self.plan, self.state, lambda one: place_of(one, self._opened.texts))

    def explain(self) -> tuple[Explanation, ...]:
        """Explain the numbers on the live item to their leaves, then, in short, the operation's others."""
        system = self.plan.job.job.units
        shown = self._values_on_show()
        others = self.item.operation.values if self.item.operation else {}
        return (
            *(explain(name, value, system) for name, value in shown.items()),
            *(
                explain(name, value, system, deep=False)
                for name, value in others.items()
                if name not in shown
            ),
        )

    def drawings(self) -> tuple[Drawing, ...]:
        """Give the drawings of the live operation, made once for each state."""
        key = (self.plan, self.state, self.item.key)
        if self._drawn is None or any(
            one is not other for one, other in zip(self._drawn[0], key, strict=True)
        ):
            self._drawn = (key, live_drawings(self.plan, self.state, self.item))
        return self._drawn[1]

    def explain_drawn(self) -> tuple[Explanation, ...]:
        """Explain every number that stands on the drawings of the live operation."""
        return explain_drawings(self.plan, self.drawings())

    def _values_on_show(self) -> dict[str, Value]:
        item = self._item_on_show()
        values: dict[str, Value] = {}
        if item.finding is not None:
            told = item.finding.values.items()
            values |= {name: value for name, value in told if isinstance(value, Value)}
        if item.step is not None:
            if item.step.big is not None:
                values["the large number"] = item.step.big
            for name, words in _LIMITS.items():
                value = item.step.value(name)
                if value is not None:
                    values[words] = value
            left = left_to_remove(item, self.state)
            values |= {name.replace("left.", "the next cut: "): value for name, value in left.items()}
            values |= item.step.on_show(item.key.position)
            if item.step.table is not None:
                values["the list"] = item.step.table
        return values

    def _item_on_show(self) -> Item:
        """Give the item whose numbers are on the screen: a briefing shows those that it comes back to."""
        item = self.item
        if item.kind == "briefing" and item.operation is not None:
            return first_open(item.operation, self.state) or item
        return item

    def reasons(self) -> tuple[str, ...]:
        """Give the reasons for a waiver that the shop file lists."""
        return tuple(one_line(reason) for reason in self.plan.shop.reasons)


def _now() -> datetime:
    return datetime.now().astimezone()


def _tried(what: str, step: Callable[[], object]) -> list[str]:
    """Do something that is good to have; say it where it could not be done."""
    try:
        step()
    except OSError as error:
        return [f"{what}: {error.strerror or error}"]
    return []
