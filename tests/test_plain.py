"""A job run line by line: the same answers, the same record, and every line is text."""

from __future__ import annotations

import errno
import io
import os
import select
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Event

import pytest
from answers import good_answer
from whole_run import events_of, fresh_demo

from handwheel.plain import run_plain
from handwheel.run.act import Answer
from handwheel.sitting import Sitting
from handwheel.store.durable import Disk
from handwheel.store.record import NAME


def run(sitting: Sitting, lines: Iterable[str]) -> tuple[int, str]:
    """Run a sitting by lines; give its exit code and what was printed."""
    out = io.StringIO()
    code = run_plain(sitting, lines, out)
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


# --- what is said before the next line is read ---------------------------------------------------------


class Pipe:
    """The program at two pipes: a line goes in only after what it answers was read."""

    def __init__(self, process: subprocess.Popen[bytes]) -> None:
        self.process = process
        self.said = ""

    def read_until(self, text: str, deadline: float = 20) -> str:
        """Read until a text was said; give what was said since the last call."""
        assert self.process.stdout is not None
        end = time.monotonic() + deadline
        while text not in self.said:
            left = end - time.monotonic()
            ready, _, _ = select.select([self.process.stdout], [], [], max(left, 0))
            data = os.read(self.process.stdout.fileno(), 65536) if ready else b""
            assert data, f"not said: {text}\n{self.said}"
            self.said += data.decode()
        said, self.said = self.said, ""
        return said

    def send(self, line: str) -> None:
        assert self.process.stdin is not None
        self.process.stdin.write(f"{line}\n".encode())
        self.process.stdin.flush()


@contextmanager
def piped(job: Path) -> Iterator[Pipe]:
    command = [sys.executable, "-m", "handwheel", "run", str(job), "--plain"]
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        try:
            yield Pipe(process)
        finally:
            process.kill()


@pytest.mark.skipif(sys.platform == "win32", reason="a pipe cannot be waited for there")
def test_menu_reasons_and_questions_are_out_before_their_answer_is_read(demo: Path) -> None:
    """Whoever answers by pipe or by ear is told the choices before having to choose."""
    with piped(demo) as pipe:
        pipe.read_until("[Enter: begin]")
        pipe.send("*")
        menu = pipe.read_until("[type a number]")
        assert "  1 why these numbers" in menu and "  9 leave" in menu and "  0 back" in menu
        pipe.send("3")
        assert "  1 " in pipe.read_until("[type the number of a reason, or words; an empty line goes back]")
        pipe.send("")
        pipe.read_until("[Enter: begin]")
        pipe.send("k")
        pipe.read_until("[type the remark; an empty line goes back]")
        pipe.send("looked at it")
        pipe.read_until("SAVED entry 1")
        pipe.send("*")
        pipe.read_until("[type a number]")
        pipe.send("77")
        assert "NOT TAKEN: there is no number 77" in pipe.read_until("[Enter: begin]")
        pipe.send("q")
        assert pipe.process.wait(20) == 0


@pytest.mark.skipif(sys.platform == "win32", reason="signals are sent otherwise there")
def test_an_interrupt_keeps_what_was_entered_and_ends_with_130(demo: Path) -> None:
    """Ctrl-C ends a run by lines as it ends any program, after the job was closed."""
    with piped(demo) as pipe:
        pipe.read_until("[Enter: begin]")
        pipe.send("")
        pipe.read_until("SAVED entry 1")
        pipe.process.send_signal(signal.SIGINT)
        assert pipe.process.wait(20) == 130
        assert pipe.process.stderr is not None and pipe.process.stderr.read() == b""


def test_the_job_is_closed_however_the_run_ends(demo: Path) -> None:
    """An interrupt lets the job go: it can be worked at again by the same process."""

    def interrupted() -> Iterator[str]:
        yield "\n"
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run(Sitting.open(demo), interrupted())
    again = Sitting.open(demo)
    assert again.read_only == "" and len(again.state.events) == 1
    again.close()


# --- what is not saved -----------------------------------------------------------------------------------


def test_an_entry_that_cannot_be_saved_is_said_and_the_run_ends_with_2(demo: Path) -> None:
    """NOT SAVED and why stands behind each entry and at the end."""
    sitting = Sitting.open(demo)

    def lines() -> Iterator[str]:
        shutil.rmtree(demo)
        yield "\n"
        yield "\n"

    code, text = run(sitting, lines())
    assert code == 2
    assert text.count("NOT SAVED: the folder is not there any more") == 2 and "SAVED entry" not in text
    assert text.splitlines()[-1].startswith("NOT SAVED: record.toml")


