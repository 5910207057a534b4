"""What vendors are asked for: the items of an estimate with their quantities, machines by the days they are needed."""

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal

from swardcost_model.problems import Fault
from swardcost_model.quotes import AskedHire, AskedItem, AskedStay, NewQuoteRequest, NotAsked, QuotedItem

from swardcost_api.engine.pricing.hire import Need, days_at_work
from swardcost_api.estimates.service import ItemNeeded, needs_of
from swardcost_api.storage.work import UnitOfWork

WORKING_DAY = "work_day"
_DAYS_IN_A_WEEK = 7


class AskedLines:
    """The lines of a request by key: the code of the item, with its unit where the item is asked for by several."""

    def __init__(self, items: Sequence[AskedItem]) -> None:
        codes = [one.item for one in items]
        self.by_key: Mapping[str, AskedItem] = {
            one.item if codes.count(one.item) == 1 else f"{one.item} by {one.unit}": one for one in items
        }

    def of_item(self, code: str) -> list[AskedItem]:
        """The lines of an item, one for each unit that it is asked for by."""
        return [one for one in self.by_key.values() if one.item == code]

    def keyed(self, quoted: Iterable[QuotedItem]) -> dict[str, QuotedItem]:
        """What is quoted, by the key of the line that it is for; what is for none, or for several, is not there."""
        found = ((self.key_of(one), one) for one in quoted)
        return {key: one for key, one in found if key is not None}

    def key_of(self, quoted: QuotedItem) -> str | None:
        """Key of the line that a quoted item is for; `None` where there is none, or its unit does not say which."""
        keys = [
            key
            for key, one in self.by_key.items()
            if one.item == quoted.item and quoted.unit in (None, one.unit)
        ]
        return keys[0] if len(keys) == 1 else None


def asked_for(
    work: UnitOfWork, new: NewQuoteRequest, faults: list[Fault]
) -> tuple[list[AskedItem], list[NotAsked]]:
    """The lines to ask for, and what is left out; faults for items that are named and cannot be asked for."""
    needed, not_needed = needs_of(work, new.estimate_id)
    asked: list[AskedItem] = []
    left_out = [NotAsked(item=one.item, description=one.description, why=one.why) for one in not_needed]
    for one in needed:
        try:
            asked.append(_asked(one))
        except ValueError as error:
            left_out.append(NotAsked(item=one.item, description=one.description, why=f"{error}"))
    lines = AskedLines(asked)
    for index, code in enumerate(new.items):
        if not lines.of_item(code) or code in new.items[:index]:
            why = " ".join(one.why for one in left_out if one.item == code)
            expected = "an item of the estimate that has a quantity, named once"
            got = f"{code}: {why}" if why else code
            faults.append(Fault(pointer=f"/items/{index}", expected=expected, got=got))
    if not asked:
        faults.append(
            Fault(pointer="/estimate_id", expected="an estimate with quantities", got=str(new.estimate_id))
        )
    if not new.items:
        return asked, left_out
    return [line for code in new.items for line in lines.of_item(code)], [
        one for one in left_out if one.item in new.items
    ]


def _asked(needed: ItemNeeded) -> AskedItem:
    hire = _hire(needed)
    quantity, unit = needed.quantity, needed.unit
    if hire is not None:
        quantity, unit = Decimal(sum(stay.working_days for stay in hire.stays)), WORKING_DAY
    return AskedItem(
        item=needed.item, description=needed.description, quantity=quantity, unit=unit, hire=hire,
        scope_item_ids=list(needed.scope_item_ids),
    )  # fmt: skip


def _hire(needed: ItemNeeded) -> AskedHire | None:
    """On which days a machine is needed. Raises `ValueError` for more hours than a hire can be looked at."""
    if needed.terms is None:
        return None
    needs = [
        Need(str(number), one.hours, one.starts_on, one.ends_on) for number, one in enumerate(needed.hire)
    ]
    days, machines = days_at_work(needs, needed.terms)
    stays = []
    for one, at_work in zip(needed.hire, days, strict=True):
        first, last = min(at_work.dates), max(at_work.dates)
        calendar_days = (last - first).days + 1
        stays.append(
            AskedStay(
                scope_item_id=one.scope_item_id, hours=one.hours, starts_on=one.starts_on, ends_on=one.ends_on,
                first_day=first, last_day=last, working_days=len(at_work.dates), calendar_days=calendar_days,
                weeks=-(-calendar_days // _DAYS_IN_A_WEEK),
            )
        )  # fmt: skip
    return AskedHire(
        hours=needed.quantity, hours_a_day=needed.terms.hours_a_day, works_weekends=needed.terms.works_weekends,
        machines=machines, stays=stays,
    )  # fmt: skip


def scope_items_of(asked: AskedItem) -> list[str] | None:
    """Ids of the scope items that an item is asked for, as they are kept; `None` where that is not known."""
    return None if asked.scope_item_ids is None else [str(one) for one in asked.scope_item_ids]
