"""A line that names a calculation with its inputs behind it: `spindle_speed 25 m/min 6.8 mm`.

Inputs stand as `name=value`, or one behind the other: each goes to the first input that is still open
and takes it, those that are required first. What is still missing is named, with its unit and an example.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache

from handwheel.calc import CATALOGUE, Calculation, Declared
from handwheel.calc.designations import parse_thread
from handwheel.calc.materials import find_material
from handwheel.errors import HandwheelError, InputError, nearest
from handwheel.look.answer import Answer
from handwheel.typed import inputs_from_json, inputs_from_words
from handwheel.units import SPELLINGS
from handwheel.values import Computed, Missing, Value

__all__ = ["line_answers", "named", "suggestion", "with_inputs"]

_NAMED = re.compile(r"([a-z_][a-z0-9_]*)=(.*)")
_MOST_WORDS = 4
"""Words of one input: `1 1/2 in`, `1/4-20 UNC LH`."""

_WORDS: Mapping[str, Callable[[str], object]] = {"thread": parse_thread, "material": find_material}
"""Inputs whose words are known to the tables: what reads them refuses all others."""


def line_answers(query: str) -> list[Answer]:
    """Give the answer of the calculation that a line begins with; none where it begins with none.

    Raises `InputError` where all inputs are there and the calculation refuses them.
    """
    words = _words(query)
    calculation, used = named(words)
    return [] if calculation is None else [with_inputs(calculation, words[used:])]


def named(words: Sequence[str]) -> tuple[Calculation | None, int]:
    """Find the calculation that the first words name, by id or title, and how many words that are."""
    for count in range(min(len(words), _longest_name()), 0, -1):
        found = _names().get(" ".join(words[:count]).casefold())
        if found is not None:
            return found, count
    return None, 0


@cache
def _names() -> Mapping[str, Calculation]:
    names = {one.title.casefold(): one for one in CATALOGUE.values()}
    names |= {id.replace("_", " "): one for id, one in CATALOGUE.items()}
    return names | dict(CATALOGUE)


@cache
def _longest_name() -> int:
    return max(len(name.split()) for name in _names())


def with_inputs(calculation: Calculation, words: Sequence[str]) -> Answer:
    """Give a calculation with the inputs typed so far: its results where all are there."""
    given = _Given(calculation)
    given.take(words)
    missing = [one for one in calculation.inputs.values() if one.required and one.name not in given.values]
    if missing or given.faults:
        values = {**given.values, **_asked(missing, given.faults)}
        return Answer("calculation", calculation.title, values, said=tuple(given.left))
    results = calculation.run(given.values)
    origin = next(iter(results.values())).origin
    said = origin.call.warnings if isinstance(origin, Computed) else ()
    present = {name: value for name, value in results.items() if value.plain is not None}
    return Answer("calculation", calculation.title, present, said=(*given.left, *said))


def suggestion(calculation: Calculation) -> Answer:
    """Point at a calculation: what it wants, and what to type to get to it."""
    wanted = _asked([one for one in calculation.inputs.values() if one.required], {})
    return Answer("calculation", calculation.title, wanted, query=f"{calculation.id} ")


def _asked(missing: Iterable[Declared], faults: Mapping[str, str]) -> dict[str, Value]:
    """Give the inputs that are not there yet, each with what would do, or why what is there does not."""
    asked = {**{one.name: f"for example {one.example}" for one in missing}, **faults}
    return {name: Value(None, "", Missing(f"input {name}", ask)) for name, ask in asked.items()}


def _words(query: str) -> list[str]:
    """Split a line into words; a list in brackets is one, whatever stands in it."""
    return re.findall(r"(?:[^\s\[]*\[[^\]]*(?:\]\s*,?\s*[^\]\[]*)*\]+)|\S+", query)


@dataclass
class _Given:
    """The inputs of a calculation as far as they are typed."""

    calculation: Calculation
    values: dict[str, Value] = field(default_factory=dict)
    faults: dict[str, str] = field(default_factory=dict)
    left: list[str] = field(default_factory=list)

    def take(self, words: Sequence[str]) -> None:
        """Take `name=value` with the words up to the next name, and each other word by its place."""
        at = 0
        while at < len(words):
            match = _NAMED.fullmatch(words[at])
            if match:
                end = next((k for k in range(at + 1, len(words)) if _NAMED.fullmatch(words[k])), len(words))
                self._name(match[1], " ".join((match[2], *words[at + 1 : end])).strip())
                at = end
            else:
                at += self._place(words[at:])

    def _name(self, name: str, text: str) -> None:
        declared = self.calculation.inputs.get(name)
        if declared is None:
            known = self.calculation.inputs
            self.left.append(f'there is no input "{name}"{nearest(name, known)}; inputs: {", ".join(known)}')
        elif name in self.values:
            self.left.append(f"{name} is given twice")
        elif text:
            try:
                self.values |= inputs_from_words(self.calculation, [f"{name}={text}"])
            except InputError as fault:
                self.faults[name] = _without_id(fault, self.calculation)

    def _place(self, words: Sequence[str]) -> int:
        """Give the first words to an input that takes them; say how many they were."""
        open_inputs = [one for one in self._by_turn() if one.name not in {*self.values, *self.faults}]
        room = next((k for k, word in enumerate(words) if _NAMED.fullmatch(word)), len(words))
        for count in range(min(room, _MOST_WORDS), 0, -1):
            for declared in open_inputs:
                value = self._read(declared, words[:count])
                if value is not None:
                    self.values[declared.name] = value
                    return count
        if open_inputs and room == len(words) == 1 and words[0][0].isdecimal():  # it may become a size yet
            self.faults[open_inputs[0].name] = f"{words[0]}: for example {open_inputs[0].example}"
        else:
            self.left.append(f'nothing takes "{words[0]}"')
        return 1

    def _by_turn(self) -> list[Declared]:
        return sorted(self.calculation.inputs.values(), key=lambda one: not one.required)

    def _read(self, declared: Declared, words: Sequence[str]) -> Value | None:
        """Read words as an input; None where they are none."""
        text = " ".join(words)
        if declared.shape == "text" and not _may_be(declared, text, len(words)):
            return None
        try:
            given = json.loads(text) if declared.shape in ("numbers", "rows") else text
            return inputs_from_json(self.calculation, {declared.name: given})[declared.name]
        except (ValueError, KeyError, RecursionError, HandwheelError):
            return None


def _may_be(declared: Declared, text: str, count: int) -> bool:
    """Tell whether words may be those of a text input: one of its choices, or what its table knows."""
    if declared.quantity.choices:
        return text in declared.quantity.choices
    if declared.name in _WORDS:
        try:
            _WORDS[declared.name](text)
        except InputError:
            return False
        return True
    return count == 1 and text not in SPELLINGS


def _without_id(fault: InputError, calculation: Calculation) -> str:
    """Say a fault without the id of the calculation, which is the title of the answer."""
    return str(fault).removeprefix(f"{calculation.id}: ")
