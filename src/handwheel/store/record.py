"""record.toml: reading it with all that may have happened to it, and its text, which only grows.

`read_now` is all that the first paint needs. It and this module's imports load neither pydantic nor
the writer of TOML; what needs them imports them when it is called.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal
from zlib import crc32

from handwheel.errors import Fault, StoreError
from handwheel.store import layout
from handwheel.store.durable import DISK, Files, backup_of, replace_file, sweep

if TYPE_CHECKING:
    from handwheel.models.record import Event

__all__ = [
    "KEPT",
    "NAME",
    "Loaded",
    "Record",
    "RecordText",
    "Standing",
    "free_name",
    "keep_copy",
    "load",
    "parse",
    "read_now",
    "stamp",
]

NAME = "record.toml"
KEPT = "record-kept"  # the folder of the dated copies, one for each session
_COPIES = 10
_COPY = re.compile(r"record-\d{4}-\d\d-\d\dT\d{6}\.toml")  # with `stamp` in it

Standing = Literal["intact", "edited", "newer", "foreign", "broken"]
"""What became of a record since it was written:

intact   as this program wrote it
edited   readable and complete, but the checksum disagrees: changed by hand, or by a failing disk
newer    its schema is newer than this program
foreign  as a program wrote it, with entries that this one does not know or that cannot be
broken   cut off, empty or unreadable
"""


@dataclass(frozen=True, slots=True)
class Record:
    """What a record holds, and in one line what is wrong with it."""

    now: Mapping[str, Any]
    events: tuple[Event, ...]
    standing: Standing
    problem: str = ""

    @property
    def intact(self) -> bool:
        """Whether it stands as it was written."""
        return self.standing == "intact"


@dataclass(frozen=True, slots=True)
class Loaded:
    """The record to go on from, where it came from, and what a person has to be told.

    `data` is what record.toml itself holds now (None: there is none), for the one who replaces it.
    """

    record: Record
    source: Path | None
    data: bytes | None
    said: tuple[str, ...]

    @property
    def read_only(self) -> bool:
        """Whether it can only be looked at."""
        return self.record.standing in ("newer", "foreign")


class RecordText:
    """The text of a growing record: each event is turned into text once, and a save is a join."""

    def __init__(self, events: Iterable[Event] = ()) -> None:
        self._events = bytearray()
        self._crc = 0
        self._count = 0
        for event in events:
            self.append(event)

    @classmethod
    def resume(cls, loaded: Loaded) -> RecordText:
        """Go on from a record that was read; where it is intact, the bytes of its events stay as they are."""
        if loaded.data is None or not loaded.record.intact:
            return cls(loaded.record.events)
        text = cls()
        text._events += layout.split(loaded.data).events
        text._crc = crc32(text._events)
        text._count = len(loaded.record.events)
        return text

    def __len__(self) -> int:
        return self._count

    def append(self, event: Event) -> None:
        """Add one event at the end."""
        # The writer of TOML would put a short table on one line; a table of its own it never does.
        text = _dump({"event": event.table()}).replace(b"[event]\n", b"[[event]]\n", 1) + b"\n"
        self._events += text
        self._crc = crc32(text, self._crc)
        self._count += 1

    def text(self, now: Mapping[str, Any]) -> bytes:
        """Give the whole file, with what is live at its head.

        `now` is a table of texts, numbers, yes or no, lists of texts, and lists of lists of texts.
        """
        head = _dump({"schema": layout.SCHEMA, "now": now}) + b"\n"
        return b"".join((head, self._events, layout.seal(self._count, head, self._crc)))


def read_now(path: Path) -> dict[str, Any] | None:
    """Give the `[now]` table of a record for the first paint; None unless the record is intact."""
    try:
        return layout.now_of(path.read_bytes())
    except OSError:
        return None


def parse(data: bytes) -> Record:
    """Read a record's bytes; never raises, since whatever they are, a person has to go on."""
    parts = layout.split(data)
    if not parts.events and not parts.head.strip():
        return _broken("it is empty")
    try:
        text = data.decode("utf-8-sig")
        whole = layout.loads(text)
    except ValueError as error:
        return _broken(f"it cannot be read: {error}")
    now, tables, schema = whole.get("now"), whole.get("event", []), whole.get("schema")
    if not (isinstance(now, dict) and isinstance(tables, list) and type(schema) is int):
        return _broken("it is not a record")
    if schema > layout.SCHEMA:
        return _newer(now, tables, schema)
    if not parts.sealed:
        return _broken("it ends before its end mark")
    events, fault = _events(text, tables)
    if fault:
        return Record(now, (), "foreign", fault) if parts.agrees else _broken(fault)
    astray = _undone_astray(text, events)
    if parts.agrees and parts.count == len(events):
        return Record(now, events, "foreign", astray) if astray else Record(now, events, "intact")
    edited = "it was changed since it was saved: its checksum does not agree"
    return Record(now, events, "edited", f"{edited}; {astray}" if astray else edited)


