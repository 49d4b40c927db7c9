"""Why a number is what it is: every value of the demo is followed to its leaves, and names its sources."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator

import pytest

from handwheel.calc import CATALOGUE
from handwheel.calc.chains import ChainLink
from handwheel.present.calls import value_json
from handwheel.present.explain import explain, formula_of, reckoned, source_of
from handwheel.present.numbers import shown
from handwheel.store.jobs import OpenedJob
from handwheel.values import Computed, Entered, Gathered, Listed, Missing, Value, leaves


def values(opened: OpenedJob) -> Iterator[tuple[str, Value]]:
    for operation in opened.plan.operations:
        for name, value in operation.values.items():
            yield f"{operation.number} {name}", value


def test_every_value_of_the_demo_is_explained_down_to_its_leaves(opened: OpenedJob) -> None:
    """The lines hold formula and source of the value itself, and where each leaf it rests on stands."""
    for name, value in values(opened):
        told = explain(name, value)
        text = "\n".join(told.lines)
        assert told.shown == shown(value) and told.lines
        assert all(line.isprintable() for line in told.lines)
        for leaf in leaves(value):
            where = leaf.origin.where if isinstance(leaf.origin, Listed) else ""
            told_of = where if where.startswith("default of ") else source_of(leaf)
            assert told_of in text, f"{name} does not say {told_of}"
        if isinstance(value.origin, Computed):
            calculation = CATALOGUE[value.origin.call.calculation]
            assert formula_of(calculation, value.origin.result) in text
            assert f"source: {source_of(value)}" in text
            assert "second route: " in text and "by the second route" not in text


def test_every_value_has_a_source(opened: OpenedJob) -> None:
    """No value of the demo comes from nowhere."""
    assert all(source_of(value).strip() for _, value in values(opened))


def test_the_numbers_are_put_into_the_formula(opened: OpenedJob) -> None:
    """The formula of the speed of a 6.8 mm drill reads with numbers in the place of its symbols."""
    wanted = opened.plan.by_number[60].values["wanted.spindle_speed"]
    assert isinstance(wanted.origin, Computed)
    speed = wanted.origin.call.inputs["cutting_speed"].number
    assert reckoned(wanted.origin.call).put_in == f"n = 1000 * {speed:g} / (pi * 6.8)"


def test_no_symbol_of_an_input_is_left_in_a_filled_formula(opened: OpenedJob) -> None:
    """Wherever a formula is shown with values, every input that has a number stands there as one."""
    for name, value in values(opened):
        if not isinstance(value.origin, Computed):
            continue
        call = value.origin.call
        for part in reckoned(call).put_in.split(";"):
            right = part.partition("=")[2]
            for given, one in call.inputs.items():
                symbol = CATALOGUE[call.calculation].inputs[given].quantity.symbol
                number = isinstance(one.plain, (int, float)) and not isinstance(one.plain, bool)
                if number and re.fullmatch(r"\w+", symbol):
                    assert not re.search(rf"(?<![\w.]){symbol}(?![\w(])", right), f"{name}: {part}"


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (Value(5.0, "mm", Entered("job.toml x", "5 mm", "measured")), 'measured: job.toml x ("5 mm")'),
        (Value(5.0, "mm", Listed("table y, row M8", "ISO 1")), "table y, row M8: ISO 1"),
        (Value(None, "mm", Missing("shop.toml z", "the reach")), "not on file: the reach (shop.toml z)"),
        (Value("a", "", Entered("job.toml x", "\x1b[31m", "drawing")), 'drawing: job.toml x ("\\x1b[31m")'),
    ],
)
def test_a_leaf_says_where_it_comes_from(value: Value, said: str) -> None:
    """Entered, listed and missing values name their place; control signs are shown as text."""
    assert source_of(value) == said
    assert explain("x", value).lines == (said,)


def test_a_sum_opens_what_was_added_up() -> None:
    """Below the links of a chain stands where each was written down; as JSON they are listed there."""
    long, short = (
        Value(plain, "mm", Entered(f"job.toml features.{id}.length", f"{plain:g} mm", "drawing"))
        for plain, id in ((40.0, "body"), (14.0, "spigot"))
    )
    chain = CATALOGUE["dimension_chain"]
    given = (ChainLink(40.0, 0, 0, 1), ChainLink(14.0, 0, 0, -1))
    links = Value(given, chain.inputs["links"].unit, Gathered((long, short)))
    told = "\n".join(explain("rest", chain.run({"links": links})["value"]).lines)
    assert source_of(long) in told and source_of(short) in told
    places = "job.toml features.spigot.length, job.toml features.body.length"
    assert source_of(links) == f"put together from {places}"
    assert value_json(links, "mm")["listed"] == {"where": places}


def test_an_explanation_of_many_rows_stays_short(opened: OpenedJob) -> None:
    """No explanation of the demo is longer than a few screens, since a shared call is told once."""
    for name, value in values(opened):
        told = explain(name, value)
        assert len(told.lines) < 200, name
        assert len(json.dumps(told.lines)) < 40_000
