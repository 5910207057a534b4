"""Clubs, keys and the audit trail."""

from enum import StrEnum
from typing import Annotated, Any, Literal
from uuid import UUID

from pydantic import Field, StringConstraints

from swardcost_model.values import Answer, ClubId, Currency, Name, Request, Timestamp

UnitSystem = Literal["us_customary", "metric"]
Ton = Literal["short_ton", "metric_ton", "long_ton"]

Locale = Annotated[str, StringConstraints(pattern=r"^[a-z]{2,3}(-[A-Z]{2})?$"), Field(examples=["en-US"])]


class Role(StrEnum):
    """What a key may do; every role may read its club."""

    OWNER = "owner"
    SUPERINTENDENT = "superintendent"
    CONTROLLER = "controller"
    COMMITTEE = "committee"
    INTEGRATOR = "integrator"


class Club(Answer):
    """A club and the conventions of its books."""

    id: ClubId
    name: str
    currency: Currency
    locale: str
    unit_system: UnitSystem
    ton: Ton
    created_at: Timestamp
    version: int


class ClubChange(Request):
    """What may be changed about a club; its currency may not, once there are books in it."""

    name: Name | None = None
    locale: Locale | None = None
    unit_system: UnitSystem | None = None
    ton: Ton | None = None


class NewKey(Request):
    """A key to be made: who will use it, its role and for how many days it is valid."""

    name: Name = Field(examples=["Finance committee, spring packet"])
    role: Role
    valid_days: int = Field(default=365, ge=1, le=3650)


class Key(Answer):
    """A key as the service knows it; the secret itself is not kept."""

    id: UUID
    name: str
    role: Role
    created_at: Timestamp
    expires_at: Timestamp
    revoked_at: Timestamp | None


class IssuedKey(Key):
    """A new key with its secret, shown this once."""

    secret: str = Field(description="The bearer key. It is shown once and stored only as a hash.")


class AuditEntry(Answer):
    """One change: who, when, what, before and after."""

    id: UUID
    at: Timestamp
    key_id: UUID | None
    actor: str
    action: str
    subject: str
    subject_id: str
    before: dict[str, Any] | None
    after: dict[str, Any] | None
