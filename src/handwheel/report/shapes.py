"""What a file says of one thing, in parts: any shape of the models, with whatever fields it has."""

from __future__ import annotations

from collections.abc import Iterator

from pydantic import BaseModel

from handwheel.models.sizes import Size
from handwheel.present.numbers import System
from handwheel.present.parts import Line, Part, counted, number, words, written
from handwheel.values import Entered, Value

__all__ = ["fields_of", "one_after_another"]

Named = tuple[str, Line]
"""A field in words, and what stands there; an empty line where the field alone says it."""


def fields_of(
    shape: BaseModel,
    where: str,
    system: System,
    *,
    leave_out: frozenset[str] = frozenset(),
    names: frozenset[str] = frozenset(),
) -> Iterator[Named]:
    """Give the fields of a shape that are on file, in the order of the model; a size with its origin.

    A field that is itself a shape gives its own fields under its name. Of yes or no only yes is told.
    `names` are identifiers of the job, which are shown as names and not as numbers.
    """
    basis = getattr(shape, "basis", None)
    yield from _fields(shape, where, system, basis or "drawing", leave_out, names)


def one_after_another(named: Iterator[Named], between: str = "; ") -> Line:
    """Give fields as one line."""
    parts: list[Part] = []
    for name, line in named:
        if parts:
            parts.append(words(between))
        parts.append(words(name + (" " if line else "")))
        parts.extend(line)
    return tuple(parts)


def _fields(
    shape: BaseModel,
    where: str,
    system: System,
    basis: str,
    leave_out: frozenset[str],
    names: frozenset[str],
) -> Iterator[Named]:
    for name, field in type(shape).model_fields.items():
        if name in leave_out or name == "basis":
            continue
        held, key = getattr(shape, name), field.alias or name
        label, at = key.replace("_", " "), f"{where}.{key}"
        if isinstance(held, BaseModel):
            own = getattr(held, "basis", None) or basis
            for inner, line in _fields(held, at, system, own, frozenset(), names):
                yield f"{label} {inner}", line
        elif held is True:
            yield label, ()
        elif held is not None and held is not False and held != ():
            yield label, _held(held, at, system, basis, names)


def _held(held: object, where: str, system: System, basis: str, names: frozenset[str]) -> Line:
    match held:
        case Size():
            own = held.basis if held.basis and held.basis != basis else ""
            value = Value(held.plain, held.unit, Entered(where, held.text, held.basis or basis))
            return (number(value, system), *((words(f" ({own})"),) if own else ()))
        case bool():
            return (words("yes" if held else "no"),)
        case int() | float():
            return (number(Value(held, "", Entered(where, f"{held}", basis)), system),)
        case BaseModel():
            return one_after_another(_fields(held, where, system, basis, frozenset(), names), ", ")
        case tuple() | list():
            return _listed(tuple(held), where, system, basis, names)
        case str():
            return (counted(held),) if held in names else (written(held, where),)
        case _:
            return (written(str(held), where),)


def _listed(held: tuple[object, ...], where: str, system: System, basis: str, names: frozenset[str]) -> Line:
    """Give several, each with its own place in the file; what belongs together (X and Y) in brackets."""
    parts: list[Part] = []
    for index, one in enumerate(held):
        if parts:
            parts.append(words(", "))
        inner = _held(one, f"{where}[{index}]", system, basis, names)
        parts.extend((words("("), *inner, words(")")) if isinstance(one, (tuple, list)) else inner)
    return tuple(parts)
