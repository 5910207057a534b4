"""Projects, their scope, estimates and estimate lines."""

from datetime import date, datetime
from typing import Any
from uuid import UUID

from sqlalchemy import BigInteger, ForeignKey, ForeignKeyConstraint, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from swardcost_api.storage.columns import CLUB, JSON_DOCUMENT, Table, UtcTime


class ProjectRow(Table):
    __tablename__ = "projects"
    __table_args__ = (UniqueConstraint("club_id", "name"),)

    club_id: Mapped[str] = mapped_column(CLUB, ForeignKey("clubs.id"), primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(200))
    starts_on: Mapped[date]
    ends_on: Mapped[date]
    note: Mapped[str] = mapped_column(String(2000))
    version: Mapped[int]


class ScopeItemRow(Table):
    __tablename__ = "scope_items"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "project_id"], ["projects.club_id", "projects.id"]),
        UniqueConstraint("club_id", "project_id", "number"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    project_id: Mapped[UUID]
    number: Mapped[int]
    name: Mapped[str] = mapped_column(String(200))
    method: Mapped[str] = mapped_column(String(60))
    parameters: Mapped[dict[str, Any]] = mapped_column(JSON_DOCUMENT)
    resources: Mapped[list[Any]] = mapped_column(JSON_DOCUMENT)
    starts_on: Mapped[date | None]
    ends_on: Mapped[date | None]
    group: Mapped[str | None] = mapped_column(String(200))
    note: Mapped[str] = mapped_column(String(2000))
    version: Mapped[int]


class ScopeAreaRow(Table):
    """An area of a scope item; an area is not deleted while a scope uses it."""

    __tablename__ = "scope_areas"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "scope_item_id"], ["scope_items.club_id", "scope_items.id"]),
        ForeignKeyConstraint(["club_id", "area_id"], ["areas.club_id", "areas.id"]),
        Index(None, "club_id", "area_id"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    scope_item_id: Mapped[UUID] = mapped_column(primary_key=True)
    area_id: Mapped[UUID] = mapped_column(primary_key=True)
    position: Mapped[int]


class ScopeMethodRow(Table):
    """The revision of a club's own method that a scope item uses; scope items over built-in ones have none."""

    __tablename__ = "scope_methods"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "scope_item_id"], ["scope_items.club_id", "scope_items.id"]),
        ForeignKeyConstraint(
            ["club_id", "method", "revision"],
            [
                "club_method_revisions.club_id",
                "club_method_revisions.name",
                "club_method_revisions.number",
            ],
        ),
        Index(None, "club_id", "method", "revision"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    scope_item_id: Mapped[UUID] = mapped_column(primary_key=True)
    method: Mapped[str] = mapped_column(String(60))
    revision: Mapped[int]


class AlternateRow(Table):
    """An option of a project's scope that an estimate takes or not; `choose_one` names the group it excludes."""

    __tablename__ = "alternates"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "project_id"], ["projects.club_id", "projects.id"]),
        UniqueConstraint("club_id", "project_id", "number"),
        UniqueConstraint("club_id", "project_id", "name"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    project_id: Mapped[UUID]
    number: Mapped[int]
    name: Mapped[str] = mapped_column(String(200))
    choose_one: Mapped[str | None] = mapped_column(String(200))
    note: Mapped[str] = mapped_column(String(2000))
    version: Mapped[int]


class AlternateScopeRow(Table):
    """A scope item that an alternate brings, or that it leaves out; it is not deleted while an alternate names it."""

    __tablename__ = "alternate_scope_items"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "alternate_id"], ["alternates.club_id", "alternates.id"]),
        ForeignKeyConstraint(["club_id", "scope_item_id"], ["scope_items.club_id", "scope_items.id"]),
        Index(None, "club_id", "scope_item_id"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    alternate_id: Mapped[UUID] = mapped_column(primary_key=True)
    scope_item_id: Mapped[UUID] = mapped_column(primary_key=True)
    brings: Mapped[bool]


class AlternateNeedRow(Table):
    """An alternate without which another makes no sense; it is not deleted while another needs it."""

    __tablename__ = "alternate_needs"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "alternate_id"], ["alternates.club_id", "alternates.id"]),
        ForeignKeyConstraint(["club_id", "needed_id"], ["alternates.club_id", "alternates.id"]),
        Index(None, "club_id", "needed_id"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    alternate_id: Mapped[UUID] = mapped_column(primary_key=True)
    needed_id: Mapped[UUID] = mapped_column(primary_key=True)


class EstimateRow(Table):
    """An estimate: one priced revision. What was priced is never changed, only its status."""

    __tablename__ = "estimates"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "project_id"], ["projects.club_id", "projects.id"]),
        ForeignKeyConstraint(["club_id", "edition_id"], ["editions.club_id", "editions.id"]),
        UniqueConstraint("club_id", "number", "revision"),
        Index(None, "club_id", "project_id"),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    project_id: Mapped[UUID]
    edition_id: Mapped[UUID]
    number: Mapped[int]
    revision: Mapped[int]
    revises: Mapped[UUID | None]
    superseded_by: Mapped[UUID | None]
    name: Mapped[str] = mapped_column(String(200))
    status: Mapped[str] = mapped_column(String(20))
    complete: Mapped[bool]
    currency: Mapped[str] = mapped_column(String(3))
    direct_minor: Mapped[int] = mapped_column(BigInteger)
    total_minor: Mapped[int] = mapped_column(BigInteger)
    cash_minor: Mapped[int] = mapped_column(BigInteger)
    line_count: Mapped[int]
    terms: Mapped[dict[str, Any]] = mapped_column(JSON_DOCUMENT)
    priced: Mapped[dict[str, Any]] = mapped_column(JSON_DOCUMENT)
    created_at: Mapped[datetime] = mapped_column(UtcTime)
    created_by: Mapped[str] = mapped_column(String(200))
    issued_at: Mapped[datetime | None] = mapped_column(UtcTime)
    issued_by: Mapped[str | None] = mapped_column(String(200))
    incomplete_because: Mapped[str | None] = mapped_column(String(2000))
    decided_at: Mapped[datetime | None] = mapped_column(UtcTime)
    decided_by: Mapped[str | None] = mapped_column(String(200))
    decision_note: Mapped[str | None] = mapped_column(String(2000))
    version: Mapped[int]


