"""A short story that uses every operation once: the source of the recorded examples."""

from datetime import date
from decimal import Decimal
from typing import Any

from story_of_alternates import the_alternates
from story_of_assets import the_assets
from story_of_budgets import the_budget
from story_of_choosing import the_choosing
from story_of_closing import the_closing
from story_of_commitments import the_commitments
from story_of_comparisons import the_comparison
from story_of_control import the_proposal, the_reports
from story_of_jobs import the_jobs
from story_of_packets import the_packets
from story_of_plan_progress import a_project_is_finished, the_progress_of_the_plan
from story_of_plans import the_plan
from story_of_prices import SAND_TERMS, the_price_moves, the_quality, the_quotes, the_rates, the_terms
from story_of_risk import the_risk
from swardcost_model.access import ClubChange, NewKey, Role
from swardcost_model.catalog import (
    EditionChange,
    ItemChange,
    ItemKind,
    NewEdition,
    NewItem,
    NewVendor,
    VendorChange,
)
from swardcost_model.club_methods import ClubMethodChange, Driver, MethodLine, NewClubMethod, Production, Rate
from swardcost_model.course import AreaChange, AreaKind, CourseChange, NewArea, NewCourse
from swardcost_model.estimates import EstimateRevision, Markup, MarkupKind, NewEstimate
from swardcost_model.ledger_assignment import NewRule, RuleChange, RuleConditions
from swardcost_model.ledger_profiles import MappedColumns, NewProfile, ProfileChange
from swardcost_model.projects import NewProject, NewScopeItem, ProjectChange, Resource, ScopeItemChange
from swardcost_model.schedule import (
    CalendarChange,
    ClosedDay,
    CrewLimit,
    Holidays,
    NewCalendar,
    NewTask,
    Predecessor,
    RevenueLost,
    TaskChange,
    TaskDuration,
)
from swardcost_model.values import Money, Quantity

USD = "USD"
AREAS = "kind,hole,name,size,unit\ngreen,2,Green 2,5900,square_foot\ntee,2,Tee 2,,\n"
ITEMS = (
    "code,kind,description,unit,unit_price,currency,free,taxable,account,vendor,price_source,priced_on,valid_until,note\n"
    "CREW,labor,Course crew,hour,27.40,USD,no,no,6110,,contract,2026-07-01,,\n"
)
LEDGER = (
    "Date,Account,Description,Vendor,Debit,Credit\n"
    "09/18/2026,6410,Sand for greens,Alder Creek Sand and Gravel,512.30,\n"
    "09/18/2026,6110,Payroll greens,,180.00,\n"
    "09/19/2026,7010,Clubhouse linen,,75.10,\n"
    "09/31/2026,6110,Payroll greens,,90.00,\n"
)
BUNKER = """{"type": "FeatureCollection", "features": [{"type": "Feature",
 "properties": {"kind": "bunker", "name": "Bunker 1 left", "hole": 1},
 "geometry": {"type": "Polygon", "coordinates": [[[-81.0, 35.0], [-80.9999, 35.0], [-80.9999, 35.00008],
  [-81.0, 35.00008], [-81.0, 35.0]]]}}]}"""
CORING: dict[str, Any] = {
    "tine_inside_diameter": {"value": "0.5", "unit": "inch"},
    "spacing_along": {"value": "2", "unit": "inch"},
    "spacing_across": {"value": "2", "unit": "inch"},
    "depth": {"value": "4", "unit": "inch"},
    "fill": {"bulk_density": {"value": "100", "unit": "pound_per_cubic_foot"}},
    "production_rate": {"value": "8500", "unit": "square_foot_per_hour"},
    "crew_size": 4,
}


def usd(amount: str) -> Money:
    return Money(amount=Decimal(amount), currency=USD)


def size(value: str) -> Quantity:
    return Quantity(value=Decimal(value), unit="square_foot")


def tell(client: Any) -> None:
    """Call every method of a client of an owner, on a club that holds nothing yet."""
    the_club(client)
    areas = the_course(client)
    the_assets(client, areas)
    the_rates(client)
    edition = the_catalog(client)
    later = the_price_moves(client, edition)
    the_methods(client)
    project = the_scope(client, areas)
    the_schedule(client, project)
    line = the_estimate(client, project, edition, later)
    the_budget(client, line)
    the_commitments(client, line)
    the_ledger(client, line)
    the_closing(client, line)
    the_reports(client, line)
    the_packets(client)


def the_club(client: Any) -> None:
    client.service.live()
    client.service.ready()
    list(client.methods.list().items)
    client.methods.read("topdressing")
    client.methods.units()
    club = client.club.read()
    client.club.change(ClubChange(locale="en-CA"), club.version)
    key = client.keys.issue(NewKey(name="Finance committee", role=Role.COMMITTEE, valid_days=90))
    assert [one.id for one in client.keys.list()][-1] == key.id
    client.keys.revoke(key.id)
    assert [entry.action for entry in client.club.audit(subject="key")] == ["revoke", "issue", "issue"]


