"""Life-cycle studies through the API: kept, refused, and counted as in the handbook."""

import csv
import io
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import pytest
from choosing_factories import NOBODY, two_ways
from conftest import Api
from estimate_factories import Document, money

STUDIES = "/life-cycle-studies"


def usd(amount: str) -> Document:
    return {"amount": amount, "currency": "USD"}


def yearly(name: str, amount: str, **more: Any) -> Document:
    return {"name": name, "yearly": usd(amount)} | more


def a_study(*alternatives: Document, **more: Any) -> Document:
    return {
        "name": "Pump house", "question": "Which one?", "study_years": 20, "first_year": 2027, "discount_percent": "3",
        "discount_kind": "real", "alternatives": list(alternatives),
    } | more  # fmt: skip


def a_machine(label: str, cost: str, upkeep: str, **more: Any) -> Document:
    return {
        "label": label, "parts": [{"name": "Machine", "cost": usd(cost)} | more],
        "yearly_costs": [yearly("Upkeep", upkeep)],
    }  # fmt: skip


KEEP = a_machine("Keep", "0.00", "5200.00")
REPLACE = a_machine("Replace", "30000.00", "1700.00", life_years=15, residual="straight_line")


def figures_of(api: Api, study: Document) -> Document:
    answer = api.get(f"{STUDIES}/{study['id']}/figures")
    assert answer.status_code == 200, answer.text
    found: Document = answer.json()
    return found


def test_example_of_two_air_conditioning_systems(api: Api) -> None:
    """The example of NIST Handbook 135 as the Whole Building Design Guide shows it (both from memory): 3 percent real,
    20 years, a fan replaced after 12 years; energy by the tabled factor 15.13, which is a growth of 0.176368 percent.
    Factors are rounded there, so values agree to their rounding."""
    energy = {"percent": "0.176368"}
    conventional = {
        "label": "Conventional",
        "parts": [
            {"name": "System", "cost": usd("103000"), "residual": "stated", "residual_value": usd("3500")},
            {"name": "Fan", "cost": usd("0"), "replaced_in": [12], "replacement_cost": usd("12000")},
        ],
        "yearly_costs": [yearly("Energy", "20000", growth=energy), yearly("Maintenance", "7000")],
    }
    saving = {
        "label": "Saving energy",
        "parts": [
            {"name": "System", "cost": usd("110000"), "residual": "stated", "residual_value": usd("3700")},
            {"name": "Fan", "cost": usd("0"), "replaced_in": [12], "replacement_cost": usd("12500")},
        ],
        "yearly_costs": [yearly("Energy", "13000", growth=energy), yearly("Maintenance", "8000")],
    }
    found = figures_of(api, api.created(STUDIES, a_study(conventional, saving)))
    first, second = found["alternatives"]
    by_kind = {one["kind"]: float(money(one["present_value"])) for one in first["by_kind"]}
    assert by_kind["replacement"] == pytest.approx(8412, rel=1e-3)
    assert by_kind["residual"] == pytest.approx(-1939, rel=1e-3)
    assert float(money(first["life_cycle_cost"])) == pytest.approx(516_233, rel=1e-4)
    assert float(money(second["life_cycle_cost"])) == pytest.approx(432_443, rel=1e-4)
    against = second["against_first"]
    assert float(money(against["net_savings"])) == pytest.approx(83_790, rel=1e-4)
    assert round(Decimal(against["savings_to_investment_ratio"]), 1) == Decimal("12.6")
    assert round(Decimal(against["adjusted_rate_of_return_percent"]), 1) == Decimal("16.9")
    assert "NIST Handbook 135" in found["method"]
    assert found["conclusions"][0].startswith("Saving energy has the least life-cycle cost over 20 years: ")


