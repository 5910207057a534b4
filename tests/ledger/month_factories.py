"""Exports of past months, and what it takes to split, pair and close, for the tests of the ledger."""

from decimal import Decimal
from typing import Any

import httpx
from conftest import Api
from ledger_factories import COLUMNS, HEADER, a_profile, imported, postings

Document = dict[str, Any]
WITH_PROJECT = HEADER.rstrip() + ",project\r\n"
WHY = "As agreed with the superintendent"


def a_row(
    day: str, amount: str, text: str = "Sand", account: str = "6410", vendor: str = "", reference: str = ""
) -> str:
    return f"{day},{account},{text},{amount},{vendor},{reference}\r\n"


def posted(api: Api, *rows: str) -> Document:
    """Import an export of these rows."""
    profiles = api.get("/ledger/profiles").json()["items"]
    profile = profiles[0]["id"] if profiles else a_profile(api)
    return imported(api, profile, HEADER + "".join(rows))


def posted_with_projects(api: Api, *rows: str) -> Document:
    """Import an export of these rows, each with a project code at its end."""
    profile = a_profile(api, "With projects", columns=COLUMNS | {"project": "project"})
    return imported(api, profile, WITH_PROJECT + "".join(rows))


def the_posting(api: Api, text: str) -> Document:
    """The only posting with this in its description."""
    (found,) = postings(api, text=text)
    return found


def act(api: Api, posting: Document, action: str, **body: Any) -> httpx.Response:
    return api.post(f"/ledger/postings/{posting['id']}/{action}", json={"reason": WHY} | body)


def acted(api: Api, posting: Document, action: str, **body: Any) -> Document:
    response = act(api, posting, action, **body)
    assert response.status_code == 200, response.text
    document: Document = response.json()
    return document


def halves(*lines: str, percent: tuple[str, ...] = ("50", "50")) -> list[Document]:
    return [{"budget_line_id": line, "percent": share} for line, share in zip(lines, percent, strict=True)]


def amounts(**by_line: str) -> list[Document]:
    return [
        {"budget_line_id": line, "amount": {"amount": amount, "currency": "USD"}}
        for line, amount in by_line.items()
    ]


def parts(posting: Document) -> list[tuple[str, str]]:
    return [(one["budget_line_id"], one["amount"]["amount"]) for one in posting["parts"]]


def paired(api: Api, original: Document, reversal: Document) -> httpx.Response:
    body = {"original_id": original["id"], "reversal_id": reversal["id"], "reason": WHY}
    return api.post("/ledger/reversals", json=body)


def stated(api: Api, month: str, **by_account: str) -> None:
    """State the movement of accounts, whose names begin with an `a` here, as the trial balance of a month."""
    lines = [{"account": account[1:], "balance": balance} for account, balance in by_account.items()]
    body = {"basis": "movement", "currency": "USD", "lines": lines}
    path = f"/ledger/months/{month}"
    version = api.get(path).json()["version"]
    response = api.put(f"{path}/trial-balance", json=body, headers={"If-Match": f'"{version}"'})
    assert response.status_code == 200, response.text


def state_what_is_posted(api: Api, month: str) -> None:
    """State a trial balance that agrees with the postings of a month."""
    sums: dict[str, Decimal] = {"a1": Decimal(0)}
    for one in postings(api, month=month):
        account = "a" + one["account"]
        sums[account] = sums.get(account, Decimal(0)) + Decimal(one["amount"]["amount"])
    stated(api, month, **{account: str(amount) for account, amount in sums.items()})


def close(api: Api, month: str, **body: Any) -> httpx.Response:
    return api.post(f"/ledger/months/{month}/close", json=body)


def closed(api: Api, month: str, **body: Any) -> Document:
    """Close a month that agrees with its trial balance, whatever is unassigned."""
    state_what_is_posted(api, month)
    response = close(api, month, **{"accept_unassigned": "Not of the project"} | body)
    assert response.status_code == 200, response.text
    document: Document = response.json()
    return document


def refused(response: httpx.Response, status: int = 409, problem: str = "wrong-state") -> Document:
    """The refusal that is expected."""
    assert (response.status_code, response.json()["type"]) == (status, f"/problems/{problem}"), response.text
    document: Document = response.json()
    return document
