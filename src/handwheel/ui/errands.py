"""The pages that the operation screen opens: menu, reasons, words, and what can only be read."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Protocol

from handwheel.commands import MENU, Command
from handwheel.ui.desk import Desk
from handwheel.ui.drawn import table_rows
from handwheel.ui.lists import finding_rows, help_rows, route_rows
from handwheel.ui.pages import ChoicePage, Page, TextPage, WhyPage, WordsPage

if TYPE_CHECKING:
    from handwheel.present.numbers import System
    from handwheel.sitting import Sitting
    from handwheel.ui.operation import AnswerKind

__all__ = ["cannot_open", "conflict", "page", "unsaved"]


class Sender(Protocol):
    """The page that an errand is for."""

    @property
    def system(self) -> System:
        """The unit system that is worked in."""
        ...

    def do(self, command: Command) -> None:
        """Do a command."""
        ...

    def answer(self, kind: AnswerKind, text: str = "") -> None:
        """Answer the live item."""
        ...


def page(name: str, desk: Desk, sitting: Sitting, sender: Sender) -> Page:
    """Make the page of a command."""
    clean, signs = desk.look.clean, desk.look.signs
    match name:
        case "menu":
            return _menu(desk, sender)
        case "waive":
            return _reasons(desk, sitting.reasons(), sender)
        case "remark":
            return WordsPage(
                desk, "Remark", "It is kept in the record, at this place.", partial(sender.answer, "remark")
            )
        case "words":
            return WordsPage(desk, "Own words", sitting.view().prompt, partial(sender.answer, "typed"))
        case "why":
            view = clean(sitting.view())
            table = [*table_rows(view, signs), ()] if view.table else []
            return WhyPage(desk, "Why these numbers", clean(sitting.explain()), table)
        case "drawing":
            from handwheel.ui.sketch import DrawingPage  # not needed for the first paint

            return DrawingPage(desk, sitting, sender)
        case "findings":
            return TextPage(desk, "Findings", partial(finding_rows, clean(sitting.findings())))
        case "route":
            route = clean(sitting.route())
            return TextPage(desk, f"Route: {route.title}", partial(route_rows, route, signs))
        case _:
            return TextPage(desk, "Help", partial(help_rows, clean(sitting.view())))


def _menu(desk: Desk, sender: Sender) -> Page:
    def pick(number: int) -> None:
        desk.close(menu)
        sender.do(MENU[number - 1])

    choices = [f"{one.label}\n{one.help}" for one in MENU]
    signs = "".join(one.menu for one in MENU if not one.menu.isdecimal())
    menu = ChoicePage(desk, "Menu", choices, pick, signs=signs)
    return menu


def _reasons(desk: Desk, reasons: tuple[str, ...], sender: Sender) -> Page:
    def pick(number: int) -> None:
        desk.close(choice)
        sender.answer("waive", str(number))

    def own_words() -> None:
        desk.close(choice)
        desk.open(WordsPage(desk, "The reason, in your own words", said, partial(sender.answer, "waive")))

    said = "It is kept in the record and printed with it. It takes nothing of the danger away."
    choice = ChoicePage(desk, "Go past: the reason", reasons, pick, said=(said,), own_words=own_words)
    return choice


def cannot_open(
    desk: Desk, name: str, why: str, again: Callable[[], None], leave: Callable[[], None]
) -> Page:
    """Say why a job cannot be opened; the file may be mended meanwhile."""

    def pick(_: int) -> None:
        desk.close(choice)
        again()

    title = f"{name} cannot be opened"
    choice = ChoicePage(
        desk, title, ("try again",), pick, said=why.splitlines(), back="leave", given_up=leave
    )
    return choice


def unsaved(desk: Desk, saved: str, go: Callable[[], None]) -> Page:
    """Ask whether to leave although something is not on the disk."""

    def pick(number: int) -> None:
        desk.close(choice)
        if number == 2:
            go()

    choices = ("stay; saving is tried again and again", "leave; what is not saved is lost")
    choice = ChoicePage(
        desk, "Not everything is saved", choices, pick, said=(saved,), back="stay", comes_by_itself=True
    )
    return choice


def conflict(desk: Desk, kept_as: str, wrong: str, settle: Callable[[bool], None]) -> Page:
    """Ask which of two records stands; `wrong` says what else is wrong: a full disk, a choice that failed."""

    def pick(number: int) -> None:
        desk.close(choice)
        settle(number == 1)

    said = (
        "record.toml was changed by somebody else while this job is open.",
        f"What was done here goes to {kept_as} until you choose.",
        *filter(None, (wrong,)),
    )
    choices = (
        "what was done here stands\nthe changed file is kept under another name",
        "the changed file stands\nit is read anew",
    )
    choice = ChoicePage(
        desk, "Two records", choices, pick, said=said, back="decide later", comes_by_itself=True
    )
    return choice
