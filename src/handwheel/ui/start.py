"""The way in: look at the terminal, choose a look, and paint before anything heavy is imported."""

from __future__ import annotations

import gc
import os
import sys
from pathlib import Path

from handwheel.errors import InputError

__all__ = ["LOOKS", "start"]

LOOKS = ("truecolor", "16", "mono", "ascii")
"""What may be asked for; the command line offers these without importing a screen."""


def start(folder: Path | None, look: str = "") -> int:
    """Show a job, or the list of jobs, and give the exit code. Raises `InputError` without a terminal.

    The collector of garbage rests until the first paint: it finds none, and takes a tenth of the time.
    """
    gc.disable()
    from handwheel.ui.looks import choose_look, refuse_terminal

    refusal = refuse_terminal(os.environ, (sys.__stdin__, sys.__stdout__, sys.__stderr__))
    if refusal:
        gc.enable()
        raise InputError(refusal)
    encoding = sys.__stderr__.encoding if sys.__stderr__ else "ascii"
    chosen = choose_look(os.environ, encoding, look)
    from handwheel.ui.app import run_app

    return run_app(folder, chosen)
