"""Calculations through a pipe: JSON lines in, one answer a line out, in order.

JSON is read and written by pydantic's core, which is here anyway: a pattern of two thousand holes takes a
quarter of the time that the standard library needs.
"""

from __future__ import annotations

from typing import Any

from pydantic_core import from_json, to_json

from handwheel.calc import CATALOGUE
from handwheel.errors import HandwheelError, one_line
from handwheel.present.calls import call_json
from handwheel.typed import inputs_from_json
from handwheel.values import Computed

__all__ = ["answer", "answer_lines"]

_CHUNK = 1 << 16
_LONGEST = 1_000_000
"""Bytes of one line that are looked at."""


def answer_lines(given: Any, out: Any) -> None:
    """Answer every line; what is ready is written out whenever no input waits."""
    rest, skipping = b"", False  # `skipping`: the end of a line that was refused for its length is to come
    while chunk := given.read1(_CHUNK):
        *lines, rest = (rest + chunk).split(b"\n")
        if lines:
            out.write(b"".join(answer(line) for line in lines[skipping:]))
            skipping = False
        if len(rest) > _LONGEST and not skipping:
            out.write(_error(None, f"a line is longer than {_LONGEST} bytes"))
            skipping = True
        if skipping:
            rest = b""
        out.flush()
    if rest.strip():
        out.write(answer(rest))
    out.flush()


def answer(line: bytes) -> bytes:
    """Answer one line, with an error that says what was expected where it is not usable."""
    id = None
    try:
        asked = from_json(line, allow_inf_nan=False)
        if type(asked) is not dict or type(asked.get("id")) is not str:
            return _error(None, 'expected an object such as {"id": "spindle_speed", "inputs": {…}}')
        id = asked["id"]
        given = asked.get("inputs", {})
        if type(given) is not dict:
            return _error(id, 'inputs has to be an object of names and values: {"diameter": "6.8 mm"}')
        calculation = CATALOGUE.find(id)
        results = calculation.run(inputs_from_json(calculation, given))
    except HandwheelError as fault:
        return _error(id, str(fault))
    except (ValueError, OverflowError, RecursionError) as fault:
        return _error(id, f"not usable: {fault}")
    origin = next(iter(results.values())).origin
    assert isinstance(origin, Computed)  # what `run` gives is computed
    return to_json(call_json(origin.call, results)) + b"\n"


def _error(id: str | None, message: str) -> bytes:
    return to_json({"id": id, "error": one_line(message)}) + b"\n"
