"""An invented closure season, from one seed: what was planned, ordered, delivered, billed, changed and posted.

Plain data and nothing of the service, so that what is computed from it is a second opinion.
"""

import random
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal

CENT = Decimal("0.01")
FIRST, LAST = date(2026, 8, 1), date(2026, 10, 31)
POSTINGS = 1200


def cents(amount: Decimal) -> Decimal:
    return amount.quantize(CENT, ROUND_HALF_UP)


@dataclass(frozen=True)
class Planned:
    """A line of the accepted estimate."""

    key: str
    unit: str
    quantity: Decimal
    price: Decimal
    account: str

    @property
    def amount(self) -> Decimal:
        return cents(self.quantity * self.price)


@dataclass(frozen=True)
class Order:
    """A commitment of one line."""

    key: str
    number: str
    vendor: str
    quantity: Decimal
    price: Decimal
    retainage: int
    tickets: int
    invoices: int


@dataclass(frozen=True)
class Ticket:
    key: str
    number: str
    on: date
    quantity: Decimal


@dataclass(frozen=True)
class Bill:
    """An invoice: a quantity at a price, and perhaps freight that was not ordered."""

    key: str
    number: str
    on: date
    quantity: Decimal
    price: Decimal
    freight: Decimal
    withheld: Decimal
    posted_on: date | None

    @property
    def amount(self) -> Decimal:
        return cents(self.quantity * self.price)

    @property
    def to_pay(self) -> Decimal:
        return self.amount + self.freight - self.withheld


@dataclass(frozen=True)
class Entry:
    key: str
    month: str
    amount: Decimal
    quantity: Decimal | None = None


@dataclass(frozen=True)
class Change:
    """An adjustment of the budget."""

    kind: str
    effective_on: date
    entries: tuple[Entry, ...]

    @property
    def approved(self) -> bool:
        return self != DECLINED

    @property
    def unplanned(self) -> bool:
        return self == UNPLANNED


@dataclass(frozen=True)
class Posted:
    """A row of the accounts; `key` is the line that the rules should find, if any."""

    on: date
    account: str
    text: str
    amount: Decimal
    vendor: str
    reference: str
    key: str | None


@dataclass
class Season:
    planned: list[Planned]
    contingency: Decimal
    orders: list[Order]
    tickets: list[Ticket] = field(default_factory=list)
    bills: list[Bill] = field(default_factory=list)
    changes: list[Change] = field(default_factory=list)
    postings: list[Posted] = field(default_factory=list)
    measures: list[tuple[str, date, Decimal]] = field(default_factory=list)


def dec(text: str) -> Decimal:
    return Decimal(text)


PLANNED = [
    Planned("sand", "short_ton", dec("1640"), dec("38.50"), "1520-10"),
    Planned("haul", "short_ton", dec("1640"), dec("6.20"), "1520-15"),
    Planned("sod", "square_foot", dec("42000"), dec("0.72"), "1520-20"),
    Planned("coring", "square_foot", dec("98000"), dec("0.085"), "1530-10"),
    Planned("tines", "square_foot", dec("610000"), dec("0.0115"), "1530-20"),
    Planned("gravel", "short_ton", dec("310"), dec("29.40"), "1520-30"),
    Planned("pipe", "foot", dec("4200"), dec("2.35"), "1520-40"),
    Planned("brush", "each", dec("1"), dec("18400"), "1540-10"),
    Planned("bank", "foot", dec("860"), dec("41.00"), "1540-20"),
    Planned("crew", "hour", dec("2400"), dec("31.50"), "6110"),
]
ORDERS = [
    Order("sand", "PO-101", "Alder Creek Sand and Gravel", dec("1600"), dec("39.15"), 0, 50, 20),
    Order("haul", "PO-102", "Two Rivers Hauling", dec("1600"), dec("6.05"), 0, 30, 14),
    Order("sod", "PO-103", "Briar Hill Turf", dec("41500"), dec("0.735"), 0, 12, 6),
    Order("coring", "K-201", "Fen Lane Turf Care", dec("98000"), dec("0.0835"), 10, 4, 3),
    Order("tines", "K-202", "Fen Lane Deep Tine", dec("610000"), dec("0.0119"), 10, 4, 3),
    Order("gravel", "PO-104", "Stony Brook Quarry", dec("300"), dec("29.40"), 0, 12, 6),
    Order("pipe", "PO-105", "Marsh and Mill Supply", dec("4600"), dec("2.28"), 0, 6, 4),
    Order("brush", "K-203", "Thornway Clearing", dec("1"), dec("19250"), 10, 0, 2),
    Order("bank", "K-204", "Heron Bank Works", dec("810"), dec("42.75"), 10, 2, 2),
]
_QUANTITIES = {"2026-09-08": dec("60"), "2026-09-10": dec("-50"), "2026-09-15": dec("400")}
"""By the day of a change: what it adds to the quantity of its line."""
CHANGES = [
    Change(
        kind,
        date.fromisoformat(day),
        tuple(
            Entry(key, f"2026-{month}", dec(amount), _QUANTITIES.get(day)) for key, month, amount in entries
        ),
    )
    for kind, day, *entries in (
        ("transfer", "2026-08-20", ("sand", "09", "-2000"), ("gravel", "09", "2000")),
        ("addition", "2026-08-25", ("crew", "09", "3000")),
        ("contingency_draw", "2026-09-02", ("contingency", "09", "-1500"), ("haul", "09", "1500")),
        ("contingency_draw", "2026-09-04", ("contingency", "08", "-6400"), ("pump", "09", "6400")),
        ("change_order", "2026-09-08", ("sand", "10", "2310")),
        ("reduction", "2026-09-10", ("bank", "10", "-2050")),
        ("transfer", "2026-09-12", ("sod", "09", "-3000"), ("sod", "10", "3000")),
        ("addition", "2026-09-15", ("pipe", "09", "940")),
        ("contingency_draw", "2026-09-21", ("contingency", "10", "-1200"), ("sod", "10", "1200")),
        ("change_order", "2026-10-01", ("contingency", "10", "-2500"), ("brush", "10", "2500")),
        ("transfer", "2026-10-03", ("coring", "10", "-600"), ("tines", "10", "600")),
        ("addition", "2026-10-05", ("crew", "10", "50000")),
        ("transfer", "2026-10-09", ("tines", "10", "-100.01"), ("coring", "09", "100.01")),
        ("addition", "2026-11-15", ("crew", "10", "800")),
    )
]
DECLINED, UNPLANNED = CHANGES[11], CHANGES[3]
MEASURES = [
    ("sand", date(2026, 8, 31), dec("410")), ("sand", date(2026, 9, 30), dec("1185.5")),
    ("sand", date(2026, 10, 30), dec("1690")), ("sod", date(2026, 9, 30), dec("18000")),
    ("sod", date(2026, 10, 30), dec("42000")), ("coring", date(2026, 8, 31), dec("98000")),
    ("tines", date(2026, 9, 30), dec("400000")), ("gravel", date(2026, 10, 30), dec("310")),
    ("crew", date(2026, 9, 30), dec("1500")), ("crew", date(2026, 10, 30), dec("2390")),
]  # fmt: skip


