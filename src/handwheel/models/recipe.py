"""A recipe: what turns a feature, a tool, a machine and a material into steps. Data only, no code.

A recipe `belongs` to an operation (the usual case), or is a list that is asked when a session, a setup
or a tool begins; one that is `shared` only lends its computed values to others (`use`).
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, StringConstraints, model_validator

from handwheel.models.base import Identifier, Shape, Text
from handwheel.models.features import FeatureKind

__all__ = [
    "SCHEMA",
    "After",
    "Compute",
    "Constant",
    "Example",
    "Recipe",
    "Reference",
    "Step",
    "StepKind",
    "Takes",
]

SCHEMA = 1

Reference = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_]*\.[a-z][a-z0-9_]*$", max_length=80)]
"""A name in the scope: a fact (`feature.diameter`), a constant (`constants.rule`) or a result
(`set.spindle_speed`)."""

References = Reference | tuple[Reference, ...]
"""One reference, or several of which the first that is on file counts."""

Condition = Annotated[
    str, StringConstraints(pattern=r"^(not )?[a-z][a-z0-9_]*\.[a-z][a-z0-9_]*$", max_length=80)
]
"""A yes or no in the scope, `not ` before it for its opposite."""

StepKind = Literal["hazard", "item", "setting", "cut", "reading", "sign-off"]
SignalWord = Literal["DANGER", "WARNING", "CAUTION", "NOTICE"]
Name = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_]*$", max_length=40)]


class Constant(Shape):
    """A number or word of the recipe itself, with its source."""

    value: float | str | bool
    unit: str = ""
    source: Text


class Compute(Shape):
    """One call of a calculation; its results are `name.result` in the scope."""

    name: Name
    calc: Name
    in_: dict[str, References] = Field(alias="in", default_factory=dict)
    when: tuple[Condition, ...] = ()


class Takes(Shape):
    """What answers a step: Enter, a typed number, a choice by number, or an attribute (so, not so).

    `expect`, `low` and `high` are references; `lower_acceptance` and `upper_acceptance` narrow the
    limits by the uncertainty of the instrument. `removing` says which side metal is left on; `signed`
    that the number may have a sign, as the position on a readout does.

    A size that is cut to in several cuts has an `aim`, the `start` size before the first of them, the
    `dial` at which the first leaves the tool (all as sizes of the part), the `thinnest` cut that still
    cuts, and the size at which the tool was `touched` off: from these and the readings the next cut is
    computed, `on` diameter or on length. `twice` is a yes or no: whether the size is read twice, the second
    time without seeing the first. `at_temperature` and `gauge_temperature` are what part and gauge have,
    `expansion` that of the material: then the verdict is on the size at 20 °C. `names` is the fact that
    the typed number becomes.
    """

    kind: Literal["enter", "number", "choice", "attribute"] = "enter"
    unit: str = ""
    expect: References | None = None
    low: References | None = None
    high: References | None = None
    lower_acceptance: References | None = None
    upper_acceptance: References | None = None
    instrument: References | None = None
    uncertainty: References | None = None
    aim: References | None = None
    start: References | None = None
    dial: References | None = None
    thinnest: References | None = None
    touched: References | None = None
    on: Literal["diameter", "length"] = "diameter"
    twice: Condition | None = None
    at_temperature: References | None = None
    gauge_temperature: References | None = None
    expansion: References | None = None
    names: Reference | None = None
    use: Literal["outside", "inside", "depth", "rim", "groove"] | None = None
    removing: Literal["from outside", "from inside"] | None = None
    signed: bool = False
    choices: tuple[Text, ...] = ()
    wanted: Text | None = None

    @model_validator(mode="after")
    def _is_complete(self) -> Takes:
        if self.kind in ("choice", "attribute") and self.choices and self.wanted not in (None, *self.choices):
            raise ValueError(f'wanted "{self.wanted}" is not one of the choices: {", ".join(self.choices)}')
        if self.kind == "attribute" and len(self.choices) != 2:
            raise ValueError('an attribute has two choices, such as ["goes", "does not go"]')
        return self


class Step(Shape):
    """One line of an operation. Every reading is a hold point: nothing goes on until it is good or waived.

    `text` may hold `{name}` fields that reach values of the scope, `{expect}` for what the answer should
    be, and `{place.x}` for the row a repeated step stands at. `again` is the text from the second pass
    on, when a reading said that there is more to come off: `{left.amount}` is how much, `{left.per_side}`
    half of it; towards an aim also `{left.advance}`, `{left.set_to}` (where the tool is to stand, as the
    machine counts it), `{left.expected}` and `{left.kind}`. A cut with `after_reading` is made only then,
    not on the first pass: the first was another cut. `stands` is where a cut leaves the tool, as the slide
    counts it, where the large number is another (what its dial shows), and `turns` the full turns that
    belong to that. `back` is the text where the tool stands too deep already.
    """

    id: Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9-]*$", max_length=40)]
    kind: StepKind
    text: Text
    again: Text | None = None
    after_reading: bool = False
    word: SignalWord | None = None
    when: tuple[Condition, ...] = ()
    takes: Takes = Takes()
    big: References | None = None
    heading: Literal["SET TO", "STOP AT", "READ", "GO TO"] | None = None
    limit: References | None = None
    table: References | None = None
    stands: References | None = None
    turns: References | None = None
    back: Text | None = None
    each: References | None = None
    at: Literal["each", "first", "last"] = "each"

    @model_validator(mode="after")
    def _fits_its_kind(self) -> Step:
        if (self.kind == "hazard") != (self.word is not None):
            raise ValueError("a hazard, and only a hazard, has a word: DANGER, WARNING, CAUTION or NOTICE")
        if self.kind == "reading" and self.takes.kind not in ("number", "attribute"):
            raise ValueError('a reading takes a number or an attribute: takes = { kind = "number", … }')
        if self.after_reading and (self.kind != "cut" or not self.again):
            raise ValueError("after_reading is for a cut with the text `again`")
        if self.at != "each" and self.each is None:
            raise ValueError(f'at = "{self.at}" needs each, such as each = "pattern.positions"')
        return self


class After(Shape):
    """What must have been done before: one of `recipes`, on the same feature or on one that stands of it.

    `on` narrows that: `hole` the base feature itself, `chamfer` what stands of it, `face` the face that it
    is made from, `setup` anything in the same setup, `mate` the measuring of the feature's mate.
    """

    code: Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9-]*$", max_length=40)]
    recipes: tuple[Identifier, ...]
    on: Literal["any", "hole", "chamfer", "face", "setup", "mate"] = "any"
    when: tuple[Condition, ...] = ()
    severity: Literal["stop", "doubt", "note"] = "stop"
    what: Text
    why: Text
    cure: Text


class Example(Shape):
    """A worked case: facts as typed text, and the shown text of values that must come out."""

    facts: dict[Reference, str | float | bool]
    expect: dict[Reference, str]
    source: Text


class Recipe(Shape):
    """A recipe as its file says it."""

    schema_: int = Field(alias="schema", default=SCHEMA)
    id: Identifier
    version: int = Field(default=1, ge=1)
    does: Identifier = ""
    """The operation of the trade that it is, where its id is another: start values and rules go by it."""
    title: Text
    belongs: Literal["operation", "session", "restart", "setup", "tool", "shared"] = "operation"
    features: tuple[FeatureKind | Literal["mate", "setup"], ...] = ()
    machines: tuple[Literal["mill", "lathe", "drill-press", "bench"], ...] = ()
    tools: tuple[str, ...] = ()
    source: Text | None = None
    use: tuple[Identifier, ...] = ()
    after: tuple[After, ...] = ()
    throughout: tuple[Text, ...] = ()
    constants: dict[Name, Constant] = Field(default_factory=dict)
    compute: tuple[Compute, ...] = ()
    steps: tuple[Step, ...] = ()
    examples: tuple[Example, ...] = ()

    @model_validator(mode="before")
    @classmethod
    def _does_what_it_is_called(cls, data: Any) -> Any:
        return {"does": data.get("id"), **data} if isinstance(data, dict) and "id" in data else data

    @model_validator(mode="after")
    def _steps_stand_once(self) -> Recipe:
        seen: set[str] = set()
        for step in self.steps:
            if step.id in seen:
                raise ValueError(f'steps: the id "{step.id}" stands twice; the record names steps by it')
            seen.add(step.id)
        return self
