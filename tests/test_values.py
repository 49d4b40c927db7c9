"""A value and its trace: frozen, walked once, and honest about what is no number."""

from __future__ import annotations

import dataclasses

import pytest

from handwheel.values import Call, Computed, Entered, Gathered, Listed, Missing, Origin, Value, leaves

TYPED = Value(6.8, "mm", Entered("job.toml features.a.diameter", "6.8 mm", "drawing"))
LISTED = Value(25.0, "m/min", Listed("table start_hss, row S235", "a handbook"))
ABSENT = Value(None, "mm", Missing("shop.toml tools.a.reach", "how deep the tool reaches"))


def computed(*given: Value) -> Value:
    inputs = {f"input{index}": value for index, value in enumerate(given)}
    return Value(
        1.0, "1/min", Computed(Call("spindle_speed", inputs, {"spindle_speed": 1.0}, ()), "spindle_speed")
    )


def test_a_value_that_was_typed_is_its_own_leaf() -> None:
    """Entered, listed and missing values rest on nothing but themselves."""
    for value in (TYPED, LISTED, ABSENT):
        assert list(leaves(value)) == [value]


def test_leaves_are_what_a_number_rests_on_at_the_end() -> None:
    """Through any depth of calculations the walk ends at what was typed, listed or is missing."""
    value = computed(computed(TYPED, computed(LISTED)), ABSENT)
    assert {id(leaf) for leaf in leaves(value)} == {id(TYPED), id(LISTED), id(ABSENT)}


def test_rows_that_were_put_together_rest_on_what_they_hold() -> None:
    """A sum is walked through its rows to the lengths that were added up."""
    rows = Value(((6.8, 1), (25.0, -1)), {}, Gathered((TYPED, computed(LISTED))))
    assert {id(leaf) for leaf in leaves(computed(rows))} == {id(TYPED), id(LISTED)}


def test_a_shared_value_is_walked_once() -> None:
    """A trace that shares its parts stays small: thirty doublings are walked in no time."""
    value = TYPED
    for _ in range(30):
        value = computed(value, value)
    assert list(leaves(value)) == [TYPED]


@pytest.mark.parametrize("plain", [None, "M8", True, (1.0, 2.0)])
def test_what_is_no_number_does_not_pass_for_one(plain: object) -> None:
    """Nothing, a word, a yes and a list have no number."""
    with pytest.raises(TypeError, match="not a number"):
        _ = Value(plain, "", LISTED.origin).number  # type: ignore[arg-type]


def test_a_count_is_a_number() -> None:
    """A whole number is given as a float, as every other."""
    number = Value(6, "", LISTED.origin).number
    assert number == 6.0 and isinstance(number, float)


@pytest.mark.parametrize("origin", [TYPED.origin, LISTED.origin, ABSENT.origin, computed(TYPED).origin])
def test_nothing_is_changed_once_it_is_said(origin: Origin) -> None:
    """Values and origins are frozen."""
    for part in (TYPED, origin):
        with pytest.raises(dataclasses.FrozenInstanceError):
            setattr(part, dataclasses.fields(part)[0].name, "other")
