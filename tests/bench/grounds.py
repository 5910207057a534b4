"""What the benchmarks work on: a club with areas, a scope of any length, and a budget with rules."""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from decimal import Decimal
from typing import Any
from uuid import UUID

from conftest import CLUB
from sqlalchemy.orm import Session
from swardcost_api.access import service as access
from swardcost_api.catalog import items
from swardcost_api.catalog import service as catalog
from swardcost_api.course import service as course
from swardcost_api.estimates import projects, scopes
from swardcost_api.estimates import service as estimates
from swardcost_api.storage import migration
from swardcost_api.storage.database import Database
from swardcost_api.storage.work import OPERATOR, UnitOfWork
from swardcost_model.catalog import ItemKind, NewEdition, NewItem
from swardcost_model.course import AreaKind, NewArea, NewCourse
from swardcost_model.estimates import Decision, IssueRequest, Markup, MarkupKind, NewEstimate
from swardcost_model.projects import NewProject, NewScopeItem, Resource
from swardcost_model.values import Money, Quantity

AREAS = 40
"""Areas of the club, all of which every scope item works."""

RESOURCES = (
    ("SAND-TD", "short_ton", "sand_mass"),
    ("PASS", "thousand_square_feet", "area_worked"),
    ("TRACTOR", "hour", "machine_time"),
    ("CREW", "hour", "crew_time"),
)
"""Items with their unit, and the measure that drives each; both methods below give them all."""

_DENSITY = {"value": "100", "unit": "pound_per_cubic_foot"}
_PACE = {"production_rate": {"value": "12000", "unit": "square_foot_per_hour"}, "crew_size": 3}
_CORING = {
    "tine_inside_diameter": {"value": "0.5", "unit": "inch"}, "spacing_along": {"value": "2", "unit": "inch"},
    "spacing_across": {"value": "2", "unit": "inch"}, "depth": {"value": "4", "unit": "inch"}, "passes": 2,
    "fill": {"bulk_density": _DENSITY, "allowance_percent": "10"}, **_PACE,
}  # fmt: skip
_DRESSING = {
    "rate": {"value": "2", "unit": "cubic_foot_per_thousand_square_feet"}, "bulk_density": _DENSITY,
    "applications": 4, "allowance_percent": "5", **_PACE,
}  # fmt: skip
_METHODS: tuple[tuple[str, dict[str, Any]], ...] = (
    ("hollow_tine_aeration", _CORING),
    ("topdressing", _DRESSING),
)


@contextmanager
def opened(url: str) -> Iterator[Database]:
    """A database at the current schema, with the club in it."""
    database = Database(url)
    try:
        migration.upgrade(database)
        with writing(database) as work:
            access.create_club(work, "Heron Mere Golf Club", "USD")
        yield database
    finally:
        database.close()


@contextmanager
def writing(database: Database) -> Iterator[UnitOfWork]:
    """A unit of work of the club that is committed at the end."""
    with database.writing() as session:
        yield UnitOfWork(session, CLUB, OPERATOR)


def driver_of(session: Session) -> Any:
    """The driver's own connection, for the floor that is measured against."""
    return session.connection().connection.driver_connection


def kind_of(database: Database) -> str:
    """How the database is called in what is printed."""
    return "SQLite" if database.is_sqlite else "PostgreSQL"


def add_areas(work: UnitOfWork, count: int = AREAS) -> list[UUID]:
    """A course with its areas, each with a size."""
    course_id = course.create_course(work, NewCourse(name="Lower")).id
    return [
        course.create_area(
            work, course_id,
            NewArea(kind=AreaKind.GREEN, name=f"Green {number}", hole=number % 18 + 1,
                    size=Quantity(value=Decimal(5000 + 37 * number), unit="square_foot")),
        ).id
        for number in range(count)
    ]  # fmt: skip


def publish_edition(work: UnitOfWork) -> UUID:
    """An edition with an item for every resource, priced and with an account."""
    edition_id = catalog.create_edition(
        work, NewEdition(name="Spring 2026", price_date=date(2026, 3, 1), copy_of=None)
    ).id
    for number, (code, unit, _) in enumerate(RESOURCES):
        price = Money(amount=Decimal("38.50"), currency="USD")
        items.create_item(
            work, edition_id,
            NewItem(code=code, kind=ItemKind.MATERIAL, description=f"Item {code}", unit=unit, unit_price=price,
                    taxable=number == 0, account=f"15{number}0-10"),
        )  # fmt: skip
    catalog.publish_edition(work, edition_id)
    return edition_id


def open_project(
    work: UnitOfWork, name: str, area_ids: Sequence[UUID], scope_items: int, resources: int = len(RESOURCES)
) -> UUID:
    """A project of so many scope items on all areas, each with so many resources."""
    project_id = projects.create_project(
        work, NewProject(name=name, starts_on=date(2026, 8, 1), ends_on=date(2027, 7, 31))
    ).id
    add_scope(work, project_id, area_ids, range(scope_items), resources)
    return project_id


def add_scope(
    work: UnitOfWork, project_id: UUID, area_ids: Sequence[UUID], numbers: Iterable[int], resources: int
) -> None:
    """Scope items with these numbers on all of the areas, coring and dressing by turns."""
    taken = [Resource(item=code, measure=measure) for code, _, measure in RESOURCES[:resources]]
    for number in numbers:
        method, parameters = _METHODS[number % len(_METHODS)]
        scopes.create_scope_item(
            work, project_id,
            NewScopeItem(name=f"Work {number}", method=method, parameters=parameters, area_ids=list(area_ids),
                         resources=taken),
        )  # fmt: skip


def terms(edition_id: UUID) -> NewEstimate:
    """All four markups."""
    percents = {
        MarkupKind.TAX: "7.25", MarkupKind.OVERHEAD: "5", MarkupKind.ESCALATION: "4", MarkupKind.CONTINGENCY: "10",
    }  # fmt: skip
    markups = [
        Markup(kind=kind, percent=Decimal(percent), account="1590-10") for kind, percent in percents.items()
    ]
    return NewEstimate(name="Own crew", edition_id=edition_id, markups=markups, as_of=date(2026, 3, 1))


def open_budget(work: UnitOfWork, scope_items: int) -> UUID:
    """A budget of an accepted estimate, over twelve months."""
    project_id = open_project(work, "Autumn closure", add_areas(work), scope_items)
    estimate = estimates.create_estimate(work, project_id, terms(publish_edition(work)))
    estimates.issue_estimate(work, estimate.id, IssueRequest())
    budget_id = estimates.accept_estimate(work, estimate.id, Decision()).budget_id
    assert budget_id is not None
    return budget_id
