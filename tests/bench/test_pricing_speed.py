"""Pricing a long scope: nearly all the time is the arithmetic and the reading and writing it needs."""

from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID

import pytest
from conftest import CLUB
from grounds import add_areas, kind_of, open_project, opened, publish_edition, terms, writing
from measuring import hold_by_turns, timed
from sqlalchemy import Select, String, cast, event, insert, select
from swardcost_api.catalog.service import items_with_codes
from swardcost_api.catalog.tables import ItemRow
from swardcost_api.course.tables import AreaRow
from swardcost_api.engine.pricing.allocation import split_exactly
from swardcost_api.engine.pricing.costed import CostedLine
from swardcost_api.engine.pricing.escalation import midpoint
from swardcost_api.engine.pricing.lines import price_line
from swardcost_api.engine.pricing.markups import MarkupRate, markup_chain
from swardcost_api.estimates.derivations import pack, unpack
from swardcost_api.estimates.scope_choice import load_scope
from swardcost_api.estimates.scopes import ScopeEntry
from swardcost_api.estimates.service import create_estimate
from swardcost_api.estimates.tables import (
    AlternateRow,
    EstimateBasisRow,
    EstimateLineRow,
    EstimateRow,
    ProjectRow,
    ScopeAreaRow,
    ScopeItemRow,
)
from swardcost_api.risk.tables import UncertaintyRow
from swardcost_api.storage.database import Database
from swardcost_api.units import UNITS, convert_si
from swardcost_model.estimates import NewEstimate

pytestmark = pytest.mark.bench

LINES = 1000
KEPT = (
    EstimateRow.__table__, EstimateLineRow.__table__, EstimateBasisRow.__table__, UncertaintyRow.__table__,
)  # fmt: skip
"""What is kept of an estimate."""


@dataclass(frozen=True)
class Inputs:
    """All that the arithmetic needs, read beforehand."""

    scope: Sequence[ScopeEntry]
    items: dict[str, Any]
    asked: NewEstimate

    def compute(self) -> None:
        """Take-offs, lines, their split over the areas, subtotals and markups: engine and methods alone."""
        costed = []
        by_kind, by_account, by_scope_item, by_hole, by_area_kind = (Counter[Any]() for _ in range(5))
        for entry in self.scope:
            sizes = [area.size_m2 or 0.0 for area in entry.areas]
            parameters = entry.method.parameters.model_validate(entry.parameters)
            measures = {m.name: m for m in entry.method.take_off(parameters, sum(sizes))}
            parts = []
            for resource in entry.resources:
                item, driver = self.items[resource["item"]], measures[resource["measure"]]
                unit = UNITS[item.unit]
                measured = convert_si(driver.value, driver.unit, unit)
                waste, price = Decimal(resource["waste_percent"]), Decimal(item.price_micros).scaleb(-6)
                line = price_line(measured, unit.name, unit.counted, waste, price, "USD")
                amount = line.amount_minor
                assert amount is not None
                parts.append(split_exactly(amount, entry.ground.weights))
                costed.append(CostedLine(amount, item.account, item.taxable))
                by_kind[item.kind] += amount
                by_account[item.account] += amount
                by_scope_item[entry.id] += amount
            for area, of_area in zip(entry.areas, zip(*parts, strict=True), strict=True):
                by_hole[area.hole] += sum(of_area)
                by_area_kind[area.kind] += sum(of_area)
        rates = [MarkupRate(m.kind, m.percent, m.account) for m in self.asked.markups]
        markup_chain(
            costed, rates, currency="USD", priced_on=date(2026, 3, 1),
            work_midpoint=midpoint(date(2026, 8, 1), date(2027, 7, 31)),
        )  # fmt: skip


