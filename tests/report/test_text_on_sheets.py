"""Text from files is text on a sheet: no tag, no table, no link is made of it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from markdown_it.token import Token
from planting import change
from sheets import Sheet, read_page, sheet_of

from handwheel.errors import one_line
from handwheel.present.parts import Part, written
from handwheel.report.document import Document, Heading, Paragraph, Table
from handwheel.report.ledger import Ledger
from handwheel.report.lines import as_text
from handwheel.report.markdown import as_markdown
from handwheel.report.page import as_html
from handwheel.run.act import Answer
from handwheel.sitting import Sitting

ODD = r"a[/b]c|d <x> &amp; *e* _f_ `g` ~~h~~ [i](j) ![k](l) $m$ http://n.o/p \| 1<script>q</script>"
TOML = ODD.replace("\\", "\\\\")
READER = MarkdownIt("commonmark", {"linkify": True}).enable(["table", "linkify", "strikethrough"])
assert READER.linkify is not None
# Links as GitHub Flavored Markdown makes them (0.29, 6.9): with a scheme, www., or a mail address; what is
# taken for a domain without either is a guess of some readers, and job.to(ml) is none.
READER.linkify.set({"fuzzy_link": False})


@pytest.fixture
def odd(demo: Path) -> Sheet:
    """Give the sheet of a job with markup wherever a file or a person gives text."""
    job, shop = demo / "job.toml", demo / "shop.toml"
    change(job, 'title = "Mounting plate for a belt-driven pottery wheel"', f'title = "{TOML}"')
    change(job, 'recipe = "set-zero"', f'recipe = "set-zero"\nremark = "remark {TOML}"')
    change(job, 'gripped_on = "the long edges, on parallels"', f'gripped_on = "grip {TOML}"')
    change(shop, 'people = ["AK",', f'people = ["{TOML}",')
    change(shop, 'title = "jobber drill 9.0 mm"', f'title = "drill {TOML}"')
    sitting = Sitting.open(demo)
    try:
        assert not sitting.answer(Answer("enter"))
        assert not sitting.answer(Answer("remark", f"said {ODD} \x1b[31m"))
    finally:
        sitting.close()
    return sheet_of(demo)


def flat(tokens: list[Token]) -> list[Token]:
    return [one for token in tokens for one in (token, *flat(token.children or []))]


def read_back(markdown: str) -> tuple[str, list[Token]]:
    """Read Markdown as a reader with tables and links does: the text, and what it was made of."""
    tokens = flat(READER.parse(markdown))
    return "".join(one.content for one in tokens if one.type in ("text", "text_special")), tokens


def test_a_page_takes_nothing_for_markup(odd: Sheet) -> None:
    """Every odd text is read on the page as it was written, and makes no element of it."""
    html = odd.html
    page = read_page(html)
    squeezed = page.text
    for before in ("", "remark ", "grip ", "drill ", "said "):
        assert before + ODD in squeezed, before
    assert r"\x1b[31m" in squeezed
    tags = {tag for tag, _ in page.tags}
    assert not tags & {"x", "script", "b", "img", "iframe", "object", "link"}
    assert html.isascii() and "\x1b" not in html


def test_a_page_needs_nothing_else(built: Sheet) -> None:
    """No address, no script, no style or picture from elsewhere; and it says so to the browser."""
    page = read_page(built.html)
    for tag, attributes in page.tags:
        assert not set(attributes) & {"src", "srcset", "action", "data", "onclick", "onload", "poster"}, tag
        assert attributes.get("href", "#").startswith("#")
    policy = [one["content"] for tag, one in page.tags if tag == "meta" and "http-equiv" in one]
    assert policy == ["default-src 'none'; style-src 'unsafe-inline'"]
    style = built.html.partition("<style>")[2].partition("</style>")[0]
    assert "url(" not in style and "@import" not in style and "http" not in style


def test_a_page_prints_on_any_paper(built: Sheet) -> None:
    """Margins and no size of paper; heads repeated and kept with their rows; no colour but black on white."""
    style = built.html.partition("<style>")[2].partition("</style>")[0]
    paper = re.findall(r"@page[^{]*\{([^}]*)\}", style)
    assert paper and all("margin" in one and "size" not in one for one in paper)
    assert re.search(r"thead \{[^}]*table-header-group[^}]*break-after: avoid", style)
    assert re.search(r"tr \{[^}]*break-inside: avoid", style)
    assert set(re.findall(r"#[0-9a-fA-F]{3,6}\b", style)) <= {"#000", "#fff"}
    page = read_page(built.html)
    tables = sum(tag == "table" for tag, _ in page.tags)
    assert tables == sum(tag == "thead" for tag, _ in page.tags) > 10


def test_markdown_takes_nothing_for_markup(odd: Sheet) -> None:
    """A reader of Markdown shows every odd text as it was written: no link, no tag, no emphasis in it."""
    text, tokens = read_back(odd.md)
    for before in ("", "remark ", "grip ", "drill ", "said "):
        assert before + ODD in text, before
    kinds = {one.type for one in tokens}
    assert not kinds & {"link_open", "image", "em_open", "s_open", "code_inline", "fence"}
    tags = {one.content for one in tokens if one.type in ("html_inline", "html_block")}
    assert tags <= {"<br>", "<!-- sheet of handwheel -->\n"}


def test_addresses_in_a_text_make_no_links() -> None:
    """The sign by which a reader would know an address is escaped: after a scheme, after www, in a mail."""
    part = Part("http://a.bc www.a.bc a@b.cd mailto:a@b.cd")
    document = Document("t", (Paragraph((part,)),))
    markdown = as_markdown(document, Ledger(document))
    assert r"http\://a.bc www\.a.bc a\@b.cd mailto\:a\@b.cd" in markdown
    assert part.text in read_back(markdown)[0]


def test_markdown_tables_are_whole(built: Sheet) -> None:
    """Every table is read as a table with as many rows and cells as it has."""
    _, tokens = read_back(built.md)
    tables = [one for one in built.document.blocks if isinstance(one, Table)]
    assert sum(one.type == "table_open" for one in tokens) == len(tables)
    assert sum(one.type == "tr_open" for one in tokens) == sum(len(one.rows) + 1 for one in tables)
    cells = sum((len(one.rows) + 1) * len(one.head) for one in tables)
    assert sum(one.type in ("td_open", "th_open") for one in tokens) == cells


def test_text_is_printable_line_by_line(odd: Sheet) -> None:
    """Control signs are made visible; no line is longer than it may be."""
    assert [line for line in odd.txt.split("\n") if not line.isprintable()] == []
    assert max(map(len, odd.txt.split("\n"))) <= 100
    assert r"\x1b[31m" in odd.txt


TEXTS = st.text(st.sampled_from(r"""ab1 #+-=>|<&;:/\`*_[](){}!~$@.,"'^%?5)""") | st.characters(), min_size=1)


