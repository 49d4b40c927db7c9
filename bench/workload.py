"""Lines for `calc --stdin`: every calculation, values from the declared usual ranges, and some bad lines."""

from __future__ import annotations

import json
from collections.abc import Iterator
from random import Random
from typing import Any

from handwheel.calc import CATALOGUE, Calculation, Declared

__all__ = ["lines"]

BAD = 0.05
WORDS = {
    "thread": ("M8", "M6", "M3", "M12", "M20", "M8x1", "M10x1.25", "1/4-20 UNC", "#10-32 UNF", "G 1/4"),
    "material": ("S235", "C45", "42CrMo4", "6082", "CW614N", "EN-GJL-250", "1045", "304", "POM"),
    "name": ("#7", "F", "13/64", "6.8 mm", "1/2", "3 mm"),
    "internal_class": ("6H", "5H", "7H"),
    "external_class": ("6g", "6h", "6e"),
    "condition": ("annealed", "normalized", "as-supplied"),
    "zone": ("H7", "g6", "js9", "J7", "N9", "k6", "zc8", "H11"),
    "hole": ("H7", "H11", "JS7", "N7", "P7"),
    "shaft": ("g6", "h6", "js6", "k6", "n6", "s6"),
    "form": ("A", "B", "C", "E", "plug", "bottoming"),
    "process": ("turning", "grinding", "drilling"),
}
NEAR = (0.5, 50.0)
"""Where an input declares no usual range: a range that hardly any calculation refuses."""


def lines(count: int, seed: int = 1) -> list[bytes]:
    """Give lines over all calculations in turn, one in twenty not usable."""
    chance = Random(seed)
    calculations = list(CATALOGUE.values())
    return [_line(calculations[index % len(calculations)], chance) for index in range(count)]


def _line(calculation: Calculation, chance: Random) -> bytes:
    if chance.random() < BAD:
        return _bad(calculation, chance)
    asked = {"id": calculation.id, "inputs": dict(_inputs(calculation, chance))}
    return json.dumps(asked, ensure_ascii=False).encode() + b"\n"


def _inputs(calculation: Calculation, chance: Random) -> Iterator[tuple[str, Any]]:
    for name, one in calculation.inputs.items():
        if one.required or chance.random() < 0.5:
            yield name, _input(one, chance)


def _input(one: Declared, chance: Random) -> Any:
    match one.shape:
        case "numbers":
            return sorted(_number(one, chance) for _ in range(8))
        case "rows":
            return [
                {name: _input(column, chance) for name, column in one.fields.items()}
                for _ in range(chance.randint(2, 8))
            ]
        case "text":
            return chance.choice(one.quantity.choices or WORDS.get(one.name, ("M8",)))
        case "flag":
            return chance.random() < 0.5
        case "count":
            low, high = one.quantity.usual or (1, 5)
            return chance.randint(int(low), int(high))
        case _:
            return _typed(_number(one, chance), one.quantity.unit, chance)


def _number(one: Declared, chance: Random) -> float:
    return round(chance.uniform(*(one.quantity.usual or NEAR)), 4)


def _typed(number: float, unit: str, chance: Random) -> Any:
    """Give a number as it comes in practice: half as numbers, the others as text in mm, inch, fractions."""
    way = chance.randrange(8)
    if way < 4:
        return number
    if unit != "mm":
        return f"{number} {unit}" if way < 6 else str(number).replace(".", ",") if number % 1 else number
    if way == 4:
        return f"{number} mm"
    if way == 5:
        return f"{round(number / 25.4, 4)} in"
    whole, part = divmod(round(number / 25.4 * 64), 64)
    fraction = f"{part}/64" if part else ""
    return " ".join(filter(None, (str(whole) if whole or not part else "", fraction))) + " in"


def _bad(calculation: Calculation, chance: Random) -> bytes:
    first = next(iter(calculation.inputs))
    asked: Any = chance.choice(
        (
            {"id": calculation.id + "x", "inputs": {}},
            {"id": calculation.id, "inputs": {}},
            {"id": calculation.id, "inputs": {first: "9**9**9 mm"}},
            {"id": calculation.id, "inputs": {"no_such_input": 1}},
            {"id": calculation.id, "inputs": {first: "1,000"}},
            ["no object"],
        )
    )
    text = json.dumps(asked).encode()
    return (text if chance.random() < 0.8 else text[:-3]) + b"\n"
