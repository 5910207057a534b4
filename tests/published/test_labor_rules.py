"""Labor against published rules and examples; the source stands beside each check."""

from decimal import Decimal

import pytest
from swardcost_api.engine.pricing.burden import PercentItem, burden_on_wages
from swardcost_api.engine.pricing.labor import HoursWorked, PayPeriod, WeekPay, rate_of_salary, week_pay

SOCIAL_SECURITY = PercentItem(
    "social security", Decimal("6.2"), {2024: Decimal(168_600)}, "IRS Publication 15, 2024"
)
MEDICARE = PercentItem("Medicare", Decimal("1.45"), None, "IRS Publication 15, 2024")
UNEMPLOYMENT = PercentItem(
    "federal unemployment", Decimal(6), {2024: Decimal(7_000)}, "IRS Publication 15, 2024"
)


def pay(*hours_at: tuple[str, str], other: str = "0") -> WeekPay:
    """Pay of (hours, rate) pairs and other earnings."""
    worked = [HoursWorked(Decimal(rate), Decimal(hours)) for hours, rate in hours_at]
    return week_pay(worked=worked, currency="USD", other_earnings=Decimal(other))


@pytest.mark.parametrize(("rate", "total"), [("12", 588_00), ("6", 294_00)])
def test_one_hourly_rate(rate: str, total: int) -> None:
    """29 CFR 778.110(a), texts of 2011 and 1981: 46 hours at 12.00 are 588.00, at 6.00 294.00."""
    assert pay(("46", rate)).total_minor == total


def test_a_bonus_is_part_of_the_regular_rate() -> None:
    """29 CFR 778.110(b), 2011: 46 hours at 12.00 and a bonus of 46 are 13.00 an hour and 637.00."""
    found = pay(("46", "12"), other="46")
    assert (found.regular_rate, found.total_minor) == (Decimal(13), 637_00)


def test_two_rates_in_a_week() -> None:
    """29 CFR 778.115, example of a newspaper column on DOL Fact Sheet 23: 30 h at 10, 15 h at 12; 506.67."""
    found = pay(("30", "10"), ("15", "12"))
    assert (found.straight_minor, found.total_minor) == (480_00, 506_67)
    assert float(found.regular_rate) == pytest.approx(10.667, abs=5e-4)


def test_forty_four_hours_at_eight() -> None:
    """US DOL Handy Reference Guide to the Fair Labor Standards Act: 44 h at 8.00 are 368.00."""
    assert pay(("44", "8")).total_minor == 368_00


def test_piece_work() -> None:
    """US DOL Handy Reference Guide: 315 by the piece in 45 hours are 7.00 an hour, pay 332.50."""
    found = pay(("45", "0"), other="315")
    assert (found.regular_rate, found.total_minor) == (Decimal(7), 332_50)


def test_piece_work_with_waiting_time() -> None:
    """29 CFR 778.111(a), 1981: 245.50 by the piece and 4 h waiting at 5.00 in 50 hours divide to 5.31 an hour;
    half of it for 10 hours, recomputed, is 26.55."""
    found = pay(("46", "0"), ("4", "5"), other="245.50")
    assert (found.regular_rate, found.overtime_minor) == (Decimal("5.31"), 26_55)


@pytest.mark.parametrize(
    ("hours", "total"), [("40", 600_00), ("37.5", 600_00), ("50", 660_00), ("48", 650_00)]
)
def test_a_salary_for_a_fluctuating_week(hours: str, total: int) -> None:
    """29 CFR 778.114: a salary of 600 for all hours; inputs read, totals recomputed."""
    assert pay((hours, "0"), other="600").total_minor == total


@pytest.mark.parametrize(
    ("salary", "period", "hours", "regular", "overtime"),
    [("182.70", "week", 35, "5.22", "7.83"), ("1040", "month", 40, "6", "9"), ("220.80", "week", 40, "5.52", "8.28"),
     ("520", "half_month", 40, "6", "9")],
)  # fmt: skip
def test_the_rate_of_a_salary(
    salary: str, period: PayPeriod, hours: int, regular: str, overtime: str
) -> None:
    """29 CFR 778.113, 1981: 5.22 and 7.83; 1,040 a month x 12 / 52 = 240 a week = 6.00; 5.52. The half month
    follows the rule (x 24 / 52), its figures recomputed."""
    found = rate_of_salary(
        salary=Decimal(salary), period=period, hours_covered_per_week=Decimal(hours), currency="USD"
    )
    assert (found.regular_rate, found.overtime_rate) == (Decimal(regular), Decimal(overtime))


@pytest.mark.parametrize(
    ("wage", "fringe", "total"), [("22", "5", 1_232_00), ("20", "7", 1_232_00), ("24", "3", 1_236_00)]
)
def test_fringe_benefits_are_outside_the_overtime_base(wage: str, fringe: str, total: int) -> None:
    """US DOL Prevailing Wage Resource Book; 29 CFR 5.32: basic rate 22.00 and 5.00 fringe, 44 hours."""
    worked = HoursWorked(Decimal(wage), Decimal(44), Decimal(fringe), base_at_least=Decimal(22))
    assert week_pay(worked=[worked], currency="USD").total_minor == total


def burden(wages: int, *items: PercentItem) -> int:
    return burden_on_wages(
        wages=Decimal(wages), hours=Decimal(2_080), earned_before=Decimal(0), year=2024, items=items,
        currency="USD",
    ).total_minor  # fmt: skip


def test_social_security_and_medicare() -> None:
    """IRS Publication 15, 2024: 6.2 % + 1.45 % = 7.65 %; the 6.2 % end at 168,600, so at most 10,453.20."""
    assert burden(50_000, SOCIAL_SECURITY, MEDICARE) == 3_825_00
    assert burden(168_600, SOCIAL_SECURITY) == burden(500_000, SOCIAL_SECURITY) == 10_453_20
    assert burden(200_000, SOCIAL_SECURITY, MEDICARE) == 10_453_20 + 2_900_00


def test_federal_unemployment_tax() -> None:
    """IRS Publication 15, 2024: 6.0 % of the first 7,000 before credits: at most 420.00."""
    assert burden(6_999, UNEMPLOYMENT) == 419_94
    assert burden(7_000, UNEMPLOYMENT) == burden(70_000, UNEMPLOYMENT) == 420_00


@pytest.mark.parametrize(
    ("percent", "base", "printed"),
    [
        ("6.2", 106_800, 4_385), ("1.45", None, 1_025), ("0.8", 7_000, 56), ("4.5", 18_000, 810),
        ("7.25", None, 5_127), ("0.75", None, 530),
    ],
)  # fmt: skip
def test_burden_on_the_wages_of_a_year(percent: str, base: int | None, printed: int) -> None:
    """A textbook of building estimating, example 7-5 (read in a preview), rounded to whole dollars there: a mason's
    70,720 a year; social security, Medicare, federal and state unemployment tax, two insurances."""
    bases = None if base is None else {2024: Decimal(base)}
    assert round(burden(70_720, PercentItem("item", Decimal(percent), bases)) / 100) == printed
