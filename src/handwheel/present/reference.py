"""The reference page: every calculation of the catalogue as Markdown, made from its declaration alone."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterable, Iterator, Mapping
from itertools import groupby

from handwheel.calc import CATALOGUE, Calculation, Declared, Example, Quantity
from handwheel.errors import one_line
from handwheel.present.calls import plain_json
from handwheel.values import Plain

__all__ = ["reference_page"]

_HEAD = """# Calculations

Every number that handwheel computes is a result of one of these. This page is made from the catalogue by
`handwheel calc --markdown`; a test keeps it as the catalogue is.

- `handwheel calc ID name=value …` answers with the results, `--explain` with the formula, the values put in,
  the source and the second route, `--json` for programs.
- A bare number is in the unit of the table; any unit of the same kind is taken: `diameter="1/4 in"`.
- *Possible* is what is computed at all, everything else is refused. *Usual* is what a small shop meets:
  outside of it the result stands, with a warning.
- In a formula `;` stands between equations; `table:` says that a table is read, which its source names.
- A published or computed value is a start, not a promise: the maker's limits, local rules and trained
  judgement come first."""
_SIGNS = re.compile(r"([\\*<>|~])")


def reference_page() -> str:
    """Give the whole page: the subjects by name, each calculation with its declaration and its examples."""
    subjects = [(name, list(ones)) for name, ones in groupby(_by_subject(), _subject)]
    blocks = [_HEAD, _contents(subjects)]
    for name, ones in subjects:
        blocks.append(f"## {_subject_title(name)}")
        for one in ones:
            blocks += _calculation(one)
    return "\n\n".join(blocks) + "\n"


def _by_subject() -> list[Calculation]:
    return sorted(CATALOGUE.values(), key=lambda one: (_subject(one), one.id))


def _subject(calculation: Calculation) -> str:
    return str(calculation.function.__module__)


def _subject_title(module: str) -> str:
    """Give the first line of the module's docstring, which says what its subject is."""
    return _text((sys.modules[module].__doc__ or "").partition("\n")[0].rstrip(".:"))


def _contents(subjects: Iterable[tuple[str, list[Calculation]]]) -> str:
    return "\n".join(
        f"- {_subject_title(name)}: " + ", ".join(f"[{_text(one.id)}](#{one.id})" for one in ones)
        for name, ones in subjects
    )


def _calculation(calculation: Calculation) -> Iterator[str]:
    yield f'### <a id="{calculation.id}"></a>{_text(calculation.id)}: {_text(calculation.title)}'
    yield _text(_paragraphs(calculation.function.__doc__ or ""))
    yield _table(
        ("input", "symbol", "unit", "possible", "usual", "without it"),
        (_input(one) for one in _unfolded(calculation.inputs)),
    )
    yield _table(("result", "symbol", "unit"), (_result(one) for one in _unfolded(calculation.results)))
    yield "\n".join(f"    {part.strip()}" for part in calculation.formula.split(";"))
    second = calculation.second
    route = f"none, {second}" if isinstance(second, str) else "there is one; explain says whether it agrees"
    yield f"Source: {_text(calculation.source)}.  \nSecond route: {_text(route)}."
    yield "\n".join(map(_example, calculation.examples))


def _example(example: Example) -> str:
    given, found = _text(_assigned(example.inputs)), _text(_assigned(example.results))
    return f"- {given} gives {found} ({_text(example.source)})"


def _paragraphs(docstring: str) -> str:
    """Give a docstring as one run of text."""
    return one_line(" ".join(docstring.split()))


def _unfolded(declared: Mapping[str, Declared]) -> Iterator[tuple[str, Declared]]:
    """Give each declared value, and behind a list of rows the columns of a row."""
    for name, one in declared.items():
        yield name, one
        yield from ((f"{name}: {column}", field) for column, field in one.fields.items())


def _input(named: tuple[str, Declared]) -> tuple[str, ...]:
    name, one = named
    without = "" if ":" in name else "required" if one.required else _default(one.default)
    return *_result(named), _possible(one.quantity), _usual(one.quantity), without


def _result(named: tuple[str, Declared]) -> tuple[str, ...]:
    name, one = named
    unit = {"rows": "list", "text": "text", "flag": "yes or no", "count": "count"}.get(one.shape)
    return name, one.quantity.symbol, unit or one.quantity.unit or "number"


def _default(plain: Plain) -> str:
    return "left out" if plain is None else _plain(plain)


def _possible(quantity: Quantity) -> str:
    if quantity.choices:
        return ", ".join(quantity.choices)
    limits = (
        ("over", quantity.above),
        ("from", quantity.at_least),
        ("under", quantity.below),
        ("to", quantity.at_most),
    )
    return " ".join(f"{word} {limit:g}" for word, limit in limits if limit is not None)


def _usual(quantity: Quantity) -> str:
    return "{:g} to {:g}".format(*quantity.usual) if quantity.usual else ""


def _assigned(plains: Mapping[str, Plain]) -> str:
    return ", ".join(f"{name} = {_plain(plain)}" for name, plain in plains.items())


def _plain(plain: Plain) -> str:
    if isinstance(plain, bool):
        return "yes" if plain else "no"
    if isinstance(plain, float):
        return f"{plain:.10g}"
    return str(plain_json(plain))


def _table(head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> str:
    rule = ("---",) * len(head)
    filled = [rule if cells is rule else tuple(map(_text, cells)) for cells in (head, rule, *rows)]
    return "\n".join(f"| {' | '.join(cells)} |" for cells in filled)


def _text(text: str) -> str:
    return _SIGNS.sub(r"\\\1", one_line(text))