def test_every_payment_can_be_redone_and_totals_are_their_sums(api: Api) -> None:
    found = figures_of(api, api.created(STUDIES, a_study(KEEP, REPLACE)))
    cent = Decimal("0.01")
    for one in found["alternatives"]:
        for paid in one["payments"]:
            amount = money(paid["amount_today"]) * Decimal(paid["price_factor"])
            assert amount.quantize(cent, ROUND_HALF_UP) == money(paid["amount"])
            present = money(paid["amount"]) * Decimal(paid["discount_factor"])
            assert present.quantize(cent, ROUND_HALF_UP) == money(paid["present_value"])
            assert paid["calendar_year"] == max(2027, 2026 + paid["year"])
        total = sum(money(paid["present_value"]) for paid in one["payments"])
        assert total == money(one["life_cycle_cost"])
        assert sum(money(kind["present_value"]) for kind in one["by_kind"]) == total
        assert sum(money(year["present_value"]) for year in one["years"]) == total
        assert money(one["years"][-1]["present_value_so_far"]) == total
        steps = {step["name"]: step for step in one["derivation"]}
        assert Decimal(steps["life-cycle cost"]["value"]) == total
    keep, replace = found["alternatives"]
    assert {paid["year"] for paid in replace["payments"] if paid["kind"] == "replacement"} == {15}
    # Ten of its fifteen years are left of what was bought again for 30,000.00.
    (residual,) = [paid for paid in replace["payments"] if paid["kind"] == "residual"]
    assert residual["amount_today"]["amount"] == "-20000.00"
    assert money(replace["more_than_first"]) == money(replace["life_cycle_cost"]) - money(
        keep["life_cycle_cost"]
    )
    assert -money(replace["more_than_first"]) == money(replace["against_first"]["net_savings"])


def test_payback_is_first_cost_by_yearly_saving(api: Api) -> None:
    study = a_study(KEEP, a_machine("Replace", "30000.00", "1700.00"), name="Payback")
    against = figures_of(api, api.created(STUDIES, study))["alternatives"][1]["against_first"]
    # 30,000 / 3,500 a year is 8.57 years.
    assert against["simple_payback"]["years"] == "8.57"
    assert Decimal(against["discounted_payback"]["years"]) > Decimal("8.57")
    assert against["simple_payback"]["saved_so_far"][0] == usd("-30000.00")
    names = [step["name"] for step in against["derivation"]]
    assert {"net savings", "savings-to-investment ratio", "simple payback"} <= set(names)
    (rate,) = against["rates_of_return_percent"]
    assert 9 < Decimal(rate) < 10


def test_the_cost_of_a_part_is_the_total_of_its_estimate(api: Api) -> None:
    ways = two_ways(api)
    estimates = (ways["own_estimate"], ways["hired_estimate"])
    alternatives = [
        {"label": label, "parts": [{"name": "Work", "estimate_id": one["id"], "life_years": 5}]}
        for label, one in zip(("Own crew", "Contractor"), estimates, strict=True)
    ]
    found = figures_of(api, api.created(STUDIES, a_study(*alternatives, study_years=10)))
    for one, estimate in zip(found["alternatives"], estimates, strict=True):
        paid = {(row["kind"], row["year"]): row["amount_today"] for row in one["payments"]}
        assert paid == {("initial", 0): estimate["total"], ("replacement", 5): estimate["total"]}


def test_a_nominal_rate_is_turned_into_a_real_one(api: Api) -> None:
    terms = {"discount_percent": "5.06", "discount_kind": "nominal", "inflation_percent": "2"}
    nominal, real = (
        figures_of(api, api.created(STUDIES, a_study(KEEP, REPLACE, **more)))
        for more in (terms | {"name": "Nominal"}, {"name": "Real"})
    )
    assert (nominal["rate_percent"], nominal["rate_kind"]) == ("3", "real")
    for one, other in zip(nominal["alternatives"], real["alternatives"], strict=True):
        assert one["life_cycle_cost"] == other["life_cycle_cost"]
    current = terms | {"name": "Current", "money": "current"}
    paid = figures_of(api, api.created(STUDIES, a_study(KEEP, REPLACE, **current)))
    upkeep = [row for row in paid["alternatives"][0]["payments"] if row["kind"] == "upkeep"]
    assert (upkeep[0]["amount"]["amount"], paid["rate_percent"]) == ("5304.00", "5.06")


