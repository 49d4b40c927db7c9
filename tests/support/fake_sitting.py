"""A sitting without plan and disk: what it shows and takes is said by the test."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from handwheel.drawing.shapes import Drawing
from handwheel.present.lists_view import Explanation, FindingView, RouteRow, RouteView
from handwheel.present.view import Line, RunView
from handwheel.run.act import Answer
from handwheel.store.writer import SaveState

__all__ = ["DRILL", "FakeSitting", "number", "setting"]

STRIP = ("Swarf is hot and sharp: hook or brush, never fingers.", "Keep the flutes wet.")
LINES = (
    Line("done", "Set the spindle to 850 1/min"),
    Line("pending", "Chuck key out and in its place"),
    Line("live", "Drill to the stop"),
    Line("next", "Measure the depth"),
    Line("next", "Sign off"),
)
DRILL = RunView(
    title="Bearing carrier a[/b]c",
    place="op 50 Drill · m8-holes",
    progress="operation 5 of 9 · hole 2 of 6",
    kind="CUT",
    text="Drill to the stop, drawing the drill out at each of the depths listed.",
    heading="STOP AT",
    big="13.60",
    unit="mm",
    prompt="Enter: cut made",
    lines=LINES,
    table_title="Pecks",
    table=(("peck", "depth mm"), ("1", "6.80"), ("2", "13.60"), ("3", "18.00")),
    strip=STRIP,
)


def number(**changes: object) -> RunView:
    """A reading."""
    view = RunView(
        title="Carrier",
        place="op 30 Bore",
        kind="READING",
        text="Measure the bore.",
        takes="number",
        unit="mm",
        prompt="type the number in mm, then Enter",
        strip=STRIP,
    )
    return replace(view, **changes)  # type: ignore[arg-type]


def setting(**changes: object) -> RunView:
    """A spindle to set."""
    view = replace(DRILL, kind="SETTING", heading="SET TO", big="850", unit="1/min", table=(), table_title="")
    return replace(view, **changes)  # type: ignore[arg-type]


class FakeSitting:
    """Shows `views` one after the other; each answer that is not refused leads to the next."""

    title = "Carrier"
    system = "mm"
    read_only = ""

    def __init__(self, *views: RunView, guard: float = 0.0, notices: tuple[str, ...] = ()) -> None:
        self.views = views
        self.guard = guard
        self.notices = notices
        self.at = 0
        self.answers: list[tuple[str, str]] = []
        self.refuses: dict[str, str] = {}
        self.state = SaveState(0, 0)
        self.waits = False
        self.choices: list[bool] = []
        self.closed = 0
        self.unsaved = ""
        self.after: Callable[[], None] = lambda: None

    def open(self, folder: Path, after: Callable[[], None]) -> FakeSitting:
        """Stand for `Sitting.open`."""
        self.after = after
        return self

    def view(self) -> RunView:
        """What is live."""
        return self.views[min(self.at, len(self.views) - 1)]

    def look(self, step: int) -> RunView:
        """What is some items away."""
        at = min(max(self.at + step, 0), len(self.views) - 1)
        return replace(self.views[at], takes="nothing", text=f"item {at}: {self.views[at].text}")

    def answer(self, answer: Answer) -> str:
        """Take an answer unless it is to be refused."""
        self.answers.append((answer.kind, answer.text))
        refusal = self.refuses.get(answer.text, "")
        self.at += 0 if refusal else 1
        return refusal

    @property
    def must_wait(self) -> bool:
        """Whether keys wait."""
        return self.waits

    def save_state(self) -> SaveState:
        """How saving stands."""
        return self.state

    def saved_text(self) -> str:
        """The same in words."""
        if self.state.problem:
            return f"NOT SAVED: {self.state.problem}"
        return "PENDING" if self.state.pending else "SAVED 14:05:31"

    def route(self) -> RouteView:
        """Two operations."""
        rows = (
            RouteRow(10, "Face", "top", "face-mill", "signed"),
            RouteRow(20, "Drill", "m8-holes", "drill-6-8", "next"),
        )
        return RouteView("Carrier", ("C45", "plan changed"), rows)

    def findings(self) -> tuple[FindingView, ...]:
        """One stop."""
        return (
            FindingView("stop", "carried-number", "op 20 job.toml:41", "a carried number", "why so", "cure"),
        )

    def explain(self) -> tuple[Explanation, ...]:
        """One number."""
        return (Explanation("spindle speed", "850 1/min", ("n = 1000 * v / (pi * d)", "  v = 25 m/min")),)

    def drawings(self) -> tuple[Drawing, ...]:
        """None."""
        return ()

    def explain_drawn(self) -> tuple[Explanation, ...]:
        """None."""
        return ()

    def reasons(self) -> tuple[str, ...]:
        """Two reasons."""
        return ("measured otherwise", "trial piece")

    def conflict_choice(self, mine: bool) -> None:
        """Keep which one stands."""
        self.choices.append(mine)
        self.state = SaveState(1, 1)

    def close(self) -> str:
        """Say what is unsaved."""
        self.closed += 1
        return self.unsaved
