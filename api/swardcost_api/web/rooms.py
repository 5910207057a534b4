"""The rooms of the service that have operations, in the order in which the documentation shows them."""

from swardcost_api.access.routes import room as access
from swardcost_api.alternatives.choosing_routes import room as alternatives
from swardcost_api.budgets.routes import room as budgets
from swardcost_api.capital.asset_routes import room as assets
from swardcost_api.capital.depreciation_routes import room as depreciation
from swardcost_api.capital.futures_routes import room as plan_futures
from swardcost_api.capital.plan_progress_routes import room as plan_progress
from swardcost_api.capital.plan_routes import room as capital_plans
from swardcost_api.capital.scenario_routes import room as plan_scenarios
from swardcost_api.catalog.routes import room as catalog
from swardcost_api.commitments.routes import room as commitments
from swardcost_api.course.routes import room as course
from swardcost_api.estimates.alternate_routes import room as alternates
from swardcost_api.estimates.routes import room as estimates
from swardcost_api.jobs.routes import room as jobs
from swardcost_api.ledger.assignment_routes import room as assignment
from swardcost_api.ledger.month_routes import room as ledger_months
from swardcost_api.ledger.routes import room as ledger
from swardcost_api.methods.routes import room as methods
from swardcost_api.packets.routes import room as packets
from swardcost_api.quotes.routes import room as quotes
from swardcost_api.rates.routes import room as rates
from swardcost_api.reports.routes import room as reports
from swardcost_api.risk.routes import room as risk
from swardcost_api.schedule.routes import room as schedule
from swardcost_api.web.health import room as service

ROOMS = (
    course,
    methods,
    catalog,
    rates,
    estimates,
    alternates,
    quotes,
    schedule,
    risk,
    alternatives,
    assets,
    capital_plans,
    plan_progress,
    depreciation,
    plan_scenarios,
    plan_futures,
    budgets,
    commitments,
    ledger,
    assignment,
    ledger_months,
    jobs,
    reports,
    packets,
    access,
    service,
)
