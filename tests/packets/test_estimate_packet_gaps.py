"""The packet of an estimate with gaps: what is missing is never told as nothing, and a part never as the whole."""

from decimal import Decimal

import pytest
from alternate_factories import an_alternate
from conftest import Api
from estimate_factories import (
    LUMP,
    TOPDRESSING,
    Document,
    a_course,
    a_project,
    a_scope_item,
    an_area,
    an_edition,
    an_item,
    by_measure,
    issued,
    money,
    priced,
    stated,
)
from estimate_packet_factories import MARKUPS, Composed, a_programme, packet_of, simulated, uncertain
from schedule_factories import a_closure, days
from swardcost_api.packets.document import Figure, SignOff
from swardcost_api.packets.faces.xlsx_face import xlsx_of
from swardcost_api.packets.formatter import Formatter
from swardcost_api.packets.relations import Rows
from swardcost_api.packets.values import Value
from swardcost_model.values import Money

WITHOUT_PRICE = [an_item("SAND", None), an_item("SEED", None)]
CHEAPER_FROM_60 = {
    "form": "purchase",
    "breaks": {"apply": "whole_quantity", "tiers": [{"from_quantity": "60", "unit_price": "30.00"}]},
}


def without_prices(api: Api) -> Document:
    """Sand for one green, and seed, from a price list that has a price for neither; seed again as an alternate."""
    project = a_project(api)
    green = an_area(api, a_course(api))
    a_scope_item(api, project, TOPDRESSING, [green], by_measure("SAND", "sand_mass"), name="Dress")
    a_scope_item(api, project, LUMP, [], stated("SEED", "1", "short_ton"), name="Sow")
    more = a_scope_item(api, project, LUMP, [], stated("SEED", "2", "short_ton"), name="Sow more")
    an_alternate(api, project, "Twice", brings=[more["id"]])
    return priced(api, project, an_edition(api, WITHOUT_PRICE), *MARKUPS)


def of_class(api: Api, estimate: Document, number: int = 3) -> None:
    place = f"/estimates/{estimate['id']}/basis"
    assert api.put(place, json={"estimate_class": number}, headers={"If-Match": '"1"'}).status_code == 200


def figure_of(packet: Composed, label: str) -> Figure:
    return next(one for one in packet.document.figures if one.label == label)


def money_of(packet: Composed) -> list[Money]:
    """All money that stands in a packet, in cells and in figures."""
    cells = [cell.value for one in packet.document.tables for row in one.rows for cell in row.cells]
    figures = [one.value for one in packet.document.figures]
    return [one for one in [*cells, *figures] if isinstance(one, Money)]


def usd(amount: str) -> Money:
    return Money(amount=Decimal(amount), currency="USD")


def statement_of(packet: Composed) -> str:
    [found] = [part.statement for part in packet.document.parts if isinstance(part, SignOff)]
    return found


def test_where_nothing_has_a_price_no_amount_is_told(api: Api) -> None:
    estimate = without_prices(api)
    of_class(api, estimate)
    packet = packet_of(api, estimate)
    assert packet.says("cannot be told yet, because nothing in it has a price.")
    assert packet.figure("Total") == "Cannot be told yet"
    assert packet.figure("Class, from 5 (least defined) to 1") == "Class 3"
    assert money_of(packet) == []
    for words in (
        "$0.00",
        "estimated at",
        "usually lies",
        "all prices are those",
        "lowest and highest total",
    ):
        assert not packet.says(words), words
    assert packet.says("Nothing in it is priced, so it cannot be told how far off it may be.")
    assert "price-sources" not in packet.names()
    assert xlsx_of(packet.document)


def test_the_reason_why_the_cost_cannot_be_told_is_what_is_missing(api: Api) -> None:
    project = a_project(api)
    unknown = an_area(api, a_course(api), None)
    a_scope_item(api, project, TOPDRESSING, [unknown], by_measure("SAND", "sand_mass"))
    unsized = packet_of(api, priced(api, project, an_edition(api, [an_item("SAND")])))
    assert unsized.says("because what it takes has no price or no size.")
    assert unsized.rows("scope")["item-1"].note == "It has no size, so nothing of it is priced."
    empty = packet_of(api, priced(api, a_project(api), an_edition(api)))
    assert empty.says("because its scope names nothing to price.")
    assert money_of(empty) == []


def test_what_is_asked_and_signed_says_that_there_is_no_total(api: Api) -> None:
    estimate = without_prices(api)
    assert packet_of(api, estimate).says(
        "with a total that cannot be told yet, is a draft and may still change."
    )
    issued(api, estimate["id"], incomplete_because="Offers are awaited")
    packet = packet_of(api, estimate)
    assert packet.says("revision 1, with a total that cannot be told yet. Accepting it opens the budget")
    assert packet.says("It was issued with gaps because: Offers are awaited.")
    assert "with a total that cannot be told yet, is accepted as it stands" in statement_of(packet)


