"""Inputs as people, answers and pipes write them: one answer a line, in order, whatever goes in."""

from __future__ import annotations

import io
import json
import os
import select
import subprocess
import sys
import time
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import json_values

from handwheel.calc import CATALOGUE, CalculationError
from handwheel.pipe import answer, answer_lines
from handwheel.typed import inputs_from_json, inputs_from_words
from handwheel.values import Entered, Missing

SPEED = {"id": "spindle_speed", "inputs": {"cutting_speed": 25, "diameter": "6.8 mm"}}


def line(asked: Any) -> bytes:
    return json.dumps(asked).encode()


def answers(data: bytes) -> list[dict[str, Any]]:
    out = io.BytesIO()
    answer_lines(io.BytesIO(data), out)
    return [json.loads(one) for one in out.getvalue().splitlines()]


# --- words and JSON --------------------------------------------------------------------------------------


def test_words_are_read_by_the_declared_unit() -> None:
    """`name=value` takes typed sizes in any unit of the kind, and keeps the text for the trace."""
    calculation = CATALOGUE["spindle_speed"]
    values = inputs_from_words(calculation, ["cutting_speed=80 ft/min", "diameter=1/4 in"])
    assert values["diameter"].plain == 6.35
    assert values["diameter"].origin == Entered("input diameter", "1/4 in", "typed")
    assert values["cutting_speed"].number == pytest.approx(24.384)


def test_a_list_is_written_as_json() -> None:
    """Steps of a machine come as a JSON list; sizes in it may be typed text."""
    calculation = CATALOGUE["nearest_spindle_speed"]
    values = inputs_from_words(calculation, ["spindle_speed=1170", 'steps=[300, "850 rpm", 1500]'])
    assert calculation.run(values)["spindle_speed"].plain == 850


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["diameter"], 'is no name=value; expected for example cutting_speed="'),
        (["diamter=5", "cutting_speed=20"], 'did you mean "diameter"'),
        (["diameter=1,000", "cutting_speed=20"], "diameter: .*can be read two ways"),
        (["diameter=5 N", "cutting_speed=20"], "diameter: .* is in N; expected a number such as"),
        (["diameter="], "diameter: .* is no number in mm"),
        (["diameter=5"], "missing cutting_speed"),
        (["\x1b[31m"], r"\\x1b\[31m"),
    ],
)
def test_a_word_that_cannot_be_used_is_named(words: list[str], said: str) -> None:
    """The refusal names the input and says what would do."""
    calculation = CATALOGUE["spindle_speed"]
    with pytest.raises(CalculationError, match=said) as refusal:
        calculation.run(inputs_from_words(calculation, words))
    assert str(refusal.value).isprintable()


def test_a_value_of_an_answer_is_an_input() -> None:
    """Objects as answers print them go in again, also in another unit of the kind."""
    calculation = CATALOGUE["spindle_speed"]
    given_values = {
        "cutting_speed": {"value": 25, "unit": "m/min"},
        "diameter": {"value": 0.25, "unit": "in"},
    }
    assert inputs_from_json(calculation, given_values)["diameter"].plain == 6.35


def test_null_is_missing_and_never_a_default() -> None:
    """A null for a required input is missing; for one that may be left out it is left out."""
    values = inputs_from_json(CATALOGUE["spindle_speed"], {"cutting_speed": None, "diameter": 5})
    assert isinstance(values["cutting_speed"].origin, Missing)
    assert "tool_limit" not in inputs_from_json(CATALOGUE["ruling_spindle_speed"], {"tool_limit": None})


def test_a_row_has_every_field_and_no_more() -> None:
    """Rows are objects with all their fields, or lists of just as many cells."""
    calculation = CATALOGUE["thinnest_wall"]
    good = [["a", 0, 0, 9], {"name": "b", "x": "20 mm", "y": 0, "diameter": "7 mm"}]
    assert calculation.run(inputs_from_json(calculation, {"holes": good}))["wall"].plain == 12
    for bad in (["a", 0, 0], ["a", 0, 0, 9, 9], {"name": "a"}, "a", None):
        with pytest.raises(CalculationError, match=r'item 2: expected an object such as {"name": .*"y": '):
            inputs_from_json(calculation, {"holes": [good[0], bad]})


def test_a_list_too_long_is_refused() -> None:
    """More than 2000 items are refused unread."""
    with pytest.raises(CalculationError, match="2001 items; at most 2000"):
        inputs_from_json(CATALOGUE["nearest_spindle_speed"], {"steps": [300] * 2001})


# --- the pipe ----------------------------------------------------------------------------------------------


def test_answers_come_in_order_each_on_its_line() -> None:
    """Good and bad lines are answered in order, a blank one too: answers pair with lines by their number."""
    asked = [SPEED, {"id": "no_such"}, SPEED, [1], SPEED]
    got = answers(b"\n".join(line(one) for one in asked) + b"\n\n  \n" + line(SPEED))
    assert ["results" in one for one in got] == [True, False, True, False, True, False, False, True]
    assert [one["id"] for one in got] == [
        *["spindle_speed", "no_such", "spindle_speed", None, "spindle_speed", None, None],
        "spindle_speed",
    ]
    first = got[0]
    assert first["results"]["spindle_speed"]["unit"] == "1/min"
    assert first["results"]["spindle_speed"]["value"] == pytest.approx(1170.2571)
    assert first["inputs"]["diameter"] == {"value": 6.8, "unit": "mm"}
    assert first["source"] and first["formula"] and first["warnings"] == []


