"""A job run line by line: the same answers, the same record, and every line is text."""

from __future__ import annotations

import io
import subprocess
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, cast

import pytest
from answers import good_answer
from whole_run import events_of, fresh_demo

from handwheel.plain import run_plain
from handwheel.run.act import Answer
from handwheel.sitting import Sitting


def run(sitting: Sitting, lines: Iterable[str]) -> tuple[int, str]:
    """Run a sitting by lines; give its exit code and what was printed."""
    out = io.StringIO()
    code = run_plain(sitting, cast(Any, iter(lines)), out)
    return code, out.getvalue()


def good_lines(sitting: Sitting) -> Iterator[str]:
    while True:
        yield good_answer(sitting.item) + "\n"


def test_good_answers_finish_the_demo(demo: Path) -> None:
    """The whole job by lines ends with its last signature and exit 0."""
    sitting = Sitting.open(demo)
    code, text = run(sitting, good_lines(sitting))
    assert code == 0
    assert "FINISHED: Every operation is signed off." in text
    assert "NOT TAKEN" not in text and "NOT SAVED" not in text
    assert text.count("SAVED entry") == len(sitting.state.events)


def test_lines_and_a_sitting_leave_the_same_record(demo: Path, tmp_path: Path) -> None:
    """Line mode writes what the answers given directly write, but for the times."""
    other = fresh_demo(tmp_path / "other")
    by_lines = Sitting.open(demo)
    run(by_lines, good_lines(by_lines))
    directly = Sitting.open(other)
    while directly.item.kind != "finished":
        typed = good_answer(directly.item)
        assert directly.answer(Answer("typed", typed) if typed else Answer("enter")) == ""
    directly.close()
    assert events_of(demo) == events_of(other)


def test_the_end_of_the_input_keeps_what_was_done(demo: Path) -> None:
    """Input that ends in the middle is no loss: the next run comes back to the same place."""
    first = Sitting.open(demo)
    lines = good_lines(first)
    code, _ = run(first, (next(lines) for _ in range(30)))
    assert code == 0
    again = Sitting.open(demo)
    assert again.state.events == first.state.events
    _, text = run(again, [])
    assert "COMING BACK" in text


def test_enter_alone_signs_nothing(demo: Path) -> None:
    """Empty lines stop at the first typed value of the sitting."""
    sitting = Sitting.open(demo)
    _, text = run(sitting, ["\n"] * 60)
    assert sitting.item.key.step == "session.stop"
    assert not sitting.state.signed
    assert text.count("NOT TAKEN: type the number in s, then Enter") > 50


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        (["f"], "no findings|coarse-instrument"),
        (["r"], "set-zero|Set zero"),
        (["w"], "source"),
        (["?"], "take back the last entry"),
        (["*", "0"], "0 back"),
        (["*", "5"], "Drill"),
        (["b"], "looking only"),
        (["n"], "looking only"),
        (["k", "a remark"], "SAVED entry"),
        (["h"], "HOLDING"),
        (["/"], "HOLDING"),
        (["u"], "SAVED entry"),
        (["x", "1"], "NOT TAKEN: there is no stop and no bad reading here"),
        (["f2"], "NOT TAKEN"),
    ],
)
def test_every_command_has_its_line(demo: Path, keys: list[str], said: str) -> None:
    """Letters and keypad signs do in line mode what they do on the screen."""
    sitting = Sitting.open(demo)
    lines = good_lines(sitting)
    while sitting.item.key.operation != 20:
        assert (
            sitting.answer(
                Answer("typed", good_answer(sitting.item)) if next(lines).strip() else Answer("enter")
            )
            == ""
        )
    _, text = run(sitting, [f"{key}\n" for key in keys])
    assert any(part in text for part in said.split("|")), text[-1500:]


def test_leaving_ends_the_run(demo: Path) -> None:
    """The command to leave ends it, and lines after it are not read."""
    sitting = Sitting.open(demo)
    run(sitting, ["\n", "q\n", "\n", "\n"])
    assert len(sitting.state.events) == 1


def test_a_minus_is_a_sign_where_a_number_may_be_negative(demo: Path) -> None:
    """Where the limits allow a negative number, a minus begins one; elsewhere it looks back."""
    sitting = Sitting.open(demo)
    while sitting.item.key[:2] != (10, "check-x"):
        sitting.answer(Answer("typed", text) if (text := good_answer(sitting.item)) else Answer("enter"))
    _, text = run(sitting, ["-\n", "-82\n", "82\n"])
    assert text.count("NOT TAKEN") == 2 and "the other sign" in text and "SAVED entry" in text


def test_the_program_runs_by_pipe(demo: Path) -> None:
    """`run JOB --plain` takes lines from its standard input and ends with exit 0."""
    answers = "\n".join([""] * 5 + ["2"]) + "\n"
    done = subprocess.run(
        [sys.executable, "-m", "handwheel", "run", str(demo), "--plain"],
        input=answers, capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert done.returncode == 0 and done.stderr == ""
    assert done.stdout.count("SAVED entry") == 6
    assert "Mounting plate" in done.stdout