def test_a_total_of_which_a_part_is_missing_is_told_as_that_of_what_is_priced(api: Api) -> None:
    estimate = a_programme(api, straw=True)
    of_class(api, estimate)
    uncertain(api, estimate)
    figures = simulated(api, estimate)["figures"]
    packet = packet_of(api, estimate)
    total, base = (
        Formatter("en-US").text(usd(one["amount"])) for one in (estimate["total"], figures["base"])
    )
    assert packet.says(f"with {total} for what is priced of it, is a draft")
    assert packet.says(f" comes to {total}, of which $")
    assert packet.says("the final cost of the part that is priced usually lies between")
    assert packet.says("To be enough for the part that is priced in 80% of the trials, a contingency of $")
    assert packet.says(f"What is priced of the estimate is {base} without its contingency.")
    assert packet.says("is enough for the part that is priced in ")
    assert packet.says("Totals are of the part that is priced, without contingency.")
    note = "What has no price, no size or no rate is not in it."
    for label in ("Total", "Of which cash", "At the lowest prices", "At the highest prices"):
        assert figure_of(packet, label).note == note
    assert packet.rows("total-cost")["total"].note == note
    assert figure_of(packet, "Class, from 5 (least defined) to 1").note.endswith("of the part that is priced")
    assert packet.says("its contingency in it, is enough for the part that is priced.")
    assert packet.table("alternates-table").notes
    issued(api, estimate["id"], incomplete_because="Straw comes later")
    assert f"with {total} for what is priced of it, is accepted" in statement_of(packet_of(api, estimate))


def test_a_whole_total_is_told_without_reserve(api: Api) -> None:
    packet = packet_of(api, a_programme(api))
    assert not packet.says("is priced of")
    assert figure_of(packet, "Total").note == packet.rows("total-cost")["total"].note == ""


def test_a_sum_over_work_without_a_price_is_empty_and_the_others_still_add_up(api: Api) -> None:
    project = a_project(api)
    for name, codes in (("Priced", ["SAND"]), ("Part", ["SAND", "SEED"]), ("Bare", ["SEED"])):
        a_scope_item(api, project, LUMP, [], *[stated(code, "1", "short_ton") for code in codes], name=name)
    items = [an_item("SAND", "38.50"), an_item("SEED", None)]
    packet = packet_of(api, priced(api, project, an_edition(api, items)))
    for table, amounts in (("scope", slice(3, 5)), ("lines", slice(4, 6))):
        rows = packet.rows(table)
        assert [cell.value for cell in rows["item-3"].cells[amounts]] == [None, None]
        assert [cell.computed for cell in rows["item-3"].cells[amounts]] == [None, None]
        for cell in rows["direct"].cells[amounts]:
            assert cell.value == Money(amount=Decimal("77.00"), currency="USD")
            assert cell.computed == Rows(("item-1", "item-2", "item-3"))
    notes = [packet.rows("scope")[f"item-{number}"].note for number in (1, 2, 3)]
    assert notes == ["", "Part of it has no price.", "None of it has a price."]
    sources = packet.table("price-sources").rows
    assert [row.cells[1].value for row in sources] == [Money(amount=Decimal("77.00"), currency="USD")] * 2


def test_a_missing_part_does_not_make_the_total_the_least(api: Api) -> None:
    """60 tons at 30.00 cost less than 50 at 38.50: sized, the other green brings the price of all of it down."""
    project, course = a_project(api), a_course(api)
    greens = [an_area(api, course, "48000"), an_area(api, course, None)]
    a_scope_item(api, project, TOPDRESSING, greens, by_measure("SAND", "sand_mass"), name="Dress")
    edition = an_edition(api, [an_item("SAND", "38.50", terms=CHEAPER_FROM_60)])
    before = priced(api, project, edition)
    packet = packet_of(api, before)
    for words in ("at least $", "At least", "too low", "on top"):
        assert not packet.says(words), words
    sized = {"kind": "green", "name": "Green", "size": {"value": "9600", "unit": "square_foot"}}
    assert api.put(f"/areas/{greens[1]}", json=sized, headers={"If-Match": '"1"'}).status_code == 200
    after = priced(api, project, edition)
    assert after["complete"]
    assert money(after["total"]) < money(before["total"])


