"""Adjustments through the API: balanced, within what is there, decided once, and nothing half done."""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from budget_factories import (
    a_budget_with_contingency,
    adjusted,
    adjustment_body,
    amounts,
    decided,
    entry,
    proposed,
    state_of,
    usd,
)
from conftest import Api
from estimate_factories import Document

SEPTEMBER, OCTOBER, NOVEMBER = "2026-09", "2026-10", "2026-11"


def refused(api: Api, budget: Document, kind: str, *entries: Document, **more: Any) -> list[tuple[str, str]]:
    """Pointers and expectations of a refused proposal, which must have changed nothing."""
    before = api.get(f"/budgets/{budget['id']}/lines?on=2026-12-31").content
    body = adjustment_body(kind, *entries, **more)
    response = api.post(f"/budgets/{budget['id']}/adjustments", json=body)
    assert (response.status_code, response.json()["type"]) == (422, "/problems/invalid-values"), response.text
    assert api.get(f"/budgets/{budget['id']}/lines?on=2026-12-31").content == before
    return [(fault["pointer"], fault["expected"]) for fault in response.json()["faults"]]


def test_a_transfer_moves_money_and_quantity_once_it_is_approved(api: Api) -> None:
    budget = a_budget_with_contingency(api)
    sand, crew, _ = budget["lines"]
    made = proposed(
        api, budget, "transfer", entry(sand, SEPTEMBER, "-100.00", "-2.5"), entry(crew, OCTOBER, "100.00")
    )
    assert (made["number"], made["status"], made["amount"], made["net"]) == (
        1,
        "proposed",
        usd("100.00"),
        usd("0.00"),
    )
    pending = state_of(api, budget)
    assert amounts(pending) == ["1200.00", "600.00", "180.00"]
    assert amounts(pending, "pending") == ["-100.00", "100.00", "0.00"]
    done = decided(api, made)
    assert (done["status"], done["decided_by"], done["decision_note"]) == ("approved", "Owner", "Minutes 7")
    state = state_of(api, budget)
    assert amounts(state) == ["1100.00", "700.00", "180.00"]
    assert (state["pending"], state["lines"][0]["quantity"]) == (usd("0.00"), "30.00")
    assert (state["lines"][0]["adjusted_quantity"], state["lines"][1]["adjusted_quantity"]) == (
        "27.50",
        "20.00",
    )
    months = {month["month"]: month["adjusted"]["amount"] for month in state["lines"][1]["months"]}
    assert months == {SEPTEMBER: "295.08", OCTOBER: "404.92"}
    assert api.get(f"/adjustments/{made['id']}").json() == done


def test_the_budget_can_be_had_at_any_day_and_as_it_was_known(api: Api) -> None:
    budget = a_budget_with_contingency(api)
    sand = budget["lines"][0]
    adjusted(api, budget, "addition", entry(sand, OCTOBER, "50"), effective_on="2026-10-05")
    adjusted(api, budget, "reduction", entry(sand, OCTOBER, "-20"), effective_on="2026-10-20")
    by_day = {
        day: [
            state_of(api, budget, on=day)[name]["amount"]
            for name in ("original", "adjusted", "later", "current")
        ]
        for day in ("2026-10-04", "2026-10-05", "2026-10-20")
    }
    assert by_day == {
        "2026-10-04": ["1980.00", "1980.00", "30.00", "2010.00"],
        "2026-10-05": ["1980.00", "2030.00", "-20.00", "2010.00"],
        "2026-10-20": ["1980.00", "2010.00", "0.00", "2010.00"],
    }
    today = api.clock().date().isoformat()
    api.clock.shift = timedelta(days=3)
    adjusted(api, budget, "addition", entry(sand, OCTOBER, "7"), effective_on="2026-10-01")
    assert state_of(api, budget)["current"] == usd("2017.00")
    assert state_of(api, budget, known_on=today)["current"] == usd("2010.00")
    assert state_of(api, budget, known_on="2026-01-01")["current"] == usd("1980.00")
    assert api.get(f"/budgets/{budget['id']}").json()["current_total"] == usd("2017.00")


