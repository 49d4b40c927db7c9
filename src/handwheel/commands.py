"""What a key does, declared once: the dispatch, the menu, the help and the listing of keys read this."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["BY_KEY", "COMMANDS", "MENU", "NOTES", "Command", "key_lines", "keys_in_words"]


@dataclass(frozen=True, slots=True)
class Command:
    """A thing to do at the operation screen.

    `keys` are those of a full keyboard, `pad` the one of the numeric keypad while the field is empty,
    `menu` its digit in the menu. `id` names the method that does it.
    """

    id: str
    label: str
    help: str
    keys: tuple[str, ...]
    pad: str = ""
    menu: str = ""


COMMANDS = (
    Command(
        "enter", "done", "takes what is typed; in an empty field it says that the item is done", ("enter",)
    ),
    Command(
        "back",
        "look back",
        "shows the item before, to read; Enter or any answer returns to the live item",
        ("b", "backspace", "left", "up", "pageup", "escape"),
        "-",
    ),
    Command(
        "ahead",
        "look ahead",
        "shows the item that follows, to read; Enter or any answer returns to the live item",
        ("n", "right", "down", "pagedown"),
        "+",
    ),
    Command("menu", "menu", "lists everything else by number", ("m",), "*"),
    Command("why", "why these numbers", "formula, inputs and source of each number", ("w",), menu="1"),
    Command(
        "undo",
        "take back the last entry",
        "the last entry is asked again; both stay in the record",
        ("u",),
        menu="2",
    ),
    Command(
        "waive",
        "go past a stop, with a reason",
        "the reason is kept in the record; it does not make the stop go away",
        ("x",),
        menu="3",
    ),
    Command("findings", "findings", "what the check of the plan found", ("f",), menu="4"),
    Command("route", "route", "the operations of the job and how they stand", ("r",), menu="5"),
    Command(
        "hold",
        "hold",
        "work is interrupted: what is live is asked again when you come back",
        ("h",),
        "/",
        menu="6",
    ),
    Command("remark", "remark", "keeps a remark in the record, at this place", ("k",), menu="7"),
    Command("help", "help", "how the live item is answered, and every key", ("?", "f1"), menu="8"),
    Command(
        "leave", "leave", "when everything is on the disk: to the list of jobs, or out", ("q",), menu="9"
    ),
    Command(
        "look",
        "look up",
        "what tables and calculations say to one typed line, and back to this item",
        ("l", "f3"),
        menu=".",
    ),
    Command(
        "drawing",
        "drawing",
        "the section of the feature with its depths, and where its holes are",
        ("d", "f4"),
        menu="/",
    ),
    Command(
        "far",
        "far view",
        "the number as large as the screen allows, to be read from afar; the same key returns",
        ("v", "f5"),
    ),
    Command("words", "own words", "types words instead of choosing a number", ("f2",)),
)

MENU = tuple(command for command in COMMANDS if command.menu)


def _by_key() -> dict[str, Command]:
    found: dict[str, Command] = {}
    for command in COMMANDS:
        for key in (*command.keys, *filter(None, (command.pad,))):
            if found.setdefault(key, command) is not command:
                raise ValueError(f"the key {key} stands for {found[key].id} and for {command.id}")
    return found


BY_KEY = _by_key()

_NAMES = {
    "pageup": "Page up",
    "pagedown": "Page down",
    "f1": "F1",
    "f2": "F2",
    "f3": "F3",
    "f4": "F4",
    "f5": "F5",
}


def _name(key: str) -> str:
    return key if len(key) == 1 else _NAMES.get(key, key.capitalize())


def keys_in_words(command: Command) -> str:
    """Name the keys of a command: those of the keypad first."""
    pad = [command.pad] if command.pad else [f"* {command.menu}"] if command.menu else []
    return "  ".join((*pad, *map(_name, command.keys)))


def key_lines() -> tuple[str, ...]:
    """List every command with its keys, for the command line."""
    keys = [keys_in_words(command) for command in COMMANDS]
    width = max(map(len, keys))
    lines = [f"{key:<{width}}  {one.label}: {one.help}" for key, one in zip(keys, COMMANDS, strict=True)]
    return (*lines, "", *NOTES)


NOTES = (
    "The first key is that of the numeric keypad, while the field is empty.",
    "Inside an entry + - / . , are signs of the number, and * takes back the last one.",
    "In a list or a menu the number picks; 0 goes back; + and - scroll; . opens the look-up.",
    "On the drawing 1 opens the far view, 2 says why, + and - turn to the next drawing.",
    "In the look-up every sign is typed into the line; the arrows or + choose, Enter says why, * takes back.",
    "Line by line, look M8 looks something up at once.",
)
