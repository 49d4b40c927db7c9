from itertools import pairwise
from math import sqrt

import pytest

from handwheel.calc.designations import known_threads
from handwheel.calc.threads import thread_dimensions
from handwheel.errors import InputError
from handwheel.tables import table

METRIC = [name for name, size in known_threads().items() if size.family == "metric"]
UNIFIED = [name for name, size in known_threads().items() if size.family == "unified"]
R40 = [10 ** (2 + step / 40) for step in range(-40, 60)]


def step_of_r40(number: float) -> int:
    """Give the place of a rounded preferred number in the series; it may be 2.5 % off the exact one."""
    place = min(range(len(R40)), key=lambda one: abs(R40[one] / number - 1))
    assert R40[place] == pytest.approx(number, rel=0.025)
    return place


@pytest.mark.parametrize("row", table("iso965_pitch").rows, ids=lambda row: str(row["pitch"]))
def test_crest_tolerances_agree_with_the_formulas_of_iso_965(row: dict[str, float]) -> None:
    pitch = row["pitch"]
    nut = 433 * pitch - 190 * pitch**1.22 if pitch < 1 else 230 * pitch**0.7
    if row["TD1_6"]:
        assert row["TD1_6"] == pytest.approx(nut, rel=0.06)
    assert row["Td_6"] == pytest.approx(180 * pitch ** (2 / 3) - 3.15 / sqrt(pitch), rel=0.06)
    if pitch >= 0.5:
        assert row["g"] == pytest.approx(15 + 11 * pitch, rel=0.06)
        assert row["f"] == pytest.approx(30 + 11 * pitch, rel=0.06)
        # 50 at a pitch of 0.5 is the standard's own exception
        assert row["e"] == pytest.approx(50 + 11 * pitch, rel=0.1)


def test_pitch_diameter_tolerances_agree_with_the_formulas_of_iso_965() -> None:
    for row in table("iso965_diameter").rows:
        bolt = 90 * row["pitch"] ** 0.4 * sqrt(row["over"] * row["up_to"]) ** 0.1
        assert row["Td2_6"] == pytest.approx(bolt, rel=0.06)
        if row["TD2_6"]:
            assert row["TD2_6"] == pytest.approx(1.32 * bolt, rel=0.06)


def test_grades_stand_four_steps_of_r40_apart() -> None:
    """A cell recalled wrongly would break the series: each grade is 1.25 times the finer one."""
    for name, prefixes in {"iso965_pitch": ("TD1_", "Td_"), "iso965_diameter": ("TD2_", "Td2_")}.items():
        for row in table(name).rows:
            for prefix in prefixes:
                grades = [
                    (int(key[-1]), step_of_r40(row[key]))
                    for key in row
                    if key.startswith(prefix) and row[key]
                ]
                for (grade, place), (next_grade, next_place) in pairwise(grades):
                    assert next_place - place == 4 * (next_grade - grade), (row["pitch"], prefix, grade)


@pytest.mark.parametrize("name", METRIC)
def test_every_metric_thread_has_its_default_limits_in_order(name: str) -> None:
    sizes = thread_dimensions(thread=name)
    nut = (
        sizes.internal_minor_min,
        sizes.internal_minor_max,
        sizes.internal_pitch_min,
        sizes.internal_pitch_max,
    )
    bolt = (
        sizes.external_pitch_min,
        sizes.external_pitch_max,
        sizes.external_major_min,
        sizes.external_major_max,
    )
    for limits in (nut, bolt):
        known = [limit for limit in limits if limit is not None]
        assert known == sorted(known) and len(set(known)) == 4
    assert sizes.external_pitch_max is not None and sizes.internal_pitch_min is not None
    assert sizes.external_pitch_max < sizes.internal_pitch_min


