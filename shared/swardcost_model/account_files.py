"""Files for the club's accounts: budget, accruals and commitments in a layout that the club defines."""

from typing import Annotated, Literal, Self
from uuid import UUID

from pydantic import ConfigDict, Field, StringConstraints, model_validator
from pydantic_core import PydanticCustomError

from swardcost_model.ledger_profiles import ColumnName, DateFormat, DecimalMark, Delimiter, SignConvention
from swardcost_model.values import Answer, Money, Month, Name, Value

AccountContent = Literal["budget", "accruals", "commitments"]
AccountField = Literal["account", "amount", "date", "month", "description", "line", "budget", "kind", "vendor",
                       "commitment", "debit", "credit", "currency", "text"]  # fmt: skip
AccountEncoding = Literal["utf-8", "utf-16", "windows-1252"]
MonthForm = Literal["YYYY-MM", "MM/YYYY", "YYYYMM", "MM"]

FIELDS_OF: dict[AccountContent, frozenset[str]] = {
    "budget": frozenset(
        {"account", "amount", "debit", "credit", "date", "month", "budget", "currency", "text", "description", "line"}
    ),
    "accruals": frozenset(
        {"account", "amount", "debit", "credit", "date", "month", "budget", "currency", "text", "description", "line",
         "kind", "vendor", "commitment"}
    ),
    "commitments": frozenset(
        {"account", "amount", "debit", "credit", "date", "month", "budget", "currency", "text", "description", "line",
         "vendor", "commitment"}
    ),
}  # fmt: skip
"""What a row of each content can say."""


class LayoutColumn(Value):
    """A column: its header, and the field that fills it, or a text that stands in every row."""

    header: ColumnName
    field: AccountField
    text: Annotated[str, StringConstraints(max_length=200)] | None = Field(
        default=None, description="With the field `text`: what stands in every row."
    )

    @model_validator(mode="after")
    def _text_belongs_to_text(self) -> Self:
        if (self.field == "text") != (self.text is not None):
            raise PydanticCustomError("text", "`text` with the field `text`, and with no other")
        return self


class LayoutFields(Value):
    """How a file for the accounts is laid out.

    The budget has a row for each account and month, or, with the column `line`, for each budget line and month;
    accruals one for each balance at the end of the month; commitments one for each ordered line that is open.
    """

    name: Name = Field(examples=["Budget upload"])
    content: AccountContent
    columns: list[LayoutColumn] = Field(min_length=2, max_length=40)
    delimiter: Delimiter = ","
    encoding: AccountEncoding = "utf-8"
    decimal_mark: DecimalMark = "."
    date_format: DateFormat = "YYYY-MM-DD"
    month_format: MonthForm = "YYYY-MM"
    sign: SignConvention = Field(
        default="debits_positive", description="What a positive number in the `amount` column is."
    )
    header: bool = Field(default=True, description="Whether the first line names the columns.")
    reverse_next_month: bool = Field(
        default=False,
        description="Accruals: each row again on the first day of the next month, with the opposite sign.",
    )

    @model_validator(mode="after")
    def _says_what_it_must(self) -> Self:
        fields = [column.field for column in self.columns]
        unknown = sorted(set(fields) - FIELDS_OF[self.content])
        if unknown:
            raise PydanticCustomError(
                "fields", "fields of {content}, not {unknown}",
                {"content": self.content, "unknown": ", ".join(unknown)},
            )  # fmt: skip
        one_way = ("amount" in fields) != ("debit" in fields and "credit" in fields)
        if "account" not in fields or not one_way or ("debit" in fields) != ("credit" in fields):
            raise PydanticCustomError("fields", "`account`, and either `amount` or both `debit` and `credit`")
        if self.content != "commitments" and not {"date", "month"} & set(fields):
            raise PydanticCustomError("fields", "`month` or `date`")
        if self.reverse_next_month and self.content != "accruals":
            raise PydanticCustomError("reverse", "`reverse_next_month` for accruals alone")
        if self.sign == "credits_positive" and "amount" not in fields:
            raise PydanticCustomError("sign", "`debits_positive` where columns say which are debits")
        headers = [column.header.casefold() for column in self.columns]
        if len(set(headers)) != len(headers):
            raise PydanticCustomError("headers", "a different header for each column")
        return self


class NewLayout(LayoutFields):
    """A layout to be saved. Names are unique within a club."""


class LayoutChange(LayoutFields):
    """The layout as it should be from now on (all fields)."""


class Layout(LayoutFields):
    """A saved layout."""

    model_config = ConfigDict(extra="ignore")

    id: UUID
    version: int


class AccountFile(Answer):
    """A file for the accounts: its header (empty where the layout wants none), its rows, and what they add up to."""

    layout: Layout
    budget_id: UUID
    through: Month
    header: list[str]
    rows: list[list[str]]
    debits: Money
    credits: Money
    without_account: Money = Field(
        description="Money left out because its budget line has no account; zero when everything is in the file."
    )
