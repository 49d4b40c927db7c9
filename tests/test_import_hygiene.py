"""What a command imports, counted in a process of its own: nothing heavier than it needs."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest


def loaded(arguments: list[str], block: str = "") -> tuple[int, set[str]]:
    """Run the command line in a fresh process; give its exit code and the modules it loaded."""
    code = f"""
import sys
{block}
from handwheel.cli import main
try:
    code = main({arguments!r})
except SystemExit as end:
    code = end.code or 0
print("\\n@@", code, *sorted(sys.modules))
"""
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=False
    )
    assert done.returncode == 0, done.stderr
    code_text, *modules = done.stdout.rpartition("\n@@ ")[2].split()
    return int(code_text), set(modules)


BLOCK = """
class Blocker:
    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] in ("textual", "rich"):
            raise ModuleNotFoundError(name)
sys.meta_path.insert(0, Blocker())
"""
"""Makes Python behave as if Textual were not installed."""


def tops(modules: set[str]) -> set[str]:
    return {name.partition(".")[0] for name in modules}


def test_the_version_is_said_with_next_to_nothing_loaded() -> None:
    """Neither the screens nor pydantic, pint or the catalogue are loaded to print a version."""
    code, modules = loaded(["--version"])
    assert code == 0
    assert not tops(modules) & {"textual", "rich", "pydantic", "pint", "tomli_w", "platformdirs"}
    assert not {name for name in modules if name.startswith("handwheel.calc")}


@pytest.mark.parametrize(
    "arguments",
    [
        ["calc"],
        ["calc", "spindle_speed", "cutting_speed=25", "diameter=6.8", "--explain"],
        ["calc", "spindle_speed", "cutting_speed=25", "diameter=1/4 in", "--json"],
        ["look", "M8", "--json"],
        ["look", "chamfer"],
        ["recipes"],
        ["recipes", "check"],
        ["schema", "job"],
        ["keys"],
        ["--help"],
    ],
    ids=" ".join,
)
def test_commands_load_no_screens(arguments: list[str]) -> None:
    """A command that shows no screen runs as if Textual were not installed."""
    code, modules = loaded(arguments, BLOCK)
    assert code == 0
    assert not tops(modules) & {"textual", "rich"}


def test_a_calculation_in_declared_units_loads_no_pint() -> None:
    """Pint is loaded when a unit has to be converted, not before."""
    _, modules = loaded(["calc", "spindle_speed", "cutting_speed=25", "diameter=6.8 mm"])
    assert "pint" not in modules


@pytest.mark.parametrize(
    "query", ["M8", "6.8", "47 H7", "C45", "ISO 4762 M6", "chamfer", "spindle_speed 25 6.8"]
)
def test_a_look_up_loads_neither_models_nor_pint(query: str) -> None:
    """A look-up from the shell is there at once: it needs neither pydantic nor pint."""
    code, modules = loaded(["look", query], BLOCK)
    assert code == 0
    assert not tops(modules) & {"pydantic", "pint"}


@pytest.mark.parametrize("command", ["check", "plan", "log", "run"])
def test_commands_on_a_job_load_no_screens(demo: Path, command: str) -> None:
    """So do the check, the plan, the record and a run by lines."""
    arguments = [command, str(demo)] + (["--plain"] if command == "run" else [])
    block = BLOCK + "import io; sys.stdin = io.StringIO('')"
    code, modules = loaded(arguments, block)
    assert code == 0
    assert not tops(modules) & {"textual", "rich"}


CORE = Path(__file__).parents[1] / "src" / "handwheel"
MODULES = sorted(
    ".".join(path.relative_to(CORE.parent).with_suffix("").parts).removesuffix(".__init__")
    for path in CORE.rglob("*.py")
    if path.relative_to(CORE).parts[0] != "ui" and path.name != "__main__.py"
)


def test_the_core_imports_without_textual() -> None:
    """Every module outside the screens can be imported where Textual is not installed."""
    lines = "\n".join(f"import {name}" for name in MODULES)
    done = subprocess.run(
        [sys.executable, "-c", f"import sys\n{BLOCK}\n{lines}"], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert len(MODULES) > 40
