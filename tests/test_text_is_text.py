"""Text from files and keyboards is shown as text: markup is not looked at, control signs are made visible."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any, cast

import pytest
from answers import good_answer
from planting import change

from handwheel.cli import main
from handwheel.plain import run_plain
from handwheel.present.reports import log_lines, plan_lines
from handwheel.run.act import Answer
from handwheel.sitting import Sitting
from handwheel.store.jobs import load_job

TITLE = "a[/b]c"
ESCAPE = r"\u001b[31mred"
SHOWN = r"\x1b[31mred"


@pytest.fixture
def odd(demo: Path) -> Path:
    """Give the demo with markup in its title, and control signs wherever a file takes text."""
    job, shop = demo / "job.toml", demo / "shop.toml"
    change(
        job, 'title = "Mounting plate for a belt-driven pottery wheel"', f'title = "{TITLE} {ESCAPE} {{x}}"'
    )
    change(job, 'recipe = "set-zero"', f'recipe = "set-zero"\nremark = "{ESCAPE} [bold]"')
    change(job, 'gripped_on = "the long edges, on parallels"', f'gripped_on = "{ESCAPE}"')
    change(shop, 'people = ["AK",', f'people = ["{ESCAPE}",')
    change(shop, '"measured again, the part can live with it"', f'"{ESCAPE} reason"')
    change(shop, 'title = "jobber drill 9.0 mm"', f'title = "{ESCAPE} {{tool.diameter}} drill"')
    change(shop, 'title = "small milling machine with belt steps and a readout"', f'title = "{ESCAPE}"')
    recipe = (Path(__file__).parents[1] / "recipes" / "deburr.toml").read_text(encoding="utf-8")
    recipe = recipe.replace('title = "Deburr and sign off"', f'title = "{ESCAPE} deburr"')
    recipe = recipe.replace("A scrap of cloth drawn", f"{ESCAPE} A scrap of cloth drawn")
    recipe = recipe.replace("Fresh edges cut:", f"{ESCAPE} Fresh edges cut:")
    recipe = recipe.replace('choices = ["all there",', f'choices = ["all there", "{ESCAPE}",')
    (demo / "recipes").mkdir()
    (demo / "recipes" / "deburr.toml").write_text(recipe, encoding="utf-8")
    return demo


def every_line_is_text(text: str) -> None:
    assert [line for line in text.split("\n") if not line.isprintable()] == []


def plain_run(folder: Path) -> str:
    """Run the job to its end by lines, with a remark, findings, route, a waiver, and why at each item."""
    sitting = Sitting.open(folder)

    def lines() -> Any:
        yield from ("k\n", "\x1b[31mred remark\n", "f\n", "r\n", "x\n", "\x1b[31mred\n")
        while True:
            yield "w\n"
            yield good_answer(sitting.item) + "\n"

    out = io.StringIO()
    assert run_plain(sitting, cast(Any, lines()), out) == 0
    assert sitting.item.kind == "finished"
    return out.getvalue()


def test_a_run_by_lines_shows_text_as_text(odd: Path) -> None:
    """Title, remark, people, reasons, tools and recipes stand there as they are written, on one line each."""
    text = plain_run(odd)
    every_line_is_text(text)
    shown = (
        f"{TITLE} {SHOWN} {{x}}",
        f"{SHOWN} [bold]",
        f"1 {SHOWN}",
        f"{SHOWN} reason",
        f"{SHOWN} {{tool.diameter}} drill",
        f"{SHOWN} deburr",
        f"{SHOWN} A scrap of cloth",
        f"{SHOWN} Fresh edges",
    )
    assert [part for part in shown if part not in text] == []


def test_plan_and_log_show_text_as_text(odd: Path) -> None:
    """So do the plan and the record, entry by entry."""
    plain_run(odd)
    plan = "\n".join(plan_lines(load_job(odd).plan))
    every_line_is_text(plan)
    assert f"{TITLE} {SHOWN} {{x}}" in plan and f"{SHOWN} deburr" in plan
    sitting = Sitting.open(odd)
    log = "\n".join(log_lines(sitting.state.events))
    sitting.close()
    every_line_is_text(log)
    assert f"{SHOWN} remark" in log


@pytest.mark.parametrize("command", ["check", "plan", "log"])
def test_commands_show_text_as_text(odd: Path, command: str, capsys: pytest.CaptureFixture[str]) -> None:
    """What the command line prints of an odd job is printable, line by line."""
    plain_run(odd)
    assert main([command, str(odd)]) == 0
    printed = capsys.readouterr()
    every_line_is_text(printed.out)
    assert printed.out and printed.err == ""


def test_recipes_show_text_as_text(
    odd: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A person's own recipe is listed and shown with its control signs made visible."""
    monkeypatch.setenv("HANDWHEEL_HOME", str(odd))
    assert main(["recipes"]) == 0 and main(["recipes", "show", "deburr"]) == 0
    every_line_is_text(capsys.readouterr().out)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('"S235"', f'"{ESCAPE} steel"'),
        ('tool = "drill-9"', f'tool = "{ESCAPE}"'),
        ('thread = "M8"', f'thread = "{ESCAPE}"'),
        ('"96 mm"', f'"{ESCAPE}"'),
        ("[features.circle]", f'"{ESCAPE}" = 1\n[features.circle]'),
        ("schema = 1", f'schema = "{ESCAPE}"'),
        ("[job]", "[job]\n\x1b[31m"),
    ],
)
def test_faults_and_findings_show_text_as_text(
    demo: Path, old: str, new: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is wrong with a file is told with its text, and that text is made visible."""
    change(demo / "job.toml", old, new)
    assert main(["check", str(demo)]) in (1, 2)
    printed = capsys.readouterr()
    every_line_is_text(printed.out)
    every_line_is_text(printed.err)
    assert (printed.out + printed.err).count("job.toml:") >= 1


def test_what_is_typed_comes_back_as_text(demo: Path) -> None:
    """A refusal repeats what was typed, made visible."""
    sitting = Sitting.open(demo)
    try:
        while sitting.item.key.step != "session.stop":
            sitting.answer(Answer("enter"))
        refused = sitting.answer(Answer("typed", "\x1b[31mred {expected} [b]"))
        assert SHOWN in refused and "{expected} [b]" in refused
        every_line_is_text(refused)
    finally:
        sitting.close()
