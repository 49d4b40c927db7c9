"""Facts being written down, each with its origin."""

from __future__ import annotations

from handwheel.models.sizes import Size
from handwheel.plan.names import FACTS
from handwheel.values import Entered, Missing, Plain, Value

__all__ = ["Book"]


class Book:
    """The facts of one operation."""

    def __init__(self) -> None:
        self.values: dict[str, Value] = {}

    def size(self, name: str, size: Size | None, where: str, basis: str) -> None:
        """Write down a size, or that it is missing where there is something to ask."""
        fact = FACTS[name]
        if size is not None:
            origin = Entered(where, size.text, size.basis or basis)
            self.values[name] = Value(size.plain, fact.unit, origin)
        elif fact.ask:
            self.values[name] = Value(None, fact.unit, Missing(where, fact.ask))

    def plain(self, name: str, plain: Plain, where: str, basis: str, text: str = "") -> None:
        """Write down a word, a count, a yes or no, a list; None is missing."""
        fact = FACTS[name]
        if plain is None or plain == ():
            if fact.ask:
                self.values[name] = Value(None, fact.unit, Missing(where, fact.ask))
            return
        shown = text or (str(plain).lower() if isinstance(plain, bool) else str(plain))
        self.values[name] = Value(plain, fact.unit, Entered(where, shown, basis))

    def numbers(self, name: str, sizes: tuple[Size, ...], where: str, basis: str) -> None:
        """Write down a list of sizes."""
        text = ", ".join(size.text for size in sizes)
        self.plain(name, tuple(size.plain for size in sizes), where, basis, text)

    def yes_or_no(self, name: str, plain: bool, where: str, basis: str) -> None:
        """Write down a yes or no."""
        self.plain(name, plain, where, basis)
