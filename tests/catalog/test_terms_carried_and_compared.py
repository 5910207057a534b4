"""Terms through the API when editions are compared and carried forward: rates, wage bases, references."""

import csv
import io
from typing import Any

import pytest
from catalog_factories import a_draft, put
from conftest import Api
from price_move_factories import SAND, Document, published, the_earlier, usd

LOADER: Document = {
    "kind": "rental", "unit": "hour", "unit_price": None, "taxable": True,
    "terms": {
        "form": "rental", "delivery": "180", "pick_up": "180",
        "periods": [
            {"name": "day", "days": 1, "price": "310"},
            {"name": "week", "days": 7, "price": "1450", "included_hours": "40"},
            {"name": "four_week", "days": 28, "price": "3900", "included_hours": "160", "over_hour_price": "24"},
        ],
    },
}  # fmt: skip


def hands(*years: int, year: int = 2026) -> Document:
    """Seasonal hands, with wage bases of these years."""
    bases = [{"year": one, "wages": "7000"} for one in years]
    return {
        "kind": "labor", "unit": "hour", "unit_price": None, "taxable": False,
        "terms": {
            "form": "labor", "year": year, "own_staff": True,
            "grades": [{"name": "Hand", "people": 1, "wage": "20.00", "hours_a_week": "40"}],
            "burden": [{"name": "Unemployment", "percent": "0.6", "source": "Form 940", "bases": bases}],
        },
    }  # fmt: skip


def carried(api: Api, draft: str, source: str, **more: Any) -> Document:
    body = {"from_edition_id": source, "percent": "4"} | more
    response = api.post(f"/editions/{draft}/carry-forward", json=body)
    assert response.status_code == 200, response.text
    document: Document = response.json()
    return document


def moves(api: Api, edition: str, earlier: str) -> list[Document]:
    found: list[Document] = api.get(f"/editions/{edition}/comparison?earlier_edition_id={earlier}").json()[
        "moves"
    ]
    return found


def rates(move: Document) -> list[tuple[str | None, ...]]:
    return [(one["name"], one["before"], one["after"], one["percent"]) for one in move["terms_moved"]]


def test_each_rental_rate_that_moved_is_shown_and_not_the_word_terms_alone(api: Api) -> None:
    source, draft = the_earlier(api, "LOADER", **LOADER), a_draft(api)
    carried(api, draft, source)
    (move,) = moves(api, draft, source)
    assert (move["what"], move["before"], move["after"], move["percent"]) == ("terms", None, None, None)
    # Four percent each; the hour over of the week is 1/40 of it, 36.25 and 37.70.
    assert rates(move) == [
        ("day", "310", "322.40", "4.00"), ("week", "1450", "1508.00", "4.00"),
        ("week, hour over", "36.25", "37.70", "4.00"), ("four_week", "3900", "4056.00", "4.00"),
        ("four_week, hour over", "24", "24.96", "4.00"), ("delivery", "180", "187.20", "4.00"),
        ("pick up", "180", "187.20", "4.00"),
    ]  # fmt: skip
    assert all(one["is_money"] for one in move["terms_moved"])


def test_the_csv_face_shows_the_rates_in_words(api: Api) -> None:
    source, draft = the_earlier(api, "LOADER", **LOADER), a_draft(api)
    terms = LOADER["terms"] | {"delivery": "190", "fuel": FUEL, "periods": LOADER["terms"]["periods"][1:]}
    put(api, draft, "LOADER", **LOADER | {"terms": terms})
    response = api.get(
        f"/editions/{draft}/comparison?earlier_edition_id={source}", headers={"Accept": "text/csv"}
    )
    (row,) = csv.DictReader(io.StringIO(response.text.removeprefix("\ufeff")))
    assert row["terms_moved"] == (
        "delivery: 180 to 190 (5.56 %); fuel, use per hour: new, 2.4; fuel: new, 4.19; day, days: gone, was 1; "
        "day: gone, was 310"
    )


FUEL = {"use_per_hour": "2.4", "unit": "us_gallon", "price": "4.19"}


