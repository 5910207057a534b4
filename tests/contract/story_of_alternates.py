"""The part of the story in which an option of the scope is written down and priced."""

from typing import Any

from swardcost_model.alternates import AlternateChange, NewAlternate
from swardcost_model.estimates import NewEstimate
from swardcost_model.projects import NewScopeItem


def the_alternates(client: Any, project: Any, terms: dict[str, Any]) -> None:
    """Draining as an option; an estimate that takes it beside what it would be without."""
    draining = client.scope_items.create(
        project.id,
        NewScopeItem(
            name="Drain the second green", method="plain_quantity",
            parameters={"quantity": {"value": "24", "unit": "hour"}},
            resources=[{"item": "CREW", "measure": "quantity"}],
        ),
    )  # fmt: skip
    alternate = client.alternates.create(project.id, NewAlternate(name="Drain green 2", brings=[draining.id]))
    alternate = client.alternates.change(
        alternate.id,
        AlternateChange(name="Drain green 2", brings=[draining.id], note="If the dues allow it"),
        alternate.version,
    )
    assert list(client.alternates.list(project.id)) == [alternate]
    assert client.alternates.read(alternate.id) == alternate
    taken = [alternate.id]
    assert len(client.projects.take_off(project.id, taken).items) == 2
    assert len(client.schedules.read(project.id, taken).unscheduled) == 1
    estimate = client.estimates.create(
        project.id, NewEstimate(name="With drains", alternate_ids=taken, **terms)
    )
    found = client.estimates.alternates(estimate.id)
    assert found.alternates[0].total_otherwise.amount < estimate.total.amount
    assert client.estimates.alternates_csv(estimate.id).startswith("number,alternate,kind,taken")
    spare = client.alternates.create(project.id, NewAlternate(name="Spare", brings=[draining.id]))
    client.alternates.delete(spare.id, spare.version)
