"""Offers levelled on the same quantities, and the best way to split an award, against every assignment by hand."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from itertools import product
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from printed_amount import assert_redone
from swardcost_api.engine.derivation import Input, Step
from swardcost_api.engine.pricing.levelling import Asked, LevelledOffer, Levelling, Offer, level_offers
from swardcost_api.engine.pricing.quoted_hire import QuotedHire
from swardcost_api.engine.pricing.split_award import Column, cheapest_split
from swardcost_model.values import minor_unit

TODAY = date(2026, 8, 1)
SAND = Asked("SAND", "Washed sand", Decimal("120"), "short_ton")
SOD = Asked("SOD", "Bentgrass sod", Decimal("900.5"), "square_foot")
HOURS = Asked("CREW", "Crew", Decimal("16"), "hour")
CATALOG = {"SAND": Decimal("38.50"), "SOD": Decimal("0.625"), "CREW": Decimal("42")}


def an_offer(vendor: str, fixed: int = 0, until: date | None = None, **prices: str | int) -> Offer:
    """Text is a unit price, a whole number a lump sum in cents."""
    return Offer(
        vendor.lower(), vendor,
        {code: Decimal(price) for code, price in prices.items() if isinstance(price, str)},
        {code: price for code, price in prices.items() if isinstance(price, int)},
        fixed_minor=fixed, valid_until=until,
    )  # fmt: skip


def levelled(
    *offers: Offer,
    asked: Sequence[Asked] = (SAND, SOD),
    catalog: dict[str, Decimal | None] | None = None,
    currency: str = "USD",
) -> Levelling:
    prices = dict(CATALOG) if catalog is None else catalog
    return level_offers(asked=asked, offers=offers, catalog_prices=prices, currency=currency, as_of=TODAY)


def column(levelling: Levelling, vendor: str) -> LevelledOffer:
    (found,) = (one for one in levelling.offers if one.vendor == vendor)
    return found


def test_what_is_quoted_is_quantity_by_price_rounded_half_up_with_the_fixed_charge() -> None:
    one = column(levelled(an_offer("Alder", 25_000, SAND="36.10", SOD="0.59")), "Alder")
    # 120 x 36.10 = 4332.00; 900.5 x 0.59 = 531.295, half up 531.30; 250.00 fixed.
    assert [item.amount_minor for item in one.items] == [433_200, 53_130]
    assert (one.quoted_minor, one.added_minor, one.levelled_minor) == (511_330, 0, 511_330)
    assert [item.words for item in one.items] == [
        "quoted at 36.10 a short ton",
        "quoted at 0.59 a square foot",
    ]
    assert (one.rank, one.expired, one.notes) == (1, False, ())


def test_a_lump_sum_stands_for_the_whole_quantity() -> None:
    item = column(levelled(an_offer("Alder", SAND=410_000, SOD="0.59")), "Alder").items[0]
    assert (item.amount_minor, item.unit_price, item.from_catalog, item.words) == (
        410_000, None, False, "lump sum"
    )  # fmt: skip


LOADER = Asked("LOADER", "Wheel loader", Decimal("8"), "work_day")


def hired(minor: int, cover: str) -> QuotedHire:
    amount = Step(
        "amount of LOADER", minor / 100, "USD", "machine 1", (Input("machine 1", minor / 100, "USD"),), "yard"
    )
    return QuotedHire(minor, cover, (amount,))


def test_a_hire_counts_at_what_its_days_come_to_and_the_catalogs_where_it_is_left_out() -> None:
    alder = replace(an_offer("Alder", 4_000, SAND="36"), hires={"LOADER": hired(212_000, "1 week + 3 days")})
    briar = an_offer("Briar", SAND="35")
    found = level_offers(
        asked=[SAND, LOADER], offers=[alder, briar], catalog_prices=CATALOG, currency="USD", as_of=TODAY,
        catalog_hires={"LOADER": hired(230_000, "2 weeks")},
    )  # fmt: skip
    one, other = column(found, "Alder"), column(found, "Briar")
    # 120 x 36 + 2120 + 40; 120 x 35, and 2300 of the catalog.
    assert (one.quoted_minor, one.added_minor, one.levelled_minor) == (648_000, 0, 648_000)
    assert (other.quoted_minor, other.added_minor, other.levelled_minor) == (420_000, 230_000, 650_000)
    assert [item.words for item in (one.items[1], other.items[1])] == [
        "hired for 1 week + 3 days", "left out: hired at the catalog's rates for 2 weeks"
    ]  # fmt: skip
    assert one.items[1].unit_price is None
    assert found.lowest_by_item == {"SAND": "briar", "LOADER": "alder"}
    for offer in (one, other):
        assert sum(step.name == "amount of LOADER" for step in offer.steps) == 1
        assert_redone(offer.steps)


def test_a_hire_that_nobody_has_rates_for_is_not_comparable() -> None:
    one = column(levelled(an_offer("Alder", SAND="36"), asked=[SAND, LOADER]), "Alder")
    assert (one.levelled_minor, one.notes[-1]) == (
        None, "Not comparable: nothing says what LOADER would cost."
    )  # fmt: skip


def test_what_is_left_out_is_priced_from_the_catalog_and_named() -> None:
    alder = replace(an_offer("Alder", SOD="0.59"), left_out={"SAND": "no trucks in August"})
    one = column(levelled(alder), "Alder")
    assert one.items[0].words == (
        "left out (no trucks in August): priced from the catalog at 38.50 a short ton"
    )
    assert (one.items[0].from_catalog, one.items[0].unit_price) == (True, Decimal("38.50"))
    assert (one.quoted_minor, one.added_minor, one.levelled_minor) == (53_130, 462_000, 515_130)
    unnamed = column(levelled(an_offer("Alder", SOD="0.59")), "Alder")
    assert unnamed.notes == ("SAND left out: priced from the catalog at 38.50 a short ton",)


@pytest.mark.parametrize(
    ("unit", "words"),
    [("hour", "an hour"), ("acre", "an acre"), ("each", "each"), ("cubic_yard", "a cubic yard")],
)
def test_units_are_named_as_they_are_said(unit: str, words: str) -> None:
    asked = Asked("CREW", "", Decimal(2), unit)
    (item,) = column(levelled(an_offer("Alder", CREW="40"), asked=[asked]), "Alder").items
    assert item.words == f"quoted at 40.00 {words}"


@pytest.mark.parametrize("catalog", [{"SOD": Decimal("0.625")}, {"SOD": Decimal("0.625"), "SAND": None}])
def test_without_any_price_for_an_item_an_offer_is_not_comparable(
    catalog: dict[str, Decimal | None],
) -> None:
    levelling = levelled(
        an_offer("Alder", SOD="0.01"), an_offer("Briar", SAND="50", SOD="0.6"), catalog=catalog
    )
    one = column(levelling, "Alder")
    assert (one.levelled_minor, one.rank, one.items[0].amount_minor) == (None, None, None)
    assert one.notes == (
        "SAND left out: the catalog has no price for it",
        "Not comparable: nothing says what SAND would cost.",
    )
    assert [offer.vendor for offer in levelling.offers] == ["Briar", "Alder"]
    assert (levelling.best_single_key, levelling.spread_minor) == ("briar", 0)


def test_ranks_follow_levelled_totals_and_ties_share_one() -> None:
    levelling = levelled(
        an_offer("Dogwood", SAND="41", SOD="0.60"), an_offer("Briar", SAND="40", SOD="0.60"),
        an_offer("Cedar", SAND="39", SOD="0.60"), an_offer("Alder", SAND="40", SOD="0.60"),
    )  # fmt: skip
    assert [(one.vendor, one.rank) for one in levelling.offers] == [
        ("Cedar", 1), ("Alder", 2), ("Briar", 2), ("Dogwood", 4)
    ]  # fmt: skip
    assert levelling.spread_minor == 2 * 12_000
    assert levelling.lowest_by_item == {"SAND": "cedar", "SOD": "alder"}


def test_a_low_quote_that_leaves_much_out_does_not_win() -> None:
    levelling = levelled(an_offer("Alder", SOD="0.50"), an_offer("Briar", SAND="37", SOD="0.60"))
    assert column(levelling, "Alder").quoted_minor < column(levelling, "Briar").quoted_minor
    assert levelling.best_single_key == "briar"


def test_an_expired_quote_is_ranked_and_flagged_but_not_recommended() -> None:
    levelling = levelled(
        an_offer("Alder", SAND="30", SOD="0.50", until=date(2026, 7, 31)),
        an_offer("Briar", SAND="37", SOD="0.60", until=TODAY),
    )
    assert [(one.vendor, one.rank, one.expired) for one in levelling.offers] == [
        ("Alder", 1, True), ("Briar", 2, False)
    ]  # fmt: skip
    assert levelling.offers[0].notes == ("Expired on 2026-07-31; to be confirmed before it is chosen.",)
    assert levelling.best_single_key == "briar"
    assert set(levelling.lowest_by_item.values()) == {"briar"}
    assert levelling.best_split is not None
    assert set(levelling.best_split.codes_by_key) == {"briar"}


def test_nothing_is_recommended_where_no_quote_holds() -> None:
    none, old = levelled(), levelled(an_offer("Alder", SAND="30", until=date(2026, 7, 31)))
    assert none.notes == ("No quote has been received.",)
    assert old.notes == ("No quote that offers something still holds.",)
    for one in (none, old):
        assert (one.best_single_key, one.best_split, one.saved_minor) == (None, None, None)
        assert one.lowest_by_item == {}


def test_a_vendor_that_offers_nothing_is_levelled_but_never_recommended() -> None:
    levelling = levelled(an_offer("Alder"), an_offer("Briar", SAND="99", SOD="9"))
    assert column(levelling, "Alder").levelled_minor == 462_000 + 56_281
    assert levelling.best_single_key == "briar"


def test_a_split_pays_where_it_saves_more_than_the_second_fixed_charge() -> None:
    sand = an_offer("Alder", 20_000, SAND="30", SOD="0.90")
    sod = an_offer("Briar", 20_000, SAND="40", SOD="0.40")
    levelling = levelled(sand, sod)
    # Together 3600.00 + 360.20 + 400.00 = 4360.20; Alder alone 3600.00 + 810.45 + 200.00 = 4610.45.
    assert levelling.best_split is not None
    assert levelling.best_split.total_minor == 436_020
    assert levelling.best_split.codes_by_key == {"alder": ("SAND",), "briar": ("SOD",)}
    assert (levelling.best_single_key, levelling.saved_minor) == ("alder", 25_025)
    dearer = levelled(sand, replace(sod, fixed_minor=45_026))
    assert dearer.best_split is not None
    assert (dearer.saved_minor, set(dearer.best_split.codes_by_key)) == (0, {"alder"})


def test_a_split_can_have_everything_where_no_single_vendor_has() -> None:
    levelling = levelled(an_offer("Alder", SAND="30"), an_offer("Briar", SOD="0.40"), catalog={})
    assert (levelling.best_single_key, levelling.saved_minor) == (None, None)
    assert levelling.best_split is not None
    assert levelling.best_split.total_minor == 360_000 + 36_020


def test_a_split_names_what_is_left_for_the_catalog() -> None:
    levelling = levelled(an_offer("Alder", SAND="30"), asked=[SAND, HOURS])
    assert levelling.best_split is not None
    assert levelling.best_split.from_catalog == ("CREW",)
    assert levelling.best_split.total_minor == 360_000 + 67_200


def test_what_somebody_offers_is_not_left_for_a_cheaper_catalog() -> None:
    """Sod is 0.625 in the catalog; Briar asks 0.70 for it and 100.00 for coming."""
    levelling = levelled(an_offer("Alder", SAND="30"), an_offer("Briar", 10_000, SOD="0.70"))
    assert levelling.best_split is not None
    assert levelling.best_split.from_catalog == ()
    assert levelling.best_split.codes_by_key == {"alder": ("SAND",), "briar": ("SOD",)}
    assert levelling.best_split.total_minor == 360_000 + 63_035 + 10_000
    # Alder alone, with sod at the catalog's 562.81, is cheaper on paper.
    assert (levelling.best_single_key, levelling.saved_minor) == ("alder", 56_281 - 73_035)


def test_a_price_that_no_longer_holds_leaves_the_item_to_the_catalog() -> None:
    levelling = levelled(an_offer("Alder", SAND="30"), an_offer("Briar", SOD="0.40", until=date(2026, 7, 31)))
    assert levelling.best_split is not None
    assert levelling.best_split.from_catalog == ("SOD",)


def test_eight_vendors_are_searched_and_a_ninth_is_said_to_be_too_many() -> None:
    eight = [an_offer(f"Vendor {n}", SAND=str(30 + n), SOD="0.60") for n in range(8)]
    assert levelled(*eight).best_split is not None
    nine = levelled(*eight, an_offer("Vendor 8", SAND="20", SOD="0.60"))
    assert nine.best_split is None
    assert "there are 9, so it was not" in nine.notes[0]
    assert nine.best_single_key == "vendor 8"
    expired = levelled(*eight, an_offer("Vendor 8", SAND="20", SOD="0.60", until=date(2026, 1, 1)))
    assert expired.best_split is not None
    with pytest.raises(ValueError, match="at most 8 vendors; got 9"):
        cheapest_split(["A"], [Column(str(n), {"A": 1}, 0) for n in range(9)], {})


NEGATIVE = an_offer("Alder", SAND="-1")


@pytest.mark.parametrize(
    ("asked", "offers", "catalog", "currency"),
    [
        ([], [], {}, "USD"),
        ([SAND, SAND], [], {}, "USD"),
        ([replace(SAND, quantity=Decimal(-1))], [], {}, "USD"),
        ([replace(SAND, quantity=Decimal("nan"))], [], {}, "USD"),
        ([SAND], [], {"SAND": Decimal(-1)}, "USD"),
        ([SAND], [], {"SAND": Decimal("1e13")}, "USD"),
        ([SAND], [NEGATIVE], {}, "USD"),
        ([SAND], [an_offer("Alder", SAND=-1)], {}, "USD"),
        ([SAND], [an_offer("Alder", -1, SAND="1")], {}, "USD"),
        ([SAND], [an_offer("Alder", SOD="1")], {}, "USD"),
        ([SAND], [an_offer("Alder", SAND="1")] * 2, {}, "USD"),
        ([SAND], [replace(an_offer("Alder", SAND="1"), left_out={"SAND": "none"})], {}, "USD"),
        ([SAND], [], {}, "XXX"),
    ],
)
def test_what_makes_no_sense_is_refused(
    asked: list[Asked], offers: list[Offer], catalog: dict[str, Decimal | None], currency: str
) -> None:
    with pytest.raises(ValueError, match="expected"):
        levelled(*offers, asked=asked, catalog=catalog, currency=currency)


CODES = ("A", "A-1", "B.x", "amount")
_PRICES = st.decimals(0, 500, places=3)
_QUANTITIES = st.decimals(0, 200, places=2)


@st.composite
def requests(draw: st.DrawFn) -> tuple[list[Asked], list[Offer], dict[str, Decimal | None], str]:
    """One to four items, up to four offers with gaps, a catalog with gaps, and a currency."""
    codes = CODES[: draw(st.integers(1, 4))]
    asked = [Asked(code, "", draw(_QUANTITIES), "short_ton") for code in codes]
    offers = []
    for n in range(draw(st.integers(0, 4))):
        offered = draw(st.dictionaries(st.sampled_from(codes), st.one_of(_PRICES, st.integers(0, 500_000))))
        offers.append(
            Offer(
                f"key {n}", draw(st.sampled_from(["Alder", "Briar"])),
                {code: price for code, price in offered.items() if isinstance(price, Decimal)},
                {code: price for code, price in offered.items() if isinstance(price, int)},
                fixed_minor=draw(st.integers(0, 100_000)),
                valid_until=draw(st.sampled_from([None, TODAY, date(2026, 1, 1)])),
            )
        )  # fmt: skip
    catalog = {code: draw(st.none() | _PRICES) for code in codes}
    return asked, offers, catalog, draw(st.sampled_from(["USD", "JPY", "KWD"]))


def by_hand(quantity: Decimal, price: Decimal, currency: str) -> int:
    unit = minor_unit(currency)
    return int((quantity * price / unit).quantize(Decimal(1), ROUND_HALF_UP))


@given(requests())
def test_totals_are_sums_of_what_is_shown_and_can_be_redone(
    request_: tuple[list[Asked], list[Offer], dict[str, Decimal | None], str],
) -> None:
    asked, offers, catalog, currency = request_
    levelling = levelled(*offers, asked=asked, catalog=catalog, currency=currency)
    sent = {offer.key: offer for offer in offers}
    assert sorted(one.key for one in levelling.offers) == sorted(sent)
    for one in levelling.offers:
        offered = [item.amount_minor or 0 for item in one.items if not item.from_catalog]
        added = [item.amount_minor or 0 for item in one.items if item.from_catalog]
        assert one.quoted_minor == sum(offered) + sent[one.key].fixed_minor
        assert one.added_minor == sum(added)
        assert [item.code for item in one.items] == [item.code for item in asked]
        for item in one.items:
            if item.unit_price is not None:
                assert item.amount_minor == by_hand(item.quantity, item.unit_price, currency)
            assert item.from_catalog == (
                item.code not in {*sent[one.key].unit_prices, *sent[one.key].lump_sums_minor}
            )
        unpriced = any(item.amount_minor is None for item in one.items)
        assert (one.levelled_minor is None) == (one.rank is None) == unpriced
        if one.levelled_minor is not None:
            assert one.levelled_minor == one.quoted_minor + one.added_minor >= one.quoted_minor
            cheaper = [
                other
                for other in levelling.offers
                if other.levelled_minor is not None and other.levelled_minor < one.levelled_minor
            ]
            assert one.rank == len(cheaper) + 1
            assert one.steps[-1].name == "levelled total"
        assert_redone(one.steps, str(minor_unit(currency)))


@given(requests(), st.randoms(use_true_random=False))
def test_the_order_of_offers_and_items_changes_nothing(
    request_: tuple[list[Asked], list[Offer], dict[str, Decimal | None], str], random: Random
) -> None:
    asked, offers, catalog, currency = request_
    before = levelled(*offers, asked=asked, catalog=catalog, currency=currency)
    random.shuffle(offers)
    assert levelled(*offers, asked=asked, catalog=catalog, currency=currency) == before
    random.shuffle(asked)
    after = levelled(*offers, asked=asked, catalog=catalog, currency=currency)
    assert [(one.key, one.levelled_minor, one.rank) for one in after.offers] == [
        (one.key, one.levelled_minor, one.rank) for one in before.offers
    ]
    assert (after.lowest_by_item, after.best_single_key, after.saved_minor) == (
        before.lowest_by_item, before.best_single_key, before.saved_minor
    )  # fmt: skip


def every_assignment(
    asked: Sequence[Asked], holding: Sequence[LevelledOffer], fixed: dict[str, int], catalog: dict[str, int]
) -> int | None:
    """The least cost over every way to give each item to a vendor that offers it, or to the catalog where none does."""
    offers = {
        one.key: {item.code: item.amount_minor or 0 for item in one.items if not item.from_catalog}
        for one in holding
    }
    choices = [[key for key in offers if one.code in offers[key]] or ["catalog"] for one in asked]
    best: int | None = None
    for assignment in product(*choices):
        used = set(assignment) - {"catalog"}
        total = sum(fixed[key] for key in used)
        for one, key in zip(asked, assignment, strict=True):
            if key != "catalog":
                total += offers[key][one.code]
            elif one.code not in catalog:
                break
            else:
                total += catalog[one.code]
        else:
            if used and (best is None or total < best):
                best = total
    return best


@given(requests())
def test_the_best_split_is_the_cheapest_assignment_and_uses_the_catalog_only_for_what_nobody_offers(
    request_: tuple[list[Asked], list[Offer], dict[str, Decimal | None], str],
) -> None:
    asked, offers, catalog, currency = request_
    levelling = levelled(*offers, asked=asked, catalog=catalog, currency=currency)
    holding = [
        one for one in levelling.offers if not one.expired and not all(item.from_catalog for item in one.items)
    ]  # fmt: skip
    amounts = {
        one.code: by_hand(one.quantity, price, currency)
        for one in asked
        if (price := catalog[one.code]) is not None
    }
    fixed = {offer.key: offer.fixed_minor for offer in offers}
    split = levelling.best_split
    assert (split.total_minor if split else None) == every_assignment(asked, holding, fixed, amounts)
    singles = [one.levelled_minor for one in holding if one.levelled_minor is not None]
    if split is None:
        assert not singles
        return
    bought = [code for codes in split.codes_by_key.values() for code in codes]
    assert sorted([*bought, *split.from_catalog]) == sorted(one.code for one in asked)
    somewhere = {item.code for one in holding for item in one.items if not item.from_catalog}
    assert somewhere.isdisjoint(split.from_catalog)
    for one in holding:
        if somewhere == {item.code for item in one.items if not item.from_catalog}:
            assert one.levelled_minor is not None
            assert split.total_minor <= one.levelled_minor
    if singles:
        assert levelling.saved_minor == min(singles) - split.total_minor
    else:
        assert (levelling.saved_minor, levelling.best_single_key) == (None, None)
