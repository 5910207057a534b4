"""Tables, a chart and derivations of an invented packet."""

import json
from collections.abc import Sequence
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import altair as alt
from swardcost_api.charts import vega_lite_of
from swardcost_api.packets.document import (
    Cell,
    Chart,
    Column,
    Derivation,
    Given,
    Kind,
    Row,
    Step,
    Table,
    Weight,
)
from swardcost_api.packets.relations import Product, Rows, SameAs
from swardcost_api.packets.values import Measured, MonthOf, Share, UnitPrice
from swardcost_model.values import Money

GROUPS = ("Greens", "Tees", "Fairways", "Bunkers", "Ponds")


def money(amount: str | Decimal) -> Money:
    """An amount in US dollars."""
    return Money.model_construct(
        amount=Decimal(amount).quantize(Decimal("0.01"), ROUND_HALF_UP), currency="USD"
    )


def derivations(count: int, names: Sequence[str]) -> list[Derivation]:
    """Derivations of two steps each, the first from an area and a depth."""
    made = []
    for number in range(1, count + 1):
        area, depth = Decimal(900 + 13 * number), Decimal("0.0064")
        mass = (area * depth * Decimal("1.6") / Decimal("0.90718474")).quantize(
            Decimal("0.01"), ROUND_HALF_UP
        )
        made.append(
            Derivation(
                f"line-{number}",
                names[number % len(names)],
                (
                    Step(
                        "Volume to spread",
                        Measured((area * depth).quantize(Decimal("0.001")), "cubic_meter"),
                        "V = A · d",
                        (
                            Given("A, area", Measured(area, "square_meter")),
                            Given("d, depth", Measured(depth, "meter")),
                        ),
                        "Geometry",
                    ),
                    Step(
                        "Mass to buy",
                        Measured(mass, "short_ton", True),
                        "m = V · density, rounded to 0.01",
                        (
                            Given("V", Measured((area * depth).quantize(Decimal("0.001")), "cubic_meter")),
                            Given("density", Measured(Decimal(1600), "kilogram_per_cubic_meter")),
                            Given("price", UnitPrice(Decimal("38.5"), "USD", "short_ton")),
                            Given("quoted on", date(2026, 2, 3)),
                        ),
                        f"Edition of March 2026, {names[number % len(names)]}",
                    ),
                ),
            )
        )
    return made


def lines_table(count: int, names: Sequence[str], cited: int) -> Table:
    """Itemised lines in groups, each group with its subtotal, and their total."""
    rows, subtotals = [], []
    for at, group in enumerate(GROUPS):
        rows.append(Row(f"head-{at}", (Cell(group), *[Cell()] * 5), Weight.HEADING))
        keys, amounts = [], Decimal()
        for number in range(at, count, len(GROUPS)):
            quantity = Decimal(12_50 + 137 * number).scaleb(-2)
            price = Decimal(38_500 + 1_275 * (number % 7)).scaleb(-3)
            amount = money(quantity * price)
            unit = ("short_ton", "hour", "square_foot", "lump_sum")[number % 4]
            why = f"line-{number % cited + 1}"
            keys.append(f"line-{number}")
            amounts += amount.amount
            rows.append(
                Row(
                    keys[-1],
                    (
                        Cell(names[number % len(names)]),
                        Cell(names[(number + 3) % len(names)][:60]),
                        Cell(f"1520-{number:02d}"),
                        Cell(Measured(quantity, unit, True), why),
                        Cell(UnitPrice(price, "USD", unit)),
                        Cell(amount, why, Product(("quantity", "price"))),
                    ),
                    note="The price is older than ninety days." if number % 17 == 5 else "",
                )
            )
        subtotals.append(f"sum-{at}")
        rows.append(_sum(subtotals[-1], f"{group}, together", amounts, Rows(tuple(keys)), Weight.SUBTOTAL))
    total = sum((row.cells[5].value.amount for row in rows if row.weight is Weight.SUBTOTAL), Decimal())  # type: ignore[union-attr]
    rows.append(_sum("total", "Direct cost", total, Rows(tuple(subtotals)), Weight.TOTAL))
    columns = (
        Column("item", "Item"),
        Column("vendor", "Vendor"),
        Column("account", "Account"),
        Column("quantity", "Quantity", Kind.QUANTITY),
        Column("price", "Unit price", Kind.UNIT_PRICE),
        Column("amount", "Amount", Kind.MONEY),
    )
    return Table(
        "lines", "Itemised direct cost", columns, tuple(rows), ("Totals are sums of printed amounts.",)
    )


