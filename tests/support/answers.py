"""The answers of somebody who does everything right: for any live item, the line or keys that pass it."""

from __future__ import annotations

from handwheel.run.left import expected_of
from handwheel.run.live import Item
from handwheel.run.state import State

__all__ = ["good_answer"]


def good_answer(item: Item, state: State | None = None) -> str:
    """Give what is typed before Enter: nothing, a number as it should be, or the number of a choice.

    With the state a size that is cut to in several cuts is read as each of them leaves it; without, at once
    as it is to become.
    """
    if item.step is None:
        return ""
    takes = item.step.step.takes
    if item.kind == "sign-off" or takes.kind == "attribute":
        return "1"
    if takes.kind == "choice":
        return str(takes.choices.index(takes.wanted) + 1) if takes.wanted else "1"
    if takes.kind == "number":
        expect = item.step.value("expect") if state is None else expected_of(item, state)
        if expect is not None and expect.plain is not None:
            return f"{expect.number:g}"
        return "20" if takes.unit == "°C" else "2"
    return ""
