"""The main job, told through the client: from a course and a price list to budget versus actual."""

import json
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from importlib import resources
from typing import Any
from uuid import UUID

from swardcost import Client
from swardcost_model.budgets import Budget
from swardcost_model.catalog import Edition, ItemChange, NewEdition, NewVendor
from swardcost_model.course import NewCourse
from swardcost_model.estimates import Estimate, EstimateRevision, Markup, MarkupKind, NewEstimate
from swardcost_model.ledger_assignment import NewRule, RuleConditions
from swardcost_model.ledger_profiles import MappedColumns, NewProfile, Profile
from swardcost_model.projects import NewProject, NewScopeItem, Project
from swardcost_model.schedule import CrewLimit, Holidays, NewCalendar, NewTask, RevenueLost
from swardcost_model.values import Money

CLUB = "heron-mere"
CLUB_NAME = "Heron Mere Golf Club (invented)"
VENDORS = (
    "Alder Creek Sand and Gravel",
    "Fernhollow Turf Contractors",
    "Long Meadow Sod Farm",
    "Millrace Equipment Rental",
)
PRICED_ON = date(2026, 8, 15)
AS_OF, REVISED_ON = date(2026, 8, 17), date(2026, 8, 24)
STARTS_ON, ENDS_ON = date(2026, 9, 14), date(2026, 10, 11)
MARKUPS = [
    Markup(kind=MarkupKind.TAX, percent=Decimal("6.5")),
    Markup(kind=MarkupKind.OVERHEAD, percent=Decimal("2"), account="6010"),
    Markup(kind=MarkupKind.ESCALATION, percent=Decimal("4")),
    Markup(kind=MarkupKind.CONTINGENCY, percent=Decimal("8"), account="6999"),
]
STRAW_PRICE = Money(amount=Decimal("7.80"), currency="USD")


def data_file(name: str) -> str:
    """A file of the invented club's data."""
    return (resources.files(__package__) / name).read_text(encoding="utf-8")


@dataclass(frozen=True)
class Planned:
    """What planning made."""

    project: Project
    edition: Edition
    areas: int
    items: int
    scope_items: int


def plan(client: Client) -> Planned:
    """Enter the course, the catalog and the scope of the closure."""
    course = client.courses.create(NewCourse(name="Mere course"))
    areas = client.areas.upload(course.id, data_file("areas.csv"))
    for name in VENDORS:
        client.vendors.create(NewVendor(name=name))
    draft = client.editions.create(NewEdition(name="Autumn 2026", price_date=PRICED_ON))
    items = client.items.upload(draft.id, data_file("items.csv"))
    edition = client.editions.publish(draft.id)
    project = client.projects.create(
        NewProject(name="Autumn closure 2026", starts_on=STARTS_ON, ends_on=ENDS_ON)
    )
    scope: list[dict[str, Any]] = json.loads(data_file("scope.json"))
    for entry in scope:
        kinds = entry.pop("area_kinds")
        entry["area_ids"] = [str(area.id) for area in areas.areas if area.kind in kinds]
        client.scope_items.create(project.id, NewScopeItem.model_validate_json(json.dumps(entry)))
    return Planned(project, edition, areas.added, items.added, len(scope))


def price(client: Client, planned: Planned) -> Estimate:
    """Price the scope; the straw has no price yet, so the estimate says that it is incomplete."""
    terms = NewEstimate(
        name="Own crew, hollow tines", edition_id=planned.edition.id, markups=MARKUPS, as_of=AS_OF
    )
    return client.estimates.create(planned.project.id, terms)


def price_again_with_straw(client: Client, planned: Planned, estimate: Estimate) -> Estimate:
    """The straw's price has come: a new edition, and the next revision priced with it and the chosen quote."""
    draft = client.editions.create(
        NewEdition(name="Autumn 2026, with straw", price_date=PRICED_ON, copy_of=planned.edition.id)
    )
    straw = client.items.read(draft.id, "STRAW")
    fields = straw.model_dump(include=set(ItemChange.model_fields)) | {"unit_price": STRAW_PRICE}
    client.items.change(draft.id, straw.code, ItemChange(**fields), straw.version)
    edition = client.editions.publish(draft.id)
    return client.estimates.revise(
        estimate.id, EstimateRevision(edition_id=edition.id, markups=MARKUPS, as_of=REVISED_ON)
    )


