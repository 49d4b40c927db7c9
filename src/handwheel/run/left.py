"""What is left to come off, for a cut that is made again after a reading."""

from __future__ import annotations

from handwheel.calc import CATALOGUE
from handwheel.plan.resolve import ItemKey
from handwheel.run.live import Item
from handwheel.run.state import State
from handwheel.values import Entered, Listed, Value

__all__ = ["left_to_remove"]

_REMOVING = {"from outside": "from a shaft or thickness", "from inside": "from a hole"}


def left_to_remove(item: Item, state: State) -> dict[str, Value]:
    """Compute what the last reading left, as `left.amount` and `left.per_side`; nothing on a first pass."""
    if item.step is None or item.operation is None or item.key.cut_pass < 2 or not item.step.step.again:
        return {}
    planned = next(
        (one for one in item.operation.items if one.step is item.step and one.position == item.key.position),
        None,
    )
    if planned is None or planned.governor is None:
        return {}
    name, position = planned.governor
    index = state.readings.get(ItemKey(item.key.operation, name, position, item.key.cut_pass - 1))
    reading = next(step for step in item.operation.steps if step.id == name)
    aim, removing = reading.value("expect"), reading.step.takes.removing
    if index is None or aim is None or removing is None:
        return {}
    event = state.events[index]
    origin = Entered(f"record.toml event {index + 1}", event.entered or "", "measured")
    results = CATALOGUE["to_come_off"].run(
        {
            "reading": Value(event.value, aim.unit, origin),
            "aim": aim,
            "removing": Value(_REMOVING[removing], "", Listed(f"step {name}", "the recipe")),
        }
    )
    return {f"left.{result}": value for result, value in results.items()}
