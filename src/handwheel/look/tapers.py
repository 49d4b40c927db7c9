"""A taper by its number: `MT2`, `Morse 2`, or that of a drill chuck, `B16`."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handwheel.calc import CATALOGUE
from handwheel.look.answer import Answer, Bare
from handwheel.look.lines import with_inputs

__all__ = ["taper_answers"]

_MORSE = re.compile(r"(?ix) (?: mt | mk | morse (?:\s*taper)? ) [\s-]* (?:no\.?\s*)? (?P<number>\d)")
_CHUCK = re.compile(r"(?i)b ?(?P<number>10|12|16|18|22|24)")


def taper_answers(query: str, _: Bare) -> Iterator[Answer]:
    """Give the sizes of a Morse taper or of a chuck's taper; `B16` may be a zone of a hole as well.

    Raises `InputError` where there is no such number.
    """
    morse, chuck = _MORSE.fullmatch(query), _CHUCK.fullmatch(query)
    if morse:
        answer = with_inputs(CATALOGUE["morse_taper"], [morse["number"]])
        yield Answer("taper", f"Morse taper {morse['number']}", answer.values, said=answer.said)
    elif chuck:
        name = f"B{chuck['number']}"
        answer = with_inputs(CATALOGUE["chuck_taper"], [name])
        yield Answer("taper", f"{name}, taper for a drill chuck", answer.values, said=answer.said)
