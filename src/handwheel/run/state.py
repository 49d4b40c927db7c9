"""What the events of a job add up to: `State = fold(apply, events)`, without a plan and without a clock."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import NamedTuple

from handwheel.models.record import Event
from handwheel.plan.resolve import ItemKey

__all__ = ["LONG_GAP", "State", "Waiver", "apply", "fold", "gap_between", "key_of"]

LONG_GAP = timedelta(minutes=30)
"""After so long without an entry the work counts as interrupted, and a sitting is a new session (HF-7)."""

_TAKES_BACK = frozenset({"ticked", "set", "cut", "read", "signed", "waived", "confirmed"})
"""The kinds of entry that an undo can take back; sitting down, holding and remarks stay as they were."""


class Waiver(NamedTuple):
    """The entry that passed a stop, and the numbers that it was about: for others it does not hold."""

    entry: int
    numbers: str


@dataclass(frozen=True)
class State:
    """Where a job stands.

    `unsettled` holds, by item, the readings that count only with a second one beside them.
    `seated` is the only part that is not in the events: a person has read the briefing since the
    program started.
    """

    events: tuple[Event, ...] = ()
    done: Mapping[ItemKey, int] = field(default_factory=dict)
    cuts_again: Mapping[tuple[int, str, int], int] = field(default_factory=dict)
    started: Mapping[int, int] = field(default_factory=dict)
    signed: Mapping[int, int] = field(default_factory=dict)
    waived: Mapping[tuple[str, int, str], Waiver] = field(default_factory=dict)
    confirmed: Mapping[str, str] = field(default_factory=dict)
    readings: Mapping[ItemKey, int] = field(default_factory=dict)
    unsettled: Mapping[ItemKey, tuple[int, ...]] = field(default_factory=dict)
    undone: frozenset[int] = frozenset()
    opened: int = -1
    session: int = -1
    broken_off: int = -1
    held: bool = False
    seated: bool = False

    def last_to_undo(self) -> int | None:
        """The index of the entry that an undo would take back, if there is one."""
        for index in range(len(self.events) - 1, -1, -1):
            if index not in self.undone and self.events[index].kind in _TAKES_BACK:
                return index
        return None

    def worked_before(self, index: int) -> bool:
        """Whether a machine was set or a cut made before the entry with this index."""
        return any(
            event.kind in ("set", "cut") and at not in self.undone
            for at, event in enumerate(self.events[: max(index, 0)])
        )


def key_of(event: Event) -> ItemKey:
    """Give the item that an event belongs to; lists of a sitting stand under operation 0."""
    return ItemKey(event.operation or 0, event.step or "", event.position or 1, event.cut_pass or 1)


def gap_between(earlier: str, later: str) -> timedelta:
    """Give the time between two entries; a record edited by hand may have one that is no time: none."""
    try:
        return datetime.fromisoformat(later) - datetime.fromisoformat(earlier)
    except (ValueError, TypeError):
        return timedelta.max


def fold(events: Iterable[Event]) -> State:
    """Add up a whole record, as it is read from the disk: nobody is seated yet."""
    entries = tuple(events)
    undone = frozenset(
        event.undoes
        for index, event in enumerate(entries)
        if event.undoes is not None and 0 <= event.undoes < index
    )
    book = _Book(State(undone=undone))
    for index, event in enumerate(entries):
        book.enter(index, event)
    return replace(book.state(entries), seated=False)


def apply(state: State, event: Event) -> State:
    """Add one event to a state."""
    entries = (*state.events, event)
    if event.undoes is not None:
        return replace(fold(entries), seated=state.seated)
    book = _Book(state)
    book.enter(len(state.events), event)
    return book.state(entries)


class _Book:
    """A state being added to."""

    def __init__(self, state: State) -> None:
        self.done = dict(state.done)
        self.cuts_again = dict(state.cuts_again)
        self.started = dict(state.started)
        self.signed = dict(state.signed)
        self.waived = dict(state.waived)
        self.confirmed = dict(state.confirmed)
        self.readings = dict(state.readings)
        self.unsettled = dict(state.unsettled)
        self.undone = state.undone
        self.opened, self.session = state.opened, state.session
        self.broken_off = state.broken_off
        self.last_at = state.events[-1].at if state.events else ""
        self.held, self.seated = state.held, state.seated

    def state(self, events: tuple[Event, ...]) -> State:
        """Give what has been added up."""
        return State(
            events,
            self.done,
            self.cuts_again,
            self.started,
            self.signed,
            self.waived,
            self.confirmed,
            self.readings,
            self.unsettled,
            self.undone,
            self.opened,
            self.session,
            self.broken_off,
            self.held,
            self.seated,
        )

    def enter(self, index: int, event: Event) -> None:
        """Add one event, unless it was taken back."""
        if index not in self.undone:
            self._enter(index, event)
        self.last_at = event.at

    def _enter(self, index: int, event: Event) -> None:
        if event.used is not None and event.operation:
            self.started.setdefault(event.operation, index)
        match event.kind:
            case "opened":
                if not self.last_at or gap_between(self.last_at, event.at) > LONG_GAP:
                    self.session = index
                self.opened = self.broken_off = index
                self.held, self.seated = False, True
            case "held":
                self.held, self.broken_off = True, index
            case "resumed":
                self.held, self.seated = False, True
            case "ticked" | "set" | "cut":
                self.done[key_of(event)] = index
            case "read":
                self._read(index, event)
            case "signed":
                self.done[key_of(event)] = index
                self.signed[event.operation or 0] = index
            case "waived" if event.step is not None:
                self.done[key_of(event)] = index
            case "waived":
                key = (event.code or "", event.operation or 0, event.where or "")
                self.waived[key] = Waiver(index, event.shown or "")
            case "confirmed":
                self.confirmed[event.where or ""] = event.shown or ""
            case _:
                pass

    def _read(self, index: int, event: Event) -> None:
        key = key_of(event)
        if event.verdict in ("once more", "measure again"):
            self.unsettled[key] = (*self.unsettled.get(key, ()), index)
            return
        self.unsettled.pop(key, None)
        self.readings[key] = index
        if event.verdict in ("pass", "as it should be"):
            self.done[key] = index
        elif event.verdict == "more to come off":
            governor = (key.operation, key.step, key.position)
            self.cuts_again[governor] = self.cuts_again.get(governor, 0) + 1
