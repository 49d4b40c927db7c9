"""How many numbers could be wrong unnoticed: results bent by 1 %, cells of tables by one last digit.

`python bench/bent.py [WORD …]` prints what no published check notices, of the calculations and tables whose
name has one of the words in it. No figure here is a time.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests" / "support"))

from bending import Bend, Cell, bends, cells, checks, unnoticed_bends, unnoticed_cells

from result import Figure

MOST = 2.0  # per cent
FEW = 40


def measure(tiny: bool) -> Iterator[Figure]:
    """Bend everything once, and print what nothing notices."""
    given = checks()
    every, unnoticed = list(bends()), unnoticed_bends(given)
    _print(unnoticed)
    share = round(100 * len(unnoticed) / len(every), 2)
    yield Figure("results bent by 1 %, unnoticed [%]", share, MOST, False, {"bends": len(every)})
    looked = list(unnoticed_cells(given, _every(97) if tiny else _every(1)))
    passed = [cell for cell, free in looked if free]
    _print(passed)
    rows = {(cell.table, cell.row) for cell, _ in looked}
    free = rows - {(cell.table, cell.row) for cell, free in looked if not free}
    beside = {"rows": len(rows), "cells": len(looked), "cells_unnoticed": len(passed)}
    share = round(100 * len(free) / len(rows), 2)
    yield Figure("table rows bent by a last digit, unnoticed [%]", share, MOST, False, beside)


def survivors(words: Sequence[str]) -> Iterator[Bend | Cell]:
    """Give what no check notices, of what has one of the words in its name."""
    given = checks()
    yield from (one for one in unnoticed_bends(given) if any(word in one.calculation for word in words))
    for cell, free in unnoticed_cells(given, lambda cell: any(word in cell.table for word in words)):
        if free:
            yield cell


def _every(step: int) -> Callable[[Cell], bool]:
    numbers = {cell: number for number, cell in enumerate(cells())}
    return lambda cell: numbers[cell] % step == 0


def _print(found: Sequence[Bend | Cell]) -> None:
    for one in found[:FEW]:
        print(f"  unnoticed: {one}")
    if len(found) > FEW:
        print(f"  and {len(found) - FEW} more")


if __name__ == "__main__":
    for one in survivors(sys.argv[1:] or [""]):
        print(one)
