"""Hold every calculation to values that somebody else published.

The README in this folder says what an entry looks like and how a tolerance counts.
"""

import tomllib
from collections import Counter
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from bending import agrees, checks, holds, results_of, unnoticed_bends, unnoticed_cells
from counted import count, of_table

from handwheel.calc import CATALOGUE

FOLDER = Path(__file__).parent
CHECKS = checks()
CASES = [pytest.param(check, id=f"{stem}:{check['id']}") for stem, check in CHECKS]
REQUIRED = {"id", "calculation", "inputs", "precision", "source", "basis"}
OPTIONAL = {"expect", "tolerance", "within", "widen", "note"}
LEAST = 800
LEAST_EACH = 5
LARGEST_SHARE = 0.15


@pytest.mark.parametrize("check", CASES)
def test_agrees_with_the_published_value(check: Mapping[str, Any]) -> None:
    assert holds(check, results_of(check)) == ""


def test_an_entry_is_complete() -> None:
    for stem, check in CHECKS:
        told = f"{stem}:{check.get('id')}"
        assert check.keys() >= REQUIRED, told
        assert check.keys() <= REQUIRED | OPTIONAL, told
        assert check["source"].strip() and check["precision"].strip(), told
        assert check["basis"] in ("read", "library", "memory"), told
        assert check.get("expect") or check.get("within"), f"{told} expects nothing"
        assert check.get("tolerance", {}).keys() <= check.get("expect", {}).keys(), told


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.toml")), ids=lambda path: path.stem)
def test_ids_are_unique_in_a_file(path: Path) -> None:
    ids = Counter(check["id"] for check in tomllib.loads(path.read_text(encoding="utf-8"))["check"])
    assert [id for id, times in ids.items() if times > 1] == []


def test_every_calculation_is_held_to_enough_values() -> None:
    """There are as many checks as promised, for each calculation and in all."""
    counted = Counter(check["calculation"] for _, check in CHECKS)
    assert len(CHECKS) >= LEAST
    assert {id: counted[id] for id in CATALOGUE if counted[id] < LEAST_EACH} == {}


@pytest.mark.parametrize("of", [of_table, lambda check: str(check["calculation"])], ids=["table", "formula"])
def test_no_table_and_no_formula_makes_up_the_most_of_it(of: Any) -> None:
    """The checks are spread: no one table and no one formula has more than its share of them."""
    counted = count((check for _, check in CHECKS), of)
    assert {name: times for name, times in counted if times > LARGEST_SHARE * len(CHECKS)} == {}


def test_no_check_is_there_twice() -> None:
    """The same inputs of the same calculation and the same source count once."""
    seen = Counter(
        (
            check["calculation"],
            repr(sorted(check["inputs"].items())),
            check["source"],
            repr(check.get("expect")),
        )
        for _, check in CHECKS
    )
    assert [one for one, times in seen.items() if times > 1] == []


def test_a_result_that_is_wrong_by_one_per_cent_is_noticed() -> None:
    """Hardly a number of a calculation could be wrong by 1 % unnoticed; bench/bent.py names them."""
    every = sum(1 for _ in unnoticed_bends([]))
    unnoticed = unnoticed_bends(CHECKS)
    assert len(unnoticed) <= 0.02 * every, ", ".join(map(str, unnoticed))


def test_a_cell_that_is_wrong_by_a_digit_is_noticed_and_the_bench_can_tell() -> None:
    """A cell with a check is noticed when bent; with no checks at all none is."""
    whole = list(unnoticed_cells(CHECKS, lambda cell: cell.table == "iso2768"))
    assert whole and sum(free for _, free in whole) <= 0.3 * len(whole)
    assert all(free for _, free in unnoticed_cells([], lambda cell: cell.table == "iso2768"))


def test_a_tolerance_is_abs_or_rel_whichever_is_wider() -> None:
    assert agrees(10.0, 10.05, {"abs": 0.06}) and agrees(10.0, 10.05, {"rel": 0.01})
    assert not agrees(10.0, 10.05, {"abs": 0.04, "rel": 0.001}) and not agrees(None, 1.0, {"abs": 9.0})
