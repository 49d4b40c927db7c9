"""The app on a fake sitting, for tests through a terminal."""

from __future__ import annotations

import os
import sys
from dataclasses import replace
from pathlib import Path
from typing import cast

from fake_sitting import DRILL, FakeSitting, number, setting

from handwheel.run.act import Answer
from handwheel.ui.app import run_app
from handwheel.ui.looks import choose_look
from handwheel.ui.operation import Opener


class Breaking(FakeSitting):
    """A sitting with a fault in it."""

    def answer(self, answer: Answer) -> str:
        """Fail at one number."""
        if answer.text == "99":
            raise RuntimeError("a fault on purpose")
        return super().answer(answer)


if __name__ == "__main__":
    hazard = replace(
        DRILL, kind="HAZARD", word="DANGER", text="It takes hold of cuffs: Ø 9 × 24 mm …", big=""
    )
    stop = replace(hazard, kind="STOP", word="", text="A carried number.")
    sitting = Breaking(number(signed=True), DRILL, setting(), hazard, stop, number())
    look = choose_look(os.environ, sys.__stderr__.encoding if sys.__stderr__ else "")
    sys.exit(run_app(Path("nowhere"), look, cast("Opener", sitting.open)))
