"""Pictures of the screens, made from the program itself on its own demo.

    python screenshots/make.py [FOLDER]

Each screen is written as SVG at 80x24 and 120x40 in the looks it is meant for, and as plain text for the
look that does with ASCII. Where `rsvg-convert` is installed, a PNG is made beside each SVG.
"""

from __future__ import annotations

import asyncio
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable
from html import unescape
from pathlib import Path

from handwheel.demo import make_demo
from handwheel.run.act import Answer
from handwheel.run.left import expected_of
from handwheel.run.live import Item
from handwheel.sitting import Sitting
from handwheel.ui.app import HandwheelApp
from handwheel.ui.keys import Press
from handwheel.ui.looks import Look

SIZES = ((80, 24), (120, 40))
LOOKS = {
    "truecolor": Look("truecolor"),
    "16": Look("16"),
    "mono": Look("mono"),
    "ascii": Look("mono", ascii=True),
}

Wanted = Callable[[Item], bool]


def _is(kind: str, operation: int, *, table: bool = False) -> Wanted:
    def found(item: Item) -> bool:
        tabled = item.step is not None and item.step.table is not None
        return item.kind == kind and item.key.operation == operation and (tabled or not table)

    return found


def _at(operation: int, step: str, cut_pass: int = 1, *, position: int = 1) -> Wanted:
    return lambda item: item.key == (operation, step, position, cut_pass)


# Name of the picture: what is live in it, and the keys pressed there.
SCENES: dict[str, tuple[Wanted, str]] = {
    "jobs": (_is("setting", 140), ""),
    "begin": (lambda item: item.kind == "opening", ""),
    "danger": (lambda item: item.step is not None and item.step.step.word == "DANGER", ""),
    "choice": (lambda item: item.step is not None and item.step.step.takes.kind == "choice", ""),
    "menu": (_at(140, "speed"), "*"),
    "setting": (_at(140, "speed"), ""),
    "rough": (_at(140, "rough-by-dial"), ""),
    "explain": (_at(140, "speed"), "*1"),
    "help": (_at(140, "speed"), "?"),
    "ahead": (_at(140, "speed"), "++"),
    "next-cut": (_at(140, "cut-by-dial", 3), ""),
    "reading": (_at(140, "size", 2), "46.45"),
    "blind": (_at(140, "size", 2), "46.45\n"),
    "far": (_at(140, "cut-by-dial", 3), "v"),
    "section": (_at(140, "size", 2), "d"),
    "fit": (_at(140, "fit"), ""),
    "briefing": (_at(140, "size", 2), "/"),
    "look": (_at(140, "speed"), "l47 J7"),
    "drill": (_at(210, "cut", position=3), ""),
    "places": (_at(210, "cut", position=3), "d"),
    "tap": (_is("cut", 240), ""),
    "route": (_at(140, "speed"), "*5"),
    "findings": (_at(140, "speed"), "*4"),
    "sign-off": (_is("sign-off", 140), ""),
}

KEYS = {"\n": "enter"}


def answer_to(sitting: Sitting) -> Answer:
    """Give the answer that says all is as it should be: a size as each of its cuts leaves it."""
    item = sitting.item
    if item.kind == "sign-off":
        return Answer("typed", "1")
    takes = item.step.step.takes if item.step else None
    if takes is None or takes.kind == "enter":
        return Answer("enter")
    if takes.kind in ("choice", "attribute"):
        return Answer("typed", str(takes.choices.index(takes.wanted or takes.choices[0]) + 1))
    assert item.step is not None  # it takes a number
    expect = expected_of(item, sitting.state)
    if expect is None or expect.plain is None:
        return Answer("typed", "20" if takes.unit == "°C" else "2")
    return Answer("typed", f"{expect.number:g} {takes.unit}")


def advance(folder: Path, wanted: Wanted) -> Sitting:
    """Work at the job until the wanted item is live, and everything is on the disk."""
    sitting = Sitting.open(folder)
    for _ in range(2000):
        if wanted(sitting.item) or sitting.item.kind == "finished":
            break
        refused = sitting.answer(answer_to(sitting))
        if refused:
            raise RuntimeError(f"{sitting.view().text}: {refused}")
    sitting.wait()
    return sitting


def demo(home: Path) -> Path:
    """Make the demo among the jobs of a person's folder."""
    os.environ["HANDWHEEL_HOME"] = str(home)
    return make_demo(None)[0]


async def picture(
    folder: Path | None, sitting: Sitting, keys: str, look: Look, size: tuple[int, int]
) -> tuple[str, str]:
    """Give a screen as SVG and as text."""
    app = HandwheelApp(folder, look, opener=lambda *_: sitting)
    async with app.run_test(size=size) as pilot:
        while not app.desk.pages[0].ready:
            await pilot.pause(0.02)
        for key in keys:
            app.desk.press(Press(KEYS.get(key, key), 1.0))
        while not app.desk.pages[-1].ready:  # the look-up reads its tables aside
            await pilot.pause(0.02)
        await asyncio.to_thread(sitting.wait, 5)
        app.paper.paint()
        await pilot.pause()
        svg = app.export_screenshot(title="handwheel")
        text = "\n".join(line.rstrip() for line in app.paper.text())
    return svg, text


_TEXT = re.compile(r'x="([\d.]+)"( y="[\d.]+") textLength="([\d.]+)"([^>]*)>((?:&#160;)+)([^<]*)<')


def without_leading_blanks(svg: str) -> str:
    """Move each text by the blanks it begins with: some programs leave them out, and digits change shape."""

    def moved(match: re.Match[str]) -> str:
        x, y, length, rest, blanks, text = match.groups()
        lead, whole = len(blanks) // len("&#160;"), len(unescape(blanks + text))
        cell = float(length) / whole
        return f'x="{float(x) + lead * cell:g}"{y} textLength="{(whole - lead) * cell:g}"{rest}>{text}<'

    return _TEXT.sub(moved, svg)


def write(target: Path, name: str, svg: str, text: str, look: str) -> None:
    """Write a picture, and its text where that is the point of it."""
    if look == "ascii":
        (target / f"{name}.txt").write_text(text + "\n", encoding="ascii")
        return
    file = target / f"{name}.svg"
    file.write_text(without_leading_blanks(svg), encoding="utf-8")
    if shutil.which("rsvg-convert"):
        subprocess.run(
            ["rsvg-convert", "-w", "1200", str(file), "-o", str(file.with_suffix(".png"))], check=True
        )


def main() -> None:
    """Make all pictures: every scene in truecolor at both sizes, and in the other looks at 80x24."""
    target = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent
    target.mkdir(parents=True, exist_ok=True)
    for scene, (wanted, keys) in SCENES.items():
        for look_name, look in LOOKS.items():
            for size in SIZES if look_name == "truecolor" else SIZES[:1]:
                with tempfile.TemporaryDirectory() as temp:
                    folder = demo(Path(temp))
                    sitting = advance(folder, wanted)
                    svg, text = asyncio.run(
                        picture(None if scene == "jobs" else folder, sitting, keys, look, size)
                    )
                    sitting.close()
                write(target, f"{scene}-{look_name}-{size[0]}x{size[1]}", svg, text, look_name)


if __name__ == "__main__":
    main()
