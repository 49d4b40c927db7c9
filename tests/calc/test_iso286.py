"""The tables of ISO 286 held to the formulas they were made with, and the rules for holes."""

from math import isnan, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handwheel.calc.iso286 import Zone, deviations, parse_zone, split_zones
from handwheel.errors import InputError
from handwheel.tables import table

GRADES = table("iso286_grades").rows
SHAFTS = table("iso286_shafts").rows
SIZES = st.floats(1.01, 500)
ROOM = ("a", "b", "c", "cd", "d", "e", "ef", "f", "fg", "g", "h")
PRESSED = ("k", "m", "n", "p", "r", "s", "t", "u", "v", "x", "y", "z", "za", "zb", "zc")


def mean(over: float, up_to: float) -> float:
    """Give the geometric mean of a band; the first one is reckoned from 1 mm."""
    return sqrt(max(over, 1) * up_to)


def at(size: float, zone: str) -> tuple[float, float]:
    return deviations(size, parse_zone(zone))


@pytest.mark.parametrize("row", GRADES[1:], ids=lambda row: f"to {row['up_to']}")
def test_grades_follow_the_tolerance_unit(row: dict[str, float]) -> None:
    """IT5 to IT11 are 7 to 100 i; the printed figures are rounded, by no more than 7 %."""
    size = mean(row["over"], row["up_to"])
    unit = 0.45 * size ** (1 / 3) + 0.001 * size
    factors = {"5": 7, "6": 10, "7": 16, "8": 25, "9": 40, "10": 64, "11": 100}
    for grade, factor in factors.items():
        assert row[grade] == pytest.approx(factor * unit, rel=0.07, abs=1)


@pytest.mark.parametrize("row", GRADES, ids=lambda row: f"to {row['up_to']}")
def test_five_grades_on_a_tolerance_is_ten_times_as_wide(row: dict[str, float]) -> None:
    """From IT6 on every fifth grade is ten times the first, exactly from IT7 + 5; grades never shrink."""
    for grade in range(7, 14):
        tenfold = 10 * row[str(grade)]
        assert row[str(grade + 5)] == pytest.approx(tenfold, rel=0.06)
    for grade in (7, 8, 9):
        assert row[str(grade + 5)] == 10 * row[str(grade)]
    widths = [row[grade] for grade in ("01", "0", *map(str, range(1, 19)))]
    assert widths == sorted(widths)


@pytest.mark.parametrize("row", GRADES[1:], ids=lambda row: f"to {row['up_to']}")
def test_the_finest_grades_follow_their_own_formulas(row: dict[str, float]) -> None:
    """IT01, IT0 and IT1 are linear in the size, IT2 to IT4 lie between IT1 and IT5 in equal ratios."""
    size = mean(row["over"], row["up_to"])
    for grade, base, slope in (("01", 0.3, 0.008), ("0", 0.5, 0.012), ("1", 0.8, 0.02)):
        assert row[grade] == pytest.approx(base + slope * size, rel=0.3)
    step = (row["5"] / row["1"]) ** 0.25
    for number in (2, 3, 4):
        assert row[str(number)] == pytest.approx(row["1"] * step ** (number - 1), rel=0.2)


FORMULAS = {
    "d": lambda size: -16 * size**0.44,
    "e": lambda size: -11 * size**0.41,
    "f": lambda size: -5.5 * size**0.41,
    "g": lambda size: -2.5 * size**0.34,
    "n": lambda size: 5 * size**0.34,
    "k": lambda size: 0.6 * size ** (1 / 3),
}


@pytest.mark.parametrize("row", GRADES[1:], ids=lambda row: f"to {row['up_to']}")
@pytest.mark.parametrize("letter", FORMULAS)
def test_deviations_on_the_main_bands_follow_their_formulas(letter: str, row: dict[str, float]) -> None:
    """The printed figures are the formulas of ISO 286-1 rounded: within 9 % or 1.6 µm."""
    shaft = next(one for one in SHAFTS if one["over"] == row["over"])
    wanted = FORMULAS[letter](mean(row["over"], row["up_to"]))
    assert shaft[letter] == pytest.approx(wanted, rel=0.09, abs=1.6)


@pytest.mark.parametrize("row", SHAFTS[7:], ids=lambda row: f"to {row['up_to']}")
def test_deviations_on_the_sub_bands_follow_their_formulas(row: dict[str, float]) -> None:
    """From 30 mm on those after r stand on IT7 to IT10 and a share of the size; below the table rules."""
    size = mean(row["over"], row["up_to"])
    grades = next(one for one in GRADES if one["over"] <= row["over"] and row["up_to"] <= one["up_to"])
    seventh, eighth = grades["7"], grades["8"]
    shares = {"t": 0.63, "u": 1.0, "v": 1.25, "x": 1.6, "y": 2.0, "z": 2.5}
    for letter, share in shares.items():
        if not isnan(row[letter]):
            assert row[letter] == pytest.approx(seventh + share * size, rel=0.03)
    for letter, share, grade in (("za", 3.15, "8"), ("zb", 4.0, "9"), ("zc", 5.0, "10")):
        assert row[letter] == pytest.approx(grades[grade] + share * size, rel=0.03)
    big = size > 50
    assert row["s"] == pytest.approx(seventh + 0.4 * size if big else eighth + 2.5, rel=0.05, abs=1.6)
    assert row["r"] == pytest.approx(sqrt(row["p"] * row["s"]), rel=0.05, abs=1)


