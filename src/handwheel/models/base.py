"""What all shapes of files share: unknown keys are refused, nothing changes after reading."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, StringConstraints

__all__ = ["Identifier", "Shape", "Text"]

Identifier = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9-]*$", max_length=40)]
"""A name within a file: small letters, digits and hyphens, such as `m8-holes`."""

Text = Annotated[str, StringConstraints(min_length=1, max_length=400)]


class Shape(BaseModel):
    """A part of a file."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)
