"""Life-cycle cost: what an alternative costs to buy, keep, replace and own up to the end of a study period.

Every row is printed and can be redone by hand: the amount at prices of the base date x the price factor is the
amount of its year, that x the discount factor is its present value, each rounded half up to the minor unit. All
totals are sums of printed rows. Costs are above zero, money that comes back is below.

References
----------
NIST Handbook 135, Life-Cycle Costing Manual (from memory): life-cycle cost = initial cost + replacements
- residual value + yearly costs, all as present values.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Context, Decimal, localcontext
from typing import Literal

from swardcost_model.values import from_minor

from swardcost_api.engine.derivation import Derivation, Input, Step
from swardcost_api.engine.risk.discounting import SOURCE, DiscountTerms, Growth

RowKind = Literal["initial", "upkeep", "replacement", "residual"]
KINDS: tuple[RowKind, ...] = ("initial", "upkeep", "replacement", "residual")
KIND_WORDS = {
    "initial": "initial cost", "upkeep": "upkeep", "replacement": "replacements", "residual": "residual value",
}  # fmt: skip
ROUNDED = ", rounded half up to the minor unit"

_LARGEST_MINOR = 10**15
_WIDE = Context(prec=60)
_LEVEL = Growth()


@dataclass(frozen=True, slots=True)
class Part:
    """Something that is bought at the base date, lasts, and is replaced; money in minor units at today's prices.

    It is replaced every `life_years`, or at the ends of the years `replaced_in`; never at the end of the study,
    since nobody would use it. A replacement costs `replacement_minor`, or the initial cost where that is left out.
    Without a life and without years it is not replaced.

    `residual` is what it is worth at the end of the study: `straight_line` is the unused share of the life of what
    stands there then, of what that cost (at the prices of the end), `none` is nothing, and a whole number is a stated
    value at today's prices, below zero where taking it away costs.

    Raises `ValueError` for costs below zero, a life or years that make no sense, or a straight line without a life.
    """

    name: str
    initial_minor: int
    life_years: int | None = None
    replaced_in: tuple[int, ...] | None = None
    replacement_minor: int | None = None
    residual: Literal["straight_line", "none"] | int = "none"
    growth: Growth = _LEVEL

    def __post_init__(self) -> None:
        for name, minor in (("initial cost", self.initial_minor), ("replacement", self.replacement_minor)):
            if minor is not None and not 0 <= minor < _LARGEST_MINOR:
                raise ValueError(f"{self.name}, {name}: expected zero or more minor units; got {minor}")
        if isinstance(self.residual, int) and abs(self.residual) >= _LARGEST_MINOR:
            raise ValueError(f"{self.name}, residual value: expected an amount that can be meant")
        if self.life_years is not None and self.life_years < 1:
            raise ValueError(f"{self.name}, life: expected one year or more; got {self.life_years}")
        if self.residual == "straight_line" and self.life_years is None:
            raise ValueError(
                f"{self.name}, life: expected one, which a straight line is drawn over; got none"
            )
        years = self.replaced_in or ()
        if any(year < 1 for year in years) or list(years) != sorted(set(years)):
            raise ValueError(f"{self.name}, replaced in: expected ascending years from 1 on; got {years}")

    @property
    def price_of_another_minor(self) -> int:
        return self.initial_minor if self.replacement_minor is None else self.replacement_minor

    def replaced(self, years: int) -> tuple[int, ...]:
        """The years at whose ends it is replaced in a study of so many years.

        Raises `ValueError` for a stated year that is not before the last.
        """
        if self.replaced_in is not None:
            if self.replaced_in and self.replaced_in[-1] >= years:
                raise ValueError(
                    f"{self.name}, replaced in: expected years before the last of the study, {years}; "
                    f"got {self.replaced_in[-1]}"
                )
            return self.replaced_in
        return () if self.life_years is None else tuple(range(self.life_years, years, self.life_years))


@dataclass(frozen=True, slots=True)
class Upkeep:
    """A yearly cost at today's prices, in minor units, from `first_year` to `last_year` or the end of the study.

    An amount below zero is yearly income. Prices grow from the base date on, so that the first year's amount has
    grown already. Raises `ValueError` for years that make no sense.
    """

    name: str
    yearly_minor: int
    growth: Growth = _LEVEL
    first_year: int = 1
    last_year: int | None = None

    def __post_init__(self) -> None:
        if abs(self.yearly_minor) >= _LARGEST_MINOR:
            raise ValueError(f"{self.name}: expected an amount that can be meant; got {self.yearly_minor}")
        if self.first_year < 1 or (self.last_year is not None and self.last_year < self.first_year):
            raise ValueError(
                f"{self.name}: expected a first year of 1 or more and a last one not before it; "
                f"got {self.first_year} to {self.last_year}"
            )


@dataclass(frozen=True, slots=True)
class Alternative:
    """One way to go: its parts and its yearly costs."""

    name: str
    parts: tuple[Part, ...] = ()
    upkeep: tuple[Upkeep, ...] = ()


@dataclass(frozen=True, slots=True)
class Row:
    """One payment: at today's prices, in the money of the study, and as its present value, in minor units."""

    kind: RowKind
    name: str
    year: int
    time: Decimal
    today_minor: int
    price_factor: Decimal
    amount_minor: int
    discount_factor: Decimal
    present_minor: int


