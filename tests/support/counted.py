"""How many published checks there are, by source, by calculation and by basis.

`python tests/support/counted.py` prints the three lists.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any

from bending import checks

__all__ = ["count", "of_document", "of_table"]

Check = Mapping[str, Any]


def count(given: Iterable[Check], of: Callable[[Check], str]) -> list[tuple[str, int]]:
    """Count checks by a name, the most frequent first."""
    return Counter(map(of, given)).most_common()


def of_document(check: Check) -> str:
    """Give the document of a check, without the table or page in it and without where it was read."""
    return re.split(r"[;,:(]| (?:[Tt]ables?|clause|para|p\.) ", str(check["source"]))[0].strip()


def of_table(check: Check) -> str:
    """Give the document and the table or page in it."""
    return str(check["source"]).partition(";")[0].strip()


def lines() -> Iterator[str]:
    """Print the three lists, and the sum of each."""
    given = [check for _, check in checks()]
    ways: tuple[tuple[str, Callable[[Check], str]], ...] = (
        ("by source", of_document),
        ("by calculation", lambda check: str(check["calculation"])),
        ("by basis", lambda check: str(check["basis"])),
    )
    for title, of in ways:
        counted = count(given, of)
        yield f"{title}: {len(counted)} of them, {sum(times for _, times in counted)} checks"
        yield from (f"  {times:>5}  {100 * times / len(given):4.1f} %  {name}" for name, times in counted)


if __name__ == "__main__":
    for line in lines():
        print(line)
