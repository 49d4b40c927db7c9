"""What a bench comes to: figures, most of them ratios to a floor that was measured in the same run."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

__all__ = ["Figure", "quantile"]


@dataclass(frozen=True)
class Figure:
    """One figure: its number, the most it should be, and what else is worth reading beside it.

    `compared` says that it is a ratio, which another machine would find as well; only those are held
    against earlier results. A figure that grows gets worse, always.
    """

    name: str
    number: float
    most: float | None = None
    compared: bool = True
    beside: Mapping[str, float | str] = field(default_factory=dict)

    @property
    def missed(self) -> bool:
        """Whether it is more than it should be."""
        return self.most is not None and self.number > self.most

    def line(self) -> str:
        """Give it as one line."""
        wanted = "" if self.most is None else f"{'MISSED' if self.missed else 'kept'}: at most {self.most:g}"
        beside = ", ".join(f"{name} {number}" for name, number in self.beside.items())
        return f"{self.name:<46} {self.number:>9g}  {wanted:<24} {beside}".rstrip()


def quantile(numbers: Sequence[float], share: float) -> float:
    """Give the number that this share of the numbers does not pass (0.5 is the median)."""
    ordered = sorted(numbers)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))]
