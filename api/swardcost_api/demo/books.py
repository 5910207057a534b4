"""The books of a month, told through the client: a second export, what was entered twice, a split, and the closing."""

from decimal import Decimal
from uuid import UUID

from swardcost import Client
from swardcost_model.account_files import Layout, NewLayout
from swardcost_model.ledger import ImportResult, Posting
from swardcost_model.ledger_assignment import Share, Splitting
from swardcost_model.ledger_months import DifferenceReason, LedgerMonth, ReconciledAccount, Reconciliation
from swardcost_model.ledger_profiles import NewProfile, Profile, ProfileProposal
from swardcost_model.ledger_reversals import Reversal

from swardcost_api.demo.control import MONTH, lines_of
from swardcost_api.demo.story import data_file

SERVICE_SHARES = {
    "Core the greens, two passes": "60",
    "Aerate the fairways": "25",
    "Trailer trips from the stockpile": "15",
}
"""Percent of the machines' service by the work that they did."""
FUEL_REASON = "Fuel of 30 September, which the export has in October"


def propose_profile(client: Client) -> ProfileProposal:
    """What the service makes of the printed ledger of late entries."""
    return client.import_profiles.propose(data_file("late_entries.csv"), "Printed ledger")


def save_profile(client: Client, proposal: ProfileProposal) -> Profile:
    """Save the proposed profile, with the one column that it did not know."""
    assert proposal.profile is not None
    fields = proposal.profile.model_dump()
    fields["columns"]["reference"] = "Document"
    return client.import_profiles.create(NewProfile.model_validate(fields))


def import_by_job(client: Client, profile: Profile) -> ImportResult:
    """Import the late entries as a job, and wait for it."""
    job = client.imports.start(profile.id, "late-entries.csv", data_file("late_entries.csv"))
    return client.imports.finish(job)


def take_back(client: Client) -> Reversal:
    """Confirm that the correction of the late entries takes back the ticket that was entered twice."""
    pairs = client.reversals.propose(within_days=30, month=MONTH).items
    pair = next(one for one in pairs if "correction" in one.reversal.description.casefold())
    return client.reversals.confirm(
        pair.original.id, pair.reversal.id, "Ticket 4423 was entered twice and taken back"
    )


def split_service(client: Client, imported: ImportResult, budget_id: UUID) -> Posting:
    """Split the service of the machines over the work that they did."""
    posting = next(
        one for one in client.postings.list(import_id=imported.id) if one.description.startswith("Service")
    )
    known = lines_of(client, budget_id)
    shares = [
        Share(budget_line_id=known[work, posting.account], percent=Decimal(percent))
        for work, percent in SERVICE_SHARES.items()
    ]
    return client.postings.split(posting.id, Splitting(shares=shares, reason="Hours of the machines' log"))


def pay_the_pump(client: Client, budget_id: UUID) -> Posting:
    """Assign the bill for the pump by hand, since no rule knew of it."""
    bill = next(one for one in client.postings.list(account="6530"))
    line = lines_of(client, budget_id)["Well pump repair, hole 9", "6530"]
    return client.postings.assign(bill.id, line, "The repair that contingency pays for")


def reconcile(client: Client) -> Reconciliation:
    """State the month's trial balance, and compare the postings with it."""
    client.ledger_months.upload_trial_balance(
        MONTH, data_file("trial_balance.csv"), "movement", "Trial balance of 30 September"
    )
    return client.ledger_months.reconcile(MONTH)


def differing(found: Reconciliation) -> list[ReconciledAccount]:
    """The accounts whose postings differ from the trial balance."""
    return [one for one in found.accounts if one.difference is not None and one.difference.amount]


def close(client: Client, found: Reconciliation) -> LedgerMonth:
    """Close the month with a reason for each account that differs."""
    reasons = [
        DifferenceReason(account=one.account, difference=one.difference, reason=FUEL_REASON)
        for one in differing(found)
    ]
    return client.ledger_months.close(
        MONTH, reasons, accept_unassigned="Running of the club, no part of the closure"
    )


def accrual_layout(client: Client) -> Layout:
    """How the club's accounting program takes accruals: each again on the first of the next month, the other way."""
    return client.account_layouts.create(NewLayout.model_validate_json(data_file("layout.json")))
