"""Why a number is what it is: on one screen of the smallest terminal."""

from __future__ import annotations

import pytest
from strategies import as_values

from handwheel.calc import CATALOGUE, Calculation
from handwheel.present.explain import explain, reckoned, source_of
from handwheel.ui.lists import explain_rows
from handwheel.ui.rows import plain
from handwheel.values import Computed

ROOM = 20  # rows for text on 80x24: without the bar, a blank, what is left and the keys
ALL = [pytest.param(one, id=one.id) for one in CATALOGUE.values()]


def words(text: str) -> str:
    return "".join(text.split())


@pytest.mark.parametrize("calculation", ALL)
def test_why_a_value_is_what_it_is_stands_on_one_screen(calculation: Calculation) -> None:
    """Value, formula, the same with values, source, second route, warnings are in the first rows."""
    for example in calculation.examples:
        for name, value in calculation.run(as_values(calculation, dict(example.inputs))).items():
            assert isinstance(value.origin, Computed)
            how = reckoned(value.origin.call, value.origin.result)
            why = explain(name, value)
            screen = words("".join(map(plain, explain_rows((why,), 80)[:ROOM])))
            parts = (why.shown, how.title, how.formula, how.put_in, source_of(value), how.second)
            for part in (*parts, *how.warnings):
                assert words(part) in screen, f"{name}: {part}"


@pytest.mark.parametrize("calculation", ALL)
def test_a_result_is_explained_by_what_leads_to_it(calculation: Calculation) -> None:
    """The formula of one result holds its own equation, and no other that it does not need."""
    for name, one in calculation.results.items():
        value = calculation.run(as_values(calculation, dict(calculation.examples[0].inputs)))[name]
        assert isinstance(value.origin, Computed)
        parts = [part.strip() for part in reckoned(value.origin.call, name).formula.split(";")]
        lefts = [
            part.partition("=")[0].strip() for part in parts if part.partition("=")[0].strip().isidentifier()
        ]
        whole = {part.strip().partition("=")[0].strip() for part in calculation.formula.split(";")}
        if one.quantity.symbol in whole:
            assert lefts[-1] == one.quantity.symbol or one.quantity.symbol in lefts
            for left in lefts:
                used = any(left in part.partition("=")[2] for part in parts)
                assert left == one.quantity.symbol or used
