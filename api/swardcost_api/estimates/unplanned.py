"""Unplanned work: described and priced in one call, and paid by a proposed draw from contingency."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID

from sqlalchemy import Row, insert, select
from swardcost_model import problems
from swardcost_model.access import Club
from swardcost_model.adjustments import Adjustment, AdjustmentKind, LineToOpen, NewAdjustment, NewEntry
from swardcost_model.catalog import Edition
from swardcost_model.estimates import EstimateWarning, LinePart, Markup, MarkupKind, WarningKind
from swardcost_model.paging import Page
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.unplanned import NewUnplannedWork, UnplannedLine, UnplannedWork
from swardcost_model.values import Money, from_micros, from_minor, plain, to_micros

from swardcost_api.access.service import read_club, record
from swardcost_api.budgets.service import (
    fund_from_contingency,
    hold_budget,
    propose,
    read_adjustments,
    read_budget_summary,
    stated_minor,
)
from swardcost_api.catalog.service import items_with_codes, read_edition, vendor_terms
from swardcost_api.derivations import steps_for
from swardcost_api.engine.control.phasing import phase
from swardcost_api.engine.derivation import Step
from swardcost_api.estimates.choices import choices_of, with_choices
from swardcost_api.estimates.derivations import pack, unpack
from swardcost_api.estimates.markup_rates import markup_rates
from swardcost_api.estimates.priced import Line, PricedScope
from swardcost_api.estimates.pricing import Prices, price_scope
from swardcost_api.estimates.scopes import NO_GROUND, KindOfWork, ScopeEntry
from swardcost_api.estimates.stored import markup_document, markup_line_of
from swardcost_api.estimates.tables import EstimateRow, UnplannedWorkRow
from swardcost_api.methods.registry import METHODS
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import by_id, read_row
from swardcost_api.storage.work import UnitOfWork
from swardcost_api.units import UNITS

_ROW = tuple(column for column in UnplannedWorkRow.__table__.c if column.name != "club_id")
_BY_ID = by_id(UnplannedWorkRow, _ROW)
_PLACE_IN_SCOPE = re.compile(r"scope item 1, /resources/(\d+)")
_OWN_QUANTITY = frozenset({LinePart.PRICE, LinePart.RENTAL})
_LONGEST_REASON = 2000
_DETAIL = "Nothing was proposed."


@dataclass(frozen=True, slots=True)
class _Basis:
    """What the work is priced by: the edition and markups of the budget's estimate, in its project."""

    project_id: UUID
    edition: Edition
    markups: Sequence[Markup]
    currency: str