@pytest.mark.parametrize("row", SHAFTS[1:], ids=lambda row: f"to {row['up_to']}")
def test_the_other_deviations_follow_their_formulas(row: dict[str, float]) -> None:
    """A to c stand on the size alone, m and p on the grades; c is printed up to 15 % above its formula."""
    size = mean(row["over"], row["up_to"])
    grades = next(one for one in GRADES if one["over"] <= row["over"] and row["up_to"] <= one["up_to"])
    assert row["p"] == pytest.approx(grades["7"] + 2.5, abs=3)
    assert row["m"] == pytest.approx(grades["7"] - grades["6"], abs=1)
    assert row["a"] == pytest.approx(-(265 + 1.3 * size) if size <= 120 else -3.5 * size, rel=0.06)
    assert row["b"] == pytest.approx(-(140 + 0.85 * size) if size <= 160 else -1.8 * size, rel=0.05)
    assert row["c"] == pytest.approx(-52 * size**0.2 if size <= 40 else -(95 + 0.8 * size), rel=0.16)


@pytest.mark.parametrize("row", SHAFTS[:3], ids=lambda row: f"to {row['up_to']}")
def test_intermediate_letters_are_the_mean_of_their_neighbours(row: dict[str, float]) -> None:
    for letter, one, other in (("cd", "c", "d"), ("ef", "e", "f"), ("fg", "f", "g")):
        assert row[letter] == pytest.approx(-sqrt(row[one] * row[other]), abs=1.6)


def test_the_bands_join_and_the_letters_are_in_order() -> None:
    """No gap between bands; along a row, a to zc, the fundamental deviation only rises."""
    for name in ("iso286_grades", "iso286_shafts", "iso286_j"):
        rows = table(name).rows
        assert [row["over"] for row in rows] == [0, *(row["up_to"] for row in rows[:-1])]
        assert rows[-1]["up_to"] == 500
    for row in SHAFTS:
        letters = [row[letter] for letter in table("iso286_shafts").units if letter not in ("over", "up_to")]
        known = [one for one in letters if not isnan(one)]
        assert known == sorted(known)


@given(SIZES, st.sampled_from(ROOM), st.integers(1, 18))
def test_holes_with_room_mirror_the_shaft(size: float, letter: str, grade: int) -> None:
    try:
        upper, lower = at(size, f"{letter}{grade}")
    except InputError:
        with pytest.raises(InputError):
            at(size, f"{letter.upper()}{grade}")
        return
    assert at(size, f"{letter.upper()}{grade}") == (-lower, -upper)
    assert upper <= 0


@given(SIZES, st.sampled_from(PRESSED), st.integers(4, 7))
def test_a_hole_of_one_grade_coarser_gives_the_same_fit_either_way(
    size: float, letter: str, grade: int
) -> None:
    """Delta is made for this: H7/p6 and P7/h6 are the same fit, over 3 mm up to grade 7 (K, M, N: 8)."""
    coarser = grade + 1
    try:
        pressed, plain = at(size, f"{letter}{grade}"), at(size, f"H{coarser}")
        hole, shaft = at(size, f"{letter.upper()}{coarser}"), at(size, f"h{grade}")
    except InputError:
        return
    special = 250 < size <= 315 and (letter, coarser) == ("m", 6)
    if size <= 3 or special or (coarser == 8 and letter not in "kmn"):
        return
    assert plain[0] - pressed[1] == hole[0] - shaft[1]
    assert plain[1] - pressed[0] == hole[1] - shaft[0]


def test_the_exceptions_of_the_standard() -> None:
    """M6 over 250 to 315 mm, N9 and coarser, K only to grade 8, no delta below 3 mm or beyond its grades."""
    assert at(280, "M6") == (-9, -41)
    assert at(281, "M7") == (0, -52)
    assert at(25, "N9") == (0, -52) and at(3, "N9") == (-4, -29)
    assert at(3, "K9") == (0, -25)
    with pytest.raises(InputError, match="no K9 over 3 mm"):
        at(3.01, "K9")
    assert at(2, "P6") == (-6, -12)
    assert at(25, "P8") == (-22, -55) and at(25, "P7") == (-14, -35)
    assert at(25, "M9") == (-8, -60)
    assert at(25, "k3") == (4, 0) and at(25, "k8") == (33, 0) and at(25, "k4") == (8, 2)


