"""The catalogue of calculations: typed functions on plain floats in declared units.

Importing the package registers every calculation; `CATALOGUE` holds them by id.
"""

from importlib import import_module

from handwheel.calc.catalogue import (
    CATALOGUE,
    Calculation,
    CalculationError,
    Declared,
    Example,
    Quantity,
    calculation,
)

__all__ = ["CATALOGUE", "Calculation", "CalculationError", "Declared", "Example", "Quantity", "calculation"]

_SUBJECTS = (
    "centre_drills",
    "chains",
    "corners",
    "cut_spring",
    "cutting",
    "dividing",
    "drills",
    "fasteners",
    "feeds",
    "finish",
    "fluids",
    "fits",
    "geometry",
    "holding",
    "holes",
    "loads",
    "locating",
    "masses",
    "materials",
    "mates",
    "measuring",
    "milling",
    "next_cut",
    "one_cut_or_two",
    "passes",
    "retaining_rings",
    "speeds",
    "stages",
    "start",
    "stiffness",
    "surface_speed",
    "tapers",
    "tapping",
    "thread_cutting",
    "threads",
    "times",
    "walls",
)

for _subject in _SUBJECTS:
    import_module(f"{__name__}.{_subject}")
