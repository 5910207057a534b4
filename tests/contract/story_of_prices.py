"""The part of the story that is about prices: terms, rates of places, moves of prices, quotes, and what an estimate
says of itself."""

from datetime import date
from decimal import Decimal
from typing import Any

from swardcost_model.catalog import (
    EditionStatus,
    ItemKind,
    NewEdition,
    NewItem,
    NewVendor,
    NewVendorTerms,
    VendorTermsChange,
)
from swardcost_model.estimate_quality import BasisChange, CheckId, Confirmation
from swardcost_model.estimates import EstimateRevision, Markup, MarkupKind
from swardcost_model.price_moves import CarryForward
from swardcost_model.price_terms import (
    Breaks,
    ByLoad,
    Grade,
    LaborBuildUp,
    PercentOfWages,
    PriceTier,
    PurchaseTerms,
)
from swardcost_model.quotes import (
    Award,
    NewQuote,
    NewQuoteRequest,
    QuoteChange,
    QuoteChoice,
    QuotedItem,
    Withdrawal,
)
from swardcost_model.rates import (
    ExemptionChange,
    IndexSeriesChange,
    IndexValue,
    NewExemption,
    NewIndexSeries,
    NewTaxRate,
    TaxRateChange,
)

JANUARY = date(2026, 1, 1)


def the_rates(client: Any) -> Any:
    """Tax rates, certificates and an index; the index is given back."""
    place: dict[str, Any] = {
        "place": "Harrow County",
        "valid_from": JANUARY,
        "source": "State rate table, 2026",
    }
    rate = client.tax_rates.create(NewTaxRate(percent=Decimal("7"), **place))
    rate = client.tax_rates.change(rate.id, TaxRateChange(percent=Decimal("7.25"), **place), rate.version)
    spare = client.tax_rates.create(NewTaxRate(percent=Decimal(2), tax_class="seed", **place))
    client.tax_rates.delete(spare.id, spare.version)
    assert client.tax_rates.read(rate.id) in list(client.tax_rates.list(place="Harrow County"))
    fields: dict[str, Any] = {"valid_from": JANUARY, "tax_classes": ["seed"]}
    exemption = client.exemptions.create(NewExemption(number="EX-1", **fields))
    exemption = client.exemptions.change(
        exemption.id, ExemptionChange(number="EX-20-4471", **fields), exemption.version
    )
    assert client.exemptions.read(exemption.id) in list(client.exemptions.list())
    spare_exemption = client.exemptions.create(NewExemption(number="EX-2", **fields))
    client.exemptions.delete(spare_exemption.id, spare_exemption.version)
    values = [
        IndexValue(month="2026-08", value=Decimal("238.4")),
        IndexValue(month="2027-08", value=Decimal("246.1")),
    ]
    series = client.index_series.create(
        NewIndexSeries(name="Construction", source="Statistics office", values=values[:1])
    )
    series = client.index_series.change(
        series.id,
        IndexSeriesChange(name="Construction inputs", source="Statistics office, table 12", values=values),
        series.version,
    )
    assert client.index_series.read(series.id) in list(client.index_series.list())
    spare_series = client.index_series.create(NewIndexSeries(name="Spare", source="None", values=values))
    client.index_series.delete(spare_series.id, spare_series.version)
    return series


def the_terms(client: Any, draft: Any, vendor: Any) -> None:
    """Terms of a vendor in a draft, an item with a built-up rate, and the price list as a workbook."""
    foreign: dict[str, Any] = {
        "currency": "CAD", "exchange_rate": Decimal("0.73"), "rate_date": date(2026, 8, 1),
        "rate_source": "Central bank",
    }  # fmt: skip
    terms = client.vendor_terms.create(draft.id, NewVendorTerms(vendor_id=vendor.id, **foreign))
    terms = client.vendor_terms.change(
        draft.id, vendor.id, VendorTermsChange(currency="USD", mobilization=Decimal("350.00")), terms.version
    )
    assert client.vendor_terms.read(draft.id, vendor.id) in list(client.vendor_terms.list(draft.id))
    client.vendor_terms.delete(draft.id, vendor.id, terms.version)
    fica = PercentOfWages(name="Payroll tax", percent=Decimal("7.65"), source="IRS Publication 15")
    hand = Grade(name="Seasonal hand", people=2, wage=Decimal("18.50"), hours_a_week=Decimal(46))
    client.items.create(
        draft.id,
        NewItem(
            code="HANDS", kind=ItemKind.LABOR, description="Seasonal hands", unit="hour", taxable=False, account="6110",
            terms=LaborBuildUp(grades=[hand], burden=[fica], year=2026, own_staff=True),
        ),
    )  # fmt: skip
    rate = client.items.rate(draft.id, "HANDS")
    assert rate.cash_price.amount < rate.unit_price.amount
    again = client.items.upload_xlsx(draft.id, client.items.export_xlsx(draft.id))
    assert (again.added, again.replaced) == (0, 0)


