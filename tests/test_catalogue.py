"""Every calculation held to its own declaration: examples, ranges, second routes, formula, missing inputs."""

from __future__ import annotations

import math
from typing import Any

import pytest
from bending import checks, tables_read
from formulas import FUNCTIONS, equations, is_a_rule, names_in, reads_a_table, worked_out
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import as_values, json_values, usual_inputs

from handwheel.calc import CATALOGUE, Calculation, CalculationError, Declared, Example
from handwheel.errors import InputError
from handwheel.present.explain import reckoned
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


def symbols_of(calculation: Calculation, plains: dict[str, Plain]) -> dict[str, Any]:
    """Give the symbols of a formula with their numbers; what a thread's designation holds is looked up."""
    symbols = {one.quantity.symbol: plains.get(name, one.default) for name, one in calculation.inputs.items()}
    if "thread" in symbols and calculation.id != "thread_dimensions":
        size = run(CATALOGUE["thread_dimensions"], {"thread": symbols["thread"]})
        symbols = {"d": size["major_diameter"].plain, "P": size["pitch"].plain, **symbols}
    return symbols


def read_from_a_table(calculation: Calculation, results: dict[str, Value]) -> dict[str, Any]:
    """Give the results that a formula which reads a table does not work out itself."""
    if not reads_a_table(calculation) and not is_a_rule(calculation):
        return {}
    own = {left for left, _ in equations(calculation)}
    symbols = {name: one.quantity.symbol for name, one in calculation.results.items()}
    return {symbol: results[name].plain for name, symbol in symbols.items() if symbol not in own}


FORMULAS = [pytest.param(one, id=one.id) for one in ALL if equations(one)]
PURE = [pytest.param(one, id=one.id) for one in ALL if not reads_a_table(one) and not is_a_rule(one)]
READING = [pytest.param(one, id=one.id) for one in ALL if reads_a_table(one)]


@pytest.mark.parametrize("calculation", FORMULAS)
def test_every_symbol_of_a_formula_is_declared(calculation: Calculation) -> None:
    """A name in a formula is the symbol of an input, of a result, or of a step of it, or a function."""
    inputs = [one.quantity.symbol for one in calculation.inputs.values()]
    assert len(set(inputs)) == len(inputs)
    results = {one.quantity.symbol for one in calculation.results.values()}
    known = {*symbols_of(calculation, dict(calculation.examples[0].inputs)), *FUNCTIONS}
    known |= results if reads_a_table(calculation) or is_a_rule(calculation) else set()
    sides = equations(calculation)
    for place, (left, right) in enumerate(sides):
        later = (names_in(further) for _, further in sides[place + 1 :])
        assert left in results or any(left in names for names in later), f"{left} is used nowhere"
        assert names_in(right) <= known, f"{names_in(right) - known} are symbols of nothing before {left}"
        known.add(left)


@pytest.mark.parametrize("calculation", PURE)
def test_a_formula_gives_every_number(calculation: Calculation) -> None:
    """Each result that is no text has its equation."""
    sides = {left for left, _ in equations(calculation)}
    numbers = {
        one.quantity.symbol for one in calculation.results.values() if one.shape not in ("text", "flag")
    }
    assert numbers - sides == set()


CHOSEN = {"next_cut", "reading_slip"}
"""Calculations whose formula says in words first by which rule it chooses."""


def test_only_a_choice_stands_in_words() -> None:
    """Behind the words all numbers have their equation, and nothing else begins with a rule."""
    rules = {one.id: one for one in ALL if is_a_rule(one)}
    assert rules.keys() == CHOSEN
    for one in rules.values():
        numbers = {two.quantity.symbol for two in one.results.values() if two.shape not in ("text", "flag")}
        assert numbers <= {left for left, _ in equations(one)}


