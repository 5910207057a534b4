"""The alternatives of a study in figures: what each costs over the years, and what it saves against the first."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import accumulate
from uuid import UUID

from swardcost_model import life_cycle as answers
from swardcost_model.access import Club
from swardcost_model.life_cycle import LifeCycleStudy
from swardcost_model.values import Money, from_minor

from swardcost_api.access.service import read_club
from swardcost_api.alternatives.life_cycle_studies import read_study
from swardcost_api.alternatives.life_cycle_terms import StudyToCount, study_to_count
from swardcost_api.alternatives.moved_costs import shown
from swardcost_api.derivations import steps_for
from swardcost_api.engine.pricing.percentage import to_print
from swardcost_api.engine.risk.life_cycle import KIND_WORDS, KINDS, LifeCycleCost
from swardcost_api.engine.risk.life_cycle_savings import PAYBACK_RULE, Payback, Savings, savings
from swardcost_api.storage.work import UnitOfWork

METHOD = (
    "Present value, annual equivalent, net savings, savings-to-investment ratio, adjusted internal rate of return, and "
    "simple and discounted payback as in NIST Handbook 135, Life-Cycle Costing Manual. Each payment is the amount at "
    "today's prices x price factor, and its present value that amount x discount factor, each rounded half up to the "
    "minor unit; all totals are sums of these."
)
_PERCENT_PLACES = Decimal("0.000001")


@dataclass(frozen=True, slots=True)
class StudyToTell:
    """A study to be counted, and the club that reads it."""

    study: LifeCycleStudy
    counted: StudyToCount
    club: Club

    def money(self, minor: int) -> Money:
        """An amount of the study."""
        return Money.of_minor(minor, self.counted.terms.currency)

    def words(self, minor: int) -> str:
        """An amount in words."""
        currency = self.counted.terms.currency
        return f"{from_minor(minor, currency):,f} {currency}"


def read_figures(work: UnitOfWork, study_id: UUID) -> StudyToTell:
    """A study with what its parts cost today. Raises `not-found`, and as `study_to_count`."""
    study = read_study(work, study_id)
    return StudyToTell(study, study_to_count(work, study), read_club(work))


def figures_of(told: StudyToTell) -> answers.LifeCycleFigures:
    """Each alternative's life-cycle cost with its payments, and each but the first against the first."""
    study, terms, costs = told.study, told.counted.terms, told.counted.costs()
    compared = [None if place == 0 else savings(costs[0], cost) for place, cost in enumerate(costs)]
    return answers.LifeCycleFigures(
        study_id=study.id, name=study.name, question=study.question, method=METHOD,
        study_years=study.study_years, first_year=study.first_year, money=study.money,
        rate_percent=(terms.money_rate * 100).quantize(_PERCENT_PLACES).normalize(),
        rate_kind=terms.money_rate_kind,
        alternatives=[
            _alternative(told, costs[0], cost, saved, one.note)
            for cost, saved, one in zip(costs, compared, study.alternatives, strict=True)
        ],
        conclusions=list(_conclusions(told, costs, [one for one in compared if one is not None])),
        cautions=[*told.counted.cautions, *_cautions(compared)],
    )  # fmt: skip


def _alternative(
    told: StudyToTell, first: LifeCycleCost, cost: LifeCycleCost, saved: Savings | None, note: str
) -> answers.AlternativeLifeCycle:
    return answers.AlternativeLifeCycle(
        label=cost.name, note=note, life_cycle_cost=told.money(cost.present_minor),
        by_kind=[
            answers.PresentOfKind(
                kind=kind, words=KIND_WORDS[kind], present_value=told.money(cost.present_of(kind))
            )
            for kind in KINDS
        ],
        annual_equivalent=told.money(cost.annual_minor),
        more_than_first=told.money(cost.present_minor - first.present_minor),
        years=list(_years(told, cost)), payments=list(_payments(told, cost)),
        against_first=None if saved is None else _against_first(told, saved),
        derivation=steps_for(cost.steps, told.club),
    )  # fmt: skip


def _years(told: StudyToTell, cost: LifeCycleCost) -> Iterator[answers.LifeCycleYear]:
    present = cost.present_by_year()
    for year, (paid, worth, so_far) in enumerate(
        zip(cost.amounts_by_year(), present, accumulate(present), strict=True)
    ):
        yield answers.LifeCycleYear(
            year=year, calendar_year=_calendar_year(told, year), amount=told.money(paid),
            present_value=told.money(worth), present_value_so_far=told.money(so_far),
        )  # fmt: skip


