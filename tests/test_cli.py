"""The command line as a contract: exit codes, one line per fault, shapes of answers, nothing written."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from planting import change

from handwheel import __version__
from handwheel.cli import main
from handwheel.store.durable import replace_file
from handwheel.store.jobs import load_job

SPOT = """[[operations]]
number = 30
setup = "A"
recipe = "spot"
feature = "frame-holes"
tool = "spot-10"
"""
COMMANDS = ("demo", "open", "check", "plan", "calc", "look", "run", "log", "recipes", "schema", "keys")


def program(*words: str, **environ: str) -> subprocess.CompletedProcess[bytes]:
    """Run the program in a process of its own."""
    command = [sys.executable, "-m", "handwheel", *words]
    return subprocess.run(command, env={**os.environ, **environ}, capture_output=True, check=False)


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Any:
    """Give a function that runs a command: its exit code, what it printed, and its faults."""

    def command(*words: str | Path) -> tuple[int, str, str]:
        try:
            code = main([str(word) for word in words])
        except SystemExit as end:
            code = int(end.code or 0)
        printed = capsys.readouterr()
        return code, printed.out, printed.err

    return command


def files(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


# --- exit codes and faults ------------------------------------------------------------------------


def test_the_version(run: Any) -> None:
    """The version is said, exit 0."""
    assert run("--version") == (0, f"handwheel {__version__}\n", "")


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help(run: Any, command: str) -> None:
    """`COMMAND --help` says what it is for, exit 0."""
    code, out, err = run(command, "--help")
    assert (code, err) == (0, "") and "usage: handwheel" in out


BAD_WORDS = [
    ("nonsense",),
    ("check",),
    ("check", "no/such/job"),
    ("plan", "\x1b[31m"),
    ("log", ""),
    ("open", "."),
    ("run", "x" * 5000, "--plain"),
    ("calc", "spindel_speed"),
    ("look",),
    ("look", ""),
    ("look", "M8\x1b[31m"),
    ("look", "a\tb"),
    ("look", "x" * 5000),
    ("look", "spindle_speed 0 m/min 6.8 mm"),
    ("calc", "spindle_speed", "diameter=5"),
    ("calc", "spindle_speed", "diameter"),
    ("calc", "spindle_speed", "cutting_speed=20", "diameter=1,000"),
    ("calc", "spindle_speed", "cutting_speed=20", "diameter=9**9**9 mm"),
    ("calc", "spindle_speed", "cutting_speed=20", "diameter=0"),
    ("calc", "nearest_spindle_speed", "spindle_speed=900", "steps=[1"),
    ("recipes", "show", "dril"),
    ("recipes", "show"),
    ("recipes", "list", "drill"),
    ("calc", "spindle_speed", "cutting_speed=20", f"diameter={'1' * 5000}"),
    ("calc", "nearest_spindle_speed", "spindle_speed=900", f"steps=[{'1' * 5000}]"),
    ("demo", "--no-open", "--folder", "/dev/null/demo"),
    ("schema", "record"),
    ("demo", "--look", "pink"),
]


@pytest.mark.parametrize("words", BAD_WORDS, ids=lambda words: " ".join(words)[:40])
def test_what_cannot_be_used_is_exit_2_with_one_line(run: Any, words: tuple[str, ...]) -> None:
    """Standard output stays empty; the one line is text, and no traceback."""
    code, out, err = run(*words)
    assert (code, out) == (2, "")
    assert err.startswith("handwheel: ") and err.count("\n") == 1
    assert err.rstrip("\n").isprintable() and "Traceback" not in err


def test_each_fault_of_a_file_is_a_line_with_its_place(run: Any, demo: Path) -> None:
    """Two faults are two lines, each with file, line and key."""
    change(demo / "job.toml", '"9 mm"', '"9 N"')
    change(demo / "job.toml", '"96 mm"', '"96 V"')
    for command in ("check", "plan", "run"):
        code, out, err = run(command, demo, *(["--plain"] if command == "run" else []))
        assert (code, out) == (2, "")
        assert re.findall(r"job\.toml:(\d+) (\S+):", err) == [
            ("27", "features.frame-holes.diameter"),
            ("33", "features.frame-holes.circle.diameter"),
        ]


@pytest.mark.parametrize(
    "text", [b"\xff\xfe\x00", b"a = ", b"[[[", b"", b"x" * 1_100_000, b"a = 1\n" * 100_000]
)
def test_a_file_that_is_none_is_exit_2(run: Any, demo: Path, text: bytes) -> None:
    """Whatever bytes job.toml holds, it is told in lines, never in a traceback."""
    (demo / "job.toml").write_bytes(text)
    code, out, err = run("check", demo)
    assert (code, out) == (2, "") and err.startswith("handwheel: ")


def test_a_fault_of_the_program_is_exit_3_and_names_its_report(
    run: Any, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """What nobody foresaw is one line and a report on file, not a traceback."""
    monkeypatch.setattr("handwheel.store.folders.log_folder", lambda: tmp_path)
    monkeypatch.setattr("handwheel.present.calls.catalogue_lines", lambda: 1 / 0)
    code, out, err = run("calc")
    assert (code, out) == (3, "")
    (report,) = tmp_path.iterdir()
    assert str(report) in err and err.count("\n") == 1
    assert "ZeroDivisionError" in report.read_text()


def test_a_reader_that_has_seen_enough_is_no_fault(demo: Path) -> None:
    """A pipe closed early ends the program quietly."""
    command = f"{sys.executable} -m handwheel plan {demo} --json | head -c 10"
    done = subprocess.run(
        ["bash", "-o", "pipefail", "-c", command], capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, '{"schema":', "")


def shell(script: str) -> subprocess.CompletedProcess[str]:
    """Run a script in which `handwheel` is the program; the exit code is that of the command that failed."""
    return subprocess.run(
        ["bash", "-o", "pipefail", "-c", script.replace("handwheel", f"{sys.executable} -m handwheel")],
        env={**os.environ, "PYTHONUNBUFFERED": ""},  # as it is for a person: written at the end
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.mark.parametrize("words", ["keys", "--help", "--version", "calc tap_drill thread=M8"])
def test_a_reader_that_has_not_even_begun_is_no_fault(words: str) -> None:
    """A short answer leaves the program at its end only, when nobody is there any more."""
    done = shell(f"handwheel {words} | sleep 0")
    assert (done.returncode, done.stderr) == (0, "")


def test_streams_that_are_closed_from_the_start_are_no_fault(demo: Path) -> None:
    """The exit code is an answer too; and what is told goes nowhere else."""
    change(demo / "job.toml", SPOT, "")
    for redirected in (">&-", ">&- 2>&-", "<&-", "<&- >&- 2>&-"):
        found = shell(f"handwheel check {demo} --json {redirected}")
        assert (found.returncode, found.stderr) == (1, "")
        piped = shell(f"handwheel calc --stdin {redirected}")
        assert (piped.returncode, piped.stderr) == (0, "")
    assert shell("handwheel calc nonsense 2>&-").stdout == ""
    assert shell("handwheel calc nonsense >&-").stderr.startswith("handwheel: there is no calculation")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a disk that is full at once")
@pytest.mark.parametrize("words", ["keys", "calc --json", "--help"])
def test_an_answer_that_cannot_be_written_is_one_line(words: str) -> None:
    """A full disk behind standard output is said once, for a short answer and for a long one."""
    done = shell(f"handwheel {words} > /dev/full")
    assert (done.returncode, done.stderr.count("\n")) == (2, 1)
    assert done.stderr.startswith("handwheel: the answer cannot be written: ")
    assert shell(f"handwheel {words} > /dev/full 2>&1").returncode == 2


def test_what_the_system_refuses_is_exit_2_and_names_the_file(
    run: Any, demo: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def closed(path: Path, *given: Any) -> bool:
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr("handwheel.store.record.parse", lambda data: closed(demo / "record.toml"))
    assert run("log", demo) == (2, "", f"handwheel: {demo / 'record.toml'}: Permission denied\n")


def test_a_home_of_nobody_is_no_fault_of_the_program(run: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """A ~ that nobody is meant by stays as it is."""
    monkeypatch.setenv("HANDWHEEL_HOME", "~nobody-of-this-name/handwheel")
    code, out, err = run("check", "plate")
    assert (code, out) == (2, "") and "~nobody-of-this-name" in err


def test_what_has_to_be_told_of_a_job_goes_to_standard_error(run: Any, demo: Path) -> None:
    """A newer file is checked and planned by what is known of it, and that is said."""
    change(demo / "shop.toml", "schema = 1", "schema = 2")
    for command in ("check", "plan"):
        code, out, err = run(command, demo, "--json")
        assert code == 0 and json.loads(out)
        assert (
            err == "handwheel: shop.toml: schema 2 is newer than this program knows (1): for looking only\n"
        )


# --- check and plan -------------------------------------------------------------------------------


def test_a_good_plan_checks_with_exit_0(run: Any, demo: Path) -> None:
    """Notes do not keep anybody from beginning."""
    code, out, err = run("check", demo)
    assert (code, err) == (0, "")
    assert out.endswith("0 stops, 0 doubts, 2 notes\n")


def test_a_stop_is_exit_1_with_its_place(run: Any, demo: Path) -> None:
    """As a compiler would: place, severity, code, then why and cure."""
    text = change(demo / "job.toml", SPOT, "")
    code, out, err = run("check", demo)
    line = text[: text.index("number = 50")].count("\n")
    assert (code, err) == (1, "")
    assert f"job.toml:{line} operations.50: stop [no-spot] op 50 frame-holes is drilled with a jobber" in out
    assert "    why: " in out and "    cure: " in out and "1 stop, 0 doubts" in out


def test_check_as_json_has_its_shape(run: Any, demo: Path) -> None:
    """Findings with all their keys, and how many there are of each weight."""
    change(demo / "job.toml", SPOT, "")
    code, out, _ = run("check", demo, "--json")
    answer = json.loads(out)
    assert code == 1
    assert set(answer) == {"findings", "stops", "doubts", "notes"}
    assert (answer["stops"], answer["doubts"], answer["notes"]) == (1, 0, 2)
    assert set(answer["findings"][0]) == {
        "code",
        "severity",
        "operation",
        "feature",
        "where",
        "what",
        "why",
        "cure",
    }


def test_plan_as_json_has_its_shape(run: Any, demo: Path) -> None:
    """Job, operations, values, steps and findings as the contract has them."""
    code, out, err = run("plan", demo, "--json")
    plan = json.loads(out)
    assert (code, err, plan["schema"]) == (0, "", 1)
    assert set(plan) == {"schema", "job", "operations", "findings"}
    assert set(plan["job"]) == {"title", "units", "folder"}
    drill = next(one for one in plan["operations"] if one["number"] == 60)
    keys = {"number", "setup", "machine", "recipe", "feature", "tool", "values", "steps", "findings"}
    assert set(drill) == keys
    assert {step["kind"] for step in drill["steps"]} >= {"hazard", "setting", "cut", "reading", "sign-off"}
    step = next(one for one in drill["steps"] if one["id"] == "size")
    assert set(step) == {"id", "kind", "text", "places", "takes"}
    assert set(step["takes"]) == {"kind", "unit", "expect", "low", "high", "choices"}
    assert step["takes"]["expect"]["shown"] == "6.80 mm" and step["places"] == 4
    value = drill["values"]["set.spindle_speed"]
    assert set(value) == {"value", "unit", "shown", "source", "computed"}
    assert set(value["computed"]) == {"id", "result", "inputs", "formula", "warnings"}


def test_a_job_is_found_by_folder_file_and_name(
    run: Any, demo: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """A folder, its job.toml, or a name among the person's jobs are the same job."""
    monkeypatch.setenv("HANDWHEEL_HOME", str(tmp_path / "home"))
    (tmp_path / "home" / "jobs").mkdir(parents=True)
    demo.rename(tmp_path / "home" / "jobs" / "plate")
    job = tmp_path / "home" / "jobs" / "plate"
    answers = {run("plan", word) for word in (job, job / "job.toml", "plate")}
    assert len(answers) == 1 and next(iter(answers))[0] == 0
    assert 'did you mean "plate"' in run("plan", "plaet")[2]


