"""The steps behind figures as a packet prints them, gathered while it is composed."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from swardcost_model.figures import DerivationStep
from swardcost_model.figures import Figure as DerivedFigure
from swardcost_model.values import CURRENCY_DIGITS, Money

from swardcost_api.packets.document import Appendix, Derivation, Given, Step
from swardcost_api.packets.step_words import StepWords
from swardcost_api.packets.values import Measured, Share, UnitPrice, Value, places_of

_PLACES_OF_SHARES = 4


class Derived:
    """Derivations in the order in which they are first referred to."""

    def __init__(self) -> None:
        self._found: dict[str, Derivation] = {}

    def why(
        self, name: str, title: str, steps: Sequence[DerivationStep], before: Sequence[Step] = ()
    ) -> str | None:
        """The id of a derivation of these steps, to refer to it; none where there are no steps.

        Steps `before` them are typed already. Raises `ValueError` where another derivation has that id.
        """
        if not (steps or before):
            return None
        asked = Derivation(name, title, (*before, *map(_step, steps)))
        if self._found.setdefault(name, asked) != asked:
            raise ValueError(
                f"two derivations are called {name!r}: {self._found[name].title!r} and {title!r}"
            )
        return name

    @property
    def any(self) -> bool:
        """Whether there is anything to print."""
        return bool(self._found)

    def appendix(self, words: StepWords) -> Appendix:
        """All of them, with what the engine wrote in the language of these words."""
        return Appendix(tuple(
            replace(one, steps=tuple(_told(step, words) for step in one.steps)) for one in self._found.values()
        ))  # fmt: skip


def _told(step: Step, words: StepWords) -> Step:
    inputs = tuple(replace(one, name=words.text(one.name)) for one in step.inputs)
    return Step(words.text(step.name), step.value, words.text(step.formula), inputs, words.text(step.source))


def _step(step: DerivationStep) -> Step:
    inputs = tuple(Given(one.name, value_of(one)) for one in step.inputs)
    return Step(step.name, value_of(step), step.formula, inputs, step.source)


def value_of(figure: DerivedFigure) -> Value:
    """A figure by its unit: money, a price, a share, or a quantity.

    An amount between two steps may have more places than its currency, and keeps them.
    """
    number = Decimal(figure.value)
    currency, per, unit = figure.unit.partition(" per ")
    if currency in CURRENCY_DIGITS:
        if not per and places_of(number) <= CURRENCY_DIGITS[currency]:
            return Money.model_validate({"amount": format(number, "f"), "currency": currency})
        return UnitPrice(number, currency, unit or "each")
    if figure.unit == "percent":
        return Share(number)
    if figure.unit == "ratio":
        return Share(_short(number * 100))
    return Measured(number, figure.unit)


def _short(percent: Decimal) -> Decimal:
    rounded = round(percent, _PLACES_OF_SHARES).normalize()
    return rounded if places_of(rounded) else rounded.quantize(Decimal(1))
