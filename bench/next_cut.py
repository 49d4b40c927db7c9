"""How many simulated parts the advice for the next cut brings to size, beside dialling what is missing."""

from __future__ import annotations

from collections.abc import Iterator

from bores import FAMILIES, HARD, advised, naive, told, tried

from result import Figure

SEED = 20240


def measure(tiny: bool) -> Iterator[Figure]:
    """Make a thousand parts of each family by each advice, from the same dice."""
    count = 20 if tiny else 1000
    for family in FAMILIES + HARD:
        ours, bare, simple = (tried(family, advice, count, SEED) for advice in (told, advised, naive))
        spoiled = ours["spoiled before"]
        beside = {
            "good_percent": _percent(ours["good"], count - spoiled),
            "past": ours["past"],
            "without_limits_good_percent": _percent(bare["good"], count - spoiled),
            "without_limits_past": bare["past"],
            "dialled_good_percent": _percent(simple["good"], count - spoiled),
            "dialled_past": simple["past"],
        }
        missed = round(100 - _percent(ours["good"], count - spoiled), 1)
        yield Figure(
            f"not to size [%]: {family.name}",
            missed,
            10 if family in HARD else 3,
            compared=False,
            beside=beside,
        )
    past = sum(tried(family, told, count, SEED)["past"] for family in FAMILIES + HARD)
    yield Figure(
        "parts past their limit by advice",
        past,
        0,
        compared=False,
        beside={"parts": count * len(FAMILIES + HARD)},
    )


def _percent(part: int, whole: int) -> float:
    return round(100 * part / whole, 1) if whole else 0.0
