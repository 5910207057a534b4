"""The rates of an estimate's markups: as stated, by the tax rates of a place, or by a price index."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from swardcost_model.estimates import Markup

from swardcost_api.engine.pricing.escalation import IndexSeries
from swardcost_api.engine.pricing.markups import MarkupRate
from swardcost_api.engine.pricing.tax import Exemption, TaxAtPlace, TaxRate
from swardcost_api.rates.service import exemptions_of, index_named, tax_rates_of
from swardcost_api.storage.work import UnitOfWork


def markup_rates(work: UnitOfWork, markups: Sequence[Markup], received_on: date) -> list[MarkupRate]:
    """What the markups ask for, with the published rates they name.

    Things are taken to be received on the first day of the work, which decides their tax rate. Raises
    `invalid-values` for an index that there is not.
    """
    rates = []
    for index, markup in enumerate(markups):
        rate = _rate(work, markup, received_on, f"/markups/{index}")
        rates.append(MarkupRate(markup.kind, rate, markup.account, compound=markup.compounding == "yearly"))
    return rates


def _rate(
    work: UnitOfWork, markup: Markup, received_on: date, place: str
) -> Decimal | TaxAtPlace | IndexSeries:
    if markup.percent is not None:
        return markup.percent
    if markup.place is not None:
        return _tax_at(work, markup.place, received_on)
    assert markup.index_series_id is not None
    return index_named(work, markup.index_series_id, f"{place}/index_series_id", "The scope was not priced.")


def _tax_at(work: UnitOfWork, place: str, received_on: date) -> TaxAtPlace:
    return TaxAtPlace(
        place, received_on,
        [
            TaxRate(one.place, one.tax_class, one.percent, one.valid_from, one.valid_until, one.source)
            for one in tax_rates_of(work, place)
        ],
        [
            Exemption(
                one.number, one.place, frozenset(one.tax_classes) or None, one.valid_from, one.valid_until, one.note
            )
            for one in exemptions_of(work, place)
        ],
    )  # fmt: skip
