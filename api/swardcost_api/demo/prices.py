"""What the story says of prices: quotes for the sand, the one chosen, and what the estimate rests on."""

import json
from datetime import date
from typing import Any
from uuid import UUID

from swardcost import Client
from swardcost_model.catalog import NewVendor
from swardcost_model.estimate_quality import BasisChange, EstimateQuality
from swardcost_model.estimates import Estimate
from swardcost_model.quotes import (
    Award,
    NewQuote,
    NewQuoteRequest,
    QuoteChoice,
    QuoteComparison,
    QuoteRequest,
)

from swardcost_api.demo.story import data_file

ASKED_FOR = ("SAND-TD", "FRT-SAND")
DUE_ON, DECIDED_ON = date(2026, 8, 21), date(2026, 8, 24)
REASON = "Lowest on the same quantities, with delivery; the grading was tested last autumn."


def ask_for_sand(client: Client, estimate: Estimate) -> QuoteRequest:
    """Ask three vendors for the sand of an estimate and its delivery, and enter what they answer."""
    quotes: list[dict[str, Any]] = json.loads(data_file("quotes.json"))
    known: dict[str, UUID] = {vendor.name: vendor.id for vendor in client.vendors.list()}
    for quote in quotes:
        name = quote.pop("vendor")
        vendor_id = known.get(name) or client.vendors.create(NewVendor(name=name)).id
        quote["vendor_id"] = str(vendor_id)
    request = client.quote_requests.create(
        NewQuoteRequest(
            name="Sand for the autumn closure", estimate_id=estimate.id, items=list(ASKED_FOR),
            vendor_ids=[UUID(quote["vendor_id"]) for quote in quotes], due_on=DUE_ON,
        )
    )  # fmt: skip
    for quote in quotes:
        client.quotes.receive(
            request.id, NewQuote.model_validate_json(json.dumps({"currency": "USD"} | quote))
        )
    return client.quote_requests.read(request.id)


def choose(client: Client, request: QuoteRequest, comparison: QuoteComparison) -> QuoteRequest:
    """Take the quote that is lowest on the same quantities."""
    best = next(quote for quote in comparison.quotes if quote.vendor == comparison.best_single)
    awards = [Award(quote_id=best.quote_id)]
    return client.quote_requests.choose(request.id, QuoteChoice(awards=awards, reason=REASON))


def write_basis(client: Client, estimate: Estimate) -> EstimateQuality:
    """Write down what an estimate rests on, and see what speaks for and against it."""
    change = BasisChange.model_validate_json(data_file("basis.json"))
    client.estimates.change_basis(estimate.id, change, client.estimates.basis(estimate.id).version)
    return client.estimates.quality(estimate.id)
