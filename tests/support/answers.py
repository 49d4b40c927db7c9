"""The answers of somebody who does everything right: for any live item, the line or keys that pass it."""

from __future__ import annotations

from handwheel.run.live import Item

__all__ = ["good_answer"]


def good_answer(item: Item) -> str:
    """Give what is typed before Enter: nothing, a number as it should be, or the number of a choice."""
    if item.step is None:
        return ""
    takes = item.step.step.takes
    if item.kind == "sign-off" or takes.kind == "attribute":
        return "1"
    if takes.kind == "choice":
        return str(takes.choices.index(takes.wanted) + 1) if takes.wanted else "1"
    if takes.kind == "number":
        expect = item.step.value("expect")
        return f"{expect.number:g}" if expect is not None and expect.plain is not None else "2"
    return ""
