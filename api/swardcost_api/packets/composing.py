"""What the composers of packets are given and give."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from swardcost_model.access import Club
from swardcost_model.packets import NewPacket

from swardcost_api.packets.document import Part
from swardcost_api.packets.formatter import Formatter
from swardcost_api.packets.wording import Words
from swardcost_api.storage.work import UnitOfWork


@dataclass(frozen=True)
class Writing:
    """In what language and units a packet is written, for which club, and what its readers are asked to decide."""

    club: Club
    format: Formatter
    decision_asked: str

    @property
    def words(self) -> Words:
        """The words of its language."""
        return self.format.words


@dataclass(frozen=True, slots=True)
class Content:
    """What a packet tells, before it is put into the form of a document."""

    title: str
    subtitle: str
    parts: tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class Composer:
    """How packets of a kind are made: `read` in a transaction, `compose` after it."""

    read: Callable[[UnitOfWork, NewPacket], Any]
    compose: Callable[[Any, Writing], Content]
