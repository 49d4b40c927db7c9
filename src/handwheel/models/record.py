"""What was done: the events of a job, in order, that only grow."""

from __future__ import annotations

from typing import Any, Literal, get_args

from pydantic import BaseModel, ConfigDict, Field

__all__ = ["EVENT_KINDS", "Event", "EventKind", "Verdict"]

EventKind = Literal[
    "opened",  # a person sat down at the job: a session begins
    "ticked",  # a hazard read, an item found as it says
    "set",  # a machine set to what was shown, or to what was typed
    "cut",  # a cut made
    "read",  # a reading taken, with its verdict
    "signed",  # an operation signed off
    "waived",  # a stop passed on purpose, with the reason
    "confirmed",  # a carried number held against its drawing again
    "held",  # work interrupted
    "resumed",  # the restart briefing read
    "undone",  # an earlier entry taken back
    "remarked",  # something a person wanted to keep
]
EVENT_KINDS: tuple[str, ...] = get_args(EventKind)

Verdict = Literal[
    "more to come off",
    "pass",
    "not proven",
    "past the limit",
    "as it should be",
    "not so",
    "once more",  # a reading that counts only with a second one beside it
    "measure again",  # a reading that looks like a slip; it counts if it comes out again
]


class Event(BaseModel):
    """One entry of the record. Nothing is ever changed in it; a correction is another event.

    `operation`, `step`, `position` and `cut_pass` say where: the item that was live. `shown` holds the
    text a person acknowledged, `entered` the text a person typed, `value` that number in `unit`.
    The event that starts an operation holds `used`: for every leaf of its values where it stands and
    its text, and the recipe with its version.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    kind: EventKind
    at: str = Field(description="RFC 3339 with offset")
    operation: int | None = None
    step: str | None = None
    position: int | None = Field(default=None, description="hole of a pattern, from 1")
    cut_pass: int | None = Field(default=None, description="pass over the same cut, from 2 on")
    shown: str | None = None
    entered: str | None = None
    value: float | None = None
    unit: str | None = None
    counts: float | None = Field(
        default=None, description="the size that the verdict is on: of several readings, and at 20 °C"
    )
    verdict: Verdict | None = None
    instrument: str | None = None
    use: str | None = None
    code: str | None = Field(default=None, description="the finding that is waived")
    reason: str | None = None
    by: str | None = Field(default=None, description="who signed")
    undoes: int | None = Field(default=None, description="index of the event taken back, from 0")
    where: str | None = Field(
        default=None, description="the number that is confirmed, or the place of the finding that is waived"
    )
    recipe: str | None = None
    version: int | None = None
    used: dict[str, str] | None = None

    def table(self) -> dict[str, Any]:
        """The event as the table that is written: what it has, in the order declared."""
        return self.model_dump(exclude_none=True)