def reads_for(project_id: UUID, edition_id: UUID) -> list[Select[Any]]:
    """The rows that pricing a project has to read, one statement for each table."""
    of_project = select(ScopeItemRow.id).where(
        ScopeItemRow.club_id == CLUB, ScopeItemRow.project_id == project_id
    )
    return [
        select(ProjectRow.__table__).where(ProjectRow.club_id == CLUB, ProjectRow.id == project_id),
        select(ScopeItemRow.__table__).where(
            ScopeItemRow.club_id == CLUB, ScopeItemRow.project_id == project_id
        ),
        select(cast(ScopeAreaRow.scope_item_id, String), cast(ScopeAreaRow.area_id, String))
        .where(ScopeAreaRow.club_id == CLUB, ScopeAreaRow.scope_item_id.in_(of_project))
        .order_by(ScopeAreaRow.scope_item_id, ScopeAreaRow.position),
        select(AlternateRow.__table__).where(
            AlternateRow.club_id == CLUB, AlternateRow.project_id == project_id
        ),
        select(AreaRow.__table__).where(AreaRow.club_id == CLUB),
        select(ItemRow.__table__).where(ItemRow.club_id == CLUB, ItemRow.edition_id == edition_id),
    ]


def empty_estimates(database: Database) -> None:
    """Take all estimates out, so that every run fills the same empty tables."""
    with database.writing() as session:
        for table in ("estimate_lines", "estimate_bases", "estimate_uncertainties", "estimates"):
            session.connection().exec_driver_sql(f"delete from {table}")


def test_pricing_is_its_arithmetic_and_its_reading_and_writing(empty_database_url: str) -> None:
    with opened(empty_database_url) as database:
        with writing(database) as work:
            asked = terms(publish_edition(work))
            project_id = open_project(work, "Autumn closure", add_areas(work), scope_items=LINES // 4)
            scope = load_scope(work, project_id)
            items = items_with_codes(work, asked.edition_id, {r["item"] for r in scope[0].resources})
        inputs, reads = Inputs(scope, items, asked), reads_for(project_id, asked.edition_id)

        def ours() -> float:
            empty_estimates(database)
            with timed() as watch, writing(database) as work:
                estimate = create_estimate(work, project_id, asked)
            assert (estimate.line_count, estimate.complete) == (LINES, True)
            return watch.seconds

        ours()
        with database.reading() as session:
            estimate, lines, basis, uncertainty = (
                [dict(row) for row in session.connection().execute(select(table)).mappings()]
                for table in KEPT
            )
        for line in lines:
            line["derivation"] = unpack(line["derivation"])

        def floor() -> float:
            empty_estimates(database)
            with timed() as watch, database.writing() as session:
                connection = session.connection()
                for statement in reads:
                    connection.execute(statement).all()
                inputs.compute()
                connection.execute(insert(EstimateRow.__table__), estimate)
                packed = [line | {"derivation": pack(line["derivation"])} for line in lines]
                connection.execute(insert(EstimateLineRow.__table__), packed)
                connection.execute(insert(EstimateBasisRow.__table__), basis)
                connection.execute(insert(UncertaintyRow.__table__), uncertainty)
            return watch.seconds

        hold_by_turns(
            f"pricing {LINES:,} lines, {kind_of(database)}", floor, ours, limit=1.25, repetitions=10
        )


@contextmanager
def counted(database: Database) -> Iterator[list[str]]:
    """The statements sent meanwhile; one sent for many rows at once counts once."""
    sent: list[str] = []

    def note(_connection: Any, _cursor: Any, statement: str, *_more: Any) -> None:
        sent.append(statement)

    event.listen(database.engine, "before_cursor_execute", note)
    try:
        yield sent
    finally:
        event.remove(database.engine, "before_cursor_execute", note)


def test_the_number_of_statements_does_not_depend_on_the_number_of_lines(empty_database_url: str) -> None:
    with opened(empty_database_url) as database:
        with writing(database) as work:
            asked, area_ids = terms(publish_edition(work)), add_areas(work)
            short = open_project(work, "Short", area_ids, scope_items=5, resources=2)
            long = open_project(work, "Long", area_ids, scope_items=LINES // 4)
        sent = {}
        for project_id, lines in ((short, 10), (long, LINES)):
            with writing(database) as work, counted(database) as statements:
                assert create_estimate(work, project_id, asked).line_count == lines
            sent[lines] = len(statements)
        print(f"\n  statements to price 10 and {LINES:,} lines, {kind_of(database)}: {sent}", end="")
        assert sent[10] == sent[LINES] < 30
