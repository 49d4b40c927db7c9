"""Every calculation held to its own declaration: examples, ranges, second routes, formula, missing inputs."""

from __future__ import annotations

import ast
import math
from typing import Any

import pytest
from formulas import IN_WORDS, equations, names_in
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import as_values, json_values, usual_inputs

from handwheel.calc import CATALOGUE, Calculation, CalculationError, Example
from handwheel.errors import InputError
from handwheel.typed import inputs_from_json
from handwheel.values import Call, Computed, Missing, Plain, Value, leaves

ALL = list(CATALOGUE.values())
EXAMPLES = [
    pytest.param(calculation, example, id=f"{calculation.id}-{number}")
    for calculation in ALL
    for number, example in enumerate(calculation.examples, start=1)
]


def by_id(calculation: Calculation) -> str:
    return calculation.id


def run(calculation: Calculation, plains: dict[str, Plain]) -> dict[str, Value]:
    return calculation.run(as_values(calculation, plains))


def call_of(results: dict[str, Value]) -> Call:
    origin = next(iter(results.values())).origin
    assert isinstance(origin, Computed)
    return origin.call


def close(got: Any, wanted: Any) -> bool:
    """Compare to the printed precision, half a unit of the last digit, or 0.5 %."""
    if isinstance(wanted, tuple):
        return len(got) == len(wanted) and all(
            close(one, other) for one, other in zip(got, wanted, strict=True)
        )
    if isinstance(wanted, bool) or not isinstance(wanted, (int, float)):
        return bool(got == wanted)
    decimals = len(repr(float(wanted)).partition(".")[2]) if "e" not in repr(wanted) else 12
    printed = 0.5 * 10**-decimals if not float(wanted).is_integer() else 0.5
    return math.isclose(got, wanted, rel_tol=0.005, abs_tol=min(printed, 0.005 * abs(wanted) or printed))


@pytest.mark.parametrize("calculation", ALL, ids=by_id)
def test_a_declaration_is_complete(calculation: Calculation) -> None:
    """Title, formula, source, a docstring and a worked example with its own source are there."""
    assert calculation.title and calculation.formula and calculation.source
    assert calculation.function.__doc__
    assert calculation.examples and all(example.source for example in calculation.examples)
    assert callable(calculation.second) or len(calculation.second) > 10


@pytest.mark.parametrize(("calculation", "example"), EXAMPLES)
def test_a_worked_example_holds(calculation: Calculation, example: Example) -> None:
    """The results printed in the example come out, in declared units."""
    results = run(calculation, dict(example.inputs))
    assert example.results
    for name, wanted in example.results.items():
        assert close(results[name].plain, wanted), f"{name}: {results[name].plain} is not {wanted}"


def spoiled(plain: Any) -> Any:
    """Give a result that is a little wrong."""
    if isinstance(plain, tuple):
        name = "x" if hasattr(plain[0], "x") else plain[0]._fields[0]
        return (plain[0]._replace(**{name: spoiled(getattr(plain[0], name))}), *plain[1:])
    if isinstance(plain, str):
        return f"{plain} or another"
    return plain * 1.001 + 0.001


@pytest.mark.parametrize(("calculation", "example"), EXAMPLES)
def test_the_second_route_agrees_on_the_examples(calculation: Calculation, example: Example) -> None:
    """Where there is a second route it gives the same, and a wrong result of the first is told."""
    call = call_of(run(calculation, dict(example.inputs)))
    assert calculation.recheck(call) == ""
    if not isinstance(calculation.second, str):
        name, plain = next(iter(call.results.items()))
        wrong = Call(call.calculation, call.inputs, {**call.results, name: spoiled(plain)}, ())
        assert f"{calculation.id}: {name} is" in calculation.recheck(wrong)


