"""How accounting exports are laid out: import profiles.

An amount is positive for a debit and negative for a credit.
"""

from typing import Annotated, Literal, Self
from uuid import UUID

from pydantic import AfterValidator, ConfigDict, Field, StringConstraints, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.values import Name, Value

MAX_AMOUNT_MINOR = 10**12
"""Largest amount of one posting, in minor units; sums of millions of postings stay within 64 bits."""

MAX_LENGTH = {"account": 60, "description": 2000, "vendor": 300, "reference": 200, "journal_id": 100,
              "journal_line": 40}  # fmt: skip
"""Characters that the text fields of a posting may have."""

DateFormat = Literal["YYYY-MM-DD", "YYYY/MM/DD", "YYYY.MM.DD", "YYYYMMDD", "MM/DD/YYYY", "MM-DD-YYYY", "DD/MM/YYYY",
                     "DD-MM-YYYY", "DD.MM.YYYY"]  # fmt: skip
"""How dates are written; day and month may have one digit where a mark separates them."""
DecimalMark = Literal[".", ","]
SignConvention = Literal["debits_positive", "credits_positive"]
Delimiter = Literal[",", ";", "\t", "|"]
Encoding = Literal[
    "utf-8", "utf-16", "windows-1252", "windows-1250", "iso-8859-1", "iso-8859-15", "macintosh"
]


def clean_column(value: str) -> str:
    if not value.isprintable():
        raise PydanticCustomError("unprintable", "a column name of printable characters")
    return value


ColumnName = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1, max_length=200),
    AfterValidator(clean_column),
    Field(examples=["Effective_Date"]),
]
"""A column as the header row of the export names it; letter case does not matter."""


class MappedColumns(Value):
    """Which column of the export holds what.

    The amount comes in exactly one way: as `amount` (signed, or unsigned with `debit_or_credit`), or
    as `debit` and `credit`.
    """

    date: ColumnName
    account: ColumnName
    description: ColumnName
    amount: ColumnName | None = None
    debit_or_credit: ColumnName | None = Field(
        default=None, description="Column that says D or C (also DR, CR, debit, credit) of the amount."
    )
    debit: ColumnName | None = None
    credit: ColumnName | None = None
    vendor: ColumnName | None = None
    reference: ColumnName | None = None
    journal_id: ColumnName | None = None
    journal_line: ColumnName | None = None
    currency: ColumnName | None = Field(
        default=None,
        description="Column of ISO 4217 codes; every row must be in the club's currency. Without it, rows are "
        "taken to be in that currency.",
    )

    @model_validator(mode="after")
    def _amount_comes_in_one_way(self) -> Self:
        pair = (self.debit, self.credit)
        one_way = pair == (None, None) if self.amount is not None else None not in pair
        if not one_way or (self.debit_or_credit is not None and self.amount is None):
            raise PydanticCustomError(
                "amount_columns",
                "either `amount` (perhaps with `debit_or_credit`) or both `debit` and `credit`",
            )
        if self.debit is not None and self.debit == self.credit:
            raise PydanticCustomError("amount_columns", "different columns for `debit` and `credit`")
        return self


class ProfileFields(Value):
    """How an export is laid out. An amount in parentheses, or with a minus at either end, is negative."""

    name: Name = Field(examples=["General ledger detail"])
    columns: MappedColumns
    date_format: DateFormat = "YYYY-MM-DD"
    decimal_mark: DecimalMark = "."
    sign: SignConvention = Field(
        default="debits_positive",
        description="What a positive number in the `amount` column is; with other columns, `debits_positive`.",
    )
    delimiter: Delimiter = ","
    encoding: Encoding = "utf-8"
    header_row: int = Field(
        default=1, ge=1, le=1000, description="Line of the header; those above are skipped."
    )

    @model_validator(mode="after")
    def _sign_belongs_to_a_signed_amount(self) -> Self:
        signed = self.columns.amount is not None and self.columns.debit_or_credit is None
        if self.sign == "credits_positive" and not signed:
            raise PydanticCustomError(
                "sign", "`debits_positive` where columns say which amounts are debits and which credits"
            )
        return self


class NewProfile(ProfileFields):
    """An import profile to be saved. Names are unique within a club."""


class ProfileChange(ProfileFields):
    """The profile as it should be from now on (all fields). Earlier imports stay as they are."""


class Profile(ProfileFields):
    """A saved import profile."""

    model_config = ConfigDict(extra="ignore")

    id: UUID
    version: int
