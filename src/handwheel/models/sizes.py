"""A size as a person wrote it: the text, the number in its core unit, and on what basis it stands."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler, ValidationInfo
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, core_schema

from handwheel.units import read

__all__ = [
    "Angle",
    "AnyLength",
    "Basis",
    "ConeAngle",
    "Coordinate",
    "Deviation",
    "Force",
    "Hardness",
    "Length",
    "Mass",
    "Power",
    "Seconds",
    "Size",
    "Slant",
    "SpindleSpeed",
    "Torque",
    "Units",
]

Units = Literal["mm", "inch"]
Basis = Literal["drawing", "model", "measured", "estimate", "carried"]
_BASES = ("drawing", "model", "measured", "estimate", "carried")

BARE_LENGTH = {"mm": "mm", "inch": "in"}
"""The unit that a bare length takes, by the unit system of the file."""


@dataclass(frozen=True, slots=True)
class Size:
    """A size: `plain` in `unit`, the `text` as typed, and its own basis where it has one."""

    plain: float
    unit: str
    text: str
    basis: Basis | None = None


@dataclass(frozen=True, slots=True)
class _Measure:
    """Tell pydantic how to read a size in `unit`: `"6.8 mm"`, `6.8`, or `{ size = "…", basis = "…" }`."""

    unit: str
    above: float | None = None
    at_least: float | None = None
    at_most: float | None = None
    below: float | None = None

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.with_info_plain_validator_function(self._read)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        text = {"type": ["string", "number"], "description": f"a size in {self.unit or 'no unit'}"}
        basis = {"enum": list(_BASES)}
        return {
            "anyOf": [
                text,
                {
                    "type": "object",
                    "properties": {"size": text, "basis": basis},
                    "required": ["size"],
                    "additionalProperties": False,
                },
            ]
        }

    def _read(self, given: Any, info: ValidationInfo) -> Size:
        basis = None
        if isinstance(given, dict):
            basis = given.get("basis")
            if set(given) - {"size", "basis"} or "size" not in given or basis not in (None, *_BASES):
                raise ValueError(
                    'expected { size = "14 mm", basis = "estimate" }, the basis one of: ' + ", ".join(_BASES)
                )
            given = given["size"]
        if isinstance(given, bool) or not isinstance(given, (str, int, float)):
            raise ValueError(f'expected a size in {self.unit}, written like "12 {self.unit}"')
        text = given if isinstance(given, str) else f"{given!r}"
        plain = read(text, self.unit, self._bare(info))
        if self.above is not None and plain <= self.above:
            raise ValueError(f'"{text}" has to be above {self.above:g} {self.unit}')
        if self.at_least is not None and plain < self.at_least:
            raise ValueError(f'"{text}" has to be at least {self.at_least:g} {self.unit}')
        if self.at_most is not None and abs(plain) > self.at_most:
            raise ValueError(f'"{text}" has to be at most {self.at_most:g} {self.unit}')
        if self.below is not None and plain >= self.below:
            raise ValueError(f'"{text}" has to be below {self.below:g} {self.unit}')
        return Size(plain, self.unit, text, basis)

    def _bare(self, info: ValidationInfo) -> str:
        if self.unit != "mm":
            return self.unit
        units = (info.context or {}).get("units", "mm")
        return BARE_LENGTH.get(units, "mm")


LONGEST = 20_000.0
"""A longer size [mm] than any machine of a small shop takes is a slip of the pen."""

Length = Annotated[Size, _Measure("mm", above=0, at_most=LONGEST)]
AnyLength = Annotated[Size, _Measure("mm", at_least=0, at_most=LONGEST)]
Coordinate = Annotated[Size, _Measure("mm", at_most=LONGEST)]
Deviation = Annotated[Size, _Measure("µm", at_most=5000)]
Angle = Annotated[Size, _Measure("deg", at_most=360)]
ConeAngle = Annotated[Size, _Measure("deg", above=0, below=180)]
Slant = Annotated[Size, _Measure("deg", at_least=0, below=45)]
SpindleSpeed = Annotated[Size, _Measure("1/min", above=0)]
Power = Annotated[Size, _Measure("kW", above=0)]
Hardness = Annotated[Size, _Measure("HB", above=0)]
Seconds = Annotated[Size, _Measure("s", at_least=0, at_most=5)]
Force = Annotated[Size, _Measure("N", above=0)]
Torque = Annotated[Size, _Measure("N·m", above=0)]
Mass = Annotated[Size, _Measure("kg", above=0)]
