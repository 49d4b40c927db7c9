from math import isclose, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc import CalculationError
from handwheel.calc.stiffness import WorkDeflection, bar_deflection, overhang_ratio, work_deflection

forces = st.floats(5, 2000)
lengths = st.floats(20, 1500)
diameters = st.floats(4, 100)
moduli = st.floats(60, 650)
shares = st.floats(0.05, 0.95)
supports = st.sampled_from(["chuck", "centre", "between_centres"])


def solved_beam(
    force: float, length: float, stiffness: float, support: str, place: float, elements: int = 8
) -> float:
    """Solve a beam of many small elements for the bend under a force [mm]: stiffness E I [N mm²].

    Each node has a shift and a slope; the elements on both sides of the force are of equal length.
    """
    left = [place / elements] * elements if place else []
    rest = length - place
    sizes = left + ([rest / elements] * elements if rest > 1e-9 * length else [])
    count = 2 * (len(sizes) + 1)
    matrix = [[0.0] * (count + 1) for _ in range(count)]
    for number, size in enumerate(sizes):
        k = stiffness / size**3
        block = [
            [12, 6 * size, -12, 6 * size],
            [6 * size, 4 * size**2, -6 * size, 2 * size**2],
            [-12, -6 * size, 12, -6 * size],
            [6 * size, 2 * size**2, -6 * size, 4 * size**2],
        ]
        for row in range(4):
            for column in range(4):
                matrix[2 * number + row][2 * number + column] += k * block[row][column]
    loaded = 2 * len(left)
    matrix[loaded][count] = force
    held = {"chuck": [0, 1], "centre": [0, 1, count - 2], "between_centres": [0, count - 2]}[support]
    for row in held:
        matrix[row] = [0.0] * (count + 1)
        matrix[row][row] = 1.0
    return solved(matrix)[loaded]


def solved(matrix: list[list[float]]) -> list[float]:
    """Solve equations that stand in rows with the right side last, by elimination."""
    count = len(matrix)
    for pivot in range(count):
        best = max(range(pivot, count), key=lambda row: abs(matrix[row][pivot]))
        matrix[pivot], matrix[best] = matrix[best], matrix[pivot]
        for row in range(pivot + 1, count):
            factor = matrix[row][pivot] / matrix[pivot][pivot]
            if factor:
                for column in range(pivot, count + 1):
                    matrix[row][column] -= factor * matrix[pivot][column]
    answer = [0.0] * count
    for row in reversed(range(count)):
        known = sum(matrix[row][column] * answer[column] for column in range(row + 1, count))
        answer[row] = (matrix[row][count] - known) / matrix[row][row]
    return answer


def spring(
    force: float,
    length: float,
    diameter: float,
    support: str,
    position: float | None = None,
    inside: float = 0,
) -> WorkDeflection:
    return work_deflection(
        force=force,
        length=length,
        diameter=diameter,
        support=support,
        position=position,
        inside_diameter=inside,
    )


@given(forces, lengths, diameters, supports, shares, st.floats(0, 0.9))
def test_the_bend_of_the_work_is_that_of_a_beam_solved_numerically(
    force: float, length: float, diameter: float, support: str, share: float, hollow: float
) -> None:
    place = share * length
    inertia = pi * (diameter**4 - (hollow * diameter) ** 4) / 64
    wanted = 1000 * solved_beam(force, length, 210000 * inertia, support, place)
    got = spring(force, length, diameter, support, place, hollow * diameter)
    assert isclose(got.deflection, wanted, rel_tol=1e-5)
    assert got.at == place


@given(forces, lengths, diameters, moduli)
def test_the_bend_of_a_bar_is_that_of_a_beam_solved_numerically(
    force: float, overhang: float, diameter: float, modulus: float
) -> None:
    wanted = 1000 * solved_beam(force, overhang, modulus * 1000 * pi * diameter**4 / 64, "chuck", overhang)
    got = bar_deflection(force=force, overhang=overhang, diameter=diameter, modulus=modulus)
    assert isclose(got.deflection, wanted, rel_tol=1e-5)
    assert isclose(got.diameter_error, 2 * wanted, rel_tol=1e-5)


