"""The estimate packet: its figures are those of the service to the cent, and nothing missing reads as zero."""

from decimal import Decimal

from conftest import Api
from estimate_factories import Document, accepted, issued, lines_of
from estimate_packet_factories import (
    Composed,
    a_programme,
    packet_of,
    simulated,
    uncertain,
)
from swardcost_api.packets.document import SignOff, Weight
from swardcost_api.packets.formatter import Formatter
from swardcost_api.packets.relations import Product
from swardcost_api.packets.values import Measured, Share, UnitPrice, number_of
from swardcost_model.values import Money


def cents(packet: Composed, table: str, row: str, column: str) -> Decimal | None:
    value = packet.value(table, row, column)
    assert value is None or isinstance(value, Money)
    return None if value is None else value.amount


def due(money: Document | None) -> Decimal | None:
    return None if money is None else Decimal(money["amount"])


def test_every_line_is_that_of_the_service_and_follows_from_its_quantity_and_price(api: Api) -> None:
    estimate = a_programme(api)
    packet = packet_of(api, estimate)
    lines = lines_of(api, estimate["id"])
    assert len(lines) >= 4
    for line in lines:
        row = packet.rows("lines")[f"line-{line['number']}"]
        name, vendor, quantity, price, amount, cash = row.cells
        assert name.value == f"{line['item']}, as quoted"
        assert vendor.value == line["vendor"]
        assert quantity.value == Measured(Decimal(line["quantity"]), line["unit"], as_bought=True)
        assert price.value == UnitPrice(Decimal(line["unit_price"]["amount"]), "USD", line["unit"])
        assert (number_of(amount.value), number_of(cash.value)) == (
            due(line["amount"]),
            due(line["cash_amount"]),
        )
        assert amount.computed == Product(("quantity", "price"))
        assert amount.why == f"line-{line['number']}"
    assert any(due(line["amount"]) != due(line["cash_amount"]) for line in lines)


def test_the_steps_behind_each_line_lead_to_its_amount(api: Api) -> None:
    estimate = a_programme(api)
    packet = packet_of(api, estimate)
    steps = {one.id: one.steps for one in packet.document.derivations}
    for line in lines_of(api, estimate["id"]):
        values = [one.value for one in steps[f"line-{line['number']}"]]
        assert Money(amount=Decimal(line["amount"]["amount"]), currency="USD") in values


def test_markups_and_totals_are_those_of_the_service(api: Api) -> None:
    estimate = a_programme(api)
    packet = packet_of(api, estimate)
    for number, markup in enumerate(estimate["markups"], start=1):
        row = f"markup-{number}"
        assert cents(packet, "total-cost", row, "base") == due(markup["base"])
        assert cents(packet, "total-cost", row, "amount") == due(markup["amount"])
        assert cents(packet, "total-cost", row, "cash") == due(markup["cash_amount"])
        percent = packet.value("total-cost", row, "percent")
        assert isinstance(percent, Share)
        assert percent.percent == Decimal(markup["percent"])
    assert cents(packet, "total-cost", "direct", "amount") == due(estimate["direct"])
    assert cents(packet, "total-cost", "total", "amount") == due(estimate["total"])
    assert cents(packet, "total-cost", "total", "cash") == due(estimate["cash_total"])
    assert packet.figure("At the lowest prices").amount == due(estimate["low_total"])  # type: ignore[union-attr]
    assert packet.figure("At the highest prices").amount == due(estimate["high_total"])  # type: ignore[union-attr]
    together = packet.rows("total-cost")["before-" + str(len(estimate["markups"]))]
    assert number_of(together.cells[3].value) == due(estimate["markups"][-1]["base"])


def test_other_headings_and_the_scope_add_up_to_the_direct_cost(api: Api) -> None:
    estimate = a_programme(api)
    packet = packet_of(api, estimate)
    for name, heading in (("by-kind", "by_item_kind"), ("by-account", "by_account")):
        amounts = [
            number_of(row.cells[1].value) for row in packet.table(name).rows if row.weight is Weight.ITEM
        ]
        assert amounts == [due(one["amount"]) for one in estimate["subtotals"][heading]]
    assert cents(packet, "scope", "direct", "amount") == due(estimate["direct"])
    scope = [number_of(row.cells[3].value) for row in packet.table("scope").rows if row.weight is Weight.ITEM]
    assert scope == [due(one["amount"]) for one in estimate["subtotals"]["by_scope_item"]]