@dataclass(frozen=True, slots=True)
class LifeCycleCost:
    """The payments of an alternative, in order of kind, name as given and year; totals are sums of them.

    `annual_minor` is the even amount at the end of each year, in the money of the study, that has the same present
    value; `recovery_factor` is what the present value was multiplied by.
    """

    name: str
    terms: DiscountTerms
    rows: tuple[Row, ...]
    recovery_factor: Decimal
    annual_minor: int
    steps: Derivation = field(repr=False, compare=False)

    @property
    def present_minor(self) -> int:
        """The life-cycle cost: the present value of all rows."""
        return sum(row.present_minor for row in self.rows)

    def present_of(self, *kinds: RowKind) -> int:
        """The present value of the rows of these kinds."""
        return sum(row.present_minor for row in self.rows if row.kind in kinds)

    def amounts_by_year(self) -> tuple[int, ...]:
        """What is paid in each year from 0 on, in the money of the study, without discounting."""
        return self._by_year([(row.year, row.amount_minor) for row in self.rows])

    def present_by_year(self) -> tuple[int, ...]:
        """The present value of what is paid in each year from 0 on."""
        return self._by_year([(row.year, row.present_minor) for row in self.rows])

    def row_steps(self, row: Row) -> Derivation:
        """How a row came about."""
        where = f"{row.name}, {KIND_WORDS[row.kind]} of year {row.year}"
        money = self.terms.currency
        growth = float(row.price_factor)
        today, amount, present = (
            float(from_minor(minor, money))
            for minor in (row.today_minor, row.amount_minor, row.present_minor)
        )
        rate = Input(f"{self.terms.money_rate_kind} rate", float(self.terms.money_rate * 100), "percent")
        time = Input("time", float(row.time), "year")
        return (
            Step(
                where, amount, money, f"amount at today's prices x price factor{ROUNDED}",
                (Input("amount at today's prices", today, money), Input("price factor", growth, "ratio")), SOURCE,
            ),
            Step(
                "discount factor", float(row.discount_factor), "ratio",
                f"1 / (1 + {rate.name})^time, rounded half up to 10 places", (rate, time), SOURCE,
            ),
            Step(
                f"present value of {where}", present, money, f"{where} x discount factor{ROUNDED}",
                (Input(where, amount, money), Input("discount factor", float(row.discount_factor), "ratio")), SOURCE,
            ),
        )  # fmt: skip

    def _by_year(self, entries: Iterable[tuple[int, int]]) -> tuple[int, ...]:
        totals = [0] * (self.terms.years + 1)
        for year, minor in entries:
            totals[year] += minor
        return tuple(totals)


def life_cycle_cost(alternative: Alternative, terms: DiscountTerms) -> LifeCycleCost:
    """The life-cycle cost of an alternative over the study period of `terms`.

    The initial cost falls at the base date, replacements and the residual value at the ends of their years, upkeep
    at the ends or the middles of its years.

    Raises `ValueError` for a replacement or an upkeep that starts outside the study, an amount that cannot be meant,
    or prices that need an inflation which is not known.
    """
    rows = sorted(
        [*_rows_of_parts(alternative, terms), *_rows_of_upkeep(alternative, terms)],
        key=lambda row: KINDS.index(row.kind),
    )
    present = sum(row.present_minor for row in rows)
    recovery = terms.recovery_factor()
    annual = _rounded(present, recovery)
    return LifeCycleCost(
        alternative.name, terms, tuple(rows), recovery, annual, _steps(rows, terms, recovery, annual)
    )