@pytest.mark.parametrize("calculation", READING)
def test_a_formula_that_names_a_table_reads_one(calculation: Calculation) -> None:
    """`table:` stands only where a table is read; what stands there without an equation was read."""
    given_values = as_values(calculation, dict(calculation.examples[0].inputs))
    assert tables_read(calculation.id, given_values)


@pytest.mark.parametrize("calculation", FORMULAS)
def test_the_formula_that_is_shown_is_the_one_that_is_computed(calculation: Calculation) -> None:
    """Put into the printed formula, the inputs of every example give the computed result."""
    assert all(held_to_its_formula(calculation, dict(example.inputs)) for example in calculation.examples)


NOTHING_TO_WORK_OUT = {"general_tolerance", "level", "run_out", "size_for_mate"}
"""Calculations with cases in which there is nothing to work out: a level face, an angle, no tolerance."""


PUBLISHED = checks()


@pytest.mark.parametrize("id", sorted({check["calculation"] for _, check in PUBLISHED} - NOTHING_TO_WORK_OUT))
def test_formula_and_second_route_hold_for_what_is_published(id: str) -> None:
    """Not only on the worked examples: on the inputs of every published check."""
    calculation = CATALOGUE[id]
    for check in (check for _, check in PUBLISHED if check["calculation"] == id):
        values = inputs_from_json(calculation, check["inputs"])
        assert calculation.recheck(call_of(calculation.run(values))) == "", check["id"]
        if equations(calculation):
            held_to_its_formula(calculation, {name: value.plain for name, value in values.items()})


def held_to_its_formula(calculation: Calculation, plains: dict[str, Plain]) -> int:
    """Work out the formula beside the calculation; give how many results were compared."""
    results = run(calculation, plains)
    known = {**symbols_of(calculation, plains), **read_from_a_table(calculation, results)}
    found = worked_out(equations(calculation), known)
    symbols = {name: one.quantity.symbol for name, one in calculation.results.items()}
    compared = [name for name, symbol in symbols.items() if symbol in found]
    for name in compared:
        told = f"{name}: {results[name].plain}, by its formula {found[symbols[name]]}"
        assert same(results[name].plain, found[symbols[name]], calculation.results[name]), told
    return len(compared)


@pytest.mark.parametrize("calculation", FORMULAS)
def test_a_formula_with_its_values_put_in_is_still_the_formula(calculation: Calculation) -> None:
    """What explain prints below the formula comes to the same, as far as the printed digits go."""
    for example in calculation.examples:
        results = run(calculation, dict(example.inputs))
        known = {**symbols_of(calculation, dict(example.inputs)), **read_from_a_table(calculation, results)}
        parts = reckoned(call_of(results)).put_in.split(";")
        filled = {left.strip(): right.strip() for left, _, right in (part.partition("=") for part in parts)}
        found = worked_out([(left, filled.get(left, right)) for left, right in equations(calculation)], known)
        for name, one in calculation.results.items():
            got, wanted = results[name].plain, found.get(one.quantity.symbol)
            if one.shape == "number" and isinstance(got, float) and isinstance(wanted, float):
                assert math.isclose(got, wanted, rel_tol=1e-3, abs_tol=1e-4), f"{name}: {got}, {wanted}"


def same(one: Any, other: Any, declared: Declared) -> bool:
    """Compare to 1e-9; of rows every number, in the order of the declared columns, and the texts as texts."""
    if declared.shape == "rows":
        columns = list(declared.fields.values())
        return len(one) == len(other) and all(
            len(row) == len(mine) == len(columns)
            and all(same(cell, own, column) for cell, own, column in zip(row, mine, columns, strict=True))
            for row, mine in zip(one, other, strict=True)
        )
    if declared.shape == "numbers":
        return len(one) == len(other) and all(map(close_to, one, other))
    return close_to(one, other)


def close_to(one: Any, other: Any) -> bool:
    if one is None or other is None or isinstance(one, str):
        return bool(one == other)
    return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-9)
