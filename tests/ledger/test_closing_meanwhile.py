"""Closing a month while others post and assign: whoever comes first is seen by the other."""

import io
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import closing, contextmanager
from typing import Any
from uuid import UUID

import pytest
from conftest import Api
from ledger_factories import HEADER, a_budget, postings
from month_factories import a_row, act, posted, state_what_is_posted, the_posting
from swardcost_api.ledger.importing import ImportOrder, ReadExport, post_export, read_export
from swardcost_api.ledger.months import close_month
from swardcost_api.operations import CSV
from swardcost_api.storage.work import OPERATOR, Transactions, UnitOfWork
from swardcost_model.ledger_months import Closing
from swardcost_model.problems import ProblemError

MARCH = "2024-03"
ACCEPTED = Closing(accept_unassigned="Not of the project")
HELD_SECONDS = 0.3


def transactions(api: Api) -> Transactions:
    return Transactions(api.database, api.club, OPERATOR)


@contextmanager
def read(api: Api, *rows: str) -> Iterator[ReadExport]:
    """An export as it is read, before it is posted."""
    profile = api.get("/ledger/profiles").json()["items"][0]["id"]
    order = ImportOrder(profile_id=UUID(profile), filename="", media_type=CSV)
    file = io.BytesIO((HEADER + "".join(rows)).encode())
    with closing(read_export(transactions(api), file, order)) as export:
        yield export


def while_held(
    api: Api, export: ReadExport | None, first: Callable[[UnitOfWork], Any], other: Callable[[], Any]
) -> Future[Any]:
    """Do the first thing, hold it before it is committed, and see that the other waits until it is."""
    started = threading.Event()

    def run() -> Any:
        started.set()
        return other()

    with ThreadPoolExecutor(1) as pool:
        with transactions(api).writing(export.connection if export is not None else None) as work:
            first(work)
            future = pool.submit(run)
            started.wait()
            with pytest.raises(TimeoutError):
                future.result(HELD_SECONDS)
        future.exception(30)
    return future


def shut(api: Api) -> Any:
    with transactions(api).writing() as work:
        return close_month(work, MARCH, ACCEPTED)


def test_a_row_that_is_being_posted_is_seen_by_the_closing_that_waits_for_it(api: Api) -> None:
    posted(api, a_row("2024-03-05", "10.00"))
    state_what_is_posted(api, MARCH)
    with read(api, a_row("2024-03-06", "1.00", "Slow")) as export:
        done = while_held(api, export, lambda work: post_export(work, export), lambda: shut(api))
    refusal = done.exception()
    assert isinstance(refusal, ProblemError)
    assert [one["difference"]["amount"] for one in refusal.more["differences"]] == ["1.00"]
    assert api.get(f"/ledger/months/{MARCH}").json()["status"] == "open"
    assert len(postings(api, month=MARCH)) == 2


def test_a_row_that_comes_while_its_month_is_being_closed_is_late(api: Api) -> None:
    posted(api, a_row("2024-03-05", "10.00"))
    state_what_is_posted(api, MARCH)
    with read(api, a_row("2024-03-06", "1.00", "Slow")) as export:

        def post() -> Any:
            with transactions(api).writing(export.connection) as work:
                return post_export(work, export)

        done = while_held(api, None, lambda work: close_month(work, MARCH, ACCEPTED), post)
    assert done.result().rows_late == 1
    assert [(one["month"], one["late"]) for one in postings(api, text="Slow")] == [("2024-04", True)]
    month = api.get(f"/ledger/months/{MARCH}").json()
    assert (month["postings"], month["status"], month["unchanged"]) == (1, "closed", True)


def test_a_posting_of_a_month_that_is_being_closed_is_not_assigned(api: Api) -> None:
    _, (sand, _) = a_budget(api)
    posted(api, a_row("2024-03-05", "10.00"))
    state_what_is_posted(api, MARCH)
    posting = the_posting(api, "Sand")
    done = while_held(
        api, None, lambda work: close_month(work, MARCH, ACCEPTED),
        lambda: act(api, posting, "assign", budget_line_id=sand),
    )  # fmt: skip
    assert done.result().json()["type"] == "/problems/wrong-state"
    assert the_posting(api, "Sand") == posting
    assert api.get(f"/ledger/months/{MARCH}").json()["unchanged"]
