"""Feed rates: how fast the slide travels at a feed per revolution or per tooth."""

from typing import Annotated

from handwheel.calc.catalogue import Example, Quantity, calculation
from handwheel.calc.quantities import Feed, FeedRate, SpindleSpeed

__all__ = ["milling_feed", "turning_feed"]

FeedPerTooth = Annotated[float, Quantity("mm", "fz", kind="feed", above=0, usual=(0.005, 1))]
Teeth = Annotated[int, Quantity("", "z", at_least=1, at_most=1000, usual=(1, 40), example="4")]

_SOURCE = "Machinery's Handbook, 31st ed., Milling: fm = ft nt N (from memory)"


@calculation(
    title="Feed rate of a tool that feeds per revolution",
    formula="vf = f * n",
    source="Machinery's Handbook, 31st ed., Estimating speeds and machining power: fm = f N (from memory)",
    examples=(
        Example(
            {"feed": 1.5, "spindle_speed": 100},
            {"feed_rate": 150},
            "any textbook: an M10 tap at 100 1/min advances its pitch in each turn (from memory)",
        ),
    ),
    second=lambda feed, spindle_speed: feed / (1 / spindle_speed),
    result="feed_rate",
)
def turning_feed(*, feed: Feed, spindle_speed: SpindleSpeed) -> FeedRate:
    """Give the feed rate [mm/min] of a feed per revolution [mm] at a spindle speed [1/min]."""
    return feed * spindle_speed


@calculation(
    title="Feed rate of a milling cutter",
    formula="vf = fz * z * n",
    source=_SOURCE,
    examples=(
        Example(
            {"feed_per_tooth": 0.05, "teeth": 4, "spindle_speed": 1000},
            {"feed_rate": 200},
            "any textbook (from memory)",
        ),
    ),
    second=lambda feed_per_tooth, teeth, spindle_speed: feed_per_tooth / (1 / (teeth * spindle_speed)),
    result="feed_rate",
)
def milling_feed(*, feed_per_tooth: FeedPerTooth, teeth: Teeth, spindle_speed: SpindleSpeed) -> FeedRate:
    """Give the table feed [mm/min] of a cutter with a number of teeth at a feed per tooth [mm]."""
    return feed_per_tooth * teeth * spindle_speed
