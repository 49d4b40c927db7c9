"""From the files of a job to its plan: recipes that cannot be read, and files of a newer program."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from planting import change

from handwheel.errors import FaultsError, StoreError
from handwheel.resources import recipe_files
from handwheel.store import jobs
from handwheel.store.files import Checked
from handwheel.store.folders import jobs_folder, own_recipes
from handwheel.store.job_list import found_jobs
from handwheel.store.jobs import load_job, load_library

RECIPE = next(one for one in recipe_files() if one.name == "deburr.toml").read_text(encoding="utf-8")
NEWER = "is newer than this program knows (1)"


@pytest.fixture
def recipes(demo: Path) -> Path:
    """Give the folder of the demo's own recipes."""
    (demo / "recipes").mkdir()
    return demo / "recipes"


def faults(load: Callable[[], object]) -> list[str]:
    with pytest.raises(FaultsError) as caught:
        load()
    return str(caught.value).splitlines()


# --- recipes ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"id = 'x'\n# \xb0\n", "{}:2: byte 0xb0 is not UTF-8; save the file with the encoding UTF-8"),
        (b"#" * 1_000_001, "{}: it is too large; 1,000,000 bytes are taken at most"),
        (b"id = 6.8 mm\n", '{}:1: a size with a unit stands in quotes: id = "6.8 mm"'),
        (b"# mine\nschema = 9\n", f"{{}}:2 schema: 9 {NEWER}: it needs a newer handwheel"),
        (b"schema = 'x'\n", "{}:1 schema: has to be a whole number from 1 on, without quotes: schema = 1"),
    ],
    ids=["no text", "too large", "no TOML", "newer", "no schema"],
)
def test_a_recipe_that_cannot_be_read_is_a_fault_with_its_path(
    recipes: Path, content: bytes, said: str
) -> None:
    """One line each, however often there is one, and the job's folder tells it from one of the same name."""
    (recipes / "mine.toml").write_bytes(content)
    (recipes / "other.toml").write_bytes(content)
    expected = [said.format(recipes / name) for name in ("mine.toml", "other.toml")]
    assert faults(lambda: load_job(recipes.parent)) == expected


def test_a_folder_with_the_name_of_a_recipe_is_a_fault(recipes: Path) -> None:
    (recipes / "x.toml").mkdir()
    assert faults(lambda: load_job(recipes.parent)) == [
        f"{recipes / 'x.toml'}: this is a folder; a file was expected"
    ]


