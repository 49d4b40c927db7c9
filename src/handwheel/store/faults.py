"""Where in a file a fault stands, and what it is in a person's words."""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from handwheel.errors import Fault, nearest, one_line

if TYPE_CHECKING:
    from pydantic import BaseModel, ValidationError
    from pydantic_core import ErrorDetails

__all__ = ["key_path", "line_of", "model_faults", "syntax_fault", "unknown_keys"]

Keys = Sequence[str | int]

# What TOML is made of, as far as it matters for where a line may end: texts, remarks, brackets, line ends.
_SIGNS = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}|\'\'\'.*?\'{3,5}|"(?:[^"\\\n]|\\.)*"|\'[^\'\n]*\'|#[^\n]*|[\[\]{}\n]',
    re.DOTALL,
)
_MOST = 50  # faults that are shown of one file; who has more has one cause
_CLOSING = {"[": "]", "{": "}"}


def line_of(text: str, keys: Keys) -> int | None:
    """Give the line, from 1, at which a key path stands in a TOML text; None where it does not.

    That is the line of the header that makes it, or the first line of the piece that completes the
    shortest run of lines from its table's header on which `tomllib` reads, with the brackets open at
    its end closed, and which holds the path.
    """
    keys = tuple(keys)
    try:
        for table in _tables(text):
            if table.path[: len(keys)] == keys:
                return table.header
            if keys[: len(table.path)] == table.path:
                line = _line_in(table, keys[len(table.path) :])
                if line is not None:
                    return line
    except (ValueError, RecursionError):
        pass
    return None


def syntax_fault(file: str, text: str, error: ValueError) -> Fault:
    """Turn what `tomllib` says into a fault: where, and where the cause is evident, what would do."""
    message = str(error)
    found = re.search(r"\(at line (\d+), column (\d+)\)", message)
    lines = text.split("\n")
    line = int(found[1]) if found else max(1, len(text.rstrip().split("\n")))
    what = re.sub(r" ?\(at (line|end).*\)$", "", message)
    cause = _cause(lines[min(line, len(lines)) - 1].strip(), what)
    return Fault(file, line, "", cause or f"this is not TOML: {what[:1].lower()}{what[1:]}")


def model_faults(
    file: str, text: str, error: ValidationError, root: Keys = (), model: type[BaseModel] | None = None
) -> list[Fault]:
    """Turn what pydantic says into faults of the file, in the order of its lines.

    `root` is the key path at which the validated table stands. `model` is its shape, from which the
    known keys near an unknown one are taken.
    """
    whole = tomllib.loads(text)
    schema = model.model_json_schema() if model is not None else {}
    details = _telling(_at(whole, root), error.errors(include_url=False, include_input=True))
    faults: dict[str, Fault] = {}
    for keys, detail in details[:_MOST]:
        path = (*root, *keys)
        fault = Fault(file, _line(text, path), key_path(whole, path), _words(detail, schema))
        faults.setdefault(fault.key, fault)
    more = [Fault(file, None, "", f"and {len(details) - _MOST} more")] if len(details) > _MOST else []
    return sorted(faults.values(), key=lambda fault: fault.line or 0) + more


def unknown_keys(data: Any, error: ValidationError) -> list[tuple[str | int, ...]]:
    """Give the paths of the keys that a shape does not know; none where anything else is wrong too."""
    errors = error.errors(include_url=False, include_input=False)
    if any(one["type"] != "extra_forbidden" for one in errors):
        return []
    return list(dict.fromkeys(_true_keys(data, one) for one in errors))


def key_path(data: Any, keys: Keys) -> str:
    """Write a key path as a person names it: `operations.50.tool`, `features.m8-holes.depth`.

    A table of a list goes by its `id` or `number`; where it has none, and for other items, `#3` counts
    from 1.
    """
    names = []
    for key in keys:
        data = _child(data, key)
        name = str(key) if isinstance(key, str) else f"#{key + 1}"
        if isinstance(key, int) and isinstance(data, Mapping):
            given = data.get("id", data.get("number"))
            name = str(given) if type(given) in (str, int) and given != "" else name
        names.append(one_line(name))
    return ".".join(names)


