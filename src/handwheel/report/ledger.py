"""Where the numbers come from: every value of a sheet numbered once, with what it rests on."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping
from dataclasses import dataclass

from handwheel.present.explain import Reckoned, reckoned, source_of
from handwheel.present.numbers import System, shown
from handwheel.present.parts import Part
from handwheel.report.document import Document, parts_of
from handwheel.values import Call, Computed, Gathered, Value

__all__ = ["Entry", "Ledger"]


@dataclass(frozen=True, slots=True)
class Entry:
    """One value: its number in the list, how it is shown, its source in words, how it was computed.

    `how` is None for what was typed or listed; `inputs` are the numbers of the entries of its inputs.
    """

    number: int
    value: Value
    text: str
    source: str
    how: Reckoned | None = None
    system: System = "mm"
    inputs: tuple[int, ...] = ()

    def given(self) -> Iterator[tuple[str, str, str, int]]:
        """Give each input: its symbol, how it is shown, what it is, and the number of its entry."""
        inputs = self.how.inputs if self.how else ()
        for one, number in zip(inputs, self.inputs, strict=True):
            yield one.symbol, shown(one.value, self.system), one.words, number


class Ledger:
    """The values of a document, numbered as they are met; then those that they rest on.

    Two values that say the same and come from the same are one entry.
    """

    def __init__(self, document: Document) -> None:
        self._keys: dict[int, Hashable] = {}
        self._calls: dict[int, Hashable] = {}
        self._known: dict[Hashable, int] = {}
        self._numbers: dict[tuple[Hashable, System], int] = {}
        self._values: list[tuple[Value, System]] = []
        self._told: dict[Hashable, Reckoned] = {}
        self._kept: list[object] = []  # what an id stands for must not be given to another meanwhile
        for part in parts_of(document):
            if part.value is not None:
                self._number(part.value, part.system)
        self.shown = len(self._values)
        """How many of the entries are numbers of the sheet itself; the others are what those rest on."""
        entries: list[Entry] = []
        while len(entries) < len(self._values):
            entries.append(self._entry(len(entries) + 1, *self._values[len(entries)]))
        self.entries = tuple(entries)

    def number(self, part: Part) -> int:
        """Give the number of the entry of a part that has a value."""
        assert part.value is not None  # asked of numbers only
        return self.number_of(part.value, part.system)

    def number_of(self, value: Value, system: System) -> int:
        """Give the number of the entry of a value; a `KeyError` where it is not on the sheet."""
        return self._numbers[self._key(value), system]

    def _number(self, value: Value, system: System) -> int:
        key = self._key(value), system
        if key not in self._numbers:
            self._values.append((value, system))
            self._numbers[key] = len(self._values)
        return self._numbers[key]

    def _entry(self, number: int, value: Value, system: System) -> Entry:
        text, source = shown(value, system), source_of(value)
        if not isinstance(value.origin, Computed):
            return Entry(number, value, text, source)
        how = self._reckoned(value.origin.call)
        inputs = tuple(self._number(one.value, system) for one in how.inputs)
        return Entry(number, value, text, source, how, system, inputs)

    def _reckoned(self, call: Call) -> Reckoned:
        """Give how a call was computed, once for all its results: a second route may take its time."""
        key = self._call(call)
        if key not in self._told:
            self._told[key] = reckoned(call)
        return self._told[key]

    def _key(self, value: Value) -> Hashable:
        """Give what a value says and where it comes from, as one small number for all that are alike."""
        if id(value) not in self._keys:
            self._kept.append(value)
            unit = tuple(value.unit.items()) if isinstance(value.unit, Mapping) else value.unit
            self._keys[id(value)] = self._small((_typed(value.plain), unit, self._come(value)))
        return self._keys[id(value)]

    def _come(self, value: Value) -> Hashable:
        """Give where a value comes from, alike for all that come from the same."""
        match value.origin:
            case Computed(call, result):
                return self._call(call), result
            case Gathered(terms):
                return tuple(self._key(term) for term in terms)
            case written:
                return written

    def _call(self, call: Call) -> Hashable:
        if id(call) not in self._calls:
            self._kept.append(call)
            inputs = tuple((name, self._key(value)) for name, value in call.inputs.items())
            self._calls[id(call)] = self._small((call.calculation, inputs))
        return self._calls[id(call)]

    def _small(self, key: Hashable) -> int:
        return self._known.setdefault(key, len(self._known))


def _typed(plain: object) -> tuple[str, Hashable]:
    """Tell 1 from 1.0 and from yes, which Python takes for the same."""
    return type(plain).__name__, plain if isinstance(plain, tuple) else repr(plain)
