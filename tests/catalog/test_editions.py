"""Editions of the catalog through the API."""

from catalog_factories import HEADER, a_draft, a_published_edition, a_vendor, an_item, exported, put
from conftest import Api

REDATED = {"name": "Spring 2026, second round", "price_date": "2026-04-01"}


def test_a_draft_has_the_clubs_currency_and_can_be_renamed_and_redated(api: Api) -> None:
    edition = a_draft(api)
    path = f"/editions/{edition}"
    draft = api.get(path).json()
    assert (draft["status"], draft["currency"], draft["published_at"]) == ("draft", "USD", None)
    edited = api.put(path, json=REDATED, headers={"If-Match": '"1"'})
    assert (edited.json()["name"], edited.json()["price_date"], edited.json()["version"]) == (
        "Spring 2026, second round",
        "2026-04-01",
        2,
    )
    assert api.put(path, json=REDATED, headers={"If-Match": '"1"'}).status_code == 412
    abroad = api.of_new_club("stone-weir", "EUR")
    assert abroad.get(f"/editions/{a_draft(abroad)}").json()["currency"] == "EUR"


def test_edition_names_are_unique_within_a_club(api: Api) -> None:
    a_draft(api)
    again = api.post("/editions", json={"name": "Spring 2026", "price_date": "2026-03-02"})
    assert (again.status_code, again.json()["type"]) == (409, "/problems/duplicate")


def test_dates_are_written_as_year_month_day(api: Api) -> None:
    for day in ("86400", "2026-3-1", "2026-02-30", "2026-03-01T00:00:00", 86400):
        response = api.post("/editions", json={"name": "Spring", "price_date": day})
        assert response.status_code == 400, day
        assert response.json()["faults"][0]["pointer"] == "/price_date"


def test_editions_are_listed_latest_first_and_by_status(api: Api) -> None:
    old, new = a_published_edition(api), a_draft(api)
    assert [e["id"] for e in api.get("/editions").json()["items"]] == [new, old]
    assert [e["id"] for e in api.get("/editions?status=published").json()["items"]] == [old]
    page = api.get("/editions?limit=1")
    assert [e["id"] for e in api.get(page.links["next"]["url"]).json()["items"]] == [old]


def test_an_empty_draft_cannot_be_published(api: Api) -> None:
    refused = api.post(f"/editions/{a_draft(api)}/publish")
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/wrong-state")


def test_a_published_edition_stays_as_it_is(api: Api) -> None:
    edition = a_published_edition(api)
    path, match = f"/editions/{edition}", {"If-Match": '"2"'}
    before, file = api.get(path).json(), exported(api, edition)
    assert (before["status"], before["published_at"] is not None) == ("published", True)
    change = {k: v for k, v in an_item().items() if k != "code"}
    refused = [
        api.put(path, json=REDATED, headers=match),
        api.delete(path, headers=match),
        api.post(f"{path}/publish"),
        api.post(f"{path}/items", json=an_item("SAND-BK")),
        api.put(f"{path}/items/SAND-TD", json=change, headers={"If-Match": '"1"'}),
        api.delete(f"{path}/items/SAND-TD", headers={"If-Match": '"1"'}),
        api.upload(f"{path}/items/upload", HEADER + "SAND-BK,material,Sand,short_ton,1,,,yes,,,,,,\n"),
    ]
    assert [r.json()["type"] for r in refused] == ["/problems/wrong-state"] * len(refused)
    assert {r.status_code for r in refused} == {409}
    assert (api.get(path).json(), exported(api, edition)) == (before, file)


def test_a_draft_can_be_deleted_with_its_items(api: Api) -> None:
    edition = a_draft(api)
    put(api, edition, vendor_id=a_vendor(api))
    assert api.delete(f"/editions/{edition}", headers={"If-Match": '"7"'}).status_code == 412
    assert api.get(f"/editions/{edition}/items/SAND-TD").status_code == 200
    assert api.delete(f"/editions/{edition}", headers={"If-Match": '"1"'}).status_code == 204
    assert api.get(f"/editions/{edition}").status_code == 404


def test_a_copy_starts_with_the_items_of_its_source_and_goes_its_own_way(api: Api) -> None:
    source = a_draft(api)
    put(api, source, vendor_id=a_vendor(api), valid_until="2026-06-30", note="washed")
    put(api, source, "SOD-BENT", kind="sod", unit="square_foot", unit_price=None)
    api.post(f"/editions/{source}/publish")
    copy = a_draft(api, "Summer 2026", copy_of=source)
    assert exported(api, copy) == exported(api, source)
    assert api.get(f"/editions/{copy}").json()["status"] == "draft"
    assert api.delete(f"/editions/{copy}/items/SOD-BENT", headers={"If-Match": '"1"'}).status_code == 204
    assert len(api.get(f"/editions/{source}/items").json()["items"]) == 2


def test_a_copy_of_nothing_is_refused(api: Api) -> None:
    elsewhere = a_published_edition(api.of_new_club("stone-weir"))
    body = {"name": "Copy", "price_date": "2026-03-01", "copy_of": elsewhere}
    refused = api.post("/editions", json=body)
    assert (refused.status_code, refused.json()["faults"][0]["pointer"]) == (422, "/copy_of")
    assert api.get("/editions").json()["items"] == []


def test_each_change_leaves_an_audit_row_and_an_upload_leaves_one(api: Api) -> None:
    edition = a_draft(api)
    rows = "".join(f"SOD-{n},sod,Bentgrass sod,square_foot,0.85,,,yes,,,,,,\n" for n in range(5))
    api.upload(f"/editions/{edition}/items/upload", HEADER + rows)
    api.post(f"/editions/{edition}/publish")
    entries = api.get(f"/audit?subject=edition&subject_id={edition}").json()["items"]
    assert [entry["action"] for entry in entries] == ["publish", "upload", "create"]
    assert entries[1]["after"] == {"added": 5, "replaced": 0, "unchanged": 0}
    assert api.get("/audit?subject=item").json()["items"] == []
