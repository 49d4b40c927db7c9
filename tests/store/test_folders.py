"""Where things are, and which job is meant."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

import pytest

from handwheel.errors import InputError
from handwheel.store import folders
from handwheel.store.folders import find_job, home, jobs_folder, own_recipes, shop_file, write_report


@pytest.fixture(autouse=True)
def at_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("HANDWHEEL_HOME", str(tmp_path / "home"))
    (tmp_path / "cwd").mkdir()
    monkeypatch.chdir(tmp_path / "cwd")
    return tmp_path / "home"


def make_job(folder: Path) -> Path:
    folder.mkdir(parents=True)
    (folder / "job.toml").write_text("schema = 1\n", encoding="utf-8")
    return folder


def test_the_home_is_the_named_folder_or_in_the_documents(
    at_home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert (home(), jobs_folder(), own_recipes()) == (at_home, at_home / "jobs", at_home / "recipes")
    monkeypatch.delenv("HANDWHEEL_HOME")
    assert home().name == "handwheel"
    assert home().is_absolute()
    monkeypatch.setenv("HANDWHEEL_HOME", "~/work")
    assert home() == Path("~/work").expanduser()


def test_the_shop_beside_the_job_wins(at_home: Path) -> None:
    job = make_job(at_home / "jobs" / "carrier")
    assert shop_file(job) == shop_file() == at_home / "shop.toml"
    (job / "shop.toml").write_text("", encoding="utf-8")
    assert shop_file(job) == job / "shop.toml"


def test_a_job_is_found_by_folder_file_and_name(at_home: Path) -> None:
    named = make_job(at_home / "jobs" / "carrier")
    here = make_job(Path.cwd() / "part")
    assert find_job("carrier") == named
    assert find_job(str(named)) == named
    assert find_job("part") == find_job("part/job.toml") == find_job("./part/") == here


def test_a_job_in_the_working_folder_comes_before_one_by_name(at_home: Path) -> None:
    make_job(at_home / "jobs" / "part")
    here = make_job(Path.cwd() / "part")
    assert find_job("part") == here


@pytest.mark.parametrize(
    "text", ["carier", "nowhere/carrier", "", "..", "\0", "x" * 5000, "a\nb", "~nobody/x"]
)
def test_what_is_no_job_is_said_in_one_line(at_home: Path, text: str) -> None:
    make_job(at_home / "jobs" / "carrier")
    with pytest.raises(InputError) as caught:
        find_job(text)
    assert "there is no job" in str(caught.value)
    assert str(caught.value).isprintable()


def test_the_nearest_job_and_where_was_looked_are_said(at_home: Path) -> None:
    make_job(at_home / "jobs" / "carrier")
    with pytest.raises(InputError) as caught:
        find_job("carier")
    assert 'did you mean "carrier"?' in str(caught.value)
    assert str(at_home / "jobs" / "carier" / "job.toml") in str(caught.value)


def test_a_job_that_may_not_be_looked_at_is_not_said_to_be_missing(
    at_home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def closed(path: str) -> os.stat_result:
        raise PermissionError(13, "Permission denied", path)

    make_job(at_home / "jobs" / "carrier")
    monkeypatch.setattr(os, "stat", closed)
    with pytest.raises(InputError, match=r"job\.toml: it cannot be looked at: Permission denied$"):
        find_job("carrier")


def fault() -> Exception:
    try:
        raise KeyError("lost\udcb0")
    except KeyError as error:
        return error


def test_a_report_holds_the_traceback(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(folders, "log_folder", lambda: tmp_path / "log" / "deep")
    report = write_report(fault())
    assert report.parent == tmp_path / "log" / "deep"
    text = report.read_text(encoding="utf-8")
    assert "KeyError" in text
    assert "test_folders.py" in text


def test_a_report_goes_elsewhere_where_the_log_folder_cannot_be_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    blocked = tmp_path / "file"
    blocked.write_bytes(b"")
    monkeypatch.setattr(folders, "log_folder", lambda: blocked / "log")
    monkeypatch.setattr(tempfile, "gettempdir", lambda: str(tmp_path / "temp"))
    assert write_report(fault()).parent == tmp_path / "temp" / "handwheel"
    monkeypatch.setattr(tempfile, "gettempdir", lambda: str(blocked))
    assert write_report(fault()) == Path(os.devnull)