def the_course(client: Any) -> list[Any]:
    course = client.courses.create(NewCourse(name="Mere"))
    client.courses.change(course.id, CourseChange(name="Mere course"), course.version)
    spare = client.courses.create(NewCourse(name="Spare"))
    client.courses.delete(spare.id, spare.version)
    client.courses.read(course.id)
    assert [one.name for one in client.courses.list()] == ["Mere course"]
    green = client.areas.create(
        course.id, NewArea(kind=AreaKind.GREEN, name="Green 1", hole=1, size=size("6200"))
    )
    client.areas.upload(course.id, AREAS)
    client.areas.change(
        green.id, AreaChange(kind=AreaKind.GREEN, name="Green 1", hole=1, size=size("6250")), green.version
    )
    client.areas.read(green.id)
    areas = list(client.areas.list(course_id=course.id, kind=AreaKind.GREEN))
    assert [area.name for area in areas] == ["Green 1", "Green 2"]
    drawn = client.areas.upload_map(course.id, BUNKER)
    assert (drawn.added, drawn.areas[0].size.unit) == (1, "square_foot")
    again = client.areas.upload_map(course.id, client.courses.map_geojson(course.id), replace=True)
    assert (again.added, again.changed, again.unchanged) == (0, 0, 4)
    assert len(client.courses.map(course.id).features) == 4
    assert "size_missing" in [doubt.doubt for doubt in client.courses.sanity(course.id, holes=18).doubts]
    tee = next(iter(client.areas.list(hole=2, kind=AreaKind.TEE)))
    client.areas.delete(tee.id, tee.version)
    return areas


def the_catalog(client: Any) -> Any:
    vendor = client.vendors.create(NewVendor(name="Alder Creek"))
    client.vendors.change(vendor.id, VendorChange(name="Alder Creek Sand and Gravel"), vendor.version)
    spare = client.vendors.create(NewVendor(name="Nobody"))
    client.vendors.delete(spare.id, spare.version)
    assert [one.id for one in client.vendors.list()] == [vendor.id]
    client.vendors.read(vendor.id)
    draft = client.editions.create(NewEdition(name="Autumn", price_date=date(2026, 8, 1)))
    draft = client.editions.change(
        draft.id, EditionChange(name="Autumn 2026", price_date=date(2026, 8, 15)), draft.version
    )
    spare_draft = client.editions.create(
        NewEdition(name="Trial", price_date=date(2026, 8, 15), copy_of=draft.id)
    )
    client.editions.delete(spare_draft.id, spare_draft.version)
    sand = NewItem(
        code="SAND-TD", kind=ItemKind.MATERIAL, description="Topdressing sand", unit="short_ton",
        unit_price=usd("40.00"), taxable=True, account="6410", vendor_id=vendor.id, terms=SAND_TERMS,
    )  # fmt: skip
    item = client.items.create(draft.id, sand)
    fields = sand.model_dump(exclude={"code"}) | {"unit_price": usd("41.50")}
    client.items.change(draft.id, item.code, ItemChange(**fields), item.version)
    client.items.upload(draft.id, ITEMS)
    scrap = client.items.create(
        draft.id, NewItem(code="SCRAP", kind=ItemKind.FEE, description="Scrap", unit="each", taxable=False)
    )
    client.items.delete(draft.id, scrap.code, scrap.version)
    the_terms(client, draft, vendor)
    client.items.read(draft.id, "SAND-TD")
    assert [one.code for one in client.items.list(draft.id)] == ["CREW", "HANDS", "SAND-TD"]
    assert len(client.items.export(draft.id).items) == 3
    assert client.items.export_csv(draft.id).startswith("code,kind,")
    edition = client.editions.publish(draft.id)
    assert client.editions.read(edition.id) in list(client.editions.list())
    return edition


def the_methods(client: Any) -> None:
    thousand = Quantity(value=Decimal(1), unit="thousand_square_feet")
    rate = Rate(amount=Quantity(value=Decimal("0.5"), unit="cubic_foot"), per=thousand)
    fields: dict[str, Any] = {
        "title": "A light dressing our way", "driver": Driver(name="dressed_area", unit="thousand_square_feet"),
        "production": Production(per_hour=Quantity(value=Decimal(24), unit="thousand_square_feet"), crew_size=2),
        "lines": [MethodLine(name="labor", item="CREW", driven_by="crew_time")],
        "sources": ["Own records, 2023 to 2025"],
    }  # fmt: skip
    kept = client.club_methods.create(NewClubMethod(name="our_light_dressing", **fields))
    fields["lines"].append(MethodLine(name="sand", item="SAND-BAG", rate=rate, waste_percent=Decimal(5)))
    changed = client.club_methods.change(kept.name, ClubMethodChange(**fields), kept.version)
    assert client.club_methods.read(kept.name) == changed
    assert client.club_methods.revision(kept.name, 1).lines == kept.lines
    spare = client.club_methods.create(NewClubMethod(name="spare_method", **fields))
    client.club_methods.delete(spare.name, spare.version)
    assert [(one.name, one.revision) for one in client.club_methods.list()] == [(kept.name, 2)]


