"""Feed rates, and the feed per tooth that makes up for a thin chip."""

from math import asin, sin, sqrt
from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import CalculationError, Example, Quantity, calculation
from handwheel.calc.quantities import Diameter, Feed, FeedRate, SpindleSpeed

__all__ = ["FeedPerTooth", "Teeth", "WidthOfCut", "chip_thinning", "milling_feed", "turning_feed"]

FeedPerTooth = Annotated[float, Quantity("mm", "fz", kind="feed", above=0, usual=(0.005, 1))]
WidthOfCut = Annotated[float, Quantity("mm", "ae", kind="size", above=0, usual=(0.05, 300))]
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


ThickestChip = Annotated[float, Quantity("mm", "h", kind="feed", above=0, usual=(0.005, 1))]
Thinning = Annotated[float, Quantity("", "k", at_least=1)]


class ThinnedFeed(NamedTuple):
    """The feed per tooth [mm] to set, and how many times the chip it is."""

    feed_per_tooth: FeedPerTooth
    factor: Thinning


def _thinning_by_angle(diameter: float, width_of_cut: float, chip_thickness: float) -> ThinnedFeed:
    """Take the angle at which a tooth leaves the cut: there the chip is the feed times its sine."""
    half = asin(sqrt(min(width_of_cut / diameter, 0.5)))
    factor = 1 / sin(2 * half)
    return ThinnedFeed(chip_thickness * factor, factor)


@calculation(
    title="Feed per tooth that makes up for a thin chip in side milling",
    formula="k = 1 / (2 * sqrt(min(ae / d, 0.5) * (1 - min(ae / d, 0.5)))); "
    "fz = h / (2 * sqrt(min(ae / d, 0.5) * (1 - min(ae / d, 0.5))))",
    source="geometry of a tooth's path: h = fz sin(phi), cos(phi) = 1 - 2 ae / d, up to half the diameter; "
    "from there the thickest chip is the feed itself",
    examples=(
        Example(
            {"diameter": 10, "width_of_cut": 0.5, "chip_thickness": 0.043589},
            {"feed_per_tooth": 0.1, "factor": 2.294},
            "textbook geometry: 0.5 mm with a 10 mm cutter leaves 0.43589 of the feed (from memory)",
        ),
    ),
    second=_thinning_by_angle,
)
def chip_thinning(
    *, diameter: Diameter, width_of_cut: WidthOfCut, chip_thickness: ThickestChip
) -> ThinnedFeed:
    """Give the feed per tooth [mm] at which the thickest chip is as thick as wanted [mm].

    The width of cut [mm] is radial, `ae`. At half the diameter and over it nothing is made up for. The
    teeth, the gullets and the finish set limits of their own: the maker's highest feed stands.
    """
    if width_of_cut > diameter:
        raise CalculationError(
            f"chip_thinning: width_of_cut {width_of_cut:g} mm is above the cutter's diameter, "
            f"{diameter:g} mm; expected at most {diameter:g} mm"
        )
    share = min(width_of_cut / diameter, 0.5)
    factor = 1 / (2 * sqrt(share * (1 - share)))
    return ThinnedFeed(chip_thickness * factor, factor)
