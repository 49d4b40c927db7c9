"""The entries of a record sorted by what they belong to, so that each finds its place beside the plan."""

from __future__ import annotations

from collections.abc import Iterator

from handwheel.models.record import Event
from handwheel.present.entries import entry_line
from handwheel.present.numbers import System
from handwheel.present.parts import Line
from handwheel.run.state import State

__all__ = ["Book"]

_SITTING = frozenset({"opened", "held", "resumed"})


class Book:
    """The entries of a record. An undo stands with the entry that it took back.

    What has been given out is kept in `told`: at the end the sheet tells what found no place on it.
    """

    def __init__(self, state: State) -> None:
        self.state = state
        self.told: set[int] = set()
        self._back: dict[int, int] = {}
        self._at: dict[tuple[int, str, int], list[int]] = {}
        self._of_kind: dict[str, list[int]] = {}
        self._last_done: dict[tuple[int, str, int], int] = {}
        for done in state.done:
            place = done.operation, done.step, done.position
            self._last_done[place] = max(done.cut_pass, self._last_done.get(place, 0))
        for index, event in enumerate(state.events):
            if event.undoes is not None:
                self._back.setdefault(event.undoes, index)
            elif event.step is not None and event.kind not in _SITTING:
                key = (event.operation or 0, event.step, event.position or 1)
                self._at.setdefault(key, []).append(index)
            self._of_kind.setdefault(event.kind, []).append(index)

    def at(self, operation: int, step: str, position: int) -> tuple[tuple[int, Event], ...]:
        """Give the entries of one step at one place, in order, also those that were taken back."""
        return tuple(
            (index, self.state.events[index]) for index in self._at.get((operation, step, position), ())
        )

    def is_done(self, operation: int, step: str, position: int) -> bool:
        """Tell whether a step at a place is done, at the last of its passes that has an entry."""
        entries = [event for index, event in self.at(operation, step, position) if self.counts(index)]
        passes = [event.cut_pass or 1 for event in entries if event.kind != "remarked"]
        return bool(passes) and self._last_done.get((operation, step, position), 0) >= max(passes)

    def counts(self, index: int) -> bool:
        """Tell whether an entry stands: nobody took it back."""
        return index not in self.state.undone

    def of_kinds(self, *kinds: str) -> Iterator[tuple[int, Event]]:
        """Give the entries of some kinds in order."""
        for index in sorted(index for kind in kinds for index in self._of_kind.get(kind, ())):
            yield index, self.state.events[index]

    def line(self, index: int, system: System) -> Line:
        """Tell one entry, with the one that took it back."""
        self.told.add(index)
        by = self._back.get(index)
        if by is None:
            return entry_line(self.state.events[index], index, system)
        self.told.add(by)
        return entry_line(self.state.events[index], index, system, (by, self.state.events[by]))

    def not_told(self) -> Iterator[tuple[int, Event]]:
        """Give what has found no place so far."""
        for index, event in enumerate(self.state.events):
            if index not in self.told:
                yield index, event
