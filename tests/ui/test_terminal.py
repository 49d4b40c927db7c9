"""The real program in a pseudo-terminal: bytes in, bytes out, signals, and what Textual gets wrong."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

import pytest

if sys.platform == "win32":
    pytest.skip("needs a pseudo-terminal", allow_module_level=True)

from terminal import TRUECOLOR, Terminal

FAKE = [sys.executable, str(Path(__file__).parents[1] / "support" / "fake_app.py")]
SGR = re.compile(rb"\x1b\[([0-9;:]*)m")


def handwheel(*arguments: str) -> list[str]:
    return [sys.executable, "-m", "handwheel", *arguments]


@contextmanager
def fake(environ: Mapping[str, str] = TRUECOLOR) -> Iterator[Terminal]:
    """The app on a reading with a sign, with the plan there."""
    with Terminal(FAKE, environ) as terminal:
        terminal.wait_for("SAVED 14:05:31")
        yield terminal


def walk(terminal: Terminal) -> None:
    """See every kind of page once."""
    terminal.send("1.2.")
    terminal.wait_for("second point")
    terminal.send("\r")
    terminal.wait_for("STOP AT")
    for keys, shown in (("\r", "SET TO"), ("\r", "DANGER"), ("\r", "STOP"), ("*4", "carried-number")):
        terminal.send(keys)
        terminal.wait_for(shown)
    for key in "5318":
        terminal.send(f"0*{key}")
    terminal.wait_for("Help")


# --- input -------------------------------------------------------------------------------------------


def test_a_byte_that_is_no_utf8_ends_nothing() -> None:
    with fake() as terminal:
        terminal.send(b"\xb0")
        terminal.send("7")
        terminal.wait_for(" 7▏")


@pytest.mark.parametrize("code", [25, 26, 28, 29, 31, 32, 33, 34])
def test_shift_with_a_function_key_on_the_linux_console_types_nothing(code: int) -> None:
    with fake() as terminal:
        terminal.send("1")
        terminal.wait_for(" 1▏")
        terminal.send(f"\x1b[{code}~")
        terminal.wait_for(lambda text: bool(re.search(r"the key f\d+ does nothing", text)))
        terminal.send("2")
        terminal.wait_for(" 12▏")


def test_a_paste_without_an_end_swallows_no_later_key() -> None:
    with fake() as terminal:
        terminal.send("\x1b[200~46.9")
        terminal.wait_for("46.9▏")
        terminal.send("8")
        terminal.wait_for("46.98▏")


def test_the_keypad_works_in_every_dialect() -> None:
    with fake() as terminal:
        terminal.send("\x1b[57412u\x1b[57401u\x1b[57409u\x1b[57405u")  # kitty: - 2 . 6
        terminal.wait_for("-2.6▏")
        terminal.send("\x1b[57411u" * 3)  # kitty: * takes back
        terminal.wait_for(" -▏")
        terminal.send("\x1bOq\x1bOl\x1bOt\x1b[57427u")  # application keypad: 1 , 4; kitty: 5 without NumLock
        terminal.wait_for("-1,4▏")
        terminal.send("\x1b[57414u")  # kitty: Enter
        terminal.wait_for("STOP AT")


def test_a_lone_escape_is_noticed_sooner_than_a_tenth_of_a_second() -> None:
    waited = []
    with fake({**TRUECOLOR, "ESCDELAY": "25"}) as terminal:
        for _ in range(5):
            terminal.send("z")
            terminal.wait_for("the key z")
            begun = time.monotonic()
            terminal.send("\x1b")
            terminal.wait_for("nothing further back")
            waited.append(time.monotonic() - begun)
    assert min(waited) < 0.095, waited


def test_keys_sent_before_the_first_paint_answer_nothing_and_that_is_said() -> None:
    with Terminal(FAKE, TRUECOLOR) as terminal:
        terminal.send("46.9\r")
        terminal.wait_for("the keys pressed meanwhile were not taken")
        terminal.wait_for("Measure the bore")


def test_a_paste_in_brackets_is_no_command() -> None:
    with fake() as terminal:
        terminal.send("\x1b[200~u u u\x1b[201~")
        terminal.wait_for("the pasted text was not taken")


# --- output ------------------------------------------------------------------------------------------


def colours(raw: bytes | bytearray) -> set[bytes]:
    """Give every SGR parameter that sets a colour, also back to the default one."""
    found = set()
    for match in SGR.finditer(raw):
        parameters = re.split(rb"[;:]", match[1])
        found |= {
            one for one in parameters if one.isdigit() and (30 <= int(one) <= 49 or 90 <= int(one) <= 107)
        }
    return found


def test_without_colour_no_colour_code_is_sent_at_all() -> None:
    with fake({**TRUECOLOR, "NO_COLOR": "1"}) as terminal:
        walk(terminal)
        assert colours(terminal.raw) == set()
        assert b"\x1b[1" in terminal.raw and re.search(rb"\x1b\[(1;)?7", terminal.raw)


def test_the_check_for_colour_codes_can_fail() -> None:
    with fake() as terminal:
        walk(terminal)
        assert colours(terminal.raw) >= {b"38", b"48"}


def test_sixteen_colours_send_no_others() -> None:
    with fake({"TERM": "xterm", "LANG": "C.UTF-8"}) as terminal:
        walk(terminal)
        found = colours(terminal.raw)
        assert found & {b"41", b"33"} and not found & {b"38", b"48"}


@pytest.mark.parametrize(
    "environ",
    [
        {"TERM": "linux", "LANG": "C.UTF-8"},
        {"TERM": "vt220", "LANG": "C.UTF-8"},
        {**TRUECOLOR, "PYTHONIOENCODING": "latin-1"},
        {"TERM": "xterm", "LC_ALL": "POSIX", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"},
    ],
)
def test_where_only_ascii_can_be_shown_every_byte_is_ascii(environ: dict[str, str]) -> None:
    with fake(environ) as terminal:
        walk(terminal)
        assert all(byte < 0x80 for byte in terminal.raw)


def test_no_mouse_is_asked_for() -> None:
    with fake() as terminal:
        assert not re.search(rb"\x1b\[\?(1000|1002|1003|1006)h", terminal.raw)


def test_a_small_window_says_so_and_fills_when_enlarged() -> None:
    with fake() as terminal:
        terminal.send("4")
        terminal.resize(38, 9)
        terminal.wait_for("enlarge to 80x24 (now 38x9)")
        terminal.resize(80, 24)
        terminal.wait_for(" 4▏")


@pytest.mark.parametrize(
    ("environ", "tty"),
    [({"TERM": "dumb"}, True), ({"TERM": "xterm-256color"}, False)],
    ids=["dumb", "no terminal"],
)
def test_a_terminal_that_cannot_show_the_screens_gets_one_line_and_exit_2(
    environ: dict[str, str], tty: bool, demo: Path
) -> None:
    command = handwheel("open", str(demo))
    if tty:
        with Terminal(command, {**environ, "LANG": "C.UTF-8"}) as terminal:
            assert terminal.exit_code() == 2
            said = bytes(terminal.raw).decode()
    else:
        run = subprocess.run(
            command, capture_output=True, text=True, env={**os.environ, **environ}, timeout=60
        )
        assert run.returncode == 2 and run.stdout == ""
        said = run.stderr
    assert "--plain" in said and said.strip().count("\n") == 0


# --- the end -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("number", "code"), [(signal.SIGTERM, 143), (signal.SIGHUP, 129)])
def test_a_signal_restores_the_terminal_and_keeps_what_was_entered(
    number: signal.Signals, code: int, demo: Path
) -> None:
    with Terminal(handwheel("open", str(demo))) as terminal:
        terminal.wait_for("BEGIN")
        terminal.send("\r")
        terminal.wait_for("DANGER")
        terminal.process.send_signal(number)
        assert terminal.exit_code() == code
        assert terminal.raw.rfind(b"\x1b[?1049l") > terminal.raw.rfind(b"\x1b[?1049h")
        assert terminal.raw.rfind(b"\x1b[?25h") > terminal.raw.rfind(b"\x1b[?25l")
        assert terminal.settings_restored()
        assert b"Traceback" not in terminal.raw
    assert 'kind = "opened"' in (demo / "record.toml").read_text()


def test_a_fault_of_the_program_restores_the_terminal_before_it_is_reported() -> None:
    with fake() as terminal:
        terminal.send("99\r")
        assert terminal.exit_code() == 1
        assert terminal.settings_restored()
        assert terminal.raw.find(b"a fault on purpose") > terminal.raw.rfind(b"\x1b[?1049l") > 0


FAULTS = {
    "answering": "from handwheel.sitting import Sitting; Sitting.answer = fail",
    "drawing": "from handwheel.ui.drawn import _Body; _Body.rows = fail",
    "printing": "from handwheel.ui.paper import Paper; Paper.render_line = fail",
    "opening": "from handwheel.sitting import Sitting; Sitting.open = fail",
    "reading the terminal": "from handwheel.ui.compat import _Pasting; _Pasting.saw = fail",
}


@pytest.mark.parametrize("place", FAULTS)
def test_a_fault_anywhere_goes_to_a_report_and_no_traceback_to_the_screen(place: str, demo: Path) -> None:
    code = f"""
