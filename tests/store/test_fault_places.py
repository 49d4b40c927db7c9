"""Where a fault stands in a file, and what it is in a person's words."""

from __future__ import annotations

import tomllib
from itertools import product
from typing import Annotated, Any, Literal

import pytest
import tomli_w
from hypothesis import example, given
from hypothesis import strategies as st
from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_validator, model_validator

from handwheel.store.faults import key_path, line_of, model_faults, syntax_fault

JOB = '''\
# a job, with [signs] that are "no TOML
schema = 1

[job]  # the head
title = "[[features]]"
remark = """
[stock]
diameter = 3"""
head.depth = 4

[[features]]
id = "bore"
size = { text = "47 mm", basis = "drawing" }

[[features]]
id = "m8-holes"
at = [
    # first
    ["10 mm", "20 mm"],

    ["30 mm", """
]"""],  ["50 mm", '#'],
]

[features.thread]
"odd key]" = 1

[[operations]]
number = 50
tools = [{ name = "a" }, { name = "b", list = [
    1,
    2 ] }]
'''


@pytest.mark.parametrize(
    ("keys", "line"),
    [
        (("schema",), 2),
        (("job",), 4),
        (("job", "title"), 5),
        (("job", "remark"), 6),
        (("job", "head", "depth"), 9),
        (("features",), 11),
        (("features", 0, "size", "basis"), 13),
        (("features", 1), 15),
        (("features", 1, "id"), 16),
        (("features", 1, "at"), 17),
        (("features", 1, "at", 0), 19),
        (("features", 1, "at", 0, 1), 19),
        (("features", 1, "at", 1), 21),
        (("features", 1, "at", 2, 0), 21),  # the line on which a text of several lines begins
        (("features", 1, "thread", "odd key]"), 26),
        (("operations", 0, "number"), 29),
        (("operations", 0, "tools", 1), 30),
        (("operations", 0, "tools", 1, "list", 1), 32),
        (("stock",), None),
        (("features", 2), None),
        (("job", "title", "x"), None),
        (("features", "id"), None),
    ],
)
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_a_key_path_has_its_line(keys: tuple[str | int, ...], line: int | None, end: str) -> None:
    assert line_of(JOB.replace("\n", end), keys) == line


def test_a_text_that_is_no_toml_has_no_lines() -> None:
    assert line_of("a = \nb = 1", ("b",)) is None


names = st.text(st.characters(codec="utf-8", exclude_characters="\n\r"), min_size=1, max_size=6)
scalars = (
    st.integers()
    | st.booleans()
    | names
    | st.sampled_from(["[", "]", "#", '"""', "'''", "\\", '"', "x\ny", "x\n[y]", "\n["])
)
values = st.recursive(
    scalars,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(names, inner, max_size=3),
    max_leaves=12,
)
tables = st.dictionaries(names, values, min_size=1, max_size=6)