ORIGINS = {"entered", "listed", "computed", "missing"}


@pytest.mark.parametrize("query", ["M8", "6.8", "47 H7", "mild steel", "chamfer", "spindle_speed 25 m/min"])
def test_a_look_up_answers_in_the_shape_of_the_contract(run: Any, query: str) -> None:
    """Query, answers, and of each its kind, title and values, every value with exactly one origin."""
    code, out, err = run("look", query, "--json")
    answer = json.loads(out)
    assert (code, err) == (0, "") and answer.keys() == {"query", "answers"} and answer["query"] == query
    for one in answer["answers"]:
        assert one.keys() == {"kind", "title", "values"} and one["values"]
        for value in one["values"].values():
            assert len(value.keys() & ORIGINS) == 1 and {"value", "unit", "shown", "source"} <= value.keys()


def test_what_a_look_up_answers_a_calculation_answers_too(run: Any) -> None:
    """The inputs of a trace, given to the calculation, give the number that the look-up showed."""
    value = json.loads(run("look", "M8", "--json")[1])["answers"][0]["values"]["tap_drill"]
    computed = value["computed"]
    words = [f"{name}={one['value']}" for name, one in computed["inputs"].items()]
    again = json.loads(run("calc", computed["id"], *words, "--json")[1])["results"][computed["result"]]
    assert again == {"value": 6.8, "unit": "mm"} and value["value"] == 6.8


