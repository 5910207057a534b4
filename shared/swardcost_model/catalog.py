"""The catalog: vendors, and editions of priced items that estimates are priced with."""

from enum import StrEnum
from typing import Annotated
from uuid import UUID

from pydantic import AfterValidator, ConfigDict, Field, StringConstraints
from pydantic_core import PydanticCustomError

from swardcost_model.values import (
    Account,
    Answer,
    Currency,
    Day,
    Money,
    Name,
    Text,
    Timestamp,
    UnitName,
    Value,
)

WORDS_OF_PATHS = frozenset({"export", "upload"})
"""Words that follow `/items/` in the paths of the service, and so cannot be item codes."""


def _no_word_of_paths(code: str) -> str:
    if code in WORDS_OF_PATHS:
        raise PydanticCustomError("word_of_paths", "a code other than export and upload")
    return code


ItemCode = Annotated[
    str,
    StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9._-]*$", max_length=60),
    AfterValidator(_no_word_of_paths),
    Field(examples=["SAND-TD"]),
]
"""A code of the club's own that is also one segment of a path, so without slashes."""


class ItemKind(StrEnum):
    """What is paid for, which decides how it is priced."""

    MATERIAL = "material"
    SOD = "sod"
    CONTRACT = "contract"
    RENTAL = "rental"
    LABOR = "labor"
    OWNED_MACHINE = "owned_machine"
    FREIGHT = "freight"
    DISPOSAL = "disposal"
    FEE = "fee"


class PriceSource(StrEnum):
    """Where a price comes from, the firmest first."""

    CONTRACT = "contract"
    INVOICE = "invoice"
    QUOTE = "quote"
    ALLOWANCE = "allowance"
    ESTIMATE = "estimate"


class EditionStatus(StrEnum):
    """A draft can be changed; what is published stays as it is."""

    DRAFT = "draft"
    PUBLISHED = "published"


class VendorFields(Value):
    """What is known about a vendor."""

    name: Name = Field(examples=["Alder Creek Sand and Gravel"])
    phone: Name | None = None
    email: Name | None = None
    note: Text = ""


class NewVendor(VendorFields):
    """A vendor to be added. Names are unique within the club."""


class VendorChange(VendorFields):
    """The vendor as it should be from now on (all fields, not only those that change)."""


class Vendor(VendorFields):
    """Someone the club buys from."""

    model_config = ConfigDict(extra="ignore")

    id: UUID
    version: int


class EditionFields(Value):
    """What may be said about an edition while it is a draft."""

    name: Name = Field(examples=["Spring 2026"])
    price_date: Day = Field(description="The day that the prices hold for.")


class NewEdition(EditionFields):
    """A draft to be made: empty, or with the items of another edition of the club."""

    copy_of: UUID | None = Field(default=None, description="Edition whose items the draft starts with.")


class EditionChange(EditionFields):
    """The draft's name and date as they should be from now on."""


class Edition(EditionFields):
    """A state of the catalog. Once published, neither it nor its items change."""

    model_config = ConfigDict(extra="ignore")

    id: UUID
    status: EditionStatus
    currency: Currency
    created_at: Timestamp
    published_at: Timestamp | None
    version: int


class ItemFields(Value):
    """What an item is and costs."""

    kind: ItemKind
    description: Name = Field(examples=["Topdressing sand, washed, 0.25-1 mm"])
    unit: UnitName = Field(description="Unit that the price is for; listed at `GET /v1/units`.")
    unit_price: Money | None = Field(
        default=None,
        description="Price of one unit in the edition's currency; null where none is known, which is never "
        "read as zero.",
        examples=[{"amount": "38.50", "currency": "USD"}],
    )
    free: bool = Field(
        default=False, description="That it costs nothing; the price must then be zero, and only then may be."
    )
    taxable: bool = Field(description="Whether sales tax is charged on it.")
    account: Account | None = None
    vendor_id: UUID | None = None
    price_source: PriceSource | None = None
    priced_on: Day | None = Field(default=None, description="When the price was got.")
    valid_until: Day | None = Field(default=None, description="Last day on which the price holds.")
    note: Text = ""


class NewItem(ItemFields):
    """An item to be added to a draft. Codes are unique within an edition."""

    code: ItemCode


class ItemChange(ItemFields):
    """The item as it should be from now on (all fields, not only those that change)."""


class Item(ItemFields):
    """An item of an edition."""

    model_config = ConfigDict(extra="ignore")

    edition_id: UUID
    code: str
    vendor_name: str | None
    version: int


class EditionExport(Answer):
    """An edition with all its items, by code."""

    edition: Edition
    items: list[Item]


class ItemsPut(Answer):
    """What an upload of items did; items of the edition that the file does not name are left alone."""

    added: int
    replaced: int
    unchanged: int