def the_scope(client: Any, areas: list[Any]) -> Any:
    fields = {"starts_on": date(2026, 9, 14), "ends_on": date(2026, 10, 11)}
    project = client.projects.create(NewProject(name="Autumn closure", **fields))
    project = client.projects.change(
        project.id, ProjectChange(name="Autumn closure 2026", **fields), project.version
    )
    spare = client.projects.create(NewProject(name="Spare", **fields))
    client.projects.delete(spare.id, spare.version)
    assert client.projects.read(project.id) in list(client.projects.list())
    coring = {
        "name": "Core the greens", "method": "hollow_tine_aeration", "area_ids": [area.id for area in areas],
        "parameters": CORING, "resources": [Resource(item="SAND-TD", measure="sand_mass")],
    }  # fmt: skip
    item = client.scope_items.create(project.id, NewScopeItem(**coring))
    coring["resources"] = [*coring["resources"], Resource(item="CREW", measure="crew_time")]
    client.scope_items.change(item.id, ScopeItemChange(**coring), item.version)
    one_hour = {"quantity": {"value": "1", "unit": "hour"}}
    spare_item = client.scope_items.create(
        project.id, NewScopeItem(name="Spare", method="plain_quantity", parameters=one_hour)
    )
    client.scope_items.delete(spare_item.id, spare_item.version)
    assert client.scope_items.read(item.id) in list(client.scope_items.list(project.id))
    assert client.scope_items.take_off(item.id).measures
    assert [one.name for one in client.projects.take_off(project.id).items] == ["Core the greens"]
    assert [one.properties.name for one in client.projects.map(project.id).features] == ["Green 1", "Green 2"]
    assert client.projects.map_geojson(project.id).startswith('{"type":"FeatureCollection"')
    return project


def the_schedule(client: Any, project: Any) -> None:
    coring = next(iter(client.scope_items.list(project.id)))
    hours = {
        "working_weekdays": ["monday", "tuesday", "wednesday", "thursday", "friday"],
        "shift_hours": Decimal(8),
    }
    client.calendars.create(project.id, NewCalendar(**hours))
    calendar = client.calendars.change(
        project.id,
        CalendarChange(
            **hours,
            holidays=Holidays(country="US", subdivision="MA"),
            closed_days=[ClosedDay(day=date(2026, 9, 18), reason="Charity day")],
            revenue_lost=RevenueLost(per_day=usd("3100.00"), by_weekday={"saturday": usd("5400.00")}),
            weather_days=1,
            crews=[CrewLimit(name="Greens crew", people=5)],
        ),
        client.calendars.read(project.id).version,
    )
    task = {
        "duration": TaskDuration(measure="machine_time"), "crew": "Greens crew", "people": 4, "invasive": True,
        "recovery_days": 7,
    }  # fmt: skip
    client.tasks.create(coring.id, NewTask(**task))
    mending = client.scope_items.create(
        project.id,
        NewScopeItem(
            name="Mend the drains", method="plain_quantity",
            parameters={"quantity": {"value": "20", "unit": "hour"}},
        ),
    )  # fmt: skip
    drains = {
        "duration": TaskDuration(measure="quantity", side_by_side=2),
        "crew": "Greens crew",
        "people": 2,
    }
    waiting = client.tasks.create(mending.id, NewTask(**drains))
    drains["predecessors"] = [Predecessor(scope_item_id=coring.id)]
    waiting = client.tasks.change(mending.id, TaskChange(**drains), waiting.version)
    assert client.tasks.read(mending.id) in list(client.tasks.list(project.id))
    schedule = client.schedules.read(project.id)
    assert (schedule.complete, schedule.fits, schedule.tasks[1].why.kind) == (True, True, "link")
    assert client.schedules.csv(project.id).count("\r\n") == 3
    assert client.schedules.text(project.id).startswith("Schedule of Autumn closure 2026\n")
    dated = client.schedules.take_dates(project.id, [coring.id])
    assert [(one.before.starts_on, one.after.starts_on) for one in dated.items] == [
        (None, schedule.tasks[0].starts_on)
    ]
    client.tasks.delete(mending.id, waiting.version)
    client.scope_items.delete(mending.id, mending.version)
    client.calendars.delete(project.id, calendar.version)
    client.calendars.create(project.id, NewCalendar(**hours))


