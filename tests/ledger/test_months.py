"""Closing and reopening accounting months, through the API."""

from typing import Any

from conftest import Api
from ledger_factories import HEADER, a_budget, a_profile, a_rule, audit_of, imported, postings, send
from month_factories import (
    WHY,
    a_row,
    act,
    acted,
    amounts,
    close,
    closed,
    halves,
    posted,
    refused,
    state_what_is_posted,
    stated,
    the_posting,
)

MONTH = "/ledger/months/2024-03"


def month(api: Api, of: str = "2024-03") -> dict[str, Any]:
    document: dict[str, Any] = api.get(f"/ledger/months/{of}").json()
    return document


def reopen(api: Api, of: str = "2024-03") -> dict[str, Any]:
    response = api.post(f"/ledger/months/{of}/reopen", json={"reason": WHY})
    assert response.status_code == 200, response.text
    document: dict[str, Any] = response.json()
    return document


def history(api: Api, of: str = "2024-03") -> list[dict[str, Any]]:
    items: list[dict[str, Any]] = api.get(f"/ledger/months/{of}/history").json()["items"]
    return items


def test_months_are_listed_with_what_their_postings_come_to(api: Api) -> None:
    _, lines = a_budget(api)
    posted(
        api, a_row("2024-02-05", "-4.00", "Refund"), a_row("2024-03-05", "100.00"),
        a_row("2024-03-06", "-20.00", "Back"), a_row("2024-03-07", "3.00", "Shared"),
    )  # fmt: skip
    acted(api, the_posting(api, "Back"), "assign", budget_line_id=lines[0])
    acted(api, the_posting(api, "Shared"), "split", shares=halves(*lines))
    closed(api, "2024-02")
    posted(api, a_row("2024-02-28", "1.50", "Late"))
    stated(api, "2024-05", a1="0")
    listed = api.get("/ledger/months").json()
    assert listed["closed_through"] == "2024-02"
    assert [
        (one["month"], one["status"], one["postings"], one["trial_balance"]) for one in listed["items"]
    ] == [
        ("2024-02", "closed", 1, True),
        ("2024-03", "open", 4, False),
        ("2024-05", "open", 0, True),
    ]
    march = listed["items"][1]
    assert (march["debits"]["amount"], march["credits"]["amount"]) == ("104.50", "20.00")
    assert (march["unassigned_postings"], march["unassigned"]["amount"], march["late_postings"]) == (
        2,
        "101.50",
        1,
    )
    some = api.get("/ledger/months", params={"first": "2024-03", "last": "2024-04"}).json()["items"]
    assert some == [march]
    assert {k: v for k, v in month(api).items() if k in march} == march
    assert api.of_new_club("stone-weir").get("/ledger/months").json() == {"closed_through": None, "items": []}


def test_a_month_is_closed_when_it_agrees_with_the_trial_balance(api: Api) -> None:
    _, (sand, _) = a_budget(api)
    posted(api, a_row("2024-03-05", "100.00"))
    assert "trial balance" in refused(close(api, "2024-03"))["detail"]
    state_what_is_posted(api, "2024-03")
    assert refused(close(api, "2024-03"))["unassigned_postings"] == 1
    acted(api, the_posting(api, "Sand"), "assign", budget_line_id=sand)
    done = close(api, "2024-03", note="Signed by the treasurer")
    assert done.status_code == 200
    document = done.json()
    assert (document["status"], document["closed_by"], document["unchanged"]) == ("closed", "Owner", True)
    assert month(api) == document
    (event,) = history(api)
    assert (event["action"], event["reason"], event["accept_unassigned"]) == (
        "close",
        "Signed by the treasurer",
        None,
    )
    assert (event["postings"], event["debits"]["amount"], event["fingerprint"]) == (
        1,
        "100.00",
        document["fingerprint"],
    )
    assert [one["action"] for one in audit_of(api, "ledger_month", "2024-03")] == ["close"]
    assert "closed already" in refused(close(api, "2024-03"))["detail"]


def test_each_account_that_differs_needs_a_reason_for_the_difference_it_has(api: Api) -> None:
    posted(api, a_row("2024-03-05", "100.00"), a_row("2024-03-06", "7.00", "Linen", "7010"))
    stated(api, "2024-03", a6410="90.00", a7010="7.00", a2000="-97.00")
    accepted = {"accept_unassigned": "Not of the project"}
    reason = {"account": "6410", "reason": "Freight is booked in April there"}
    answer = refused(close(api, "2024-03", reasons=[reason], **accepted))
    assert answer["differences"] == [
        {"account": "2000", "difference": {"amount": "97.00", "currency": "USD"}, "only_in": "trial_balance"}
    ]
    other = {
        "account": "2000",
        "reason": "Not exported",
        "difference": {"amount": "96.00", "currency": "USD"},
    }
    assert "2000 by 97.00" in refused(close(api, "2024-03", reasons=[reason, other], **accepted))["detail"]
    other["difference"] = {"amount": "97.00", "currency": "USD"}
    idle = {"account": "7010", "reason": "Why not"}
    answer = refused(close(api, "2024-03", reasons=[reason, other, idle], **accepted), 422, "invalid-values")
    assert answer["faults"][0]["pointer"] == "/reasons/2/account"
    assert close(api, "2024-03", reasons=[reason, reason], **accepted).status_code == 400
    assert month(api)["status"] == "open"
    assert close(api, "2024-03", reasons=[other, reason], **accepted).status_code == 200
    found = api.get(f"{MONTH}/reconciliation").json()
    assert {one["account"]: one["reason"] for one in found["accounts"]} == {
        "2000": "Not exported", "6410": "Freight is booked in April there", "7010": None
    }  # fmt: skip
    (event,) = history(api)
    assert [(one["account"], one["difference"]["amount"]) for one in event["differences"]] == [
        ("2000", "97.00"),
        ("6410", "10.00"),
    ]
    assert event["accept_unassigned"] == "Not of the project"


