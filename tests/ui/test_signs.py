"""Keys, commands, entry, digits and looks: what the pages are made of."""

from __future__ import annotations

from itertools import chain

import pytest
from rich.color import Color
from rich.style import Style

from handwheel import commands
from handwheel.commands import BY_KEY, COMMANDS, MENU, Command, key_lines
from handwheel.ui.digits import large
from handwheel.ui.entry import Entry
from handwheel.ui.keys import key_name
from handwheel.ui.looks import STYLES, Look, choose_look, refuse_terminal
from handwheel.ui.rows import ROLES, Span, fit, plain, wrap
from handwheel.ui.start import LOOKS

UTF8 = "utf-8"


# --- keys --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("key", "character", "name"),
    [
        ("decimal", None, "."),
        ("decimal", ",", ","),
        ("separator", None, ","),
        ("add", None, "+"),
        ("subtract", None, "-"),
        ("multiply", None, "*"),
        ("divide", None, "/"),
        ("minus", "-", "-"),
        ("full_stop", None, "."),
        ("7", "7", "7"),
        ("enter", "\r", "enter"),
        ("ctrl+j", "\n", "enter"),
        ("\ue053", "\ue053", ""),
        ("ctrl+y", "\x19", "ctrl+y"),
        ("upper_b", "B", "B"),
        ("f2", None, "f2"),
    ],
)
def test_a_key_has_one_name_whatever_the_terminal_calls_it(
    key: str, character: str | None, name: str
) -> None:
    assert key_name(key, character) == name


# --- commands ----------------------------------------------------------------------------------------


def test_every_command_can_be_reached_from_the_numeric_keypad() -> None:
    keypad = set("0123456789.+-*/") | {"enter"}
    full_keyboard_only = {"words"}
    on_the_drawing = {"far"}  # which is in the menu, and opens the far view with 1
    for command in COMMANDS:
        reachable = command.pad in keypad or command.menu in keypad or keypad & set(command.keys)
        assert reachable or command.id in full_keyboard_only | on_the_drawing, command.id
    assert [command.menu for command in MENU] == list("123456789./")


def test_a_key_that_stands_for_two_commands_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(commands, "COMMANDS", (*COMMANDS, Command("other", "other", "help", ("u",))))
    with pytest.raises(ValueError, match="u stands for undo and for other"):
        commands._by_key()


def test_no_digit_and_no_point_commands() -> None:
    assert not set(BY_KEY) & set("0123456789.,")


def test_the_listing_names_every_command_and_its_keys() -> None:
    text = "\n".join(key_lines())
    for command in COMMANDS:
        assert command.label in text and command.help in text


# --- entry -------------------------------------------------------------------------------------------


def typed(keys: str, takes: str = "number") -> tuple[str, list[str]]:
    entry = Entry()
    said = [entry.add(key, takes) for key in keys]  # type: ignore[arg-type]
    return entry.text, [one for one in said if one]


@pytest.mark.parametrize("text", ["12.5", "3/8", "1 1/2", "-0.02", "25,4 mm", "850 rpm", '1/4"', ".5"])
def test_an_entry_shows_exactly_what_was_typed(text: str) -> None:
    assert typed(text) == (text, [])


@pytest.mark.parametrize(
    ("keys", "stays", "why"), [("1.2.3", "1.23", "second point"), ("1,2.", "1,2", "point")]
)
def test_a_second_point_is_refused_with_a_message(keys: str, stays: str, why: str) -> None:
    text, said = typed(keys)
    assert text == stays
    assert len(said) == 1 and why in said[0]


@pytest.mark.parametrize("keys", ["3/8/", "1-", "1+"])
def test_a_sign_that_cannot_belong_there_is_refused_with_a_message(keys: str) -> None:
    text, said = typed(keys)
    assert text == keys[:-1] and keys[-1] in said[0]


def test_a_choice_takes_digits_alone_and_an_item_nothing() -> None:
    assert typed("1a", "choice") == ("1", ["a was not taken: type the number of your choice, then Enter"])
    assert typed("1", "enter")[0] == ""
    assert "Enter" in typed("1", "enter")[1][0]


def test_a_minus_begins_an_entry_only_where_a_reading_has_a_sign() -> None:
    entry = Entry()
    assert entry.begins("-", "number", signed=True)
    assert not entry.begins("-", "number", signed=False)
    assert not entry.begins("/", "number", signed=True)


# --- large digits ------------------------------------------------------------------------------------


def test_every_digit_differs_from_every_other() -> None:
    drawn = {sign: tuple(large(sign, "#", 80, 5)) for sign in "0123456789-+/.,"}
    assert len(set(drawn.values())) == len(drawn)
    assert all(len(lines) == 5 for lines in drawn.values())


