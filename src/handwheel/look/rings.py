"""A retaining ring by its standard, `DIN 472 47`: the groove that takes it."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handwheel.calc import CATALOGUE
from handwheel.look.answer import Answer, Bare
from handwheel.look.lines import with_inputs

__all__ = ["ring_answers"]

_QUERY = re.compile(r"(?ix) din \s* (?P<number>47[12]) (?: [\s,x×-]* (?P<size>[\d.,]+ (?:\s*mm)?) )?")

_GROOVES = {
    "471": ("shaft_ring_groove", "DIN 471, retaining ring for a shaft"),
    "472": ("bore_ring_groove", "DIN 472, retaining ring for a bore"),
}


def ring_answers(query: str, _: Bare) -> Iterator[Answer]:
    """Give the groove for a ring and a diameter; without a diameter, what is missing.

    Raises `InputError` where the standard has no ring for it.
    """
    match = _QUERY.fullmatch(query)
    if match:
        calculation, title = _GROOVES[match["number"]]
        answer = with_inputs(CATALOGUE[calculation], [match["size"]] if match["size"] else [])
        yield Answer("ring", title, answer.values, said=answer.said)
