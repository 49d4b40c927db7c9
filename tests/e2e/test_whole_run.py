"""The ready jobs, by keypad, by letters and line by line, through the program as a person starts it."""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from terminal import TRUECOLOR, Terminal
from tmux import TMUX, Tmux
from whole_run import Turn, done_in, events_of, fresh_demo, wait_for_entries, whole_run

from handwheel.demo import EXAMPLES

HANDWHEEL = (sys.executable, "-m", "handwheel")
PAD = {"ahead": "+", "back": "-", "hold": "/", "undo": "*2"}
LETTERS = {"ahead": "n", "back": "b", "hold": "h", "undo": "u"}


def home(job: Path) -> dict[str, str]:
    return {**TRUECOLOR, "HANDWHEEL_HOME": str(job.parent / "home")}


def keys(turn: Turn, commands: Mapping[str, str]) -> str:
    return commands[turn.command] if turn.command else f"{turn.typed}\r"


def in_a_terminal(job: Path, turns: tuple[Turn, ...], commands: Mapping[str, str], leave: str) -> None:
    with Terminal([*HANDWHEEL, "open", str(job)], environ=home(job)) as terminal:
        terminal.wait_for(" operations")
        for turn in turns:
            terminal.send(keys(turn, commands))
            wait_for_entries(job, turn.entries, lambda: terminal.read_until_quiet(0.002))
        terminal.wait_for(lambda text: "FINISHED" in text and "SAVED" in text and "NOT SAVED" not in text)
        terminal.send(leave)
        assert terminal.exit_code() == 0
        assert terminal.settings_restored()


def line_by_line(job: Path, turns: tuple[Turn, ...], commands: Mapping[str, str]) -> str:
    lines = [commands[turn.command] if turn.command else turn.typed for turn in turns]
    command = [*HANDWHEEL, "run", str(job), "--plain"]
    text = "".join(f"{line}\n" for line in lines)
    run = subprocess.run(command, input=text, capture_output=True, text=True, timeout=60, env=home(job))
    assert (run.returncode, run.stderr) == (0, "")
    return run.stdout


@pytest.mark.parametrize("example", sorted(EXAMPLES))
def test_keypad_letters_and_lines_give_the_same_record_but_for_times(tmp_path: Path, example: str) -> None:
    jobs = [fresh_demo(tmp_path / name, example) for name in ("pad", "letters", "lines")]
    turns = whole_run(jobs[0], commands=True)
    in_a_terminal(jobs[0], turns, PAD, leave="*9")
    in_a_terminal(jobs[1], turns, LETTERS, leave="q")
    said = line_by_line(jobs[2], turns, LETTERS)
    assert "NOT TAKEN" not in said and said.count("SAVED entry") == turns[-1].entries
    pad, letters, lines = map(events_of, jobs)
    assert pad == letters == lines
    assert len(pad) == turns[-1].entries and {"undone", "held", "resumed"} <= {one["kind"] for one in pad}
    assert all(map(done_in, jobs))


@pytest.mark.skipif(TMUX is None, reason="tmux is not installed; the keypad is tested in a terminal above")
@pytest.mark.parametrize("example", sorted(EXAMPLES))
def test_a_whole_job_in_tmux_by_keypad_keys_alone(tmp_path: Path, example: str) -> None:
    job = fresh_demo(tmp_path / "job", example)
    turns = whole_run(job, commands=True)
    with tempfile.TemporaryDirectory() as folder:  # a socket's path has to be short
        command = [*HANDWHEEL, "open", str(job)]
        with Tmux(Path(folder) / "s", command, {"HANDWHEEL_HOME": str(tmp_path), "LANG": "C.UTF-8"}) as tmux:
            tmux.wait_for(lambda text: " operations" in text)
            for turn in turns:
                tmux.press(keys(turn, PAD))
                wait_for_entries(job, turn.entries, lambda: time.sleep(0.002))
            tmux.wait_for(lambda text: "FINISHED" in text and "SAVED" in text)
            tmux.press("*9")
            tmux.wait_for(lambda text: not text.strip())
    assert len(events_of(job)) == turns[-1].entries
    assert done_in(job)


def enter_only(job: Path, presses: int) -> list[dict[str, Any]]:
    with Terminal([*HANDWHEEL, "open", str(job)], environ=home(job)) as terminal:
        terminal.wait_for(lambda text: " operations" in text and "READING THE PLAN" not in text)
        for _ in range(presses):
            terminal.send("\r")
            terminal.read_until_quiet(0.005)
        screen = terminal.wait_for("then Enter")
        assert "► NOW" in screen and "type the number" in screen
        terminal.send("*9")
        assert terminal.exit_code() == 0
    return events_of(job)


@pytest.mark.parametrize("example", sorted(EXAMPLES))
def test_enter_alone_stops_at_the_first_typed_value_and_signs_nothing(tmp_path: Path, example: str) -> None:
    job = fresh_demo(tmp_path / "job", example)
    turns = whole_run(job)
    first_typed = next(number for number, turn in enumerate(turns) if turn.typed)
    events = enter_only(job, presses=60)
    assert [event["kind"] for event in events] == ["opened", *["ticked"] * (first_typed - 1)]


@pytest.mark.parametrize("example", sorted(EXAMPLES))
def test_enter_alone_stops_at_each_typed_value_wherever_it_begins(tmp_path: Path, example: str) -> None:
    """Wherever it stands: an empty line is no answer to an item that wants one."""
    job = fresh_demo(tmp_path / "job", example)
    turns = whole_run(job)
    lines = "".join(f"\n{turn.typed}\n" if turn.typed else "\n" for turn in turns)
    command = [*HANDWHEEL, "run", str(job), "--plain"]
    run = subprocess.run(command, input=lines, capture_output=True, text=True, timeout=60, env=home(job))
    assert run.stdout.count("NOT TAKEN") == sum(bool(turn.typed) for turn in turns)
    assert len(events_of(job)) == len(turns)
