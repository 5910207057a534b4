"""The client: one club through one key."""

from types import TracebackType
from typing import Self

import httpx

from swardcost._sync.alternates import Alternates
from swardcost._sync.assets import Assets
from swardcost._sync.budgets import (
    Adjustments,
    Budgets,
    LimitsOfApproval,
    Measures,
    Unplanned,
)
from swardcost._sync.capital_plans import CapitalPlans, PlanProjects
from swardcost._sync.choosing import Choosing
from swardcost._sync.club import Clubs, Keys, Service
from swardcost._sync.club_methods import ClubMethods
from swardcost._sync.commitments import Commitments, Invoices, Receipts
from swardcost._sync.comparisons import Comparisons
from swardcost._sync.control import AccountLayouts, Control
from swardcost._sync.depreciation import Depreciation
from swardcost._sync.estimating import Estimates, Projects, ScopeItems
from swardcost._sync.jobs import Jobs
from swardcost._sync.ledger import AssignmentRules, ImportProfiles, Imports, Postings
from swardcost._sync.ledger_months import LedgerMonths, Reversals
from swardcost._sync.life_cycle_studies import LifeCycleStudies
from swardcost._sync.packets import Packets
from swardcost._sync.plan_progress import PlanProgress
from swardcost._sync.plan_scenarios import PlanScenarios
from swardcost._sync.planning import (
    Areas,
    Courses,
    Editions,
    Items,
    Methods,
    TermsOfVendors,
    Vendors,
)
from swardcost._sync.quotes import QuoteRequests, Quotes
from swardcost._sync.rates import Exemptions, PriceIndices, TaxRates
from swardcost._sync.risk import Risk, Simulations
from swardcost._sync.scheduling import Calendars, Schedules, Tasks
from swardcost._sync.session import Session
from swardcost.retries import Retries


class Client:
    """A client of the service for one club; use it as a context manager, or `close` it.

    >>> from swardcost import Client
    >>> client = Client("http://127.0.0.1:8787", club="heron-mere", key="sward_heron-mere_...")
    """

    def __init__(
        self,
        base_url: str,
        club: str,
        key: str,
        *,
        timeout: float = 60.0,
        retries: Retries | None = None,
        transport: httpx.BaseTransport | None = None,
    ) -> None:
        self._http = httpx.Client(
            base_url=base_url,
            headers={"Authorization": f"Bearer {key}"},
            timeout=timeout,
            transport=transport,
        )
        session = Session(self._http, club, retries or Retries())
        self.club = Clubs(session)
        self.keys = Keys(session)
        self.service = Service(session)
        self.methods = Methods(session)
        self.club_methods = ClubMethods(session)
        self.courses = Courses(session)
        self.areas = Areas(session)
        self.vendors = Vendors(session)
        self.editions = Editions(session)
        self.items = Items(session)
        self.vendor_terms = TermsOfVendors(session)
        self.tax_rates = TaxRates(session)
        self.exemptions = Exemptions(session)
        self.index_series = PriceIndices(session)
        self.projects = Projects(session)
        self.scope_items = ScopeItems(session)
        self.calendars = Calendars(session)
        self.tasks = Tasks(session)
        self.schedules = Schedules(session)
        self.estimates = Estimates(session)
        self.alternates = Alternates(session)
        self.assets = Assets(session)
        self.comparisons = Comparisons(session)
        self.choosing = Choosing(session)
        self.life_cycle_studies = LifeCycleStudies(session)
        self.capital_plans = CapitalPlans(session)
        self.plan_projects = PlanProjects(session)
        self.plan_progress = PlanProgress(session)
        self.packets = Packets(session)
        self.depreciation = Depreciation(session)
        self.plan_scenarios = PlanScenarios(session)
        self.risk = Risk(session)
        self.simulations = Simulations(session)
        self.quote_requests = QuoteRequests(session)
        self.quotes = Quotes(session)
        self.budgets = Budgets(session)
        self.control = Control(session)
        self.account_layouts = AccountLayouts(session)
        self.adjustments = Adjustments(session)
        self.approval_limits = LimitsOfApproval(session)
        self.unplanned_work = Unplanned(session)
        self.measures = Measures(session)
        self.commitments = Commitments(session)
        self.receipts = Receipts(session)
        self.invoices = Invoices(session)
        self.import_profiles = ImportProfiles(session)
        self.imports = Imports(session)
        self.postings = Postings(session)
        self.jobs = Jobs(session)
        self.assignment_rules = AssignmentRules(session)
        self.reversals = Reversals(session)
        self.ledger_months = LedgerMonths(session)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the connections."""
        self._http.close()
