"""How things look: the colours and signs that a terminal can show, chosen once at the start.

Truecolor is our own palette with a contrast of at least 7:1 (WCAG 2.1, 1.4.6, from memory); with 16
colours the terminal's palette rules, so text keeps its default colour; mono has attributes alone.
What a thing is, is always said by a word and a sign as well.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any, Literal, Protocol, TypeVar

from handwheel.ui.rows import Role

__all__ = ["ASCII", "UNICODE", "Look", "Signs", "choose_look", "refuse_terminal"]

Colours = Literal["truecolor", "16", "mono"]
Thing = TypeVar("Thing")

GROUND = "#0f1419"

_TRUECOLOR: dict[Role, str] = {
    "text": "#f2f4f6 on #0f1419",
    "quiet": "#b4bec8 on #0f1419",
    "title": "bold #ffffff on #24384c",
    "live": "bold #ffffff on #1b2733",
    "mark": "bold #0f1419 on #9fd0ff",
    "big": "bold #ffffff on #0f1419",
    "entry": "bold #0f1419 on #f2f4f6",
    "done": "#7ee08a on #0f1419",
    "pending": "bold #ffd866 on #0f1419",
    "must": "bold #9fd0ff on #0f1419",
    "stop": "bold #ffffff on #9b0000",
    "caution": "#ffd866 on #0f1419",
    "danger": "bold #ffffff on #9b0000",
    "warning": "bold #000000 on #ff9f2e",
    "careful": "bold #000000 on #ffd866",
    "notice": "bold #ffffff on #0b4a8f",
}
_SIXTEEN: dict[Role, str] = {
    "text": "",
    "quiet": "",
    "title": "bold reverse",
    "live": "bold",
    "mark": "bold reverse",
    "big": "bold",
    "entry": "bold reverse",
    "done": "green",
    "pending": "bold yellow",
    "must": "bold cyan",
    "stop": "bold bright_white on red",
    "caution": "yellow",
    "danger": "bold bright_white on red",
    "warning": "bold reverse yellow",
    "careful": "bold reverse yellow",
    "notice": "bold bright_white on blue",
}
_MONO: dict[Role, str] = {
    "text": "",
    "quiet": "",
    "title": "bold reverse",
    "live": "bold",
    "mark": "bold reverse",
    "big": "bold",
    "entry": "bold reverse",
    "done": "",
    "pending": "underline",
    "must": "bold",
    "stop": "bold reverse",
    "caution": "bold",
    "danger": "bold reverse",
    "warning": "bold reverse",
    "careful": "bold reverse",
    "notice": "bold reverse",
}
STYLES: dict[Colours, dict[Role, str]] = {"truecolor": _TRUECOLOR, "16": _SIXTEEN, "mono": _MONO}


@dataclass(frozen=True, slots=True)
class Signs:
    """The signs that differ between a terminal with Unicode and one without."""

    block: str
    rule: str
    cursor: str
    more: str
    live: str
    done: str
    pending: str
    next: str
    again: str
    stop: str
    caution: str
    said: str


UNICODE = Signs("█", "─", "▏", "…", "►", "✓", "○", "·", "↺", "✗", "!", "→")
ASCII = Signs("#", "-", "_", "...", "=>", "[x]", "[~]", "[ ]", "[r]", "X", "!", "->")

_SPELLED = {
    "×": "x",
    "·": "-",
    "–": "-",
    "—": "-",
    "−": "-",
    "…": "...",
    "°": " deg ",
    "µ": "u",
    "μ": "u",
    "Ø": "dia ",
    "ø": "dia ",
    "⌀": "dia ",
    "±": "+/-",
    "≤": "<=",
    "≥": ">=",
    "≈": "~",
    "→": "->",
    "←": "<-",
    "“": '"',
    "”": '"',
    "„": '"',
    "’": "'",
    "‘": "'",
    "π": "pi",
    "²": "2",
    "³": "3",
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "ä": "ae",
    "ö": "oe",
    "ü": "ue",
    "Ä": "Ae",
    "Ö": "Oe",
    "Ü": "Ue",
    "ß": "ss",
    "é": "e",
    "è": "e",
    "\N{NO-BREAK SPACE}": " ",
    "\N{THIN SPACE}": " ",
    "\N{NARROW NO-BREAK SPACE}": " ",
}


@dataclass(frozen=True, slots=True)
class Look:
    """One of the looks: its colours, and whether it has to do with ASCII."""

    colours: Colours = "truecolor"
    ascii: bool = False

    @property
    def signs(self) -> Signs:
        """The signs of this look."""
        return ASCII if self.ascii else UNICODE

    @property
    def styles(self) -> Mapping[Role, str]:
        """The style of each role."""
        return STYLES[self.colours]

    def text(self, text: str) -> str:
        """Make a text from anywhere printable: control signs are shown escaped, and spelled out in ASCII."""
        if text.isascii() and text.isprintable():
            return text
        return "".join(map(self._sign, text))

    def _sign(self, sign: str) -> str:
        if self.ascii and not sign.isascii():
            return _SPELLED.get(sign, "?")
        return sign if sign.isprintable() or sign in _SPELLED else sign.encode("unicode_escape").decode()

    def clean(self, thing: Thing) -> Thing:
        """Make every text of a view printable."""
        cleaned: Any = thing
        if isinstance(thing, str):
            cleaned = self.text(thing)
        elif isinstance(thing, tuple):
            cleaned = tuple(map(self.clean, thing))
        elif is_dataclass(thing) and not isinstance(thing, type):
            names = [field.name for field in fields(thing)]
            cleaned = replace(thing, **{name: self.clean(getattr(thing, name)) for name in names})
        return cleaned  # type: ignore[no-any-return]


_NO_UNICODE = ("linux", "vt", "cons25", "ansi", "dumb")


def choose_look(environ: Mapping[str, str], encoding: str, asked: str = "") -> Look:
    """Choose a look from the environment and the terminal's encoding; what is asked for wins.

    `NO_COLOR` counts when it is there and not empty. The Linux console and the VT terminals lack most
    signs beyond ASCII.
    """
    signs = asked == "ascii" or _needs_ascii(environ, encoding)
    if asked in STYLES:
        return Look(STYLES_NAMES[asked], signs)
    if environ.get("NO_COLOR") or environ.get("TERM", "").startswith("vt"):
        return Look("mono", signs)
    many = environ.get("COLORTERM", "").lower() in ("truecolor", "24bit") or "256" in environ.get("TERM", "")
    return Look("truecolor" if many else "16", signs)


STYLES_NAMES: dict[str, Colours] = {name: name for name in STYLES}


def _needs_ascii(environ: Mapping[str, str], encoding: str) -> bool:
    return environ.get("TERM", "").startswith(_NO_UNICODE) or not _is_utf8(encoding)


def _is_utf8(encoding: str) -> bool:
    return encoding.lower().replace("-", "").replace("_", "") == "utf8"


class Stream(Protocol):
    """What is asked of a standard stream."""

    def isatty(self) -> bool:
        """Tell whether it is a terminal."""
        ...


def refuse_terminal(environ: Mapping[str, str], streams: tuple[Stream | None, ...]) -> str:
    """Say why the screens cannot be shown here, or "": no terminal, or one that cannot place text."""
    if not all(stream is not None and stream.isatty() for stream in streams):
        return "the screens need a terminal for input and output; handwheel run JOB --plain does without"
    if environ.get("TERM") == "dumb":
        return "TERM=dumb cannot place text; handwheel run JOB --plain does without"
    return ""
