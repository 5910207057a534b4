"""The catalog: vendors, and editions of priced items that estimates are priced with."""

from enum import StrEnum
from typing import Annotated
from uuid import UUID

from pydantic import AfterValidator, ConfigDict, Field, StringConstraints
from pydantic_core import PydanticCustomError

from swardcost_model.figures import DerivationStep
from swardcost_model.price_terms import Terms, VendorTermsFields
from swardcost_model.values import (
    Account,
    Answer,
    Code,
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
    """A draft to be made: empty, or with the items and vendors' terms of another edition of the club."""

    copy_of: UUID | None = Field(
        default=None, description="Edition whose items and vendors' terms the draft starts with."
    )


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
    currency: Currency | None = Field(
        default=None,
        description="Currency of the prices and of all money in the terms. If absent, that of the unit price, else "
        "the edition's. Another than the edition's only where the vendor's terms in this edition say it, with a rate.",
    )
    unit_price: Money | None = Field(
        default=None,
        description="Price of one unit; null where none is known, which is never read as zero, and with rental "
        "terms. Of a build-up it is what that comes to, and need not be stated.",
        examples=[{"amount": "38.50", "currency": "USD"}],
    )
    low_price: Money | None = Field(
        default=None, description="What it costs at the least; with a unit price only."
    )
    high_price: Money | None = Field(
        default=None, description="What it costs at the most; with a unit price only."
    )
    free: bool = Field(
        default=False, description="That it costs nothing; the price must then be zero, and only then may be."
    )
    taxable: bool = Field(description="Whether sales tax is charged on it.")
    tax_class: Code = Field(
        default="standard",
        description="Which of a place's tax rates applies where it is taxable: a word of the club's own.",
    )
    in_operating_budget: bool = Field(
        default=False,
        description="Whether the operating budget pays for it already, so that it costs no further cash. A build-up "
        "of own staff or of an owned machine says this by itself.",
    )
    account: Account | None = None
    vendor_id: UUID | None = None
    price_source: PriceSource | None = None
    priced_on: Day | None = Field(default=None, description="When the price was got.")
    valid_from: Day | None = Field(default=None, description="First day on which the price holds.")
    valid_until: Day | None = Field(default=None, description="Last day on which the price holds.")
    reference: Text = Field(
        default="", description="Where the price can be looked up: the name of a file, or the number of a document.",
        examples=["quotes/2026-02 sand.pdf"],
    )  # fmt: skip
    terms: Terms | None = Field(
        default=None,
        description="Breaks, minimums, delivery and surcharges; or rental terms; or the build-up of an hourly rate, "
        "which then is the unit price.",
    )
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
    currency: Currency
    vendor_name: str | None
    version: int


class RateElement(Answer):
    """One element of an hourly rate, such as wages, burden, depreciation or fuel."""

    name: str
    amount: Money = Field(description="For an hour, in full.")
    cash: Money = Field(description="The part of it that is beyond the operating budget.")


class ItemRate(Answer):
    """How an item's hourly rate is built up."""

    edition_id: UUID
    code: str
    unit_price: Money = Field(description="What an hour costs in full; the elements add up to it.")
    cash_price: Money = Field(description="What an hour costs beyond the operating budget; the same way.")
    elements: list[RateElement]
    derivation: list[DerivationStep]


class NewVendorTerms(VendorTermsFields):
    """A vendor's terms to be added to a draft; a vendor has one set of terms in an edition."""

    vendor_id: UUID


class VendorTermsChange(VendorTermsFields):
    """A vendor's terms in a draft as they should be from now on (all fields, not only those that change)."""


class VendorTerms(VendorTermsFields):
    """What holds for all of a vendor's items in an edition."""

    model_config = ConfigDict(extra="ignore")

    edition_id: UUID
    vendor_id: UUID
    vendor_name: str
    version: int


class EditionExport(Answer):
    """An edition with all its items, by code, and what holds for their vendors, by name."""

    edition: Edition
    items: list[Item]
    vendor_terms: list[VendorTerms]


class ItemsPut(Answer):
    """What an upload of items did; items of the edition that the file does not name are left alone."""

    added: int
    replaced: int
    unchanged: int
