"""HTTP operations of uncertainty, simulations and sensitivity."""

from swardcost_api.operations import Room

room = Room(
    "Risk", "What of an estimate is uncertain, how far it may move the cost and the reopening, and by what."
)