@pytest.mark.parametrize("name", UNIFIED)
def test_a_finer_unified_class_lies_inside_the_coarser(name: str) -> None:
    fine, fair, coarse = (
        thread_dimensions(thread=name, internal_class=f"{grade}B", external_class=f"{grade}A")
        for grade in (3, 2, 1)
    )
    for one, other in ((fine, fair), (fair, coarse)):
        assert one.internal_pitch_max is not None and other.internal_pitch_max is not None
        assert one.internal_pitch_max < other.internal_pitch_max
        assert one.external_pitch_min is not None and other.external_pitch_min is not None
        assert one.external_pitch_min > other.external_pitch_min


def test_letters_shift_the_zone_and_two_grades_are_read() -> None:
    plain = thread_dimensions(thread="M8")
    shifted = thread_dimensions(thread="M8", internal_class="6G", external_class="6e")
    assert shifted.internal_minor_min == pytest.approx(plain.minor_diameter + 0.028)
    assert shifted.external_major_max == pytest.approx(8 - 0.063)
    mixed = thread_dimensions(thread="M8", internal_class="4H5H", external_class="7g6g")
    assert mixed.internal_pitch_max == pytest.approx(mixed.pitch_diameter + 0.100)
    assert mixed.internal_minor_max == pytest.approx(mixed.minor_diameter + 0.212)
    assert mixed.external_major_min == plain.external_major_min
    assert mixed.external_pitch_min == pytest.approx(plain.pitch_diameter - 0.028 - 0.150)
    assert (mixed.internal_class, mixed.external_class) == ("4H5H", "7g6g")


def test_the_finest_pitches_have_no_6h_and_say_so() -> None:
    sizes = thread_dimensions(thread="M2x0.25")
    assert sizes.internal_class == "5H"
    assert "no class 6H" in sizes.warnings[0]


@pytest.mark.parametrize(
    ("thread", "classes", "said"),
    [
        ("M8", {"internal_class": "9H"}, "6H"),
        ("M8", {"internal_class": "6h"}, "6H"),
        ("M8", {"external_class": "7g"}, "7g6g"),
        ("M1.6", {"external_class": "6e"}, "6g"),
        ("1/4-20 UNC", {"internal_class": "6H"}, "2B"),
        ("G 1/4", {"external_class": "6g"}, "A and B"),
        ("Tr 20x4", {"external_class": "7e"}, "ISO 2903"),
        ("1/8 NPT", {"internal_class": "2B"}, "no tolerance classes"),
    ],
)
def test_a_class_that_does_not_exist_is_answered_with_those_that_do(
    thread: str, classes: dict[str, str], said: str
) -> None:
    with pytest.raises(InputError, match=said):
        thread_dimensions(thread=thread, **classes)


def test_trapezoidal_threads_have_basic_sizes_only() -> None:
    """ISO 2904: Tr 20x4 has d2 = 18, D1 = 16, d3 = 15.5 (from memory)."""
    sizes = thread_dimensions(thread="Tr 20x4")
    assert (sizes.pitch_diameter, sizes.minor_diameter, sizes.external_minor) == (18, 16, 15.5)
    assert sizes.internal_minor_min is None and sizes.external_pitch_max is None
    assert "ISO 2903" in sizes.warnings[0]


def test_pipe_threads_have_the_limits_of_their_class() -> None:
    """ISO 228-1, G 1/4: class B allows 0.25 mm on the pitch diameter, class A 0.125 (from memory)."""
    fine, coarse = (thread_dimensions(thread="G 1/4", external_class=name) for name in "AB")
    assert fine.external_pitch_min == pytest.approx(fine.pitch_diameter - 0.125)
    assert coarse.external_pitch_min == pytest.approx(coarse.pitch_diameter - 0.25)
    assert fine.internal_minor_max == pytest.approx(11.445 + 0.445, abs=0.001)


def test_a_left_hand_thread_has_the_same_sizes() -> None:
    for name in ("M8", "G 1/4", "1/4-20 UNC", "Tr 20x4"):
        assert thread_dimensions(thread=f"{name}-LH") == thread_dimensions(thread=name)
