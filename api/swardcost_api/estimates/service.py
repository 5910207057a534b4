"""Estimates: priced once, then issued and decided; what was priced never changes."""

from collections.abc import Callable, Collection
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from sqlalchemy import func, insert, select, update
from swardcost_model import problems
from swardcost_model.access import Club
from swardcost_model.estimates import (
    AreaShare,
    Decision,
    Estimate,
    EstimateLine,
    EstimateLineDetail,
    EstimateLineList,
    EstimateRevision,
    EstimateStatus,
    EstimateSummary,
    EstimateTerms,
    EstimateWarning,
    IssueRequest,
    NewEstimate,
    PricingTerms,
    Subtotal,
    Subtotals,
)
from swardcost_model.paging import Page
from swardcost_model.problems import ProblemError
from swardcost_model.projects import Project
from swardcost_model.values import Money

from swardcost_api.access.service import hold_club, read_club, record
from swardcost_api.budgets.service import budget_of_estimate, open_budget, shortened
from swardcost_api.derivations import steps_for
from swardcost_api.estimates.alternate_pricing import alternate_documents, priced_alternates
from swardcost_api.estimates.bridging import bridge as bridge
from swardcost_api.estimates.budgeting import planned_lines
from swardcost_api.estimates.buying import Bought as Bought
from swardcost_api.estimates.buying import mass_of_one as mass_of_one
from swardcost_api.estimates.checklist import COMMON_PRACTICE as COMMON_PRACTICE
from swardcost_api.estimates.checklist import FIRM_PERCENT as FIRM_PERCENT
from swardcost_api.estimates.choices import Choice as Choice
from swardcost_api.estimates.choices import choose_prices as choose_prices
from swardcost_api.estimates.choices import drop_choices as drop_choices
from swardcost_api.estimates.derivations import unpack
from swardcost_api.estimates.estimated_projects import estimated_projects as estimated_projects
from swardcost_api.estimates.needs import ItemNeeded as ItemNeeded
from swardcost_api.estimates.needs import NotNeeded as NotNeeded
from swardcost_api.estimates.needs import needs_of as needs_of
from swardcost_api.estimates.projects import create_project as create_project
from swardcost_api.estimates.projects import hold_project as hold_project
from swardcost_api.estimates.projects import read_project as read_project
from swardcost_api.estimates.quality import finds_ranges as finds_ranges
from swardcost_api.estimates.quality import read_basis as read_basis
from swardcost_api.estimates.quality import read_quality as read_quality
from swardcost_api.estimates.quality import start_basis
from swardcost_api.estimates.repricing import PricingQuestion as PricingQuestion
from swardcost_api.estimates.repricing import Repriceable as Repriceable
from swardcost_api.estimates.repricing import pricing_question as pricing_question
from swardcost_api.estimates.repricing import repriceable as repriceable
from swardcost_api.estimates.scope_choice import AlternateIds as AlternateIds
from swardcost_api.estimates.scope_choice import alternates_named as alternates_named
from swardcost_api.estimates.scope_choice import load_scope as load_scope
from swardcost_api.estimates.scope_days import DaysSet as DaysSet
from swardcost_api.estimates.scope_days import set_scope_days as set_scope_days
from swardcost_api.estimates.scopes import ScopeEntry as ScopeEntry
from swardcost_api.estimates.scopes import checks_scope_changes as checks_scope_changes
from swardcost_api.estimates.scopes import create_scope_item as create_scope_item
from swardcost_api.estimates.scopes import load_scope_items as load_scope_items
from swardcost_api.estimates.scopes import read_scope_item as read_scope_item
from swardcost_api.estimates.stored import line_of, line_rows, markup_line_of, priced_document, summary_of
from swardcost_api.estimates.tables import EstimateLineRow, EstimateRow
from swardcost_api.estimates.work_figures import work_document, work_figures
from swardcost_api.estimates.worked_items import WorkedItem as WorkedItem
from swardcost_api.estimates.worked_items import worked_items as worked_items
from swardcost_api.storage.paging import read_page
from swardcost_api.storage.rows import by_id, missing, read_row
from swardcost_api.storage.work import UnitOfWork

