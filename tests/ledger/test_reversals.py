"""Reversals through the API: proposed, confirmed by a person, and followed from then on."""

from typing import Any

from conftest import Api
from ledger_factories import a_budget, a_rule, audit_of, postings
from month_factories import (
    WHY,
    a_row,
    act,
    acted,
    closed,
    halves,
    paired,
    parts,
    posted,
    refused,
    the_posting,
)
from swardcost_api.ledger.service import posting_totals
from swardcost_api.storage.work import OPERATOR, UnitOfWork

CHARGE = a_row("2024-03-05", "100.01", "Sand", vendor="Alder Creek", reference="T-90")
BACK = a_row("2024-03-20", "-100.01", "Void sand", vendor="Alder Creek", reference="T-90")


def proposals(api: Api, **query: Any) -> list[tuple[str, str, list[str]]]:
    response = api.get("/ledger/reversals/proposals", params=query)
    assert response.status_code == 200, response.text
    return [
        (one["original"]["description"], one["reversal"]["description"], one["ties"])
        for one in response.json()["items"]
    ]


def the_charge(api: Api) -> dict[str, Any]:
    return next(one for one in postings(api) if one["description"] == "Sand")


def a_pair(api: Api) -> tuple[dict[str, Any], dict[str, Any], dict[str, Any]]:
    """A confirmed pair: its original, its reversal and itself."""
    posted(api, CHARGE, BACK)
    original, reversal = the_charge(api), the_posting(api, "Void")
    answer = paired(api, original, reversal)
    assert answer.status_code == 201, answer.text
    return original, reversal, answer.json()


def left_on_lines(api: Api) -> dict[str | None, int]:
    """What is left on each line, where it is not zero."""
    found: dict[str | None, int] = {}
    with api.database.reading() as session:
        for one in posting_totals(UnitOfWork(session, api.club, OPERATOR)):
            line = str(one.budget_line_id) if one.budget_line_id else None
            found[line] = found.get(line, 0) + one.amount_minor
    return {line: amount for line, amount in found.items() if amount}


def test_pairs_are_proposed_and_nothing_is_changed(api: Api) -> None:
    posted(api, CHARGE, BACK, a_row("2024-03-21", "-100.01", "Refund", vendor="Alder Creek"))
    before = postings(api)
    assert proposals(api) == [("Sand", "Void sand", ["reference", "words", "vendor"])]
    assert proposals(api, within_days=14) == []
    assert proposals(api, month="2024-02") == proposals(api, account="1") == []
    assert proposals(api, month="2024-03", account="6410") == proposals(api)
    assert api.get("/ledger/reversals/proposals?within_days=367").status_code == 400
    assert (postings(api), api.get("/ledger/reversals").json()["items"]) == (before, [])
    assert proposals(api.of_new_club("stone-weir")) == []


def test_the_best_proposals_are_shown_and_all_are_counted(api: Api) -> None:
    rows = [
        a_row(f"2024-03-{day:02d}", f"{sign}{day}.00", "Crew", vendor="V")
        for day in range(1, 9)
        for sign in ("", "-")
    ]
    posted(api, *rows)
    answer = api.get("/ledger/reversals/proposals", params={"limit": 3}).json()
    assert (answer["found"], len(answer["items"])) == (8, 3)
    assert all(one["days"] == 0 and one["original"]["amount"]["amount"][0] != "-" for one in answer["items"])


def test_a_confirmed_reversal_takes_the_assignment_of_its_original_with_a_reason(api: Api) -> None:
    _, (sand, sod) = a_budget(api)
    posted(api, CHARGE, BACK)
    original = acted(api, the_charge(api), "split", shares=halves(sand, sod))
    acted(api, the_posting(api, "Void"), "assign", budget_line_id=sod)
    answer = paired(api, original, the_posting(api, "Void"))
    assert answer.status_code == 201
    pair = answer.json()
    assert answer.headers["location"].endswith(f"/ledger/reversals/{pair['id']}")
    assert (pair["days"], pair["confirmed_by"], pair["reason"], pair["account"]) == (15, "Owner", WHY, "6410")
    back = the_posting(api, "Void")
    assert parts(back) == [(sand, "-50.01"), (sod, "-50.00")]
    assert (back["assigned_by"], back["budget_line_id"], back["decision"]["reason"]) == ("pair", None, WHY)
    assert back["reversal_id"] == the_charge(api)["reversal_id"] == pair["id"]
    assert left_on_lines(api) == {}
    assert api.get(f"/ledger/reversals/{pair['id']}").json() == pair
    assert api.get("/ledger/reversals").json()["items"] == [pair]
    assert proposals(api) == []
    assert audit_of(api, "reversal", pair["id"])[0]["after"] == pair


def test_a_reversal_follows_its_original_and_is_not_assigned_by_itself(api: Api) -> None:
    _, (sand, sod) = a_budget(api)
    original, reversal, pair = a_pair(api)
    assert the_posting(api, "Void")["assigned_by"] == "pair"
    acted(api, original, "assign", budget_line_id=sand)
    assert the_posting(api, "Void")["budget_line_id"] == sand
    acted(api, original, "split", shares=halves(sod, sand, percent=("10", "90")))
    assert parts(the_posting(api, "Void")) == [(sod, "-10.00"), (sand, "-90.01")]
    acted(api, original, "unsplit")
    assert (the_posting(api, "Void")["parts"], left_on_lines(api)) == ([], {})
    for action, body in (("assign", {"budget_line_id": sod}), ("split", {"shares": halves(sand, sod)})):
        assert refused(act(api, reversal, action, **body))["reversal_id"] == pair["id"]