def test_what_has_no_price_is_told_and_has_no_amount(api: Api) -> None:
    estimate = a_programme(api, straw=True)
    assert estimate["complete"] is False
    packet = packet_of(api, estimate)
    line = next(one for one in lines_of(api, estimate["id"]) if one["item"] == "STRAW")
    row = packet.rows("lines")[f"line-{line['number']}"]
    assert [row.cells[4].value, row.cells[5].value] == [None, None]
    assert row.note == "It has no amount and is in no sum."
    assert packet.says(f"No price: line {line['number']}, STRAW, as quoted in Dress the greens.")
    assert packet.says("The estimate has gaps")
    assert "The estimate has gaps" not in " ".join(packet_of(api, a_programme(api)).texts())


def test_alternates_are_told_with_their_differences(api: Api) -> None:
    estimate = a_programme(api)
    [one] = estimate["alternates"]
    packet = packet_of(api, estimate)
    row = f"alternate-{one['number']}"
    assert cents(packet, "alternates-table", row, "difference") == due(one["difference"]) != 0
    assert cents(packet, "alternates-table", row, "cash") == due(one["cash_difference"])
    assert cents(packet, "alternates-table", row, "otherwise") == due(one["total_otherwise"])
    assert packet.value("alternates-table", row, "taken") == "No"
    assert packet.says("Alternates that are not taken: With Slice.")
    taken = packet_of(api, a_programme_with_its_alternate(api, estimate))
    assert taken.value("alternates-table", row, "taken") == "Yes"
    assert cents(taken, "alternates-table", row, "otherwise") == due(estimate["total"])
    assert not taken.says("Alternates that are not taken")


def a_programme_with_its_alternate(api: Api, estimate: Document) -> Document:
    body = {
        "name": "With it", "edition_id": estimate["edition_id"], "as_of": "2026-06-01",
        "alternate_ids": [estimate["alternates"][0]["alternate_id"]],
        "markups": [{"kind": "tax", "percent": "6.5"}, {"kind": "overhead", "percent": "2"},
                    {"kind": "escalation", "percent": "4"},
                    {"kind": "contingency", "percent": "8", "account": "6999"}],
    }  # fmt: skip
    return api.created(f"/projects/{estimate['project_id']}/estimates", body)


def test_the_schedule_is_that_of_the_service(api: Api) -> None:
    estimate = a_programme(api)
    schedule = api.get(f"/projects/{estimate['project_id']}/schedule").json()
    packet = packet_of(api, estimate)
    assert str(packet.figure("Course open again")) == schedule["reopens_on"]
    for task in schedule["tasks"]:
        row = packet.rows("tasks")[f"task-{task['number']}"]
        found = [str(cell.value) for cell in row.cells]
        assert found == [
            task["name"], str(task["working_days"]), task["starts_on"], task["finishes_on"], task["opens_on"],
            str(task["total_float"]),
        ]  # fmt: skip
    lost = [number_of(row.cells[3].value) for row in packet.table("later-reopening").rows]
    assert lost == [due(one["revenue_lost"]) for one in schedule["later"]]
    assert packet.value("reasons", "task-2", "why") == "Waits for: Core the greens"