def _payments(told: StudyToTell, cost: LifeCycleCost) -> Iterator[answers.LifeCyclePayment]:
    for row in cost.rows:
        yield answers.LifeCyclePayment(
            kind=row.kind, name=row.name, year=row.year, calendar_year=_calendar_year(told, row.year), due=row.time,
            amount_today=told.money(row.today_minor), price_factor=row.price_factor,
            amount=told.money(row.amount_minor), discount_factor=row.discount_factor,
            present_value=told.money(row.present_minor),
        )  # fmt: skip


def _calendar_year(told: StudyToTell, year: int) -> int:
    """The calendar year that a year of the study is; the base date is the beginning of the first."""
    return told.study.first_year + max(year - 1, 0)


def _against_first(told: StudyToTell, saved: Savings) -> answers.AgainstFirst:
    return answers.AgainstFirst(
        net_savings=told.money(saved.net_minor), operation_savings=told.money(saved.operation_minor),
        further_investment=told.money(saved.investment_minor), annual_savings=told.money(saved.annual_minor),
        savings_to_investment_ratio=to_print(saved.ratio),
        adjusted_rate_of_return_percent=to_print(saved.adjusted_return_percent),
        rates_of_return_percent=[one for one in saved.returns.percents if to_print(one) is not None],
        rate_of_return_words=saved.returns.words,
        simple_payback=_payback(told, saved.simple_payback),
        discounted_payback=_payback(told, saved.discounted_payback),
        derivation=steps_for(saved.steps, told.club),
    )  # fmt: skip


def _payback(told: StudyToTell, found: Payback) -> answers.PaybackFigures:
    return answers.PaybackFigures(
        years=found.years, lost_again_in=found.lost_again_in,
        saved_so_far=[told.money(minor) for minor in found.cumulated_minor], words=PAYBACK_RULE,
    )  # fmt: skip


def _conclusions(
    told: StudyToTell, costs: Sequence[LifeCycleCost], compared: Sequence[Savings]
) -> Iterator[str]:
    """What the figures say: the least cost, what each saves against the first, and how soon."""
    ordered = sorted(costs, key=lambda cost: cost.present_minor)
    least, following = ordered[0], ordered[1]
    years, cost = told.study.study_years, told.words(least.present_minor)
    if following.present_minor == least.present_minor:
        alike = [one.name for one in ordered if one.present_minor == least.present_minor]
        yield f"{' and '.join(alike)} share the least life-cycle cost over {_years_in_words(years)}: {cost}."
    else:
        yield (
            f"{least.name} has the least life-cycle cost over {_years_in_words(years)}: {cost}; next is "
            f"{following.name} with {told.words(following.present_minor)}."
        )
    for saved in compared:
        yield _saved(told, saved)
        if saved.investment_minor > 0 and saved.net_minor != 0:
            yield from _paid_back(saved)


def _saved(told: StudyToTell, saved: Savings) -> str:
    if saved.net_minor == 0:
        return f"{saved.name} costs the same as {saved.base_name}."
    if saved.net_minor < 0:
        return (
            f"{saved.name} costs {told.words(-saved.net_minor)} more than {saved.base_name} at present value."
        )
    words = f"{saved.name} saves {told.words(saved.net_minor)} against {saved.base_name} at present value"
    if saved.ratio is None:
        return f"{words}, and asks for no further investment."
    currency = told.counted.terms.currency
    return f"{words}: {shown(saved.ratio)} {currency} for each {currency} invested further."


def _paid_back(saved: Savings) -> Iterator[str]:
    """How soon what was paid more at first has come back; silent where no more was paid and it is never behind."""
    found = saved.discounted_payback
    if found.years is None:
        yield f"{saved.name} does not pay back within the study what it costs more at first."
    elif found.years > 0:
        words = f"{saved.name} has paid back after {_years_in_words(found.years)}, discounted"
        lost = found.lost_again_in
        yield f"{words}." if lost is None else f"{words}, and is behind again at the end of year {lost}."
    elif found.lost_again_in is not None:
        yield f"{saved.name} costs no more at first, and is behind at the end of year {found.lost_again_in}."


def _years_in_words(years: Decimal | int) -> str:
    return "1 year" if years == 1 else f"{shown(Decimal(years))} years"


def _cautions(compared: Sequence[Savings | None]) -> Iterator[str]:
    for saved in compared:
        if saved is not None and saved.net_minor != 0 and saved.returns.percent is None:
            yield f"{saved.name} has no one internal rate of return: {saved.returns.words}."
    if len(compared) > 2:
        yield (
            "Among alternatives that exclude each other the least life-cycle cost decides; ratios and rates of return "
            "hold each against the first alone and do not rank them."
        )
