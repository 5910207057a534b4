"""What another edition of the catalog would change in an estimate."""

from uuid import UUID

from sqlalchemy import func, select
from swardcost_model.estimates import Estimate
from swardcost_model.price_moves import EditionExposure, LineExposure
from swardcost_model.values import Money

from swardcost_api.catalog.service import edition_named, move_between, prices_in, read_edition
from swardcost_api.engine.pricing.percentage import percent_of_whole
from swardcost_api.estimates.tables import EstimateLineRow
from swardcost_api.storage.work import UnitOfWork


def exposure(work: UnitOfWork, estimate: Estimate, edition_id: UUID) -> EditionExposure:
    """The items of an estimate that are different in another edition, with what the estimate pays for each.

    An item priced by a chosen offer counts as well: it is compared as the two editions have it. Raises
    `invalid-values` for an edition that there is not.
    """
    before = read_edition(work, estimate.edition_id)
    after = edition_named(work, edition_id, "/edition_id", "Nothing was compared.")
    costs = _cost_by_item(work, estimate.id)
    old, new = prices_in(work, before.id, costs.keys()), prices_in(work, after.id, costs.keys())
    direct, currency = sum(costs.values()), estimate.total.currency
    items = []
    for code, minor in sorted(costs.items(), key=lambda one: (-one[1], one[0])):
        if code not in old and code not in new:
            continue
        move = move_between(old.get(code), new.get(code))
        if move is not None:
            items.append(
                LineExposure(
                    code=code, description=move.description, what=move.what, before=move.before, after=move.after,
                    percent=move.percent, terms_moved=move.terms_moved, amount=Money.of_minor(minor, currency),
                    share_percent=percent_of_whole(minor, direct),
                )
            )  # fmt: skip
    affected = sum(costs[one.code] for one in items)
    return EditionExposure(
        estimate_id=estimate.id, before=before, after=after, affected=Money.of_minor(affected, currency),
        affected_percent=percent_of_whole(affected, direct), direct=Money.of_minor(direct, currency), items=items,
    )  # fmt: skip


def _cost_by_item(work: UnitOfWork, estimate_id: UUID) -> dict[str, int]:
    """What an estimate pays for each item, delivery and the like included, in minor units."""
    rows = work.session.execute(
        select(EstimateLineRow.item, func.sum(EstimateLineRow.amount_minor))
        .where(EstimateLineRow.club_id == work.club_id, EstimateLineRow.estimate_id == estimate_id)
        .group_by(EstimateLineRow.item)
    )
    return {item: int(minor or 0) for item, minor in rows}