def test_rules_that_take_an_original_take_its_reversal_along(api: Api) -> None:
    budget, (sand, _) = a_budget(api)
    a_pair(api)
    a_rule(api, budget, sand, conditions={"text_contains": "sand", "amount_min": usd("0.01")})
    applied = api.post("/ledger/assignments/apply").json()
    assert (applied["tried"], applied["assigned"]) == (1, 1)
    assert {one["budget_line_id"] for one in postings(api)} == {sand}
    assert left_on_lines(api) == {}


def usd(amount: str) -> dict[str, str]:
    return {"amount": amount, "currency": "USD"}


def test_an_undone_reversal_is_assigned_again_as_it_was(api: Api) -> None:
    budget, (sand, sod) = a_budget(api)
    a_rule(api, budget, sod, conditions={"text_contains": "Void"})
    posted(api, CHARGE, BACK)
    original = the_charge(api)
    acted(api, original, "split", shares=halves(sand, sod))
    before = the_posting(api, "Void")
    assert before["assigned_by"] == "rule"
    pair = paired(api, original, before).json()
    path = f"/ledger/reversals/{pair['id']}/undo"
    assert api.post(path, json={}).status_code == 400
    assert api.as_role("committee").post(path, json={"reason": WHY}).status_code == 403
    assert api.of_new_club("stone-weir").post(path, json={"reason": WHY}).status_code == 404
    assert api.post(path, json={"reason": WHY}).json() == pair
    assert the_posting(api, "Void") == before
    assert api.get("/ledger/reversals").json()["items"] == []
    assert api.post(path, json={"reason": WHY}).status_code == 404
    assert audit_of(api, "reversal", pair["id"])[0]["after"] == {"reason": WHY}
    assert paired(api, original, before).status_code == 201


def test_two_postings_that_are_no_pair_are_refused(api: Api) -> None:
    posted(
        api, CHARGE, BACK, a_row("2024-03-20", "-100.00", "Other amount"),
        a_row("2024-03-20", "-100.01", "Other account", "7010"), a_row("2024-03-01", "-100.01", "Earlier"),
    )  # fmt: skip
    original = the_charge(api)
    for text in ("Other amount", "Other account", "Earlier"):
        answer = refused(paired(api, original, the_posting(api, text)), 422, "invalid-values")
        assert [one["pointer"] for one in answer["faults"]] == ["/reversal_id"]
    for ids, pointer in (({"id": "x"}, "/original_id"), ({"id": "0" * 32 + "-1"}, "/original_id")):
        faults = refused(paired(api, ids, the_posting(api, "Void")), 422, "invalid-values")["faults"]
        assert [one["pointer"] for one in faults] == [pointer]
    refused(paired(api, original, original), 422, "invalid-values")
    assert paired(api.as_role("superintendent"), original, the_posting(api, "Void")).status_code == 403
    assert api.get("/ledger/reversals").json()["items"] == []


def test_a_posting_belongs_to_one_pair_at_most(api: Api) -> None:
    posted(api, a_row("2024-03-25", "100.01", "Again", vendor="Alder Creek"))
    _, reversal, pair = a_pair(api)
    again = the_posting(api, "Again")
    assert refused(paired(api, reversal, again))["reversal_id"] == pair["id"]


def test_the_original_of_a_reversal_may_be_in_a_closed_month(api: Api) -> None:
    budget, (sand, _) = a_budget(api)
    a_rule(api, budget, sand, conditions={"text_contains": "Sand", "amount_min": usd("0.01")})
    posted(api, CHARGE)
    closed(api, "2024-03")
    posted(api, a_row("2024-04-02", "-100.01", "Reversal", vendor="Alder Creek", reference="T-90"))
    assert proposals(api) == [("Sand", "Reversal", ["reference", "words", "vendor"])]
    pair = paired(api, the_charge(api), the_posting(api, "Reversal")).json()
    assert the_posting(api, "Reversal")["budget_line_id"] == sand
    assert api.get("/ledger/months/2024-03").json()["unchanged"]
    closed(api, "2024-04")
    refused(api.post(f"/ledger/reversals/{pair['id']}/undo", json={"reason": WHY}))
    refused(act(api, the_charge(api), "assign", budget_line_id=None))


def test_a_reversal_in_a_closed_month_is_neither_proposed_nor_confirmed(api: Api) -> None:
    posted(api, CHARGE, BACK)
    closed(api, "2024-03")
    original = the_charge(api)
    assert proposals(api) == proposals(api, month="2024-03") == []
    assert refused(paired(api, original, the_posting(api, "Void")))["month"] == "2024-03"


def test_voiding_an_import_takes_its_pairs_apart(api: Api) -> None:
    _, (sand, sod) = a_budget(api)
    first = posted(api, CHARGE)
    second = posted(api, BACK)
    original = the_charge(api)
    acted(api, original, "split", shares=halves(sand, sod))
    acted(api, the_posting(api, "Void"), "assign", budget_line_id=sod)
    before = the_posting(api, "Void")
    assert paired(api, original, before).status_code == 201
    assert api.post(f"/ledger/imports/{first['id']}/void", json={"reason": WHY}).status_code == 200
    assert postings(api) == [before]
    posted(api, CHARGE)
    original = the_charge(api)
    assert paired(api, original, before).status_code == 201
    assert api.post(f"/ledger/imports/{second['id']}/void", json={"reason": WHY}).status_code == 200
    assert [(one["description"], one["reversal_id"]) for one in postings(api)] == [("Sand", None)]
    assert api.get("/ledger/reversals").json()["items"] == []
