import pytest

from handwheel.calc.designations import INCH, known_threads, parse_thread
from handwheel.errors import InputError


@pytest.mark.parametrize("name", known_threads())
def test_every_thread_is_read_back_from_its_own_designation(name: str) -> None:
    assert parse_thread(name) == known_threads()[name]


@pytest.mark.parametrize(
    ("typed", "designation"),
    [
        ("m8", "M8"),
        ("M8x1.25", "M8"),
        (" M8 × 1,25 ", "M8"),
        ("M8*1", "M8x1"),
        ("M 8 X 1", "M8x1"),
        ("M8-LH", "M8-LH"),
        ("M8x1 lh", "M8x1-LH"),
        ("Tr20x4", "Tr 20x4"),
        ("tr 20 × 4", "Tr 20x4"),
        ("1/4-20", "1/4-20 UNC"),
        ('1/4"-28', "1/4-28 UNF"),
        ("1/4 UNF", "1/4-28 UNF"),
        ("UNC 1/4-20", "1/4-20 UNC"),
        (".250-20", "1/4-20 UNC"),
        ("10-32", "#10-32 UNF"),
        ("No. 10-24", "#10-24 UNC"),
        ("1-72", "#1-72 UNF"),
        ("1-8", "1-8 UNC"),
        ("G1/4", "G 1/4"),
        ("1/4 BSPP", "G 1/4"),
        ("G 1 1/4", "G 1 1/4"),
        ("1/8 NPT", "1/8-27 NPT"),
        ("NPT 1", "1-11.5 NPT"),
    ],
)
def test_spellings(typed: str, designation: str) -> None:
    assert parse_thread(typed).designation == designation


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("M7.3x9", "M7 (pitch 1 or 0.75) and M8 (pitch 1.25 or 1 or 0.75)"),
        ("M8x9", "M8 has the pitch 1.25 or 1 or 0.75"),
        ("M15", "M15x1.5 or M15x1; write which"),
        ("Tr 20", "Tr 20x4 or Tr 20x2; write which"),
        ("1/4", "1/4-20 UNC or 1/4-28 UNF or 1/4-32 UNEF; write which"),
        ("#10", "#10-24 UNC or #10-32 UNF; write which"),
        ("1/4-28 UNC", "1/4-20 UNC or 1/4-28 UNF"),
        ("1/4-19", "1/4-20 UNC or 1/4-28 UNF"),
        ("13/17-4", "No. 0 to 2 in"),
        ("1/8-28 NPT", "1/8-27 NPT"),
        ("foo", "M8, M8x1"),
        ("", "M8, M8x1"),
        ("M" * 99, "M8, M8x1"),
    ],
)
def test_what_is_not_listed_is_answered_with_what_is(typed: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_thread(typed)
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


def test_inch_sizes_are_in_millimetres() -> None:
    size = parse_thread("1/2-13 UNC")
    assert size.nominal_diameter == pytest.approx(12.7)
    assert size.pitch == pytest.approx(INCH / 13)