def test_risks_are_those_of_the_latest_simulation(api: Api) -> None:
    estimate = a_programme(api)
    assert packet_of(api, estimate).says("No simulation of this estimate was run")
    uncertain(api, estimate)
    figures = simulated(api, estimate)["figures"]
    packet = packet_of(api, estimate)
    amounts = [number_of(row.cells[1].value) for row in packet.table("percentiles").rows]
    assert amounts == [due(one["amount"]) for one in figures["percentiles"]]
    found = [number_of(cell.value) for cell in packet.rows("contingency")["confidence"].cells[1:]]
    assert found == [due(figures["contingency"][name]) for name in ("needed", "carried", "short")]
    assert cents(packet, "contingency-parts", "needed", "amount") == due(figures["contingency"]["needed"])
    names = [row.cells[0].value for row in packet.table("contingency-parts").rows]
    assert "Dress the greens: SAND, as quoted" in names
    assert "Pump fails" in names
    sensitivity = api.get(f"/estimates/{estimate['id']}/sensitivity").json()
    widths = [number_of(row.cells[3].value) for row in packet.table("swing-data").rows]
    assert widths == [due(one["width"]) for one in sensitivity["swings"]]
    assert not packet.says("The ranges were changed after this simulation")
    uncertain(api, estimate, events=[])
    assert packet_of(api, estimate).says("The ranges were changed after this simulation")


def test_what_moves_the_total_is_not_told_of_another_scope(api: Api) -> None:
    estimate = a_programme(api)
    uncertain(api, estimate)
    body = {"name": "Extra", "method": "plain_quantity", "parameters": {"quantity": {"value": "1", "unit": "each"}},
            "area_ids": [], "resources": [{"item": "CREW", "quantity": {"value": "9", "unit": "hour"}}]}  # fmt: skip
    assert "swing-data" in packet_of(api, estimate).names()
    api.created(f"/projects/{estimate['project_id']}/scope-items", body)
    packet = packet_of(api, estimate)
    assert "swing-data" not in packet.names()
    assert packet.says("What the estimate was priced from has changed since")


def test_the_decision_follows_from_the_state_unless_it_is_asked_in_words(api: Api) -> None:
    estimate = a_programme(api)
    assert packet_of(api, estimate).says("Nothing is to be decided yet")
    assert packet_of(api, estimate, asked="To approve the draw").says("To approve the draw")
    assert not packet_of(api, estimate, asked="To approve the draw").says("Nothing is to be decided yet")
    issued(api, estimate["id"])
    packet = packet_of(api, estimate)
    total = Formatter("en-US").text(Money(amount=Decimal(estimate["total"]["amount"]), currency="USD"))
    assert packet.says(
        f"To accept or to decline estimate {estimate['number']}, revision 1, with a total of {total}."
    )
    assert roles(packet)[-2:] == ["For the finance committee", "For the board"]
    api.post(f"/estimates/{estimate['id']}/decline", json={"note": "Too late in the year"})
    packet = packet_of(api, estimate)
    assert packet.says("was declined on")
    assert packet.says("Note: Too late in the year.")
    assert roles(packet) == ["Issued by", "Declined by"]
    other = accepted(api, a_programme(api)["id"])
    assert packet_of(api, other).says("was accepted on")


def roles(packet: Composed) -> list[str]:
    return [
        one.role for part in packet.document.parts if isinstance(part, SignOff) for one in part.signatures
    ]


def test_the_checklist_and_the_class_are_told(api: Api) -> None:
    estimate = a_programme(api)
    assert packet_of(api, estimate).says("No class is stated")
    place = f"/estimates/{estimate['id']}/basis"
    body = {
        "purpose": "Decision on the autumn", "exclusions": ["Irrigation"], "assumptions": ["Eight people a day"],
        "estimate_class": 3, "prepared_by": "Superintendent",
    }  # fmt: skip
    assert api.put(place, json=body, headers={"If-Match": '"1"'}).status_code == 200
    quality = api.get(f"/estimates/{estimate['id']}/quality").json()
    packet = packet_of(api, estimate)
    rows = packet.rows("checks")
    words = {"met": "Yes", "not_met": "No", "not_applicable": "Does not apply", "open": "Open"}
    for check in quality["checks"]:
        assert rows[check["id"].replace("_", "-")].cells[1].value == words[check["state"]]
    assert packet.figure("Class, from 5 (least defined) to 1") == "Class 3"
    assert packet.says("Irrigation.")
    assert packet.says("Eight people a day.")
    shares = [number_of(row.cells[1].value) for row in packet.table("price-sources").rows[:-1]]
    assert shares == [due(one["amount"]) for one in quality["price_sources"]]
