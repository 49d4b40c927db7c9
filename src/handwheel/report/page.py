"""A sheet as one HTML page that needs nothing else: no scripts, no pictures or styles from elsewhere.

It prints on A4 and on Letter: margins are given and no size of paper, the head of a table is repeated on
each page and stays with its rows, a row is not cut in two.
"""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from handwheel import __version__
from handwheel.errors import one_line
from handwheel.present.parts import Line, Part
from handwheel.report.document import Block, Cell, Document, Drawing, Heading, Paragraph, Table
from handwheel.report.ledger import Entry, Ledger

__all__ = ["MARK", "as_html"]

MARK = "<!DOCTYPE html>\n<!-- sheet of handwheel -->\n"
"""How a page begins: by it a sheet is known again before it is replaced."""

_NOTHING_ELSE = "default-src 'none'; style-src 'unsafe-inline'"
"""What a page may load, said to the browser: nothing; its styles stand in it."""

_SHORT = 24
"""A number or a date of at most so many signs is not broken at the end of a line."""

_STYLE = """
:root { color-scheme: light; }
body { color: #000; background: #fff; font: 10.5pt/1.35 sans-serif; margin: 0 auto; max-width: 60em;
  padding: 1em; }
h1, h2, h3, h4 { break-after: avoid; line-height: 1.2; margin: 1.2em 0 0.4em; }
h1 { font-size: 1.6em; margin-top: 0; }
h2 { font-size: 1.3em; border-bottom: 2px solid #000; }
h3 { font-size: 1.1em; border-bottom: 1px solid #000; }
h4 { font-size: 1em; }
p { margin: 0.3em 0; overflow-wrap: anywhere; }
table { border-collapse: collapse; width: 100%; margin: 0.3em 0 0.8em; table-layout: fixed; }
table.narrow { width: auto; table-layout: auto; }
thead { display: table-header-group; break-inside: avoid; break-after: avoid; }
tr { break-inside: avoid; }
tbody tr:first-child { break-before: avoid; }
th, td { border: 1px solid #000; padding: 0.2em 0.4em; text-align: left; vertical-align: top;
  overflow-wrap: anywhere; }
th { font-weight: bold; border-bottom-width: 2px; }
.short { white-space: nowrap; }
a { color: #000; text-decoration: none; }
a.ref { font-size: 0.75em; margin-left: 0.15em; }
.blank { display: inline-block; min-width: 7em; min-height: 1.5em; border-bottom: 1px solid #000; }
strong { font-weight: bold; }
figure { margin: 0.5em 0; break-inside: avoid; }
figure svg { max-width: 100%; max-height: 85mm; }
figcaption { font-size: 0.9em; }
ol.origins { padding-left: 0; list-style: none; font-size: 0.9em; }
ol.origins li { break-inside: avoid; margin: 0 0 0.5em; overflow-wrap: anywhere; }
ol.origins li:target { outline: 2px solid #000; }
ol.origins div { margin-left: 2.5em; }
@page { margin: 15mm 13mm; }
@media print {
  body { max-width: none; padding: 0; font-size: 9.5pt; }
  ol.origins { columns: 2; column-gap: 2em; font-size: 0.85em; }
  ol.origins div { margin-left: 1.5em; }
}
""".strip()


def as_html(document: Document, ledger: Ledger) -> str:
    """Write a sheet as a page. What is not ASCII is written as its number: no setting can misread it."""
    body = "\n".join(_block(block, ledger) for block in document.blocks)
    page = (
        f'{MARK}<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_NOTHING_ELSE}">\n'
        f'<meta name="viewport" content="width=device-width">\n'
        f'<meta name="generator" content="handwheel {__version__}">\n'
        f"<title>{_text(document.title)}</title>\n<style>\n{_STYLE}\n</style>\n</head>\n<body>\n"
        f"<main>\n{body}\n</main>\n{_origins(ledger)}\n</body>\n</html>\n"
    )
    return page.encode("ascii", "xmlcharrefreplace").decode("ascii")


def _text(text: str) -> str:
    return escape(one_line(text))


def _block(block: Block, ledger: Ledger) -> str:
    match block:
        case Heading(level, line):
            return f"<h{level}>{_line(line, ledger)}</h{level}>"
        case Paragraph(line):
            return f"<p>{_line(line, ledger)}</p>"
        case Table():
            return _table(block, ledger)
        case Drawing(title, svg, _, sizes):
            return f"<figure>\n{svg}\n<figcaption>{_line((*title, *sizes), ledger)}</figcaption>\n</figure>"


def _table(table: Table, ledger: Ledger) -> str:
    columns = "".join(f'<col style="width:{width}%">' for width in table.widths)
    head = "".join(f'<th scope="col">{_line(line, ledger)}</th>' for line in table.head)
    rows = "\n".join(f"<tr>{''.join(_cell(cell, ledger) for cell in row)}</tr>" for row in table.rows)
    narrow = "" if table.widths else ' class="narrow"'
    group = f"<colgroup>{columns}</colgroup>" if columns else ""
    return f"<table{narrow}>{group}\n<thead><tr>{head}</tr></thead>\n<tbody>\n{rows}\n</tbody>\n</table>"


def _cell(cell: Cell, ledger: Ledger) -> str:
    return f"<td>{'<br>'.join(_line(line, ledger) for line in cell)}</td>"


def _line(line: Line, ledger: Ledger) -> str:
    return "".join(_part(part, ledger) for part in line)


def _part(part: Part, ledger: Ledger) -> str:
    text = _text(part.text)
    match part.kind:
        case "number":
            return f'<span class="number{_short(part)}">{text}{_ref(ledger.number(part))}</span>'
        case "cell":
            return f'<a class="cell" href="#n{ledger.number(part)}">{text}</a>'
        case "counted":
            return f'<span class="counted{_short(part)}">{text}</span>'
        case "strong":
            return f"<strong>{text}</strong>"
        case "blank":
            return f'<span class="blank"></span> <span class="unit">{text}</span>'
        case _:
            return text


def _short(part: Part) -> str:
    """Say that a number with its unit, or a date, stays together; a name of one word may be broken."""
    return " short" if " " in part.text and len(part.text) <= _SHORT else ""


def _ref(number: int) -> str:
    return f'<a class="ref" href="#n{number}">[{number}]</a>'


def _origins(ledger: Ledger) -> str:
    if not ledger.entries:
        return ""
    entries = "\n".join(f'<li id="n{one.number}">{_entry(one)}</li>' for one in ledger.entries)
    return (
        f'<section>\n<h2>Where the numbers come from</h2>\n<ol class="origins">\n{entries}\n</ol>\n</section>'
    )


def _entry(entry: Entry) -> str:
    head = f"[{entry.number}] <strong>{_text(entry.text)}</strong>"
    if entry.how is None:
        return f"{head} {_text(entry.source)}"
    how = entry.how
    lines = [how.formula, how.put_in, f"source: {entry.source}", f"second route: {how.second}"]
    lines += [f"note: {warning}" for warning in how.warnings]
    told = "".join(f"<div>{_text(line)}</div>" for line in lines if line)
    return f"{head} {_text(how.title)}{told}{''.join(_inputs(entry))}"


def _inputs(entry: Entry) -> Iterator[str]:
    for symbol, text, words, number in entry.given():
        yield f"<div>{_text(f'{symbol} = {text}, {words}')}{_ref(number)}</div>"