@given(SIZES, st.integers(1, 18))
def test_js_is_half_the_tolerance_to_either_side(size: float, grade: int) -> None:
    upper, lower = at(size, f"js{grade}")
    assert upper == -lower and upper - lower == at(size, f"h{grade}")[0] - at(size, f"h{grade}")[1]
    assert at(size, f"JS{grade}") == (upper, lower)


@pytest.mark.parametrize(("edge", "zone"), [(18, "H7"), (30, "g6"), (50, "s6"), (65, "s6"), (3, "h6")])
def test_a_size_on_the_border_belongs_to_the_lower_band(edge: float, zone: str) -> None:
    assert at(edge, zone) == at(edge - 0.001, zone) != at(edge + 0.001, zone)


@pytest.mark.parametrize(
    ("size", "zone", "said"),
    [
        (500.1, "H7", "up to 500 mm; 500.1 mm is outside"),
        (0.8, "a11", "no a11 up to 1 mm"),
        (1, "B9", "no B9 up to 1 mm"),
        (1, "N9", "no N9 up to 1 mm"),
        (0.5, "js14", "no js14 up to 1 mm"),
        (24, "t6", "no t6 at 24 mm; t goes from over 24"),
        (14, "V7", "no V7 at 14 mm; V goes from over 14"),
        (18, "y7", "no y7 at 18 mm; y goes from over 18"),
        (10.5, "CD8", "no CD8 at 10.5 mm; CD goes from over 0 up to 10"),
        (25, "j8", "there j comes as j5, j6, j7"),
        (25, "J5", "there J comes as J6, J7, J8"),
        (25, "P2", "from grade 3 on"),
    ],
)
def test_what_the_standard_does_not_tabulate_is_refused(size: float, zone: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        at(size, zone)
    if size == 1:
        assert at(1.001, zone)


@pytest.mark.parametrize(
    ("text", "zone"),
    [
        ("H7", "H7"),
        (" js 9 ", "js9"),
        ("Js9", "JS9"),
        ("Za8", "ZA8"),
        ("h01", "h01"),
        ("h0", "h0"),
        ("g06", "g6"),
    ],
)
def test_a_zone_is_read_as_it_is_written(text: str, zone: str) -> None:
    assert str(parse_zone(text)) == zone
    assert parse_zone(text).is_hole is zone[0].isupper()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Q7", "there is no Q; holes have A B C CD D .* ZC"),
        ("o6", "there is no o; shafts have a b c cd d .* zc"),
        ("jS9", "there is no jS"),
        ("H19", "there is no grade 19; the grades are 01, 0 and 1 to 18"),
        ("7H", "write a letter and a grade, such as H7"),
        ("", "write a letter and a grade"),
        ("H7\n\x1b", "write a letter and a grade"),
    ],
)
def test_what_is_no_zone_is_answered_with_what_would_do(text: str, said: str) -> None:
    with pytest.raises(InputError, match=said) as fault:
        parse_zone(text)
    assert str(fault.value).isprintable()


@pytest.mark.parametrize(
    ("text", "size", "zones"),
    [
        ("47 H7", "47", ("H7",)),
        ("25H7/g6", "25", ("H7", "g6")),
        ("ø 62,5 mm K7", "62,5 mm", ("K7",)),
        ("1 1/4 in H8 f7", "1 1/4 in", ("H8", "f7")),
        ("⌀6.35js9", "6.35", ("js9",)),
    ],
)
def test_a_size_with_its_zones_is_taken_apart(text: str, size: str, zones: tuple[str, ...]) -> None:
    assert split_zones(text) == (size, tuple(parse_zone(zone) for zone in zones))


@pytest.mark.parametrize("text", ["47", "H7", "47 H", "47 H7 g6 k6", "a 47 H7"])
def test_what_is_no_size_with_a_zone_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="write for example 47 H7"):
        split_zones(text)


@given(st.text(max_size=12))
def test_any_text_is_a_zone_or_refused_in_one_line(text: str) -> None:
    for read in (parse_zone, split_zones):
        try:
            read(text)
        except InputError as fault:
            assert str(fault).isprintable()


@given(SIZES, st.sampled_from([*ROOM, "js", "j", *PRESSED]), st.integers(1, 18), st.booleans())
def test_every_zone_is_as_wide_as_its_grade(size: float, letter: str, grade: int, hole: bool) -> None:
    zone = Zone(letter.upper() if hole else letter, str(grade))
    try:
        upper, lower = deviations(size, zone)
    except InputError:
        return
    wide, none = deviations(size, Zone("H", str(grade)))
    assert none == 0
    assert upper - lower == pytest.approx(wide, abs=1e-9)
