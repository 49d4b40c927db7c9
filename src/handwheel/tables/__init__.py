"""Published tables, one TOML file each: `source`, `columns` with their units, `rows`.

A file looks like this; `columns` gives name and unit in the order of the fields of a row:

    source = "ISO 273:1979, table 1"
    columns = [["thread", ""], ["fine", "mm"], ["medium", "mm"]]
    rows = [["M6", 6.4, 6.6]]
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

__all__ = ["Table", "table"]


@dataclass(frozen=True, slots=True)
class Table:
    """A table as published: its source, the unit of each column, the rows by column name."""

    name: str
    source: str
    units: Mapping[str, str]
    rows: tuple[Mapping[str, Any], ...]


@cache
def table(name: str) -> Table:
    """Read the table `name` when it is first asked for, and keep it."""
    text = files(__name__).joinpath(f"{name}.toml").read_text(encoding="utf-8")
    data = tomllib.loads(text)
    units = dict(data["columns"])
    rows = tuple(dict(zip(units, row, strict=True)) for row in data["rows"])
    return Table(name, data["source"], units, rows)