@given(TEXTS)
def test_any_text_comes_back_from_markdown(text: str) -> None:
    """Whatever is written in a file is read back from a heading, a paragraph and a cell, sign by sign."""
    shown = " ".join(one_line(text).split(" ")).strip()
    part = Part(shown)
    document = Document("t", (Paragraph((part,)), Table(((Part("h"),),), ((((part,),),),))))
    tokens = READER.parse(as_markdown(document, Ledger(document)))
    inline = [one for one in tokens if one.type == "inline"]
    assert [one.type for one in flat(tokens)].count("table_open") == 1
    for index in (0, -1) if shown else ():
        read = "".join(one.content for one in inline[index].children or [])
        assert read.strip() == shown
        assert {one.type for one in inline[index].children or []} <= {"text", "text_special"}


@given(TEXTS)
def test_any_text_comes_back_from_a_page(text: str) -> None:
    """So it is from a page; and plain text holds it too, in lines."""
    part = written(text, "job.toml job.title")
    document = Document(text, (Heading(1, (part,)), Paragraph((part,))))
    ledger = Ledger(document)
    page = read_page(as_html(document, ledger))
    shown = part.text
    heading = "".join(one.text for one in page.texts if any(tag == "h1" for tag, _ in one.inside))
    assert heading.removesuffix("[1]") == shown
    assert all(line.isprintable() for line in as_text(document, ledger).split("\n"))
