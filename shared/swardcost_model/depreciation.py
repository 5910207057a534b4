"""Straight-line depreciation for the accounts: of the assets in the books, and of what a capital plan adds to them."""

from datetime import date
from typing import Literal
from uuid import UUID

from pydantic import Field

from swardcost_model.figures import DerivationStep
from swardcost_model.values import Answer, Money

Convention = Literal["full_month", "half_year", "full_year"]
"""How much of its first year a thing is depreciated for: from its month on, half of the year, or all of it."""


class BookYear(Answer):
    """A year in the books: opening + added - depreciation - written_off - disposed = closing."""

    year: int
    opening: Money
    added: Money
    depreciation: Money
    written_off: Money = Field(
        description="What was left above the salvage value of what is replaced in the year."
    )
    disposed: Money = Field(description="The salvage value of what is replaced in the year.")
    closing: Money
    accumulated: Money = Field(
        description="Depreciation up to the end of the year of what is in the books then: their cost less closing."
    )


class DepreciatedItem(Answer):
    """An asset in the books, or a project of a plan that adds to them."""

    asset_id: UUID | None
    plan_project_id: UUID | None
    name: str
    cost: Money
    salvage: Money
    in_service_on: date
    life_years: int
    replaced_in: int | None = Field(description="Year in which a dated project of the plan replaces it.")
    years: list[BookYear]
    derivation: list[DerivationStep]


class DepreciationSchedule(Answer):
    """Depreciation by item and year."""

    first_year: int
    last_year: int
    convention: Convention
    items: list[DepreciatedItem]
    totals: list[BookYear]
    left_out: list[str] = Field(description="What is in no sum, and why.")
    method: list[str]