@dataclass(frozen=True, slots=True)
class _Table:
    """The lines under one header, or those above the first: its path, its header's line, its lines.

    `cuts` are the line ends outside a text, as the number of lines up to there, each with the brackets
    that close what is open.
    """

    path: tuple[str | int, ...]
    header: int
    lines: list[str]
    cuts: list[tuple[int, str]]


def _line_in(table: _Table, keys: Keys) -> int | None:
    def holds(cut: tuple[int, str]) -> bool:
        end, closing = cut
        return _at(tomllib.loads("\n".join([*table.lines[:end], closing])), keys) is not None

    at = bisect_left(table.cuts, True, key=holds)
    if at == len(table.cuts):
        return None
    return table.header + 1 + (table.cuts[at - 1][0] if at else 0)


@lru_cache(maxsize=4)
def _tables(text: str) -> list[_Table]:
    """Take a text apart into its tables, the first of which is the one without a header."""
    lines = text.split("\n")
    tables = [_Table((), 0, [], [])]
    arrays: dict[tuple[str | int, ...], int] = {}
    open_before = ""
    for end, closing in _cuts(text):
        table = tables[-1]
        begin = table.header + len(table.lines)
        if not open_before and lines[begin].lstrip().startswith("["):
            tables.append(_Table(_header_path(lines[begin], arrays), end, [], []))
        else:
            table.lines.extend(lines[begin:end])
            table.cuts.append((len(table.lines), closing))
        open_before = closing
    return tables


def _header_path(line: str, arrays: dict[tuple[str | int, ...], int]) -> tuple[str | int, ...]:
    """Give the whole path of a header; `arrays` knows how many tables each list has so far."""
    path: tuple[str | int, ...] = ()
    inner: Any = tomllib.loads(f"{line}\n")  # a line end of Windows has lost its half
    while inner:
        name, inner = next(iter(inner.items()))
        path = (*path, name)
        if isinstance(inner, list):
            inner = None
            arrays[path] = arrays.get(path, -1) + 1
        if path in arrays:
            path = (*path, arrays[path])
    return path


def _cuts(text: str) -> Iterator[tuple[int, str]]:
    """Give every line end outside a text, with the brackets that close what is open there."""
    open_: list[str] = []
    line = 0
    for match in _SIGNS.finditer(text + "\n"):
        sign = match[0]
        if sign == "\n":
            line += 1
            yield line, "".join(reversed(open_))
        elif sign in _CLOSING:
            open_.append(_CLOSING[sign])
        elif sign in "]}":
            del open_[-1:]
        else:
            line += sign.count("\n")


def _child(data: Any, key: str | int) -> Any:
    if isinstance(data, Mapping):
        return data.get(key)
    if isinstance(data, (list, tuple)) and isinstance(key, int) and 0 <= key < len(data):
        return data[key]
    return None


def _at(data: Any, keys: Keys) -> Any:
    for key in keys:
        data = _child(data, key)
    return data


def _line(text: str, keys: Keys) -> int | None:
    """Give the line of a key path, or of the longest part of it that is there."""
    for length in range(len(keys), 0, -1):
        line = line_of(text, keys[:length])
        if line is not None:
            return line
    return None


def _telling(data: Any, errors: list[ErrorDetails]) -> list[tuple[tuple[str | int, ...], ErrorDetails]]:
    """Give each error with its true key path, without those that other errors explain better.

    Pydantic's places hold names of alternatives too (`str`, a kind, a class), which are no keys. Where
    a value may be a text or a table and a table with a fault was given, "not a text" says nothing.
    """
    located = [(_true_keys(data, one), one) for one in errors]
    telling = []
    for keys, one in located:
        alternative = len(keys) < len(one["loc"])
        deeper = any(len(other) > len(keys) and other[: len(keys)] == keys for other, _ in located)
        better = any(other == keys and two["type"] == "value_error" for other, two in located)
        if alternative and one["type"] != "value_error" and (deeper or better):
            continue
        telling.append((keys, one))
    return sorted(telling, key=lambda pair: pair[1]["type"] != "value_error")