def load(
    folder: Path,
    files: Files = DISK,
    *,
    clock: Callable[[], datetime],
    move: bool = True,
) -> Loaded:
    """Read the record of a job: record.toml, else the content before the last save, else a dated copy.

    A broken file is moved aside under a name of its own and never overwritten; with `move` False (a
    second instance, which only looks) it stays where it is. Where there is nothing, the record is new.
    Raises `StoreError` where the file is there and may not be read.
    """
    main = folder / NAME
    said: list[str] = []
    found = _read(main, files)
    if found is not None:
        data, record = found
        if record.standing != "broken":
            said += [f"{NAME}: {record.problem}"] if record.problem else []
            said += _compared(record, folder, files) if record.standing == "edited" else []
            return Loaded(record, main, data, tuple(said))
        said.append(_aside(main, record.problem, files, clock, move))
    older = _older(folder, files)
    if older is None:
        said += ["no older copy of it was found: the record begins anew"] if found else []
        return Loaded(Record({}, (), "intact"), None, None, tuple(said))
    source, record = older
    said += [] if found else [f"{NAME} is not there"]
    said.append(
        f"the record is taken from {source.relative_to(folder)} ({len(record.events)} entries): "
        "compare the last entry with what was done"
    )
    return Loaded(record, source, None, tuple(said))


def keep_copy(folder: Path, at: datetime, files: Files = DISK) -> Path | None:
    """Keep a dated copy of the record, as a session begins, and the newest ten; None without a record.

    Where the newest copy is the same, it is the one. A copy, not a second name: an editor that writes in
    place would change both. To be called, as `sweep`, by the one who holds the folder's lock.
    """
    main, kept = folder / NAME, folder / KEPT
    if files.stat(main) is None:
        return None
    if files.stat(kept) is None:
        kept.mkdir(exist_ok=True)
        files.fsync_dir(folder)
    sweep(kept, files)
    content = files.read(main)
    newest = next(iter(_copies(folder, files)), None)
    if newest is not None and _holds(newest, content, files):
        return newest
    copy = kept / f"record-{stamp(at)}.toml"
    replace_file(copy, content, files, keep_previous=False)
    for old in _copies(folder, files)[_COPIES:]:
        with suppress(OSError):
            files.unlink(old)
    return copy


def stamp(at: datetime) -> str:
    """Write a time so that every file system takes it in a name and names sort by it."""
    return at.strftime("%Y-%m-%dT%H%M%S")


def free_name(wanted: Path, files: Files = DISK) -> Path:
    """Give the name, or the next numbered one that no file has."""
    name, number = wanted, 2
    while files.stat(name) is not None:
        name = wanted.with_name(f"{wanted.stem}-{number}{wanted.suffix}")
        number += 1
    return name


def _dump(table: Mapping[str, Any]) -> bytes:
    import tomli_w

    # A lone surrogate from a bad terminal has no bytes in UTF-8; one sign must not stop the saving.
    return tomli_w.dumps(table).encode("utf-8", "replace")


def _broken(problem: str) -> Record:
    return Record({}, (), "broken", problem)