def test_a_look_up_in_words_needs_no_quotes_and_says_where_a_value_comes_from(run: Any) -> None:
    """The words of a line are one query; below the values stands their source."""
    code, out, _ = run("look", "47", "H7")
    assert code == 0
    assert out.startswith("zone: 47 H7\n") and "  max size: 47.025 mm\n" in out
    assert "    source: ISO 286-1" in out


def test_a_look_up_that_finds_nothing_is_exit_1_and_one_line(run: Any) -> None:
    """The line names the nearest; as JSON there are no answers."""
    code, out, err = run("look", "spindel_sped")
    assert (code, out) == (1, "") and err.count("\n") == 1 and "spindle_speed" in err
    code, out, err = run("look", "zzzz", "--json")
    assert (code, json.loads(out)) == (1, {"query": "zzzz", "answers": []}) and err.count("\n") == 1


def test_looking_writes_nothing(demo: Path) -> None:
    """check, plan, log, calc, look, recipes and schema leave no file anywhere, and need no folder."""
    before = files(demo)
    home = demo.parent / "home"
    home.mkdir()
    asked = ["check", str(demo)], ["plan", str(demo), "--json"], ["log", str(demo)], ["calc"], ["recipes"]
    looked = ["look", "M8"], ["look", "chamfer", "--json"]
    for words in (*asked, *looked, ["schema", "job"]):
        done = program(
            *words, HOME=str(home), HANDWHEEL_HOME=str(home / "none"), XDG_CACHE_HOME=str(home / "c")
        )
        assert done.returncode == 0, done.stderr
    assert files(demo) == before
    assert files(home) == {}