import sys
def fail(*args, **kwargs):
    raise RuntimeError("a fault on purpose")
{FAULTS[place]}
from handwheel.cli import main
sys.exit(main(["open", {str(demo)!r}]))
"""
    state = {**TRUECOLOR, "XDG_STATE_HOME": str(demo.parent / "state")}
    with Terminal([sys.executable, "-c", code], state) as terminal:
        if place in ("answering", "reading the terminal"):
            terminal.wait_for("BEGIN")
            terminal.send("\r")
        assert terminal.exit_code() == 3
        assert terminal.settings_restored()
        assert b"Traceback" not in terminal.raw and b"a fault on purpose" not in terminal.raw
        said = bytes(terminal.raw[terminal.raw.rfind(b"\x1b[?1049l") :]).decode()
    assert "handwheel: a fault of this program; the report is " in said
    (report,) = (demo.parent / "state").rglob("report-*.txt")
    assert "a fault on purpose" in report.read_text()


def test_a_signal_while_a_job_is_being_closed_loses_no_last_words(demo: Path) -> None:
    code = f"""
import sys, time
from handwheel.sitting import Sitting
def close(self):
    open({str(demo / "closing")!r}, "w").close()
    time.sleep(0.5)
    return "NOT SAVED: record.toml of version 2"