@pytest.mark.parametrize("calculation", ALL, ids=by_id)
@settings(max_examples=25)
@given(st.data())
def test_usual_inputs_give_results_that_both_routes_share(
    calculation: Calculation, data: st.DataObject
) -> None:
    """Inputs from the usual ranges give finite results in the declared shape, or one line why not."""
    plains = data.draw(usual_inputs(calculation))
    try:
        results = run(calculation, plains)
    except InputError as refusal:
        assert str(refusal).isprintable()
        return
    assert calculation.recheck(call_of(results)) == ""
    for name, value in results.items():
        assert value.unit == calculation.results[name].unit
        assert (
            value.plain is None or isinstance(value.plain, (bool, str, tuple)) or math.isfinite(value.number)
        )


def far_outside(calculation: Calculation) -> list[tuple[str, float, str]]:
    """Give numbers just past each declared limit of each input."""
    found = []
    for name, one in calculation.inputs.items():
        quantity = one.quantity
        steps = 1.0 if one.shape == "count" else 1e-9
        for word, limit, past in (
            ("above", quantity.above, 0.0),
            ("at least", quantity.at_least, -steps),
            ("below", quantity.below, 0.0),
            ("at most", quantity.at_most, steps * max(1.0, abs(quantity.at_most or 0))),
        ):
            if limit is not None and one.shape in ("number", "count"):
                found.append((name, limit + past, word))
    return found


@pytest.mark.parametrize("calculation", ALL, ids=by_id)
def test_declared_limits_refuse(calculation: Calculation) -> None:
    """A number just past what is possible is refused by the name of its input, with what would do."""
    for name, number, word in far_outside(calculation):
        plains = {**calculation.examples[0].inputs, name: number}
        with pytest.raises(CalculationError, match=f"{name} is .*has to be {word}.*for example"):
            run(calculation, plains)


@pytest.mark.parametrize("calculation", ALL, ids=by_id)
def test_an_unusual_number_comes_with_a_warning(calculation: Calculation) -> None:
    """A possible number outside the usual range is computed, and the range is named in a warning."""
    for name, one in calculation.inputs.items():
        if one.shape != "number" or one.quantity.usual is None:
            continue
        low, high = one.quantity.usual
        for number in (low - abs(low) * 1e-6 - 1e-9, high * (1 + 1e-6) + 1e-9):
            try:
                results = run(calculation, {**calculation.examples[0].inputs, name: number})
            except InputError:
                continue  # beyond what is possible, or no row of a table
            assert any(
                warning.startswith(name) and "usual" in warning for warning in call_of(results).warnings
            )


@pytest.mark.parametrize("calculation", ALL, ids=by_id)
def test_a_missing_input_makes_every_result_missing(calculation: Calculation) -> None:
    """What is not on file is never replaced: all results are missing, and their leaves say what to ask."""
    given_values = as_values(calculation, dict(calculation.examples[0].inputs))
    for name in given_values:
        missing = Value(None, calculation.inputs[name].unit, Missing(f"job.toml {name}", f"what is {name}?"))
        results = calculation.run({**given_values, name: missing})
        assert all(value.plain is None for value in results.values())
        asked = [leaf.origin for leaf in leaves(next(iter(results.values())))]
        assert missing.origin in asked
        assert calculation.recheck(call_of(results)) == ""


@pytest.mark.parametrize("calculation", ALL, ids=by_id)
def test_names_are_checked(calculation: Calculation) -> None:
    """An unknown input is answered with the nearest, a left-out one with its name and an example."""
    first = next(iter(calculation.inputs))
    given_values = as_values(calculation, dict(calculation.examples[0].inputs))
    with pytest.raises(CalculationError, match=f'no input "{first}x"; did you mean "'):
        calculation.run({**given_values, f"{first}x": next(iter(given_values.values()))})
    with pytest.raises(CalculationError, match=f"missing .*{first} \\(for example .+\\)"):
        calculation.run({name: value for name, value in given_values.items() if name != first})


def test_an_unknown_calculation_names_the_nearest() -> None:
    """A misspelt id is answered with the one it may have been."""
    with pytest.raises(CalculationError, match='did you mean "spindle_speed"'):
        CATALOGUE.find("spindel_speed")


