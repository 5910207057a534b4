"""The client: one club through one key."""

from types import TracebackType
from typing import Self

import httpx

from swardcost._async.alternates import AsyncAlternates
from swardcost._async.assets import AsyncAssets
from swardcost._async.budgets import (
    AsyncAdjustments,
    AsyncBudgets,
    AsyncLimitsOfApproval,
    AsyncMeasures,
    AsyncUnplanned,
)
from swardcost._async.capital_plans import AsyncCapitalPlans, AsyncPlanProjects
from swardcost._async.choosing import AsyncChoosing
from swardcost._async.club import AsyncClubs, AsyncKeys, AsyncService
from swardcost._async.club_methods import AsyncClubMethods
from swardcost._async.commitments import AsyncCommitments, AsyncInvoices, AsyncReceipts
from swardcost._async.comparisons import AsyncComparisons
from swardcost._async.control import AsyncAccountLayouts, AsyncControl
from swardcost._async.depreciation import AsyncDepreciation
from swardcost._async.estimating import AsyncEstimates, AsyncProjects, AsyncScopeItems
from swardcost._async.jobs import AsyncJobs
from swardcost._async.ledger import AsyncAssignmentRules, AsyncImportProfiles, AsyncImports, AsyncPostings
from swardcost._async.ledger_months import AsyncLedgerMonths, AsyncReversals
from swardcost._async.life_cycle_studies import AsyncLifeCycleStudies
from swardcost._async.packets import AsyncPackets
from swardcost._async.plan_progress import AsyncPlanProgress
from swardcost._async.plan_scenarios import AsyncPlanScenarios
from swardcost._async.planning import (
    AsyncAreas,
    AsyncCourses,
    AsyncEditions,
    AsyncItems,
    AsyncMethods,
    AsyncTermsOfVendors,
    AsyncVendors,
)
from swardcost._async.quotes import AsyncQuoteRequests, AsyncQuotes
from swardcost._async.rates import AsyncExemptions, AsyncPriceIndices, AsyncTaxRates
from swardcost._async.risk import AsyncRisk, AsyncSimulations
from swardcost._async.scheduling import AsyncCalendars, AsyncSchedules, AsyncTasks
from swardcost._async.session import AsyncSession
from swardcost.retries import Retries


class AsyncClient:
    """A client of the service for one club; use it as a context manager, or `close` it.

    >>> from swardcost import AsyncClient
    >>> client = AsyncClient("http://127.0.0.1:8787", club="heron-mere", key="sward_heron-mere_...")
    """

    def __init__(
        self,
        base_url: str,
        club: str,
        key: str,
        *,
        timeout: float = 60.0,
        retries: Retries | None = None,
        transport: httpx.AsyncBaseTransport | None = None,
    ) -> None:
        self._http = httpx.AsyncClient(
            base_url=base_url,
            headers={"Authorization": f"Bearer {key}"},
            timeout=timeout,
            transport=transport,
        )
        session = AsyncSession(self._http, club, retries or Retries())
        self.club = AsyncClubs(session)
        self.keys = AsyncKeys(session)
        self.service = AsyncService(session)
        self.methods = AsyncMethods(session)
        self.club_methods = AsyncClubMethods(session)
        self.courses = AsyncCourses(session)
        self.areas = AsyncAreas(session)
        self.vendors = AsyncVendors(session)
        self.editions = AsyncEditions(session)
        self.items = AsyncItems(session)
        self.vendor_terms = AsyncTermsOfVendors(session)
        self.tax_rates = AsyncTaxRates(session)
        self.exemptions = AsyncExemptions(session)
        self.index_series = AsyncPriceIndices(session)
        self.projects = AsyncProjects(session)
        self.scope_items = AsyncScopeItems(session)
        self.calendars = AsyncCalendars(session)
        self.tasks = AsyncTasks(session)
        self.schedules = AsyncSchedules(session)
        self.estimates = AsyncEstimates(session)
        self.alternates = AsyncAlternates(session)
        self.assets = AsyncAssets(session)
        self.comparisons = AsyncComparisons(session)
        self.choosing = AsyncChoosing(session)
        self.life_cycle_studies = AsyncLifeCycleStudies(session)
        self.capital_plans = AsyncCapitalPlans(session)
        self.plan_projects = AsyncPlanProjects(session)
        self.plan_progress = AsyncPlanProgress(session)
        self.packets = AsyncPackets(session)
        self.depreciation = AsyncDepreciation(session)
        self.plan_scenarios = AsyncPlanScenarios(session)
        self.risk = AsyncRisk(session)
        self.simulations = AsyncSimulations(session)
        self.quote_requests = AsyncQuoteRequests(session)
        self.quotes = AsyncQuotes(session)
        self.budgets = AsyncBudgets(session)
        self.control = AsyncControl(session)
        self.account_layouts = AsyncAccountLayouts(session)
        self.adjustments = AsyncAdjustments(session)
        self.approval_limits = AsyncLimitsOfApproval(session)
        self.unplanned_work = AsyncUnplanned(session)
        self.measures = AsyncMeasures(session)
        self.commitments = AsyncCommitments(session)
        self.receipts = AsyncReceipts(session)
        self.invoices = AsyncInvoices(session)
        self.import_profiles = AsyncImportProfiles(session)
        self.imports = AsyncImports(session)
        self.postings = AsyncPostings(session)
        self.jobs = AsyncJobs(session)
        self.assignment_rules = AsyncAssignmentRules(session)
        self.reversals = AsyncReversals(session)
        self.ledger_months = AsyncLedgerMonths(session)

    async def __aenter__(self) -> Self:
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        await self.close()

    async def close(self) -> None:
        """Close the connections."""
        await self._http.aclose()
