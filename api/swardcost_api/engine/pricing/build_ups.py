"""Rates by the hour that are built up: what an hour of a crew's person, or of an owned machine, costs and why."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from decimal import ROUND_HALF_UP, Decimal

from swardcost_model.price_terms import AmountByHour, Grade, LaborBuildUp, MachineBuildUp, PercentOfWages
from swardcost_model.values import from_micros, from_minor, to_micros

from swardcost_api.engine.derivation import Derivation, Input, Step
from swardcost_api.engine.pricing.burden import (
    BurdenItem,
    BurdenLine,
    HourItem,
    PercentItem,
    burden_on_wages,
    own_staff_cost,
)
from swardcost_api.engine.pricing.labor import HoursWorked, WeekPay, week_pay
from swardcost_api.engine.pricing.lines import BEYOND
from swardcost_api.engine.pricing.machines import METHOD, Operating, Owning, Tires, hourly_elements

_PLACES = Decimal("0.0001")
_ROUNDED = f", rounded half up to {_PLACES}"
_OWN = "regular hours of own staff are in the operating budget already; avoidable cost, cost accounting texts"
_HIRED = "nothing of hired staff is in the operating budget"
_OWNED = "an owned machine is paid for already; only a running one costs new money"


@dataclass(frozen=True, slots=True)
class RateElement:
    """One element of an hourly rate, per hour in the major unit: in full, and the part that is new money."""

    name: str
    amount: Decimal
    cash: Decimal


@dataclass(frozen=True, slots=True)
class HourlyRate:
    """What an hour costs, in the major unit of the currency: `full`, and `cash`, which the budget does not hold yet.

    Both are the sums of their elements.
    """

    full: Decimal
    cash: Decimal
    elements: tuple[RateElement, ...]
    currency: str
    steps: Derivation = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class _Part:
    """What one person's usual week costs under one head, and how much of it is in the budget; minor units."""

    name: str
    label: str
    minor: int
    budgeted_minor: int


@dataclass(frozen=True, slots=True)
class _Week:
    """A grade's usual week: one person's cost by head, in an order that is the same for every grade."""

    grade: Grade
    parts: tuple[_Part, ...]
    steps: Derivation


def labor_rate(build_up: LaborBuildUp, currency: str) -> HourlyRate:
    """What a person-hour of a crew costs, averaged over its usual week.

    ::

        person-hours = people x hours a week, summed over the grades
        element of an hour = people x cost of the week under that head, summed over the grades / person-hours
        hourly rate = straight time + premium pay + overtime pay + fringe benefits + burden, item by item

    Every amount of a person's week is rounded half up to the minor unit, every element of an hour to 0.0001 of
    the major unit; the rate is the sum of its elements.

    Of own staff, cash is what overtime hours and premium pay cost with their burden; the other hours of the
    week, at most 40, are in the operating budget. Of hired staff all of it is cash.

    Limits: those of `week_pay` and `burden_on_wages`. The week is taken as the first one after what its people
    have earned before; a wage base that is reached later in the work is not seen.

    Raises `ValueError` for a wage base that is not known for the year, or figures that make no sense.

    References
    ----------
    29 CFR 778 (overtime and premium pay), 29 CFR 5.32 (fringe benefits), IRS Publication 15 (payroll taxes);
    the average over a crew's hours is common practice of estimating.
    """
    weeks = [_week(grade, build_up, currency) for grade in build_up.grades]
    steps = [step for week in weeks for step in week.steps]
    person_hours, step = _person_hours(weeks)
    steps.append(step)
    elements, cash_inputs = [], []
    for place, part in enumerate(weeks[0].parts):
        element, taken = _element(part, [week.parts[place] for week in weeks], weeks, person_hours, currency)
        elements.append(element)
        steps += taken
        cash_inputs.append(Input(taken[-1].name, taken[-1].value, taken[-1].unit))
    inputs = [
        Input(_an_hour(part.label), float(element.amount), f"{currency} per hour")
        for part, element in zip(weeks[0].parts, elements, strict=True)
    ]
    steps.append(_sum("hourly rate", inputs, "arithmetic"))
    steps.append(_sum("hourly rate in cash", cash_inputs, _OWN if build_up.own_staff else _HIRED))
    return _rate(elements, currency, steps)