def test_what_was_pending_then_is_pending_in_the_budget_as_it_was_known(api: Api) -> None:
    budget = a_budget_with_contingency(api)
    opened = {"label": "Drain", "account": "1530"}
    made = proposed(api, budget, "addition", entry(1, OCTOBER, "75"), new_lines=[opened])
    withdrawn = proposed(api, budget, "addition", entry(budget["lines"][0], OCTOBER, "5"))
    today = api.clock().date().isoformat()
    api.clock.shift = timedelta(days=2)
    decided(api, made)
    decided(api, withdrawn, "withdraw")
    now, then = state_of(api, budget), state_of(api, budget, known_on=today)
    assert (now["pending"], then["pending"], then["pending_new_lines"]) == (
        usd("0.00"),
        usd("80.00"),
        usd("75.00"),
    )
    assert ([len(one["lines"]) for one in (now, then)], then["current"]) == ([4, 3], usd("1980.00"))


def test_an_adjustment_opens_lines_when_it_is_approved(api: Api) -> None:
    budget = a_budget_with_contingency(api)
    new_lines = [{"label": "Drain", "account": "1530", "unit": "foot"}, {"label": "Survey"}]
    made = proposed(
        api, budget, "change_order", entry(1, OCTOBER, "300", "40"), entry(1, NOVEMBER, "100.01", "13"),
        entry(2, OCTOBER, "20"), entry(budget["lines"][2], OCTOBER, "-60"), new_lines=new_lines, reference="CO 4",
    )  # fmt: skip
    assert (made["net"], made["amount"]) == (usd("360.01"), usd("420.01"))
    assert [one["budget_line_id"] for one in made["entries"][:3]] == [None] * 3
    assert len(state_of(api, budget)["lines"]) == 3
    done = decided(api, made)
    assert [one["line_number"] for one in done["entries"]] == [4, 4, 5, 3]
    drain, survey = state_of(api, budget)["lines"][3:]
    assert (drain["label"], drain["account"], drain["opened_by"], drain["unplanned"]) == (
        "Drain",
        "1530",
        1,
        False,
    )
    assert (drain["original"], drain["adjusted"], drain["quantity"]) == (usd("0.00"), usd("400.01"), "0")
    assert (drain["adjusted_quantity"], drain["unit_price"]) == ("53", usd("7.547358"))  # 400.01 / 53
    assert (survey["account"], survey["unit"], survey["adjusted_quantity"]) == (None, None, None)
    more = adjusted(api, budget, "transfer", entry(drain, OCTOBER, "-30"), entry(survey, OCTOBER, "30"))
    assert (more["number"], amounts(state_of(api, budget))[3:]) == (2, ["370.01", "50.00"])


def test_entries_must_balance_by_kind(api: Api) -> None:
    budget = a_budget_with_contingency(api)
    sand, crew, reserve = budget["lines"]
    takes, gives = entry(sand, OCTOBER, "-10"), entry(crew, OCTOBER, "11")
    assert refused(api, budget, "transfer", takes, gives) == [("/entries", "entries that sum to zero")]
    assert refused(api, budget, "addition", takes, gives)[0][0] == "/entries/0/amount"
    assert refused(api, budget, "reduction", takes, gives)[0][0] == "/entries/1/amount"
    assert (
        refused(api, budget, "contingency_draw", takes, entry(crew, OCTOBER, "10"))[0][0]
        == "/entries/0/amount"
    )
    from_reserve = entry(reserve, OCTOBER, "-10"), entry(crew, OCTOBER, "10")
    assert "contingency draw" in refused(api, budget, "transfer", *from_reserve)[0][1]
    assert refused(api, budget, "addition", entry(sand, OCTOBER, "0"))[0][0] == "/entries/0/amount"
    assert refused(api, budget, "transfer", *from_reserve, unplanned=True)[0][0] == "/unplanned"


