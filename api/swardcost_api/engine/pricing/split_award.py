"""Split awards: the cheapest way to buy what was asked for from several vendors.

A split buys every item that some vendor offers from a vendor. The catalog's price, which nobody has promised, stands in
only for items that no vendor offers.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

MOST_VENDORS = 8
"""Every subset of so many vendors is tried; more would take twice as long for each."""


@dataclass(frozen=True, slots=True)
class Column:
    """What a vendor asks, in minor units: for the items it offers, by code, and once for coming at all."""

    key: str
    amounts_minor: Mapping[str, int]
    fixed_minor: int


@dataclass(frozen=True, slots=True)
class Split:
    """Who supplies what: codes by the key of the vendor, and those that no vendor offers, at the catalog's price."""

    total_minor: int
    codes_by_key: Mapping[str, tuple[str, ...]]
    from_catalog: tuple[str, ...]


def cheapest_split(
    codes: Sequence[str], columns: Sequence[Column], catalog_minor: Mapping[str, int]
) -> Split | None:
    """The cheapest set of vendors that has all that any vendor offers, each item bought from the cheapest of the set.

    ::

        total of a set = lowest amount in the set for each item + fixed charges of the set

    An item that some vendor offers is never left for the catalog, however low its price there: a set without a vendor
    for it is out of the question. An item that no vendor offers counts at the catalog's amount; the answer is `None`
    where the catalog has none, or where there is no vendor. Every set is tried, so the answer is exact. All amounts are
    in minor units and zero or more. Of equally cheap sets the smallest is taken, then the one that comes first in the
    order of `columns`; of equal amounts for an item, the first vendor's.

    Raises `ValueError` for more than `MOST_VENDORS` vendors.

    References
    ----------
    Complete enumeration; with fixed charges, buying each item where it is cheapest need not be cheapest in all.
    """
    if len(columns) > MOST_VENDORS:
        raise ValueError(f"expected at most {MOST_VENDORS} vendors; got {len(columns)}")
    by_price = [
        (code, sorted((one.amounts_minor[code], i) for i, one in enumerate(columns) if code in one.amounts_minor))
        for code in codes
    ]  # fmt: skip
    best: tuple[int, tuple[int, ...]] | None = None
    for chosen in _sets_smallest_first(len(columns)):
        total = _total(by_price, frozenset(chosen), catalog_minor)
        if total is None:
            continue
        total += sum(columns[i].fixed_minor for i in chosen)
        if best is None or total < best[0]:
            best = total, chosen
    if best is None:
        return None
    return _split(best[0], by_price, frozenset(best[1]), columns)


def _sets_smallest_first(count: int) -> list[tuple[int, ...]]:
    return [chosen for size in range(1, count + 1) for chosen in combinations(range(count), size)]


_ByPrice = Sequence[tuple[str, Sequence[tuple[int, int]]]]


def _total(by_price: _ByPrice, chosen: frozenset[int], catalog_minor: Mapping[str, int]) -> int | None:
    """What the items cost from a set; `None` where it lacks an item that is offered, or nobody has a price for one."""
    total = 0
    for code, offered in by_price:
        unless_offered = None if offered else catalog_minor.get(code)
        amount = next((amount for amount, i in offered if i in chosen), unless_offered)
        if amount is None:
            return None
        total += amount
    return total


def _split(total: int, by_price: _ByPrice, chosen: frozenset[int], columns: Sequence[Column]) -> Split:
    suppliers: dict[str, list[str]] = {}
    left: list[str] = []
    for code, offered in by_price:
        supplier = next((i for _, i in offered if i in chosen), None)
        if supplier is None:
            left.append(code)
        else:
            suppliers.setdefault(columns[supplier].key, []).append(code)
    return Split(total, {key: tuple(codes) for key, codes in suppliers.items()}, tuple(left))
