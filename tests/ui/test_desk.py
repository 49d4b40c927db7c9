"""The desk without an app: how often it paints, and whom it waits for."""

from __future__ import annotations

from functools import partial
from threading import Event

from handwheel.ui.desk import Desk
from handwheel.ui.keys import Press
from handwheel.ui.looks import Look
from handwheel.ui.pages import ChoicePage, TextPage
from handwheel.ui.rows import plain


def desk_with(painted: list[str]) -> Desk:
    """A desk that notes the first row of what it paints, and does at once what is asked for here."""

    def paint() -> None:
        painted.append(plain(desk.rows(80, 24)[0]).strip())

    def at_once(work: object) -> None:
        assert callable(work)
        work()

    desk = Desk(Look(), paint, lambda: None, lambda _, work: work(), at_once)
    return desk


def test_a_key_that_closes_a_page_and_opens_another_paints_once() -> None:
    painted: list[str] = []
    desk = desk_with(painted)
    text = TextPage(desk, "Below", lambda width: [])
    other = TextPage(desk, "Opened", lambda width: [])

    def pick(_: int) -> None:
        desk.close(menu)
        desk.open(other)

    menu = ChoicePage(desk, "Menu", ("one",), pick)
    desk.pages += [text, menu]
    desk.press(Press("1"))
    assert painted == ["Opened"]
    desk.here(partial(desk.close, other))
    assert painted == ["Opened", "Below"]


def test_last_words_of_a_job_that_is_being_closed_are_waited_for_within_bounds() -> None:
    desk, gate = desk_with([]), Event()

    def close() -> partial[None]:
        gate.wait(10)
        desk.part("NOT SAVED: record.toml")
        return partial(desk.part, "")

    desk.aside(close)
    desk.finish(0.05)
    assert desk.parting == [], "a disk that hangs does not keep it"
    gate.set()
    desk.finish(10)
    assert desk.parting == ["NOT SAVED: record.toml"]
