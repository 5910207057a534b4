"""Steps that the rooms tell, as a packet prints them."""

from decimal import Decimal

import pytest
from babel import Locale
from swardcost_api.packets.derived import Derived, value_of
from swardcost_api.packets.formatter import Formatter
from swardcost_api.packets.step_words import step_words_for
from swardcost_api.packets.values import Measured, Share, UnitPrice, Value
from swardcost_model.figures import DerivationStep, Figure
from swardcost_model.values import Money


def told(value: str, unit: str) -> Figure:
    return Figure(name="figure", value=value, unit=unit, shown="as the club reads it")


@pytest.mark.parametrize(
    ("value", "unit", "typed"),
    [
        ("164.4", "USD", Money.model_validate({"amount": "164.4", "currency": "USD"})),
        ("38.6125", "USD", UnitPrice(Decimal("38.6125"), "USD", "each")),
        ("42.1", "USD per short_ton", UnitPrice(Decimal("42.1"), "USD", "short_ton")),
        ("8", "percent", Share(Decimal(8))),
        ("0.00634169578826", "ratio", Share(Decimal("0.6342"))),
        ("1", "ratio", Share(Decimal(100))),
        ("9017.59367521", "kilogram", Measured(Decimal("9017.59367521"), "kilogram")),
        ("2", "year", Measured(Decimal(2), "year")),
        ("2", "each", Measured(Decimal(2), "each")),
    ],
)
def test_a_told_figure_is_typed_by_its_unit(value: str, unit: str, typed: Value) -> None:
    assert value_of(told(value, unit)) == typed


def test_a_derivation_keeps_its_steps_inputs_and_sources() -> None:
    step = DerivationStep(
        name="Mass", value="9071.8474", unit="kilogram", shown="10 short ton", formula="m = V · density",
        inputs=[told("5.66990", "cubic_meter"), told("1600", "kilogram_per_cubic_meter")], source="Geometry",
    )  # fmt: skip
    derived = Derived()
    assert derived.why("mass", "Mass of the sand", [step]) == "mass"
    (made,) = derived.appendix(step_words_for(Locale("en"))).derivations
    assert made.title == "Mass of the sand"
    assert [one.formula for one in made.steps] == ["m = V · density"]
    assert [one.value for one in made.steps[0].inputs] == [
        Measured(Decimal("5.66990"), "cubic_meter"), Measured(Decimal(1600), "kilogram_per_cubic_meter"),
    ]  # fmt: skip
    # 1 short ton is 907.18474 kg exactly (NIST Handbook 44, Appendix C).
    value = made.steps[0].value
    assert isinstance(value, Measured)
    assert (
        Formatter("en-US")
        .both(value, "us_customary", "short_ton")
        .endswith("(10.00 short tons)".replace(" ", "\u00a0", 1))
    )
