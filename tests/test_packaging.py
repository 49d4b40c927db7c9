"""The wheel, built through the sdist: it holds what it should and nothing else, and works away from here."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tarfile
import zipfile
from collections.abc import Iterator
from email.parser import Parser
from pathlib import Path

import pytest
from whole_run import done_in, fresh_demo, whole_run

from handwheel import __version__

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "src" / "handwheel"


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a folder with the sdist, and the wheel that was built from it, not from the checkout."""
    folder = tmp_path_factory.mktemp("dist")
    command = [sys.executable, "-m", "build", "--no-isolation", "--outdir", str(folder), str(ROOT)]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    return folder


@pytest.fixture(scope="module")
def wheel(built: Path) -> Iterator[zipfile.ZipFile]:
    with zipfile.ZipFile(next(built.glob("*.whl"))) as file:
        yield file


def under(folder: Path, pattern: str) -> set[str]:
    """Give the files of the checkout that belong into the package, as the wheel names them."""
    base = PACKAGE.parent if folder.is_relative_to(PACKAGE.parent) else ROOT
    prefix = "" if base == PACKAGE.parent else "handwheel/"
    return {prefix + path.relative_to(base).as_posix() for path in folder.rglob(pattern)}


def test_the_wheel_holds_the_package_and_the_recipes_and_nothing_else(wheel: zipfile.ZipFile) -> None:
    inside = {name for name in wheel.namelist() if ".dist-info/" not in name}
    recipes = under(ROOT / "recipes", "*.toml")
    tables, demo = under(PACKAGE / "tables", "*.toml"), under(PACKAGE / "demo", "*.toml")
    styles = under(PACKAGE, "*.tcss")
    assert recipes and tables and demo
    code = under(PACKAGE, "*.py") | {"handwheel/py.typed"}
    assert inside == code | recipes | tables | demo | styles


def test_the_version_is_the_one_of_the_package(wheel: zipfile.ZipFile) -> None:
    metadata = next(name for name in wheel.namelist() if name.endswith(".dist-info/METADATA"))
    assert Parser().parsestr(wheel.read(metadata).decode())["Version"] == __version__


def test_the_sdist_holds_what_is_needed_to_work_on_it(built: Path) -> None:
    with tarfile.open(next(built.glob("*.tar.gz"))) as sdist:
        names = {name.partition("/")[2] for name in sdist.getnames()}
    assert {
        "README.md",
        "LICENSE",
        "pyproject.toml",
        "recipes/drill.toml",
        "tests/test_packaging.py",
    } <= names


@pytest.fixture(scope="module")
def place(wheel: zipfile.ZipFile, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give the wheel unpacked away from the checkout; it runs with the libraries of this environment."""
    folder = tmp_path_factory.mktemp("installed")
    wheel.extractall(folder)
    return folder


def run(place: Path, home: Path, *arguments: str, given: str = "") -> str:
    environ = {**os.environ, "PYTHONPATH": str(place), "HANDWHEEL_HOME": str(home)}
    command = [sys.executable, "-m", "handwheel", *arguments]
    done = subprocess.run(
        command, input=given, capture_output=True, text=True, cwd=home, env=environ, timeout=60
    )
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout


def test_it_is_the_wheel_that_runs(place: Path, tmp_path: Path) -> None:
    where = "import handwheel; print(handwheel.__file__)"
    environ = {**os.environ, "PYTHONPATH": str(place)}
    done = subprocess.run(
        [sys.executable, "-c", where], capture_output=True, text=True, cwd=tmp_path, env=environ
    )
    assert Path(done.stdout.strip()).is_relative_to(place)


def test_its_recipes_are_those_of_the_checkout(place: Path, tmp_path: Path) -> None:
    listed = json.loads(run(place, tmp_path, "recipes", "--json"))["recipes"]
    assert {one["id"] for one in listed} <= {path.stem for path in (ROOT / "recipes").glob("*.toml")}
    assert {"face", "spot", "drill", "chamfer", "tap"} <= {one["id"] for one in listed}


def test_the_main_path_from_the_demo_to_its_last_signature(place: Path, tmp_path: Path) -> None:
    job = fresh_demo(tmp_path / "job")
    answers = "".join(f"{turn.typed}\n" for turn in whole_run(job))
    assert "made: " in run(place, tmp_path, "demo", "--no-open")
    assert run(place, tmp_path, "check", str(job), "--json")
    assert len(json.loads(run(place, tmp_path, "plan", str(job), "--json"))["operations"]) == 9
    said = run(place, tmp_path, "run", str(job), "--plain", given=answers)
    assert "NOT TAKEN" not in said and "FINISHED" in said
    assert done_in(job)
