"""Somebody new: the README's two commands are one line each, and the first shows the first operation."""

from __future__ import annotations

import re
import sys
from pathlib import Path

from terminal import TRUECOLOR, Terminal

README = Path(__file__).parents[2] / "README.md"


def commands() -> list[str]:
    """Give the contents of the README's blocks of shell, in order."""
    return re.findall(r"^```sh\n(.*?)^```$", README.read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL)


def test_the_first_two_blocks_of_shell_are_one_line_each() -> None:
    opens, tests = commands()[:2]
    assert opens.count("\n") == tests.count("\n") == 1
    assert "handwheel demo" in opens and "pytest" in tests
    for line in (opens, tests):
        # Neither makes the environment anew where it is there: the second time works without a network.
        assert line.startswith("test -x .venv/bin/") and "||" in line


def test_the_command_of_the_first_block_shows_the_first_operation(tmp_path: Path) -> None:
    arguments = commands()[0].strip().rpartition(".venv/bin/handwheel ")[2].split()
    environ = {**TRUECOLOR, "HANDWHEEL_HOME": str(tmp_path / "home")}
    for _ in range(2):  # the second time the demo is there already
        with Terminal([sys.executable, "-m", "handwheel", *arguments], environ=environ) as terminal:
            shown = terminal.wait_for("operation 1 of 29")
            assert "op 10 True up the piece" in shown and "► NOW" in shown
            terminal.send("q")
            assert terminal.exit_code() == 0
