"""One name for each key, whatever the terminal calls it.

A printable key is its sign, a key without a sign keeps its name. The numeric keypad sends names of its
own under the kitty keyboard protocol, and private-use signs from some terminals.
"""

from __future__ import annotations

from typing import NamedTuple

__all__ = ["Press", "key_name"]


class Press(NamedTuple):
    """A pressed key and when [s of the clock of the app]."""

    key: str
    at: float = 0.0

    @property
    def is_sign(self) -> bool:
        """Whether it is something that can be typed into a field."""
        return len(self.key) == 1


_PAD = {
    "decimal": ".",
    "separator": ",",
    "add": "+",
    "subtract": "-",
    "multiply": "*",
    "divide": "/",
    "equal": "=",
    "space": " ",
    "full_stop": ".",
    "comma": ",",
    "plus": "+",
    "minus": "-",
    "asterisk": "*",
    "slash": "/",
    "equals_sign": "=",
    "question_mark": "?",
    "quotation_mark": '"',
    "apostrophe": "'",
    "kp_enter": "enter",
    "return": "enter",
    "ctrl+j": "enter",  # a terminal or a paste that sends line feed
}


def key_name(key: str, character: str | None) -> str:
    """Give the one name of a key; "" for what is no key at all.

    A private-use sign or a control sign is never text: keypad keys without NumLock arrive so.
    """
    if character and len(character) == 1 and character.isprintable() and not _is_private(character):
        return character
    if key in _PAD:
        return _PAD[key]
    if len(key) == 1:
        return "" if _is_private(key) or not key.isprintable() else key
    return key if key.isascii() else ""


def _is_private(sign: str) -> bool:
    return "\ue000" <= sign <= "\uf8ff"
