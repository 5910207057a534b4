"""Who may approve how much, of planned and of unplanned adjustments."""

from typing import Any

from budget_factories import a_budget_with_contingency, entry, proposed, usd
from conftest import Api
from estimate_factories import Document

LIMITS = "/approval-limits"


def limits_of(api: Api, *limits: Document, **more: Any) -> Document:
    """The club's limits, replaced by these."""
    tag = api.get(LIMITS).headers["ETag"]
    response = api.put(LIMITS, json={"limits": list(limits)} | more, headers={"If-Match": tag})
    assert response.status_code == 200, response.text
    document: Document = response.json()
    return document


def an_addition(api: Api, budget: Document, amount: str, **more: Any) -> Document:
    return proposed(api, budget, "change_order", entry(budget["lines"][0], "2026-10", amount), **more)


def outcome(api: Api, adjustment: Document, verb: str = "approve") -> tuple[int, str]:
    response = api.post(f"/adjustments/{adjustment['id']}/{verb}", json={})
    return response.status_code, response.json().get("detail", "")


def test_at_first_an_owner_alone_approves_any_amount(api: Api) -> None:
    budget = a_budget_with_contingency(api)
    assert api.get(LIMITS).json() == {
        "limits": [{"role": "owner", "up_to": None, "emergency_up_to": None}],
        "another_person": False,
        "version": 1,
    }
    made = an_addition(api, budget, "1000000")
    for role in ("superintendent", "controller", "committee"):
        status, detail = outcome(api.as_role(role), made)
        assert (status, detail) == (403, "Adjustments are decided by the roles owner."), role
        assert outcome(api.as_role(role), made, "decline")[0] == 403
    assert outcome(api, made)[0] == 200


def test_a_role_approves_up_to_its_limit_and_the_refusal_names_it(api: Api) -> None:
    budget = a_budget_with_contingency(api)
    limits_of(
        api, {"role": "superintendent", "up_to": usd("500"), "emergency_up_to": usd("2500")},
        {"role": "committee", "up_to": None},
    )  # fmt: skip
    superintendent, committee = api.as_role("superintendent"), api.as_role("committee")
    assert outcome(superintendent, an_addition(api, budget, "500"))[0] == 200
    above = an_addition(api, budget, "500.01")
    assert outcome(superintendent, above) == (
        403,
        "A key of the role superintendent may approve adjustments up to 500 USD; this one is 500.01 USD.",
    )
    assert outcome(api, above)[0] == 403  # the owner gave that away
    assert api.get(f"/adjustments/{above['id']}").json() == above
    assert outcome(committee, above)[0] == 200
    assert outcome(superintendent, an_addition(api, budget, "2500", unplanned=True))[0] == 200
    beyond = an_addition(api, budget, "2500.01", unplanned=True)
    assert "unplanned work up to 2500 USD" in outcome(superintendent, beyond)[1]
    assert outcome(superintendent, beyond, "decline")[0] == 200


def test_another_person_must_approve_where_the_club_says_so(api: Api) -> None:
    budget = a_budget_with_contingency(api)
    limits_of(
        api, {"role": "owner", "up_to": None}, {"role": "controller", "up_to": None}, another_person=True
    )
    controller = api.as_role("controller")
    made = an_addition(controller, budget, "10")
    same_name = api.as_role("controller")  # another key of the same person
    for who in (controller, same_name):
        assert outcome(who, made) == (
            403,
            "Whoever proposed an adjustment may not approve it here; another person must.",
        )
    assert outcome(api, made)[0] == 200


def test_limits_are_edited_by_owners_against_their_version(api: Api) -> None:
    body = {"limits": [{"role": "controller", "up_to": usd("100")}]}
    assert api.put(LIMITS, json=body).status_code == 428
    assert api.put(LIMITS, json=body, headers={"If-Match": '"2"'}).status_code == 412
    assert api.as_role("controller").put(LIMITS, json=body, headers={"If-Match": '"1"'}).status_code == 403
    assert api.put(LIMITS, json=body, headers={"If-Match": '"1"'}).json()["version"] == 2
    assert api.put(LIMITS, json=body, headers={"If-Match": '"1"'}).status_code == 412
    after = limits_of(api, {"role": "owner", "up_to": usd("5")})
    assert (after["version"], api.as_role("integrator").get(LIMITS).json()) == (3, after)
    trail = api.get("/audit?subject=approval_limits").json()["items"]
    assert [(one["action"], one["after"]["version"]) for one in trail] == [("change", 3), ("change", 2)]
    assert trail[0]["before"]["limits"][0]["role"] == "controller"
    assert api.of_new_club("stone-weir").get(LIMITS).json()["version"] == 1


def test_limits_that_make_no_sense_are_refused(api: Api) -> None:
    def pointers(*limits: Document) -> tuple[int, list[str]]:
        response = api.put(LIMITS, json={"limits": list(limits)}, headers={"If-Match": '"1"'})
        return response.status_code, [fault["pointer"] for fault in response.json()["faults"]]

    assert pointers()[0] == 400
    assert pointers({"role": "integrator", "up_to": None})[0] == 400
    twice = {"role": "owner", "up_to": None}
    assert pointers(twice, twice)[0] == 400
    assert pointers({"role": "owner", "up_to": usd("-1")}) == (422, ["/limits/0/up_to/amount"])
    euros = {"amount": "1", "currency": "EUR"}
    assert pointers({"role": "owner", "up_to": None, "emergency_up_to": euros}) == (
        422,
        ["/limits/0/emergency_up_to/currency"],
    )
    assert api.get(LIMITS).json()["version"] == 1
