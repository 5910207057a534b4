"""All tables of the service, gathered from the rooms, for migrations and drift checks."""

from swardcost_api.access import tables as access
from swardcost_api.alternatives import tables as alternatives
from swardcost_api.budgets import tables as budgets
from swardcost_api.capital import tables as capital
from swardcost_api.catalog import tables as catalog
from swardcost_api.commitments import tables as commitments
from swardcost_api.course import tables as course
from swardcost_api.estimates import tables as estimates
from swardcost_api.jobs import tables as jobs
from swardcost_api.ledger import tables as ledger
from swardcost_api.methods import tables as methods
from swardcost_api.quotes import tables as quotes
from swardcost_api.rates import tables as rates
from swardcost_api.reports import tables as reports
from swardcost_api.risk import tables as risk
from swardcost_api.schedule import tables as schedule
from swardcost_api.storage.columns import Table

ROOMS_WITH_TABLES = (
    access, course, catalog, methods, rates, estimates, quotes, budgets, commitments, ledger, jobs, reports, schedule,
    risk, alternatives, capital,
)  # fmt: skip
METADATA = Table.metadata