def test_nothing_takes_more_than_a_month_of_a_line_holds(api: Api) -> None:
    budget = a_budget_with_contingency(api)
    sand, crew, reserve = budget["lines"]
    faults = refused(
        api, budget, "transfer", entry(crew, OCTOBER, "304.92"), entry(crew, SEPTEMBER, "-304.92")
    )
    expected = "9.84 USD less taken from line 2, Dress in 2026-09, which would be below zero on 2026-09-10"
    assert faults == [("/entries/1/amount", expected)]
    faults = refused(api, budget, "reduction", entry(reserve, NOVEMBER, "-0.01"))
    assert faults[0][0] == "/entries/0/amount"
    # What only comes in October cannot be moved on in September, though it is approved already.
    adjusted(api, budget, "addition", entry(sand, SEPTEMBER, "1000"), effective_on="2026-10-01")
    move = entry(sand, SEPTEMBER, "-600"), entry(crew, SEPTEMBER, "600")
    assert refused(api, budget, "transfer", *move, effective_on="2026-09-30")[0][0] == "/entries/0/amount"
    adjusted(api, budget, "transfer", *move, effective_on="2026-10-01")
    assert amounts(state_of(api, budget)) == ["1600.00", "1200.00", "180.00"]


def test_quantities_stay_at_or_above_zero_and_have_a_unit(api: Api) -> None:
    budget = a_budget_with_contingency(api)
    sand, _, reserve = budget["lines"]
    assert refused(api, budget, "reduction", entry(sand, OCTOBER, "-1", "-30.5")) == [
        (
            "/entries/0/quantity",
            "0.5 less taken from the quantity of line 1, Dress, which would be below zero on 2026-09-10",
        )
    ]
    assert (
        refused(api, budget, "reduction", entry(reserve, OCTOBER, "-1", "-1"))[0][0] == "/entries/0/quantity"
    )
    adjusted(api, budget, "change_order", entry(sand, OCTOBER, "5"), entry(sand, SEPTEMBER, "0", "4"))
    assert state_of(api, budget)["lines"][0]["adjusted_quantity"] == "34.00"


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"budget_line_id": str(uuid4())}, "/entries/0/budget_line_id"),
        ({"amount": {"amount": "1.005", "currency": "USD"}}, "/entries/0/amount/amount"),
        ({"amount": {"amount": "1", "currency": "CAD"}}, "/entries/0/amount/currency"),
        ({"budget_line_id": None, "new_line": 1}, "/entries/0/new_line"),
    ],
)
def test_what_an_entry_names_wrongly_is_pointed_at(api: Api, change: Document, pointer: str) -> None:
    budget = a_budget_with_contingency(api)
    first = entry(budget["lines"][0], OCTOBER, "1") | change
    assert refused(api, budget, "addition", first)[0][0] == pointer


def test_lines_of_other_budgets_and_unknown_commitments_are_refused(api: Api) -> None:
    budget, other = a_budget_with_contingency(api), a_budget_with_contingency(api)
    strange = entry(other["lines"][0], OCTOBER, "1")
    assert refused(api, budget, "addition", strange)[0][0] == "/entries/0/budget_line_id"
    own = entry(budget["lines"][0], OCTOBER, "1")
    assert refused(api, budget, "addition", own, commitment_id=str(uuid4()))[0][0] == "/commitment_id"
    assert refused(api, budget, "addition", own, new_lines=[{"label": "Spare"}])[0][0] == "/new_lines/0"
    opened = [{"label": "Pipe", "unit": "cubit"}]
    assert (
        refused(api, budget, "addition", entry(1, OCTOBER, "1"), new_lines=opened)[0][0]
        == "/new_lines/0/unit"
    )
    huge = entry(budget["lines"][0], OCTOBER, "500000000000")
    proposed(api, budget, "addition", huge)
    assert refused(api, budget, "addition", huge)[0][0] == "/entries"