def _week(grade: Grade, build_up: LaborBuildUp, currency: str) -> _Week:
    pay = week_pay(worked=_worked(grade), currency=currency)
    items = [_item(one) for one in build_up.burden]
    if not build_up.own_staff:
        burden = burden_on_wages(
            wages=from_minor(pay.wages_minor, currency), hours=pay.hours, earned_before=grade.earned_before,
            year=build_up.year, items=items, currency=currency,
        )  # fmt: skip
        parts = _parts(pay, 0, 0, burden.lines, [0] * len(items))
        return _Week(grade, parts, _of_grade(grade, "", (*pay.steps, *burden.steps)))
    cost = own_staff_cost(
        pay=pay, hours_in_budget=pay.hours - pay.overtime_hours, earned_before=grade.earned_before,
        year=build_up.year, items=items,
    )  # fmt: skip
    kept = [line.amount_minor for line in cost.burden_in_budget.lines]
    parts = _parts(pay, cost.straight_in_budget_minor, cost.fringe_in_budget_minor, cost.burden.lines, kept)
    steps = (
        *_of_grade(grade, "", (*pay.steps, *cost.burden.steps)),
        *_of_grade(grade, " in the budget", cost.burden_in_budget.steps),
        *_of_grade(grade, "", cost.steps),
    )
    return _Week(grade, parts, steps)


def _worked(grade: Grade) -> list[HoursWorked]:
    """The hours of the week: those at the base wage, then the premium hours by their rules."""
    premium = [
        HoursWorked(grade.wage, one.hours, grade.fringe_per_hour, one.multiplier, rule=one.rule)
        for one in grade.premium
    ]
    plain = grade.hours_a_week - sum((one.hours for one in premium), Decimal(0))
    return [HoursWorked(grade.wage, plain, grade.fringe_per_hour), *premium]


def _item(one: PercentOfWages | AmountByHour) -> BurdenItem:
    if isinstance(one, AmountByHour):
        return HourItem(one.name, one.per_hour, one.source)
    bases = {base.year: base.wages for base in one.bases}
    return PercentItem(one.name, one.percent, bases or None, one.source)


def _parts(
    pay: WeekPay, straight_budgeted: int, fringe_budgeted: int, lines: Sequence[BurdenLine], kept: Sequence[int]
) -> tuple[_Part, ...]:  # fmt: skip
    return (
        _Part("Straight time", "straight time", pay.straight_minor, straight_budgeted),
        _Part("Premium pay", "premium pay", pay.premium_minor, 0),
        _Part("Overtime pay", "overtime pay", pay.overtime_minor, 0),
        _Part("Fringe benefits", "fringe benefits", pay.fringe_minor, fringe_budgeted),
        *(
            _Part(line.name, f"burden of {line.name}", line.amount_minor, budgeted)
            for line, budgeted in zip(lines, kept, strict=True)
        ),
    )


def _of_grade(grade: Grade, addition: str, steps: Iterable[Step]) -> Derivation:
    """The steps of one person's week, named for the grade."""
    return tuple(replace(step, name=f"{grade.name}: {step.name}{addition}") for step in steps)


def _person_hours(weeks: Sequence[_Week]) -> tuple[Decimal, Step]:
    hours = sum((week.grade.people * week.grade.hours_a_week for week in weeks), Decimal(0))
    terms, inputs = [], []
    for number, week in enumerate(weeks, 1):
        terms.append(f"people [{number}] x hours [{number}]")
        inputs += [_people(number, week), Input(f"hours [{number}]", float(week.grade.hours_a_week), "hour")]
    names = ", ".join(f"[{number}] {week.grade.name}" for number, week in enumerate(weeks, 1))
    return hours, Step(
        "person-hours", float(hours), "hour", " + ".join(terms), tuple(inputs), f"the crew: {names}"
    )


def _people(number: int, week: _Week) -> Input:
    return Input(f"people [{number}]", float(week.grade.people), "each")


def _element(
    part: _Part, of_grades: Sequence[_Part], weeks: Sequence[_Week], person_hours: Decimal, currency: str
) -> tuple[RateElement, list[Step]]:
    """One element of the hour over all grades, and the steps to it; the last step is that of its cash."""
    people = [week.grade.people for week in weeks]
    in_full = sum(count * one.minor for count, one in zip(people, of_grades, strict=True))
    new = in_full - sum(count * one.budgeted_minor for count, one in zip(people, of_grades, strict=True))
    inputs, terms, new_terms, new_inputs = [], [], [], []
    for number, (week, one) in enumerate(zip(weeks, of_grades, strict=True), 1):
        amount, budgeted = f"{part.label} [{number}]", f"in the budget [{number}]"
        here = [_people(number, week), Input(amount, float(from_minor(one.minor, currency)), currency)]
        terms.append(f"people [{number}] x {amount}")
        new_terms.append(f"people [{number}] x ({amount} - {budgeted})")
        inputs += here
        new_inputs += [*here, Input(budgeted, float(from_minor(one.budgeted_minor, currency)), currency)]
    amount_an_hour, steps = _by_the_hour(part.label, terms, inputs, in_full, person_hours, currency)
    if new == in_full:
        return RateElement(part.name, amount_an_hour, amount_an_hour), steps
    cash, more = _by_the_hour(f"cash: {part.label}", new_terms, new_inputs, new, person_hours, currency)
    return RateElement(part.name, amount_an_hour, cash), steps + more


