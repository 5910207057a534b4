"""Pricing a 5,000-line estimate against a spreadsheet program that recalculates the same workbook.

What is held is pricing, from a scope and prices that have been read to every line, share, markup and subtotal, against
the program's run from the command line, which starts, opens the workbook, recalculates it and saves it. That is in the
program's disfavour; so the ratios without its start-up, and without its opening and saving, are printed too, each also
with our own reading and storing of the estimate on the other side. Both sides find the same amounts to the cent; what a
lighter workbook takes, whose shares by area are rounded one by one and do not sum up, is printed as well.
"""

import math
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from grounds import (
    AREAS,
    RESOURCES,
    add_areas,
    kind_of,
    open_project,
    opened,
    publish_edition,
    terms,
    writing,
)
from measuring import timed
from spreadsheet import (
    ALWAYS,
    NEVER,
    PROGRAM,
    Bought,
    Dressing,
    Ground,
    recalculated,
    write_workbook,
)
from swardcost_api.catalog.service import CatalogItem, items_with_codes
from swardcost_api.estimates.choices import with_choices
from swardcost_api.estimates.markup_rates import markup_rates
from swardcost_api.estimates.pricing import Prices, price_scope
from swardcost_api.estimates.projects import read_project
from swardcost_api.estimates.scope_choice import load_scope
from swardcost_api.estimates.scopes import ScopeEntry, create_scope_item
from swardcost_api.estimates.service import create_estimate
from swardcost_api.estimates.stored import priced_document
from swardcost_api.estimates.work_figures import work_document
from swardcost_api.storage.work import UnitOfWork
from swardcost_api.units import UNITS
from swardcost_api.web.collector import settle
from swardcost_model.estimates import Estimate
from swardcost_model.projects import NewScopeItem, Resource

pytestmark = pytest.mark.bench

LINES = 5_000
TIMES_FASTER = 10
REPETITIONS = 2
_COLUMNS = {"sand_mass": "L", "area_worked": "I", "machine_time": "M", "crew_time": "N"}
"""Where the workbook's take-off has each measure."""


def parameters_of(number: int) -> dict[str, Any]:
    """What the topdressing of a scope item is given; no two are alike, so that none is priced by another's take-off."""
    return {
        "depth": {"value": str(Decimal("0.05") + number * Decimal("0.0001")), "unit": "inch"},
        "bulk_density": {"value": "100", "unit": "pound_per_cubic_foot"}, "allowance_percent": "5", "crew_size": 3,
        "production_rate": {"value": str(9000 + number), "unit": "square_foot_per_hour"},
    }  # fmt: skip


