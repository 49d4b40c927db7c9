"""The field that is typed into: it shows exactly the keys pressed, and says what it does not take.

Nothing is dropped without a word, and nothing stands in it before a key is pressed.
"""

from __future__ import annotations

from typing import Literal

__all__ = ["Entry", "Wanted"]

Wanted = Literal["enter", "number", "choice", "nothing"]

_LONGEST = 40


class Entry:
    """The signs typed so far; `add` and `erase` say what they refused, or ""."""

    def __init__(self) -> None:
        self.text = ""

    def begins(self, sign: str, takes: Wanted, signed: bool) -> bool:
        """Tell whether a sign typed into the empty field begins an entry rather than commands."""
        if takes == "choice":
            return sign.isdecimal()
        return sign.isdecimal() or sign in ".," or (sign == "-" and signed)

    def add(self, sign: str, takes: Wanted) -> str:
        """Add a sign, or say why it cannot belong to what is typed."""
        refusal = self._refusal(sign, takes)
        if not refusal:
            self.text += sign
        return refusal

    def paste(self, text: str, takes: Wanted, signed: bool) -> str:
        """Add pasted text, whole or not at all, and say why not: it is never taken for commands."""
        if not text or not (self.text or self.begins(text[0], takes, signed)):
            return "the pasted text was not taken: it does not begin an answer to this"
        before = self.text
        for sign in text:
            refusal = self.add(sign, takes)
            if refusal:
                self.text = before
                return f"the pasted text was not taken: {refusal}"
        return ""

    def erase(self) -> None:
        """Take back the last sign."""
        self.text = self.text[:-1]

    def clear(self) -> str:
        """Empty the field and give what stood there."""
        text, self.text = self.text, ""
        return text

    def _refusal(self, sign: str, takes: Wanted) -> str:
        if takes in ("enter", "nothing"):
            return "there is nothing to type here" + ("; Enter says it is done" if takes == "enter" else "")
        if not sign.isprintable():
            return "a sign that cannot be shown"
        if len(self.text) >= _LONGEST:
            return f"an entry has at most {_LONGEST} signs; * takes back the last one"
        if takes == "choice":
            return (
                ""
                if sign.isdecimal()
                else f"{sign} was not taken: type the number of your choice, then Enter"
            )
        if sign in ".," and ("." in self.text or "," in self.text):
            return f"a second point was not taken: {self.text} stands; * takes back the last sign"
        if sign == "/" and "/" in self.text:
            return f"a second / was not taken: {self.text} stands; * takes back the last sign"
        if sign in "+-" and self.text:
            return f"{sign} inside a number was not taken: {self.text} stands; * takes back the last sign"
        return ""