def test_digits_are_as_large_as_there_is_room() -> None:
    assert len(large("850", "#", 80, 7)) == 7
    assert len(large("850", "#", 80, 5)) == 5
    assert large("850", "#", 20, 7) == []
    assert large("850", "#", 80, 4) == []
    assert large("M8", "#", 80, 7) == []


# --- rows --------------------------------------------------------------------------------------------


def test_wrapping_loses_no_word() -> None:
    text = "a long word " + "x" * 50 + " and 日本語 at the end"
    for width in range(4, 60):
        assert "".join(wrap(text, width)).replace(" ", "") == text.replace(" ", "")


def test_fit_cuts_with_a_sign_and_fills_with_blanks() -> None:
    assert plain(fit([Span("abcdef")], 4, "…")) == "abc…"
    assert plain(fit([Span("ab")], 4)) == "ab  "
    assert plain(fit([Span("日本")], 3)) == "日 "


# --- looks -------------------------------------------------------------------------------------------


def luminance(color: Color) -> float:
    channels = [part / 255 for part in color.get_truecolor()]
    red, green, blue = (c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@pytest.mark.parametrize("role", ROLES)
def test_contrast_is_at_least_seven_to_one(role: str) -> None:
    style = Style.parse(STYLES["truecolor"][role])  # type: ignore[index]
    assert style.color and style.bgcolor
    dark, light = sorted((luminance(style.color), luminance(style.bgcolor)))
    assert (light + 0.05) / (dark + 0.05) >= 7


def test_what_may_be_asked_for_is_every_set_of_colours_and_ascii() -> None:
    assert (*STYLES, "ascii") == LOOKS


def test_each_look_has_a_style_for_each_role_and_mono_no_colour() -> None:
    for styles in STYLES.values():
        assert set(styles) == set(ROLES)
    for text in STYLES["mono"].values():
        style = Style.parse(text)
        assert style.color is None and style.bgcolor is None


def test_sixteen_colours_never_ask_for_others() -> None:
    for text in STYLES["16"].values():
        style = Style.parse(text)
        assert all(
            color is None or color.number is None or color.number < 16
            for color in (style.color, style.bgcolor)
        )
        assert all(color is None or color.triplet is None for color in (style.color, style.bgcolor))


@pytest.mark.parametrize(
    ("environ", "encoding", "asked", "look"),
    [
        ({"TERM": "xterm-256color", "COLORTERM": "truecolor"}, UTF8, "", Look("truecolor")),
        ({"TERM": "tmux-256color"}, UTF8, "", Look("truecolor")),
        ({"TERM": "xterm"}, UTF8, "", Look("16")),
        ({"TERM": "linux"}, UTF8, "", Look("16", ascii=True)),
        ({"TERM": "vt220"}, UTF8, "", Look("mono", ascii=True)),
        ({"TERM": "xterm-256color", "NO_COLOR": "1"}, UTF8, "", Look("mono")),
        ({"TERM": "xterm-256color", "NO_COLOR": ""}, UTF8, "", Look("truecolor")),
        ({"TERM": "xterm-256color"}, "latin-1", "", Look("truecolor", ascii=True)),
        ({"TERM": "xterm-256color"}, "UTF-8", "mono", Look("mono")),
        ({"TERM": "xterm-256color", "NO_COLOR": "1"}, UTF8, "truecolor", Look("truecolor")),
        ({"TERM": "xterm"}, UTF8, "ascii", Look("16", ascii=True)),
    ],
)
def test_the_look_follows_from_the_terminal(
    environ: dict[str, str], encoding: str, asked: str, look: Look
) -> None:
    assert choose_look(environ, encoding, asked) == look


class Stream:
    def __init__(self, tty: bool) -> None:
        self._tty = tty

    def isatty(self) -> bool:
        return self._tty


def test_without_a_terminal_the_screens_are_refused_and_say_what_would_do() -> None:
    tty, pipe = Stream(True), Stream(False)
    assert refuse_terminal({"TERM": "xterm"}, (tty, tty)) == ""
    for environ, streams in (
        ({"TERM": "xterm"}, (tty, pipe)),
        ({"TERM": "dumb"}, (tty, tty)),
        ({}, (None, tty)),
    ):
        assert "--plain" in refuse_terminal(environ, streams)


def test_ascii_text_is_ascii_and_control_signs_are_shown() -> None:
    look = Look("mono", ascii=True)
    assert look.text("Ø 9 × 20 °C …") == "dia  9 x 20  deg C ..."
    assert look.text("a\tb\x1b[0m") == "a\\tb\\x1b[0m"
    assert Look().text("a\u202eb") == "a\\u202eb"
    assert all(sign.isascii() for sign in chain.from_iterable(map(look.text, ("µ", "日", "ä"))))
