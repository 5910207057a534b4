"""What every part of an estimate packet or a work report is told with: its facts, its language, and the steps behind
its figures."""

from swardcost_api.packets.document import Given
from swardcost_api.packets.estimate.facts import EstimateFacts
from swardcost_api.packets.telling import Told
from swardcost_api.packets.values import Value

Telling = Told[EstimateFacts]


def given(name: str, value: Value) -> Given:
    """An input of a step."""
    return Given(name, value)
