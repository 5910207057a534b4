"""A contingency shared over the items of an estimate, by what each adds to the uncertainty of the total."""

from collections.abc import Mapping
from dataclasses import dataclass

from swardcost_api.engine.pricing.allocation import split_exactly


@dataclass(frozen=True, slots=True)
class ContingencyShare:
    """An item's part of a contingency, in minor units, and its share of the total's variance.

    `steadies` marks an item that varies against the total (share below zero): it has no part.
    """

    item: str
    amount_minor: int
    variance_share: float
    steadies: bool


def share_contingency(contingency_minor: int, covariances: Mapping[str, int]) -> tuple[ContingencyShare, ...]:
    """Share a contingency over items in proportion to their covariance with the total, in the items' order.

    ::

        variance share = covariance of the item with the total / variance of the total
        part = contingency x variance share / sum of the shares above zero, in minor units by largest remainder

    `covariances` are whole numbers on any common scale, as `Simulation.covariances` are, and sum to the total's
    variance, so that the shares sum to one. An item that varies against the total has a share below zero: it needs no
    contingency and has none, and what it takes from the uncertainty helps the others in proportion. A contingency
    below zero is shared like its opposite.

    Raises `ValueError` where nothing varies, so that there is nothing to share by.

    References
    ----------
    Variance of a sum as the sum of covariances with it: any text on probability; as a share of a risk known as its
    covariance or Euler allocation (Tasche, Capital allocation to business units and sub-portfolios, 2008). Largest
    remainder: Hamilton's apportionment.
    """
    variance = sum(covariances.values())
    if variance <= 0:
        raise ValueError("covariances: expected items whose total varies from trial to trial")
    parts = split_exactly(contingency_minor, [max(one, 0) for one in covariances.values()])
    return tuple(
        ContingencyShare(item, part, covariance / variance, covariance < 0)
        for (item, covariance), part in zip(covariances.items(), parts, strict=True)
    )