BAD = {
    "no JSON": b"spindle_speed",
    "half a line": b'{"id": "spindle_speed", "inputs": {',
    "no object": b"[]",
    "null": b"null",
    "no id": b'{"inputs": {}}',
    "an id that is no text": b'{"id": 7}',
    "inputs that are no object": b'{"id": "spindle_speed", "inputs": [1]}',
    "a list for a number": b'{"id": "spindle_speed", "inputs": {"diameter": {"value": []}}}',
    "NaN": b'{"id": "spindle_speed", "inputs": {"diameter": NaN, "cutting_speed": 20}}',
    "Infinity": b'{"id": "spindle_speed", "inputs": {"diameter": Infinity, "cutting_speed": 20}}',
    "a float too large": b'{"id": "spindle_speed", "inputs": {"diameter": 1e999, "cutting_speed": 20}}',
    "a huge whole number": b'{"id": "spindle_speed", "inputs": {"diameter": '
    + b"9" * 400
    + b', "cutting_speed": 2}}',
    "a huge count": b'{"id": "milling_feed", "inputs": {"feed_per_tooth": 1, "spindle_speed": 99, "teeth": '
    + b"9" * 400
    + b"}}",
    "digits without end": b'{"id": "spindle_speed", "inputs": {"diameter": ' + b"9" * 90_000 + b"}}",
    "deep nesting": b'{"id": "spindle_speed", "inputs": ' + b"[" * 100_000 + b"]" * 100_000 + b"}",
    "no UTF-8": b'{"id": "\xff\xfe", "inputs": {}}',
    "half a surrogate": b'{"id": "\\ud800", "inputs": {}}',
    "half a surrogate inside": b'{"id": "tap_drill", "inputs": {"thread": "M8\\ud800"}}',
    "control characters": b'{"id": "tap_drill", "inputs": {"thread": "\\u001b[31m"}}',
    "zero bytes": b"\x00\x00\x00",
    "a deep value": b'{"id": "spindle_speed", "inputs": {"diameter": {"value": {"value": {"value": 5}}}}}',
    "a number as a text": b'{"id": "tap_drill", "inputs": {"thread": 8}}',
    "a yes as a number": b'{"id": "spindle_speed", "inputs": {"diameter": true, "cutting_speed": 20}}',
}


@pytest.mark.parametrize("bad", BAD)
def test_a_bad_line_is_answered_and_the_next_one_too(bad: str) -> None:
    """An error is one printable line with the id where there is one; what follows is answered as usual."""
    began = time.perf_counter()
    wrong, right = answers(BAD[bad] + b"\n" + line(SPEED))
    assert time.perf_counter() - began < 1.0
    assert set(wrong) == {"id", "error"}
    assert wrong["error"].isprintable() and wrong["error"]
    assert "results" in right


def test_a_missing_input_gives_missing_results() -> None:
    """A null in a required input is answered with null results, not with an error."""
    (got,) = answers(line({"id": "spindle_speed", "inputs": {"cutting_speed": None, "diameter": 5}}))
    assert got["results"]["spindle_speed"]["value"] is None


def test_a_line_too_long_is_refused_and_the_next_is_answered() -> None:
    """Of a line of two million bytes nothing is kept; the lines round it are answered."""
    long = b'{"id": "' + b"x" * 2_000_000 + b'"}'
    got = answers(b"\n".join((line(SPEED), long, line(SPEED), long)))
    assert ["results" in one for one in got] == [True, False, True, False]
    assert "longer than" in got[1]["error"]


@given(st.binary(max_size=60))
def test_any_bytes_are_answered(data: bytes) -> None:
    """Whatever bytes come, each line that is not blank has one answer that is JSON."""
    asked = [one for one in data.split(b"\n") if one.strip()]
    assert len(answers(data)) == len(asked)


@given(st.sampled_from([*CATALOGUE, "no_such"]), json_values())
def test_any_json_is_answered(id: str, inputs: Any) -> None:
    """Any JSON in the place of the inputs gives results or one error."""
    got = json.loads(answer(json.dumps({"id": id, "inputs": inputs}).encode()))
    assert ("results" in got) != ("error" in got)


@pytest.fixture
def piped() -> Any:
    process = subprocess.Popen(
        [sys.executable, "-m", "handwheel", "calc", "--stdin"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    yield process
    process.kill()
    process.communicate()


def test_an_answer_is_flushed_when_no_input_waits(piped: subprocess.Popen[bytes]) -> None:
    """A program that asks and waits gets its answer, again and again; the end of the input is exit 0."""
    assert piped.stdin is not None and piped.stdout is not None
    for _ in range(3):
        os.write(piped.stdin.fileno(), line(SPEED) + b"\n")
        ready, _, _ = select.select([piped.stdout], [], [], 20)
        assert ready, "no answer while the input stays open"
        assert "results" in json.loads(piped.stdout.readline())
    os.write(piped.stdin.fileno(), b'{"id": "no end of line"}')
    out, err = piped.communicate(timeout=20)
    assert json.loads(out)["id"] == "no end of line"
    assert piped.returncode == 0 and err == b""
