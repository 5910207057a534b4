"""Rates that others publish and estimates rest on: sales tax by place, exemption certificates, price indices."""

from typing import Self
from uuid import UUID

from pydantic import ConfigDict, Field, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.values import Code, Day, Month, Name, Percent, Positive, Text, Value


def _in_order(valid_from: Day | None, valid_until: Day | None) -> None:
    if valid_from and valid_until and valid_until < valid_from:
        raise PydanticCustomError("dates_reversed", "valid_until on or after valid_from")


class TaxRateFields(Value):
    """What a place charges on a class of things, between two days."""

    place: Name = Field(description="Place as the club names it.", examples=["Harrow County"])
    tax_class: Code = Field(default="standard", description="Class of taxed things; items name theirs.")
    percent: Percent = Field(examples=["7.25"])
    valid_from: Day
    valid_until: Day | None = Field(default=None, description="Last day; null while no end is known.")
    source: Name = Field(
        description="Where the rate is published.", examples=["State rate table, January 2026"]
    )

    @model_validator(mode="after")
    def _days_in_order(self) -> Self:
        _in_order(self.valid_from, self.valid_until)
        return self


class NewTaxRate(TaxRateFields):
    """A rate to be added. A place has one rate for a class on any day."""


class TaxRateChange(TaxRateFields):
    """The rate as it should be from now on. Estimates already made keep the one they used."""


class TaxRate(TaxRateFields):
    """A tax rate."""

    model_config = ConfigDict(extra="ignore")

    id: UUID
    version: int


class ExemptionFields(Value):
    """A certificate that frees the club from tax."""

    number: Name = Field(description="Number of the certificate.", examples=["EX-20-4471"])
    place: Name | None = Field(default=None, description="Place where it holds; null for all.")
    tax_classes: list[Code] = Field(
        default_factory=list, max_length=50, description="Classes that it frees; none named means all."
    )
    valid_from: Day
    valid_until: Day | None = None
    note: Text = ""

    @model_validator(mode="after")
    def _days_in_order(self) -> Self:
        _in_order(self.valid_from, self.valid_until)
        return self


class NewExemption(ExemptionFields):
    """A certificate to be added. Numbers are unique within the club."""


class ExemptionChange(ExemptionFields):
    """The certificate as it should be from now on."""


class Exemption(ExemptionFields):
    """An exemption certificate."""

    model_config = ConfigDict(extra="ignore")

    id: UUID
    version: int


class IndexValue(Value):
    """The index of a month."""

    month: Month
    value: Positive = Field(examples=["238.4"])


class IndexSeriesFields(Value):
    """A price index as its publisher gives it, with expected values for months to come if the club enters them."""

    name: Name = Field(examples=["Heavy construction, inputs"])
    source: Name = Field(examples=["National statistics office, table 12, read 2026-02-01"])
    values: list[IndexValue] = Field(min_length=1, max_length=1200)
    note: Text = ""

    @model_validator(mode="after")
    def _each_month_once(self) -> Self:
        seen: set[str] = set()
        for one in self.values:
            if one.month in seen:
                raise PydanticCustomError(
                    "month_twice", "each month once; {month} comes twice", {"month": one.month}
                )
            seen.add(one.month)
        return self


class NewIndexSeries(IndexSeriesFields):
    """A series to be added. Names are unique within the club."""


class IndexSeriesChange(IndexSeriesFields):
    """The series as it should be from now on. Estimates already made keep the values they used."""


class IndexSeries(IndexSeriesFields):
    """A price index."""

    model_config = ConfigDict(extra="ignore")

    id: UUID
    version: int