def _events(text: str, tables: list[Any]) -> tuple[tuple[Event, ...], str]:
    """Read the events; with an entry that does not fit, say where and what."""
    from pydantic import ValidationError

    from handwheel.models.record import Event
    from handwheel.store.faults import model_faults

    events = []
    for index, table in enumerate(tables):
        try:
            events.append(Event.model_validate(table))
        except ValidationError as error:
            return (), str(model_faults(NAME, text, error, ("event", index), Event)[0])
    return tuple(events), ""


def _undone_astray(text: str, events: tuple[Event, ...]) -> str:
    """Say which entry takes back what does not stand above it, and so does nothing; "" where none does."""
    from handwheel.store.faults import line_of

    for index, event in enumerate(events):
        if event.undoes is not None and not 0 <= event.undoes < index:
            what = f"{event.undoes} is no entry above this one, counted from 0; it takes back nothing"
            return str(
                Fault(NAME, line_of(text, ("event", index, "undoes")), f"event.#{index + 1}.undoes", what)
            )
    return ""


def _newer(now: Mapping[str, Any], tables: list[Any], schema: int) -> Record:
    """Read what can be read of a record from the future: to look at, never to write."""
    from pydantic import ValidationError

    from handwheel.models.record import Event

    events = []
    for table in tables:
        known = (
            {key: table[key] for key in Event.model_fields if key in table} if isinstance(table, dict) else {}
        )
        with suppress(ValidationError):
            events.append(Event.model_validate(known))
    left = len(tables) - len(events)
    problem = (
        f"it has schema {schema}, this program knows {layout.SCHEMA}: it can be looked at, not added to"
        + (f"; {left} of its entries cannot be shown" if left else "")
    )
    return Record(now, tuple(events), "newer", problem)


def _read(path: Path, files: Files) -> tuple[bytes, Record] | None:
    try:
        data = files.read(path)
    except FileNotFoundError:
        return None
    except (PermissionError, IsADirectoryError) as error:
        raise StoreError(f"{path}: it cannot be read: {error.strerror}") from error
    except OSError as error:
        return b"", _broken(f"the disk does not give it back: {error.strerror}")
    return data, parse(data)


def _older(folder: Path, files: Files) -> tuple[Path, Record] | None:
    """Give the newest older copy that is intact."""
    for path in (backup_of(folder / NAME), *_copies(folder, files)):
        with suppress(StoreError):
            found = _read(path, files)
            if found is not None and found[1].intact:
                return path, found[1]
    return None


def _compared(record: Record, folder: Path, files: Files) -> list[str]:
    """Say what was changed by hand since the newest intact copy: how many entries, and from where on."""
    older = _older(folder, files)
    if older is None:
        return ["no older copy of it was found to compare it with"]
    source, before = older
    now, then = record.events, before.events
    same = next((at for at, (one, two) in enumerate(zip(now, then, strict=False)) if one != two), None)
    if same is not None:
        differs = f"entry {same + 1} is the first that differs"
    elif len(now) < len(then):
        differs = f"from entry {len(now) + 1} on they are missing now"
    else:
        differs = "those of the copy stand as they were"
    counts = f"entries in the last intact copy ({source.relative_to(folder)}): {len(then)}; now: {len(now)}"
    return [counts, differs]


def _copies(folder: Path, files: Files) -> list[Path]:
    """Give the dated copies, newest first."""
    kept = folder / KEPT
    try:
        names = files.listdir(kept)
    except OSError:
        return []
    return [kept / name for name in sorted(names, reverse=True) if _COPY.fullmatch(name)]


def _holds(path: Path, content: bytes, files: Files) -> bool:
    with suppress(OSError):  # a copy that the disk does not give back is none
        return files.read(path) == content
    return False


def _aside(main: Path, problem: str, files: Files, clock: Callable[[], datetime], move: bool) -> str:
    if not move:
        return f"{NAME}: {problem}"
    aside = free_name(main.with_name(f"{NAME}.corrupt-{stamp(clock())}"), files)
    try:
        files.replace(main, aside)
    except OSError as error:
        return f"{NAME}: {problem}; it could not be moved aside: {error.strerror}"
    return f"{NAME}: {problem}; it is kept as {aside.name}"