class EstimateLineRow(Table):
    """A printed line. The first line of a resource says how much of it is needed, however that is charged."""

    __tablename__ = "estimate_lines"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "estimate_id"], ["estimates.club_id", "estimates.id"]),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    estimate_id: Mapped[UUID] = mapped_column(primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    scope_item_id: Mapped[UUID]
    scope_item: Mapped[str] = mapped_column(String(200))
    group: Mapped[str | None] = mapped_column(String(200))
    resource: Mapped[int]
    part: Mapped[str] = mapped_column(String(20))
    item: Mapped[str] = mapped_column(String(60))
    item_kind: Mapped[str | None] = mapped_column(String(20))
    description: Mapped[str] = mapped_column(String(2000))
    vendor: Mapped[str | None] = mapped_column(String(200))
    account: Mapped[str | None] = mapped_column(String(60))
    taxable: Mapped[bool]
    quantity: Mapped[str | None] = mapped_column(String(30))
    unit: Mapped[str] = mapped_column(String(60))
    rounding_rule: Mapped[str] = mapped_column(String(200))
    price_micros: Mapped[int | None] = mapped_column(BigInteger)
    price_source: Mapped[str | None] = mapped_column(String(20))
    priced_on: Mapped[date | None]
    amount_minor: Mapped[int | None] = mapped_column(BigInteger)
    cash_minor: Mapped[int | None] = mapped_column(BigInteger)
    low_minor: Mapped[int | None] = mapped_column(BigInteger)
    high_minor: Mapped[int | None] = mapped_column(BigInteger)
    starts_on: Mapped[date]
    ends_on: Mapped[date]
    needed: Mapped[str | None] = mapped_column(String(30))
    needed_unit: Mapped[str | None] = mapped_column(String(60))
    shares: Mapped[list[Any]] = mapped_column(JSON_DOCUMENT)
    derivation: Mapped[list[Any]] = mapped_column(JSON_DOCUMENT)


class EstimateBasisRow(Table):
    """What an estimate rests on, as somebody wrote it down."""

    __tablename__ = "estimate_bases"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "estimate_id"], ["estimates.club_id", "estimates.id"]),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    estimate_id: Mapped[UUID] = mapped_column(primary_key=True)
    basis: Mapped[dict[str, Any]] = mapped_column(JSON_DOCUMENT)
    version: Mapped[int]


class UnplannedWorkRow(Table):
    """Work that nobody could plan, as it was described and priced, with the adjustment that pays for it."""

    __tablename__ = "unplanned_work"
    __table_args__ = (
        ForeignKeyConstraint(["club_id", "budget_id"], ["budgets.club_id", "budgets.id"]),
        ForeignKeyConstraint(
            ["club_id", "adjustment_id"], ["budget_adjustments.club_id", "budget_adjustments.id"]
        ),
    )

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    id: Mapped[UUID] = mapped_column(primary_key=True)
    budget_id: Mapped[UUID]
    adjustment_id: Mapped[UUID]
    priced: Mapped[dict[str, Any]] = mapped_column(JSON_DOCUMENT)
    created_at: Mapped[datetime] = mapped_column(UtcTime)
    created_by: Mapped[str] = mapped_column(String(200))


class ChosenPriceRow(Table):
    """An offer chosen for an item of a project; it takes the place of the catalog's price when the scope is priced.

    A unit price, a lump sum or rental terms, in the club's currency; `fixed_minor` is charged once for its quote.
    """

    __tablename__ = "chosen_prices"
    __table_args__ = (ForeignKeyConstraint(["club_id", "project_id"], ["projects.club_id", "projects.id"]),)

    club_id: Mapped[str] = mapped_column(CLUB, primary_key=True)
    project_id: Mapped[UUID] = mapped_column(primary_key=True)
    item: Mapped[str] = mapped_column(String(60), primary_key=True)
    quote_id: Mapped[UUID]
    quote_request: Mapped[str] = mapped_column(String(200))
    vendor_id: Mapped[UUID]
    vendor_name: Mapped[str] = mapped_column(String(200))
    unit: Mapped[str] = mapped_column(String(60))
    quantity: Mapped[str] = mapped_column(String(30))
    price_micros: Mapped[int | None] = mapped_column(BigInteger)
    lump_minor: Mapped[int | None] = mapped_column(BigInteger)
    fixed_minor: Mapped[int] = mapped_column(BigInteger)
    rental: Mapped[dict[str, Any] | None] = mapped_column(JSON_DOCUMENT)
    lump_holds_percent: Mapped[str] = mapped_column(String(30))
    scope_item_ids: Mapped[list[Any] | None] = mapped_column(JSON_DOCUMENT)
    received_on: Mapped[date]
    valid_until: Mapped[date | None]
    reference: Mapped[str] = mapped_column(String(2000))
    offers_compared: Mapped[int]
    reason: Mapped[str] = mapped_column(String(2000))
    chosen_by: Mapped[str] = mapped_column(String(200))
    chosen_on: Mapped[date]
