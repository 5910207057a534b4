"""How accounting exports are laid out: import profiles.

An amount is positive for a debit and negative for a credit.
"""

import datetime
from typing import Annotated, Literal, Self
from uuid import UUID

from pydantic import AfterValidator, ConfigDict, Field, StringConstraints, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.values import Answer, Money, Name, Value

MAX_AMOUNT_MINOR = 10**12
"""Largest amount of one posting, in minor units; sums of millions of postings stay within 64 bits."""

MAX_LENGTH = {"account": 60, "description": 2000, "vendor": 300, "reference": 200, "journal_id": 100,
              "journal_line": 40, "project": 60}  # fmt: skip
"""Characters that the text fields of a posting may have."""

DateFormat = Literal["YYYY-MM-DD", "YYYY/MM/DD", "YYYY.MM.DD", "YYYYMMDD", "MM/DD/YYYY", "MM-DD-YYYY", "DD/MM/YYYY",
                     "DD-MM-YYYY", "DD.MM.YYYY"]  # fmt: skip
"""How dates are written; day and month may have one digit where a mark separates them."""
DecimalMark = Literal[".", ","]
ThousandsMark = Literal["any", "none", ",", ".", " ", "'"]
"""What groups thousands; `any` takes every usual mark that is not the decimal one."""
FillDown = Literal["date", "account", "vendor", "reference", "journal_id"]
"""What a row may leave blank when it is the same as in the row above."""
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
    project: ColumnName | None = Field(default=None, description="Column of project, job or cost codes.")
    currency: ColumnName | None = Field(
        default=None,
        description="Column of ISO 4217 codes; every row must be in the club's currency. Without it, rows are "
        "taken to be in that currency.",
    )

    balance: ColumnName | None = Field(
        default=None,
        description="Column of the running balance, debit positive: the last of each account is kept as the balance "
        "that the file states, and an opening balance is read from it.",
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


class RowTest(Value):
    """Rows that are told by one column: its cell is blank, or begins with one of these texts in any letter case."""

    column: ColumnName
    blank: bool = False
    begins_with: list[Name] = Field(default_factory=list, max_length=20, examples=[["Total", "Subtotal"]])

    @model_validator(mode="after")
    def _tests_something(self) -> Self:
        if self.blank == bool(self.begins_with):
            raise PydanticCustomError("row_test", "either `blank` or texts in `begins_with`")
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
    thousands_mark: ThousandsMark = Field(
        default="any", description="What groups thousands; another mark is then a fault."
    )
    sheet: Name | None = Field(
        default=None, description="Sheet of a workbook (.xlsx); without it, the first one."
    )
    fill_down: list[FillDown] = Field(
        default_factory=list,
        max_length=5,
        description="Where one of these is blank, it is that of the row above, headings and subtotals included.",
    )
    skip_rows: list[RowTest] = Field(
        default_factory=list,
        max_length=20,
        description="Rows that are no postings, such as subtotals and headings: those that pass any of these tests. "
        "They are counted.",
    )
    opening_balances: list[RowTest] = Field(
        default_factory=list,
        max_length=20,
        description="Rows that state an account's opening balance: kept with the import's control totals, not posted.",
    )

    @model_validator(mode="after")
    def _sign_belongs_to_a_signed_amount(self) -> Self:
        signed = self.columns.amount is not None and self.columns.debit_or_credit is None
        if self.sign == "credits_positive" and not signed:
            raise PydanticCustomError(
                "sign", "`debits_positive` where columns say which amounts are debits and which credits"
            )
        return self

    @model_validator(mode="after")
    def _marks_differ(self) -> Self:
        if self.thousands_mark == self.decimal_mark:
            raise PydanticCustomError("marks", "`thousands_mark` other than `decimal_mark`")
        return self

    @model_validator(mode="after")
    def _fills_columns_that_there_are(self) -> Self:
        absent = [one for one in self.fill_down if getattr(self.columns, one) is None]
        if absent or len(set(self.fill_down)) != len(self.fill_down):
            raise PydanticCustomError("fill_down", "each mapped column at most once in `fill_down`")
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


class ReadyProfiles(Answer):
    """Profiles for published or usual layouts, to be saved as they are or changed first."""

    items: list[ProfileFields]


class ColumnProposal(Answer):
    """What a column of a sample seems to hold."""

    column: str
    meaning: str | None = Field(
        description="The field of `columns` that it fills, or null where it is not used."
    )
    why: str
    cells: list[str] = Field(description="Its first cells.")


class CellReading(Answer):
    """Something in a row of a sample that cannot be read as the proposed profile says."""

    column: str | None
    expected: str
    got: str | None


class SampleRow(Answer):
    """A row of the sample as the proposed profile reads it."""

    row: int = Field(description="Row of the file, as a spreadsheet counts.")
    kind: Literal["posting", "skipped", "opening_balance", "fault"]
    posted_on: datetime.date | None = None
    account: str | None = None
    description: str | None = None
    amount: Money | None = Field(default=None, description="Above zero for a debit, below for a credit.")
    faults: list[CellReading] = Field(default_factory=list)


class ProfileProposal(Answer):
    """A profile proposed from a sample: nothing is saved. Read the doubts and rows, change it, then save it."""

    profile: ProfileFields | None = Field(
        description="Null where columns are missing that every profile needs."
    )
    missing: list[str] = Field(description="What no column was found for.")
    columns: list[ColumnProposal]
    rows: list[SampleRow] = Field(description="The first rows, as the profile reads them.")
    rows_read: int = Field(description="Rows of the sample that were tried.")
    rows_at_fault: int
    doubts: list[str] = Field(description="What could be read in another way, and what was taken.")


class ControlTotal(Answer):
    """What an import's file says of one account, and what its rows add up to."""

    account: str
    rows: int = Field(description="Good rows of the file, posted or known before.")
    debits: Money
    credits: Money
    movement: Money = Field(description="Debits less credits.")
    opening: Money | None = Field(description="The opening balance that the file states.")
    closing: Money | None = Field(description="The last balance that the file states.")
    difference: Money | None = Field(
        description="Closing less opening less movement: other than zero, rows are missing or too many. Null where "
        "the file does not state both balances."
    )


class ControlTotals(Answer):
    """The control totals of an import, account by account; they sum to those of the import."""

    import_id: UUID
    items: list[ControlTotal]
    rows: int
    debits: Money
    credits: Money
    rows_skipped: int = Field(description="Rows that the profile skips, such as subtotals.")
    opening_balances: int = Field(description="Rows that stated an opening balance.")
