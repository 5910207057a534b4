"""Hourly rates built up from their parts: a person-hour of a crew, and an hour of an owned machine."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from swardcost_model.price_terms import Grade, LaborBuildUp, MachineBuildUp, PercentOfWages
from swardcost_model.values import from_minor, to_minor

from swardcost_api.engine.derivation import Derivation, Input, Step
from swardcost_api.engine.pricing.allocation import split_by_weights
from swardcost_api.engine.pricing.burden import (
    BurdenItem,
    HourItem,
    PercentItem,
    burden_on_wages,
    own_staff_cost,
)
from swardcost_api.engine.pricing.labor import HoursWorked, WeekPay, week_pay
from swardcost_api.engine.pricing.machines import HourlyElements, Operating, Owning, Tires, hourly_elements

CREW = "common practice: the crew's cost in its usual week over its person-hours"
OWNED = "common practice: what is owned is paid for; only running it costs new money"
_ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class Element:
    """One part of an hourly rate: what it is, and its amount for an hour."""

    name: str
    amount: Decimal


@dataclass(frozen=True, slots=True)
class HourlyRate:
    """What an hour costs in full, and in cash beyond the operating budget. The elements sum to `full` exactly."""

    full: Decimal
    cash: Decimal
    elements: tuple[Element, ...]
    steps: Derivation = field(repr=False, compare=False)


def labor_rate(build_up: LaborBuildUp, currency: str) -> HourlyRate:
    """The cost of a person-hour of a crew in its usual week: wages, premium and overtime pay, fringe and burden.

    ::

        hourly rate = sum over the grades of people x (pay of the week + burden) / person-hours of the week
        cash rate   = the same, for own staff without what the operating budget pays already

    Both are rounded half up to the minor unit. The elements are split from the hourly rate in proportion to
    their cost in the week, by largest remainder.

    Limits: burden of a week rests on the wages earned before it in the year, so a wage base reached later is not
    seen. Own staff's regular hours count as budgeted in full: what they leave undone meanwhile is not priced.

    Raises `ValueError` for a week or a burden that makes no sense, such as a wage base not known for the year.

    References
    ----------
    29 CFR 778 and IRS Publication 15, as in `week_pay` and `burden_on_wages`; common practice for the mean.
    """
    items = [_burden_item(one) for one in build_up.burden]
    costs: dict[str, int] = {}
    steps: list[Step] = []
    full = cash = 0
    hours = _ZERO
    for grade in build_up.grades:
        week = _GradeWeek.of(grade, build_up, items, currency)
        full += grade.people * week.full_minor
        cash += grade.people * week.cash_minor
        hours += grade.people * grade.hours_a_week
        for name, minor in week.elements:
            costs[name] = costs.get(name, 0) + grade.people * minor
        steps += week.steps
    rates = []
    for name, minor in (("hourly rate", full), ("cash rate", cash)):
        rates.append(to_minor(from_minor(minor, currency) / hours, currency))
        steps.append(_rate_step(name, minor, hours, rates[-1], currency))
    named = {name: minor for name, minor in costs.items() if minor}
    parts = split_by_weights(rates[0], list(named.values())) if named else []
    elements = tuple(
        Element(name, from_minor(part, currency)) for name, part in zip(named, parts, strict=True)
    )
    return HourlyRate(from_minor(rates[0], currency), from_minor(rates[1], currency), elements, tuple(steps))


@dataclass(frozen=True, slots=True)
class _GradeWeek:
    """What one person of a grade costs in the usual week, in minor units; the elements sum to the full cost."""

    full_minor: int
    cash_minor: int
    elements: tuple[tuple[str, int], ...]
    steps: Derivation

    @classmethod
    def of(
        cls, grade: Grade, build_up: LaborBuildUp, items: Sequence[BurdenItem], currency: str
    ) -> "_GradeWeek":
        try:
            pay = week_pay(worked=_worked(grade), currency=currency)
            burden = burden_on_wages(
                wages=from_minor(pay.wages_minor, currency), hours=pay.hours, earned_before=grade.earned_before,
                year=build_up.year, items=items, currency=currency,
            )  # fmt: skip
            cash, cash_steps = _cash(pay, grade, build_up, items)
        except ValueError as error:
            raise ValueError(f"{grade.name}: {error}") from None
        elements = (
            ("wages", pay.straight_minor), ("premium pay", pay.premium_minor), ("overtime pay", pay.overtime_minor),
            ("fringe benefits", pay.fringe_minor), *((line.name, line.amount_minor) for line in burden.lines),
        )  # fmt: skip
        full = pay.total_minor + burden.total_minor
        steps = _named(grade.name, (*pay.steps, *burden.steps, *cash_steps))
        return cls(full, full if cash is None else cash, elements, steps)


def _worked(grade: Grade) -> list[HoursWorked]:
    premium = [
        HoursWorked(grade.wage, one.hours, grade.fringe_per_hour, one.multiplier, rule=one.rule)
        for one in grade.premium
    ]
    regular = grade.hours_a_week - sum((one.hours for one in grade.premium), _ZERO)
    return ([HoursWorked(grade.wage, regular, grade.fringe_per_hour)] if regular else []) + premium


def _cash(
    pay: WeekPay, grade: Grade, build_up: LaborBuildUp, items: Sequence[BurdenItem]
) -> tuple[int | None, Derivation]:
    """What own staff costs beyond the operating budget; `None` for people hired for the work."""
    if not build_up.own_staff:
        return None, ()
    cost = own_staff_cost(
        pay=pay, hours_in_budget=pay.hours - pay.overtime_hours, earned_before=grade.earned_before,
        year=build_up.year, items=items,
    )  # fmt: skip
    return cost.cash_minor, cost.steps


def _named(grade: str, steps: Derivation) -> Derivation:
    """The steps of one grade, told apart from those of others by the grade's name."""
    return tuple(
        Step(
            f"{grade}: {step.name}", step.value, step.unit, step.formula, step.inputs, step.source
        )
        for step in steps
    )  # fmt: skip