def add_differing_scope(work: UnitOfWork) -> UUID:
    """A project of scope items on all areas, each taking all resources."""
    area_ids = add_areas(work)
    project_id = open_project(work, "Autumn closure", area_ids, scope_items=0)
    resources = [Resource(item=code, measure=measure) for code, _, measure in RESOURCES]
    for number in range(LINES // len(RESOURCES)):
        new = NewScopeItem(
            name=f"Work {number}", method="topdressing", parameters=parameters_of(number), area_ids=area_ids,
            resources=resources,
        )  # fmt: skip
        create_scope_item(work, project_id, new)
    return project_id


def dressing(entry: ScopeEntry) -> Dressing:
    """A scope item as the workbook has it."""
    given = {
        name: float(value["value"]) * UNITS[value["unit"]].si_factor
        for name, value in entry.parameters.items()
        if isinstance(value, dict)
    }
    return Dressing(
        entry.name, given["depth"], given["bulk_density"], float(entry.parameters["allowance_percent"]) / 100,
        given["production_rate"], entry.parameters["crew_size"],
    )  # fmt: skip


def bought(item: CatalogItem, measure: str) -> Bought:
    """An item as the workbook has it."""
    assert item.price_micros is not None
    assert item.account is not None
    low, price, high = (
        Decimal(item.price_micros if micros is None else micros).scaleb(-6)
        for micros in (item.low_micros, item.price_micros, item.high_micros)
    )
    return Bought(
        item.code, str(item.kind), item.account, item.taxable, item.in_operating_budget, price, low, high,
        _COLUMNS[measure], UNITS[item.unit].si_factor,
    )  # fmt: skip


class Least(dict[str, float]):
    """The least seconds of each that was measured, by name."""

    def note(self, name: str, seconds: float) -> None:
        """Keep what is less."""
        self[name] = min(self.get(name, math.inf), seconds)

    def told(self) -> str:
        """All of it, as ratios to pricing alone and to pricing with its reading and storing."""
        program, rounded = self["program"], self["program, rounded"]
        rows = (
            (f"from its start to its end, at least {TIMES_FASTER}x", program),
            ("less its start with an empty workbook", program - self["program, empty"]),
            ("its recalculation alone", program - self["program, not computing"]),
            ("start to end, shares that do not sum up", rounded),
            ("the same less its start", rounded - self["program, empty"]),
        )
        ours, stored = self["pricing"], self["stored"]
        told = f"\n    {'':<42} {'':>9}   priced {ours:.3f} s   read, priced and stored {stored:.3f} s"
        for what, theirs in rows:
            told += f"\n    {what:<42} {theirs:7.3f} s   {theirs / ours:14.1f}x   {theirs / stored:32.1f}x"
        return told


def amounts_of(estimate: Estimate) -> dict[str, Decimal]:
    """What the workbook computes too, by the name that it has there."""
    named = {
        "direct": estimate.direct, "total": estimate.total, "low total": estimate.low_total,
        "high total": estimate.high_total,
    }  # fmt: skip
    named |= {str(markup.kind): markup.amount for markup in estimate.markups}
    by = estimate.subtotals
    for subtotals in (by.by_account, by.by_item_kind, by.by_hole, by.by_area_kind):
        named |= {one.key: one.amount for one in subtotals if one.key}
    named |= {one.label: one.amount for one in by.by_scope_item}
    return {name: money.amount for name, money in named.items()}


@pytest.mark.skipif(PROGRAM is None, reason="no spreadsheet program: soffice is not on the PATH")
def test_an_estimate_is_priced_faster_than_a_spreadsheet_recalculates_it(
    empty_database_url: str, tmp_path: Path
) -> None:
    workbook, rounded, empty = (tmp_path / f"{name}.xlsx" for name in ("exact", "rounded", "empty"))
    least = Least()
    with opened(empty_database_url) as database:
        with writing(database) as work:
            asked = terms(publish_edition(work))
            project_id = add_differing_scope(work)
            project, scope = read_project(work, project_id), load_scope(work, project_id)
            items = items_with_codes(work, asked.edition_id, {code for code, _, _ in RESOURCES})
            rates = markup_rates(work, asked.markups, project.starts_on)
        prices = Prices(with_choices(items, {}, "USD"), {}, "USD", date(2026, 3, 1), rates)
        as_of = date(2026, 3, 1)
        settle()

        def price() -> Estimate:
            with timed() as stored, writing(database) as work:
                estimate = create_estimate(work, project_id, asked)
            with timed() as pricing:
                priced = price_scope(scope, prices, as_of, project.starts_on, project.ends_on)
                priced_document(
                    priced, estimate.edition, estimate.price_date, as_of, project, [], work_document(priced)
                )
            least.note("stored", stored.seconds)
            least.note("pricing", pricing.seconds)
            return estimate

        estimate = price()
        expected = amounts_of(estimate)
        percents = {str(markup.kind): markup.percent for markup in estimate.markups}
        taken = [bought(items[code], measure) for code, _, measure in RESOURCES]
        ground = [Ground(area.hole or 0, area.kind, area.size_m2 or 0.0) for area in scope[0].areas]
        works = [dressing(entry) for entry in scope]
        write_workbook(workbook, works, taken, ground, percents)
        write_workbook(rounded, works, taken, ground, percents, shares_sum_up=False)
        write_workbook(empty, [], [], [], percents)
        for recalculate in (ALWAYS, NEVER):
            recalculated(empty, tmp_path, recalculate)
        for _ in range(REPETITIONS):
            for name, path, recalculate, same in (
                ("program", workbook, ALWAYS, list(expected)),
                ("program, rounded", rounded, ALWAYS, ["direct", "total"]),
                ("program, not computing", workbook, NEVER, []),
                ("program, empty", empty, ALWAYS, []),
            ):
                price()
                theirs = recalculated(path, tmp_path, recalculate)
                assert {key: theirs.amounts[key] for key in same} == {key: expected[key] for key in same}
                least.note(name, theirs.seconds)
        kind = kind_of(database)
    print(
        f"\n  {LINES:,} lines on {AREAS} areas, {kind}: direct cost {estimate.direct.amount:,} and "
        f"{len(expected) - 1:,} more amounts are the same on both sides{least.told()}",
        end="",
    )
    assert least["pricing"] * TIMES_FASTER <= least["program"]