_SUMMARY = (
    EstimateRow.id, EstimateRow.project_id, EstimateRow.number, EstimateRow.revision, EstimateRow.name,
    EstimateRow.status, EstimateRow.complete, EstimateRow.total_minor, EstimateRow.cash_minor, EstimateRow.currency,
    EstimateRow.created_at, EstimateRow.superseded_by, EstimateRow.version,
)  # fmt: skip
_LINE = tuple(
    column for column in EstimateLineRow.__table__.c
    if column.name not in ("club_id", "estimate_id", "priced_on", "needed", "needed_unit", "shares", "derivation")
)  # fmt: skip
_ESTIMATE_BY_ID = by_id(EstimateRow, list(EstimateRow.__table__.c))

StartOfEstimate = Callable[[UnitOfWork, UUID, UUID | None], None]
"""Gives a new estimate what another room keeps of it; told the revision before, if there is one."""
_STARTS: list[StartOfEstimate] = []

MOST_LINES = 2**31 - 1
"""Line numbers beyond this are not even asked of the database."""


@dataclass(frozen=True, slots=True)
class NamedEstimate:
    """An estimate by number, name and revision, with its total; what is incomplete has gaps, and is no whole cost."""

    label: str
    total: Money
    complete: bool


def starts_with_estimates(start: StartOfEstimate) -> StartOfEstimate:
    """Have a room that keeps something of each estimate begin it with the estimate, in the same transaction."""
    _STARTS.append(start)
    return start


def create_estimate(work: UnitOfWork, project_id: UUID, new: NewEstimate) -> Estimate:
    """Price a project's scope as it stands now: revision 1 of a new estimate."""
    project = _held(work, project_id)
    highest = work.session.scalar(
        select(func.max(EstimateRow.number)).where(EstimateRow.club_id == work.club_id)
    )
    return _price(work, project, new, new.name, number=(highest or 0) + 1, revision=1, revises=None)


def revise_estimate(work: UnitOfWork, estimate_id: UUID, revision: EstimateRevision) -> Estimate:
    """Price the scope again as the next revision. The earlier one stays as it is until this is issued."""
    earlier = read_estimate(work, estimate_id)
    project = _held(work, earlier.project_id)
    _refuse_accepted(work, earlier.number)
    latest = work.session.scalar(
        select(func.max(EstimateRow.revision)).where(
            EstimateRow.club_id == work.club_id, EstimateRow.number == earlier.number
        )
    )
    return _price(
        work, project, _terms_of(revision, earlier), earlier.name, number=earlier.number, revision=(latest or 0) + 1,
        revises=earlier.id,
    )  # fmt: skip


def _terms_of(revision: EstimateRevision, earlier: Estimate) -> EstimateTerms:
    """What a revision is priced by: with the alternates of the estimate before, unless it says which."""
    taken = revision.alternate_ids
    if taken is None:
        taken = [one.alternate_id for one in earlier.alternates if one.taken]
    stated = revision.model_dump(include=set(PricingTerms.model_fields))
    return EstimateTerms(**stated, alternate_ids=taken)


def list_estimates(
    work: UnitOfWork, limit: int, cursor: str | None, project_id: UUID | None, status: EstimateStatus | None
) -> Page[EstimateSummary]:
    """The club's estimates in the order in which they were priced."""
    statement = select(*_SUMMARY).where(EstimateRow.club_id == work.club_id)
    if project_id is not None:
        statement = statement.where(EstimateRow.project_id == project_id)
    if status is not None:
        statement = statement.where(EstimateRow.status == status)
    rows, following = read_page(work, statement, (EstimateRow.id,), limit, cursor)
    return Page[EstimateSummary](items=[EstimateSummary(**summary_of(row)) for row in rows], next=following)