# --- calculations ---------------------------------------------------------------------------------


def test_a_calculation_as_lines(run: Any) -> None:
    """The result with its unit, and the source; with --explain the formula with its values too."""
    words = ("calc", "spindle_speed", "cutting_speed=25 m/min", "diameter=6.8 mm")
    code, out, err = run(*words)
    assert (code, err) == (0, "")
    assert "spindle speed: 1170 1/min" in out and "source: " in out
    out = run(*words, "--explain")[1]
    assert "n = 1000 * 25 / (pi * 6.8)" in out and "second route: gives the same" in out


def test_a_calculation_as_json_has_its_shape(run: Any) -> None:
    """Inputs, results, source, formula and warnings."""
    answer = json.loads(
        run("calc", "spindle_speed", "cutting_speed=80 ft/min", "diameter=1/4 in", "--json")[1]
    )
    assert set(answer) == {"id", "inputs", "results", "source", "formula", "warnings"}
    assert answer["inputs"]["diameter"] == {"value": 6.35, "unit": "mm"}
    assert answer["results"]["spindle_speed"]["value"] == pytest.approx(1222.3, abs=0.1)


def test_the_catalogue_as_json_has_its_shape(run: Any) -> None:
    """Every calculation with its inputs, results and source."""
    answer = json.loads(run("calc", "--json")[1])
    assert len(answer["calculations"]) > 40
    for one in answer["calculations"]:
        assert set(one) == {"id", "title", "inputs", "results", "source"}
        for given in one["inputs"].values():
            assert set(given) == {"unit", "required", "default", "choices"}


# --- the rest -------------------------------------------------------------------------------------


def test_the_demo_is_made_in_a_new_folder_only(run: Any, tmp_path: Path) -> None:
    """A folder that holds something is not touched, exit 2; a new one gets job and shop."""
    folder = tmp_path / "new"
    code, out, err = run("demo", "--folder", folder, "--no-open")
    assert (code, err) == (0, "") and str(folder) in out
    assert set(files(folder)) >= {"job.toml", "shop.toml"}
    before = files(folder)
    code, out, err = run("demo", "--folder", folder, "--no-open")
    assert (code, out) == (2, "") and "not empty" in err
    assert files(folder) == before


