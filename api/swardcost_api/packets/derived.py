"""The steps behind figures as a packet prints them, gathered while it is composed."""

from collections.abc import Sequence
from decimal import Decimal

from swardcost_model.figures import DerivationStep
from swardcost_model.figures import Figure as DerivedFigure
from swardcost_model.values import CURRENCY_DIGITS, Money, to_minor

from swardcost_api.packets.document import Appendix, Derivation, Given, Step
from swardcost_api.packets.values import Measured, Share, Value, to_minor_unit


class Derived:
    """Derivations in the order in which they are first referred to."""

    def __init__(self) -> None:
        self._found: dict[str, Derivation] = {}

    def why(
        self, name: str, title: str, steps: Sequence[DerivationStep], before: Sequence[Step] = ()
    ) -> str | None:
        """The id of a derivation of these steps, to refer to it; none where there are no steps.

        Steps `before` them are typed already.
        """
        if not (steps or before):
            return None
        if name not in self._found:
            self._found[name] = Derivation(name, title, (*before, *map(_step, steps)))
        return name

    @property
    def any(self) -> bool:
        """Whether there is anything to print."""
        return bool(self._found)

    def appendix(self) -> Appendix:
        """All of them."""
        return Appendix(tuple(self._found.values()))


def _step(step: DerivationStep) -> Step:
    inputs = tuple(Given(one.name, derived_value(one)) for one in step.inputs)
    return Step(step.name, derived_value(step), step.formula, inputs, step.source)


def derived_value(figure: DerivedFigure) -> Value:
    """A figure of a derivation with its type, in the unit in which its formula holds."""
    number = Decimal(figure.value)
    if figure.unit in CURRENCY_DIGITS:
        return Money.of_minor(to_minor(to_minor_unit(number, figure.unit), figure.unit), figure.unit)
    return Share(number) if figure.unit == "percent" else Measured(number, figure.unit)