def the_price_moves(client: Any, edition: Any) -> Any:
    """The next edition, carried forward from the first."""
    draft = client.editions.create(NewEdition(name="Spring 2027", price_date=date(2027, 2, 1)))
    carried = client.editions.carry_forward(
        draft.id, CarryForward(from_edition_id=edition.id, percent=Decimal("3.2"))
    )
    assert (carried.added, carried.left_alone) == (3, 0)
    comparison = client.editions.compare(draft.id, edition.id)
    assert (comparison.moved, comparison.added, comparison.gone) == (3, 0, 0)
    later = client.editions.publish(draft.id)
    assert later.status is EditionStatus.PUBLISHED
    assert [one.percent for one in client.items.price_history("SAND-TD").prices] == [None, Decimal("3.20")]
    assert client.items.price_history_svg("SAND-TD").startswith("<svg")
    return later


def the_quality(client: Any, estimate: Any, edition: Any, later: Any) -> None:
    """What a draft says of itself, and how the same scope would be priced by the later edition."""
    basis = client.estimates.basis(estimate.id)
    client.estimates.change_basis(
        estimate.id,
        BasisChange(
            purpose="Decision of the finance committee on the autumn closure", estimate_class=3,
            assumptions=["Greens open again on 12 October."], exclusions=["Irrigation repairs."],
            confirmations=[Confirmation(check=CheckId.SITE_SEEN, met=True, note="Walked on 3 August.")],
        ),
        basis.version,
    )  # fmt: skip
    quality = client.estimates.quality(estimate.id)
    assert quality.band.estimate_class == 3
    assert client.estimates.exposure(estimate.id, later.id).affected_percent == 100
    assert client.estimates.subtotals(estimate.id, by="hole,cost_type").rows
    assert client.estimates.subtotals_csv(estimate.id, by="month").startswith("month,")
    assert client.estimates.tree(estimate.id).nodes
    again = client.estimates.revise(
        estimate.id,
        EstimateRevision(
            edition_id=later.id, as_of=date(2026, 8, 20),
            markups=[
                Markup(kind=MarkupKind.TAX, place="Harrow County"),
                Markup(kind=MarkupKind.CONTINGENCY, percent=Decimal(8), account="6999"),
            ],
        ),
    )  # fmt: skip
    bridge = client.estimates.bridge(again.id, estimate.id)
    assert sum(one.amount.amount for one in bridge.effects) == bridge.difference.amount


def the_quotes(client: Any, estimate: Any, vendor: Any) -> None:
    """Two vendors are asked, compared and chosen from."""
    other = client.vendors.create(NewVendor(name="Fen Road Aggregates"))
    request = client.quote_requests.create(
        NewQuoteRequest(
            name="Sand for the autumn closure", estimate_id=estimate.id, items=["SAND-TD"],
            vendor_ids=[vendor.id, other.id], due_on=date(2026, 8, 28),
        )
    )  # fmt: skip
    day: dict[str, Any] = {
        "received_on": date(2026, 8, 25),
        "valid_until": date(2099, 12, 31),
        "currency": "USD",
    }
    sand = QuotedItem(item="SAND-TD", unit_price=Decimal("39.90"))
    first = client.quotes.receive(
        request.id, NewQuote(vendor_id=vendor.id, items=[sand], fixed_charge=Decimal(150), **day)
    )
    dearer = [QuotedItem(item="SAND-TD", unit_price=Decimal("42.10"))]
    second = client.quotes.receive(request.id, NewQuote(vendor_id=other.id, items=dearer, **day))
    second = client.quotes.change(
        second.id, QuoteChange(vendor_id=other.id, items=dearer, note="Washed", **day), second.version
    )
    assert client.quotes.read(first.id) in list(client.quotes.list(request.id))
    assert client.quote_requests.compare(request.id, as_of=date(2026, 8, 30)).quotes
    choice = QuoteChoice(awards=[Award(quote_id=first.id)], reason="Lowest on the same quantities")
    assert client.quote_requests.choose(request.id, choice).status == "chosen"
    client.quote_requests.reopen(request.id, Withdrawal(reason="The grading is in doubt"))
    client.quotes.delete(second.id, second.version)
    client.quote_requests.withdraw(request.id, Withdrawal(reason="Asked again in spring"))
    assert client.quote_requests.read(request.id).status == "withdrawn"
    assert len(list(client.quote_requests.list(project_id=request.project_id))) == 1


SAND_TERMS = PurchaseTerms(
    increment=Decimal(22), increment_name="load", delivery=ByLoad(load_size=Decimal(22), charge=Decimal("145.00")),
    breaks=Breaks(apply="each_tier", tiers=[PriceTier(from_quantity=Decimal(100), unit_price=Decimal("39.00"))]),
)  # fmt: skip