def test_a_disk_that_does_not_answer_is_said_after_two_seconds(
    demo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A line does not wait for ever for a disk that hangs."""
    gate = Event()
    sitting = Sitting.open(demo)
    sitting.wait()

    def hang(self: Disk, handle: int) -> None:
        gate.wait(30)

    def lines() -> Iterator[str]:
        monkeypatch.setattr(Disk, "fsync", hang)
        yield "\n"
        gate.set()

    code, text = run(sitting, lines())
    assert "NOT SAVED: the disk does not answer" in text
    assert code == 0, "it answered in the end"


def changed_by_somebody_else(job: Path) -> str:
    text = (job / NAME).read_text(encoding="utf-8") + "# by hand\n"
    (job / NAME).write_text(text, encoding="utf-8")
    return text


def test_mine_ends_a_conflict_and_keeps_the_changed_record(demo: Path) -> None:
    """The word is offered when the conflict comes up, and what was done here then stands."""
    sitting = Sitting.open(demo)
    sitting.wait()

    def lines() -> Iterator[str]:
        changed_by_somebody_else(demo)
        yield "\n"
        yield "mine\n"
        yield "\n"

    code, text = run(sitting, lines())
    said = text.index("NOT SAVED: record.toml was changed by somebody else")
    assert said < text.index("  mine: what was done here stands") < text.index("SAVED entry 1")
    assert code == 0 and "SAVED entry 2" in text
    assert len(events_of(demo)) == 2
    (kept,) = demo.glob("record.changed-*.toml")
    assert kept.read_text(encoding="utf-8").endswith("# by hand\n")


def test_theirs_ends_the_run_and_leaves_the_changed_record(demo: Path) -> None:
    """What was done here stays beside it; the run does not go on at what may be another item."""
    sitting = Sitting.open(demo)
    sitting.wait()
    changed: list[str] = []

    def lines() -> Iterator[str]:
        changed.append(changed_by_somebody_else(demo))
        yield "\n"
        yield "theirs\n"
        raise AssertionError("a line was read after the end")

    code, text = run(sitting, lines())
    assert code == 2 and "Open the job again" in text
    assert (demo / NAME).read_text(encoding="utf-8") == changed[0]
    assert len(list(demo.glob("record.conflict-*.toml"))) == 1


def test_a_changed_record_that_cannot_be_kept_is_said_and_the_conflict_goes_on(
    demo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A full disk ends neither the run nor the choice."""
    sitting = Sitting.open(demo)
    sitting.wait()
    choice, tries = Sitting.conflict_choice, []

    def full_at_first(self: Sitting, mine: bool) -> None:
        tries.append(mine)
        if len(tries) == 1:
            raise OSError(errno.ENOSPC, "No space left on device")
        choice(self, mine)

    monkeypatch.setattr(Sitting, "conflict_choice", full_at_first)

    def lines() -> Iterator[str]:
        changed_by_somebody_else(demo)
        yield from ("\n", "mine\n", "mine\n")

    code, text = run(sitting, lines())
    assert "NOT SAVED: the changed file could not be kept: the disk is full" in text
    assert code == 0 and "SAVED entry 1" in text


def test_the_words_mean_nothing_without_a_conflict(demo: Path) -> None:
    """Without two records the words are an answer like any other, and refused as one."""
    _, text = run(Sitting.open(demo), ["mine\n"])
    assert "NOT TAKEN: Enter goes on from here" in text


def test_a_look_up_by_lines_comes_back_to_the_same_item(demo: Path) -> None:
    """`look M8`, `l` and the menu answer one line each; nothing is recorded, and the same item is asked."""
    sitting = Sitting.open(demo)
    asked = sitting.view().prompt
    _, text = run(sitting, ["look M8\n", "l\n", "47 H7\n", "*\n", ".\n", "6.8\n", "look zzzz\n", "l\n", "\n"])
    assert (
        "  tap drill: 6.80 mm" in text and "  max size: 47.025 mm" in text and "drill: 6.8 mm drill" in text
    )
    assert 'NOT FOUND: nothing is called "zzzz"' in text
    assert text.count(f"[{asked}]") == 6 and sitting.state.events == ()