def test_the_folder_of_the_demo_is_told_as_text(run: Any, tmp_path: Path) -> None:
    """A folder may have any name, also one that would clear the screen."""
    code, out, _ = run("demo", "--no-open", "--folder", tmp_path / "a\x1b[2Jb")
    assert code == 0
    assert out.count("\n") == 1 and out.rstrip("\n").isprintable() and "a\\x1b[2Jb" in out


def test_a_demo_that_could_not_be_made_leaves_nothing_and_can_be_made_again(
    run: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Never a job without its shop: job.toml comes last, and what was begun is taken away."""
    saved: list[str] = []

    def failing(path: Path, data: bytes) -> None:
        saved.append(path.name)
        replace_file(path, data)
        if path.name == "job.toml":
            raise OSError(28, "No space left on device")

    monkeypatch.setattr("handwheel.demo.replace_file", failing)
    code, out, err = run("demo", "--no-open", "--folder", tmp_path / "new")
    assert (code, out) == (2, "") and "cannot be made: No space left" in err
    assert saved == ["shop.toml", "job.toml"]
    assert files(tmp_path) == {}
    monkeypatch.undo()
    assert run("demo", "--no-open", "--folder", tmp_path / "new")[0] == 0


def test_the_demo_without_a_folder_stays_as_it_is(
    run: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Among the person's jobs the demo is made once, and then left as it stands."""
    monkeypatch.setenv("HANDWHEEL_HOME", str(tmp_path / "home"))
    assert run("demo", "--no-open")[1].startswith("made: ")
    job = tmp_path / "home" / "jobs" / "bearing-carrier"
    change(job / "job.toml", '"6.6 mm"', '"6.7 mm"')
    assert run("demo", "--no-open")[1].startswith("there already: ")
    assert load_job(job).plan.by_number[210].values["feature.diameter"].plain == 6.7
    assert run("demo", "--no-open", "--example", "plate")[1].startswith("made: ")
    assert (tmp_path / "home" / "jobs" / "pottery-wheel-plate" / "job.toml").is_file()


def test_recipes_are_listed_shown_and_checked(run: Any) -> None:
    """List, one recipe, JSON with its shape, and the check of them all."""
    assert "drill" in run("recipes")[1]
    assert "computes peck = peck_plan" in run("recipes", "show", "drill")[1]
    assert "every reference, unit and example holds" in run("recipes", "check")[1]
    answer = json.loads(run("recipes", "--json")[1])
    keys = {"id", "title", "features", "machines", "from", "hazards", "examples"}
    assert all(set(one) == keys and one["hazards"] for one in answer["recipes"])


@pytest.mark.parametrize("file", ["job", "shop", "recipe"])
def test_a_schema_is_json(run: Any, file: str) -> None:
    """An editor can complete by it."""
    assert json.loads(run("schema", file)[1])["properties"]


def test_keys_are_listed(run: Any) -> None:
    """Every command of the screens stands there with its keys."""
    code, out, _ = run("keys")
    assert code == 0 and "hold" in out and "*" in out


def test_an_empty_record_is_no_fault(run: Any, demo: Path) -> None:
    """A job nobody has worked at has nothing to tell."""
    assert run("log", demo) == (0, "", "")


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "utf-8"])
def test_any_encoding_of_the_terminal_will_do(demo: Path, encoding: str) -> None:
    """Signs that a terminal cannot show are written as their numbers; the answer still comes."""
    for words in (
        ["plan", str(demo)],
        ["calc", "tapping_torque", "thread=M8", "specific_force=2300"],
        ["calc"],
    ):
        done = program(*words, PYTHONIOENCODING=encoding)
        assert done.returncode == 0, done.stderr
        assert done.stdout and done.stderr == b""


def test_bytes_that_are_no_text_are_refused_as_an_answer(demo: Path) -> None:
    """A line that is no UTF-8 is an answer that is not taken, not a fault of the program."""
    command = [sys.executable, "-m", "handwheel", "run", str(demo), "--plain"]
    done = subprocess.run(command, input=b"\n\xff\xfe\n", capture_output=True, check=False)
    assert done.returncode == 0 and done.stderr == b""
    assert b"NOT TAKEN" in done.stdout
