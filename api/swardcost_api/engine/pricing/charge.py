"""A charge: one printed line of what is bought. Whatever is bought is the sum of its charges."""

from dataclasses import dataclass, field
from decimal import Decimal

from swardcost_model.estimates import LinePart

from swardcost_api.engine.derivation import Derivation

Part = LinePart
"""What a charge is for: it becomes a line of an estimate."""


@dataclass(frozen=True, slots=True)
class Charge:
    """A printed line: `quantity` x `price`, rounded half up to the minor unit, is the amount.

    `words` say what it is beside the item's description ("Delivery, 9 loads"); empty for the plain price.
    `quantity` is in `unit`; `price` is for one `unit` in the major unit of the currency.
    """

    part: Part
    words: str
    quantity: Decimal
    unit: str
    rounding: str
    price: Decimal
    amount_minor: int
    steps: Derivation = field(repr=False, compare=False)
