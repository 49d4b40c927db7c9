"""Every computed value of a plan, fed to the pipe with the inputs of its own trace, gives the same number."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest

from handwheel.pipe import answer
from handwheel.present.answers import plan_json
from handwheel.store.jobs import OpenedJob, place_of

ORIGINS = ("entered", "listed", "computed", "missing")


@pytest.fixture(scope="module")
def plan(example: OpenedJob) -> Any:
    """Give the plan of a ready job as the command line prints it."""
    return json.loads(json.dumps(plan_json(example.plan, lambda one: place_of(one, example.texts))))


def values_of(plan: Any) -> Iterator[Any]:
    for operation in plan["operations"]:
        yield from operation["values"].values()
        for step in operation["steps"]:
            yield from (step["takes"][name] for name in ("expect", "low", "high") if step["takes"][name])


def with_inputs(value: Any) -> Iterator[Any]:
    """Give a value and everything in its trace."""
    yield value
    if "computed" in value:
        for given in value["computed"]["inputs"].values():
            yield from with_inputs(given)


def test_every_computed_value_is_computed_again(plan: Any) -> None:
    """The pipe answers each call of the plan with the very number that the plan shows, to the last bit."""
    replayed: dict[str, Any] = {}
    for value in (one for top in values_of(plan) for one in with_inputs(top)):
        if "computed" not in value:
            continue
        call = value["computed"]
        asked = json.dumps({"id": call["id"], "inputs": call["inputs"]})
        if asked not in replayed:
            replayed[asked] = json.loads(answer(asked.encode()))
        got = replayed[asked]
        assert "results" in got, got
        assert got["results"][call["result"]] == {"value": value["value"], "unit": value["unit"]}
        assert got["warnings"] == call["warnings"]
        assert got["formula"] == call["formula"]
    assert len(replayed) > 50


def test_most_values_are_computed_and_none_lacks_a_source(plan: Any) -> None:
    """At least two thirds are results of the catalogue; each has exactly one origin, a source and a text."""
    top = list(values_of(plan))
    assert sum("computed" in value for value in top) >= len(top) * 2 / 3
    for value in (one for each in top for one in with_inputs(each)):
        assert value["source"].strip() and value["shown"].strip()
        assert sum(origin in value for origin in ORIGINS) == 1


def test_nothing_of_the_demo_is_missing(plan: Any) -> None:
    """Everything that the demo's numbers rest on is on file, apart from what may be left out."""
    missing = {
        one["missing"]["where"] for top in values_of(plan) for one in with_inputs(top) if "missing" in one
    }
    assert missing == set()


def test_entered_values_name_their_file_and_key(plan: Any) -> None:
    """A value that a person typed says in which file, under which key, with which text and basis."""
    entered = [one["entered"] for top in values_of(plan) for one in with_inputs(top) if "entered" in one]
    assert {one["where"].split()[0] for one in entered} == {"job.toml", "shop.toml"}
    assert {one["basis"] for one in entered} <= {"drawing", "model", "measured", "estimate", "carried"}
    sizes = {one["where"]: one["text"] for one in entered}
    known = ("features.motor-holes.diameter", "6.8 mm"), ("features.bearing-seat.diameter", "47 mm")
    assert any(sizes.get(f"job.toml {where}") == text for where, text in known)
