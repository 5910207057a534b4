"""The part of the story in which a choice hangs on a figure: break-even, the reach of a budget, cost over the years."""

from decimal import Decimal
from typing import Any

from swardcost_model.choosing import (
    AreaVariable,
    BreakEvenQuestion,
    BudgetReachQuestion,
    ChoosingSide,
    QuantityVariable,
)
from swardcost_model.life_cycle import (
    LifeCycleAlternative,
    LifeCyclePart,
    LifeCycleStudyChange,
    NewLifeCycleStudy,
    YearlyCost,
)
from swardcost_model.values import Money


def usd(amount: str) -> Money:
    return Money(amount=Decimal(amount), currency="USD")


def the_choosing(client: Any, estimate: Any) -> None:
    """Ask where a contractor's price is the better one, how deep the money reaches, and what a machine costs."""
    found = client.choosing.break_even(
        BreakEvenQuestion(
            first=ChoosingSide(estimate_id=estimate.id, variable=AreaVariable(kind="area")),
            second=ChoosingSide(label="Contractor", cost=usd("2600.00")),
            low=Decimal(1), high=Decimal(40), resolution=Decimal(1), unit="thousand_square_feet",
        )
    )  # fmt: skip
    assert found.first.label == estimate.name
    assert found.first.moves
    assert found.first.at_low.amount < found.first.at_high.amount
    assert not found.second.moves
    assert found.spans[0].first_value == 1
    assert found.searched.every_value
    reach = client.choosing.budget_reach(
        BudgetReachQuestion(
            estimate_id=estimate.id, variable=QuantityVariable(kind="quantity", parameter="depth"),
            budget=estimate.total, low=Decimal(1), high=Decimal(8), resolution=Decimal("0.5"), unit="inch",
        )
    )  # fmt: skip
    assert reach.found.value >= 4
    assert reach.found.cost.amount <= reach.budget.amount
    the_study(client, estimate)


def the_study(client: Any, estimate: Any) -> None:
    """Put together a study of hiring and buying, put it right, and delete a spare one."""
    alternatives = [
        LifeCycleAlternative(
            label="Have it done", yearly_costs=[YearlyCost(name="Contractor", yearly=usd("9400.00"))]
        ),
        LifeCycleAlternative(
            label="Own aerator",
            parts=[
                LifeCyclePart(name="Aerator", cost=usd("31500.00"), life_years=8, residual="straight_line"),
                LifeCyclePart(name="First closure", estimate_id=estimate.id),
            ],
            yearly_costs=[YearlyCost(name="Crew, fuel and tines", yearly=usd("2900.00"))],
        ),
    ]
    fields: dict[str, Any] = {
        "study_years": 5, "first_year": 2027, "discount_percent": Decimal(3), "discount_kind": "real",
        "alternatives": alternatives,
    }  # fmt: skip
    study = client.life_cycle_studies.create(NewLifeCycleStudy(name="Aerator", **fields))
    study = client.life_cycle_studies.change(
        study.id,
        LifeCycleStudyChange(name="Aerator", question="Does our own pay?", **fields),
        study.version,
    )
    spare = client.life_cycle_studies.create(NewLifeCycleStudy(name="Spare", **fields))
    client.life_cycle_studies.delete(spare.id, spare.version)
    assert list(client.life_cycle_studies.list()) == [study]
    assert client.life_cycle_studies.read(study.id) == study
    figures = client.life_cycle_studies.figures(study.id)
    first, second = figures.alternatives
    assert first.against_first is None
    net = first.life_cycle_cost.amount - second.life_cycle_cost.amount
    assert second.against_first.net_savings.amount == net
    assert client.life_cycle_studies.figures_csv(study.id).startswith("figure,unit,Have it done,Own aerator")