def test_csv_holds_the_same_figures(api: Api) -> None:
    study = api.created(STUDIES, a_study(KEEP, REPLACE))
    answer = api.get(f"{STUDIES}/{study['id']}/figures", headers={"Accept": "text/csv"})
    rows = list(csv.reader(io.StringIO(answer.text)))
    assert rows[0] == ["figure", "unit", "Keep", "Replace"]
    by_name = {row[0]: row[1:] for row in rows}
    found = figures_of(api, study)["alternatives"]
    assert by_name["life_cycle_cost"] == ["USD", *(one["life_cycle_cost"]["amount"] for one in found)]
    assert by_name["net_savings"] == ["USD", "", found[1]["against_first"]["net_savings"]["amount"]]
    assert by_name["amount_of_year_15"][2] == found[1]["years"][15]["amount"]["amount"]
    assert len(rows) == len(by_name)


def test_a_study_is_edited_and_deleted_by_its_version(api: Api) -> None:
    study = api.created(STUDIES, a_study(KEEP, REPLACE))
    place = f"{STUDIES}/{study['id']}"
    body = a_study(KEEP, REPLACE, study_years=10)
    changed = api.put(place, json=body, headers={"If-Match": '"1"'})
    assert (changed.status_code, changed.json()["study_years"], changed.json()["version"]) == (200, 10, 2)
    assert api.put(place, json=body, headers={"If-Match": '"1"'}).status_code == 412
    assert api.put(place, json=body).status_code == 428
    assert api.get(place).json() == changed.json()
    assert api.get(STUDIES).json()["items"] == [changed.json()]
    assert figures_of(api, study)["study_years"] == 10
    assert api.delete(place, headers={"If-Match": '"2"'}).status_code == 204
    assert api.get(place).status_code == 404
    assert api.get(f"{place}/figures").status_code == 404
    entries = api.get(f"/audit?subject=life_cycle_study&subject_id={study['id']}").json()["items"]
    assert [one["action"] for one in entries] == ["delete", "change", "create"]


def test_names_are_unique_within_the_club(api: Api) -> None:
    api.created(STUDIES, a_study(KEEP, REPLACE))
    again = api.post(STUDIES, json=a_study(KEEP, REPLACE))
    assert (again.status_code, again.json()["type"]) == (409, "/problems/duplicate")
    other = api.created(STUDIES, a_study(KEEP, REPLACE, name="Other"))
    renamed = api.put(f"{STUDIES}/{other['id']}", json=a_study(KEEP, REPLACE), headers={"If-Match": '"1"'})
    assert renamed.json()["type"] == "/problems/duplicate"


def part(**more: Any) -> Document:
    return {"label": "Part", "parts": [{"name": "Pump", "cost": usd("100.00")} | more]}


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"alternatives": [KEEP, {"label": "X", "parts": [{"name": "Work", "estimate_id": NOBODY}]}]},
         "/alternatives/1/parts/0/estimate_id"),
        ({"alternatives": [KEEP, part(cost={"amount": "1.00", "currency": "EUR"})]}, "/alternatives/1/parts/0/cost"),
        ({"alternatives": [KEEP, part(cost=usd("-1.00"))]}, "/alternatives/1/parts/0/cost"),
        ({"alternatives": [KEEP, part(replaced_in=[20])]}, "/alternatives/1"),
        ({"alternatives": [KEEP, part(replaced_in=[5, 4])]}, "/alternatives/1/parts/0"),
        ({"alternatives": [KEEP, {"label": "X", "yearly_costs": [yearly("Y", "1.00", first_year=21)]}]},
         "/alternatives/1"),
        ({"alternatives": [{"label": "X"}, {"label": "Y"}]}, "/alternatives"),
        ({"discount_kind": "nominal"}, "/inflation_percent"),
        ({"alternatives": [KEEP, part(growth={"percent": "3", "kind": "of_its_own"})]}, "/inflation_percent"),
    ],
)  # fmt: skip
def test_what_cannot_be_counted_is_refused_with_its_place(api: Api, change: Document, pointer: str) -> None:
    refused = api.post(STUDIES, json=a_study(KEEP, REPLACE) | change)
    assert refused.status_code == 422, refused.text
    assert refused.json()["type"] == "/problems/invalid-values"
    assert [fault["pointer"] for fault in refused.json()["faults"]] == [pointer]
    assert api.get(STUDIES).json()["items"] == []