def test_months_are_closed_in_order_and_not_before_they_begin(api: Api) -> None:
    posted(api, a_row("2024-01-05", "1.00"), a_row("2024-03-05", "1.00"))
    state_what_is_posted(api, "2024-03")
    answer = refused(close(api, "2024-03", accept_unassigned=WHY))
    assert answer["month"] == "2024-01"
    closed(api, "2024-01")
    closed(api, "2024-03")
    assert month(api, "2024-02")["status"] == "closed"
    ahead = f"{api.clock().year + 1}-01"
    stated(api, ahead, a1="0")
    assert "yet to come" in refused(close(api, ahead))["detail"]


def test_months_are_reopened_from_the_last_and_leave_a_trace(api: Api) -> None:
    posted(api, a_row("2024-01-05", "1.00"), a_row("2024-03-05", "1.00"))
    closed(api, "2024-01")
    first = closed(api, "2024-03", note="First")
    path = "/ledger/months/{}/reopen"
    assert refused(api.post(path.format("2024-01"), json={"reason": WHY}))["month"] == "2024-03"
    assert api.post(path.format("2024-03"), json={"reason": " "}).status_code == 400
    assert api.as_role("committee").post(path.format("2024-03"), json={"reason": WHY}).status_code == 403
    refused(api.post(path.format("2024-02"), json={"reason": WHY}))
    opened = reopen(api)
    assert (opened["status"], opened["closed_at"], opened["unchanged"]) == ("open", None, None)
    assert opened["version"] == first["version"] + 1
    refused(api.post(path.format("2024-03"), json={"reason": WHY}))
    assert api.get("/ledger/months").json()["closed_through"] == "2024-01"
    assert month(api, "2024-02")["status"] == "open"
    posted(api, a_row("2024-03-09", "5.00", "More"))
    second = closed(api, "2024-03", note="Second")
    assert second["fingerprint"] != first["fingerprint"]
    assert [(one["action"], one["reason"], one["postings"]) for one in history(api)] == [
        ("close", "First", 1), ("reopen", WHY, 1), ("close", "Second", 2)
    ]  # fmt: skip
    assert [one["action"] for one in audit_of(api, "ledger_month", "2024-03")] == ["close", "reopen", "close"]


def test_nothing_in_a_closed_month_is_assigned_split_or_voided(api: Api) -> None:
    budget, (sand, sod) = a_budget(api)
    done = posted(api, a_row("2024-03-05", "100.00"), a_row("2024-04-05", "7.00", "April"))
    posting = acted(api, the_posting(api, "Sand"), "split", amounts=amounts(**{sand: "60.00", sod: "40.00"}))
    before = closed(api, "2024-03")
    for action, body in (
        ("assign", {"budget_line_id": sand}), ("split", {"shares": halves(sand, sod)}), ("unsplit", {})
    ):  # fmt: skip
        assert refused(act(api, posting, action, **body))["month"] == "2024-03"
    void = api.post(f"/ledger/imports/{done['id']}/void", json={"reason": WHY})
    assert refused(void)["month"] == "2024-03"
    assert api.get(f"/ledger/imports/{done['id']}").json()["status"] == "posted"
    assert (the_posting(api, "Sand"), month(api)) == (posting, before)
    reopen(api)
    assert acted(api, posting, "assign", budget_line_id=sand)["parts"] == []
    assert api.post(f"/ledger/imports/{done['id']}/void", json={"reason": WHY}).status_code == 200
    a_rule(api, budget, sand)


def test_rules_pass_over_closed_months_and_say_how_many_postings_that_leaves(api: Api) -> None:
    posted(
        api, a_row("2024-03-05", "1.00"), a_row("2024-03-06", "2.00"), a_row("2024-04-05", "4.00", "April")
    )
    closed(api, "2024-03")
    budget, (sand, _) = a_budget(api)
    a_rule(api, budget, sand, conditions={"account": "6410"})
    applied = api.post("/ledger/assignments/apply").json()
    assert (applied["tried"], applied["assigned"], applied["in_closed_months"]) == (1, 1, 2)
    assert [one["description"] for one in postings(api, budget_line_id=sand)] == ["April"]
    assert month(api)["unchanged"]


def test_a_change_behind_the_service_shows_in_the_fingerprint(api: Api) -> None:
    posted(api, a_row("2024-03-05", "1.00"))
    closed(api, "2024-03")
    with api.database.writing() as session:
        session.connection().exec_driver_sql("update postings set amount_minor = 101")
    assert month(api)["unchanged"] is False


def test_a_year_that_is_a_slip_of_the_pen_is_refused_and_months_can_still_be_read(api: Api) -> None:
    profile = a_profile(api)
    response = send(api, profile, HEADER + a_row("2300-01-01", "1.00") + a_row("2999-12-31", "1.00"))
    assert [(one["pointer"], one["expected"]) for one in response.json()["faults"]] == [
        ("row 2, date", "a date up to 2299, written YYYY-MM-DD"),
        ("row 3, date", "a date up to 2299, written YYYY-MM-DD"),
    ]
    imported(api, profile, HEADER + a_row("1900-01-01", "1.00") + a_row("2299-12-31", "2.00"))
    months = api.get("/ledger/months").json()["items"]
    assert [one["month"] for one in months] == ["1900-01", "2299-12"]
    for one in months:
        assert api.get(f"/ledger/months/{one['month']}").json()["debits"] == one["debits"]