def _true_keys(data: Any, error: ErrorDetails) -> tuple[str | int, ...]:
    keys: list[str | int] = []
    loc, missing = error["loc"], error["type"] == "missing"
    for index, key in enumerate(loc):
        child, below = _child(data, key), loc[index + 1 :]
        # A kind may have the name of a key that holds a text, `thread`: what follows then stands beside it.
        plain = not isinstance(child, (Mapping, list, tuple))
        kind = plain and below and (missing or _child(data, below[0]) is not None)
        if (child is not None and not kind) or (missing and not below):
            keys.append(key)
            data = child
    if error["type"].startswith("union_tag"):
        keys.append(error.get("ctx", {})["discriminator"].strip("'"))
    return tuple(keys)


def _words(error: ErrorDetails, schema: Mapping[str, Any]) -> str:
    """Say in our words what is wrong; what our own validators said stays as it is."""
    kind, context = error["type"], error.get("ctx", {})
    if kind in ("value_error", "assertion_error"):
        return error["msg"].removeprefix("Value error, ").removeprefix("Assertion failed, ")
    if kind == "extra_forbidden":
        *place, key = error["loc"]
        known = sorted(_known_keys(schema, place))
        hint = nearest(str(key), known)
        return "unknown key" + (hint or (f"; known here: {', '.join(known)}" if known else ""))
    if kind in ("literal_error", "enum"):
        return _not_one_of(error["input"], context["expected"])
    if kind == "union_tag_invalid":
        return _not_one_of(context["tag"], context["expected_tags"])
    if kind in _PLAIN:
        return _PLAIN[kind].format_map(context)
    return error["msg"][:1].lower() + error["msg"][1:]


_PLAIN = {
    "missing": "is missing",
    "union_tag_not_found": "is missing",
    "string_type": 'has to be a text in quotes, such as "6.8 mm"',
    "int_type": "has to be a whole number, without quotes",
    "int_parsing": "has to be a whole number, without quotes",
    "int_from_float": "has to be a whole number",
    "float_type": "has to be a number, without quotes",
    "float_parsing": "has to be a number, without quotes",
    "finite_number": "has to be a finite number",
    "bool_type": "has to be true or false, without quotes",
    "bool_parsing": "has to be true or false, without quotes",
    "list_type": "has to be a list, such as [ … ]",
    "tuple_type": "has to be a list, such as [ … ]",
    "dict_type": "has to be a table",
    "model_type": "has to be a table",
    "model_attributes_type": "has to be a table",
    "greater_than": "has to be above {gt}",
    "greater_than_equal": "has to be at least {ge}",
    "less_than": "has to be below {lt}",
    "less_than_equal": "has to be at most {le}",
    "string_too_short": "is too short: at least {min_length} sign(s)",
    "string_too_long": "is too long: at most {max_length} signs",
    "too_short": "holds too few: at least {min_length}",
    "too_long": "holds too many: at most {max_length}",
}


def _not_one_of(given: Any, expected: str) -> str:
    known = re.findall(r"'([^']*)'", expected) or [expected]
    return f'"{one_line(str(given))}" is not one of: {", ".join(known)}{nearest(str(given), known)}'


def _known_keys(schema: Mapping[str, Any], place: Sequence[str | int]) -> set[str]:
    """Give the keys that a JSON Schema knows at a place, which may name alternatives of a union."""
    shapes = [schema]
    for key in place:
        below = [one for shape in shapes for one in _below(_flat(shape, schema), key)]
        shapes = below or shapes
    return {name for shape in shapes for flat in _flat(shape, schema) for name in flat.get("properties", {})}