def _sum(key: str, label: str, amount: Decimal, relation: Rows, weight: Weight) -> Row:
    return Row(key, (Cell(label), *[Cell()] * 4, Cell(money(amount), computed=relation)), weight)


def summary_table(direct: Money) -> Table:
    """Direct cost, markups and the total."""
    rates = {"tax": ("Sales tax", "7.25"), "contingency": ("Contingency", "10")}
    rows, total = (
        [
            Row(
                "direct",
                (
                    Cell("Direct cost"),
                    Cell(),
                    Cell(),
                    Cell(direct, computed=SameAs("lines", "total", "amount")),
                ),
            )
        ],
        direct.amount,
    )
    for key, (label, rate) in rates.items():
        amount = money(direct.amount * Decimal(rate) / 100)
        total += amount.amount
        rows.append(
            Row(
                key,
                (
                    Cell(label),
                    Cell(direct, computed=SameAs("lines", "total", "amount")),
                    Cell(Share(Decimal(rate))),
                    Cell(amount, "line-1", Product(("base", "rate"))),
                ),
            )
        )
    rows.append(
        Row(
            "total",
            (
                Cell("Total"),
                Cell(),
                Cell(),
                Cell(money(total), "line-2", Rows(("direct", *rates))),
            ),
            Weight.TOTAL,
        )
    )
    columns = (
        Column("label", "Cost"),
        Column("base", "Base", Kind.MONEY),
        Column("rate", "Rate", Kind.PERCENT),
        Column("amount", "Amount", Kind.MONEY),
    )
    return Table("summary", "From direct cost to total", columns, tuple(rows))


def areas_table(names: Sequence[str], count: int = 8) -> Table:
    """Areas in square meters, which a reader of US customary units gets in square feet or acres."""
    rows, total = [], Decimal()
    for number in range(count):
        area = Decimal(412_0 + 77 * number).scaleb(-1)
        total += area
        rows.append(
            Row(
                f"area-{number}",
                (
                    Cell(names[number % len(names)]),
                    Cell(Measured(area, "square_meter"), f"line-{number + 1}"),
                    Cell(number + 1),
                    Cell(date(2026, 8, 3) + timedelta(days=number)),
                    Cell(MonthOf(2026, 8)),
                ),
            )
        )
    rows.append(
        Row(
            "total",
            (
                Cell("All areas"),
                Cell(Measured(total, "square_meter"), computed=Rows(tuple(row.key for row in rows))),
                Cell(sum(range(1, count + 1)), computed=Rows(tuple(row.key for row in rows))),
                Cell(),
                Cell(),
            ),
            Weight.TOTAL,
        )
    )
    columns = (
        Column("area", "Area"),
        Column("size", "Size", Kind.QUANTITY),
        Column("passes", "Passes", Kind.COUNT),
        Column("from", "From", Kind.DATE),
        Column("month", "Month", Kind.MONTH),
    )
    return Table("areas", "Areas that are worked on", columns, tuple(rows))


def group_chart(lines: Table, identity: str = "by-group") -> Chart:
    """Direct cost by group as bars from zero."""
    rows = [row for row in lines.rows if row.weight is Weight.SUBTOTAL]
    points: list[dict[str, Any]] = [
        {"group": row.cells[0].value, "amount": float(row.cells[5].value.amount)}  # type: ignore[union-attr]
        for row in rows
    ]
    drawn = (
        alt.Chart(alt.InlineData(values=points), title="Direct cost by group")
        .mark_bar(color="#1f6a41")
        .encode(
            x=alt.X("amount:Q", title="USD", axis=alt.Axis(format="~s", tickCount=5)),
            y=alt.Y("group:N", title=None, sort=None),
        )
    )
    data = Table(
        f"{identity}-data",
        "Direct cost by group",
        (Column("group", "Group"), Column("amount", "Amount", Kind.MONEY)),
        tuple(
            Row(
                row.key,
                (
                    Cell(row.cells[0].value),
                    Cell(row.cells[5].value, computed=SameAs("lines", row.key, "amount")),
                ),
            )
            for row in rows
        ),
    )
    highest = max(points, key=lambda point: point["amount"])
    return Chart(
        identity,
        "Direct cost by group",
        json.dumps(json.loads(vega_lite_of(drawn)), sort_keys=True),
        f"Bars of the direct cost of {len(points)} groups; the longest is {highest['group']}.",
        data,
        "bar",
    )