def price_unplanned(work: UnitOfWork, budget_id: UUID, new: NewUnplannedWork) -> UnplannedWork:
    """Price the work by the edition of the budget's estimate, and propose the draw that pays for it.

    Raises `invalid-values` for items without a price, and where contingency does not reach and new money is not asked
    for.
    """
    hold_budget(work, budget_id)
    basis = _basis(work, budget_id)
    ends_on = new.ends_on or new.happened_on
    lines, markups, priced = _price(work, new, basis, ends_on)
    total = sum(line["amount_minor"] for line in lines) + sum(one["amount_minor"] for one in markups)
    if not total:
        fault = Fault(pointer="/entries", expected="work that costs something", got="0")
        raise ProblemError(problems.INVALID_VALUES, _DETAIL, [fault])
    taken = fund_from_contingency(work, budget_id, total, new.happened_on.isoformat()[:7], new.happened_on)
    from_contingency = sum(one.amount_minor for one in taken)
    if from_contingency < total and not new.beyond_contingency:
        raise _too_dear(from_contingency, total, basis.currency)
    unit, quantity = _own_quantity(new, lines)
    gives = [
        NewEntry(new_line=1, month=month, amount=Money.of_minor(minor, basis.currency))
        for month, minor in phase(total, new.happened_on, ends_on).items()
        if minor
    ]
    gives[0] = gives[0].model_copy(update={"quantity": quantity})
    takes = [
        NewEntry(
            budget_line_id=one.line_id,
            month=one.month,
            amount=Money.of_minor(-one.amount_minor, basis.currency),
        )
        for one in taken
    ]
    adjustment = propose(
        work, budget_id,
        NewAdjustment(
            kind=AdjustmentKind.CONTINGENCY_DRAW if from_contingency == total else AdjustmentKind.CHANGE_ORDER,
            effective_on=new.happened_on, reason=f"{new.name}: {new.what_happened}"[:_LONGEST_REASON], unplanned=True,
            new_lines=[LineToOpen(label=new.name, account=new.account, unit=unit)], entries=[*gives, *takes],
        ),
    )  # fmt: skip
    work_id = work.new_id()
    document = {
        "name": new.name, "what_happened": new.what_happened, "happened_on": new.happened_on.isoformat(),
        "ends_on": ends_on.isoformat(), "account": new.account, "edition": basis.edition.name, "lines": lines,
        "markups": markups, "total_minor": total, "from_contingency_minor": from_contingency,
        "warnings": [
            one.model_dump(mode="json") for one in priced.warnings if one.kind is not WarningKind.NO_ACCOUNT
        ],
        "cautions": priced.cautions,
    }  # fmt: skip
    work.session.execute(
        insert(UnplannedWorkRow).values(
            club_id=work.club_id, id=work_id, budget_id=budget_id, adjustment_id=adjustment.id, priced=document,
            created_at=work.now, created_by=work.caller.name,
        )
    )  # fmt: skip
    record(
        work, "price", "unplanned_work", work_id,
        after={
            "budget_id": str(budget_id), "adjustment": adjustment.number, "name": new.name,
            "what_happened": new.what_happened, "total_minor": total,
        },
    )  # fmt: skip
    return read_unplanned(work, work_id)


def list_unplanned(work: UnitOfWork, budget_id: UUID, limit: int, cursor: str | None) -> Page[UnplannedWork]:
    """The unplanned work of a budget, whatever became of its adjustments, oldest first."""
    read_budget_summary(work, budget_id)
    statement = select(*_ROW).where(
        UnplannedWorkRow.club_id == work.club_id, UnplannedWorkRow.budget_id == budget_id
    )
    rows, following = read_page(work, statement, (UnplannedWorkRow.id,), limit, cursor)
    return Page[UnplannedWork](items=_answers(work, rows), next=following)


def read_unplanned(work: UnitOfWork, unplanned_work_id: UUID) -> UnplannedWork:
    """Unplanned work with its lines and what became of its adjustment."""
    return _answers(work, [read_row(work, _BY_ID, unplanned_work_id, "unplanned work")])[0]


def _basis(work: UnitOfWork, budget_id: UUID) -> _Basis:
    budget = read_budget_summary(work, budget_id)
    estimate = work.session.execute(
        select(EstimateRow.edition_id, EstimateRow.terms, EstimateRow.currency).where(
            EstimateRow.club_id == work.club_id, EstimateRow.id == budget.estimate_id
        )
    ).one()
    markups = [Markup(**one) for one in estimate.terms["markups"]]
    return _Basis(budget.project_id, read_edition(work, estimate.edition_id), markups, estimate.currency)


