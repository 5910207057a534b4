"""An alternative against a base case: what it saves over the study, for what it asks more at first, and how soon.

Savings are what the base case costs more: above zero is in favour of the alternative. Investment is initial cost,
replacements and residual value; savings of operation are those of upkeep. All figures rest on printed rows.

References
----------
NIST Handbook 135, Life-Cycle Costing Manual (from memory): net savings, savings-to-investment ratio, adjusted
internal rate of return, simple and discounted payback.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from decimal import ROUND_HALF_UP, Context, Decimal, localcontext
from fractions import Fraction
from itertools import accumulate

from swardcost_model.values import from_minor

from swardcost_api.engine.derivation import Derivation, Input, Step
from swardcost_api.engine.risk.discounting import SOURCE
from swardcost_api.engine.risk.life_cycle import LifeCycleCost, RowKind
from swardcost_api.engine.risk.rate_of_return import Returns, internal_rates

PAYBACK_RULE = (
    "the first moment at which the savings so far, the residual value left out, make up for what was paid more; "
    "within a year they are taken to come evenly; rounded half up to 0.01 year"
)

_INVESTED: tuple[RowKind, ...] = ("initial", "replacement", "residual")
_RATIO_PLACES = Decimal("0.0001")
_YEAR_PLACES = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Payback:
    """How many years until the alternative has paid for itself; `years` is `None` where it never does in the study.

    `cumulated_minor` holds the savings so far at the end of each year from 0 on, without residual values.
    `lost_again_in` is the first later year at whose end they are below zero again, as after a replacement.
    """

    years: Decimal | None
    lost_again_in: int | None
    cumulated_minor: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Savings:
    """What an alternative saves against a base case; amounts in minor units.

    `ratio` (savings to investment) is absent where the alternative asks for no further investment, and
    `adjusted_return_percent` there and where it saves nothing in operation; `returns` says whether there is one
    internal rate of return, none or several. Rates are of the kind that belongs to the money of the study.
    """

    base_name: str
    name: str
    net_minor: int
    operation_minor: int
    investment_minor: int
    annual_minor: int
    ratio: Decimal | None
    adjusted_return_percent: Decimal | None
    returns: Returns
    simple_payback: Payback
    discounted_payback: Payback
    steps: Derivation = field(repr=False, compare=False)


def savings(base: LifeCycleCost, alternative: LifeCycleCost) -> Savings:
    """Compare an alternative with the base case.

    ::

        net savings = savings of operation - further investment
        ratio = savings of operation / further investment
        adjusted return = (1 + rate) x (savings of operation / further investment)^(1 / years) - 1

    Raises `ValueError` unless both were computed by the same terms.
    """
    if base.terms != alternative.terms:
        raise ValueError(
            "expected both life-cycle costs by the same terms: years, rate, money, timing, currency"
        )
    terms = base.terms
    operation = base.present_of("upkeep") - alternative.present_of("upkeep")
    investment = alternative.present_of(*_INVESTED) - base.present_of(*_INVESTED)
    ratio = Fraction(operation, investment) if investment > 0 else None
    adjusted = _adjusted_return(terms.money_rate, ratio, terms.years)
    returns = _returns(base, alternative)
    simple = _payback(base, alternative, discounted=False)
    discounted = _payback(base, alternative, discounted=True)
    found = Savings(
        base.name, alternative.name, operation - investment, operation, investment,
        base.annual_minor - alternative.annual_minor,
        None if ratio is None else _rounded(ratio, _RATIO_PLACES), adjusted, returns, simple, discounted, (),
    )  # fmt: skip
    return replace(found, steps=_steps(base, alternative, found))


def _adjusted_return(rate: Decimal, ratio: Fraction | None, years: int) -> Decimal | None:
    if ratio is None or ratio <= 0:
        return None
    with localcontext(Context(prec=40)):
        exact = Decimal(ratio.numerator) / Decimal(ratio.denominator)
        grown = (1 + rate) * exact ** (Decimal(1) / years)
        return ((grown - 1) * 100).quantize(_RATIO_PLACES, ROUND_HALF_UP)


def _returns(base: LifeCycleCost, alternative: LifeCycleCost) -> Returns:
    payments: dict[Decimal, int] = {}
    for cost, sign in ((base, 1), (alternative, -1)):
        for row in cost.rows:
            payments[row.time] = payments.get(row.time, 0) + sign * row.amount_minor
    return internal_rates(payments)


def _payback(base: LifeCycleCost, alternative: LifeCycleCost, *, discounted: bool) -> Payback:
    by_year = [0] * (base.terms.years + 1)
    for cost, sign in ((base, 1), (alternative, -1)):
        for row in cost.rows:
            if row.kind != "residual":
                by_year[row.year] += sign * (row.present_minor if discounted else row.amount_minor)
    return payback(by_year)


def payback(savings_minor: Sequence[int]) -> Payback:
    """Payback of savings in minor units by year, year 0 first, which is below zero where more is paid at first.

    `PAYBACK_RULE` says how it is told: with savings so far of ``before`` at the end of the year before and
    ``saved`` in the year, it is ``year - 1 - before / saved``. Nothing paid more at first is paid back at once.

    Raises `ValueError` for no years.
    """
    if not savings_minor:
        raise ValueError("expected the savings of at least one year")
    so_far = tuple(accumulate(savings_minor))
    year = next((year for year, minor in enumerate(so_far) if minor >= 0), None)
    if year is None:
        return Payback(None, None, so_far)
    exact = Fraction(0)
    if year > 0:
        exact = year - 1 + Fraction(-so_far[year - 1], savings_minor[year])
    lost = next((later for later in range(year + 1, len(so_far)) if so_far[later] < 0), None)
    return Payback(_rounded(exact, _YEAR_PLACES), lost, so_far)


def _rounded(value: Fraction, places: Decimal) -> Decimal:
    with localcontext(Context(prec=60)):
        return (Decimal(value.numerator) / Decimal(value.denominator)).quantize(places, ROUND_HALF_UP)


def _steps(base: LifeCycleCost, alternative: LifeCycleCost, found: Savings) -> Derivation:
    terms = base.terms
    money = terms.currency

    def major(minor: int) -> float:
        return float(from_minor(minor, money))

    def pair(words: str, first: int, second: int) -> tuple[Input, ...]:
        return (
            Input(f"{words} of the base case", major(first), money),
            Input(f"{words} of the alternative", major(second), money),
        )

    operation = Input("savings of operation", major(found.operation_minor), money)
    investment = Input("further investment", major(found.investment_minor), money)
    steps = [
        Step(
            operation.name, operation.value, money, "upkeep of the base case - upkeep of the alternative",
            pair("upkeep", base.present_of("upkeep"), alternative.present_of("upkeep")), SOURCE,
        ),
        Step(
            investment.name, investment.value, money,
            "investment of the alternative - investment of the base case, each initial cost + replacements"
            " + residual value (below zero) at present value",
            pair("investment", base.present_of(*_INVESTED), alternative.present_of(*_INVESTED)), SOURCE,
        ),
        Step(
            "net savings", major(found.net_minor), money, "savings of operation - further investment",
            (operation, investment), SOURCE,
        ),
    ]  # fmt: skip
    if found.ratio is not None:
        steps.append(
            Step(
                "savings-to-investment ratio", float(found.ratio), "ratio",
                "savings of operation / further investment, rounded half up to 0.0001", (operation, investment), SOURCE,
            )
        )  # fmt: skip
    if found.adjusted_return_percent is not None:
        steps.append(
            Step(
                "adjusted internal rate of return", float(found.adjusted_return_percent), "percent",
                "(1 + rate) x (savings of operation / further investment)^(1 / years) - 1, rounded half up to 0.0001"
                " percent",
                (
                    Input("rate", float(terms.money_rate * 100), "percent"), operation, investment,
                    Input("years", float(terms.years), "year"),
                ),
                SOURCE,
            )
        )  # fmt: skip
    if found.returns.percent is not None:
        steps.append(
            Step(
                "internal rate of return", float(found.returns.percent), "percent",
                f"{found.returns.words}; yearly differences of the rows, rounded half up to 0.0001 percent", (), SOURCE,
            )
        )  # fmt: skip
    for name, paid in (
        ("simple payback", found.simple_payback),
        ("discounted payback", found.discounted_payback),
    ):
        if paid.years is not None:
            first = Input("saved at the base date", major(paid.cumulated_minor[0]), money)
            steps.append(Step(name, float(paid.years), "year", PAYBACK_RULE, (first,), SOURCE))
    return tuple(steps)