def read_estimate(work: UnitOfWork, estimate_id: UUID) -> Estimate:
    """One estimate, without its lines."""
    row = read_row(work, _ESTIMATE_BY_ID, estimate_id, "estimate")
    club = read_club(work)
    priced = row.priced
    return Estimate(
        **summary_of(row),
        edition_id=row.edition_id, edition=priced["edition"], price_date=priced["price_date"],
        as_of=priced["as_of"], starts_on=priced["starts_on"], ends_on=priced["ends_on"], line_count=row.line_count,
        direct=Money.of_minor(row.direct_minor, row.currency),
        low_total=Money.of_minor(priced.get("low_minor", row.total_minor), row.currency),
        high_total=Money.of_minor(priced.get("high_minor", row.total_minor), row.currency),
        markups=[markup_line_of(one, row.currency, club) for one in priced["markups"]],
        subtotals=Subtotals(
            **{
                name: [Subtotal(key=key, label=label, amount=Money.of_minor(amount, row.currency))
                    for key, label, amount in headings]
                for name, headings in priced["subtotals"].items()
            }
        ),
        warnings=[EstimateWarning(**one) for one in priced["warnings"]], cautions=priced["cautions"],
        created_by=row.created_by, revises=row.revises, issued_at=row.issued_at, issued_by=row.issued_by,
        incomplete_because=row.incomplete_because, decided_at=row.decided_at, decided_by=row.decided_by,
        decision_note=row.decision_note, budget_id=budget_of_estimate(work, estimate_id),
        alternates=priced_alternates(priced.get("alternates", ()), row.currency),
        work=work_figures(priced.get("work"), club),
    )  # fmt: skip


def estimate_totals(work: UnitOfWork, ids: Collection[UUID]) -> dict[UUID, Money]:
    """The totals of the estimates of this club among some ids, in one query."""
    rows = work.session.execute(
        select(EstimateRow.id, EstimateRow.total_minor, EstimateRow.currency).where(
            EstimateRow.club_id == work.club_id, EstimateRow.id.in_(ids)
        )
    )
    return {row.id: Money.of_minor(row.total_minor, row.currency) for row in rows}


def named_estimates(work: UnitOfWork, ids: Collection[UUID]) -> dict[UUID, NamedEstimate]:
    """The estimates of this club among some ids, in one query: what each is called, costs, and whether it has gaps."""
    row = EstimateRow
    rows = work.session.execute(
        select(row.id, row.number, row.name, row.revision, row.total_minor, row.currency, row.complete).where(
            row.club_id == work.club_id, row.id.in_(ids)
        )
    )
    return {
        one.id: NamedEstimate(
            f"{one.number} ({one.name}), revision {one.revision}",
            Money.of_minor(one.total_minor, one.currency), one.complete,
        )
        for one in rows
    }  # fmt: skip


def list_lines(work: UnitOfWork, estimate_id: UUID, limit: int, cursor: str | None) -> Page[EstimateLine]:
    """The lines of an estimate, page by page."""
    currency = _currency(work, estimate_id)
    statement = _lines(work, estimate_id)
    rows, following = read_page(work, statement, (EstimateLineRow.number,), limit, cursor)
    return Page[EstimateLine](items=[EstimateLine(**line_of(row, currency)) for row in rows], next=following)


def all_lines(work: UnitOfWork, estimate_id: UUID) -> EstimateLineList:
    """All lines of an estimate at once."""
    currency = _currency(work, estimate_id)
    rows = work.session.execute(_lines(work, estimate_id).order_by(EstimateLineRow.number))
    return EstimateLineList(items=[EstimateLine(**line_of(row, currency)) for row in rows])


def read_line(work: UnitOfWork, estimate_id: UUID, number: int) -> EstimateLineDetail:
    """One line with its derivation and its shares by area."""
    currency = _currency(work, estimate_id)
    if not 0 < number <= MOST_LINES:
        raise missing("line")
    row = work.session.execute(_explained(work, estimate_id).where(EstimateLineRow.number == number)).first()
    if row is None:
        raise missing("line")
    return _detail_of(row, currency, read_club(work))


def explained_lines(work: UnitOfWork, estimate_id: UUID) -> list[EstimateLineDetail]:
    """All lines of an estimate, each with its derivation and its shares by area, in one query."""
    currency, club = _currency(work, estimate_id), read_club(work)
    rows = work.session.execute(_explained(work, estimate_id).order_by(EstimateLineRow.number))
    return [_detail_of(row, currency, club) for row in rows]


