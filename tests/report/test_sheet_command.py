"""The command: formats, exit codes, and what it will and will not write over."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from planting import change

from handwheel.cli import main
from handwheel.store.record import NAME

BEGINS = {"html": "<!DOCTYPE html>", "md": "<!-- sheet of handwheel -->", "txt": "sheet of handwheel"}


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Any:
    """Give a function that runs a command: its exit code, what it printed, and its faults."""

    def command(*words: str | Path) -> tuple[int, str, str]:
        code = main([str(word) for word in words])
        printed = capsys.readouterr()
        return code, printed.out, printed.err

    return command


def files(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_without_a_file_it_is_markdown_on_standard_output(run: Any, demo: Path) -> None:
    """Nothing is written to the disk, and the exit code is 0."""
    before = files(demo)
    code, out, err = run("sheet", demo)
    assert (code, err) == (0, "") and out.startswith(BEGINS["md"])
    assert files(demo) == before


@pytest.mark.parametrize("form", ["html", "md", "txt"])
def test_the_format_is_said_or_follows_the_ending(run: Any, demo: Path, tmp_path: Path, form: str) -> None:
    """`--format` counts, else the ending of the file; both give the same text."""
    code, out, _ = run("sheet", demo, "--format", form)
    assert code == 0 and out.startswith(BEGINS[form])
    by_ending, by_word = tmp_path / f"a.{form.upper()}", tmp_path / "of-no-ending"
    assert run("sheet", demo, "-o", by_ending) == (0, "", "")
    assert run("sheet", demo, "--format", form, "-o", by_word) == (0, "", "")
    assert by_ending.read_text(encoding="utf-8") == by_word.read_text(encoding="utf-8") == out
    other = tmp_path / "b.md"
    assert run("sheet", demo, "--format", form, "-o", other)[0] == 0
    assert other.read_text(encoding="utf-8") == out


def test_a_sheet_takes_the_place_of_a_sheet_and_keeps_the_one_before(run: Any, demo: Path) -> None:
    """Made again it is replaced, whatever its format was; the one before is kept under a second name."""
    sheet = demo / "sheet.html"
    assert run("sheet", demo, "-o", sheet)[0] == 0
    first = sheet.read_bytes()
    change(demo / "job.toml", 'title = "Mounting plate', 'title = "Another plate')
    assert run("sheet", demo, "-o", sheet)[0] == 0
    assert b"Another plate" in sheet.read_bytes() and (demo / "sheet.html.bak").read_bytes() == first
    assert run("sheet", demo, "--format", "txt", "-o", sheet)[0] == 0
    assert sheet.read_text(encoding="utf-8").startswith(BEGINS["txt"])


def test_an_empty_file_is_filled(run: Any, demo: Path, tmp_path: Path) -> None:
    """A file made beforehand and empty is no loss."""
    (tmp_path / "s.txt").touch()
    assert run("sheet", demo, "-o", tmp_path / "s.txt") == (0, "", "")


def test_nothing_that_is_no_sheet_is_written_over(run: Any, demo: Path, tmp_path: Path) -> None:
    """A letter, the job itself, a folder, a place that is not there: exit 2, one line, all as it was."""
    (tmp_path / "letter.md").write_text("Dear reader\n", encoding="utf-8")
    (tmp_path / "folder.html").mkdir()
    refused = [
        ((tmp_path / "letter.md",), "no sheet of handwheel"),
        ((demo / "job.toml", "--format", "md"), "a file with this ending is one that you write"),
        ((tmp_path / "new.toml", "--format", "md"), "a file with this ending is one that you write"),
        ((tmp_path / "folder.html",), "no file that can be replaced"),
        ((tmp_path / "no" / "such.html",), "there is no folder"),
        ((tmp_path / "sheet.pdf",), "--format"),
        ((tmp_path / "letter.md" / "s.html",), "there is no folder"),
    ]
    before = files(tmp_path)
    for words, why in refused:
        code, out, err = run("sheet", demo, "-o", *words)
        assert (code, out) == (2, "") and err.count("\n") == 1 and why in err, err
        assert "Traceback" not in err
    assert files(tmp_path) == before


def test_what_is_wrong_with_the_job_is_told_as_by_other_commands(run: Any, demo: Path) -> None:
    """Exit 2 with file, line and key, and nothing on standard output."""
    change(demo / "job.toml", 'diameter = "96 mm"', 'diameter = "96 furlongs"')
    code, out, err = run("sheet", demo)
    assert (code, out) == (2, "") and "job.toml:" in err and "furlongs" in err
    assert run("sheet", "no/such/job")[0] == 2
    assert run("sheet", demo, "--format", "pdf")[0] == 2
    assert run("sheet")[0] == 2


def test_stops_of_the_plan_are_on_the_sheet_and_no_fault_of_it(run: Any, demo: Path) -> None:
    """A sheet of a plan with stops is made all the same: exit 0, the stop in it."""
    change(demo / "job.toml", 'tool = "drill-6-8"', 'tool = "drill-9"')
    assert run("check", demo)[0] == 1
    code, out, _ = run("sheet", demo)
    assert code == 0 and "**stop**" in out


def test_a_broken_record_is_told_and_left_alone(run: Any, demo: Path) -> None:
    """The plan is printed with lines to fill in; the record stays as it is."""
    (demo / NAME).write_bytes(b"no record [[[\n")
    (demo / f"{NAME}.bak").unlink(missing_ok=True)
    before = files(demo)
    code, out, err = run("sheet", demo)
    assert code == 0 and "nothing is recorded yet" in out and NAME in err
    assert files(demo) == before


def test_an_operation_that_cannot_be_computed_is_told(run: Any, demo: Path) -> None:
    """A recipe that is not there leaves an operation without steps; the sheet says so."""
    change(demo / "job.toml", 'recipe = "set-zero"', 'recipe = "set-zeros"')
    code, out, _ = run("sheet", demo, "--format", "txt")
    assert code == 0 and "It cannot be computed" in out
