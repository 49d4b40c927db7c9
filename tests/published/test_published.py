"""Hold every calculation to values that somebody else published.

The README in this folder says what an entry looks like and how a tolerance counts.
"""

import tomllib
from collections import Counter
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from handwheel.calc import CATALOGUE
from handwheel.calc.catalogue import Declared
from handwheel.values import Listed, Plain, Value

FOLDER = Path(__file__).parent
FILES = sorted(FOLDER.glob("*.toml"))
CHECKS: list[tuple[str, Mapping[str, Any]]] = [
    (path.stem, check) for path in FILES for check in tomllib.loads(path.read_text(encoding="utf-8"))["check"]
]
REQUIRED = {"id", "calculation", "inputs", "precision", "source", "basis"}
OPTIONAL = {"expect", "tolerance", "within", "widen", "note"}


def plain(declared: Declared, given: Any) -> Plain:
    """Turn what TOML gives into what a calculation takes: arrays to tuples, tables to rows."""
    if declared.shape == "rows":
        assert declared.row is not None
        return tuple(declared.row(**row) for row in given)
    return tuple(given) if isinstance(given, list) else given


def run(check: Mapping[str, Any]) -> dict[str, Value]:
    calculation = CATALOGUE.find(check["calculation"])
    values = {
        name: Value(
            plain(calculation.inputs[name], given),
            calculation.inputs[name].unit,
            Listed(check["id"], check["source"]),
        )
        for name, given in check["inputs"].items()
    }
    return calculation.run(values)


def agrees(got: Any, wanted: Any, tolerance: Mapping[str, float]) -> bool:
    """Compare texts for equality, numbers within abs or rel, lists and rows by their parts."""
    if isinstance(wanted, dict):
        return all(agrees(getattr(got, name), part, tolerance) for name, part in wanted.items())
    if isinstance(wanted, list):
        pairs = zip(got, wanted, strict=False)
        return len(got) == len(wanted) and all(agrees(one, part, tolerance) for one, part in pairs)
    if isinstance(wanted, (bool, str)) or isinstance(got, (bool, str)) or got is None:
        return bool(got == wanted)
    allowed = max(tolerance.get("abs", 0.0), tolerance.get("rel", 0.0) * abs(wanted))
    return bool(abs(got - wanted) <= allowed + 1e-12)


@pytest.mark.parametrize("check", [pytest.param(check, id=f"{stem}:{check['id']}") for stem, check in CHECKS])
def test_agrees_with_the_published_value(check: Mapping[str, Any]) -> None:
    results = run(check)
    for name, wanted in check.get("expect", {}).items():
        got = results[name].plain
        tolerance = check.get("tolerance", {}).get(name, {})
        assert agrees(got, wanted, tolerance), f"{name}: {got} is not {wanted} within {tolerance}"
    widen = check.get("widen", 0.0)
    for name, (low, high) in check.get("within", {}).items():
        got = results[name].number
        slack = 1e-9 * abs(high)  # a value at the printed end is in the range, whatever its last bit
        inside = low * (1 - widen) - slack <= got <= high * (1 + widen) + slack
        assert inside, f"{name}: {got} is not in {low} to {high}"


@pytest.mark.parametrize("check", [pytest.param(check, id=f"{stem}:{check['id']}") for stem, check in CHECKS])
def test_an_entry_is_complete(check: Mapping[str, Any]) -> None:
    assert check.keys() >= REQUIRED
    assert check.keys() <= REQUIRED | OPTIONAL
    assert check["source"].strip() and check["precision"].strip()
    assert check["basis"] in ("read", "library", "memory")
    assert check.get("expect") or check.get("within"), "an entry that expects nothing proves nothing"
    assert check.get("tolerance", {}).keys() <= check.get("expect", {}).keys()


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_ids_are_unique_in_a_file(path: Path) -> None:
    ids = Counter(check["id"] for stem, check in CHECKS if stem == path.stem)
    assert [id for id, count in ids.items() if count > 1] == []


def test_every_calculation_is_held_to_a_published_value() -> None:
    assert sorted(CATALOGUE.keys() - {check["calculation"] for _, check in CHECKS}) == []