def _by_the_hour(
    label: str, terms: Sequence[str], inputs: Sequence[Input], minor: int, person_hours: Decimal, currency: str
) -> tuple[Decimal, list[Step]]:  # fmt: skip
    """What the crew's week costs under a head, and by the hour."""
    week, of_week = from_minor(minor, currency), f"{label} of the crew"
    hour = (week / person_hours).quantize(_PLACES, ROUND_HALF_UP)
    return hour, [
        Step(of_week, float(week), currency, " + ".join(terms), tuple(inputs), "arithmetic"),
        Step(
            _an_hour(label), float(hour), f"{currency} per hour", f"{of_week} / person-hours{_ROUNDED}",
            (Input(of_week, float(week), currency), Input("person-hours", float(person_hours), "hour")),
            "arithmetic",
        ),
    ]  # fmt: skip


def _an_hour(label: str) -> str:
    return f"{label} an hour"


def _sum(name: str, inputs: Sequence[Input], source: str) -> Step:
    total = float(sum(Decimal(str(one.value)) for one in inputs))
    return Step(name, total, inputs[0].unit, " + ".join(one.name for one in inputs), tuple(inputs), source)


def _rate(elements: Iterable[RateElement], currency: str, steps: Iterable[Step]) -> HourlyRate:
    """The rate that is the sum of its elements, each without trailing zeros past the cents."""
    printed = tuple(RateElement(one.name, _printed(one.amount), _printed(one.cash)) for one in elements)
    full = sum((one.amount for one in printed), Decimal(0))
    cash = sum((one.cash for one in printed), Decimal(0))
    if full >= BEYOND:
        raise ValueError(f"hourly rate: expected less than 1,000,000,000,000; got {full}")
    return HourlyRate(_printed(full), _printed(cash), printed, currency, tuple(steps))


def _printed(amount: Decimal) -> Decimal:
    return from_micros(to_micros(amount))


def machine_rate(build_up: MachineBuildUp, currency: str) -> HourlyRate:
    """What an hour of an owned machine at work costs, without its operator: owning and operating, element by element.

    Every element is rounded half up to the minor unit and the rate is their sum. Cash are the operating
    elements alone (fuel, servicing, tires, repair): owning is paid already.

    Limits: those of `hourly_elements`; labor and prices of parts are taken at the level of its tables.

    Raises `ValueError` for figures that make no sense, such as a life of less than a year.

    References
    ----------
    USACE EP 1110-1-8, Construction Equipment Ownership and Operating Expense Schedule, July 2003, chapter 2.
    """
    tires = build_up.tires
    owning = Owning(
        value=build_up.value, life_h=build_up.life_hours, hours_per_year=build_up.hours_a_year,
        salvage_percent=build_up.salvage_percent, money_percent_per_year=build_up.money_percent_a_year,
    )  # fmt: skip
    if tires is not None:
        owning = replace(owning, tire_cost=tires.cost, tire_index=tires.price_index)
    found = hourly_elements(
        owning=owning,
        operating=Operating(
            engine=build_up.engine, power_hp=build_up.power_hp, load=build_up.load,
            fuel_price_per_gallon=build_up.fuel_price_per_gallon, service_share=build_up.service_share,
            repair_factor=build_up.repair_factor,
            tires=None if tires is None else Tires(tires.wear_factor, tires.life_hours),
        ),
        currency=currency,
    )  # fmt: skip
    owned = {"Depreciation": found.depreciation_minor, "Cost of money": found.cost_of_money_minor}
    running = {
        "Fuel": found.fuel_minor, "Filters, oil and grease": found.filters_oil_grease_minor,
        "Tire wear": found.tire_wear_minor, "Tire repair": found.tire_repair_minor, "Repair": found.repair_minor,
    }  # fmt: skip
    elements = [
        *(RateElement(name, from_minor(minor, currency), Decimal(0)) for name, minor in owned.items()),
        *(RateElement(name, *[from_minor(minor, currency)] * 2) for name, minor in running.items()),
    ]
    inputs = [
        Input(name.lower(), float(from_minor(minor, currency)), f"{currency} per hour")
        for name, minor in running.items()
    ]
    cash = _sum("hourly rate in cash", inputs, f"{METHOD}; {_OWNED}")
    return _rate(elements, currency, (*found.steps, cash))