def test_work_of_which_some_areas_have_no_size_says_so(api: Api) -> None:
    project, course = a_project(api), a_course(api)
    known, unknown = an_area(api, course), an_area(api, course, None)
    sand, seed = by_measure("SAND", "sand_mass"), stated("SEED", "1", "short_ton")
    lump = stated("SAND", "1", "short_ton")
    for areas, resources in (
        ([known], [sand]), ([known, unknown], [sand]), ([known, unknown], [sand, seed]), ([unknown], [sand, lump]),
        ([unknown], [sand]),
    ):  # fmt: skip
        a_scope_item(api, project, TOPDRESSING, areas, *resources)
    packet = packet_of(api, priced(api, project, an_edition(api, [an_item("SAND"), an_item("SEED", None)])))
    size, price = "Part of it has no size.", "Part of it has no price."
    notes = [packet.rows("scope")[f"item-{number}"].note for number in range(1, 6)]
    assert notes == ["", size, f"{price} {size}", size, "It has no size, so nothing of it is priced."]
    assert [packet.rows("lines")[f"item-{number}"].note for number in range(1, 6)] == [
        "",
        size,
        size,
        size,
        "",
    ]


def test_work_that_names_nothing_is_not_said_to_cost_nothing(api: Api) -> None:
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], name="Bare")
    a_scope_item(api, project, LUMP, [], stated("SAND", "1", "short_ton"))
    packet = packet_of(api, priced(api, project, an_edition(api, [an_item("SAND")])))
    assert packet.says("Bare names nothing that it takes, so nothing of it is priced.")


EMPTY = (
    "“Total if decided otherwise” is empty where what differs is not whole, and where nothing of what remains is "
    "priced."
)


def otherwise(packet: Composed) -> list[Value | None]:
    return [row.cells[-1].value for row in packet.table("alternates-table").rows]


def test_a_total_if_decided_otherwise_that_is_not_whole_is_not_told(api: Api) -> None:
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("SAND", "1", "short_ton"))
    seed = a_scope_item(api, project, LUMP, [], stated("SEED", "1", "short_ton"))
    sand = a_scope_item(api, project, LUMP, [], stated("SAND", "2", "short_ton"))
    an_alternate(api, project, "Sow", brings=[seed["id"]])
    an_alternate(api, project, "More sand", brings=[sand["id"]])
    edition = an_edition(api, [an_item("SAND", "38.50"), an_item("SEED", None)])
    estimate = priced(api, project, edition)
    assert estimate["complete"]
    packet = packet_of(api, estimate)
    assert otherwise(packet) == [None, usd("115.50")]
    assert packet.table("alternates-table").notes == (EMPTY,)


def test_giving_up_what_replaces_work_without_a_price_has_no_total(api: Api) -> None:
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("SAND", "1", "short_ton"))
    seed = a_scope_item(api, project, LUMP, [], stated("SEED", "1", "short_ton"))
    without = an_alternate(api, project, "No seed", leaves_out=[seed["id"]])
    edition = an_edition(api, [an_item("SAND", "38.50"), an_item("SEED", None)])
    packet = packet_of(api, priced(api, project, edition, alternate_ids=[without["id"]]))
    assert packet.figure("Total") == usd("38.50")
    assert otherwise(packet) == [None]
    assert EMPTY in packet.table("alternates-table").notes


def test_what_would_be_left_without_a_price_is_not_told_as_nothing(api: Api) -> None:
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("SEED", "1", "short_ton"))
    sand = a_scope_item(api, project, LUMP, [], stated("SAND", "1", "short_ton"))
    more = a_scope_item(api, project, LUMP, [], stated("SAND", "1", "short_ton"))
    taken = an_alternate(api, project, "Sand", brings=[sand["id"]])
    an_alternate(api, project, "More sand", brings=[more["id"]])
    edition = an_edition(api, [an_item("SAND", "38.50"), an_item("SEED", None)])
    packet = packet_of(api, priced(api, project, edition, alternate_ids=[taken["id"]]))
    assert otherwise(packet) == [None, usd("77.00")]
    assert packet.value("alternates-table", "alternate-1", "difference") == usd("38.50")
    assert EMPTY in packet.table("alternates-table").notes


@pytest.mark.parametrize("issue_it", [True, False])
def test_nothing_is_asked_by_an_estimate_of_which_a_later_revision_was_issued(
    api: Api, issue_it: bool
) -> None:
    first = a_programme(api)
    if issue_it:
        issued(api, first["id"])
    later = api.created(f"/estimates/{first['id']}/revisions", {"edition_id": first["edition_id"]})
    issued(api, later["id"])
    packet = packet_of(api, first)
    assert packet.says(
        f"Nothing is to be decided on estimate {first['number']}, revision 1, with a total of $"
    )
    assert packet.says("because a later revision of it was issued.")
    assert packet.document.subtitle.endswith("superseded by a later revision")
    assert statement_of(packet).endswith("A later revision was issued, so signing this one approves nothing.")
    for words in ("To accept or to decline", "is accepted as it stands", "may still change"):
        assert not packet.says(words), words


