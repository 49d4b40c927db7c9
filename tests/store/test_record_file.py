"""The text of record.toml, and reading it whatever has happened to it."""

from __future__ import annotations

import subprocess
import sys
import tomllib
from datetime import datetime
from pathlib import Path
from zlib import crc32

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from handwheel.errors import StoreError
from handwheel.models.record import EVENT_KINDS, Event
from handwheel.store import layout
from handwheel.store.durable import Disk, backup_of, replace_file
from handwheel.store.record import KEPT, NAME, Loaded, RecordText, keep_copy, load, parse, read_now, stamp

AT = "2026-11-24T10:15:00+01:00"
NOW = {
    "title": "Träger [b]x[/b]",
    "step": 3,
    "held": True,
    "lines": [["Set", "850 1/min"], []],
    "notes": ["a"],
}
EVENTS = [
    Event(kind="opened", at=AT),
    Event(
        kind="set",
        at=AT,
        operation=50,
        step="speed",
        shown="850 1/min",
        used={"a.b": "6.8 mm", "recipe": "x"},
    ),
    Event(kind="read", at=AT, operation=50, step="size", position=2, value=6.81, unit="mm", verdict="pass"),
]

texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=30) | st.sampled_from(
    [
        "[[event]]",
        "\n[[event]]\n",
        "\n[end]\n",
        '"""\n[[event]]\n',
        "\r\n[end]\r\nevents = 0\r\n",
        "'''",
        "\x00\x7f",
    ]
)
nows = st.dictionaries(
    texts,
    texts | st.integers(-(10**9), 10**9) | st.booleans() | st.lists(texts, max_size=3)
    | st.lists(st.lists(texts, max_size=2), max_size=3),
    max_size=5,
)  # fmt: skip
events = st.builds(
    Event,
    kind=st.sampled_from(EVENT_KINDS),
    at=st.just(AT),
    operation=st.none() | st.integers(1, 999),
    entered=st.none() | texts,
    reason=st.none() | texts,
    value=st.none() | st.floats(allow_nan=False),
    used=st.none() | st.dictionaries(texts, texts, max_size=4),
)


def clock() -> datetime:
    return datetime(2026, 11, 24, 10, 15)


def written(events: list[Event], now: dict[str, object] | None = None) -> bytes:
    return RecordText(events).text(NOW if now is None else now)


@given(nows, st.lists(events, max_size=5))
def test_what_is_written_is_read(now: dict[str, object], events: list[Event]) -> None:
    data = written(events, now)
    record = parse(data)
    assert record.intact
    assert record.now == now
    assert list(record.events) == events
    assert layout.now_of(data) == now


@given(st.lists(events, max_size=5), st.data())
@settings(deadline=None)
def test_a_record_that_was_cut_off_is_never_taken_for_whole(events: list[Event], data: st.DataObject) -> None:
    whole = written(events)
    cut = whole[: data.draw(st.integers(0, len(whole) - 2))]
    assert parse(cut).standing == "broken"
    assert layout.now_of(cut) is None