@pytest.mark.parametrize(
    "change",
    [
        {"study_years": 0},
        {"study_years": 101},
        {"discount_percent": "101"},
        {"alternatives": [KEEP]},
        {"alternatives": [KEEP, part(estimate_id=NOBODY)]},
        {"alternatives": [KEEP, part(residual="stated")]},
        {"alternatives": [KEEP, part(residual="straight_line")]},
    ],
)
def test_a_malformed_study_is_refused(api: Api, change: Document) -> None:
    refused = api.post(STUDIES, json=a_study(KEEP, REPLACE) | change)
    assert (refused.status_code, refused.json()["type"]) == (400, "/problems/invalid-request")
    (place,) = change
    assert refused.json()["faults"][0]["pointer"].startswith(f"/{place}")


def test_each_alternative_has_a_label_of_its_own(api: Api) -> None:
    refused = api.post(STUDIES, json=a_study(KEEP, KEEP))
    assert refused.status_code == 400
    assert [fault["expected"] for fault in refused.json()["faults"]] == ["each label once"]


def test_the_committee_reads_and_does_not_write(api: Api) -> None:
    study = api.created(STUDIES, a_study(KEEP, REPLACE))
    committee = api.as_role("committee")
    assert committee.get(f"{STUDIES}/{study['id']}/figures").status_code == 200
    assert committee.post(STUDIES, json=a_study(KEEP, REPLACE, name="No")).status_code == 403
    stranger = api.of_new_club("other-side")
    assert stranger.get(f"{STUDIES}/{study['id']}").status_code == 404
    assert stranger.get(f"{STUDIES}/{study['id']}/figures").status_code == 404


def test_what_is_bought_costs_zero_or_more_and_is_refused_where_it_stands(api: Api) -> None:
    below = {
        "label": "Below",
        "parts": [{"name": "Machine", "cost": usd("-5"), "life_years": 4, "replacement_cost": usd("-0.01")}],
    }
    response = api.post(STUDIES, json=a_study(KEEP, below))
    assert response.status_code == 422
    assert [(one["pointer"], one["expected"], one["got"]) for one in response.json()["faults"]] == [
        ("/alternatives/1/parts/0/cost", "zero or more", "-5"),
        ("/alternatives/1/parts/0/replacement_cost", "zero or more", "-0.01"),
    ]


def test_payments_that_come_to_more_than_can_be_meant_are_refused(api: Api) -> None:
    most = {"label": "Most", "parts": [{"name": "Land", "cost": usd("999999999999")}] * 2}
    response = api.post(STUDIES, json=a_study(KEEP, most))
    assert response.status_code == 422
    (fault,) = response.json()["faults"]
    assert fault["pointer"] == "/alternatives"
    assert "less than 1,000,000,000,000 USD" in fault["expected"]


def test_a_ratio_with_more_digits_than_can_be_told_is_left_out(api: Api) -> None:
    given = {
        "label": "Nearly given",
        "parts": [{"name": "Machine", "cost": usd("0.01")}],
        "yearly_costs": [yearly("Prize", "-40000000000.00")],
    }
    found = figures_of(api, api.created(STUDIES, a_study(KEEP, given)))
    against = found["alternatives"][1]["against_first"]
    assert money(against["net_savings"]) > 0
    assert against["savings_to_investment_ratio"] is None
    assert against["rates_of_return_percent"] == []
    assert Decimal(against["adjusted_rate_of_return_percent"]) > 0


def test_what_costs_less_at_first_is_not_said_to_pay_back(api: Api) -> None:
    once = {"label": "Once", "parts": [{"name": "Machine", "cost": usd("1000")}]}
    often = {"label": "Often", "parts": [{"name": "Machine", "cost": usd("100"), "life_years": 1}]}
    given = {
        "label": "Taken away",
        "parts": [
            {"name": "Machine", "cost": usd("1000"), "residual": "stated", "residual_value": usd("-50")}
        ],
    }
    found = figures_of(api, api.created(STUDIES, a_study(once, often, given)))
    said = [words for words in found["conclusions"] if words.startswith(("Often", "Taken away"))]
    assert len(said) == 3
    assert said[1] == "Often costs no more at first, and is behind at the end of year 11."
    assert "costs" in said[2]
    assert not any("paid back" in words for words in found["conclusions"])
