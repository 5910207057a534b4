"""What an invoice says line by line, made out against its commitment: amounts, and the retainage on each."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from uuid import UUID

from sqlalchemy import Row
from swardcost_model import problems
from swardcost_model.deliveries import InvoiceKind, InvoiceLineFields, NewInvoice
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import from_minor, plain, to_micros, to_minor

from swardcost_api.commitments.standing import LUMP_SUM, NOT_ORDERED, Bill
from swardcost_api.engine.control.matching import value_of
from swardcost_api.engine.control.retainage import releasable, retainage_of
from swardcost_api.engine.pricing.allocation import split_exactly
from swardcost_api.engine.pricing.lines import BEYOND

Place = tuple[int, UUID | None]
"""What a billed line is of: an ordered line, or (line number 0) a budget line."""
RELEASED = "Retainage released"
_NOTHING_ENTERED = "The invoice was not entered."


@dataclass(frozen=True, slots=True)
class MadeOut:
    """A line of an invoice to be stored; signs are those of its kind."""

    place: Place
    description: str
    quantity: Decimal | None
    unit_price: Decimal | None
    amount_minor: int
    withheld_minor: int

    def columns(self) -> dict[str, Any]:
        """What the line puts into its row."""
        number, budget_line_id = self.place
        return {
            "line_number": number or None, "budget_line_id": budget_line_id, "description": self.description,
            "quantity_micros": None if self.quantity is None else to_micros(self.quantity),
            "unit_price_micros": None if self.unit_price is None else to_micros(self.unit_price),
            "amount_minor": self.amount_minor, "withheld_minor": self.withheld_minor,
        }  # fmt: skip


def place_of(bill: Bill) -> Place:
    """What a standing bill is of."""
    return bill.line_number, bill.budget_line_id if bill.line_number == NOT_ORDERED else None


def by_place(bills: Sequence[Bill]) -> dict[Place, list[Bill]]:
    """Standing bills by what they are of."""
    found: dict[Place, list[Bill]] = {}
    for bill in bills:
        found.setdefault(place_of(bill), []).append(bill)
    return found


def make_out(
    new: NewInvoice, commitment: Row[Any], lines: Mapping[int, Row[Any]], budget_lines: set[UUID],
    bills: Sequence[Bill], currency: str,
) -> list[MadeOut]:  # fmt: skip
    """The lines of an invoice with their amounts and retainage.

    Raises `invalid-values` for lines of nothing ordered or planned, amounts that are not their product, credit for
    more than was billed, and retainage beyond what is billed or held.
    """
    faults: list[Fault] = []
    if new.invoiced_on < commitment.signed_on:
        expected = f"{commitment.signed_on}, when it was signed, or later"
        faults.append(Fault(pointer="/invoiced_on", expected=expected, got=new.invoiced_on.isoformat()))
    standing = by_place(bills)
    if new.kind is InvoiceKind.RETAINAGE_RELEASE:
        made = _released(new, standing, currency, faults)
    else:
        made = _billed(new, lines, budget_lines, currency, faults)
        if not faults:
            _refuse_beyond(made, bills, currency, faults)
        if not faults and new.kind is InvoiceKind.INVOICE:
            made = _withhold(new, made, Decimal(commitment.retainage_percent), currency, faults)
        elif not faults:
            made = _give_back(new, made, standing, Decimal(commitment.retainage_percent), currency, faults)
    if faults:
        raise ProblemError(problems.INVALID_VALUES, _NOTHING_ENTERED, faults)
    return made


def _billed(
    new: NewInvoice,
    lines: Mapping[int, Row[Any]],
    budget_lines: set[UUID],
    currency: str,
    faults: list[Fault],
) -> list[MadeOut]:
    """The lines as stated, above zero and without retainage."""
    made = []
    for index, line in enumerate(new.lines):
        pointer = f"/lines/{index}"
        faults += _faults_of_line(new, line, lines, budget_lines, pointer)
        amount = _amount_of(line, currency, pointer, faults)
        place = (line.line_number or NOT_ORDERED, line.budget_line_id)
        made.append(MadeOut(place, line.description, line.quantity, line.unit_price, amount, 0))
    return made


def _faults_of_line(
    new: NewInvoice,
    line: InvoiceLineFields,
    lines: Mapping[int, Row[Any]],
    budget_lines: set[UUID],
    pointer: str,
) -> list[Fault]:
    if line.line_number is None:
        if line.budget_line_id in budget_lines:
            return []
        expected = "the id of a line of the commitment's budget"
        return [Fault(pointer=pointer + "/budget_line_id", expected=expected, got=str(line.budget_line_id))]
    ordered = lines.get(line.line_number)
    if ordered is None:
        expected = "the number of an ordered line, or none and a budget_line_id"
        return [Fault(pointer=pointer + "/line_number", expected=expected, got=str(line.line_number))]
    if line.quantity is None and new.kind is InvoiceKind.INVOICE and ordered.unit != LUMP_SUM:
        expected = f"a quantity in {ordered.unit} and its unit_price"
        return [Fault(pointer=pointer + "/quantity", expected=expected, got="an amount alone")]
    return []


def _amount_of(line: InvoiceLineFields, currency: str, pointer: str, faults: list[Fault]) -> int:
    if line.quantity is not None and line.unit_price is not None:
        if line.quantity * line.unit_price >= BEYOND - 1:
            expected = "quantity x unit price below 1,000,000,000,000"
            faults.append(
                Fault(pointer=pointer + "/unit_price", expected=expected, got=plain(line.unit_price))
            )
            return 0
        product = value_of(line.quantity, line.unit_price, currency)
        if line.amount is not None and line.amount != from_minor(product, currency):
            expected = (
                f"{plain(from_minor(product, currency))}, quantity x unit price rounded half up, or none"
            )
            faults.append(Fault(pointer=pointer + "/amount", expected=expected, got=plain(line.amount)))
        return product
    assert line.amount is not None
    return _whole(line.amount, currency, pointer + "/amount", faults)


def _whole(amount: Decimal, currency: str, pointer: str, faults: list[Fault]) -> int:
    """An amount in minor units, at fault where it has parts of one."""
    minor = to_minor(amount, currency)
    if from_minor(minor, currency) != amount:
        expected = f"an amount in whole minor units of {currency}"
        faults.append(Fault(pointer=pointer, expected=expected, got=plain(amount)))
    return minor


def _refuse_beyond(
    made: Sequence[MadeOut], bills: Sequence[Bill], currency: str, faults: list[Fault]
) -> None:
    total = sum(abs(bill.billed.amount_minor) for bill in bills) + sum(line.amount_minor for line in made)
    if total >= to_minor(BEYOND - 1, currency):
        expected = "amounts that sum to less than 1,000,000,000,000 over all invoices of the commitment"
        faults.append(Fault(pointer="/lines", expected=expected, got=plain(from_minor(total, currency))))


def _withhold(
    new: NewInvoice, made: Sequence[MadeOut], percent: Decimal, currency: str, faults: list[Fault]
) -> list[MadeOut]:
    """An invoice with its retainage: by the percentage, on what was ordered, or as stated."""
    amounts = [line.amount_minor for line in made]
    ordered = [line.amount_minor if line.place[0] != NOT_ORDERED else 0 for line in made]
    if new.retainage is None:
        withheld = retainage_of(sum(ordered), percent)
    else:
        withheld = _whole(new.retainage, currency, "/retainage", faults)
        if withheld > sum(amounts):
            _too_much(new, sum(amounts), "which is billed", currency, faults)
            return list(made)
    return _with_withheld(made, _shares(withheld, ordered if withheld <= sum(ordered) else amounts))


def _give_back(
    new: NewInvoice, made: Sequence[MadeOut], standing: Mapping[Place, Sequence[Bill]], percent: Decimal,
    currency: str, faults: list[Fault],
) -> list[MadeOut]:  # fmt: skip
    """A credit note, below zero, with the retainage that it gives back: never more than is held on its lines."""
    left = {place: _held(bills, new) for place, bills in standing.items()}
    most = []
    for line in made:
        share = min(line.amount_minor, left.get(line.place, 0))
        left[line.place] = left.get(line.place, 0) - share
        most.append(share)
    if new.retainage is None:
        ordered = [line.amount_minor if line.place[0] != NOT_ORDERED else 0 for line in made]
        by_percent = _shares(retainage_of(sum(ordered), percent), ordered)
        back = [min(one, other) for one, other in zip(by_percent, most, strict=True)]
    else:
        stated = _whole(new.retainage, currency, "/retainage", faults)
        if stated > sum(most):
            _too_much(new, sum(most), "which is held on its lines and credited", currency, faults)
            return list(made)
        back = _shares(stated, most)
    return [
        MadeOut(
            line.place, line.description, None if line.quantity is None else -line.quantity, line.unit_price,
            -line.amount_minor, -share,
        )
        for line, share in zip(made, back, strict=True)
    ]  # fmt: skip


def _released(
    new: NewInvoice, standing: Mapping[Place, Sequence[Bill]], currency: str, faults: list[Fault]
) -> list[MadeOut]:
    """A release of retainage over the lines on which it is held."""
    held = {place: _held(bills, new) for place, bills in standing.items()}
    total = sum(held.values())
    wanted = total if new.retainage is None else _whole(new.retainage, currency, "/retainage", faults)
    if not 0 < wanted <= total:
        _too_much(new, total, "which is held, and more than nothing", currency, faults)
        return []
    shares = split_exactly(wanted, list(held.values()))
    return [
        MadeOut(place, RELEASED, None, None, 0, -share)
        for place, share in zip(held, shares, strict=True)
        if share
    ]


def _held(bills: Sequence[Bill], new: NewInvoice) -> int:
    return releasable(((bill.invoiced_on, bill.withheld_minor) for bill in bills), new.invoiced_on)


def _shares(total: int, weights: Sequence[int]) -> list[int]:
    return split_exactly(total, weights) if total else [0] * len(weights)


def _with_withheld(made: Sequence[MadeOut], shares: Sequence[int]) -> list[MadeOut]:
    return [
        MadeOut(line.place, line.description, line.quantity, line.unit_price, line.amount_minor, share)
        for line, share in zip(made, shares, strict=True)
    ]


def _too_much(new: NewInvoice, most: int, why: str, currency: str, faults: list[Fault]) -> None:
    expected = f"at most {plain(from_minor(most, currency))}, {why}"
    got = "all that is held" if new.retainage is None else plain(new.retainage)
    faults.append(Fault(pointer="/retainage", expected=expected, got=got))


def overdrawn(bills: Sequence[Bill]) -> str | None:
    """What the bills of a commitment may not be together, in words: credit beyond what was billed on a line by its day,
    or retainage paid out before it was held."""
    for of_place in by_place(bills).values():
        quantity, amount, balance = Decimal(0), 0, 0
        for day in sorted({bill.invoiced_on for bill in of_place}):
            of_day = [bill for bill in of_place if bill.invoiced_on == day]
            quantity += sum((bill.billed.quantity or Decimal(0) for bill in of_day), Decimal(0))
            amount += sum(bill.billed.amount_minor for bill in of_day)
            if quantity < 0 or amount < 0:
                return f"more would be credited than was billed by {day}"
            balance += sum(bill.withheld_minor for bill in of_day)
            if balance < 0:
                return "more retainage would be paid out or given back than was held"
    return None