def test_a_flipped_bit_anywhere_in_a_small_record_is_seen() -> None:
    whole = written(EVENTS, {"step": "3"})
    for bit in range(len(whole) * 8 - 8):
        flipped = bytearray(whole)
        flipped[bit // 8] ^= 1 << bit % 8
        assert not layout.split(bytes(flipped)).agrees, bytes(flipped)


@given(st.lists(events, max_size=3), st.data())
@settings(deadline=None)
def test_a_flipped_bit_is_never_taken_for_intact(events: list[Event], data: st.DataObject) -> None:
    whole = bytearray(written(events))
    bit = data.draw(st.integers(0, len(whole) * 8 - 9))  # the last line end is not part of the seal
    whole[bit // 8] ^= 1 << bit % 8
    assert not parse(bytes(whole)).intact
    assert layout.now_of(bytes(whole)) is None


def test_appending_is_the_same_as_writing_anew() -> None:
    growing = RecordText()
    for event in EVENTS:
        growing.append(event)
        growing.text(NOW)
    assert growing.text(NOW) == written(EVENTS)
    assert len(growing) == 3


def test_the_text_is_plain_toml_in_the_order_promised() -> None:
    data = written(EVENTS)
    whole = tomllib.loads(data.decode())
    assert list(whole) == ["schema", "now", "event", "end"]
    assert whole["end"]["events"] == 3
    assert whole["event"][1]["used"] == {"a.b": "6.8 mm", "recipe": "x"}
    assert data.startswith(b"schema = 1\n\n[now]\n")


def test_a_sign_that_utf_8_has_not_does_not_stop_the_saving() -> None:
    record = parse(RecordText().text({"title": "a\udcb0b"}))
    assert record.now == {"title": "a?b"}


def test_line_ends_and_the_mark_of_windows_are_no_change() -> None:
    data = b"\xef\xbb\xbf" + written(EVENTS).replace(b"\n", b"\r\n")
    assert parse(data).intact
    assert layout.now_of(data) == NOW


@pytest.mark.parametrize(
    "data", [b"", b"\n", b"\xef\xbb\xbf", b"\x00" * 300, b"schema = 1\n", b"\xff\xfe", b"[" * 9999]
)
def test_what_is_no_record_is_broken(data: bytes) -> None:
    record = parse(data)
    assert (record.standing, record.events) == ("broken", ())
    assert record.problem
    assert layout.now_of(data) is None


def test_a_change_by_hand_is_shown_and_not_refused() -> None:
    record = parse(written(EVENTS).replace(b"6.81", b"6.79"))
    assert record.standing == "edited"
    assert record.events[2].value == 6.79
    assert "checksum" in record.problem


def test_a_missing_entry_is_seen_by_the_count_where_the_checksum_agrees() -> None:
    parts = layout.split(written(EVENTS[:2]))
    miscounted = parts.head + parts.events + layout.seal(3, parts.head, crc32(parts.events))
    assert layout.split(miscounted).agrees
    assert parse(miscounted).standing == "edited"


def test_a_newer_schema_can_only_be_looked_at() -> None:
    data = (
        written(EVENTS)
        .replace(b"schema = 1", b"schema = 2")
        .replace(b"position = 2", b"place = 2\nposition = 2")
    )
    record = parse(data)
    assert record.standing == "newer"
    assert [event.kind for event in record.events] == ["opened", "set", "read"]
    assert "schema 2" in record.problem
    assert layout.now_of(data) is None


def test_an_entry_of_a_newer_schema_that_cannot_be_shown_is_counted() -> None:
    record = parse(written(EVENTS).replace(b"schema = 1", b"schema = 2").replace(b'"opened"', b'"blessed"'))
    assert len(record.events) == 2
    assert "1 of its entries" in record.problem


def test_an_unknown_key_names_its_line_and_is_not_taken_for_damage() -> None:
    parts = layout.split(written(EVENTS[:1], {}))
    events = parts.events.replace(b"at = ", b"postion = 1\nat = ")
    record = parse(parts.head + events + layout.seal(1, parts.head, crc32(events)))
    assert record.standing == "foreign"
    assert record.problem == 'record.toml:7 event.#1.postion: unknown key; did you mean "position"?'


def sealed(events: bytes, count: int) -> bytes:
    """Give a record with these bytes of events, as a program wrote it."""
    head = layout.split(written([])).head
    return head + events + layout.seal(count, head, crc32(events))


@pytest.mark.parametrize("undoes", [-1, 1, 2, 10**6])
def test_an_entry_that_takes_back_what_is_not_above_it_is_said(undoes: int) -> None:
    """In a record edited by hand it is told with its line; one that a program wrote is not added to."""
    bad = Event(kind="undone", at=AT, undoes=undoes)
    events = layout.split(written([EVENTS[0], bad])).events
    said = f"event.#2.undoes: {undoes} is no entry above this one, counted from 0; it takes back nothing"
    record = parse(sealed(events, 2))
    assert record.standing == "foreign"
    assert record.problem == f"record.toml:{line_of_undoes(sealed(events, 2))} {said}"
    edited = parse(sealed(events, 3))
    assert (edited.standing, edited.events) == ("edited", (EVENTS[0], bad))
    assert edited.problem.endswith(said) and "\n" not in edited.problem


def line_of_undoes(data: bytes) -> int:
    return 1 + next(line for line, text in enumerate(data.splitlines()) if text.startswith(b"undoes"))


def test_an_entry_may_take_back_any_that_stands_above_it() -> None:
    for undoes in (0, 2):
        assert parse(written([*EVENTS, Event(kind="undone", at=AT, undoes=undoes)])).intact


# The folder


def save(folder: Path, events: list[Event]) -> bytes:
    data = written(events)
    replace_file(folder / NAME, data)
    return data


def test_a_job_without_a_record_begins_one(tmp_path: Path) -> None:
    loaded = load(tmp_path, clock=clock)
    assert (loaded.record.events, loaded.record.intact, loaded.data, loaded.said) == ((), True, None, ())


def test_a_record_is_loaded_with_the_bytes_it_had(tmp_path: Path) -> None:
    data = save(tmp_path, EVENTS)
    loaded = load(tmp_path, clock=clock)
    assert (loaded.data, loaded.said, loaded.source) == (data, (), tmp_path / NAME)
    assert not loaded.read_only


@pytest.mark.parametrize("damage", [b"", b"schema = 1\n[now]\n", b"\x00" * 40])
def test_a_broken_record_is_moved_aside_and_the_content_before_it_taken(
    tmp_path: Path, damage: bytes
) -> None:
    save(tmp_path, EVENTS[:2])
    save(tmp_path, EVENTS)
    (tmp_path / NAME).write_bytes(damage)
    loaded = load(tmp_path, clock=clock)
    assert list(loaded.record.events) == EVENTS[:2]
    assert loaded.data is None
    assert loaded.source == backup_of(tmp_path / NAME)
    assert (tmp_path / "record.toml.corrupt-2026-11-24T101500").read_bytes() == damage
    assert "it is kept as record.toml.corrupt-" in loaded.said[0]
    assert "record.toml.bak (2 entries)" in loaded.said[1]


def test_a_second_broken_record_does_not_take_the_name_of_the_first(tmp_path: Path) -> None:
    for damage in (b"1", b"2"):
        (tmp_path / NAME).write_bytes(damage)
        assert "begins anew" in load(tmp_path, clock=clock).said[-1]
    assert sorted(path.read_bytes() for path in tmp_path.glob("*.corrupt-*")) == [b"1", b"2"]


def test_without_a_backup_the_newest_dated_copy_is_taken(tmp_path: Path) -> None:
    for day in (1, 2):
        save(tmp_path, EVENTS[:day])
        keep_copy(tmp_path, datetime(2026, 11, day))
    (tmp_path / NAME).write_bytes(b"broken")
    backup_of(tmp_path / NAME).write_bytes(b"broken too")
    loaded = load(tmp_path, clock=clock)
    assert len(loaded.record.events) == 2
    assert loaded.source == tmp_path / KEPT / "record-2026-11-02T000000.toml"


def test_a_second_instance_leaves_a_broken_record_where_it_is(tmp_path: Path) -> None:
    save(tmp_path, EVENTS)
    save(tmp_path, EVENTS)
    (tmp_path / NAME).write_bytes(b"broken")
    loaded = load(tmp_path, clock=clock, move=False)
    assert len(loaded.record.events) == 3
    assert (tmp_path / NAME).read_bytes() == b"broken"


def test_a_record_that_was_removed_comes_from_the_backup(tmp_path: Path) -> None:
    save(tmp_path, EVENTS[:1])
    save(tmp_path, EVENTS)
    (tmp_path / NAME).unlink()
    loaded = load(tmp_path, clock=clock)
    assert len(loaded.record.events) == 1
    assert loaded.said[0] == "record.toml is not there"


@pytest.mark.parametrize(
    ("before", "now", "differs"),
    [
        (EVENTS, [*EVENTS[:2], EVENTS[0]], "entry 3 is the first that differs"),
        (EVENTS[:2], EVENTS, "those of the copy stand as they were"),
        (EVENTS, EVENTS[:1], "from entry 2 on they are missing now"),
        (EVENTS, EVENTS[1:], "entry 1 is the first that differs"),
    ],
    ids=["one changed", "one added", "two removed", "the first removed"],
)
def test_a_record_changed_by_hand_is_compared_with_the_one_before(
    tmp_path: Path, before: list[Event], now: list[Event], differs: str
) -> None:
    """How many entries there were and are, and from where on they differ, in one line each."""
    save(tmp_path, before)
    save(tmp_path, before)
    edited = written(now).replace(b"Set", b"Bet")
    (tmp_path / NAME).write_bytes(edited)
    loaded = load(tmp_path, clock=clock)
    assert (loaded.record.standing, loaded.data) == ("edited", edited)
    assert loaded.said == (
        "record.toml: it was changed since it was saved: its checksum does not agree",
        f"entries in the last intact copy (record.toml.bak): {len(before)}; now: {len(now)}",
        differs,
    )


def test_a_record_changed_by_hand_without_an_older_copy_says_so(tmp_path: Path) -> None:
    (tmp_path / NAME).write_bytes(written(EVENTS).replace(b"6.81", b"6.79"))
    assert load(tmp_path, clock=clock).said[1:] == ("no older copy of it was found to compare it with",)


def test_a_newer_record_is_read_only_and_stays(tmp_path: Path) -> None:
    data = save(tmp_path, EVENTS).replace(b"schema = 1", b"schema = 7")
    (tmp_path / NAME).write_bytes(data)
    assert load(tmp_path, clock=clock).read_only
    assert (tmp_path / NAME).read_bytes() == data


def test_a_record_that_may_not_be_read_is_no_empty_one(tmp_path: Path) -> None:
    class Closed(Disk):
        def read(self, path: Path) -> bytes:
            raise PermissionError(13, "not for you")

    save(tmp_path, EVENTS)
    with pytest.raises(StoreError, match="not for you"):
        load(tmp_path, Closed(), clock=clock)


def test_a_record_on_a_bad_sector_comes_from_the_backup(tmp_path: Path) -> None:
    class BadSector(Disk):
        def read(self, path: Path) -> bytes:
            if path.name == NAME:
                raise OSError(5, "bad sector")
            return super().read(path)

    save(tmp_path, EVENTS[:1])
    save(tmp_path, EVENTS)
    loaded = load(tmp_path, BadSector(), clock=clock)
    assert len(loaded.record.events) == 1
    assert "bad sector" in loaded.said[0]


def test_the_newest_ten_dated_copies_stay(tmp_path: Path) -> None:
    """A file of somebody else's is no copy, whatever its name begins with."""
    assert keep_copy(tmp_path, clock()) is None
    for day in range(1, 14):
        data = save(tmp_path, EVENTS * day)
        keep_copy(tmp_path, datetime(2026, 11, day))
        (tmp_path / KEPT / "record-notes.toml").write_bytes(b"mine")
    kept = sorted(path.name for path in (tmp_path / KEPT).iterdir())
    stamps = [f"record-{stamp(datetime(2026, 11, day))}.toml" for day in range(4, 14)]
    assert kept == [*stamps, "record-notes.toml"]
    assert (tmp_path / KEPT / stamps[-1]).read_bytes() == data


def test_a_record_that_did_not_change_is_not_copied_again(tmp_path: Path) -> None:
    """Opening a job ten times to look must not push the older copies out."""
    save(tmp_path, EVENTS)
    first = keep_copy(tmp_path, datetime(2026, 11, 1))
    assert keep_copy(tmp_path, datetime(2026, 11, 2)) == first
    save(tmp_path, EVENTS[:2])
    second = keep_copy(tmp_path, datetime(2026, 11, 3))
    assert second != first
    assert sorted((tmp_path / KEPT).iterdir()) == [first, second]


def test_a_copy_that_cannot_be_read_does_not_stand_in_for_a_new_one(tmp_path: Path) -> None:
    class BadSector(Disk):
        def read(self, path: Path) -> bytes:
            if path.parent.name == KEPT:
                raise OSError(5, "bad sector")
            return super().read(path)

    data = save(tmp_path, EVENTS)
    keep_copy(tmp_path, datetime(2026, 11, 1))
    second = keep_copy(tmp_path, datetime(2026, 11, 2), BadSector())
    assert second is not None and second.name == "record-2026-11-02T000000.toml"
    assert second.read_bytes() == data


# Going on


@given(nows, st.lists(events, max_size=5), events)
def test_a_record_is_gone_on_with_as_if_it_had_never_been_left(
    now: dict[str, object], events: list[Event], added: Event
) -> None:
    """The bytes of the events on file are those that would be made of them anew, whatever their line ends."""
    for data in (written(events, now), written(events, now).replace(b"\n", b"\r\n")):
        text = RecordText.resume(Loaded(parse(data), None, data, ()))
        assert text.text(NOW) == written(events)
        text.append(added)
        assert text.text(NOW) == written([*events, added])
        assert len(text) == len(events) + 1


def test_a_record_that_is_intact_is_not_turned_into_text_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    save(tmp_path, EVENTS)
    loaded = load(tmp_path, clock=clock)
    monkeypatch.setattr(Event, "table", lambda event: pytest.fail("turned into text"))
    assert len(RecordText.resume(loaded)) == 3


def test_a_record_that_was_edited_or_comes_from_a_copy_is_written_anew(tmp_path: Path) -> None:
    """What a hand wrote is taken by its meaning: its bytes may not be such as will be read again."""
    save(tmp_path, EVENTS[:2])
    edited = save(tmp_path, EVENTS).replace(b"value = 6.81\n", b"value    = 6.79 # mine\n")
    (tmp_path / NAME).write_bytes(edited)
    loaded = load(tmp_path, clock=clock)
    assert RecordText.resume(loaded).text(NOW) == written(list(loaded.record.events))
    (tmp_path / NAME).unlink()
    assert RecordText.resume(load(tmp_path, clock=clock)).text(NOW) == written(EVENTS[:2])


# The first paint


def test_the_first_paint_reads_what_is_live(tmp_path: Path) -> None:
    save(tmp_path, EVENTS)
    assert read_now(tmp_path / NAME) == NOW
    assert read_now(tmp_path / "nowhere.toml") is None
    (tmp_path / NAME).write_bytes(written(EVENTS).replace(b"850", b"880"))
    assert read_now(tmp_path / NAME) is None


def test_the_first_paint_loads_none_of_the_slow_modules(tmp_path: Path) -> None:
    save(tmp_path, EVENTS)
    code = (
        "import sys; from pathlib import Path; from handwheel.store.record import read_now\n"
        f"assert read_now(Path({str(tmp_path / NAME)!r}))['step'] == 3\n"
        "slow = {'pydantic', 'pint', 'tomli_w', 'textual', 'handwheel.models', 'handwheel.calc.catalogue'}\n"
        "print(sorted(slow & set(sys.modules)))"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"
