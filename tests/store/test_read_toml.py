"""Reading a person's file: one clear line for whatever is wrong; the schema before anything else."""

from __future__ import annotations

import copy
import os
from pathlib import Path
from typing import Any

import pytest

from handwheel.errors import FaultsError, InputError
from handwheel.store.files import check_schema, read_toml


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "job.toml"


def test_a_file_is_read_with_its_text(path: Path) -> None:
    path.write_bytes("title = 'Träger'\r\n".encode("utf-8-sig"))
    assert read_toml(path) == ({"title": "Träger"}, "title = 'Träger'\n")


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"a = 1\nb = \xb0\n", r"job\.toml:2: byte 0xb0 is not UTF-8"),
        (b"a = 1\nd = 6.8 mm\n", r'job\.toml:2: a size with a unit .* d = "6\.8 mm"'),
        (b"#" * 1_000_001, r"too large; 1,000,000 bytes"),
        (b"a = " + b"[" * 5000, r"too deep"),
        (b"a = " + b"9" * 5000, r"job\.toml:1: "),
        (b"\x00", r"job\.toml:1: "),
    ],
)
def test_a_bad_file_is_one_line(path: Path, data: bytes, said: str) -> None:
    path.write_bytes(data)
    with pytest.raises(InputError, match=said) as caught:
        read_toml(path)
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 400


def test_a_file_as_large_as_the_limit_is_read(path: Path) -> None:
    path.write_bytes(b"#" * 100)
    assert read_toml(path, limit=100)[0] == {}


def test_what_is_no_file_is_said(path: Path) -> None:
    with pytest.raises(InputError, match="there is no such file"):
        read_toml(path)
    with pytest.raises(InputError, match="this is a folder"):
        read_toml(path.parent)
    with pytest.raises(InputError, match="cannot be read"):
        read_toml(Path("x" * 5000))


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="named pipes of POSIX")
def test_a_pipe_is_not_waited_for(path: Path) -> None:
    os.mkfifo(path)
    with pytest.raises(InputError, match="a file was expected"):
        read_toml(path)


def one_to_two(data: dict[str, Any]) -> dict[str, Any]:
    return {**data, "parts": [data["part"]]}


def two_to_three(data: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in data.items() if key != "part"}


STEPS = {1: one_to_two, 2: two_to_three}


def test_an_older_file_is_brought_step_by_step_to_the_known_schema() -> None:
    old = {"schema": 1, "part": "carrier"}
    before = copy.deepcopy(old)
    checked = check_schema(old, 3, "job.toml", "", STEPS)
    assert checked.data == {"schema": 3, "parts": ["carrier"]}
    assert (checked.migrated, checked.read_only) == (True, False)
    assert checked.note == "schema 1 was read as 3; the file stays as it is"
    assert old == before


def test_a_file_of_the_known_schema_or_of_none_is_left_as_it_is() -> None:
    known: list[dict[str, Any]] = [{"schema": 3, "parts": []}, {"parts": []}]
    for data in known:
        checked = check_schema(data, 3, "job.toml", "", STEPS)
        assert checked.data is data
        assert (checked.migrated, checked.read_only, checked.note) == (False, False, "")


def test_a_newer_file_is_for_looking_only() -> None:
    checked = check_schema({"schema": 4}, 3, "job.toml", "", STEPS)
    assert (checked.migrated, checked.read_only) == (False, True)
    assert "for looking only" in checked.note


@pytest.mark.parametrize("schema", ['"1"', "1.0", "true", "0", "-1", "[]"])
def test_a_schema_that_is_no_number_is_a_fault(schema: str, path: Path) -> None:
    path.write_text(f"# a job\nschema = {schema}\n", encoding="utf-8")
    data, text = read_toml(path)
    with pytest.raises(FaultsError, match=r"^job\.toml:2 schema: has to be a whole number .* schema = 1$"):
        check_schema(data, 1, "job.toml", text)
