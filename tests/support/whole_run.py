"""The demo from its first item to its last signature: what is typed at each item, known beforehand."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path
from typing import NamedTuple

from answers import good_answer

from handwheel.demo import make_demo
from handwheel.run.act import Answer
from handwheel.sitting import Sitting

__all__ = ["Turn", "fresh_demo", "whole_run"]


class Turn(NamedTuple):
    """One item: its kind, what is typed before Enter, and whether that Enter waits for the disk."""

    kind: str
    typed: str
    waits: bool


def fresh_demo(folder: Path) -> Path:
    """Make the demo in a new folder, without the guard against doubled keys: here nobody doubles any."""
    job, _ = make_demo(str(folder))
    shop = job / "shop.toml"
    text = shop.read_text(encoding="utf-8")
    assert 'guard = "0.3 s"' in text
    shop.write_text(text.replace('guard = "0.3 s"', 'guard = "0 s"'), encoding="utf-8")
    return job


def whole_run(job: Path) -> tuple[Turn, ...]:
    """Do a job in a copy of its folder, and give every turn until it is finished."""
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(shutil.copytree(job, Path(folder) / "job"))
        sitting = Sitting.open(copy)
        try:
            turns = []
            while sitting.item.kind != "finished":
                turns.append(_turn(sitting))
            return tuple(turns)
        finally:
            sitting.close()


def _turn(sitting: Sitting) -> Turn:
    item = sitting.item
    typed = good_answer(item)
    spindle = item.kind == "setting" and item.step is not None and item.step.step.limit is not None
    refusal = sitting.answer(Answer("typed", typed) if typed else Answer("enter"))
    assert not refusal, f"{item.key}: {typed!r} was not taken: {refusal}"
    return Turn(item.kind, typed, spindle or item.kind == "sign-off")
