"""The superintendent's own figures to complete: stated from a day on, and kept."""

from datetime import date
from uuid import UUID

from sqlalchemy import insert, select
from swardcost_model import problems
from swardcost_model.control import OwnForecast, OwnForecastFields
from swardcost_model.paging import Page
from swardcost_model.problems import Fault, ProblemError
from swardcost_model.values import Money

from swardcost_api.access.service import read_club, record
from swardcost_api.budgets.service import line_named, read_budget_summary, stated_minor
from swardcost_api.reports.tables import OwnForecastRow
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.work import UnitOfWork

_FIGURE = (
    OwnForecastRow.id, OwnForecastRow.budget_line_id, OwnForecastRow.stated_on, OwnForecastRow.to_complete_minor,
    OwnForecastRow.reason, OwnForecastRow.stated_by, OwnForecastRow.stated_at,
)  # fmt: skip


def state_own_forecast(work: UnitOfWork, budget_id: UUID, new: OwnForecastFields) -> OwnForecast:
    """Keep a figure to complete for a line of the budget. Raises `invalid-values` for what it cannot be."""
    read_budget_summary(work, budget_id)
    currency = read_club(work).currency
    faults: list[Fault] = []
    line = line_named(work, new.budget_line_id, "/budget_line_id")
    if line.budget_id != budget_id:
        faults.append(
            Fault(pointer="/budget_line_id", expected="a line of this budget", got=str(new.budget_line_id))
        )
    minor = stated_minor(new.to_complete, currency, "/to_complete", faults)
    if minor < 0:
        faults.append(
            Fault(pointer="/to_complete/amount", expected="zero or more", got=str(new.to_complete.amount))
        )
    if new.stated_on > work.now.date():
        faults.append(Fault(pointer="/stated_on", expected="today or an earlier day", got=str(new.stated_on)))
    if faults:
        raise ProblemError(problems.INVALID_VALUES, "The figure was not kept.", faults)
    made = OwnForecast(**new.model_dump(), id=work.new_id(), stated_by=work.caller.name, stated_at=work.now)
    work.session.execute(
        insert(OwnForecastRow).values(
            club_id=work.club_id, id=made.id, budget_id=budget_id, budget_line_id=made.budget_line_id,
            stated_on=made.stated_on, to_complete_minor=minor, reason=made.reason, stated_by=made.stated_by,
            stated_at=made.stated_at,
        )
    )  # fmt: skip
    record(work, "state", "own_forecast", made.id, after=made)
    return made


def list_own_forecasts(
    work: UnitOfWork, budget_id: UUID, limit: int, cursor: str | None
) -> Page[OwnForecast]:
    """All figures stated for a budget's lines, in the order in which they were stated."""
    currency = read_budget_summary(work, budget_id).total.currency
    statement = select(*_FIGURE).where(
        OwnForecastRow.club_id == work.club_id, OwnForecastRow.budget_id == budget_id
    )
    rows, following = read_page(work, statement, (OwnForecastRow.id,), limit, cursor)
    return Page[OwnForecast](
        items=[
            OwnForecast(
                id=row.id, budget_line_id=row.budget_line_id, stated_on=row.stated_on, reason=row.reason,
                to_complete=Money.of_minor(row.to_complete_minor, currency), stated_by=row.stated_by,
                stated_at=row.stated_at,
            )
            for row in rows
        ],
        next=following,
    )  # fmt: skip


def own_figures(work: UnitOfWork, budget_id: UUID, on: date) -> dict[UUID, int]:
    """The last figure stated for each line by a day, in minor units."""
    rows = work.session.execute(
        select(OwnForecastRow.budget_line_id, OwnForecastRow.to_complete_minor)
        .where(
            OwnForecastRow.club_id == work.club_id,
            OwnForecastRow.budget_id == budget_id,
            OwnForecastRow.stated_on <= on,
        )
        .order_by(OwnForecastRow.stated_on, OwnForecastRow.id)
    )
    return {row.budget_line_id: row.to_complete_minor for row in rows}
