"""Client of the swardcost service, blocking and asynchronous.

>>> from swardcost import Client
>>> client = Client("http://127.0.0.1:8787", club="heron-mere", key="sward_heron-mere_...")

Requests and answers are the models of `swardcost_model`; errors are in `swardcost.errors`.
"""

from swardcost._async.client import AsyncClient
from swardcost._sync.client import Client
from swardcost.errors import (
    ApiError,
    Conflict,
    InvalidRequest,
    JobCancelled,
    JobError,
    JobFailed,
    NoAnswer,
    NotAllowed,
    NotDoneInTime,
    NotFound,
    ServiceFailed,
    StaleVersion,
    SwardcostError,
)
from swardcost.retries import Retries

__all__ = [
    "ApiError",
    "AsyncClient",
    "Client",
    "Conflict",
    "InvalidRequest",
    "JobCancelled",
    "JobError",
    "JobFailed",
    "NoAnswer",
    "NotAllowed",
    "NotDoneInTime",
    "NotFound",
    "Retries",
    "ServiceFailed",
    "StaleVersion",
    "SwardcostError",
]