@pytest.mark.parametrize("calculation", ALL, ids=by_id)
@settings(max_examples=25)
@given(st.data())
def test_random_json_is_computed_or_refused_in_one_line(
    calculation: Calculation, data: st.DataObject
) -> None:
    """Whatever stands in the inputs, `run` answers or raises an `InputError` of one line."""
    names = st.sampled_from([*calculation.inputs, "no_such_input"])
    asked = data.draw(st.dictionaries(names, json_values(), max_size=6))
    example = {
        name: plain for name, plain in calculation.examples[0].inputs.items() if type(plain) is not tuple
    }
    if data.draw(st.booleans()):
        asked = {**example, **asked}
    try:
        results = calculation.run(inputs_from_json(calculation, asked))
    except InputError as refusal:
        assert "\n" not in str(refusal)
    else:
        assert set(results) == set(calculation.results)


# --- formulas -----------------------------------------------------------------------------------------

MATHS: dict[str, Any] = {
    name: getattr(math, name)
    for name in ("pi", "sin", "cos", "tan", "asin", "sqrt", "radians", "degrees", "ceil", "hypot", "atan2")
}
MATHS |= {"abs": abs, "min": min, "max": max, "range": range, "sum": sum}


def symbols_of(calculation: Calculation, plains: dict[str, Plain]) -> dict[str, Any]:
    """Give the symbols of a formula with their numbers; what a designation holds is looked up."""
    symbols = {one.quantity.symbol: plains.get(name, one.default) for name, one in calculation.inputs.items()}
    if "thread" in symbols and calculation.id == "tapping_torque":
        size = run(CATALOGUE["thread_dimensions"], {"thread": symbols["thread"]})
        symbols |= {"d": size["major_diameter"].plain, "P": size["pitch"].plain}
    return symbols


FORMULAS = [pytest.param(one, id=one.id) for one in ALL if equations(one)]


@pytest.mark.parametrize("calculation", FORMULAS)
def test_every_symbol_of_a_formula_is_declared(calculation: Calculation) -> None:
    """A name in a formula is the symbol of an input, of a result, or a function of mathematics."""
    inputs = [one.quantity.symbol for one in calculation.inputs.values()]
    results = {one.quantity.symbol for one in calculation.results.values()}
    known = set(symbols_of(calculation, dict(calculation.examples[0].inputs))) | results | MATHS.keys()
    assert len(set(inputs)) == len(inputs)
    for left, right in equations(calculation):
        assert left in results, f"{left} is the symbol of no result"
        assert names_in(right) <= known, f"{names_in(right) - known} are symbols of nothing"


@pytest.mark.parametrize("calculation", FORMULAS)
def test_the_formula_that_is_shown_is_the_one_that_is_computed(calculation: Calculation) -> None:
    """Put into the printed formula, the inputs of every example give the computed result."""
    compared = 0
    for example in calculation.examples:
        results = run(calculation, dict(example.inputs))
        known = {**MATHS, **symbols_of(calculation, dict(example.inputs))}
        for left, right in equations(calculation):
            name = next(name for name, one in calculation.results.items() if one.quantity.symbol == left)
            if any(known.get(symbol, 0) is None for symbol in names_in(right)) and " or " not in right:
                known[left] = None
                continue  # an input was left out, such as the thickness under a blind hole
            compared += 1
            known[left] = eval(right, {"__builtins__": {}, **known})
            assert same(results[name].plain, known[left]), f"{left}: {results[name].plain}, {known[left]}"
    assert compared


def same(one: Any, other: Any) -> bool:
    if isinstance(one, tuple):
        rows = zip(one, other, strict=False)
        return len(one) == len(other) and all(
            same(cell, own) for row, mine in rows for cell, own in zip(row, mine, strict=False)
        )
    if one is None or other is None:
        return one is other
    return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-9)


def test_the_list_of_formulas_in_words_is_no_longer_than_it_has_to_be() -> None:
    """A formula that reads as an expression is held to what is computed; only others are let off."""
    for id in IN_WORDS:
        right = CATALOGUE[id].formula.partition("=")[2]
        with pytest.raises(SyntaxError):
            ast.parse(right.strip(), mode="eval")
