"""Health of the service."""

from typing import Literal

from swardcost_model.values import Answer


class Health(Answer):
    """A sign of life."""

    status: Literal["live", "ready"]