def paths(data: Any, before: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    return [path for key, value in items for path in ((*before, key), *paths(value, (*before, key)))]


CLOSING = [""] + ["".join(signs) for length in (1, 2, 3, 4, 5) for signs in product("]}", repeat=length)]


def reads(text: str) -> Any:
    """Read a run of lines, closing what may be open."""
    for closing in CLOSING:
        try:
            return tomllib.loads(f"{text}\n{closing}")
        except tomllib.TOMLDecodeError:
            continue
    return {}


def holds(data: Any, path: tuple[str | int, ...]) -> bool:
    for key in path:
        try:
            data = data[key]
        except (KeyError, IndexError, TypeError):
            return False
    return True


@given(tables, st.booleans(), st.data())
@example({"a": [{"b": [1, [2]]}, {"b": [3]}], "c": {"d": "]"}}, False, None)
def test_the_line_is_where_the_path_first_is(
    table: dict[str, Any], multi: bool, data: st.DataObject | None
) -> None:
    text = tomli_w.dumps(table, multiline_strings=multi)
    lines = text.split("\n")
    every = paths(table)
    for path in every if data is None else [data.draw(st.sampled_from(every))]:
        line = line_of(text, path)
        assert line is not None
        # The path is there with this line's piece, and is not there before it.
        assert not holds(reads("\n".join(lines[: line - 1])), path)
        if not multi:
            assert holds(reads("\n".join(lines[:line])), path)


@pytest.mark.parametrize(
    ("text", "line", "what"),
    [
        ("a = 1\ndiameter = 6.8 mm", 2, 'a size with a unit stands in quotes: diameter = "6.8 mm"'),
        ("depth = 1/4 in  # deep", 1, 'a size with a unit stands in quotes: depth = "1/4 in"'),
        ("angle = 25°", 1, 'a size with a unit stands in quotes: angle = "25°"'),
        ("at = [6.8 mm, 3 mm]", 1, 'a size with a unit stands in quotes, such as ["6.8 mm"]'),
        ("d = 6,8", 1, 'a number has a point here, or stands in quotes: d = "6,8"'),
        ("material = C45", 1, 'a text stands in quotes: material = "C45"'),
        ("fast = True", 1, "yes and no are written true and false: fast = true"),
        ('title = "Carrier\nx = 1', 1, "the closing quote is missing"),
        ('size = "0.250""', 1, "inch sign"),
        ('size = 0.250"', 1, "inch sign"),
        ('folder = "C:\\users"', 1, "a backslash needs single quotes round the text: folder = '…'"),
        ("a = 1\na = 2\n", 2, "this key or table stands here a second time"),
        ("[job]\n[job]", 2, "this key or table stands here a second time"),
        ("title = “x”", 1, "quotes have to be straight"),
        ("depth", 1, 'a line says what is what, such as depth = "…"'),
        ("depth: 3", 1, "a line says what is what"),
        ("depth =", 1, "nothing stands after the = of depth"),
        ("a = 1\nb = [1,\n2\n", 3, "a list is not closed with ]"),
        ('b = ["1" "2"]', 1, "a comma is missing"),
        ("[job", 1, "this is not TOML: expected ']'"),
        ("a = 06", 1, "a number does not begin with 0"),
        ("a = 1 = 2", 1, "this is not TOML: expected newline"),
    ],
)
def test_a_syntax_fault_names_its_line_and_the_evident_cause(text: str, line: int, what: str) -> None:
    with pytest.raises(tomllib.TOMLDecodeError) as caught:
        tomllib.loads(text)
    fault = syntax_fault("job.toml", text, caught.value)
    assert what in fault.what
    assert (fault.file, fault.line) == ("job.toml", line)
    assert str(fault).isprintable()


class Strict(BaseModel):
    model_config = ConfigDict(extra="forbid")


class Sized(Strict):
    text: str
    basis: Literal["drawing", "measured"] = "drawing"


class Hole(Strict):
    kind: Literal["hole"]
    id: str
    depth: str | Sized
    at: list[tuple[str, str]] = []

    @field_validator("depth")
    @classmethod
    def no_unit(cls, value: object) -> object:
        if value == "deep":
            raise ValueError('"deep" is no size; expected one like "14 mm"')
        return value


class Bore(Strict):
    kind: Literal["bore"]
    id: str
    zone: str


class Operation(Strict):
    number: int = Field(ge=1, le=999)
    tool: str = Field(min_length=1)
    fast: bool = False


class Plan(Strict):
    schema_: Annotated[int, Field(alias="schema")] = 1
    features: list[Annotated[Hole | Bore, Field(discriminator="kind")]] = []
    operations: list[Operation] = []
    tools: dict[str, Bore] = {}

    @model_validator(mode="after")
    def all_there(self) -> Plan:
        if not self.features and not self.operations:
            raise ValueError("a plan has features or operations")
        return self


def faults(text: str) -> list[str]:
    with pytest.raises(ValidationError) as caught:
        Plan.model_validate(tomllib.loads(text))
    return [str(fault) for fault in model_faults("job.toml", text, caught.value, (), Plan)]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "[[operations]]\nnumber = 50\ntool = 6",
            ['3 operations.50.tool: has to be a text in quotes, such as "6.8 mm"'],
        ),
        ("[[operations]]\nnumber = 50", ["1 operations.50.tool: is missing"]),
        (
            '[[operations]]\nnumber = "x"\ntool = "a"',
            ["2 operations.x.number: has to be a whole number, without quotes"],
        ),
        ('[[operations]]\nnumber = 1000\ntool = "a"', ["2 operations.1000.number: has to be at most 999"]),
        ('[[operations]]\nnumber = 1.5\ntool = "a"', ["2 operations.#1.number: has to be a whole number"]),
        ('[[operations]]\nnumber = 1\ntool = ""', ["3 operations.1.tool: is too short: at least 1 sign(s)"]),
        (
            '[[operations]]\nnumber = 1\ntol = "a"\ntool = "b"',
            ['3 operations.1.tol: unknown key; did you mean "tool"?'],
        ),
        (
            '[[operations]]\nnumber = 1\ntool = "b"\nx = 1',
            ["4 operations.1.x: unknown key; known here: fast, number, tool"],
        ),
        ("operations = 3", ["1 operations: has to be a list, such as [ … ]"]),
        ("operations = [3]", ["1 operations.#1: has to be a table"]),
        (
            '[[features]]\nkind = "bor"\nid = "a"',
            ['2 features.a.kind: "bor" is not one of: hole, bore; did you mean "bore"?'],
        ),
        ('[[features]]\nid = "a"', ["1 features.a.kind: is missing"]),
        (
            '[[features]]\nkind = "hole"\nid = "a"\ndepth = 3',
            ['4 features.a.depth: has to be a text in quotes, such as "6.8 mm"'],
        ),
        (
            '[[features]]\nkind = "hole"\nid = "a"\ndepth = "deep"',
            ['4 features.a.depth: "deep" is no size; expected one like "14 mm"'],
        ),
        (
            '[[features]]\nkind = "hole"\nid = "a"\ndepth = { text = "3 mm", bassis = "drawing" }',
            ['4 features.a.depth.bassis: unknown key; did you mean "basis"?'],
        ),
        (
            '[[features]]\nkind = "hole"\nid = "a"\n[features.depth]\ntext = "3 mm"\nbasis = "guess"',
            ['6 features.a.depth.basis: "guess" is not one of: drawing, measured'],
        ),
        (
            '[[features]]\nkind = "bore"\nid = "a"\nzone = "H7"\ndept = "3"',
            ["5 features.a.dept: unknown key; known here: id, kind, zone"],
        ),
        (
            '[[features]]\nkind = "hole"\nid = "a"\ndepth = "1"\nat = [\n["1", "2"],\n["3", 4],\n]',
            ['7 features.a.at.#2.#2: has to be a text in quotes, such as "6.8 mm"'],
        ),
        (
            '[tools.a]\nkind = "bore"\nid = "a"\nzon = "H7"',
            ["1 tools.a.zone: is missing", '4 tools.a.zon: unknown key; did you mean "zone"?'],
        ),
    ],
)
def test_a_fault_of_the_model_in_our_words(text: str, said: list[str]) -> None:
    assert faults(text) == [f"job.toml:{one}" for one in said]


