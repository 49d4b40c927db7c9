"""A drill by its name, or a diameter: the drills beside it, whose tap drill it is, what goes through it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import cache

from handwheel.calc import CATALOGUE
from handwheel.calc.designations import ThreadSize, known_threads
from handwheel.errors import InputError
from handwheel.look.answer import Answer, Bare, Kind, Part, chosen, gather, typed
from handwheel.units import read
from handwheel.values import SLACK, Value

__all__ = ["size_answers"]

_NUMBER = re.compile(r'\d*[.,]?\d+(?:\s*(?:mm|in|"))?')
_INCH_NAME = re.compile(
    r'(?ix) (?:\#|no\.?|nr\.?)\s*\d{1,2} | [a-z] | (?:\d[\ -])?\d{1,3}/\d{1,2}(?:\s*(?:in|"))?'
)
_MOST_THREADS = 6
_SERIES = ("fraction", "number", "letter")


def size_answers(query: str, bare: Bare) -> Iterator[Answer]:
    """Give what there is to a drill's name or a diameter; a bare whole number may be a numbered drill too.

    Raises `InputError` where a number can be read two ways.
    """
    text = re.sub(r"^(?:ø|⌀|dia\.?)\s*", "", query, flags=re.IGNORECASE)
    if _NUMBER.fullmatch(text):
        read(text, "mm")  # refuses 1,000, which may be one or a thousand
        names = list(_meant(text, bare))
    elif _INCH_NAME.fullmatch(text):
        names = [text]
    else:
        return
    for name in names:
        found = _answer(name, query)
        if found is not None:
            yield found


def _meant(text: str, bare: Bare) -> Iterator[str]:
    """Give the drills and sizes that a number may mean, the likeliest first."""
    if re.search(r"[a-z\"]$", text):
        yield text
        return
    by_inches = bare == "in" or re.fullmatch(
        r"0?[.,]\d{3,}", text
    )  # three decimals: the inch trade writes so
    if by_inches:
        yield f"{text} in"
    yield f"{text} mm"
    if text.isdecimal() and len(text) <= 2:
        yield f"#{text}"


def _answer(name: str, query: str) -> Answer | None:
    """Give what there is to one drill or diameter; None where no drill is near it."""
    try:
        size = CATALOGUE["drill_size"].run({"name": typed(name, query)})["diameter"]
    except InputError:
        return None
    beside, said = gather(_beside(size))
    if not beside:
        return None
    listed = CATALOGUE["nearest_drill"].run({"diameter": size, "series": chosen("all", "every series")})
    is_drill = abs(listed["difference"].number) <= SLACK
    inches = CATALOGUE["inch_size"].run({"diameter": size})
    values = {"diameter": size, **inches, **beside, **_tapped(size), **_clears(size)}
    kind: Kind = "drill" if is_drill else "size"
    return Answer(kind, f"{name} drill" if is_drill else name, values, said=said)


def _beside(size: Value) -> Iterator[Part]:
    given = {"diameter": size}
    for rule in ("below", "above"):
        asked = {**given, "rule": chosen(rule, "the drills on both sides")}
        yield Part("nearest_drill", asked, {"diameter": f"drill_{rule}"})
    for series in _SERIES:
        asked = {**given, "series": chosen(series, "each series of inch drills")}
        yield Part("nearest_drill", asked, {"name": f"nearest_{series}", "diameter": f"{series}_diameter"})


def _tapped(size: Value) -> dict[str, Value]:
    """Give the threads whose tap drill this is, then those that it leaves a usual per cent of thread in."""
    own: dict[str, Value] = {}
    others: dict[str, Value] = {}
    for thread in known_threads().values():
        if thread.nominal_diameter <= size.number:
            continue
        name = chosen(thread.designation, "a thread that this hole may be for")
        if not thread.has_drill:
            continue
        left = _engagement(name, thread, size)
        if left is not None and left.number > _most():
            continue
        drill = CATALOGUE["tap_drill"].run({"thread": name})["drill"]
        if abs(drill.number - size.number) <= SLACK:
            own[f"tap_drill_of_{thread.designation}"] = drill
            own.update({f"engagement_{thread.designation}": left} if left else {})
        elif left is not None and thread.designation in _common() and _usual(left.number):
            others[f"engagement_{thread.designation}"] = left
    return {**own, **dict(list(others.items())[:_MOST_THREADS])}


def _engagement(name: Value, thread: ThreadSize, size: Value) -> Value | None:
    """Give the per cent of thread that a hole leaves; None where the trade does not tell it."""
    if thread.family not in ("metric", "unified"):
        return None
    return CATALOGUE["thread_engagement"].run({"thread": name, "hole_diameter": size})["engagement"]


@cache
def _common() -> frozenset[str]:
    """Give the threads of every shop: coarse metric, UNC and UNF."""
    return frozenset(
        name
        for name, size in known_threads().items()
        if (size.family == "metric" and "x" not in name) or name.endswith(("UNC", "UNF"))
    )


def _most() -> float:
    """Give the per cent of thread beyond which no tap drill is chosen."""
    return CATALOGUE["tap_drill"].inputs["engagement"].quantity.at_most or 0.0


def _usual(engagement: float) -> bool:
    low, high = CATALOGUE["tap_drill"].inputs["engagement"].quantity.usual or (0.0, 0.0)
    return low <= engagement <= high


def _clears(size: Value) -> dict[str, Value]:
    """Give the largest bolt that goes through, with the widest series that the hole fills."""
    found: dict[str, Value] = {}
    for thread in _bolts():
        name = chosen(thread.designation, "the largest bolt that goes through")
        for series in ("fine", "medium", "coarse"):
            asked = {"thread": name, "series": chosen(series, "the widest series that is filled")}
            hole = CATALOGUE["clearance_hole"].run(asked)["diameter"]
            if hole.number <= size.number + SLACK:
                found = {f"clears_{thread.designation}_{series}": hole}
    return found


@cache
def _bolts() -> tuple[ThreadSize, ...]:
    """Give the coarse metric threads that have clearance holes, from the smallest."""
    coarse = (size for name, size in known_threads().items() if size.family == "metric" and "x" not in name)
    return tuple(sorted(_with_holes(coarse), key=lambda size: size.nominal_diameter))


def _with_holes(sizes: Iterable[ThreadSize]) -> Iterator[ThreadSize]:
    for size in sizes:
        try:
            CATALOGUE["clearance_hole"].run({"thread": chosen(size.designation, "")})
        except InputError:
            continue
        yield size
