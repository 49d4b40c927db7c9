"""The operation screen as text: nothing that matters is ever missing, whatever the size."""

from __future__ import annotations

from dataclasses import replace

import pytest
from fake_sitting import DRILL, number, setting
from rich.cells import cell_len

from handwheel.present.view import Line, RunView
from handwheel.ui.drawn import Around, operation_rows, table_rows
from handwheel.ui.looks import UNICODE, Look
from handwheel.ui.rows import plain

SIZES = [(80, 24), (40, 12), (120, 40), (64, 18), (40, 10)]
BLOCK = UNICODE.block


def drawn(view: RunView, width: int, height: int, look: Look | None = None, **around: object) -> list[str]:
    look = look or Look()
    shown = Around(saved="SAVED 14:05:31", **around)  # type: ignore[arg-type]
    rows = operation_rows(look.clean(view), look.clean(shown), look, width, height)
    assert len(rows) == height
    lines = [plain(one).rstrip() for one in rows]
    assert all(cell_len(line) <= width for line in lines), lines
    return lines


def flat(lines: list[str]) -> str:
    return " ".join(" ".join(lines).split())


@pytest.mark.parametrize(("width", "height"), SIZES)
@pytest.mark.parametrize("look", [Look(), Look("mono", ascii=True)])
def test_number_entry_and_message_are_there_at_every_size(width: int, height: int, look: Look) -> None:
    text = flat(drawn(setting(), width, height, look, entry="84", message="above the limit"))
    assert "850 1/min" in text
    assert f"84{look.signs.cursor}" in text
    assert "above the limit" in text
    assert "SAVED 14:05:31" in text


@pytest.mark.parametrize(("width", "height"), [(80, 24), (120, 40)])
def test_live_text_and_every_caution_are_whole(width: int, height: int) -> None:
    text = flat(drawn(DRILL, width, height))
    for caution in DRILL.strip:
        assert caution in text
    assert "Drill to the stop, drawing the drill out at each of the depths" in text
    assert "Enter: cut made" in text
    assert "a[/b]c" in text


def test_a_long_refusal_is_whole_and_moves_nothing_above_it() -> None:
    quiet = drawn(DRILL, 80, 24)
    why = (
        "46.9 mm against 4.69 mm expected: ten times too small. " * 2 + "Measure again and type what you read"
    )
    loud = drawn(DRILL, 80, 24, message=why)
    assert why in flat(loud)
    at = next(index for index, line in enumerate(quiet) if "NOW" in line)
    assert loud[: at + 2] == quiet[: at + 2]


def test_the_number_is_drawn_at_least_five_rows_high_beside_its_table() -> None:
    lines = drawn(DRILL, 80, 24)
    assert sum(BLOCK in line for line in lines) >= 5
    row = next(line for line in lines if "► " in line and "13.60" in line)
    assert BLOCK in row or "13.60 mm" in row
    assert any("STOP AT" in line and "Pecks" in line for line in lines)


def test_only_one_line_is_live_and_words_say_what_the_others_are() -> None:
    text = "\n".join(drawn(DRILL, 80, 24))
    assert text.count("NOW") == 1
    assert "done" in text and "pending" in text and "to come" in text
    assert "Drill to the stop, drawing" in text


def test_the_live_line_stands_in_one_place() -> None:
    places = set()
    for view in (DRILL, setting(), replace(DRILL, lines=DRILL.lines[2:]), number(lines=DRILL.lines)):
        lines = drawn(view, 80, 24)
        places.add(next(index for index, line in enumerate(lines) if "NOW" in line))
    assert len(places) == 1


def test_a_hazard_shows_its_signal_word() -> None:
    text = flat(drawn(replace(DRILL, kind="HAZARD", word="DANGER", big=""), 80, 24))
    assert "NOW DANGER" in text


def test_choices_are_numbered() -> None:
    text = flat(drawn(replace(number(), takes="choice", choices=("goes", "does not go")), 80, 24))
    assert "1 goes" in text and "2 does not go" in text


def test_looking_ahead_says_so_and_how_to_return() -> None:
    text = flat(drawn(DRILL, 80, 24, away=2))
    assert "LOOKING AHEAD: 2" in text and "NOW" not in text
    assert "Enter returns to the live item" in text


def test_a_long_table_shows_its_first_rows_and_the_number_and_says_how_much_is_between() -> None:
    rows = tuple((str(turn), f"{turn}.50") for turn in range(1, 41))
    view = replace(DRILL, big="20.50", table=(("turn", "depth mm"), *rows))
    text = flat(drawn(view, 80, 24))
    assert "► 20 20.50" in text
    assert all(f" {turn} {turn}.50" in text for turn in range(1, 12)) and "… 28 more: * 1" in text
    assert len(table_rows(view, UNICODE)) == 42


def test_not_saved_is_said_whole() -> None:
    look = Look()
    why = "NOT SAVED: record.toml was changed by somebody else; this goes to record.conflict-2026.toml"
    rows = operation_rows(DRILL, Around(saved=why), look, 80, 24)
    assert why in flat([plain(one) for one in rows])
    assert {span.role for one in rows for span in one if "NOT SAVED" in span.text} == {"stop"}


def test_a_terminal_that_is_too_small_says_how_large_it_has_to_be() -> None:
    assert flat(drawn(DRILL, 38, 9)) == "enlarge to 80x24 (now 38x9)"


@pytest.mark.parametrize(
    "title", ["[bold]x[/]", "a[/b]c", "\x1b[31mred", "日本語の題名" * 12, "e\u0301" * 30]
)
def test_any_title_is_printed_and_breaks_nothing(title: str) -> None:
    lines = drawn(replace(DRILL, title=title, text=title, lines=(Line("live", title),)), 80, 24)
    assert "\x1b" not in "".join(lines)
    if title.isascii() and title.isprintable():
        assert title in lines[0]


def test_ascii_look_prints_ascii_alone() -> None:
    view = replace(DRILL, text="Ø 9 × 24 mm … 20 °C ± 0.02 µm, 日本")
    assert "".join(drawn(view, 80, 24, Look("mono", ascii=True), message="→ …")).isascii()


def test_numbers_that_have_no_large_form_are_printed_as_text() -> None:
    text = flat(drawn(replace(DRILL, big="M8x1.25", table=()), 80, 24))
    assert "STOP AT M8x1.25 mm" in text and BLOCK not in text
