"""Vendors through the API."""

from catalog_factories import a_draft, a_published_edition, a_vendor, put
from conftest import Api


def test_a_vendor_can_be_read_listed_and_edited(api: Api) -> None:
    vendor = a_vendor(api, phone="555-0142", note="Gate closes at 4 pm")
    a_vendor(api, "Briar Hill Sod Farm")
    path = f"/vendors/{vendor}"
    read = api.get(path)
    assert (read.json()["phone"], read.json()["email"], read.json()["version"]) == ("555-0142", None, 1)
    body = {"name": "Alder Creek Aggregates", "email": "orders@aldercreek.example"}
    edited = api.put(path, json=body, headers={"If-Match": '"1"'})
    assert (edited.status_code, edited.json()["phone"], edited.json()["note"]) == (200, None, "")
    assert [v["name"] for v in api.get("/vendors").json()["items"]] == [
        "Alder Creek Aggregates",
        "Briar Hill Sod Farm",
    ]
    assert api.put(path, json=body, headers={"If-Match": '"1"'}).status_code == 412
    assert api.put(path, json=body).status_code == 428


def test_vendor_names_are_unique_within_a_club(api: Api) -> None:
    a_vendor(api)
    other = a_vendor(api, "Briar Hill Sod Farm")
    taken = {"name": "Alder Creek Sand and Gravel"}
    assert api.post("/vendors", json=taken).json()["type"] == "/problems/duplicate"
    renamed = api.put(f"/vendors/{other}", json=taken, headers={"If-Match": '"1"'})
    assert renamed.json()["type"] == "/problems/duplicate"
    a_vendor(api.of_new_club("stone-weir"))


def test_a_vendor_named_by_an_item_cannot_be_deleted(api: Api) -> None:
    vendor, idle = a_vendor(api), a_vendor(api, "Briar Hill Sod Farm")
    edition = a_draft(api)
    put(api, edition, vendor_id=vendor)
    refused = api.delete(f"/vendors/{vendor}", headers={"If-Match": '"1"'})
    assert (refused.status_code, refused.json()["type"]) == (409, "/problems/in-use")
    assert "SAND-TD" in refused.json()["detail"]
    assert "Spring 2026" in refused.json()["detail"]
    assert api.delete(f"/vendors/{idle}", headers={"If-Match": '"1"'}).status_code == 204
    assert api.get(f"/vendors/{idle}").status_code == 404


def test_another_clubs_catalog_is_not_there(api: Api) -> None:
    vendor, edition = a_vendor(api), a_published_edition(api)
    stranger = api.of_new_club("stone-weir")
    assert stranger.get(f"/vendors/{vendor}").status_code == 404
    assert stranger.get(f"/editions/{edition}").status_code == 404
    assert stranger.get(f"/editions/{edition}/items").status_code == 404
    assert stranger.get(f"/editions/{edition}/items/SAND-TD").status_code == 404
    assert stranger.get(f"/editions/{edition}/items/export").status_code == 404
    assert stranger.post(f"/editions/{edition}/publish").status_code == 404
    assert stranger.get("/vendors").json()["items"] == []


def test_only_who_prices_may_write_and_every_role_may_read(api: Api) -> None:
    edition = a_draft(api)
    put(api, edition)
    new = {"name": "Briar Hill Sod Farm"}
    assert api.as_role("superintendent").post("/vendors", json=new).status_code == 201
    for role in ("controller", "committee", "integrator"):
        reader = api.as_role(role)
        assert reader.post("/vendors", json=new).status_code == 403
        assert reader.post(f"/editions/{edition}/publish").status_code == 403
        assert reader.upload(f"/editions/{edition}/items/upload", "").status_code == 403
        assert reader.get(f"/editions/{edition}/items/SAND-TD").status_code == 200
        assert reader.get(f"/editions/{edition}/items/export").status_code == 200
