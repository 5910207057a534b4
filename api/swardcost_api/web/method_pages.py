"""What the page of a built-in method shows: its parameters, its measures, and its worked example step by step."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from swardcost_model.values import Quantity

from swardcost_api.engine.derivation import Step
from swardcost_api.methods.frame import Method
from swardcost_api.units import in_trade_units, to_si, units_of

_US = ("us_customary", "short_ton")


@dataclass(frozen=True, slots=True)
class ParameterRow:
    """A parameter, those of an inner group as ``group.name``."""

    name: str
    kind: str
    required: bool
    description: str
    examples: list[Any]


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

    parameters: list[ParameterRow]
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
    return MethodPage(
        list(_parameters(schema, schema.get("$defs", {}))),
        [_figure(step.name, step) for step in steps.values()],
        [_figure(measure.name, measure.derivation[-1]) for measure in measures],
    )


def _parameters(model: dict[str, Any], known: dict[str, Any], prefix: str = "") -> Iterator[ParameterRow]:
    for name, field in model.get("properties", {}).items():
        inner = _inner(field)
        group = known.get(_target(inner))
        kind, required = _kind(inner, known), name in model.get("required", ())
        if field.get("default") is not None:
            kind += f", {field['default']} if absent"
        yield ParameterRow(
            prefix + name, kind, required, field.get("description", ""), field.get("examples", [])
        )
        if group is not None and _target(inner) != "Quantity" and "properties" in group:
            yield from _parameters(group, known, f"{prefix}{name}.")


def _inner(field: dict[str, Any]) -> dict[str, Any]:
    """The schema of a field that is given: without null, and of one entry where it is a list."""
    inner: dict[str, Any] = field
    for choice in field.get("anyOf", ()):
        if choice != {"type": "null"}:
            inner = choice
            break
    return inner


def _target(schema: dict[str, Any]) -> str:
    """Name of the model that a schema, or the entries of a list, refers to."""
    of = schema.get("items", schema)
    return str(of.get("$ref", "")).rpartition("/")[2]


def _kind(schema: dict[str, Any], known: dict[str, Any]) -> str:
    """What is given for a parameter, in words."""
    target = _target(schema)
    if schema.get("type") == "array":
        return "list of " + _kind(schema.get("items", {}), known)
    if target == "Quantity":
        dimension = schema.get("dimension")
        return "quantity in any listed unit" if dimension is None else "quantity in " + _units(dimension)
    if target:
        choices = known.get(target, {}).get("enum")
        return "group of parameters" if choices is None else "one of " + ", ".join(map(str, choices))
    if "enum" in schema:
        return "one of " + ", ".join(map(str, schema["enum"]))
    if schema.get("type") == "integer":
        return f"whole number from {schema.get('minimum', 0)} to {schema.get('maximum', 'any')}"
    if "pattern" in schema:
        return "decimal as a string"
    return str(schema.get("type", "any value"))


def _units(dimension: str) -> str:
    names = [f"`{name}`" for name in units_of(dimension)]
    return names[0] if len(names) == 1 else ", ".join(names[:-1]) + " or " + names[-1]


def _figure(name: str, step: Step) -> FigureRow:
    value = format(Decimal(f"{step.value:.7g}"), "f")
    return FigureRow(
        name, value, step.unit, in_trade_units(step.value, step.unit, *_US), step.formula, step.source
    )
