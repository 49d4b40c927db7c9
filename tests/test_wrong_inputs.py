"""Wrong and impossible inputs on the command line: one line that says what would do, and exit 2."""

from __future__ import annotations

import json
import re

import pytest

from handwheel.calc import CATALOGUE, Calculation, Declared
from handwheel.cli import main
from handwheel.errors import InputError
from handwheel.present.calls import plain_json
from handwheel.typed import inputs_from_json

WHAT_WOULD_DO = re.compile(
    r"for example|such as|is not one of: |did you mean|near(est)?\b|missing |there is|may be any of"
    r"|write|at least one"
)


def refused(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """Run one calculation that has to be refused; give its one line."""
    assert main(["calc", *words]) == 2, words
    out, err = capsys.readouterr()
    assert out == "" and err.count("\n") == 1 and "Traceback" not in err, err
    return err.strip()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("spindle_speed cutting_speed=25 diameter=-6.8", "diameter is -6.8 mm; it has to be above 0 mm"),
        ("spindle_speed cutting_speed=25mm diameter=6.8", "expected a number such as 25 m/min or 80 ft/min"),
        ("spindle_speed cutting_speed=1,000 diameter=6.8", "can be read two ways; type 1.000 or 1000"),
        ("limits size=47 zone=Q7", "there is no Q; holes have A B C CD D"),
        ("limits size=47 zone=H", "such as H7"),
        ("limits size=600 zone=H7", "over 0 and up to 500 mm"),
        ("fit size=30 hole=g6 shaft=H7", "has to be in capital letters, such as H7"),
        ("tap_drill thread=M7.3x9", "the nearest are M7 (pitch 1 or 0.75) and M8"),
        ("tap_drill thread=M8x9", "M8 has the pitch 1.25 or 1"),
        ("tap_drill thread=1/4", "write which"),
        ("milling_feed feed_per_tooth=0.05 teeth=0 spindle_speed=500", "teeth is 0; it has to be at least 1"),
        ("milling_feed feed_per_tooth=0.05 teeth=2.5 spindle_speed=500", "it has to be a whole number"),
        ("material_data material=C46", "near it: "),
        ("material_data material=mildsteel", "may be any of: S235, C15, 11SMnPb30"),
        ("drill_size name=#99", "write it as #7, F, 13/64"),
        ("bolt_circle count=0 circle_diameter=50", "count is 0; it has to be at least 1"),
        ("spindel_speed diameter=5", 'did you mean "spindle_speed"'),
    ],
)
def test_a_wrong_input_is_answered_with_what_would_do(
    capsys: pytest.CaptureFixture[str], words: str, said: str
) -> None:
    assert said in refused(capsys, *words.split())


def wrong(one: Declared) -> list[str]:
    """Give texts that cannot be what is declared."""
    quantity = one.quantity
    if one.shape in ("rows", "numbers"):
        return ["7 apples", "[]", "{", '["x"]']
    if one.shape == "text":
        return ["no such word"] if quantity.choices else []
    if one.shape == "flag":
        return ["perhaps"]
    below = [quantity.above, None if quantity.at_least is None else quantity.at_least - 1]
    above = [quantity.below, None if quantity.at_most is None else quantity.at_most + 1]
    limits = [f"{limit:.12g}" for limit in (*below, *above) if limit is not None]
    return [
        "seven",
        "",
        "1e999",
        "nan",
        "5 kg·m/s",
        "1,000",
        *limits,
        *(["2.5"] if one.shape == "count" else []),
    ]


@pytest.mark.parametrize("calculation", [pytest.param(one, id=one.id) for one in CATALOGUE.values()])
def test_every_input_of_every_calculation_is_guarded(
    capsys: pytest.CaptureFixture[str], calculation: Calculation
) -> None:
    """Each input in turn is spoiled; the others are those of a worked example."""
    example = {name: plain_json(plain) for name, plain in calculation.examples[0].inputs.items()}
    words = {name: one if isinstance(one, str) else json.dumps(one) for name, one in example.items()}
    for name, one in calculation.inputs.items():
        for text in wrong(one):
            line = refused(
                capsys, calculation.id, *(f"{key}={word}" for key, word in (words | {name: text}).items())
            )
            assert name in line or text in line, line
            assert WHAT_WOULD_DO.search(line) or "whole number" in line or "two ways" in line, line


@pytest.mark.parametrize("calculation", [pytest.param(one, id=one.id) for one in CATALOGUE.values()])
def test_what_is_missing_is_named(capsys: pytest.CaptureFixture[str], calculation: Calculation) -> None:
    required = [name for name, one in calculation.inputs.items() if one.required]
    if required:
        line = refused(capsys, calculation.id)
        assert all(name in line for name in required)


@pytest.mark.parametrize("calculation", [pytest.param(one, id=one.id) for one in CATALOGUE.values()])
def test_what_is_given_as_an_example_of_a_list_would_do(calculation: Calculation) -> None:
    """The list that an error shows is read, and passes the check of its input."""
    example = {name: plain_json(plain) for name, plain in calculation.examples[0].inputs.items()}
    for name, one in calculation.inputs.items():
        if one.shape in ("rows", "numbers"):
            given = inputs_from_json(calculation, {**example, name: json.loads(one.example)})
            try:
                calculation.run(given)
            except InputError as refused:
                assert f"{name} " not in str(refused), refused
