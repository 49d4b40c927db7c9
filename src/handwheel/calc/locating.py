"""Where the zero is: between two touched edges."""

from typing import Annotated, NamedTuple

from handwheel.calc.catalogue import Example, Quantity, calculation

Touched = Annotated[float, Quantity("mm", "a", kind="position", usual=(-1000, 1000))]
Other = Annotated[float, Quantity("mm", "b", kind="position", usual=(-1000, 1000))]


class Middle(NamedTuple):
    """The middle between two positions, and how far each of them is from it."""

    centre: Annotated[float, Quantity("mm", "c", kind="position")]
    offset: Annotated[float, Quantity("mm", "o", kind="position")]


@calculation(
    title="Middle between two touched edges",
    formula="c = (a + b) / 2; o = abs(b - a) / 2",
    source="geometry",
    examples=(Example({"first": -12, "second": 148}, {"centre": 68, "offset": 80}, "by hand: 160 mm apart"),),
    second=lambda first, second: Middle(
        min(first, second) + abs(second - first) / 2, max(first, second) - (first + second) / 2
    ),
)
def centre_of_two(*, first: Touched, second: Other) -> Middle:
    """Give the middle of two positions [mm] and the distance of each from it [mm]."""
    return Middle((first + second) / 2, abs(second - first) / 2)