def _rate_step(name: str, minor: int, hours: Decimal, rate_minor: int, currency: str) -> Step:
    cost = "cost of the crew's week" if name == "hourly rate" else "cash cost of the crew's week"
    return Step(
        name, float(from_minor(rate_minor, currency)), f"{currency} per hour",
        f"{cost} / person-hours of the week, rounded half up to the minor unit",
        (
            Input(cost, float(from_minor(minor, currency)), currency),
            Input("person-hours of the week", float(hours), "hour"),
        ),
        CREW,
    )  # fmt: skip


def _burden_item(item: object) -> BurdenItem:
    if isinstance(item, PercentOfWages):
        bases = {base.year: base.wages for base in item.bases} or None
        return PercentItem(item.name, item.percent, bases, item.source)
    name, per_hour, source = (getattr(item, key) for key in ("name", "per_hour", "source"))
    return HourItem(name, per_hour, source)


def machine_rate(build_up: MachineBuildUp, currency: str) -> HourlyRate:
    """The cost of an hour of an owned machine, without its operator: owning and operating.

    ::

        hourly rate = depreciation + cost of money + fuel + filters, oil and grease + tires + repair
        cash rate   = the same without depreciation and cost of money

    Elements and limits are those of `hourly_elements`; a machine without an engine has no fuel.

    Raises `ValueError` as `hourly_elements`.

    References
    ----------
    USACE EP 1110-1-8, Construction Equipment Ownership and Operating Expense Schedule, July 2003, chapter 2.
    """
    tires = build_up.tires
    runs = build_up.engine != "none"
    elements = hourly_elements(
        owning=Owning(
            build_up.value, build_up.life_hours, build_up.hours_a_year, build_up.salvage_percent,
            build_up.money_percent_a_year, tires.cost if tires else _ZERO, tires.price_index if tires else Decimal(1),
        ),
        operating=Operating(
            "gasoline" if build_up.engine == "gasoline" else "diesel", build_up.power_hp if runs else _ZERO,
            build_up.load, build_up.fuel_price_per_gallon, build_up.service_share, build_up.repair_factor,
            Tires(tires.wear_factor, tires.life_hours) if tires else None,
        ),
        currency=currency,
    )  # fmt: skip
    cash = from_minor(elements.operating_minor, currency)
    step = Step(
        "cash rate", float(cash), f"{currency} per hour", "hourly rate - depreciation - cost of money",
        tuple(
            Input(name, float(from_minor(minor, currency)), f"{currency} per hour")
            for name, minor in (
                ("hourly rate", elements.hour_minor), ("depreciation", elements.depreciation_minor),
                ("cost of money", elements.cost_of_money_minor),
            )
        ),
        OWNED,
    )  # fmt: skip
    return HourlyRate(
        from_minor(elements.hour_minor, currency), cash, _machine_elements(elements), (*elements.steps, step)
    )


def _machine_elements(elements: HourlyElements) -> tuple[Element, ...]:
    parts = (
        ("depreciation", elements.depreciation_minor), ("cost of money", elements.cost_of_money_minor),
        ("fuel", elements.fuel_minor), ("filters, oil and grease", elements.filters_oil_grease_minor),
        ("tire wear", elements.tire_wear_minor), ("tire repair", elements.tire_repair_minor),
        ("repair", elements.repair_minor),
    )  # fmt: skip
    return tuple(Element(name, from_minor(minor, elements.currency)) for name, minor in parts if minor)