def _flat(shape: Mapping[str, Any], schema: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """Follow references and open alternatives, so that every shape has properties or items of its own."""
    if "$ref" in shape:
        return _flat(schema["$defs"][shape["$ref"].rpartition("/")[2]], schema)
    alternatives = shape.get("anyOf") or shape.get("oneOf")
    if not alternatives:
        return [shape]
    return [
        {**shape, "oneOf": None, "anyOf": None},
        *(flat for one in alternatives for flat in _flat(one, schema)),
    ]


def _below(flats: Sequence[Mapping[str, Any]], key: str | int) -> list[Mapping[str, Any]]:
    """Give the shapes one step down: an item of a list, a property, or the alternative of that name."""
    if isinstance(key, int):
        return [shape["items"] for shape in flats if "items" in shape]
    found = [shape["properties"][key] for shape in flats if key in shape.get("properties", {})]
    found += [
        {"$ref": shape["discriminator"]["mapping"][key]}
        for shape in flats
        if key in shape.get("discriminator", {}).get("mapping", {})
    ]
    return found or [
        shape["additionalProperties"]
        for shape in flats
        if isinstance(shape.get("additionalProperties"), dict) and key not in shape.get("properties", {})
    ]


_INCH = "inside quotes the inch sign needs single ones round the size, such as diameter = '0.250\"'"


def _cause(line: str, what: str) -> str:
    """Name the evident cause of a line that TOML refuses; "" where there is none."""
    key, equals, value = (part.strip() for part in line.partition("="))
    value = re.sub(r"\s*#.*$", "", value)
    if what.startswith(("Cannot overwrite", "Cannot declare", "Cannot mutate", "Duplicate")):
        return "this key or table stands here a second time"
    if what.startswith(("Unclosed array", "Unclosed inline")):
        for item in re.split(r"[\[\]{},=]\s*", value):
            if _bare_size(item.strip()):
                return f'a size with a unit stands in quotes, such as ["{item.strip()}"]'
    if what.startswith("Unclosed array"):
        return "a list is not closed with ], or a comma is missing in it"
    if "“" in line or "”" in line:
        return 'quotes have to be straight: "…"'
    if not equals:
        return "" if line.startswith("[") else f'a line says what is what, such as {_bare(key)} = "…"'
    if not value:
        return f"nothing stands after the = of {_bare(key)}"
    return _value_cause(_bare(key), value, what)


def _value_cause(key: str, value: str, what: str) -> str:
    if len(value) > 60:
        return ""
    if re.search(r'^".*\d""', value) or re.fullmatch(r'[\d./ ]+"', value):
        return _INCH
    if value[0] == '"' and ("escape" in what or "hex" in what):
        return f"a backslash needs single quotes round the text: {key} = '…'"
    if value[0] in "\"'":
        return "the closing quote is missing" if value.count(value[0]) == 1 else ""
    if re.fullmatch(r"[+-]?\d+,\d+", value):
        return f'a number has a point here, or stands in quotes: {key} = "{value}"'
    if re.fullmatch(r"0\d+", value):
        return "a number does not begin with 0"
    if re.fullmatch(r"true|false|yes|no|on|off", value, re.IGNORECASE):
        return f"yes and no are written true and false: {key} = true"
    if _bare_size(value):
        return f'a size with a unit stands in quotes: {key} = "{value}"'
    if re.fullmatch(r"[\w./ -]+", value):
        return f'a text stands in quotes: {key} = "{value}"'
    return ""


def _bare_size(value: str) -> bool:
    """Whether this looks like a size that should have stood in quotes: `6.8 mm`, `1/4 in`, `25°`."""
    return bool(re.fullmatch(r"[+-]?\d[\d.,/ ]*\s*[^\W\d_°%µ/]*[°%µ/\w]*", value)) and not value.isdigit()


def _bare(key: str) -> str:
    """Give a key that can be shown in an example."""
    return key if re.fullmatch(r"[\w.-]+", key) else "name"