def put_on_the_calendar(client: Client, planned: Planned) -> str:
    """Say when and with whom the work is done, and give the schedule as text."""
    client.calendars.create(
        planned.project.id,
        NewCalendar(
            working_weekdays=["monday", "tuesday", "wednesday", "thursday", "friday"], shift_hours=Decimal(8),
            holidays=Holidays(country="US"), weather_days=1, crews=[CrewLimit(name="Course crew", people=8)],
            revenue_lost=RevenueLost(per_day=Money(amount=Decimal(4200), currency="USD")),
        ),
    )  # fmt: skip
    ids = {item.name: item.id for item in client.scope_items.list(planned.project.id)}
    tasks: dict[str, dict[str, Any]] = json.loads(data_file("tasks.json"))
    for name, fields in tasks.items():
        after = [{"scope_item_id": str(ids[earlier])} for earlier in fields.pop("after", [])]
        task = NewTask.model_validate_json(json.dumps(fields | {"predecessors": after}))
        client.tasks.create(ids[name], task)
    return client.schedules.text(planned.project.id)


def ledger_profile(client: Client) -> Profile:
    """How the club's accounting export is laid out."""
    columns = MappedColumns(
        date="Date", account="Account", description="Description", vendor="Vendor", reference="Reference",
        debit="Debit", credit="Credit",
    )  # fmt: skip
    return client.import_profiles.create(
        NewProfile(name="Monthly ledger export", columns=columns, date_format="MM/DD/YYYY")
    )


WORDS_IN_TEXT = {
    "Core the greens": "greens",
    "Dress the tees": "tees",
    "Dress the fairways": "fairways",
    "Aerate the fairways": "fairway aeration",
    "Trailer trips": "hauling",
    "Turn bunkers": "sod",
    "Mend the pond bank": "pond bank",
}
"""What the bookkeeper writes in the text of a posting, by the start of the scope item's name."""


def rules_for(budget: Budget) -> list[NewRule]:
    """Tax goes to the tax line of its account; the rest by account and, where work shares one, by the text.

    Of work with several lines under an account, the first takes it all: the bookkeeper does not tell them apart.
    """
    planned = [line for line in budget.lines if line.markup is None]
    rules: dict[tuple[str | None, str], NewRule] = {}
    for line in budget.lines:
        if line.markup == "tax":
            word, priority = "tax", 10
        elif line.markup is None:
            sharing = {other.scope_item_id for other in planned if other.account == line.account}
            label = line.scope_item or line.label
            word = next((w for start, w in WORDS_IN_TEXT.items() if label.startswith(start)), "")
            word, priority = (word if len(sharing) > 1 else ""), 50
        else:
            continue
        rule = NewRule(
            name=f"Line {line.number}", budget_id=budget.id, budget_line_id=line.id, priority=priority,
            conditions=RuleConditions(account=line.account, text_contains=word or None),
        )  # fmt: skip
        rules.setdefault((line.account, word), rule)
    return list(rules.values())


def add_rules(client: Client, budget_id: UUID) -> int:
    """Add the rules of a budget, and give their number."""
    rules = rules_for(client.budgets.read(budget_id))
    for rule in rules:
        client.assignment_rules.create(rule)
    return len(rules)


MENDED_CELLS = (("09/31/2026", "09/18/2026"), ('"1,2O5.00"', "968.37"))
"""Two slips of the pen in the export, as the controller mends them."""


def export_with_slips() -> str:
    """The club's accounting export as it first comes."""
    return data_file("ledger.csv")


def mended_export() -> str:
    """The export after the controller has mended it."""
    text = export_with_slips()
    for wrong, right in MENDED_CELLS:
        text = text.replace(wrong, right)
    return text
