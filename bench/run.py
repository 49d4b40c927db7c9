"""Runs the benches: `python bench/run.py [--against FILE] [NAME …]`.

Prints every figure and writes it to results.json beside this file. With `--against` the ratios are held
against those of an earlier results.json. Exit 1 where a figure is more than it should be, or a ratio has
grown by more than a quarter.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import sys
from collections.abc import Iterator, Sequence
from importlib import import_module
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent / "tests" / "support")]

from result import Figure  # noqa: E402

BENCHES = ("imports", "save", "calc_stdin", "first_paint", "key_to_paint", "kill", "next_cut", "look", "bent")
RESULTS = HERE / "results.json"
WORSE = 1.25


def main(arguments: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="bench/run.py", description="Every figure in one run.")
    parser.add_argument("names", nargs="*", metavar="NAME", help=f"of {', '.join(BENCHES)}; without: all")
    parser.add_argument("--against", type=Path, metavar="FILE", help="an earlier results.json")
    parser.add_argument(
        "--tiny", action="store_true", help="see that each bench runs; its figures say nothing"
    )
    options = parser.parse_args(arguments)
    unknown = [name for name in options.names if name not in BENCHES]
    if unknown:
        parser.error(f"there is no bench {unknown[0]}; there are: {', '.join(BENCHES)}")
    # Read before anything is written: the file may be results.json itself.
    earlier = _results(options.against) if options.against else {}
    figures = list(_run(options.names or BENCHES, options.tiny))
    if options.tiny:
        return 0
    _write(figures, whole=not options.names)
    worse = list(grown(figures, earlier))
    for line in worse:
        print(line)
    return int(bool(worse) or any(figure.missed for figure in figures))


def _run(names: Sequence[str], tiny: bool) -> Iterator[Figure]:
    for name in names:
        for figure in import_module(name).measure(tiny):
            print(figure.line(), flush=True)
            yield figure


def grown(figures: Sequence[Figure], earlier: dict[str, Any]) -> Iterator[str]:
    """Say of each ratio that has grown by more than a quarter from what it was to what it is."""
    for figure in figures:
        before = earlier.get(figure.name, {}).get("number")
        if figure.compared and before and figure.number > before * WORSE:
            yield f"WORSE: {figure.name} was {before:g} and is {figure.number:g}"


def _results(path: Path) -> dict[str, Any]:
    results: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))["figures"]
    return results


def _write(figures: Sequence[Figure], whole: bool) -> None:
    """Write the figures; where only some benches ran, the others keep theirs."""
    kept = {} if whole or not RESULTS.exists() else _results(RESULTS)
    entries = {
        figure.name: {"number": figure.number, "at_most": figure.most, **figure.beside} for figure in figures
    }
    run = {
        "python": platform.python_version(),
        "machine": f"{platform.system()} {platform.machine()}, {os.cpu_count()} processors",
        "figures": kept | entries,
    }
    RESULTS.write_text(json.dumps(run, indent=2, ensure_ascii=False) + "\n", encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
