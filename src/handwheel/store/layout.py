"""The layout of record.toml, as bytes: what is live, what was done, and the seal under both.

    schema = 1
    [now]        what is live, in words: all that the first paint needs
    [[event]]    what was done, in order
    [end]        how many events, and the CRC-32 of all bytes above

The seal is what tells a whole file from a torn one, which TOML cannot: a file cut off between two
events reads well, and an empty one too. The checksum runs over the events first, then over what stands
above them and under them, so that the part that only grows is summed once and never again.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from typing import Any
from zlib import crc32

__all__ = ["SCHEMA", "Parts", "loads", "now_of", "seal", "split"]

SCHEMA = 1

_EVENT = b"\n[[event]]\n"
_END = b"\n[end]\n"
_SEAL = re.compile(rb'(\[end\]\nevents = (\d{1,9})\n)crc32 = "([0-9a-f]{8})"\s*')
_BOM = b"\xef\xbb\xbf"


@dataclass(frozen=True, slots=True)
class Parts:
    """A record's bytes taken apart: above the events, the events, and what the seal says of them."""

    head: bytes
    events: bytes
    sealed: bool
    count: int
    agrees: bool


def seal(count: int, head: bytes, events_crc: int) -> bytes:
    """Give the `[end]` table for a number of events, the bytes above them and their own CRC-32."""
    end = b"[end]\nevents = %d\n" % count
    return end + b'crc32 = "%08x"\n' % crc32(end, crc32(head, events_crc))


def split(data: bytes) -> Parts:
    """Take a record apart and compare the checksum.

    The marks are looked for at the start of a line. Where we wrote the file that is exact: a line break
    inside a text is written as an escape, so that no text ever starts a line. Where somebody else did,
    the checksum disagrees. Line ends as Windows writes them, and its mark at the start, are no change.
    """
    data = data.removeprefix(_BOM).replace(b"\r\n", b"\n")
    end = data.rfind(_END) + 1
    found = _SEAL.fullmatch(data, end) if end else None
    body = data if found is None else data[:end]
    first = body.find(_EVENT) + 1 or len(body)
    head, events = body[:first], body[first:]
    if found is None:
        return Parts(head, events, sealed=False, count=0, agrees=False)
    agrees = crc32(found[1], crc32(head, crc32(events))) == int(found[3], 16)
    return Parts(head, events, sealed=True, count=int(found[2]), agrees=agrees)


def now_of(data: bytes) -> dict[str, Any] | None:
    """Give what is live, without reading the events; None unless the whole record is intact."""
    parts = split(data)
    if not parts.agrees:
        return None
    try:
        head = loads(parts.head.decode())
    except ValueError:
        return None
    now = head.get("now")
    return now if isinstance(now, dict) and head.get("schema") == SCHEMA else None


def loads(text: str) -> dict[str, Any]:
    """Read TOML; every way in which that can fail is a `ValueError`."""
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise ValueError("brackets stand too deep inside each other") from None
