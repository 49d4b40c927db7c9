"""Files of a job changed in one place of their text."""

from __future__ import annotations

from pathlib import Path

__all__ = ["change", "line_with"]


def change(path: Path, old: str, new: str) -> str:
    """Change the one place of a file that holds `old`, and give its new text."""
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1, f"{text.count(old)} times in {path.name}: {old}"
    text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")
    return text


def line_with(text: str, part: str) -> int:
    """Give the number of the one line that holds a part of it."""
    found = [number for number, line in enumerate(text.splitlines(), start=1) if part in line]
    assert len(found) == 1, f"{part} stands in the lines {found}"
    return found[0]
