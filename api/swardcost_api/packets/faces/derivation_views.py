"""Derivations as they are printed: each step with its figures in the unit of its formula and as the reader knows it."""

from collections.abc import Sequence
from dataclasses import dataclass

from swardcost_api.packets.document import Derivation, Document, Step
from swardcost_api.packets.faces.calm_text import calm
from swardcost_api.packets.faces.table_views import Citation, Citations
from swardcost_api.packets.formatter import Formatter
from swardcost_api.packets.values import Measured, Value

_MOST_PLACES_BACK = 6


@dataclass(frozen=True, slots=True)
class StepView:
    """A step as it is printed: name, value and source, and name and value of each input."""

    name: str
    value: str
    formula: str
    inputs: tuple[tuple[str, str], ...]
    source: str


@dataclass(frozen=True, slots=True)
class DerivationView:
    """A derivation as it is printed, with the first places that name it, and how many more there are."""

    id: str
    number: int
    title: str
    steps: tuple[StepView, ...]
    cited: Sequence[Citation]
    more: int


def derivation_views(
    derivations: Sequence[Derivation], document: Document, formatter: Formatter, citations: Citations
) -> tuple[DerivationView, ...]:
    """Derivations as they are printed, once all that names them has been."""

    def shown(value: Value) -> str:
        if isinstance(value, Measured):
            return calm(formatter.both(value, document.unit_system, document.ton))
        return calm(formatter.text(value))

    def step_view(step: Step) -> StepView:
        inputs = tuple((calm(one.name), shown(one.value)) for one in step.inputs)
        return StepView(calm(step.name), shown(step.value), calm(step.formula), inputs, calm(step.source))

    def view(one: Derivation) -> DerivationView:
        places = citations.places.get(one.id, [])
        return DerivationView(
            one.id, document.numbers[one.id], calm(one.title), tuple(map(step_view, one.steps)),
            places[:_MOST_PLACES_BACK], max(len(places) - _MOST_PLACES_BACK, 0),
        )  # fmt: skip

    return tuple(map(view, derivations))
