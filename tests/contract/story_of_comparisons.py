"""The part of the story in which two estimates are held against each other."""

from typing import Any

from swardcost_model.comparisons import Alternative, ComparisonChange, NewComparison


def the_comparison(client: Any, before: Any, after: Any) -> None:
    """Compare a revision with what it revised; put the comparison right; delete a spare one."""
    alternatives = [
        Alternative(label="As first priced", estimate_id=before.id),
        Alternative(
            label="As accepted",
            estimate_id=after.id,
            leaves_out=["Approaches stay as they are."],
            note="Sand by the load",
        ),
    ]
    comparison = client.comparisons.create(NewComparison(name="Two ways", alternatives=alternatives))
    comparison = client.comparisons.change(
        comparison.id,
        ComparisonChange(
            name="Two ways", question="What did asking again change?", alternatives=alternatives
        ),
        comparison.version,
    )
    spare = client.comparisons.create(NewComparison(name="Spare", alternatives=alternatives))
    client.comparisons.delete(spare.id, spare.version)
    assert list(client.comparisons.list()) == [comparison]
    assert client.comparisons.read(comparison.id) == comparison
    figures = client.comparisons.figures(comparison.id)
    first, second = figures.alternatives
    assert second.more_than_first.amount == after.total.amount - before.total.amount
    assert second.differences.difference == second.more_than_first
    assert second.risk is not None
    assert second.risk.p80.amount > second.risk.p50.amount
    assert first.risk is None
    assert client.comparisons.figures_csv(comparison.id).startswith("figure,unit,As first priced,As accepted")
    assert client.comparisons.chart_svg(comparison.id).startswith("<svg")
    assert "vega-lite" in client.comparisons.chart_vega_lite(comparison.id)