def test_a_fault_of_the_whole_file_has_no_line() -> None:
    assert faults("schema = 1") == ["job.toml: a plan has features or operations"]


def test_faults_come_in_the_order_of_the_file_and_below_a_root() -> None:
    text = '[plan]\nschema = "x"\nfeatures = 1\n[plan.operations]\n'
    with pytest.raises(ValidationError) as caught:
        Plan.model_validate(tomllib.loads(text)["plan"])
    found = model_faults("a.toml", text, caught.value, ("plan",), Plan)
    assert [(fault.line, fault.key) for fault in found] == [
        (2, "plan.schema"),
        (3, "plan.features"),
        (4, "plan.operations"),
    ]


def test_of_very_many_faults_the_first_fifty_are_shown() -> None:
    found = faults("".join(f"[[operations]]\nnumber = {number}\n" for number in range(1, 1000)))
    assert found[0] == "job.toml:1 operations.1.tool: is missing"
    assert found[49] == "job.toml:99 operations.50.tool: is missing"
    assert found[50:] == ["job.toml: and 949 more"]


def test_without_the_shape_an_unknown_key_is_said_all_the_same() -> None:
    with pytest.raises(ValidationError) as caught:
        Operation.model_validate({"number": 1, "tool": "a", "tol": 1})
    (fault,) = model_faults("a.toml", 'number = 1\ntool = "a"\ntol = 1', caught.value)
    assert str(fault) == "a.toml:3 tol: unknown key"


def test_a_key_path_shows_no_control_signs() -> None:
    assert key_path({"a\x1b": [{"id": "x\n"}]}, ("a\x1b", 0, "b")) == "a\\x1b.x\\n.b"
