"""A number that a finding shows opens its origin, down to the sizes in the files.

What every planted fault shows is held against the same measure where it is planted, by `assert_numbers_open`.
"""

from __future__ import annotations

import pytest
from origins import assert_numbers_open, places_behind
from slips import plan_of, texts_of

from handwheel.plan.finding import Finding
from handwheel.plan.findings.part import constant, run, total
from handwheel.values import Computed, Entered, Gathered, Listed, Value

LONG = Value(40.0, "mm", Entered("job.toml features.body.length", "40 mm", "drawing"))


def told(code: str, *changes: tuple[str, str], example: str = "carrier") -> Finding:
    """Give the finding of a ready job with sizes of its job changed."""
    text = texts_of(example)["job.toml"]
    for old, new in changes:
        assert text.count(old) >= 1, old
        text = text.replace(old, new, 1)
    findings = plan_of(example, {"job.toml": text}).findings
    return next(one for one in findings if one.code == code)


def test_stock_too_thin_opens_stock_flange_and_skin() -> None:
    """What the stock has over the part rests on its diameter, on the largest turned one and on the skin."""
    found = told("stock-too-thin", ('diameter = "115 mm"', 'diameter = "110.2 mm"'))
    assert places_behind(found, "over") == {
        "job.toml stock.diameter",
        "job.toml features.flange.diameter",
        "job.toml stock.skin",
    }


def test_room_of_a_ring_opens_four_lengths() -> None:
    """A sum of sums walks through both: groove, seat and mate."""
    found = told("ring-room-by-tolerances")
    assert places_behind(found, "room") == {
        "job.toml features.ring-groove.position",
        "job.toml features.ring-groove.width",
        "job.toml features.bearing-seat.depth",
        "job.toml mates.bearing.depth",
    }
    off = places_behind(found, "off")
    assert {"job.toml job.general_tolerance", "job.toml features.bearing-seat.depth"} <= off


@pytest.mark.parametrize("example", ["carrier", "plate"])
def test_what_a_ready_job_is_told_opens_its_origin(example: str) -> None:
    """The notes of the ready jobs are held to the same measure."""
    assert_numbers_open(plan_of(example, {}).findings)


@pytest.mark.parametrize(
    "origin",
    [Listed("the job", "its sizes"), Listed("the plan check", "what the rule looks at"), Gathered(())],
)
def test_a_number_from_nowhere_is_noticed(origin: Listed | Gathered) -> None:
    """The measure itself fails a number that names no file, no table and no constant."""
    lost = total((1, LONG), (-1, Value(2.0, "mm", origin)))
    with pytest.raises(AssertionError):
        assert_numbers_open([Finding("x", "stop", "", "", "", values={"lost": lost})])


def test_a_rule_passes_on_no_bare_number() -> None:
    """A calculation that a rule runs takes values and words; a float would be a number from nowhere."""
    with pytest.raises(TypeError, match=r"shift = 2\.0 has no origin"):
        run("turn_over_positions", positions=LONG, about="x", shift=2.0)  # type: ignore[arg-type]


def test_a_constant_of_a_rule_names_its_source() -> None:
    """A constant that is added in shows as a leaf of its own."""
    assert constant(40.0, "mm", "a holder").origin == Listed(
        "the plan check, a holder", "common practice, no source"
    )
    assert isinstance(total((1, LONG), (1, constant(40.0, "mm", "a holder"))).origin, Computed)
