"""The part of the story in which postings are split and reversed, and the month is closed with the books."""

from decimal import Decimal
from typing import Any

from swardcost_model.ledger_assignment import AmountPart, NewRule, RuleConditions, Share, Splitting
from swardcost_model.ledger_months import DifferenceReason, NewTrialBalance, TrialBalanceLine
from swardcost_model.ledger_profiles import MappedColumns, NewProfile
from swardcost_model.values import Money

JULY = (
    "Date,Account,Description,Amount,Vendor,Reference,Project\n"
    "2026-07-06,6410,Sand for both greens,600.01,Alder Creek,T-88,CL-2026\n"
    "2026-07-09,6410,Sand entered twice,512.30,Alder Creek,T-90,CL-2026\n"
    "2026-07-10,6410,VOID sand entered twice,-512.30,Alder Creek,T-90,CL-2026\n"
    "2026-07-14,6110,Seasonal crew,240.00,,,CL-2026\n"
    "2026-07-15,7010,Clubhouse linen,81.20,,,\n"
)
LATE = (
    "Date,Account,Description,Amount,Vendor,Reference,Project\n"
    "2026-07-31,6110,Overtime of July,35.00,,,CL-2026\n"
)
BALANCE = "account,debit,credit\n6410,600.01,\n6110,240.00,\n7010,80.20,\n"


def the_closing(client: Any, budget: Any) -> None:
    """Import July, assign what it holds, close it, take in a late row, and reopen it."""
    columns = MappedColumns(
        date="Date", account="Account", description="Description", amount="Amount", vendor="Vendor",
        reference="Reference", project="Project",
    )  # fmt: skip
    profile = client.import_profiles.create(NewProfile(name="July export", columns=columns))
    client.imports.upload(profile.id, "july.csv", JULY)
    the_assignment(client, budget)
    the_reversal(client)
    the_month(client)
    late = client.imports.upload(profile.id, "july-late.csv", LATE)
    assert late.rows_late == 1
    assert [one.month for one in client.postings.list(late=True)] == ["2026-08"]
    assert client.ledger_months.reopen("2026-07", reason="The linen was booked twice").status == "open"
    assert [event.action for event in client.ledger_months.history("2026-07")] == ["close", "reopen"]


def the_assignment(client: Any, budget: Any) -> None:
    sand, crew = budget.lines[0].id, budget.lines[1].id
    halves = [
        Share(budget_line_id=sand, percent=Decimal(60)),
        Share(budget_line_id=crew, percent=Decimal(40)),
    ]
    rule = NewRule(
        name="Crew of the closure", budget_id=budget.id, shares=halves,
        conditions=RuleConditions(account="6110", project_code="CL-2026"),
    )  # fmt: skip
    seen = client.assignment_rules.preview(rule)
    assert len(seen.rules) == 1
    client.assignment_rules.create(rule)
    assert client.assignment_rules.preview().rules
    client.assignment_rules.apply()
    shared = next(iter(client.postings.list(month="2026-07", text="both greens")))
    parts = [
        AmountPart(budget_line_id=sand, amount=Money(amount=Decimal("300.00"), currency="USD")),
        AmountPart(budget_line_id=crew, amount=Money(amount=Decimal("300.01"), currency="USD")),
    ]
    split = client.postings.split(shared.id, Splitting(amounts=parts, reason="One load went to both"))
    assert [part.amount.amount for part in split.parts] == [Decimal("300.00"), Decimal("300.01")]
    assert not client.postings.unsplit(shared.id, reason="By shares instead").parts
    client.postings.split(shared.id, Splitting(shares=halves, reason="As measured"))
    assert shared.id in {one.id for one in client.postings.list(budget_line_id=sand, project="CL-2026")}


def the_reversal(client: Any) -> None:
    pair = client.reversals.propose(within_days=30, month="2026-07").items[0]
    assert pair.ties == ["reference", "words", "vendor"]
    confirmed = client.reversals.confirm(pair.original.id, pair.reversal.id, reason="Entered twice")
    assert client.reversals.read(confirmed.id) in list(client.reversals.list())
    client.reversals.undo(confirmed.id, reason="Asked the vendor first")
    client.reversals.confirm(pair.original.id, pair.reversal.id, reason="The vendor agrees")


def the_month(client: Any) -> None:
    months = client.ledger_months
    lines = [TrialBalanceLine(account="6410", balance=Decimal("600.01"))]
    draft = NewTrialBalance(basis="movement", currency="USD", lines=lines, source="First draft")
    months.state_trial_balance("2026-07", draft, months.read("2026-07").version)
    months.upload_trial_balance("2026-07", BALANCE, "movement", source="Trial balance of July", replace=True)
    assert months.trial_balance("2026-07").source == "Trial balance of July"
    found = months.reconcile("2026-07")
    assert [one.account for one in found.accounts if one.reason is None and one.difference.amount] == ["7010"]
    linen = DifferenceReason(account="7010", reason="The linen is booked with tax here")
    closed = months.close("2026-07", [linen], accept_unassigned="The clubhouse is not in the budget")
    assert (closed.status, closed.unchanged) == ("closed", True)
    assert months.list(first="2026-07").closed_through == "2026-07"