@given(forces, lengths, diameters, supports, shares)
def test_no_place_is_worse_than_the_worst(
    force: float, length: float, diameter: float, support: str, share: float
) -> None:
    worst = spring(force, length, diameter, support)
    assert spring(force, length, diameter, support, share * length).deflection <= worst.deflection * (
        1 + 1e-9
    )
    at_worst = spring(force, length, diameter, support, worst.at)
    assert isclose(at_worst.deflection, worst.deflection, rel_tol=1e-9)


@given(forces, lengths, diameters, shares)
def test_every_support_more_makes_the_work_stiffer(
    force: float, length: float, diameter: float, share: float
) -> None:
    chuck, centre, centres = (
        spring(force, length, diameter, support, share * length).deflection
        for support in ("chuck", "centre", "between_centres")
    )
    assert centre < chuck
    assert centre < centres


@given(forces, lengths, diameters)
def test_twice_as_thick_is_sixteen_times_as_stiff_and_half_as_long_eight_times(
    force: float, length: float, diameter: float
) -> None:
    one = bar_deflection(force=force, overhang=length, diameter=diameter).deflection
    thick = bar_deflection(force=force, overhang=length, diameter=2 * diameter).deflection
    short = bar_deflection(force=force, overhang=length / 2, diameter=diameter).deflection
    assert isclose(one, 16 * thick, rel_tol=1e-9)
    assert isclose(one, 8 * short, rel_tol=1e-9)


def test_a_centre_does_not_spring_at_its_own_place() -> None:
    assert spring(300, 200, 25, "centre", 200).deflection == 0
    assert spring(300, 200, 25, "between_centres", 200).deflection == 0


def test_a_bar_that_is_long_for_its_shank_is_told() -> None:
    long = bar_deflection(force=10, overhang=85, diameter=20)
    assert long.warnings == (
        "4.25 times its diameter is more than the 4 of a plain steel bar: it may chatter",
    )
    assert bar_deflection(force=10, overhang=80, diameter=20).warnings == ()
    assert bar_deflection(force=10, overhang=85, diameter=20, modulus=600).warnings == ()
    assert (
        "6 of a plain carbide bar"
        in (bar_deflection(force=10, overhang=125, diameter=20, modulus=600).warnings[0])
    )


def test_a_bend_that_is_no_spring_any_more_is_told() -> None:
    assert any(
        "bends it for good" in said for said in bar_deflection(force=900, overhang=90, diameter=3).warnings
    )
    assert "bends it for good" in spring(900, 300, 5, "chuck").warnings[0]
    assert spring(300, 200, 25, "chuck").warnings == ()


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(CalculationError, match="position 201 mm is beyond the length, 200 mm"):
        spring(300, 200, 25, "centre", 201)
    with pytest.raises(CalculationError, match="inside_diameter 25 mm leaves no wall in 25 mm"):
        spring(300, 200, 25, "chuck", None, 25)
    with pytest.raises(CalculationError, match="inside_diameter 9 mm leaves no wall in 8 mm"):
        bar_deflection(force=100, overhang=50, diameter=8, inside_diameter=9)


@pytest.mark.parametrize(
    ("support", "within", "over", "far"),
    [
        ("chuck", 3, 4, 5.1),
        ("centre", 10, 11, 12.5),
        ("between_centres", 10, 12, 13),
        ("steady", 9, 11, 15),
        ("steel_bar", 4, 4.5, 6),
        ("carbide_bar", 6, 6.5, 8),
        ("damped_bar", 7, 9, 11),
    ],
)
def test_the_advice_changes_with_the_ratio_and_never_says_that_all_is_well(
    support: str, within: float, over: float, far: float
) -> None:
    answers = [
        overhang_ratio(overhang=ratio * 20, diameter=20, support=support) for ratio in (within, over, far)
    ]
    assert all(isclose(one.ratio, ratio) for one, ratio in zip(answers, (within, over, far), strict=True))
    first, second, third = (one.advice for one in answers)
    assert "within the usual" in first
    assert ", over the usual" in second
    assert "far over the usual" in third
    for advice in (first, second, third):
        assert "safe" not in advice and "\n" not in advice
        assert f"usual {answers[0].limit:g}" in advice


def test_a_shaft_that_stands_out_far_is_told_to_take_the_centre() -> None:
    answer = overhang_ratio(overhang=130, diameter=20, support="chuck")
    assert answer.advice == (
        "6.5 times the diameter, far over the usual 3: it needs the centre; for work on its end, a steady"
    )
