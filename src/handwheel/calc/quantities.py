"""The quantities that calculations share: one name, one unit, one range each.

`above`/`at_least`/`below`/`at_most` is what is possible, `usual` what a small shop meets.
"""

from typing import Annotated

from handwheel.calc.catalogue import Quantity

__all__ = [
    "Angle",
    "CuttingSpeed",
    "Depth",
    "Diameter",
    "Feed",
    "FeedRate",
    "Length",
    "Pitch",
    "PointAngle",
    "SpindleSpeed",
    "Thread",
    "Time",
]

CuttingSpeed = Annotated[float, Quantity("m/min", "v", above=0, usual=(1, 1500))]
SpindleSpeed = Annotated[float, Quantity("1/min", "n", above=0, usual=(10, 30000))]
Diameter = Annotated[float, Quantity("mm", "d", above=0, usual=(0.1, 500))]
Length = Annotated[float, Quantity("mm", "l", above=0, usual=(0.1, 3000))]
Depth = Annotated[float, Quantity("mm", "t", kind="depth", above=0, usual=(0.1, 500))]
Feed = Annotated[float, Quantity("mm", "f", kind="feed", above=0, usual=(0.005, 2))]
FeedRate = Annotated[float, Quantity("mm/min", "vf", above=0, usual=(1, 10000))]
Pitch = Annotated[float, Quantity("mm", "P", kind="size", above=0, usual=(0.2, 6))]
PointAngle = Annotated[float, Quantity("deg", "sigma", above=0, below=180, usual=(60, 150))]
Angle = Annotated[float, Quantity("deg", "alpha", above=-360, below=360)]
Time = Annotated[float, Quantity("min", "T", at_least=0)]
Thread = Annotated[str, Quantity("", "thread", example="M8")]
