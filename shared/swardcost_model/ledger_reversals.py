"""Postings that take back earlier ones: proposed, and paired only when a person confirms it."""

from datetime import date
from typing import Annotated, Literal
from uuid import UUID

from pydantic import Field, StringConstraints

from swardcost_model.values import Answer, Money, Month, Request, Text, Timestamp

PostingId = Annotated[
    str, StringConstraints(max_length=50), Field(examples=["5d41402abc4b2a76b9719d911017c592-1"])
]
Reason = Annotated[Text, StringConstraints(min_length=1)]


class PairedPosting(Answer):
    """One side of a pair."""

    id: str
    posted_on: date
    month: Month
    amount: Money
    description: str
    vendor: str | None
    reference: str | None
    journal_id: str | None


class ReversalProposal(Answer):
    """A posting and a later one of the same account and exactly the opposite amount."""

    account: str
    original: PairedPosting
    reversal: PairedPosting
    days: int = Field(description="Days from the original to the reversal.")
    ties: list[Literal["reference", "journal_id", "words", "vendor"]] = Field(
        description="What ties the two: an equal reference, journal entry or vendor, or words such as void, reversal "
        "or correction in the later description."
    )


class ReversalProposals(Answer):
    """Pairs that may belong together, the best match first; a posting is in one of them at most."""

    found: int = Field(description="All pairs found, of which `items` are the first.")
    items: list[ReversalProposal]


class NewReversal(Request):
    """A pair to be confirmed. The reversal takes the assignment of its original from now on, its splits too."""

    original_id: PostingId
    reversal_id: PostingId
    reason: Reason = Field(examples=["Invoice T-101 was entered twice and taken back"])


class Reversal(Answer):
    """A confirmed pair."""

    id: UUID
    account: str
    original: PairedPosting
    reversal: PairedPosting
    days: int
    reason: str
    confirmed_at: Timestamp
    confirmed_by: str


class UndoneReversal(Request):
    """Why a pair is no longer one; the reversal gets back the assignment that it had before."""

    reason: Reason
