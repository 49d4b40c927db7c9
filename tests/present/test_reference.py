"""The reference page: all of the catalogue, as it is kept in the repository, and as Markdown reads it."""

from __future__ import annotations

import re
from itertools import groupby
from pathlib import Path

import pytest

import handwheel.calc
from handwheel.calc import CATALOGUE
from handwheel.cli import main
from handwheel.present.reference import reference_page

KEPT = Path(handwheel.calc.__file__).parent / "reference.md"


def test_the_page_that_is_kept_is_the_one_the_command_prints(capsys: pytest.CaptureFixture[str]) -> None:
    """Made anew with `handwheel calc --markdown > src/handwheel/calc/reference.md`."""
    assert main(["calc", "--markdown"]) == 0
    assert capsys.readouterr().out == KEPT.read_text(encoding="utf-8")


def test_every_calculation_is_there_with_all_it_declares() -> None:
    """Each has a heading that the contents lead to, and a row for each input and result."""
    page = reference_page()
    sections = dict(re.findall(r'^### <a id="(\w+)"></a>(.*?)(?=^###? |\Z)', page, re.MULTILINE | re.DOTALL))
    assert sections.keys() == CATALOGUE.keys()
    for id, one in CATALOGUE.items():
        assert f"(#{id})" in page
        for name in (*one.inputs, *one.results):
            assert f"\n| {name} |" in sections[id], f"{id} {name}"
        for part in one.formula.split(";"):
            assert f"\n    {part.strip()}\n" in sections[id]


def test_the_rows_of_a_table_have_as_many_cells_as_its_head() -> None:
    lines = [re.sub(r"\\\|", "", line) for line in reference_page().splitlines()]
    tables = [list(rows) for table, rows in groupby(lines, lambda line: line.startswith("|")) if table]
    assert len(tables) >= len(CATALOGUE)
    for rows in tables:
        assert len({row.count("|") for row in rows}) == 1, rows[0]