def test_an_adjustment_names_the_order_that_it_follows_from(api: Api) -> None:
    budget, other = a_budget_with_contingency(api), a_budget_with_contingency(api)
    sand = budget["lines"][0]
    line = {
        "number": 1, "budget_line_id": sand["id"], "description": "Sand", "quantity": "30", "unit": "short_ton",
        "unit_price": "41", "expected_month": OCTOBER,
    }  # fmt: skip
    order = api.created(
        "/commitments",
        {
            "number": "PO-1", "kind": "purchase_order", "vendor": "Alder Creek", "budget_id": budget["id"],
            "title": "Sand", "signed_on": "2026-08-03", "lines": [line],
        },
    )  # fmt: skip
    made = proposed(api, budget, "change_order", entry(sand, OCTOBER, "30"), commitment_id=order["id"])
    assert made["commitment_id"] == order["id"]
    of_other = entry(other["lines"][0], OCTOBER, "30")
    assert refused(api, other, "change_order", of_other, commitment_id=order["id"])[0][0] == "/commitment_id"


def test_an_adjustment_is_decided_once(api: Api) -> None:
    budget = a_budget_with_contingency(api)
    one = entry(budget["lines"][0], OCTOBER, "1")
    for decision, status in (("approve", "approved"), ("decline", "declined"), ("withdraw", "withdrawn")):
        made = proposed(api, budget, "addition", one)
        assert decided(api, made, decision)["status"] == status
        before = api.get(f"/adjustments/{made['id']}").content
        for again in ("approve", "decline", "withdraw"):
            assert decided(api, made, again, 409)["type"] == "/problems/wrong-state"
        assert api.get(f"/adjustments/{made['id']}").content == before
    assert state_of(api, budget)["current"] == usd("1981.00")
    listed = api.get(f"/budgets/{budget['id']}/adjustments").json()["items"]
    assert [(item["number"], item["status"]) for item in listed] == [
        (1, "approved"), (2, "declined"), (3, "withdrawn"),
    ]  # fmt: skip
    path = f"/budgets/{budget['id']}/adjustments"
    assert [item["number"] for item in api.get(f"{path}?status=declined").json()["items"]] == [2]
    assert api.get(f"{path}?kind=transfer").json()["items"] == []
    assert api.get(f"{path}?unplanned=true").json()["items"] == []


def test_money_that_has_gone_meanwhile_is_not_approved(api: Api) -> None:
    budget = a_budget_with_contingency(api)
    sand, crew, _ = budget["lines"]
    move = entry(sand, OCTOBER, "-400"), entry(crew, OCTOBER, "400")
    first, second = (proposed(api, budget, "transfer", *move) for _ in range(2))
    decided(api, first)
    before = state_of(api, budget)
    problem = decided(api, second, "approve", 409)
    assert problem["type"] == "/problems/wrong-state"
    assert problem["faults"][0]["pointer"] == "/entries/0/amount"
    assert state_of(api, budget) == before
    assert decided(api, second, "withdraw")["status"] == "withdrawn"


def test_two_approvals_at_once_do_not_overdraw(api: Api) -> None:
    budget = a_budget_with_contingency(api)
    reserve = budget["lines"][2]
    draws = [
        proposed(
            api, budget, "contingency_draw", entry(reserve, OCTOBER, "-50"), entry(1, OCTOBER, "50"),
            new_lines=[{"label": f"Repair {n}"}],
        )
        for n in range(4)
    ]  # fmt: skip

    def approve(made: Document) -> int:
        return api.post(f"/adjustments/{made['id']}/approve", json={}).status_code

    with ThreadPoolExecutor(4) as pool:
        outcomes = list(pool.map(approve, draws))
    assert sorted(outcomes) == [200, 409, 409, 409]  # October holds 91.48
    state = state_of(api, budget)
    assert amounts(state) == ["1200.00", "600.00", "130.00", "50.00"]


def test_proposals_at_once_have_numbers_of_their_own(api: Api) -> None:
    budget = a_budget_with_contingency(api)
    one = entry(budget["lines"][0], OCTOBER, "1")
    with ThreadPoolExecutor(4) as pool:
        made = list(pool.map(lambda _: proposed(api, budget, "addition", one), range(6)))
        approved = list(pool.map(lambda each: decided(api, each), made))
    assert sorted(each["number"] for each in approved) == [1, 2, 3, 4, 5, 6]
    assert state_of(api, budget)["current"] == usd("1986.00")