def the_estimate(client: Any, project: Any, edition: Any, later: Any) -> Any:
    terms = {
        "edition_id": edition.id, "as_of": date(2026, 8, 20),
        "markups": [Markup(kind=MarkupKind.CONTINGENCY, percent=Decimal(8), account="6999")],
    }  # fmt: skip
    first = client.estimates.create(project.id, NewEstimate(name="Own crew", **terms))
    client.estimates.issue(first.id)
    client.estimates.decline(first.id, note="Too late in the season")
    second = client.estimates.revise(first.id, EstimateRevision(**terms))
    the_alternates(client, project, terms)
    the_quality(client, second, edition, later)
    the_quotes(client, second, next(iter(client.vendors.list())))
    client.estimates.issue(second.id)
    accepted = client.estimates.accept(second.id, note="Carried")
    assert client.estimates.read(accepted.id) == accepted
    assert len(list(client.estimates.list(project_id=project.id))) == 4
    lines = list(client.estimates.lines(accepted.id))
    assert client.estimates.export(accepted.id).items == lines
    assert client.estimates.export_csv(accepted.id).count("\r\n") == len(lines) + 1
    client.estimates.explain(accepted.id, lines[0].number)
    the_risk(client, accepted, next(iter(client.scope_items.list(project.id))).id)
    the_comparison(client, first, accepted)
    the_choosing(client, accepted)
    the_progress_of_the_plan(client, the_plan(client, accepted))
    a_project_is_finished(client)
    budget = client.budgets.read(accepted.budget_id)
    assert [one.id for one in client.budgets.list(project_id=project.id)] == [budget.id]
    return budget


def the_ledger(client: Any, budget: Any) -> None:
    columns = MappedColumns(
        date="Date",
        account="Account",
        description="Description",
        vendor="Vendor",
        debit="Debit",
        credit="Credit",
    )
    layout = {"columns": columns, "date_format": "MM/DD/YYYY"}
    profile = client.import_profiles.create(NewProfile(name="Export", **layout))
    profile = client.import_profiles.change(
        profile.id, ProfileChange(name="Monthly export", **layout), profile.version
    )
    spare = client.import_profiles.create(NewProfile(name="Spare", **layout))
    client.import_profiles.delete(spare.id, spare.version)
    assert client.import_profiles.read(profile.id) in list(client.import_profiles.list())
    sand, crew = budget.lines[0], budget.lines[1]
    rule = client.assignment_rules.create(
        NewRule(
            name="Sand",
            budget_id=budget.id,
            budget_line_id=sand.id,
            conditions=RuleConditions(account="6410"),
        )
    )
    done = client.imports.upload(profile.id, "september.csv", LEDGER, good_rows_only=True)
    assert (done.rows_posted, done.rows_bad, done.rows_assigned) == (3, 1, 1)
    assert client.imports.read(done.id).rows_posted == 3
    assert len(list(client.imports.list())) == 1
    assert [fault.column for fault in client.imports.faults(done.id)] == ["Date"]
    the_proposal(client, done.id)
    without_vendors = columns.model_copy(update={"vendor": None})
    poorer = client.import_profiles.create(
        NewProfile(name="Without vendors", columns=without_vendors, date_format="MM/DD/YYYY")
    )
    twice = client.imports.upload(poorer.id, "september.csv", LEDGER, good_rows_only=True, again=True)
    voided = client.imports.void(
        twice.id, reason="The sand is counted twice: this profile leaves out vendors"
    )
    assert (voided.status, voided.rows_posted) == ("voided", 1)
    the_jobs(client, profile.id, LEDGER)
    spare_rule = client.assignment_rules.create(
        NewRule(
            name="Spare", budget_id=budget.id, budget_line_id=crew.id, conditions=RuleConditions(account="9")
        )
    )
    client.assignment_rules.change(
        spare_rule.id,
        RuleChange(name="Crew", budget_line_id=crew.id, conditions=RuleConditions(account="6110")),
        spare_rule.version,
    )
    assert client.assignment_rules.apply().assigned == 1
    client.assignment_rules.delete(rule.id, rule.version)
    assert client.assignment_rules.read(spare_rule.id) in list(
        client.assignment_rules.list(budget_id=budget.id)
    )
    posting = next(iter(client.postings.list(unassigned=True)))
    client.postings.assign(posting.id, sand.id, reason="Paid from the sand line, as agreed")
    assert client.postings.read(posting.id).assigned_by == "hand"
    report = client.budgets.report(budget.id)
    assert report.unassigned_postings == 0
    assert client.budgets.report_csv(budget.id).startswith("by,key,")
