"""Reading the alternatives of a question: what each costs, what of it is moved, and what cannot be looked at."""

from uuid import UUID

from swardcost_model.choosing import ChoosingSide, Counted, EstimateVariable, SearchFields, YearsVariable
from swardcost_model.estimates import Estimate
from swardcost_model.problems import Fault
from swardcost_model.values import Money, plain, to_minor

from swardcost_api.alternatives.moved_costs import SideCost
from swardcost_api.alternatives.variables import moved, refuse
from swardcost_api.estimates.service import read_estimate, repriceable
from swardcost_api.storage.rows import named_in_request
from swardcost_api.storage.work import UnitOfWork

MOST_VALUES = 1_000_000
_DETAIL = "The question cannot be answered as it was put."


def read_side(work: UnitOfWork, side: ChoosingSide, search: SearchFields, pointer: str) -> SideCost:
    """An alternative with what it is priced from.

    Raises `invalid-values` for an estimate that the club does not have and a variable that does not fit it, and
    `wrong-state` where what is to be moved has changed since it was priced.
    """
    if side.estimate_id is None:
        assert side.cost is not None
        found = SideCost(
            side.label or "Stated offer", None, side.cost.currency, search.counts,
            to_minor(side.cost.amount, side.cost.currency), True, pointer,
        )  # fmt: skip
        if side.variable is not None and not isinstance(side.variable, YearsVariable):
            expected = "no variable, or years: nothing else of a stated cost can be moved"
            refuse([Fault(pointer=f"{pointer}/variable", expected=expected, got=side.variable.kind)])
    else:
        found = read_estimate_cost(work, side.estimate_id, search, pointer)
        found.label = side.label or found.label
    if isinstance(side.variable, YearsVariable):
        _read_yearly(work, found, side.variable, search)
    elif side.variable is not None:
        move(work, found, side.variable, search, f"{pointer}/variable")
    return found


def read_estimate_cost(work: UnitOfWork, estimate_id: UUID, search: SearchFields, pointer: str) -> SideCost:
    """An estimate at the cost that it has. Raises `invalid-values` where the club does not have it."""
    with named_in_request(f"{pointer}/estimate_id", "an estimate of this club", estimate_id, _DETAIL):
        estimate = read_estimate(work, estimate_id)
    cost = _counted(estimate, search)
    return SideCost(
        estimate.name, estimate_id, cost.currency, search.counts, to_minor(cost.amount, cost.currency),
        estimate.complete, pointer,
    )  # fmt: skip


def move(
    work: UnitOfWork, side: SideCost, variable: EstimateVariable, search: SearchFields, pointer: str
) -> None:
    """Have a variable move an estimate. Raises as `moved` and `repriceable`."""
    assert side.estimate_id is not None
    side.repriced = repriceable(work, side.estimate_id)
    side.moved = moved(side.repriced, variable, search, pointer)


def _read_yearly(work: UnitOfWork, side: SideCost, variable: YearsVariable, search: SearchFields) -> None:
    if search.unit != "year":
        refuse([Fault(pointer="/unit", expected="year", got=search.unit)])
    place = f"{side.pointer}/variable"
    if variable.yearly is not None:
        yearly = variable.yearly
    else:
        assert variable.yearly_estimate_id is not None
        with named_in_request(
            f"{place}/yearly_estimate_id", "an estimate of this club", variable.yearly_estimate_id, _DETAIL
        ):
            estimate = read_estimate(work, variable.yearly_estimate_id)
        yearly = _counted(estimate, search)
        side.complete = side.complete and estimate.complete
    if yearly.currency != side.currency:
        refuse([Fault(pointer=place, expected=f"a cost in {side.currency}", got=yearly.currency)])
    side.yearly_minor = to_minor(yearly.amount, yearly.currency)


def _counted(estimate: Estimate, search: SearchFields) -> Money:
    return estimate.total if search.counts is Counted.TOTAL else estimate.cash_total


def refuse_unsearchable(search: SearchFields) -> None:
    """Raise `invalid-values` for bounds out of order or off the steps, or more values than are looked at."""
    if not search.low < search.high:
        refuse([Fault(pointer="/high", expected=f"more than {plain(search.low)}", got=plain(search.high))])
    refuse(
        Fault(pointer=f"/{name}", expected=f"a multiple of {plain(search.resolution)}", got=plain(bound))
        for name, bound in (("low", search.low), ("high", search.high))
        if bound % search.resolution
    )
    if (search.high - search.low) / search.resolution >= MOST_VALUES:
        expected = f"a step that leaves at most {MOST_VALUES:,} values between the bounds"
        refuse([Fault(pointer="/resolution", expected=expected, got=plain(search.resolution))])