def test_another_club_sees_and_changes_nothing(api: Api) -> None:
    budget = a_budget_with_contingency(api)
    made = proposed(api, budget, "addition", entry(budget["lines"][0], OCTOBER, "1"))
    before = api.get(f"/adjustments/{made['id']}").content
    stranger = api.of_new_club("stone-weir")
    body = adjustment_body("addition", entry(budget["lines"][0], OCTOBER, "1"))
    assert stranger.post(f"/budgets/{budget['id']}/adjustments", json=body).status_code == 404
    for verb in ("approve", "decline", "withdraw"):
        assert stranger.post(f"/adjustments/{made['id']}/{verb}", json={}).status_code == 404
        assert api.post(f"/adjustments/{uuid4()}/{verb}", json={}).status_code == 404
    for path in ("lines", "adjustments", "contingency", "measures", "progress", "unplanned-work"):
        assert stranger.get(f"/budgets/{budget['id']}/{path}").status_code == 404, path
        assert api.get(f"/budgets/{uuid4()}/{path}").status_code == 404, path
    assert stranger.get(f"/adjustments/{made['id']}").status_code == 404
    assert api.get(f"/adjustments/{made['id']}").content == before


def test_every_change_leaves_its_trace(api: Api) -> None:
    budget = a_budget_with_contingency(api)
    made = proposed(api, budget, "addition", entry(1, OCTOBER, "1"), new_lines=[{"label": "Drain"}])
    decided(api, made)
    trail = api.get(f"/audit?subject=adjustment&subject_id={made['id']}").json()["items"]
    assert [(entry["action"], entry["actor"]) for entry in trail] == [
        ("approve", "Owner"),
        ("propose", "Owner"),
    ]
    assert (trail[0]["before"]["status"], trail[0]["after"]["status"]) == ("proposed", "approved")
    line = state_of(api, budget)["lines"][3]
    opened = api.get(f"/audit?subject=budget_line&subject_id={line['id']}").json()["items"]
    assert (opened[0]["action"], opened[0]["after"]["label"]) == ("open", "Drain")


def test_roles_that_may_not_propose_or_decide_are_told(api: Api) -> None:
    budget = a_budget_with_contingency(api)
    body = adjustment_body("addition", entry(budget["lines"][0], OCTOBER, "1"))
    for role, status in (
        ("committee", 403),
        ("integrator", 403),
        ("superintendent", 201),
        ("controller", 201),
    ):
        response = api.as_role(role).post(f"/budgets/{budget['id']}/adjustments", json=body)
        assert response.status_code == status, role
    made = response.json()
    assert api.as_role("integrator").post(f"/adjustments/{made['id']}/approve", json={}).status_code == 403
    assert api.as_role("committee").post(f"/adjustments/{made['id']}/withdraw", json={}).status_code == 403
    assert api.as_role("integrator").get(f"/adjustments/{made['id']}").json() == made


def test_the_state_is_had_as_csv(api: Api) -> None:
    budget = a_budget_with_contingency(api)
    adjusted(api, budget, "addition", entry(budget["lines"][0], OCTOBER, "50"))
    text = api.get(f"/budgets/{budget['id']}/lines?on=2026-12-31", headers={"Accept": "text/csv"}).text
    rows = [row.split(",") for row in text.splitlines()]
    assert rows[0][:5] == ["line", "label", "account", "month", "original"]
    assert rows[2][:7] == ["1", "Dress", "1520-10", OCTOBER, "609.84", "50.00", "659.84"]
    assert rows[-1][:10] == ["", "Total", "", "", "1980.00", "50.00", "2030.00", "0.00", "2030.00", "0.00"]
    assert {len(row) for row in rows} == {len(rows[0])}


def test_an_amount_in_another_currency_is_one_fault(api: Api) -> None:
    budget = a_budget_with_contingency(api)
    euros = entry(budget["lines"][0], OCTOBER, "5.00") | {"amount": {"amount": "5.00", "currency": "EUR"}}
    assert refused(api, budget, "addition", euros) == [
        ("/entries/0/amount/currency", "the club's currency, USD")
    ]
