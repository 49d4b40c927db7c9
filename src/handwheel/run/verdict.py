"""Is the reading good? The one place where a measured number is compared with its limits."""

from __future__ import annotations

from typing import Literal

from handwheel.models.record import Verdict
from handwheel.values import SLACK

__all__ = ["number_verdict"]


def number_verdict(
    reading: float,
    low: float | None,
    high: float | None,
    lower_acceptance: float | None,
    upper_acceptance: float | None,
    removing: Literal["from outside", "from inside"] | None,
) -> Verdict:
    """Give the verdict on a reading, all numbers unrounded and in one unit.

    Beyond the limit on the side where metal is left, there is more to come off; beyond the other
    limit the size is lost. Between a limit and its acceptance limit (ISO 14253-1: the limit moved
    inward by the uncertainty of the instrument) the size is neither proven good nor proven bad. Where
    limits are known but no acceptance limits, the instrument proves nothing.
    """
    above = high is not None and reading > high + SLACK
    below = low is not None and reading < low - SLACK
    if above:
        return "more to come off" if removing == "from outside" else "past the limit"
    if below:
        return "more to come off" if removing == "from inside" else "past the limit"
    unproven_low = low is not None and (lower_acceptance is None or reading < lower_acceptance - SLACK)
    unproven_high = high is not None and (upper_acceptance is None or reading > upper_acceptance + SLACK)
    return "not proven" if unproven_low or unproven_high else "pass"