def _explained(work: UnitOfWork, estimate_id: UUID) -> Any:
    return _lines(work, estimate_id).add_columns(EstimateLineRow.shares, EstimateLineRow.derivation)


def _detail_of(row: Any, currency: str, club: Club) -> EstimateLineDetail:
    return EstimateLineDetail(
        **line_of(row, currency), derivation=steps_for(unpack(row.derivation), club),
        shares=[
            AreaShare(
                area_id=area_id, name=name, hole=hole, kind=kind, amount=Money.of_minor(amount, currency)
            )
            for (area_id, name, hole, kind), amount in zip(*row.shares, strict=True)
        ],
    )  # fmt: skip


def issue_estimate(work: UnitOfWork, estimate_id: UUID, request: IssueRequest) -> Estimate:
    """Make a draft ready for a decision; earlier revisions are superseded by it."""
    hold_club(work)
    estimate = _in_state(work, estimate_id, EstimateStatus.DRAFT)
    if not estimate.complete and not request.incomplete_because:
        gaps = [warning.message for warning in estimate.warnings if warning.gap]
        raise ProblemError(problems.INCOMPLETE_ESTIMATE, "It has gaps: " + " ".join(gaps[:10]))
    _move(
        work, estimate, EstimateStatus.ISSUED, issued_at=work.now, issued_by=work.caller.name,
        incomplete_because=None if estimate.complete else request.incomplete_because,
    )  # fmt: skip
    superseded = work.session.scalars(
        update(EstimateRow)
        .where(
            EstimateRow.club_id == work.club_id,
            EstimateRow.number == estimate.number,
            EstimateRow.revision < estimate.revision,
            EstimateRow.superseded_by.is_(None),
        )
        .values(superseded_by=estimate.id, version=EstimateRow.version + 1)
        .returning(EstimateRow.id)
        .execution_options(synchronize_session=False)
    ).all()
    # Looked for only now: one that was being accepted meanwhile has been waited for by the update.
    _refuse_accepted(work, estimate.number)
    for earlier_id in superseded:
        record(work, "supersede", "estimate", earlier_id, after={"superseded_by": str(estimate.id)})
    return read_estimate(work, estimate_id)


def accept_estimate(work: UnitOfWork, estimate_id: UUID, decision: Decision) -> Estimate:
    """Accept an issued estimate and open its budget, by account and month."""
    estimate = _in_state(work, estimate_id, EstimateStatus.ISSUED)
    hold_project(work, estimate.project_id)
    _refuse_second_budget(work, estimate)
    _move(
        work, estimate, EstimateStatus.ACCEPTED, decided_at=work.now, decided_by=work.caller.name,
        decision_note=decision.note,
    )  # fmt: skip
    project = read_project(work, estimate.project_id)
    name = shortened(f"{project.name}: {estimate.name}")
    open_budget(work, name, estimate.project_id, estimate.id, planned_lines(work, estimate.id))
    return read_estimate(work, estimate_id)


def _refuse_second_budget(work: UnitOfWork, estimate: Estimate) -> None:
    """A project's scope is budgeted once; two accepted estimates of it would count it twice."""
    accepted = work.session.scalar(
        select(EstimateRow.number).where(
            EstimateRow.club_id == work.club_id,
            EstimateRow.project_id == estimate.project_id,
            EstimateRow.status == EstimateStatus.ACCEPTED,
        )
    )
    if accepted is not None:
        raise ProblemError(
            problems.WRONG_STATE,
            f"Estimate {accepted} of this project is accepted already; its scope has a budget.",
        )


def decline_estimate(work: UnitOfWork, estimate_id: UUID, decision: Decision) -> Estimate:
    """Decline an issued estimate."""
    estimate = _in_state(work, estimate_id, EstimateStatus.ISSUED)
    _move(
        work, estimate, EstimateStatus.DECLINED, decided_at=work.now, decided_by=work.caller.name,
        decision_note=decision.note,
    )  # fmt: skip
    return read_estimate(work, estimate_id)


