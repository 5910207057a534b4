"""HTTP operations of tax rates, exemption certificates and price indices."""

from typing import Annotated
from uuid import UUID

from swardcost_model.access import Role
from swardcost_model.paging import Page
from swardcost_model.rates import (
    Exemption,
    ExemptionChange,
    IndexSeries,
    IndexSeriesChange,
    NewExemption,
    NewIndexSeries,
    NewTaxRate,
    TaxRate,
    TaxRateChange,
)

from swardcost_api.operations import CLUB, Cursor, Limit, Query, Room
from swardcost_api.rates import service
from swardcost_api.storage.work import UnitOfWork

room = Room(
    "Rates",
    "Rates that others publish and estimates rest on: tax by place, exemption certificates, price indices.",
)
KEEPERS = frozenset({Role.SUPERINTENDENT, Role.CONTROLLER, Role.OWNER})

TAX_RATES = CLUB + "/tax-rates"
EXEMPTIONS = CLUB + "/exemptions"
INDICES = CLUB + "/index-series"


@room.create(TAX_RATES, "Add a tax rate", needs=KEEPERS)
def create_tax_rate(work: UnitOfWork, data: NewTaxRate) -> TaxRate:
    """A place has one rate for a class of things on any day; one that overlaps is refused."""
    return service.create_tax_rate(work, data)


@room.read(TAX_RATES, "List the tax rates")
def list_tax_rates(
    work: UnitOfWork,
    limit: Limit = 50,
    cursor: Cursor = None,
    place: Annotated[str | None, Query("Only rates of this place.", example="Harrow County")] = None,
) -> Page[TaxRate]:
    """By place, class and first day."""
    return service.list_tax_rates(work, limit, cursor, place)


@room.read(TAX_RATES + "/{tax_rate_id}", "Read a tax rate")
def read_tax_rate(work: UnitOfWork, tax_rate_id: UUID) -> TaxRate:
    return service.read_tax_rate(work, tax_rate_id)


@room.edit(TAX_RATES + "/{tax_rate_id}", "Edit a tax rate", needs=KEEPERS)
def change_tax_rate(work: UnitOfWork, tax_rate_id: UUID, data: TaxRateChange, if_match: int) -> TaxRate:
    """Estimates already made keep the rate they used."""
    return service.change_tax_rate(work, tax_rate_id, data, if_match)


@room.remove(TAX_RATES + "/{tax_rate_id}", "Delete a tax rate", needs=KEEPERS)
def delete_tax_rate(work: UnitOfWork, tax_rate_id: UUID, if_match: int) -> None:
    service.delete_tax_rate(work, tax_rate_id, if_match)


@room.create(EXEMPTIONS, "Add an exemption certificate", needs=KEEPERS)
def create_exemption(work: UnitOfWork, data: NewExemption) -> Exemption:
    """Taxable lines that it covers are shown without tax, with its number. Whether it holds is for a tax adviser."""
    return service.create_exemption(work, data)


@room.read(EXEMPTIONS, "List the exemption certificates")
def list_exemptions(work: UnitOfWork, limit: Limit = 50, cursor: Cursor = None) -> Page[Exemption]:
    return service.list_exemptions(work, limit, cursor)


@room.read(EXEMPTIONS + "/{exemption_id}", "Read an exemption certificate")
def read_exemption(work: UnitOfWork, exemption_id: UUID) -> Exemption:
    return service.read_exemption(work, exemption_id)


@room.edit(EXEMPTIONS + "/{exemption_id}", "Edit an exemption certificate", needs=KEEPERS)
def change_exemption(work: UnitOfWork, exemption_id: UUID, data: ExemptionChange, if_match: int) -> Exemption:
    return service.change_exemption(work, exemption_id, data, if_match)


@room.remove(EXEMPTIONS + "/{exemption_id}", "Delete an exemption certificate", needs=KEEPERS)
def delete_exemption(work: UnitOfWork, exemption_id: UUID, if_match: int) -> None:
    service.delete_exemption(work, exemption_id, if_match)


@room.create(INDICES, "Add a price index", needs=KEEPERS)
def create_index_series(work: UnitOfWork, data: NewIndexSeries) -> IndexSeries:
    """Escalation can follow it. Months to come are escalated only as far as the series goes."""
    return service.create_index_series(work, data)


@room.read(INDICES, "List the price indices")
def list_index_series(work: UnitOfWork, limit: Limit = 50, cursor: Cursor = None) -> Page[IndexSeries]:
    return service.list_index_series(work, limit, cursor)


@room.read(INDICES + "/{index_series_id}", "Read a price index")
def read_index_series(work: UnitOfWork, index_series_id: UUID) -> IndexSeries:
    return service.read_index_series(work, index_series_id)


@room.edit(INDICES + "/{index_series_id}", "Edit a price index", needs=KEEPERS)
def change_index_series(
    work: UnitOfWork, index_series_id: UUID, data: IndexSeriesChange, if_match: int
) -> IndexSeries:
    """All months at once: what is sent replaces the series."""
    return service.change_index_series(work, index_series_id, data, if_match)


@room.remove(INDICES + "/{index_series_id}", "Delete a price index", needs=KEEPERS)
def delete_index_series(work: UnitOfWork, index_series_id: UUID, if_match: int) -> None:
    service.delete_index_series(work, index_series_id, if_match)
