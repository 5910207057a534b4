"""What every part of an estimate packet or a work report is told with: its facts, its language, and the steps behind
its figures."""

from decimal import ROUND_HALF_UP, Decimal

from swardcost_model.values import plain

from swardcost_api.packets.document import Given
from swardcost_api.packets.estimate.facts import EstimateFacts
from swardcost_api.packets.telling import Told
from swardcost_api.packets.values import Share, Value

Telling = Told[EstimateFacts]


def share(percent: Decimal) -> Share:
    """A share in percent, with no more decimals than it needs."""
    normal = percent.normalize()
    return Share(Decimal(plain(normal)))


def one_place(number: Decimal) -> Decimal:
    """A number rounded half up to a tenth."""
    return number.quantize(Decimal("0.1"), ROUND_HALF_UP)


def given(name: str, value: Value) -> Given:
    """An input of a step."""
    return Given(name, value)
