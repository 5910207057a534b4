"""Starting lives of assets, for what the club has no experience of its own with."""

from swardcost_model.assets import AssetKind, Life, StartingLife, StartingLives

from swardcost_api.engine.capital.lives import CHART, MIDDLE, starting_life


def starting_lives() -> StartingLives:
    """The starting life of every kind, with its source; none for kinds that the chart does not have."""
    found = {kind: starting_life(kind.value) for kind in AssetKind}
    return StartingLives(
        items=[
            StartingLife(
                kind=kind, words=kind.value.replace("_", " "),
                life=None if life is None else Life(low=life.low, likely=life.likely, high=life.high),
                source="" if life is None else f"{CHART}; {MIDDLE}",
            )
            for kind, life in found.items()
        ]
    )  # fmt: skip
