"""A material: its group, hardness and forces, and what to start with in turning, milling and drilling."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from handwheel.calc import CATALOGUE
from handwheel.calc.materials import Material, materials_called
from handwheel.look.answer import Answer, Bare, Part, chosen, gather, typed
from handwheel.values import Value

__all__ = ["material_answers"]

_WORDS = ("group", "hardness_low", "hardness_high", "kc1_1", "mc", "tapping_force", "expansion", "modulus")
_TELLING = ("group", "hardness_low", "hardness_high")
_ALSO = ("density", "fire_risk", "chips")

_STARTS = (
    # Operation, a usual diameter [mm] (common practice, no source), usual tools.
    ("turn", 25.0, ("HSS", "carbide-insert")),
    ("mill", 10.0, ("HSS", "carbide")),
    ("drill", 10.0, ("HSS", "carbide")),
)
_WHY = "a usual diameter: common practice, no source"
_FEEDS = {"turn": ("feed", "depth_of_cut"), "mill": ("feed_per_tooth", "depth_of_cut"), "drill": ("feed",)}


def material_answers(query: str, _: Bare) -> Iterator[Answer]:
    """Give the material of a designation or alias; of an ambiguous alias point at each it may mean."""
    found = materials_called(query)
    for material in found:
        name = {"material": typed(material.name, query)}
        if len(found) > 1:
            parts = (Part("material_data", name, {word: word for word in _TELLING}),)
            yield Answer("material", material.name, gather(parts)[0], query=material.name)
        else:
            yield _answer(material, name)


def _answer(material: Material, name: Mapping[str, Value]) -> Answer:
    values, _ = gather((Part("material_data", name, {word: word for word in _WORDS}),))
    for start in _STARTS:
        for tool in start[2]:
            values |= _start(name, start[:2], tool)
    values |= gather((Part("material_data", name, {word: word for word in _ALSO}),))[0]
    said = (f"start values: {_diameters()}; hardness not given, so those of its hardest state",)
    return Answer("material", material.name, values, said=said)


def _start(name: Mapping[str, Value], start: tuple[str, float], tool: str) -> dict[str, Value]:
    """Give what to start an operation with: cutting speed, the spindle speed that comes to, and feed."""
    operation, diameter = start
    across = chosen(diameter, _WHY, "mm")
    given = {
        **name,
        "operation": chosen(operation, "usual operations"),
        "tool_material": chosen(tool, "usual tools"),
        "diameter": across,
    }
    begin = f"{operation}_{tool.replace('-', '_').casefold()}"
    names = {result: f"{begin}_{result}" for result in ("cutting_speed", *_FEEDS[operation])}
    values, _ = gather((Part("start_values", given, names),))
    speed = values.pop(f"{begin}_cutting_speed", None)
    if speed is None:
        return values
    turning = CATALOGUE["spindle_speed"].run({"cutting_speed": speed, "diameter": across})
    return {
        f"{begin}_cutting_speed": speed,
        f"{begin}_spindle_speed": turning["spindle_speed"],
        **values,
    }


def _diameters() -> str:
    return ", ".join(f"{operation} at {diameter:g} mm" for operation, diameter, _ in _STARTS)
