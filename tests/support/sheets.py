"""A sheet as tests look at it: the document with what it was made of, and a page read back."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from typing import NamedTuple

from handwheel.report.document import Document
from handwheel.report.ledger import Ledger
from handwheel.report.lines import as_text
from handwheel.report.markdown import as_markdown
from handwheel.report.page import as_html
from handwheel.report.sheet import make_sheet
from handwheel.run.state import State
from handwheel.sitting import Sitting
from handwheel.store.jobs import OpenedJob, load_job, place_of

__all__ = ["Page", "Sheet", "Told", "read_page", "sheet_of"]


@dataclass(frozen=True)
class Sheet:
    """A sheet with the job and the state that it is of."""

    opened: OpenedJob
    state: State
    document: Document
    ledger: Ledger

    @property
    def html(self) -> str:
        """The sheet as a page."""
        return as_html(self.document, self.ledger)

    @property
    def md(self) -> str:
        """The sheet as Markdown."""
        return as_markdown(self.document, self.ledger)

    @property
    def txt(self) -> str:
        """The sheet as text."""
        return as_text(self.document, self.ledger)


def sheet_of(folder: Path, state: State | None = None) -> Sheet:
    """Make the sheet of a job as its record stands, or as a state says."""
    opened = load_job(folder)
    if state is None:
        sitting = Sitting.open(folder)
        state = sitting.state
        sitting.close()
    document = make_sheet(opened.plan, state, lambda one: place_of(one, opened.texts))
    return Sheet(opened, state, document, Ledger(document))


class Told(NamedTuple):
    """A piece of text of a page: in which elements it stands, each with its classes."""

    text: str
    inside: tuple[tuple[str, str], ...]


@dataclass
class Page:
    """A page read back: its tags with their attributes, its pieces of text."""

    tags: list[tuple[str, dict[str, str]]] = field(default_factory=list)
    texts: list[Told] = field(default_factory=list)

    @property
    def text(self) -> str:
        """All that is read on it, styles apart."""
        return "".join(one.text for one in self.texts if not any(tag == "style" for tag, _ in one.inside))


_EMPTY = frozenset({"meta", "br", "col", "img", "link", "input", "hr", "path", "line", "circle", "rect"})


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.page = Page()
        self._open: list[tuple[str, str]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        self.page.tags.append((tag, given))
        if tag not in _EMPTY:
            self._open.append((tag, given.get("class", "")))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.page.tags.append((tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        opened = self._open.pop()
        assert opened[0] == tag, f"</{tag}> closes <{opened[0]}>"

    def handle_data(self, data: str) -> None:
        self.page.texts.append(Told(data, tuple(self._open)))

    def close(self) -> None:
        super().close()
        assert not self._open, f"never closed: {self._open}"


def read_page(html: str) -> Page:
    """Read a page back; every element has to be closed where it was opened."""
    reader = _Reader()
    reader.feed(html)
    reader.close()
    return reader.page
