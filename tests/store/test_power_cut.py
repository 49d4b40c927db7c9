"""What a disk may hold after the power was cut, at every step of the real `replace_file`.

A layer notes every call. From the notes a disk is imagined: names that were not brought to the disk by
an fsync of the folder may be there or not, each on its own; content that was not brought there by an
fsync of the file may be missing, cut off, or zeros. Every such disk has to hold every save that was
told to be done, and a whole record under the record's own name. Four broken protocols show that the
imagined disk is not a kind one.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import product
from pathlib import Path

import pytest

from handwheel.models.record import Event
from handwheel.store.durable import DISK, Disk, replace_file
from handwheel.store.record import NAME, RecordText, parse

SAVES = 3


@dataclass
class Content:
    """A file's content in memory, and what of it is on the disk for certain."""

    before: bytes = b""
    written: bytearray = field(default_factory=bytearray)
    synced: bool = False

    def after_a_cut(self) -> list[bytes]:
        """Give what may be found."""
        written = bytes(self.written)
        if self.synced:
            return [written]
        half = written[: len(written) // 2]
        return list(dict.fromkeys([written, half, bytes(len(written)), b"", self.before]))


@dataclass(frozen=True)
class Naming:
    """A change of names: `gone` loses its name, `name` gets the content."""

    gone: str | None
    name: str | None
    content: Content | None


class Noting(Disk):
    """The real disk, with a note of what each call promises; `acked` is what was told to be done."""

    def __init__(self) -> None:
        self.names: dict[str, Content] = {}
        self.settled: dict[str, Content] = {}
        self.pending: list[Naming] = []
        self.handles: dict[int, Content] = {}
        self.acked = 0
        self.found: list[str] = []
        self.disks = 0

    def note(self, gone: str | None, name: str | None, content: Content | None) -> None:
        self.pending.append(Naming(gone, name, content))
        if gone is not None:
            self.names.pop(gone, None)
        if name is not None and content is not None:
            self.names[name] = content
        self.cut()

    def create(self, path: Path, mode: int | None) -> int:
        handle = super().create(path, mode)
        self.handles[handle] = Content()
        self.note(None, path.name, self.handles[handle])
        return handle

    def write(self, handle: int, data: memoryview) -> int:
        # In two pieces, so that the power can go between them.
        count = super().write(handle, data[: max(1, len(data) // 2)])
        content = self.handles[handle]
        content.written += data[:count]
        content.synced = False
        self.cut()
        return count

    def fsync(self, handle: int) -> None:
        super().fsync(handle)
        self.handles[handle].synced = True
        self.cut()

    def link(self, source: Path, target: Path) -> None:
        super().link(source, target)
        self.note(None, target.name, self.names[source.name])

    def replace(self, source: Path, target: Path) -> None:
        super().replace(source, target)
        self.note(source.name, target.name, self.names[source.name])

    def unlink(self, path: Path) -> None:
        super().unlink(path)
        self.note(path.name, None, None)

    def fsync_dir(self, folder: Path) -> None:
        super().fsync_dir(folder)
        self.settled = dict(self.names)
        self.pending.clear()
        self.cut()

    def cut(self) -> None:
        """Cut the power here and judge every disk that may be found."""
        for disk in self.disks_now():
            self.disks += 1
            self.judge(disk)

    def disks_now(self) -> Iterator[dict[str, bytes]]:
        for taken in product((True, False), repeat=len(self.pending)):
            names = dict(self.settled)
            for naming, there in zip(self.pending, taken, strict=True):
                if there:
                    names.pop(naming.gone or "", None)
                    if naming.name is not None and naming.content is not None:
                        names[naming.name] = naming.content
            kept = {name: content for name, content in names.items() if not name.endswith(".tmp")}
            for found in product(*(content.after_a_cut() for content in kept.values())):
                yield dict(zip(kept, found, strict=True))

    def judge(self, disk: dict[str, bytes]) -> None:
        main = disk.get(NAME)
        if main is None:
            if self.acked:
                self.found.append("no record")
            return
        record = parse(main)
        if not record.intact:
            self.found.append("torn")
        elif len(record.events) < self.acked:
            self.found.append("lost")
        backup = disk.get(f"{NAME}.bak")
        if backup is not None and not parse(backup).intact:
            self.found.append("torn backup")


def saves(folder: Path, files: Noting) -> Noting:
    record = RecordText()
    for number in range(SAVES):
        record.append(Event(kind="ticked", at="2026-11-24T10:15:00+01:00", step=f"step-{number}"))
        replace_file(folder / NAME, record.text({"live": f"step {number}"}), files)
        files.acked = number + 1
        files.cut()
    return files


def test_no_cut_tears_the_record_or_loses_what_was_done(tmp_path: Path) -> None:
    files = saves(tmp_path, Noting())
    assert files.found == []
    assert files.disks > 100
    assert len(parse((tmp_path / NAME).read_bytes()).events) == SAVES


def test_no_cut_hurts_on_a_disk_without_hard_links(tmp_path: Path) -> None:
    class Stick(Noting):
        def link(self, source: Path, target: Path) -> None:
            raise PermissionError(1, "no links here")

    files = saves(tmp_path, Stick())
    assert files.found == []
    assert (tmp_path / f"{NAME}.bak").is_file()


class NoFsync(Noting):
    """Leaves out the fsync of the new file."""

    def fsync(self, handle: int) -> None:
        DISK.close(os.dup(handle))


class NoFolderFsync(Noting):
    """Leaves out the fsync of the folder."""

    def fsync_dir(self, folder: Path) -> None:
        assert folder.is_dir()


class InPlace(Noting):
    """Writes over the file itself."""

    def create(self, path: Path, mode: int | None) -> int:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o666)
        main = self.names.get(NAME)
        self.handles[handle] = content = Content(before=b"" if main is None else bytes(main.written))
        self.note(None, NAME, content)
        if main is not None:  # the file's name has always been there, only its content goes
            self.settled[NAME] = content
        return handle

    def link(self, source: Path, target: Path) -> None:
        raise FileNotFoundError(source)

    def replace(self, source: Path, target: Path) -> None:
        os.replace(source, target)


class LiveRenamed(Noting):
    """Renames the live file to the backup instead of giving it a second name."""

    def link(self, source: Path, target: Path) -> None:
        super().replace(source, target)


@pytest.mark.parametrize(
    ("broken", "harm"),
    [(NoFsync, "torn"), (NoFolderFsync, "lost"), (InPlace, "torn"), (LiveRenamed, "no record")],
)
def test_a_broken_protocol_is_found_out(tmp_path: Path, broken: type[Noting], harm: str) -> None:
    assert harm in saves(tmp_path, broken()).found
