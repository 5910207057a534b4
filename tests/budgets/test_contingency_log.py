"""The contingency log: opening, every draw and return with its reason and approver, what is left."""

import csv
import io

from budget_factories import a_budget_with_contingency, adjusted, entry, proposed, usd
from conftest import Api
from estimate_factories import Document, a_dressed_green, budget_of

SEPTEMBER, OCTOBER = "2026-09", "2026-10"


def log_of(api: Api, budget: Document) -> Document:
    log: Document = api.get(f"/budgets/{budget['id']}/contingency").json()
    return log


def a_told_budget(api: Api) -> Document:
    """180.00 of contingency: 60.00 drawn, 10.00 returned, 25.00 more drawn by a change order."""
    budget = a_budget_with_contingency(api)
    sand, _, reserve = budget["lines"]
    adjusted(
        api, budget, "contingency_draw", entry(reserve, SEPTEMBER, "-60"), entry(sand, SEPTEMBER, "60"),
        reason="Wet sand", reference="Letter 3", effective_on="2026-09-15",
    )  # fmt: skip
    adjusted(
        api, budget, "change_order", entry(1, OCTOBER, "40"), entry(reserve, OCTOBER, "-25"),
        new_lines=[{"label": "Drain"}], reason="=Broken drain", effective_on="2026-10-02",
    )  # fmt: skip
    adjusted(
        api, budget, "transfer", entry(reserve, OCTOBER, "10"), entry(sand, OCTOBER, "-10"), reason="Not needed",
        effective_on="2026-10-02",
    )  # fmt: skip
    adjusted(api, budget, "transfer", entry(reserve, OCTOBER, "-5"), entry(reserve, SEPTEMBER, "5"))
    proposed(api, budget, "contingency_draw", entry(reserve, OCTOBER, "-30"), entry(sand, OCTOBER, "30"))
    return budget


def test_each_draw_and_return_tells_what_is_left(api: Api) -> None:
    budget = a_told_budget(api)
    log = log_of(api, budget)
    told = [
        (
            move["adjustment_number"],
            move["reason"],
            move["given_to"],
            move["amount"]["amount"],
            move["balance"]["amount"],
        )
        for move in log["moves"]
    ]
    assert told == [
        (1, "Wet sand", ["Dress"], "-60.00", "120.00"),
        (3, "Not needed", ["Dress"], "10.00", "130.00"),
        (2, "=Broken drain", ["Drain"], "-25.00", "105.00"),
    ]
    assert (log["opening"], log["drawn"], log["returned"], log["left"]) == (
        usd("180.00"), usd("85.00"), usd("10.00"), usd("105.00"),
    )  # fmt: skip
    assert (log["percent_left"], log["pending"]) == ("58.3", usd("-30.00"))
    assert {move["approved_by"] for move in log["moves"]} == {"Owner"}


def test_the_log_is_had_as_csv(api: Api) -> None:
    budget = a_told_budget(api)
    text = api.get(f"/budgets/{budget['id']}/contingency", headers={"Accept": "text/csv"}).text
    rows = list(csv.DictReader(io.StringIO(text)))
    assert [(row["kind"], row["amount"], row["balance"]) for row in rows] == [
        ("opening", "", "180.00"), ("contingency_draw", "-60.00", "120.00"), ("transfer", "10.00", "130.00"),
        ("change_order", "-25.00", "105.00"),
    ]  # fmt: skip
    assert rows[3]["reason"] == "'=Broken drain"
    assert (rows[1]["reference"], rows[1]["given_to"], rows[1]["approved_by"]) == (
        "Letter 3",
        "Dress",
        "Owner",
    )


def test_a_budget_without_contingency_has_an_empty_log(api: Api) -> None:
    log = log_of(api, budget_of(api, a_dressed_green(api)))
    assert (log["moves"], log["opening"], log["left"], log["percent_left"]) == (
        [],
        usd("0.00"),
        usd("0.00"),
        None,
    )
