"""handwheel on a slow disk: every fsync takes 50 ms more. Takes the arguments of handwheel."""

from __future__ import annotations

import os
import sys
import time

DELAY = 0.05  # [s]; what a USB stick or a tired hard disk needs

_fsync = os.fsync


def _slow(handle: int) -> None:
    time.sleep(DELAY)
    _fsync(handle)


if __name__ == "__main__":
    os.fsync = _slow  # type: ignore[assignment]  # the name of its parameter differs
    from handwheel.cli import main

    sys.exit(main(sys.argv[1:]))