def _rows_of_parts(alternative: Alternative, terms: DiscountTerms) -> Iterator[Row]:
    for part in alternative.parts:
        replaced = part.replaced(terms.years)
        yield _row("initial", part.name, 0, Decimal(0), part.initial_minor, part.growth, terms)
        for year in replaced:
            time = Decimal(year)
            yield _row("replacement", part.name, year, time, part.price_of_another_minor, part.growth, terms)
        left = _residual_today(part, replaced, terms.years)
        if left:
            end = Decimal(terms.years)
            yield _row("residual", part.name, terms.years, end, -left, part.growth, terms)


def _residual_today(part: Part, replaced: tuple[int, ...], years: int) -> int:
    """What the part is worth at the end of the study, in minor units at today's prices."""
    if isinstance(part.residual, int):
        return part.residual
    if part.residual == "none" or part.life_years is None:
        return 0
    unused = max(part.life_years - (years - (replaced[-1] if replaced else 0)), 0)
    cost = part.price_of_another_minor if replaced else part.initial_minor
    return (2 * cost * unused + part.life_years) // (2 * part.life_years)


def _rows_of_upkeep(alternative: Alternative, terms: DiscountTerms) -> Iterator[Row]:
    for upkeep in alternative.upkeep:
        last = terms.years if upkeep.last_year is None else upkeep.last_year
        if max(last, upkeep.first_year) > terms.years:
            raise ValueError(f"{upkeep.name}: expected years within the study of {terms.years} years")
        for year in range(upkeep.first_year, last + 1):
            yield _row(
                "upkeep", upkeep.name, year, terms.due(year), upkeep.yearly_minor, upkeep.growth, terms
            )


def _row(
    kind: RowKind, name: str, year: int, time: Decimal, today_minor: int, growth: Growth, terms: DiscountTerms
) -> Row:
    price, discount = terms.price_factor(growth, time), terms.present_factor(time)
    amount = _rounded(today_minor, price)
    present = _rounded(amount, discount)
    if max(abs(amount), abs(present)) >= _LARGEST_MINOR:
        raise ValueError(f"{name}: expected prices that do not grow past what a club could pay")
    return Row(kind, name, year, time, today_minor, price, amount, discount, present)


def _rounded(minor: int, factor: Decimal) -> int:
    """Minor units x a factor, rounded half up (away from zero) to the minor unit."""
    with localcontext(_WIDE):
        return int((minor * factor).quantize(Decimal(1), ROUND_HALF_UP))


def _steps(rows: list[Row], terms: DiscountTerms, recovery: Decimal, annual: int) -> Derivation:
    money = terms.currency
    parts = []
    for kind in KINDS:
        of_kind = [row.present_minor for row in rows if row.kind == kind]
        if of_kind:
            name, value = f"present value of {KIND_WORDS[kind]}", float(from_minor(sum(of_kind), money))
            parts.append(Step(name, value, money, f"{len(of_kind)} present values added up", (), SOURCE))
    total = float(from_minor(sum(row.present_minor for row in rows), money))
    rate = Input(f"{terms.money_rate_kind} rate", float(terms.money_rate * 100), "percent")
    inputs = tuple(Input(part.name, part.value, money) for part in parts)
    formula = " + ".join(part.name for part in parts) or "nothing is paid"
    return (
        *terms.steps,
        *parts,
        Step("life-cycle cost", total, money, formula, inputs, SOURCE),
        Step(
            "capital recovery factor", float(recovery), "ratio",
            "1 / years" if terms.money_rate == 0
            else f"{rate.name} / (1 - (1 + {rate.name})^-years), rounded half up to 10 places",
            (rate, Input("years", float(terms.years), "year")), SOURCE,
        ),
        Step(
            "annual equivalent", float(from_minor(annual, money)), money,
            f"life-cycle cost x capital recovery factor{ROUNDED}",
            (Input("life-cycle cost", total, money), Input("capital recovery factor", float(recovery), "ratio")),
            SOURCE,
        ),
    )  # fmt: skip