def a_season() -> Season:
    """The season; always the same."""
    dice = random.Random(2026)
    direct = sum((line.amount for line in PLANNED), Decimal(0))
    season = Season(PLANNED, cents(direct * dec("0.08")), ORDERS, changes=CHANGES, measures=MEASURES)
    for order in ORDERS:
        _deliver_and_bill(season, order, dice)
    _post(season, dice)
    return season


def _deliver_and_bill(season: Season, order: Order, dice: random.Random) -> None:
    tickets = []
    for number in range(order.tickets):
        share = order.quantity / order.tickets * Decimal(dice.randint(930, 1070)) / 1000
        on = FIRST + timedelta(days=3 + number * 82 // order.tickets)
        tickets.append(
            Ticket(order.key, f"{order.number}-T{number + 1:02d}", on, share.quantize(dec("0.01")))
        )
    season.tickets += tickets
    # The last tickets stay without a bill, except where there are few.
    billed = tickets[: max(len(tickets) - len(tickets) // 12, 1)]
    for number in range(order.invoices):
        of_bill = billed[
            len(billed) * number // order.invoices : len(billed) * (number + 1) // order.invoices
        ]
        quantity = sum((ticket.quantity for ticket in of_bill), Decimal(0)) or order.quantity / 4
        on = (
            of_bill[-1].on + timedelta(days=dice.randint(1, 6))
            if of_bill
            else FIRST + timedelta(days=40 + 30 * number)
        )
        price = order.price * dec("1.015") if number % 7 == 3 else order.price
        freight = cents(Decimal(dice.randint(4000, 20000)) / 100) if number % 5 == 2 else Decimal(0)
        price = price.quantize(dec("0.000001"))
        amount = cents(quantity * price)
        withheld = cents(amount * order.retainage / 100)
        posted = (
            None
            if number == order.invoices - 1 and order.invoices > 3
            else on + timedelta(days=dice.randint(4, 25))
        )
        season.bills.append(
            Bill(order.key, f"{order.number}/{number + 1}", on, quantity, price, freight, withheld, posted)
        )


def _post(season: Season, dice: random.Random) -> None:
    accounts = {line.key: line.account for line in PLANNED}
    vendors = {order.key: order.vendor for order in ORDERS}
    for bill in season.bills:
        if bill.posted_on is not None:
            season.postings.append(
                Posted(bill.posted_on, accounts[bill.key], f"Invoice {bill.number}", bill.to_pay, vendors[bill.key],
                       bill.number, bill.key)
            )  # fmt: skip
    for week in range(13):
        for hand in range(12):
            amount = cents(Decimal(dice.randint(38000, 52000)) / 100)
            season.postings.append(
                Posted(FIRST + timedelta(days=6 + 7 * week), "6110", f"Payroll closure, hand {hand + 1}", amount, "",
                       f"W{week + 1}", "crew")
            )  # fmt: skip
    for number in range(10):
        amount = cents(Decimal(dice.randint(5000, 30000)) / 100)
        season.postings.append(
            Posted(FIRST + timedelta(days=9 * number + 2), "6100", f"Spotter for hauling {number + 1}", amount,
                   "Day Labor Pool", f"S{number + 1}", "haul")
        )  # fmt: skip
    # A mistaken payroll row and its reversal; two rows that are truly equal.
    for amount, text in (
        (dec("612.40"), "Payroll closure, hand 3"),
        (dec("-612.40"), "Reversal: Payroll closure, hand 3"),
    ):
        season.postings.append(Posted(date(2026, 9, 30), "6110", text, amount, "", "W9-R", "crew"))
    season.postings += [
        Posted(
            date(2026, 9, 3), "1520-30", "Gravel, cash sale", dec("84.00"), "Stony Brook Quarry", "", "gravel"
        )
    ] * 2
    while len(season.postings) < POSTINGS:
        amount = cents(Decimal(dice.randint(-20000, 90000)) / 100)
        season.postings.append(
            Posted(FIRST + timedelta(days=dice.randint(0, 100)), dice.choice(["7010", "7020", "7300", "8100"]),
                   f"Clubhouse {dice.choice(['linen', 'kitchen', 'bar', 'water'])} {len(season.postings)}", amount,
                   "", "", None)
        )  # fmt: skip
    season.postings.sort(key=lambda row: (row.on, row.account, row.text))
