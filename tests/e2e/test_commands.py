"""Every command in a process of its own: its exit code, and nothing on standard output where it is 2."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from handwheel.demo import EXAMPLES, make_demo

SCREENS = ("textual", "rich", "handwheel.ui.app")


def run(home: Path, *arguments: str, given: str = "", **environ: str) -> subprocess.CompletedProcess[str]:
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("TERM", "HANDWHEEL"))}
    return subprocess.run(
        [sys.executable, "-m", "handwheel", *arguments],
        input=given,
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=60,
        env={**kept, "HANDWHEEL_HOME": str(home), "PYTHONIOENCODING": "utf-8", **environ},
    )


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a person's folder with the demo among its jobs; the tests read it only."""
    folder = tmp_path_factory.mktemp("home")
    make_demo(str(folder / "jobs" / EXAMPLES["plate"]), "plate")
    return folder


@pytest.fixture(scope="module")
def stopped(home: Path) -> str:
    """Give the name of a job whose check finds stops: its plate is too thin for its blind holes."""
    folder, _ = make_demo(str(home / "jobs" / "stopped"), "plate")
    text = (folder / "job.toml").read_text(encoding="utf-8")
    assert 'thickness = "' in text
    (folder / "job.toml").write_text(_thinner(text), encoding="utf-8")
    return "stopped"


def _thinner(text: str) -> str:
    """Make the plate so thin that every blind hole goes through it."""
    lines = text.splitlines()
    return "\n".join('thickness = "4 mm"' if one.startswith("thickness = ") else one for one in lines) + "\n"


DONE = [
    ("--version",),
    ("--help",),
    ("check", EXAMPLES["plate"]),
    ("check", EXAMPLES["plate"], "--json"),
    ("plan", EXAMPLES["plate"]),
    ("plan", EXAMPLES["plate"], "--json"),
    ("calc",),
    ("calc", "--json"),
    ("calc", "tap_drill", "thread=M8", "--explain"),
    ("calc", "--stdin"),
    ("look", "M8"),
    ("look", "47", "H7", "--json"),
    ("log", EXAMPLES["plate"]),
    ("recipes",),
    ("recipes", "--json"),
    ("recipes", "show", "drill"),
    ("recipes", "check"),
    ("schema", "job"),
    ("schema", "shop"),
    ("schema", "recipe"),
    ("keys",),
]

NOT_USABLE = [
    ("no-such-command",),
    ("check",),
    ("check", "no-such-job"),
    ("plan", "no-such-job", "--json"),
    ("open", "no-such-job"),
    ("run", "no-such-job", "--plain"),
    ("log", "no-such-job"),
    ("calc", "no_such_calculation"),
    ("calc", "spindle_speed"),
    ("calc", "spindle_speed", "diameter=1,000", "cutting_speed=25"),
    ("calc", "spindle_speed", "diameter=9**9**9 mm", "cutting_speed=25"),
    ("look",),
    ("look", "a\tb"),
    ("recipes", "show", "no-such-recipe"),
    ("schema", "no-such-file"),
    ("keys", "one-word-too-many"),
    ("open", EXAMPLES["plate"]),  # the screens need a terminal, and here is none
    ("demo",),
    (),
]


@pytest.mark.parametrize("arguments", DONE, ids=" ".join)
def test_done_is_zero(home: Path, arguments: tuple[str, ...]) -> None:
    done = run(home, *arguments)
    assert (done.returncode, done.stderr) == (0, "")
    if "--json" in arguments or "schema" in arguments:
        json.loads(done.stdout)


@pytest.mark.parametrize("arguments", NOT_USABLE, ids=lambda one: " ".join(one) or "nothing")
def test_not_usable_is_two_and_said_on_standard_error_alone(home: Path, arguments: tuple[str, ...]) -> None:
    refused = run(home, *arguments)
    assert (refused.returncode, refused.stdout) == (2, "")
    assert all(line.startswith("handwheel: ") for line in refused.stderr.splitlines()) and refused.stderr


def test_a_check_that_finds_stops_is_one(home: Path, stopped: str) -> None:
    found = run(home, "check", stopped, "--json")
    answer: dict[str, Any] = json.loads(found.stdout)
    assert (found.returncode, found.stderr) == (1, "")
    assert answer["stops"] == sum(one["severity"] == "stop" for one in answer["findings"]) > 0


def test_a_fault_of_the_program_is_three_and_names_its_report(home: Path, tmp_path: Path) -> None:
    broken = (
        "import sys; from handwheel import cli, pipe; pipe.answer_lines = None; "
        "sys.exit(cli.main(['calc', '--stdin']))"
    )
    environ = {**os.environ, "HOME": str(tmp_path), "XDG_STATE_HOME": str(tmp_path / "state")}
    fault = subprocess.run([sys.executable, "-c", broken], capture_output=True, text=True, env=environ)
    assert (fault.returncode, fault.stdout) == (3, "")
    said, path = fault.stderr.strip().split("the report is ")
    assert "a fault of this program" in said
    assert "TypeError" in Path(path).read_text(encoding="utf-8")


def test_a_job_is_found_by_folder_by_file_and_by_name(home: Path) -> None:
    folder = home / "jobs" / EXAMPLES["plate"]
    named = (EXAMPLES["plate"], str(folder), str(folder / "job.toml"))
    answers = {run(home, "plan", job).stdout for job in named}
    assert len(answers) == 1


def test_demo_without_a_folder_goes_to_the_jobs_and_is_left_as_it_stands(tmp_path: Path) -> None:
    made = run(tmp_path, "demo", "--no-open")
    job = tmp_path / "jobs" / EXAMPLES["carrier"] / "job.toml"
    assert made.returncode == 0 and str(job.parent) in made.stdout
    job.write_text(job.read_text(encoding="utf-8") + "# mine\n", encoding="utf-8")
    assert run(tmp_path, "demo", "--no-open").returncode == 0
    assert job.read_text(encoding="utf-8").endswith("# mine\n")


def test_demo_in_a_folder_that_is_not_empty_touches_nothing(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("mine", encoding="utf-8")
    refused = run(tmp_path / "home", "demo", "--folder", str(tmp_path), "--no-open")
    assert (refused.returncode, refused.stdout) == (2, "")
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]


def test_looking_writes_nothing(home: Path) -> None:
    before = {path: path.stat().st_mtime_ns for path in home.rglob("*")}
    for command in ("check", "plan", "log"):
        run(home, command, EXAMPLES["plate"])
    assert {path: path.stat().st_mtime_ns for path in home.rglob("*")} == before


@pytest.mark.parametrize(
    "arguments", [("--version",), ("calc", "tap_drill", "thread=M8"), ("check", EXAMPLES["plate"])]
)
def test_the_screens_are_loaded_by_those_who_show_them(home: Path, arguments: tuple[str, ...]) -> None:
    loaded = (
        "import contextlib, io, sys; from handwheel.cli import main\n"
        "with contextlib.redirect_stdout(io.StringIO()), contextlib.suppress(SystemExit):\n"
        "    main(sys.argv[1:])\n"
        f"print([name for name in {SCREENS} if name in sys.modules])"
    )
    environ = {**os.environ, "HANDWHEEL_HOME": str(home)}
    command = [sys.executable, "-c", loaded, *arguments]
    assert subprocess.run(command, capture_output=True, text=True, env=environ).stdout == "[]\n"