def _price(
    work: UnitOfWork, new: NewUnplannedWork, basis: _Basis, ends_on: date
) -> tuple[list[dict[str, Any]], list[dict[str, Any]], PricedScope]:
    """The printed lines and markups for storage, and what pricing had to say."""
    places = [index for index, entry in enumerate(new.entries) if entry.item is not None]
    faults: list[Fault] = []
    allowances = [
        _allowance(index, entry.description or "", stated_minor(entry.amount, basis.currency, place, faults))
        for index, entry in enumerate(new.entries)
        if entry.amount is not None and (place := f"/entries/{index}/amount")
    ]
    faults += [
        Fault(pointer=f"/entries/{index}/amount/amount", expected="more than zero")
        for index, line in allowances
        if line["amount_minor"] <= 0 and not faults
    ]
    faults += _unknown_units(new)
    if faults:
        raise ProblemError(problems.INVALID_VALUES, _DETAIL, faults)
    priced = _priced_items(work, new, places, basis, ends_on) if places else PricedScope()
    of_items = [(places[line.resource - 1], _line_document(line)) for line in priced.lines]
    # In the order of the entries; the lines of one entry stay in theirs.
    documents = sorted([*of_items, *allowances], key=lambda one: one[0])
    lines = [document | {"number": number} for number, (_, document) in enumerate(documents, start=1)]
    return lines, [markup_document(one) for one in priced.markups], priced


def _unknown_units(new: NewUnplannedWork) -> Iterable[Fault]:
    for index, entry in enumerate(new.entries):
        if entry.quantity is not None and entry.quantity.unit not in UNITS:
            pointer = f"/entries/{index}/quantity/unit"
            yield Fault(pointer=pointer, expected="a unit listed at /v1/units", got=entry.quantity.unit)


def _priced_items(
    work: UnitOfWork, new: NewUnplannedWork, places: Sequence[int], basis: _Basis, ends_on: date
) -> PricedScope:
    """Price the catalog's items as a scope item of their own, with the tax of the budget's estimate.

    Prices chosen from quotes hold here too; a lump sum chosen for the planned work does not.
    """
    entries = [new.entries[index] for index in places]
    resources = [
        {
            "item": entry.item, "measure": None, "waste_percent": "0",
            "quantity": {"value": plain(entry.quantity.value), "unit": entry.quantity.unit},
        }
        for entry in entries
        if entry.quantity is not None
    ]  # fmt: skip
    lump = {"quantity": {"value": "1", "unit": "lump_sum"}}
    kind = KindOfWork(METHODS["plain_quantity"], lump)
    scope = ScopeEntry(work.new_id(), 1, new.name, kind, resources, NO_GROUND, new.happened_on, ends_on, None)
    edition = basis.edition
    choices = {
        code: choice
        for code, choice in choices_of(work, basis.project_id).items()
        if choice.lump_minor is None
    }
    items = items_with_codes(work, edition.id, {str(entry.item) for entry in entries})
    tax = [
        one.model_copy(update={"account": new.account}) for one in basis.markups if one.kind is MarkupKind.TAX
    ]
    prices = Prices(
        with_choices(items, choices, edition.currency), vendor_terms(work, edition.id), edition.currency,
        edition.price_date, markup_rates(work, tax, new.happened_on),
    )  # fmt: skip
    try:
        priced = price_scope([scope], prices, work.now.date(), new.happened_on, ends_on)
    except ProblemError as error:
        raise ProblemError(error.kind, _DETAIL, [_placed(one, places) for one in error.faults]) from None
    faults = [
        Fault(
            pointer=f"/entries/{places[number]}/item",
            expected=f"an item with a price in {edition.name}, or a description and an amount",
            got=entries[number].item,
        )
        for number in dict.fromkeys(line.resource - 1 for line in priced.lines if line.amount_minor is None)
    ]  # fmt: skip
    if faults:
        raise ProblemError(problems.INVALID_VALUES, _DETAIL, faults)
    return priced


def _placed(fault: Fault, places: Sequence[int]) -> Fault:
    """A fault of pricing at the place of the request that it comes from."""
    match = _PLACE_IN_SCOPE.fullmatch(fault.pointer)
    pointer = "/entries" if match is None else f"/entries/{places[int(match.group(1))]}"
    return fault.model_copy(update={"pointer": pointer})


