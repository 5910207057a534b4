"""Budgets opened before their lines had quantities, adjustments and progress."""

from datetime import UTC, date, datetime
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, MetaData
from swardcost_api.budgets import adjustments
from swardcost_api.budgets.service import line_states, read_budget
from swardcost_api.storage import migration
from swardcost_api.storage.database import Database
from swardcost_api.storage.work import OPERATOR, UnitOfWork
from swardcost_model.adjustments import AdjustmentDecision, AdjustmentKind, NewAdjustment, NewEntry
from swardcost_model.values import Money

CLUB = "heron-mere"
PROJECT, EDITION, ESTIMATE, BUDGET, LINE, MARKUP, SCOPE_ITEM = (UUID(int=n) for n in range(1, 8))
THEN = datetime(2026, 1, 1, tzinfo=UTC)


def fill(connection: Connection, tables: MetaData, *, on_sqlite: bool) -> None:
    """A budget of 100.00 of work and 10.00 of contingency, as it was stored then."""

    def add(table: str, **values: Any) -> None:
        stored = {
            name: value.hex if on_sqlite and isinstance(value, UUID) else value
            for name, value in values.items()
        }
        connection.execute(tables.tables[table].insert().values(**stored))

    add("clubs", id=CLUB, name="Heron Mere", currency="USD", locale="en-US", unit_system="us_customary",
        ton="short_ton", created_at=THEN, version=1)  # fmt: skip
    add("projects", club_id=CLUB, id=PROJECT, name="Closure", starts_on=date(2026, 9, 1), ends_on=date(2026, 9, 30),
        note="", version=1)  # fmt: skip
    add("editions", club_id=CLUB, id=EDITION, name="Spring", status="published", currency="USD",
        price_date=date(2026, 1, 1), created_at=THEN, version=1)  # fmt: skip
    add("estimates", club_id=CLUB, id=ESTIMATE, project_id=PROJECT, edition_id=EDITION, number=1, revision=1,
        name="Own crew", status="accepted", complete=True, currency="USD", direct_minor=10_000, total_minor=11_000,
        cash_minor=11_000, line_count=1, terms="{}" if on_sqlite else {}, priced="{}" if on_sqlite else {},
        created_at=THEN, created_by="Owner", version=1)  # fmt: skip
    add("budgets", club_id=CLUB, id=BUDGET, project_id=PROJECT, estimate_id=ESTIMATE, name="Closure",
        total_minor=11_000, created_at=THEN)  # fmt: skip
    for line, number, minor, more in (
        (LINE, 1, 10_000, {"label": "Dress", "scope_item_id": SCOPE_ITEM}),
        (MARKUP, 2, 1_000, {"label": "Contingency", "markup": "contingency"}),
    ):
        add(
            "budget_lines", club_id=CLUB, id=line, budget_id=BUDGET, number=number, amount_minor=minor, **more
        )
        add("budget_months", club_id=CLUB, budget_line_id=line, month="2026-09", amount_minor=minor)


def test_a_budget_of_before_is_read_and_adjusted_like_any_other(empty_database_url: str) -> None:
    database = Database(empty_database_url)
    migration.upgrade(database, "0011")
    before = MetaData()
    before.reflect(database.engine)
    with database.engine.begin() as connection:
        fill(connection, before, on_sqlite=database.is_sqlite)
    migration.upgrade(database)
    with database.writing() as session:
        work = UnitOfWork(session, CLUB, OPERATOR)
        line, reserve = line_states(work, BUDGET)
        assert (line.scope_item, line.original_by_month, line.unit) == ("Dress", {"2026-09": 10_000}, None)
        assert (reserve.scope_item, line.quantity, line.unplanned, line.opened_by) == (
            None,
            None,
            False,
            None,
        )
        half = Money.of_minor(500, "USD")
        new = NewAdjustment(
            kind=AdjustmentKind.CONTINGENCY_DRAW, effective_on=date(2026, 9, 9), reason="Wet",
            entries=[
                NewEntry(budget_line_id=LINE, month="2026-09", amount=half),
                NewEntry(budget_line_id=MARKUP, month="2026-09", amount=-half),
            ],
        )  # fmt: skip
        adjustments.approve(work, adjustments.propose(work, BUDGET, new).id, AdjustmentDecision())
        assert [str(one.current.amount) for one in read_budget(work, BUDGET).lines] == ["105.00", "5.00"]
    migration.downgrade(database, "0011")
    migration.upgrade(database)
    database.close()