def test_a_fault_in_an_own_recipe_names_its_path(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Also a fault that only binding finds."""
    monkeypatch.setenv("HANDWHEEL_HOME", str(tmp_path))
    own_recipes().mkdir()
    path = own_recipes() / "deburr.toml"
    assert 'use = ["places"]' not in RECIPE
    path.write_text(f'use = ["nowhere"]\n{RECIPE}', encoding="utf-8")
    (fault,) = load_library().faults
    assert fault.file == str(path)
    path.write_text(f"unknown = 1\n{RECIPE}", encoding="utf-8")
    (fault,) = load_library().faults
    assert (fault.file, fault.line, fault.key) == (str(path), 1, "unknown")


def test_a_recipe_is_taken_as_it_was_migrated(recipes: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the migration made is validated, not what stands in the file."""
    (recipes / "mine.toml").write_text(RECIPE, encoding="utf-8")

    def migrated(data: dict[str, Any], known: int, file: str, text: str) -> Checked:
        return Checked({**data, "title": "Migrated"}, known, known)

    monkeypatch.setattr(jobs, "check_schema", migrated)
    assert load_library(recipes.parent).recipes["deburr"].title == "Migrated"


def closed(path: Path) -> list[Path]:
    raise PermissionError(13, "Permission denied", str(path))


def test_a_folder_of_recipes_that_may_not_be_read_is_a_fault(
    recipes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is not taken for an empty one: a recipe of the person's own would be missed at the machine."""
    monkeypatch.setattr(jobs, "recipe_files", lambda: ())
    monkeypatch.setattr(Path, "iterdir", closed)
    (said,) = faults(lambda: load_job(recipes.parent))
    assert said.endswith("recipes: it cannot be read: Permission denied")


# --- the list of jobs -----------------------------------------------------------------------------


@pytest.fixture
def listed(demo: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Give the folder of the jobs, with the demo in it."""
    monkeypatch.setenv("HANDWHEEL_HOME", str(demo.parent / "home"))
    jobs_folder().mkdir(parents=True)
    demo.rename(jobs_folder() / "plate")
    return jobs_folder()


def test_jobs_are_found_with_title_and_what_is_wrong_with_them(listed: Path) -> None:
    """Other files and folders are none; the job last worked at comes first."""
    (listed / "notes.txt").write_bytes(b"")
    for name, content in (("empty", b""), ("bad", b"[job")):
        (listed / name).mkdir()
        (listed / name / "job.toml").write_bytes(content)
    (listed / "nothing").mkdir()
    first, *others = found_jobs()
    assert (first.folder.name, first.fault, bool(first.now)) == ("plate", "", True)
    assert [(one.title, one.now, one.changed) for one in others] == [("bad", {}, 0.0), ("empty", {}, 0.0)]
    assert "job.toml:1" in others[0].fault and others[1].fault == "job.toml has no title"


def test_where_there_is_no_folder_of_jobs_there_are_none(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HANDWHEEL_HOME", "/dev/null/handwheel")
    assert found_jobs() == ()


def test_a_folder_of_jobs_that_may_not_be_read_is_said(listed: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Path, "iterdir", closed)
    with pytest.raises(StoreError, match=r"jobs: it cannot be read: Permission denied$"):
        found_jobs()


# --- files of a newer program ---------------------------------------------------------------------


def test_a_job_of_this_program_may_be_worked_at(demo: Path) -> None:
    opened = load_job(demo)
    assert (opened.said, opened.read_only) == ((), "")


@pytest.mark.parametrize("name", ["job.toml", "shop.toml"])
def test_what_is_known_of_a_newer_file_can_be_looked_at(demo: Path, name: str) -> None:
    """Unknown keys of a newer schema are no faults, at the top and in any table."""
    operations = len(load_job(demo).plan.operations)
    first = {"job.toml": "[job]\n", "shop.toml": "[[machines]]\n"}[name]
    change(demo / name, "schema = 1", "schema = 2\ncolour = 'red'")
    change(demo / name, first, f"{first}mood = ['good']\n")
    opened = load_job(demo)
    assert opened.read_only == f"{name}: schema 2 {NEWER}: for looking only"
    assert opened.said == (opened.read_only,)
    assert len(opened.plan.operations) == operations


@pytest.mark.parametrize("kind", ["face", "hole", "thread", "chamfer"])
def test_unknown_keys_of_features_are_left_out_too(demo: Path, kind: str) -> None:
    """Their shapes are alternatives by kind, whose names stand in what pydantic says as if they were keys."""
    change(demo / "job.toml", "schema = 1", "schema = 2")
    text = (demo / "job.toml").read_text(encoding="utf-8")
    text = text.replace(f'kind = "{kind}"\n', f'kind = "{kind}"\nmood = {{ a = 1 }}\n')
    (demo / "job.toml").write_text(text, encoding="utf-8")
    opened = load_job(demo)
    assert opened.read_only
    assert opened.plan.job.feature("motor-threads").kind == "thread"


def test_both_files_may_be_newer(demo: Path) -> None:
    for name in ("job.toml", "shop.toml"):
        change(demo / name, "schema = 1", "schema = 2")
    assert load_job(demo).read_only.count(NEWER) == 2


@pytest.mark.parametrize(
    ("old", "new"),
    [('kind = "chamfer"', 'kind = "dovetail"'), ('title = "', 'name = "'), ('"9 mm"', '"9 N"')],
    ids=["another kind", "another name for a key", "another value"],
)
def test_a_newer_file_that_says_what_is_not_known_needs_a_newer_program(
    demo: Path, old: str, new: str
) -> None:
    """One line, not the faults that this program would find: they are none in that schema."""
    text = change(demo / "job.toml", "schema = 1", "schema = 2")
    change(demo / "job.toml", old, new)
    line = text[: text.index("schema = 2")].count("\n") + 1
    assert faults(lambda: load_job(demo)) == [
        f"{demo / 'job.toml'}:{line} schema: 2 {NEWER}: it needs a newer handwheel"
    ]


# --- a kind that has the name of a key ----------------------------------------------------------


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('thread = "M8"', 'thread = "M8"\nmood = "good"', "features.motor-threads.mood: unknown key"),
        ('of = "motor-holes"\nthread', "thread", "features.motor-threads.of: is missing"),
    ],
)
def test_a_fault_of_a_thread_is_not_taken_for_one_of_its_key_thread(
    demo: Path, old: str, new: str, said: str
) -> None:
    change(demo / "job.toml", old, new)
    (fault,) = faults(lambda: load_job(demo))
    assert f" {said}" in fault
