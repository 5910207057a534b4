"""A stored estimate as a question that can be put again: its scope and prices, to be priced with something changed.

What was priced is kept as lines; what it was priced from is the project's scope and an edition. So the scope is read
as it is now, and only where it still gives the stored lines to the cent is the estimate said to be repriceable.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from uuid import UUID

from sqlalchemy import select
from swardcost_model import problems
from swardcost_model.estimates import EstimateTerms
from swardcost_model.problems import ProblemError
from swardcost_model.values import to_micros

from swardcost_api.catalog.service import edition_named, items_with_codes, vendor_terms
from swardcost_api.estimates.choices import choices_of, with_choices
from swardcost_api.estimates.markup_rates import markup_rates
from swardcost_api.estimates.priced import PricedScope
from swardcost_api.estimates.pricing import Prices, codes_in, price_scope
from swardcost_api.estimates.projects import read_project
from swardcost_api.estimates.scope_choice import ScopeChoice, load_scope_choice
from swardcost_api.estimates.scopes import ScopeEntry
from swardcost_api.estimates.tables import EstimateLineRow, EstimateRow
from swardcost_api.storage.rows import by_id, read_row
from swardcost_api.storage.work import UnitOfWork

_ESTIMATE = by_id(
    EstimateRow,
    [
        EstimateRow.id, EstimateRow.project_id, EstimateRow.number, EstimateRow.revision, EstimateRow.name,
        EstimateRow.currency, EstimateRow.total_minor, EstimateRow.terms, EstimateRow.priced,
    ],
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class PricingQuestion:
    """A scope with what it is priced by. Reads nothing more, so that it can be priced after its transaction."""

    edition: str
    scope: Sequence[ScopeEntry]
    prices: Prices
    as_of: date
    starts_on: date
    ends_on: date
    choice: ScopeChoice
    """Where the scope comes from: all scope items of the project, its alternates, and which are taken."""

    def priced(self, scope: Sequence[ScopeEntry] | None = None, prices: Prices | None = None) -> PricedScope:
        """The scope priced; with another scope or other prices where they are given. Raises as `price_scope`."""
        return price_scope(
            self.scope if scope is None else scope,
            self.prices if prices is None else prices,
            self.as_of,
            self.starts_on,
            self.ends_on,
        )


@dataclass(frozen=True, slots=True)
class Repriceable:
    """An estimate, the question it is the answer to, and that answer: its stored lines to the cent."""

    estimate_id: UUID
    project_id: UUID
    number: int
    revision: int
    name: str
    currency: str
    question: PricingQuestion
    priced: PricedScope = field(compare=False)


def pricing_question(
    work: UnitOfWork, project_id: UUID, terms: EstimateTerms, as_of: date
) -> PricingQuestion:
    """What a project's scope, as it stands now, is priced by.

    Raises `invalid-values` for an edition there is not, and for alternates that cannot be taken together.
    """
    project = read_project(work, project_id)
    edition = edition_named(work, terms.edition_id, "/edition_id", "The scope was not priced.")
    if edition.status != "published":
        raise ProblemError(
            problems.WRONG_STATE, "Estimates are priced with a published edition; this one is a draft."
        )
    choice = load_scope_choice(work, project_id, terms.alternate_ids)
    items = items_with_codes(work, edition.id, codes_in(choice.items))
    prices = Prices(
        with_choices(items, choices_of(work, project_id), edition.currency), vendor_terms(work, edition.id),
        edition.currency, edition.price_date, markup_rates(work, terms.markups, project.starts_on),
    )  # fmt: skip
    return PricingQuestion(
        edition.name, choice.scope, prices, as_of, project.starts_on, project.ends_on, choice
    )


def repriceable(work: UnitOfWork, estimate_id: UUID) -> Repriceable:
    """An estimate with what it was priced from.

    Raises `not-found`, and `wrong-state` where the scope, its areas, the chosen offers or the rates have changed since:
    then what would be computed would not be of this estimate.
    """
    row = read_row(work, _ESTIMATE, estimate_id, "estimate")
    kept = {name: value for name, value in row.terms.items() if name in EstimateTerms.model_fields}
    terms = EstimateTerms.model_validate(kept)  # earlier ones were kept with the estimate's name
    try:
        question = pricing_question(work, row.project_id, terms, date.fromisoformat(row.priced["as_of"]))
        priced = question.priced()
    except ProblemError as error:
        if error.kind is not problems.INVALID_VALUES:
            raise
        where = "; ".join(f"{fault.pointer}: {fault.expected}" for fault in error.faults)
        raise _changed(f"its scope cannot be priced as it is now ({where})") from None
    _refuse_changed(work, estimate_id, row.total_minor, priced)
    return Repriceable(
        row.id, row.project_id, row.number, row.revision, row.name, row.currency, question, priced
    )


def _refuse_changed(work: UnitOfWork, estimate_id: UUID, total_minor: int, priced: PricedScope) -> None:
    columns = EstimateLineRow
    stored = work.session.execute(
        select(
            columns.number, columns.scope_item_id, columns.scope_item, columns.item, columns.price_micros,
            columns.amount_minor, columns.starts_on, columns.ends_on,
        )
        .where(columns.club_id == work.club_id, columns.estimate_id == estimate_id)
        .order_by(columns.number)
    ).all()  # fmt: skip
    now = [
        (
            line.number, line.entry.id, line.entry.name, line.code,
            None if line.price is None else to_micros(line.price), line.amount_minor, line.entry.starts_on,
            line.entry.ends_on,
        )
        for line in priced.lines
    ]  # fmt: skip
    for was, line in zip(stored, now, strict=False):
        if tuple(was) != line:
            where = f"line {was.number} ({was.scope_item}, {was.item}) is the first that is not the same"
            raise _changed(where)
    if len(stored) != len(now):
        raise _changed(f"it has {len(stored)} lines and would have {len(now)}")
    if total_minor != priced.total_minor:
        raise _changed("its markups would be others")


def _changed(where: str) -> ProblemError:
    return ProblemError(
        problems.WRONG_STATE,
        f"What this estimate was priced from has changed since: {where}. Price a revision, and use that.",
    )
