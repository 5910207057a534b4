"""HTTP operations of comparisons, break-even and life-cycle cost."""

from swardcost_api.operations import Room

room = Room(
    "Alternatives", "Estimates compared, where one becomes cheaper than another, and cost over the years."
)