def _price(
    work: UnitOfWork,
    project: Project,
    terms: EstimateTerms,
    name: str,
    *,
    number: int,
    revision: int,
    revises: UUID | None,
) -> Estimate:
    as_of = terms.as_of or work.now.date()
    question = pricing_question(work, project.id, terms, as_of)
    prices, priced = question.prices, question.priced()
    estimate_id = work.new_id()
    work.session.execute(
        insert(EstimateRow).values(
            club_id=work.club_id, id=estimate_id, project_id=project.id, edition_id=terms.edition_id, number=number,
            revision=revision, revises=revises, name=name, status=EstimateStatus.DRAFT, complete=priced.complete,
            currency=prices.currency, direct_minor=priced.direct_minor, total_minor=priced.total_minor,
            cash_minor=priced.cash_total_minor,
            line_count=len(priced.lines), terms=terms.model_dump(mode="json", include=set(EstimateTerms.model_fields)),
            priced=priced_document(
                priced, question.edition, prices.price_date, as_of, project,
                alternate_documents(question, priced), work_document(priced),
            ),
            created_at=work.now, created_by=work.caller.name, version=1,
        )
    )  # fmt: skip
    if priced.lines:
        rows = line_rows(work.club_id, estimate_id, priced.lines)
        work.session.connection().execute(insert(EstimateLineRow), rows)
    start_basis(work, estimate_id, revises)
    for start in _STARTS:
        start(work, estimate_id, revises)
    estimate = read_estimate(work, estimate_id)
    record(work, "price", "estimate", estimate_id, after=EstimateSummary.model_validate(vars(estimate)))
    return estimate


def _held(work: UnitOfWork, project_id: UUID) -> Project:
    """A project whose scope stays as it is, in a club where nobody else numbers an estimate meanwhile."""
    hold_club(work)
    hold_project(work, project_id)
    return read_project(work, project_id)


def _refuse_accepted(work: UnitOfWork, number: int) -> None:
    """Raise `wrong-state` where a revision of this estimate was accepted: money has been given for it."""
    accepted = work.session.scalar(
        select(EstimateRow.revision).where(
            EstimateRow.club_id == work.club_id,
            EstimateRow.number == number,
            EstimateRow.status == EstimateStatus.ACCEPTED,
        )
    )
    if accepted is not None:
        raise ProblemError(
            problems.WRONG_STATE,
            f"Revision {accepted} of this estimate was accepted; price a new estimate instead.",
        )


def _in_state(work: UnitOfWork, estimate_id: UUID, needed: EstimateStatus) -> Estimate:
    estimate = read_estimate(work, estimate_id)
    if estimate.superseded_by is not None:
        raise ProblemError(problems.WRONG_STATE, "A later revision was issued; this one is superseded.")
    if estimate.status != needed:
        raise ProblemError(
            problems.WRONG_STATE, f"The estimate is {estimate.status}; only one that is {needed} can do that."
        )
    return estimate


def _move(work: UnitOfWork, estimate: Estimate, status: EstimateStatus, **more: Any) -> None:
    """Move to another status, unless somebody else just did."""
    done = work.session.execute(
        update(EstimateRow)
        .where(
            EstimateRow.club_id == work.club_id,
            EstimateRow.id == estimate.id,
            EstimateRow.version == estimate.version,
        )
        .values(status=status, version=estimate.version + 1, **more)
    )
    if done.rowcount != 1:  # type: ignore[attr-defined]
        raise ProblemError(problems.WRONG_STATE, "Somebody else just changed this estimate; read it again.")
    note = {name: value for name, value in more.items() if isinstance(value, str) and value}
    record(
        work,
        status.value,
        "estimate",
        estimate.id,
        {"status": estimate.status.value},
        {"status": status.value} | note,
    )


def _currency(work: UnitOfWork, estimate_id: UUID) -> str:
    currency = work.session.scalar(
        select(EstimateRow.currency).where(EstimateRow.club_id == work.club_id, EstimateRow.id == estimate_id)
    )
    if currency is None:
        raise missing("estimate")
    return currency


def _lines(work: UnitOfWork, estimate_id: UUID) -> Any:
    return select(*_LINE).where(
        EstimateLineRow.club_id == work.club_id, EstimateLineRow.estimate_id == estimate_id
    )