Sitting.close = close
from handwheel.cli import main
sys.exit(main(["open", {str(demo)!r}]))
"""
    with Terminal([sys.executable, "-c", code]) as terminal:
        terminal.wait_for("BEGIN")
        terminal.send("q")
        end = time.monotonic() + 10
        while not (demo / "closing").exists():
            assert time.monotonic() < end
            terminal.read_until_quiet(0.01)
        terminal.process.send_signal(signal.SIGTERM)
        assert terminal.exit_code() == 143
        assert terminal.raw.rfind(b"NOT SAVED: record.toml of version 2") > terminal.raw.rfind(b"\x1b[?1049l")


def ignore_hangup() -> None:
    signal.signal(signal.SIGHUP, signal.SIG_IGN)


@pytest.mark.parametrize("preexec", [None, ignore_hangup], ids=["plain", "nohup"])
def test_a_terminal_that_vanishes_ends_the_program(preexec: Callable[[], None] | None) -> None:
    with Terminal(FAKE, preexec=preexec) as terminal:
        terminal.wait_for("SAVED 14:05:31")
        terminal.hang_up()
        assert terminal.process.wait(10) != 0  # 129, or 120 where Python itself misses the terminal


def test_leaving_by_keypad_restores_the_terminal(demo: Path) -> None:
    with Terminal(handwheel("open", str(demo))) as terminal:
        terminal.wait_for("SAVED")
        terminal.send("*9")
        assert terminal.exit_code() == 0
        assert terminal.settings_restored()


def test_after_a_kill_the_first_paint_comes_from_the_record(demo: Path) -> None:
    with Terminal(handwheel("open", str(demo))) as terminal:
        terminal.wait_for("BEGIN")
        terminal.send("\r")
        terminal.wait_for(lambda text: "DANGER" in text and "SAVED" in text and "NOT" not in text)
        terminal.process.kill()
        terminal.process.wait()
    (demo / "job.toml").write_text("= broken")
    with Terminal(handwheel("open", str(demo))) as terminal:
        terminal.wait_for(lambda text: "DANGER" in text or "cannot be opened" in text)
        terminal.wait_for("cannot be opened")
        terminal.send("0")
        assert terminal.exit_code() == 0


def test_what_the_first_paint_needs_imports_nothing_heavy() -> None:
    heavy = (
        "pydantic pint tomli_w handwheel.calc handwheel.plan handwheel.run handwheel.sitting handwheel.models"
    )
    code = (
        "import sys, handwheel.ui.start, handwheel.ui.app; from pathlib import Path;"
        "from handwheel.ui.looks import Look; handwheel.ui.app.HandwheelApp(Path('x'), Look());"
        f"print([name for name in {heavy.split()!r} if name in sys.modules])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True)
    assert run.stdout.strip() == "[]"