def _line_document(line: Line) -> dict[str, Any]:
    assert line.quantity is not None
    assert line.price is not None
    item = line.item
    return {
        "item": line.code, "part": line.part.value, "description": line.description,
        "vendor": item.vendor_name if item else None, "quantity": plain(line.quantity), "unit": line.unit,
        "price_micros": to_micros(line.price), "price_source": item.price_source if item else None,
        "amount_minor": line.amount_minor, "derivation": pack(line.derivation),
    }  # fmt: skip


def _allowance(index: int, description: str, minor: int) -> tuple[int, dict[str, Any]]:
    return index, {
        "item": None, "part": LinePart.PRICE.value, "description": description, "vendor": None, "quantity": "1",
        "unit": "lump_sum", "price_source": None, "amount_minor": minor,
    }  # fmt: skip


def _own_quantity(
    new: NewUnplannedWork, lines: Sequence[dict[str, Any]]
) -> tuple[str | None, Decimal | None]:
    """Unit and quantity of the line to be opened: of one item in one unit, else it has none."""
    if len(new.entries) != 1 or new.entries[0].item is None:
        return None, None
    own = [line for line in lines if line["part"] in _OWN_QUANTITY]
    if len({line["unit"] for line in own}) != 1:
        return None, None
    quantity = sum((Decimal(line["quantity"]) for line in own), Decimal(0))
    return (own[0]["unit"], quantity) if quantity else (None, None)


def _too_dear(left: int, total: int, currency: str) -> ProblemError:
    expected = (
        f"true, or work for at most {from_minor(left, currency)} {currency}, which is what can be taken from "
        f"contingency; this costs {from_minor(total, currency)} {currency}"
    )
    fault = Fault(pointer="/beyond_contingency", expected=expected, got="false")
    return ProblemError(problems.INVALID_VALUES, _DETAIL, [fault])


def _answers(work: UnitOfWork, rows: Sequence[Row[*tuple[Any, ...]]]) -> list[UnplannedWork]:
    adjustments = read_adjustments(work, [row.adjustment_id for row in rows])
    club = read_club(work)
    return [_answer(club, row, adjustments[row.adjustment_id]) for row in rows]


def _answer(club: Club, row: Row[*tuple[Any, ...]], adjustment: Adjustment) -> UnplannedWork:
    currency, priced = club.currency, row.priced
    from_contingency, total = priced["from_contingency_minor"], priced["total_minor"]
    return UnplannedWork(
        **{
            name: priced[name]
            for name in ("name", "what_happened", "happened_on", "ends_on", "account", "edition", "cautions")
        },
        id=row.id, budget_id=row.budget_id, lines=[_line(one, club) for one in priced["lines"]],
        markups=[markup_line_of(one, currency, club) for one in priced["markups"]],
        total=Money.of_minor(total, currency), from_contingency=Money.of_minor(from_contingency, currency),
        new_money=Money.of_minor(total - from_contingency, currency),
        warnings=[EstimateWarning(**one) for one in priced["warnings"]], created_by=row.created_by,
        created_at=row.created_at, adjustment=adjustment,
    )  # fmt: skip


def _line(document: dict[str, Any], club: Club) -> UnplannedLine:
    amount = Money.of_minor(document["amount_minor"], club.currency)
    micros = document.get("price_micros")
    price = amount if micros is None else Money(amount=from_micros(micros), currency=club.currency)
    steps = unpack(document["derivation"]) if "derivation" in document else _allowed(amount)
    return UnplannedLine(
        **{
            name: document[name]
            for name in ("number", "item", "part", "description", "vendor", "unit", "price_source")
        },
        quantity=Decimal(document["quantity"]), unit_price=price, amount=amount, derivation=steps_for(steps, club),
    )  # fmt: skip


def _allowed(amount: Money) -> tuple[Step, ...]:
    """Why an allowance is what it is."""
    said = f"{plain(amount.amount)} {amount.currency}, as stated"
    return (Step("amount", float(amount.amount), amount.currency, said, (), "the report of the work"),)