def test_a_declined_estimate_stays_declined_when_a_later_revision_is_issued(api: Api) -> None:
    first = a_programme(api)
    issued(api, first["id"])
    assert api.post(f"/estimates/{first['id']}/decline", json={"note": "Too dear"}).status_code == 200
    later = api.created(f"/estimates/{first['id']}/revisions", {"edition_id": first["edition_id"]})
    issued(api, later["id"])
    packet = packet_of(api, first)
    assert packet.says("was declined on")
    assert packet.says("A later revision of this estimate was issued.")
    assert packet.document.subtitle.endswith("declined")
    assert statement_of(packet).endswith("was declined.")


def test_ranges_of_the_simulation_are_not_denied(api: Api) -> None:
    project = a_project(api)
    a_scope_item(api, project, LUMP, [], stated("SAND", "1", "short_ton"))
    estimate = priced(api, project, an_edition(api, [an_item("SAND")]))
    told = "The price list gives no price as a range, so there is no lowest and highest total."
    elsewhere = "What is uncertain is stated for the simulation, see “How far off it may be”."
    before = packet_of(api, estimate)
    assert before.says(told)
    assert not before.says(elsewhere)
    assert before.value("checks", "ranges", "found") == "No"
    uncertain(api, estimate)
    after = packet_of(api, estimate)
    assert after.says(f"{told} {elsewhere}")
    assert after.value("checks", "ranges", "found") == "Yes"


def test_the_work_has_the_same_days_in_every_table(api: Api) -> None:
    packet = packet_of(api, a_programme(api))
    planned = {row.cells[0].value: row.cells[2:4] for row in packet.table("tasks").rows}
    shown = {row.cells[0].value: row.cells[1:3] for row in packet.table("scope").rows[:-1]}
    assert {name: [one.value for one in cells] for name, cells in shown.items()} == {
        name: [one.value for one in cells] for name, cells in planned.items()
    }
    assert packet.table("scope").notes == ("The days are those of the schedule, see “When it is done”.",)


def test_days_that_no_schedule_gives_are_told_as_planned(api: Api) -> None:
    project = a_closure(api)
    sand = stated("SAND", "1", "short_ton")
    timed = a_scope_item(api, project, LUMP, [], sand, name="Timed")
    a_scope_item(api, project, LUMP, [], sand, name="Not timed")
    edition = an_edition(api, [an_item("SAND")])
    before = packet_of(api, priced(api, project, edition))
    assert before.table("scope").notes == (
        "The days are those planned in the scope, not those of a schedule.",
    )
    api.created(f"/scope-items/{timed['id']}/task", days("2"))
    packet = packet_of(api, priced(api, project, edition))
    rows = packet.rows("scope")
    assert [str(one.value) for one in rows["item-1"].cells[1:3]] == ["2026-09-14", "2026-09-15"]
    assert [str(one.value) for one in rows["item-2"].cells[1:3]] == ["2026-09-14", "2026-10-11"]
    assert "of work that it leaves out, those planned in the scope" in packet.table("scope").notes[0]


def test_what_asks_a_question_is_told_in_the_language_of_the_packet(api: Api) -> None:
    estimate = without_prices(api)
    guide = "GAO-20-195G, Cost Estimating and Assessment Guide"
    for locale, practice, step, steps in (
        ("en-US", "common practice", "step 1", "steps 8 and 9"),
        ("es-MX", "práctica habitual", "paso 1", "pasos 8 y 9"),
        ("fr-CA", "pratique courante", "étape 1", "étapes 8 et 9"),
    ):
        packet = packet_of(api, estimate, locale)
        assert packet.value("checks", "tax", "source") == practice
        assert packet.value("checks", "purpose", "source") == f"{guide}, {step}"
        assert packet.value("checks", "ranges", "source") == f"{guide}, {steps}"
        assert packet.value("checks", "class", "source") == "AACE 56R-08"


def test_a_question_about_prices_says_that_there_are_none(api: Api) -> None:
    packet = packet_of(api, without_prices(api))
    rows = packet.rows("checks")
    found = {name: rows[name].cells[1].value for name in ("all-priced", "prices-current", "prices-firm")}
    assert found == {"all-priced": "No", "prices-current": "Open", "prices-firm": "Open"}
    assert {rows[name].note for name in found} == {"Nothing is priced."}
