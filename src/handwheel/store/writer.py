"""The one thread that saves a file: the latest content wins, and what counts as saved is on the disk.

A save that fails is tried again by the clock and with every new content, each time with a new file.
A file that somebody else changed meanwhile is not overwritten: the content goes to a file of its own
beside it until a person has said which of the two stands.
"""

from __future__ import annotations

import errno
import logging
import time
from collections import deque
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime
from functools import partial
from pathlib import Path
from threading import Condition, Thread
from typing import Any

from handwheel.errors import StoreError
from handwheel.store.durable import DISK, Files, replace_file
from handwheel.store.record import free_name, stamp

__all__ = ["SaveState", "Writer", "in_words"]

Content = bytes | Callable[[], bytes]

_WORDS = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "the share of the disk is used up",
    errno.EROFS: "the disk is read-only",
    errno.EACCES: "no permission to write here",
    errno.EPERM: "no permission to write here",
    errno.EIO: "the disk reports a fault",
    errno.ENOENT: "the folder is not there any more",
    errno.ENODEV: "the disk is not there any more",
    errno.ENXIO: "the disk is not there any more",
    errno.ESTALE: "the network disk is not there any more",
}


def in_words(error: OSError) -> str:
    """Say why a file could not be saved."""
    return _WORDS.get(error.errno or 0, error.strerror or str(error))


@dataclass(frozen=True, slots=True)
class SaveState:
    """How saving stands: versions, since when [s of the clock] something waits, and what is wrong.

    `problem` is "" while all goes well. `conflict` is the file that holds what could not go to its
    place because somebody else changed the file there.
    """

    submitted: int
    saved: int
    pending_since: float | None = None
    problem: str = ""
    conflict: Path | None = None

    @property
    def pending(self) -> bool:
        """Whether something submitted is not on the disk in its place."""
        return self.saved < self.submitted


