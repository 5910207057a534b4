"""What the page of a built-in method shows: its parameters, its measures, and its worked example step by step."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from swardcost_model.values import Quantity

from swardcost_api.engine.derivation import Step
from swardcost_api.engine.unit_words import one_of
from swardcost_api.methods.frame import Method
from swardcost_api.units import in_trade_units, to_si

_US = ("us_customary", "short_ton")
_SAYS_NOTHING = re.compile(r"Parameters of [^,;:.]*\.")
"""A description that repeats the title of the page."""


@dataclass(frozen=True, slots=True)
class ParameterRow:
    """A parameter, those of an inner group as ``group.name``; the example in words."""

    name: str
    kind: str
    required: bool
    description: str
    example: str


@dataclass(frozen=True, slots=True)
class MeasureRow:
    """A measure, its unit, and the one that a US club reads a figure like the example's in."""

    name: str
    meaning: str
    unit: str
    us_unit: str


@dataclass(frozen=True, slots=True)
class FigureRow:
    """A figure of the worked example: in the unit of its formula, and as a US club reads it."""

    name: str
    value: str
    unit: str
    shown: str
    formula: str
    source: str


@dataclass(frozen=True, slots=True)
class MethodPage:
    """Everything that the page of a method shows beside what the method says of itself."""

    about: str
    parameters: list[ParameterRow]
    measures: list[MeasureRow]
    steps: list[FigureRow]
    results: list[FigureRow]


def page_of(method: Method) -> MethodPage:
    """The content of a method's page; its worked example is computed, not copied."""
    schema = method.parameters.model_json_schema()
    example = method.example
    area_m2 = 0.0 if example.area is None else to_si(Quantity.model_validate(example.area), "area")
    measures = method.take_off(method.parameters_as_typed(example.parameters), area_m2)
    # Measures share steps; two steps of one name that were computed differently are both shown.
    steps = {
        (step.name, step.formula, step.value): step for measure in measures for step in measure.derivation
    }
    about = schema.get("description", "")
    results = {measure.name: _figure(measure.name, measure.derivation[-1]) for measure in measures}
    return MethodPage(
        "" if _SAYS_NOTHING.fullmatch(about) else about,
        list(_parameters(schema, schema.get("$defs", {}))),
        [
            MeasureRow(note.name, note.meaning, one_of(note.unit), _us_unit(note.unit, results[note.name]))
            for note in method.measures
        ],
        [_figure(step.name, step) for step in steps.values()],
        list(results.values()),
    )


def in_words(value: Any) -> str:
    """A value of a parameter in words; names stand between backticks."""
    if isinstance(value, dict) and value.keys() == {"value", "unit"}:
        return f"{value['value']} {one_of(value['unit'])}"
    if isinstance(value, dict):
        return ", ".join(f"`{name}` {in_words(one)}" for name, one in value.items() if one is not None)
    if isinstance(value, list):
        return ", ".join(map(in_words, value))
    if isinstance(value, bool):
        return f"`{str(value).lower()}`"
    return str(value) if re.fullmatch(r"-?[\d.]+", str(value)) else f"`{value}`"


def _parameters(model: dict[str, Any], known: dict[str, Any], prefix: str = "") -> Iterator[ParameterRow]:
    for name, field in model.get("properties", {}).items():
        inner = _inner(field)
        group = known.get(_target(inner))
        kind, required = _kind(inner, known), name in model.get("required", ())
        if field.get("default") is not None:
            kind += f", {in_words(field['default'])} if absent"
        example = in_words(field["examples"][0]) if "examples" in field else ""
        yield ParameterRow(prefix + name, kind, required, field.get("description", ""), example)
        if group is not None and _target(inner) != "Quantity" and "properties" in group:
            yield from _parameters(group, known, f"{prefix}{name}.")


def _inner(field: dict[str, Any]) -> dict[str, Any]:
    """The schema of a field that is given: without null, and of one entry where it is a list."""
    inner: dict[str, Any] = field
    for choice in field.get("anyOf", ()):
        if choice != {"type": "null"}:
            inner = choice
            break
    return {**inner, "properties": field["properties"]} if "properties" in field else inner


def _target(schema: dict[str, Any]) -> str:
    """Name of the model that a schema, or the entries of a list, refers to."""
    of = schema.get("items", schema)
    return str(of.get("$ref", "")).rpartition("/")[2]


def _kind(schema: dict[str, Any], known: dict[str, Any]) -> str:
    """What is given for a parameter, in words."""
    target = _target(schema)
    if schema.get("type") == "array":
        of = _kind(schema.get("items", {}), known)
        return "list of " + of.replace("group of", "groups of").replace("quantity in", "quantities in")
    if target == "Quantity":
        units = schema.get("properties", {}).get("unit", {}).get("enum")
        return "quantity in any listed unit" if units is None else "quantity in " + _any_of(units)
    if target:
        choices = known.get(target, {}).get("enum")
        return "group of parameters" if choices is None else "one of " + _any_of(choices)
    if "enum" in schema:
        return "one of " + _any_of(schema["enum"])
    if schema.get("type") == "integer":
        return f"whole number from {schema.get('minimum', 0)} to {schema.get('maximum', 'any')}"
    if "pattern" in schema:
        return "decimal as a string"
    if schema.get("type") == "boolean":
        return "`true` or `false`"
    if isinstance(schema.get("additionalProperties"), dict):
        return "by name, " + _kind(schema["additionalProperties"], known)
    return str(schema.get("type", "any value"))


def _any_of(choices: list[Any]) -> str:
    names = [f"`{choice}`" for choice in choices]
    return names[0] if len(names) == 1 else ", ".join(names[:-1]) + " or " + names[-1]


def _us_unit(unit: str, result: FigureRow) -> str:
    """The unit of a result as it is shown; a unit that the caller chooses is none."""
    return unit if unit == "any" else result.shown.partition(" ")[2] or one_of(unit)


def _figure(name: str, step: Step) -> FigureRow:
    value = format(Decimal(f"{step.value:.7g}"), "f")
    return FigureRow(
        name,
        value,
        one_of(step.unit),
        in_trade_units(step.value, step.unit, *_US),
        step.formula,
        step.source,
    )