def test_a_unit_price_that_moves_with_its_terms_shows_both(api: Api) -> None:
    charge = {"form": "purchase", "minimum_charge": "250.00"}
    before, after = a_draft(api, "Before"), a_draft(api, "After")
    put(api, before, terms=charge)
    put(api, after, terms=charge | {"minimum_charge": "275"}, unit_price=usd("40.04"))
    (move,) = moves(api, after, before)
    assert (move["what"], move["percent"]) == ("price", "4.00")
    assert rates(move) == [("minimum charge", "250.00", "275", "10.00")]


def test_terms_in_another_unit_or_of_one_edition_alone_are_not_compared(api: Api) -> None:
    before, after = a_draft(api, "Before"), a_draft(api, "After")
    put(api, before, terms={"form": "purchase", "minimum_charge": "250.00"})
    put(api, after, terms={"form": "purchase", "minimum_charge": "275"}, unit="metric_ton")
    put(api, after, "LOADER", **LOADER)
    found = moves(api, after, before)
    assert [(move["what"], move["terms_moved"]) for move in found] == [("added", []), ("unit", [])]


def test_the_exposure_of_an_estimate_shows_the_rates_as_well(api: Api) -> None:
    source, later = the_earlier(api, "LOADER", **LOADER), a_draft(api)
    carried(api, later, source)
    body = {"name": "Autumn", "starts_on": "2026-09-07", "ends_on": "2026-09-18"}
    project = api.created("/projects", body)["id"]
    work = {
        "name": "Loading", "method": "plain_quantity", "area_ids": [],
        "parameters": {"quantity": {"value": "1", "unit": "lump_sum"}},
        "resources": [{"item": "LOADER", "quantity": {"value": "16", "unit": "hour"}}],
    }  # fmt: skip
    api.created(f"/projects/{project}/scope-items", work)
    estimate = api.created(f"/projects/{project}/estimates", {"name": "Own crew", "edition_id": source})
    found = api.get(f"/estimates/{estimate['id']}/exposure", params={"edition_id": later}).json()
    assert [(one["what"], len(one["terms_moved"])) for one in found["items"]] == [("terms", 7)]


@pytest.mark.parametrize(
    ("build_up", "years"),
    [
        (hands(2026), [2026]), (hands(2026, 2027), [2026]), (hands(2025, year=2025), [2025]),
        (hands(2027, year=2027), []), (hands(), []),
    ],
)  # fmt: skip
def test_wage_bases_that_stay_in_their_year_are_named(api: Api, build_up: Document, years: list[int]) -> None:
    source = the_earlier(api, "HANDS", **build_up)
    draft = a_draft(api, "Spring 2027", price_date="2027-02-01")
    found = carried(api, draft, source)["stale_wage_bases"]
    assert [(one["item"], one["year"]) for one in found] == [("HANDS", year) for year in years]
    for one in found:
        assert one["message"] == (
            f"HANDS is carried to prices of 2027 with the wage bases of {one['year']}; they are set by law and were "
            "not moved."
        )
    after = api.get(f"/editions/{draft}/items/HANDS").json()["terms"]
    assert after["year"] == build_up["terms"]["year"]


def test_wage_bases_of_items_that_are_left_alone_are_not_named(api: Api) -> None:
    source = the_earlier(api, "HANDS", **hands(2026))
    draft = a_draft(api, "Spring 2027", price_date="2027-02-01")
    put(api, draft, "HANDS", **hands(2027, year=2027))
    assert carried(api, draft, source)["stale_wage_bases"] == []
    assert len(carried(api, draft, source, replace=True)["stale_wage_bases"]) == 1


@pytest.mark.parametrize("length", [1900, 1940, 1990, 2000])
def test_a_long_reference_keeps_its_beginning_and_is_shortened_at_its_end(api: Api, length: int) -> None:
    letter = "Letter of 20 February " + "x" * (length - 22)
    source, draft = the_earlier(api, reference=letter), a_draft(api)
    carried(api, draft, source)
    found = api.get(f"/editions/{draft}/items/{SAND}").json()["reference"]
    whole = f"{letter}; carried forward from Spring 2025, 4 %, as stated"
    if len(whole) <= 2000:
        assert found == whole
    else:
        assert (len(found), found) == (2000, whole[:1999] + "…")
    again = a_draft(api, "Spring 2027")
    carried(api, again, published(api, draft))
    assert api.get(f"/editions/{again}/items/{SAND}").json()["reference"].startswith(found[:1999])
