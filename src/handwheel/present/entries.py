"""An entry of the record in words: what was really set, read, signed, passed on purpose or taken back."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from handwheel.models.record import Event
from handwheel.present.numbers import System
from handwheel.present.parts import Line, Part, counted, number, strong, words, written
from handwheel.present.view import clock
from handwheel.values import Entered, Value

__all__ = ["entry_line", "entry_value", "time_of", "what_kind"]

_KINDS: Mapping[str, str] = {
    "opened": "sat down at the job",
    "ticked": "done",
    "set": "set",
    "cut": "cut made",
    "read": "read",
    "signed": "signed",
    "waived": "waived",
    "confirmed": "confirmed",
    "held": "work held",
    "resumed": "went on",
    "undone": "taken back",
    "remarked": "remark",
}


def what_kind(event: Event) -> str:
    """Say in a word or two what an entry is; a kind that is not known here by its own name."""
    return _KINDS.get(event.kind, event.kind.replace("_", " "))


def time_of(event: Event) -> Part:
    """Give when an entry was made."""
    return counted(clock(event.at))


def entry_value(event: Event, index: int) -> Value | None:
    """Give the number of an entry, with the entry as its origin; None where it has none."""
    if event.value is None:
        return None
    origin = Entered(f"record.toml event {index + 1}", event.entered or "", "measured")
    return Value(event.value, event.unit or "", origin)


def entry_line(event: Event, index: int, system: System, back: tuple[int, Event] | None = None) -> Line:
    """Give an entry: what, the number or the words, verdict, instrument, reason, who, and when.

    `back` is the entry that took it back, with its index, where one did: the old value stays readable.
    """
    parts = list(_joined(_told(event, index, system)))
    if back is not None:
        by_index, by = back
        parts = [strong("taken back"), words(" "), time_of(by), words(": "), *parts]
        if by.reason:
            parts += [words("; because: "), written(by.reason, f"record.toml event {by_index + 1}")]
    return tuple(parts)


def _told(event: Event, index: int, system: System) -> Iterator[Line]:
    where = f"record.toml event {index + 1}"
    again = (words(" at pass "), counted(event.cut_pass)) if event.cut_pass else ()
    value = entry_value(event, index)
    if value is not None:
        yield (words(f"{what_kind(event)} "), number(value, system), *again)
    elif event.entered:
        yield (words(f"{what_kind(event)}: "), written(event.entered, where), *again)
    else:
        yield (words(what_kind(event)), *again)
    if event.counts is not None:
        counts = Value(
            event.counts, event.unit or "", Entered(where, f"counts as {event.counts}", "measured")
        )
        yield (words("counts as "), number(counts, system))
    if event.verdict:
        yield (strong(event.verdict),)
    if event.instrument:
        yield (words("with "), counted(event.instrument), words(f" ({event.use})" if event.use else ""))
    if event.code:
        yield (counted(event.code),)
    if event.where:
        yield (counted(event.where),)
    if event.reason:
        yield (words("because: " if event.kind == "waived" else ""), written(event.reason, where))
    if event.by:
        yield (words("by "), written(event.by, where))
    yield from _not_known_here(event, where)
    yield (time_of(event),)


_PLACE = frozenset({"operation", "step", "position", "cut_pass", "where", "undoes"})
_KNOWN = _PLACE | frozenset(
    {"kind", "at", "shown", "entered", "value", "unit", "counts", "verdict", "instrument", "use", "code"}
    | {"reason", "by", "recipe", "version", "used"}
)
"""What an entry is told by above, or shows elsewhere on the sheet."""


def _not_known_here(event: Event, where: str) -> Iterator[Line]:
    """Give what a later kind of entry keeps besides, by the names that it has in the record."""
    for name, told in event.table().items():
        if name not in _KNOWN and not isinstance(told, (dict, list, tuple)):
            yield (words(f"{name.replace('_', ' ')} "), written(str(told), where))


def _joined(lines: Iterator[Line]) -> Iterator[Part]:
    first = True
    for line in lines:
        if not first:
            yield words(" · ")
        yield from line
        first = False
