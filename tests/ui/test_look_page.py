"""The page of the look-up: one key from any page, answers while typing, and back to the same item."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from fake_sitting import DRILL, FakeSitting, number

from handwheel.commands import BY_KEY
from handwheel.errors import InputError
from handwheel.ui.desk import Desk, Work
from handwheel.ui.keys import Press
from handwheel.ui.looks import Look
from handwheel.ui.lookup import LookPage
from handwheel.ui.operation import OperationPage
from handwheel.ui.pages import ChoicePage, Page, TextPage, WordsPage
from handwheel.ui.rows import plain

NOWHERE = Path("nowhere")
SIZES = [(80, 24), (120, 40), (40, 12)]


class Bench:
    """A desk whose slow work is done at once, and what it last showed."""

    def __init__(self, look: Look | None = None, size: tuple[int, int] = (80, 24)) -> None:
        self.size = size
        self.ended = False
        self.desk = Desk(look or Look(), self._paint, self._end, lambda *_: None, self._now)
        self.desk.aside = self._aside  # type: ignore[method-assign]

    def _paint(self) -> None:
        self.lines()

    def _end(self) -> None:
        self.ended = True

    def _now(self, work: Work) -> None:
        work()

    def _aside(self, work: object) -> None:
        work()()  # type: ignore[operator]

    def press(self, *keys: str) -> None:
        """Press keys; what names no key is typed sign by sign."""
        for key in keys:
            for one in [key] if key in NAMED else key:
                self.desk.press(Press(one, 1.0))

    def lines(self) -> list[str]:
        return [plain(row) for row in self.desk.rows(*self.size)]

    def text(self) -> str:
        return " ".join(" ".join(self.lines()).split())

    @property
    def top(self) -> Page:
        return self.desk.pages[-1]


NAMED = {"enter", "escape", "backspace", "delete", "up", "down", "pageup", "pagedown", "tab", "f3"}


@pytest.fixture
def bench() -> Bench:
    """A desk with the look-up on it."""
    made = Bench()
    made.desk.open(LookPage(made.desk))
    return made


def below(kind: str, desk: Desk) -> Page:
    """Make a page for the look-up to be opened on."""
    sitting = FakeSitting(DRILL)
    made: dict[str, Page] = {
        "text": TextPage(desk, "Text", lambda width: ()),
        "choice": ChoicePage(desk, "Choice", ("one",), lambda number: None),
        "words": WordsPage(desk, "Words", "what", lambda words: None),
        "operation": OperationPage(desk, NOWHERE, sitting.open),  # type: ignore[arg-type]
    }
    return made[kind]


# --- to it and back ------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["text", "choice", "words", "operation"])
@pytest.mark.parametrize("back", ["f3", "escape", "backspace", "*"])
def test_one_key_opens_it_on_every_page_and_one_key_comes_back(kind: str, back: str) -> None:
    """F3 opens it everywhere; F3, Escape, Backspace and * of the keypad return to the page as it was."""
    bench = Bench()
    under = below(kind, bench.desk)
    bench.desk.open(under)
    before = bench.lines()
    bench.press("f3")
    assert isinstance(bench.top, LookPage)
    bench.press(back)
    assert bench.top is under and bench.lines() == before


@pytest.mark.parametrize(
    ("kind", "keys"), [("text", "l"), ("choice", "l"), ("operation", "l"), ("choice", ".")]
)
def test_a_letter_opens_it_where_letters_are_commands_and_the_point_in_lists(kind: str, keys: str) -> None:
    """On a keypad the point opens it in a list."""
    bench = Bench()
    bench.desk.open(below(kind, bench.desk))
    bench.press(keys)
    assert isinstance(bench.top, LookPage)


def test_where_words_are_typed_a_letter_is_a_letter() -> None:
    """Neither l nor the point opens anything in a remark."""
    bench = Bench()
    bench.desk.open(below("words", bench.desk))
    bench.press("l.")
    assert isinstance(bench.top, WordsPage) and "l.▏" in bench.text()


def test_a_half_typed_entry_is_there_again() -> None:
    """F3 in the middle of a number; the sign that it ends with is typed on."""
    bench = Bench()
    sitting = FakeSitting(number(), DRILL)
    bench.desk.open(OperationPage(bench.desk, NOWHERE, sitting.open))  # type: ignore[arg-type]
    bench.press("46.9", "f3", "M8", "enter", "f3", "f3")
    assert isinstance(bench.top, OperationPage) and "46.9▏" in bench.text()
    bench.press("8", "enter")
    assert sitting.answers == [("typed", "46.98")]


def test_the_item_that_is_looked_at_is_there_again() -> None:
    """Whoever looks ahead, looks something up and comes back still looks ahead, and has answered nothing."""
    bench = Bench()
    sitting = FakeSitting(DRILL, replace(DRILL, text="Another cut."), number())
    bench.desk.open(OperationPage(bench.desk, NOWHERE, sitting.open))  # type: ignore[arg-type]
    bench.press("+")
    before = bench.lines()
    bench.press("l", "6.8", "enter", "0", "escape")
    assert bench.lines() == before and "LOOKING AHEAD" in bench.text()
    assert sitting.answers == []


def test_it_opens_while_the_plan_is_read_and_what_waits_is_answered_on_return() -> None:
    """The look-up needs no plan; a key that waits for the plan is not lost over it."""
    bench = Bench()
    opened: list[object] = []
    bench.desk.aside = opened.append  # type: ignore[method-assign, assignment]
    under = below("operation", bench.desk)
    bench.desk.open(under)
    bench.press("l")
    assert isinstance(bench.top, LookPage) and "Reading the tables" in bench.text()


def test_a_job_that_cannot_be_opened_is_said_when_the_look_up_is_closed() -> None:
    """What is typed into the line answers no question that came up below it."""
    bench = Bench()
    waiting: list[object] = []
    bench.desk.aside = waiting.append  # type: ignore[method-assign, assignment]

    def refuse(*_: object) -> FakeSitting:
        raise InputError("job.toml:3 features: a fault")

    bench.desk.open(OperationPage(bench.desk, NOWHERE, refuse))  # type: ignore[arg-type]
    bench.press("l")
    waiting[0]()()  # type: ignore[operator]
    bench.press("10")
    assert isinstance(bench.top, LookPage) and "10▏" in bench.text()
    bench.press("f3")
    assert "nowhere cannot be opened" in bench.text() and "a fault" in bench.text()


def test_the_menu_has_it_for_the_keypad() -> None:
    """* and the point, and the menu is gone on return."""
    bench = Bench()
    bench.desk.open(OperationPage(bench.desk, NOWHERE, FakeSitting(DRILL).open))  # type: ignore[arg-type]
    bench.press("*")
    assert ". look up" in bench.text()
    bench.press(".")
    assert isinstance(bench.top, LookPage)
    bench.press("*")
    assert isinstance(bench.top, OperationPage)
    assert BY_KEY["l"].id == BY_KEY["f3"].id == "look"


# --- typing and answers ----------------------------------------------------------------------------------


def test_it_answers_while_it_is_typed(bench: Bench) -> None:
    """Each sign changes the answer: M is a drill, M8 a thread, M8x1 another."""
    bench.press("M")
    assert "M drill" in bench.text()
    bench.press("8")
    assert "M8, ISO metric thread" in bench.text() and "tap drill 6.80 mm" in bench.text()
    bench.press("x1")
    assert "tap drill 7.00 mm" in bench.text()
    bench.press("backspace", "*")
    assert "M8, ISO metric thread" in bench.text()
    bench.press("delete")
    assert "thread" not in bench.text()


def test_what_is_not_known_is_said_below_the_line(bench: Bench) -> None:
    """The message stands where every page has it, and names the nearest."""
    bench.press("spindel_sped")
    assert '→ nothing is called "spindel_sped"; near it: spindle_speed' in bench.text()


@pytest.mark.parametrize("typed", ["6.8", "13/64", "1/4-20", "25 H7/g6", "cutting_speed=25 m/min", "x+-"])
def test_every_sign_goes_into_the_line(bench: Bench, typed: str) -> None:
    """Point, stroke, minus and blank are typed; so is + behind a letter."""
    bench.press(typed)
    assert f"{typed}▏" in " ".join(bench.lines())


def chosen(bench: Bench) -> str:
    """The row that is chosen."""
    rows = [line for line in bench.lines() if "►" in line]
    assert len(rows) == 1
    return " ".join(rows[0].replace("►", "").split())


def test_arrows_choose_and_so_does_plus_of_the_keypad(bench: Bench) -> None:
    """The choice goes round at both ends."""
    bench.press("6.8")
    assert chosen(bench).startswith("diameter 6.80 mm")
    bench.press("down")
    assert chosen(bench).startswith("inches 0.2677 in")
    bench.press("+", "tab")
    assert chosen(bench).startswith("drill above 6.90 mm")
    bench.press("up", "up", "up", "up")
    assert chosen(bench).startswith("clears M6 medium")
    bench.press("+")
    assert chosen(bench).startswith("diameter") and "6.8▏" in bench.text()


def test_enter_says_why_and_comes_back_to_the_same_row(bench: Bench) -> None:
    """The explanation is the one of every other page: formula, source, what was typed."""
    bench.press("M8", "down", "enter")
    assert "Why this value" in bench.text() and "Drill before tapping" in bench.text()
    assert 'thread = M8, typed: look-up ("M8")' in bench.text() and "look up" not in bench.lines()[-1]
    bench.press("0")
    assert chosen(bench).startswith("tap drill 6.80 mm") and "M8▏" in bench.text()
    bench.press("enter", "f3")
    assert isinstance(bench.top, LookPage)


def test_a_pointer_is_followed_and_inputs_are_typed_on(bench: Bench) -> None:
    """From a word to the calculation, its inputs one by one, and the result."""
    bench.press("spindle rpm")
    while "calculation Spindle speed" not in chosen(bench):
        bench.press("down")
    bench.press("enter")
    assert "spindle_speed ▏" in " ".join(bench.lines())
    assert chosen(bench).startswith("cutting speed ? for example")
    bench.press("enter")
    assert "→ cutting speed is still to be typed" in bench.text()
    bench.press("25 m/min")
    assert chosen(bench).startswith("cutting speed 25.0 m/min") and "diameter ?" in bench.text()
    bench.press(" 6.8")
    assert chosen(bench).startswith("spindle speed 1170 1/min")
    assert "of cutting speed 25.0 m/min, diameter 6.80 mm" in bench.text()


def test_the_choices_of_an_ambiguous_name_lead_to_each(bench: Bench) -> None:
    """Mild steel: one of several; Enter takes the chosen one."""
    bench.press("mild steel", "down", "enter")
    assert "C15▏" in bench.text() and "material C15" in bench.text()


def test_a_long_answer_scrolls_with_the_choice_and_says_how_much_follows(bench: Bench) -> None:
    """Every row of a list of holes can be reached, and its end is seen."""
    bench.press("bolt_circle 40 80")
    assert "more lines" in bench.text()
    seen = set(bench.lines())
    for _ in range(50):
        bench.press("down")
        assert any("►" in line for line in bench.lines())
        seen |= set(bench.lines())
    assert sum("351" in line for line in seen) >= 1 and sum("-40.00" in line for line in seen) >= 1
    bench.press("up")
    assert "more lines" not in bench.text() or chosen(bench)


def test_pages_scroll_and_stop_at_the_ends(bench: Bench) -> None:
    """Page down reaches the last value, page up the first, and neither goes round."""
    bench.press("M8", *["pagedown"] * 4)
    last = chosen(bench)
    assert last.startswith("external class 6g")
    bench.press("pagedown")
    assert chosen(bench) == last
    bench.press(*["pageup"] * 6)
    assert chosen(bench).startswith("pitch")


def test_a_paste_is_its_first_line_and_a_long_one_is_refused_with_a_word(bench: Bench) -> None:
    """Nothing is dropped without a word."""
    bench.desk.paste("47 H7\nM8")
    assert "47 H7▏" in bench.text() and "max size 47.025 mm" in bench.text()
    bench.desk.paste("x" * 400)
    assert "this was not taken" in bench.text() and "47 H7▏" in bench.text()


def test_control_signs_of_a_paste_are_shown_and_refused(bench: Bench) -> None:
    """An escape sequence reaches neither the terminal nor the tables."""
    bench.desk.paste("M8\x1b[31m")
    assert "\x1b" not in "".join(bench.lines()) and "signs that cannot be typed" in bench.text()


def test_what_is_typed_before_the_tables_are_read_is_answered_when_they_are() -> None:
    """The page is there at once; the line is kept."""
    bench = Bench()
    waiting: list[object] = []
    bench.desk.aside = waiting.append  # type: ignore[method-assign, assignment]
    bench.desk.open(LookPage(bench.desk))
    bench.press("M8")
    assert "Reading the tables" in bench.text() and "M8▏" in bench.text()
    waiting[0]()()  # type: ignore[operator]
    assert "tap drill 6.80 mm" in bench.text()


def test_numbers_are_in_the_units_of_the_job() -> None:
    """In a job in inches a bare size is inches, and so is what is shown."""
    bench = Bench()
    bench.desk.open(LookPage(bench.desk, "inch"))
    bench.press("0.25")
    assert "diameter 0.250 in" in bench.text()


# --- looks and sizes -----------------------------------------------------------------------------------


def queries() -> Iterator[str]:
    yield from (
        "",
        "M8",
        "6.8",
        "C45",
        "mild steel",
        "chamfer",
        "bolt_circle 40 80",
        "spindle_speed 25",
        "zzzz",
    )
    yield "x" * 120


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize(
    "look", [Look(), Look("mono"), Look("mono", ascii=True)], ids=["colour", "mono", "ascii"]
)
def test_it_fits_every_size_and_every_look(size: tuple[int, int], look: Look) -> None:
    """Exactly as many rows as there are, none wider, the line always among them, ASCII where that is all."""
    bench = Bench(look, size)
    bench.desk.open(LookPage(bench.desk))
    for query in queries():
        bench.press("delete", query)
        lines = bench.lines()
        assert len(lines) == size[1] and all(len(line.rstrip()) <= size[0] for line in lines)
        assert sum(" > " in line and look.signs.cursor in line for line in lines) == 1
        if look.ascii:
            assert all(line.isascii() for line in lines)


def test_a_terminal_that_is_too_small_says_so() -> None:
    """The line is kept for when there is room again."""
    bench = Bench(size=(30, 8))
    bench.desk.open(LookPage(bench.desk))
    bench.press("M8")
    assert "enlarge to 80x24" in bench.text()
    bench.size = (80, 24)
    assert "M8▏" in bench.text()
