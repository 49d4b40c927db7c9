"""What the pages beside the live item show, in words: route, findings, explanations, jobs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["Explanation", "FindingView", "JobRow", "RouteRow", "RouteView"]


@dataclass(frozen=True, slots=True)
class RouteRow:
    """One operation of a job: its number, what it is, and how it stands in one word."""

    number: int
    title: str
    feature: str
    tool: str
    state: Literal["signed", "changed since", "under way", "next", "to come", "stop"]


@dataclass(frozen=True, slots=True)
class RouteView:
    """The route of a job: its title, what is said at the head of it, its operations in order."""

    title: str
    head: tuple[str, ...] = ()
    rows: tuple[RouteRow, ...] = ()


@dataclass(frozen=True, slots=True)
class FindingView:
    """One finding in words: `place` is the operation and the line of the file it comes from."""

    severity: Literal["stop", "doubt", "note"]
    code: str
    place: str
    what: str
    why: str
    cure: str
    waived: str = ""


@dataclass(frozen=True, slots=True)
class Explanation:
    """Why one number is what it is: its heading, the number, and lines from the formula to the leaves."""

    name: str
    shown: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class JobRow:
    """One job of the folder: its name and title, what is live in it, and when it was last worked at."""

    name: str
    title: str
    live: str
    at: str = ""
    fault: str = ""
