"""What is uncertain of an estimate, as somebody wrote it down; and what the edition's own prices propose."""

from uuid import UUID

from sqlalchemy import insert, select, update
from swardcost_model import problems
from swardcost_model.comparisons import SimulatedCost
from swardcost_model.estimates import EstimateStatus
from swardcost_model.problems import ProblemError
from swardcost_model.simulations import SimulatedFigures, Simulation
from swardcost_model.uncertainty import (
    ThreePoints,
    UncertainFigure,
    UncertainKind,
    Uncertainty,
    UncertaintyChange,
    UncertaintyFields,
    UncertaintyProposal,
)
from swardcost_model.values import from_micros, plain

from swardcost_api.access.service import record
from swardcost_api.estimates.service import (
    Bought,
    finds_ranges,
    read_estimate,
    repriceable,
    starts_with_estimates,
)
from swardcost_api.risk.fitting import PRICE, fit
from swardcost_api.risk.fitting import Fitted as Fitted
from swardcost_api.risk.running import list_simulations, read_simulation
from swardcost_api.risk.simulating import held_because
from swardcost_api.risk.stated import FIELDS
from swardcost_api.risk.stated import fitted_uncertainty as fitted_uncertainty
from swardcost_api.risk.stated import read_uncertainty as read_uncertainty
from swardcost_api.risk.tables import SimulationRow, UncertaintyRow
from swardcost_api.risk.what_if import sensitivity_of as sensitivity_of
from swardcost_api.storage.rows import stale
from swardcost_api.storage.work import UnitOfWork


@starts_with_estimates
def start_uncertainty(work: UnitOfWork, estimate_id: UUID, revises: UUID | None) -> None:
    """Give a new estimate its uncertainty: that of the revision before, or an empty one."""
    stated = UncertaintyFields() if revises is None else read_uncertainty(work, revises)
    work.session.execute(
        insert(UncertaintyRow).values(
            club_id=work.club_id, estimate_id=estimate_id, version=1,
            uncertainty=stated.model_dump(mode="json", include=FIELDS),
        )
    )  # fmt: skip


@finds_ranges
def count_ranges(work: UnitOfWork, estimate_id: UUID) -> int:
    """How many figures of an estimate have a range. Raises `not-found`."""
    return len(read_uncertainty(work, estimate_id).figures)


def change_uncertainty(
    work: UnitOfWork, estimate_id: UUID, change: UncertaintyChange, if_match: int
) -> Uncertainty:
    """Write down what is uncertain of an estimate that is, or may yet be, decided on.

    The estimate's figures stay as they are, so that this is open after it was issued, when a committee asks for it, and
    after it was accepted, when work shows how far off it may be. Raises `wrong-state` for one that is superseded or
    declined, on which nothing rests any more, and `invalid-values` with the place of all that does not fit it.
    """
    estimate = read_estimate(work, estimate_id)
    if estimate.superseded_by is not None or estimate.status is EstimateStatus.DECLINED:
        state = "superseded" if estimate.superseded_by is not None else "declined"
        raise ProblemError(problems.WRONG_STATE, f"The estimate is {state}; its uncertainty stays as it was.")
    before = read_uncertainty(work, estimate_id)
    if before.version != if_match:
        raise stale("uncertainty", before.version, if_match)
    fit(
        repriceable(work, estimate_id), change, problems.INVALID_VALUES,
        "The uncertainty does not fit this estimate; nothing was changed.",
    )  # fmt: skip
    done = work.session.execute(
        update(UncertaintyRow)
        .where(
            UncertaintyRow.club_id == work.club_id,
            UncertaintyRow.estimate_id == estimate_id,
            UncertaintyRow.version == if_match,
        )
        .values(uncertainty=change.model_dump(mode="json"), version=if_match + 1)
    )
    if done.rowcount != 1:  # type: ignore[attr-defined]
        raise stale("uncertainty", before.version + 1, if_match)
    after = Uncertainty(estimate_id=estimate_id, version=if_match + 1, **change.model_dump())
    record(work, "change", "estimate_uncertainty", estimate_id, before, after)
    return after


def propose_uncertainty(work: UnitOfWork, estimate_id: UUID) -> UncertaintyProposal:
    """Ranges of prices that the edition itself speaks for; nothing is kept. Raises as `repriceable`."""
    repriced = repriceable(work, estimate_id)
    by_code: dict[str, Bought] = {}
    for one in repriced.priced.purchases:
        if one.charges and held_because(one, repriced.currency) is None:
            by_code.setdefault(one.code, one)
    figures = {code: _proposed(code, one) for code, one in by_code.items()}
    return UncertaintyProposal(
        figures=[figure for figure in figures.values() if figure is not None],
        without_range=sorted(code for code, figure in figures.items() if figure is None),
    )


def latest_simulation(work: UnitOfWork, estimate_id: UUID) -> Simulation | None:
    """The latest simulation of an estimate; `None` where there is none. Raises `not-found`."""
    latest = list_simulations(work, estimate_id, 1, None).items
    return read_simulation(work, latest[0].id) if latest else None


def simulated_cost(work: UnitOfWork, estimate_id: UUID) -> SimulatedCost | None:
    """What the latest simulation of an estimate says; `None` where there is none."""
    row = work.session.execute(
        select(SimulationRow.id, SimulationRow.trials, SimulationRow.seed, SimulationRow.found)
        .where(SimulationRow.club_id == work.club_id, SimulationRow.estimate_id == estimate_id)
        .order_by(SimulationRow.id.desc())
        .limit(1)
    ).first()
    if row is None:
        return None
    figures = SimulatedFigures.model_validate(row.found["figures"])
    amounts = {int(one.percent): one.amount for one in figures.percentiles}
    days = {int(one.percent): one.day for one in figures.reopening.percentiles} if figures.reopening else {}
    return SimulatedCost(
        simulation_id=row.id, trials=row.trials, seed=row.seed, mean=figures.mean, p10=amounts[10], p50=amounts[50],
        p80=amounts[80], p90=amounts[90], chance_percent=figures.estimate_confidence_percent,
        reopens_p80=days.get(80),
    )  # fmt: skip


def _proposed(code: str, one: Bought) -> UncertainFigure | None:
    """The price of an item from its lowest to its highest; `None` where the edition has not both, or they are alike."""
    item = one.item
    assert item is not None
    low, likely, high = item.low_micros, item.price_micros, item.high_micros
    if low is None or high is None or not likely or low == high or not low <= likely <= high:
        return None
    prices = [from_micros(micros) for micros in (low, likely, high)]
    words = ", ".join(plain(price) for price in prices)
    return UncertainFigure(
        name=f"Price of {code}", kind=UncertainKind.PRICE, items=[code], stated_in=PRICE,
        range=ThreePoints(shape="triangular", low=prices[0], likely=prices[1], high=prices[2]),
        note=f"Lowest, likely and highest price of the edition: {words} {item.currency} per {item.unit}, "
        f"{_source(one)}.",
    )  # fmt: skip


def _source(one: Bought) -> str:
    item = one.item
    assert item is not None
    said = [item.price_source or "without a price source", item.vendor_name]
    said += [f"of {item.priced_on}"] if item.priced_on else []
    return ", ".join(part for part in said if part)