class Writer:
    """Saves what is submitted, in a thread of its own.

    `known` is what the file held when it was read (None: there was none); a file that holds something
    else was changed by somebody else. `after` is called from the thread after each save or failure.
    """

    def __init__(
        self,
        path: Path,
        known: bytes | None,
        *,
        after: Callable[[SaveState], None] | None = None,
        files: Files = DISK,
        clock: Callable[[], float] = time.monotonic,
        now: Callable[[], datetime] = datetime.now,
        retry: float = 2.0,
    ) -> None:
        self._path = path
        self._files = files
        self._after = after
        self._clock = clock
        self._now = now
        self._retry = retry
        self._watch = _Watch(known, files)
        self._changed = Condition()
        self._content: Content = b""
        self._waiting: deque[tuple[int, float]] = deque()
        self._state = SaveState(0, 0)
        self._kept = 0  # version that the conflict file holds
        self._tried = 0  # version that was last tried, well or not
        self._wish: _Wish | None = None  # that ours stands, to be carried out by the thread
        self._asked = 0  # how often somebody wanted something, so that no wish falls between two waits
        self._answered = 0
        self._closing = False
        self._thread = Thread(target=self._run, name=f"saves {path.name}", daemon=True)
        self._thread.start()

    def submit(self, version: int, content: Content) -> None:
        """Hand over the whole content, or what makes it in the thread, under a version that grows."""
        with self._changed:
            if version <= self._state.submitted:
                raise ValueError(f"version {version} is not above {self._state.submitted}")
            if self._closing:
                raise StoreError("saving has ended already")
            self._content = content
            self._waiting.append((version, self._clock()))
            self._set(submitted=version)
            self._ask()

    def state(self) -> SaveState:
        """Say how saving stands now."""
        with self._changed:
            return self._state

    def wait(self, version: int, timeout: float | None = None) -> bool:
        """Wait until a version is saved; say whether it is.

        Waits at most `timeout` [s], and no longer than until a try of that version has failed or went
        to the conflict's file: `state` says why.
        """
        with self._changed:
            self._changed.wait_for(lambda: self._state.saved >= version or self._failed(version), timeout)
            return self._state.saved >= version

    def keep_mine(self, timeout: float = 2.0) -> None:
        """End a conflict: what was submitted stands, and the changed file is kept under another name.

        The thread does it, within `timeout` [s]. Raises `OSError` where it could not be done or the disk
        does not answer; the conflict then goes on.
        """
        with self._changed:
            if self._state.conflict is None:
                return
            if not self._thread.is_alive():
                raise StoreError("saving has ended already")
            wish = self._wish = self._wish or _Wish()
            self._ask()
            if not self._changed.wait_for(lambda: wish.done, timeout):
                self._wish = None  # unless it is being carried out just now
                raise TimeoutError(errno.ETIMEDOUT, "the disk does not answer")
        if wish.problem is not None:
            raise wish.problem

    def close(self, timeout: float = 2.0) -> str:
        """Save what waits, at most for `timeout` [s], and say what is not saved; "" where all is."""
        with self._changed:
            self._closing = True
            self._ask()
        self._thread.join(timeout)
        state = self.state()
        if not state.pending:
            return ""
        why = state.problem or "the disk does not answer"
        return f"NOT SAVED: {self._path.name} of version {state.submitted}, saved is {state.saved}: {why}"

    def _run(self) -> None:
        failed = False
        while True:
            with self._changed:
                if failed:
                    self._changed.wait_for(lambda: self._asked > self._answered, self._retry)
                self._changed.wait_for(lambda: self._due() or self._closing or self._wish is not None)
                wish, self._wish = self._wish, None
                if wish is None and not self._due():
                    return
                self._answered, last = self._asked, self._closing
            if wish is not None:
                self._carry_out(wish)
            with self._changed:
                if not self._due():
                    continue
                version, content, conflict = self._state.submitted, self._content, self._state.conflict
            failed = not self._attempt(version, content, conflict)
            if failed and last:
                return

    def _ask(self) -> None:
        self._asked += 1
        self._changed.notify_all()

    def _due(self) -> bool:
        return max(self._state.saved, self._kept) < self._state.submitted

    def _failed(self, version: int) -> bool:
        return self._tried >= version and (self._state.problem != "" or self._state.conflict is not None)

    def _carry_out(self, wish: _Wish) -> None:
        """Keep the changed file under a name of its own, so that the next save goes to its place."""
        name = f"{self._path.stem}.changed-{stamp(self._now())}{self._path.suffix}"
        try:
            self._watch.accept(self._path, free_name(self._path.with_name(name), self._files))
        except OSError as error:
            wish.problem = error
        with self._changed:
            wish.done = True
            if wish.problem is None:
                self._kept = 0
                self._set(conflict=None, problem="")
            self._changed.notify_all()

    def _attempt(self, version: int, content: Content, conflict: Path | None) -> bool:
        """Save once; say whether the content is on the disk, in its place or in the conflict's file."""
        problem, done = "", True
        try:
            data = content() if callable(content) else content
            if conflict is None:
                conflict = self._save(data)
            if conflict is not None:
                replace_file(conflict, data, self._files, keep_previous=False)
                problem = f"{self._path.name} was changed by somebody else; this goes to {conflict.name}"
        except OSError as error:
            problem, done = in_words(error), False
        except Exception as error:  # the thread has to live: the next content may be sound
            logging.getLogger(__name__).exception("saving %s", self._path)
            problem, done = f"fault of this program: {error!r}", False
        self._note(version, done, problem, conflict)
        return done

    def _save(self, data: bytes) -> Path | None:
        """Save in the file's place; where somebody else changed it, give the name for the conflict."""
        try:
            replace_file(self._path, data, self._files, check=partial(self._watch.check, data))
        except _ChangedError:
            name = f"{self._path.stem}.conflict-{stamp(self._now())}{self._path.suffix}"
            return free_name(self._path.with_name(name), self._files)
        self._watch.saved()
        return None

    def _note(self, version: int, done: bool, problem: str, conflict: Path | None) -> None:
        with self._changed:
            saved = self._state.saved
            if done and conflict is None:
                saved = version
                while self._waiting and self._waiting[0][0] <= version:
                    self._waiting.popleft()
            if done and conflict is not None:
                self._kept = version
            self._tried = version
            state = self._set(saved=saved, problem=problem, conflict=conflict)
        if self._after is not None:
            try:
                self._after(state)
            except Exception:  # a screen that is gone must not end the saving
                logging.getLogger(__name__).exception("after saving %s", self._path)

    def _set(self, **changes: Any) -> SaveState:
        since = self._waiting[0][1] if self._waiting else None
        self._state = replace(self._state, pending_since=since, **changes)
        self._changed.notify_all()
        return self._state


@dataclass(slots=True)
class _Wish:
    """That a conflict ends: whether the thread has done what it could, and what kept it from it."""

    done: bool = False
    problem: OSError | None = None


class _ChangedError(Exception):
    """The file holds what neither was read nor written here."""


class _Watch:
    """Knows what a file held when it was last read or written, and sees whether that still holds."""

    def __init__(self, known: bytes | None, files: Files) -> None:
        self._files = files
        self._known = known
        self._seen: tuple[int, ...] | None = None
        self._tried: bytes | None = None  # a save that failed late may have reached the file
        self._trying: tuple[int, ...] | None = None

    def check(self, data: bytes, real: Path, temp: Path) -> None:
        """Raise unless the file holds what is known, or nothing; `temp` with `data` is about to replace it.

        Time, size and number of the file say that it is untouched; only where they differ are the
        contents compared, since a touched or copied-back file is no change.
        """
        seen = self._marks(real)
        if seen is not None and seen != self._seen:
            held = self._files.read(real)
            if held not in (self._known, self._tried):
                raise _ChangedError
            self._known = held
        self._seen = None
        self._tried, self._trying = data, self._marks(temp)

    def saved(self) -> None:
        """Take the last tried content as the known one."""
        self._known, self._seen = self._tried, self._trying

    def accept(self, path: Path, aside: Path) -> None:
        """Keep the changed content under another name and take it as known."""
        with suppress(FileNotFoundError):
            held = self._files.read(path)
            replace_file(aside, held, self._files, keep_previous=False)
            self._known = held

    def _marks(self, path: Path) -> tuple[int, ...] | None:
        seen = self._files.stat(path)
        return None if seen is None else (seen.st_mtime_ns, seen.st_size, seen.st_ino)
