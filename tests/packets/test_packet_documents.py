"""What a document refuses, and how it turns to the units of its reader."""

from collections.abc import Callable
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from packet_samples import as_composed, sample
from packet_tables import money
from swardcost_api.packets.derived import Derived
from swardcost_api.packets.document import (
    Appendix,
    Cell,
    Column,
    Document,
    Figure,
    Figures,
    Kind,
    Part,
    Row,
    Section,
    Table,
    Weight,
)
from swardcost_api.packets.reader_units import in_reader_units
from swardcost_api.packets.relations import Columns, Product, Ratio, Relation, Rows, SameAs
from swardcost_api.packets.unit_names import converted, in_unit
from swardcost_api.packets.values import Measured, Share, UnitPrice, Value, number_of
from swardcost_model.figures import DerivationStep

BASE = replace(sample(lines=5, explained=8), parts=())


def document(*parts: Part) -> Document:
    return replace(BASE, parts=parts)


def row_of(*cells: Cell) -> Table:
    kinds = {Share: Kind.PERCENT, Measured: Kind.QUANTITY, UnitPrice: Kind.UNIT_PRICE}
    columns = tuple(
        Column(f"c{at}", f"Column {at}", kinds.get(type(cell.value), Kind.MONEY))
        for at, cell in enumerate(cells)
    )
    return Table("one", "One row", columns, (Row("row", cells),))


@pytest.mark.parametrize(
    ("parts", "complaint"),
    [
        ((Section("a", "A", 3),), "skips a level"),
        ((Section("a", "A"), Section("a", "B")), "used twice"),
        ((Section("A b", "A"),), "is no id"),
        ((Figures((Figure("Total", money("1"), "nowhere"),)),), "no derivation"),
        ((row_of(Cell(money("1"), "nowhere")),), "no derivation"),
        ((Table("t", "T", (Column("a", "A"),), (Row("r", ()),)),), "one cell for each column"),
        ((Table("t", "T", (Column("a", "A"),), (Row("r", (Cell("x"),)),) * 2),), "used twice"),
        ((row_of(Cell(money("1"))), Figures((Figure("F", money("2"), None, ("one", "row", "c0")),))), "differs"),
        ((row_of(Cell(money("2")), Cell(money("3")), Cell(money("6"), computed=Columns(("c0", "c1")))),), "printed"),
        ((row_of(Cell(money("2")), Cell(None), Cell(money("2"), computed=Columns(("c0", "c1")))),), "is empty"),
        ((row_of(Cell(money("2")), Cell(Share(Decimal(3))), Cell(money("5"), computed=Columns(("c0", "c1")))),), "up"),
        ((row_of(Cell(money("2"), computed=SameAs("one", "row", "c0"))),), "follows from itself"),
        ((row_of(Cell(money("2"), computed=SameAs("two", "row", "c0"))),), "there is no 'two'"),
        ((row_of(Cell(money("2"), computed=Columns(("c1",)))),), "there is no 'c1'"),
        ((row_of(Cell(money("2"), computed=Rows(("other",)))),), "there is no 'other'"),
        ((Figures((Figure("F", money("2"), None, ("two", "row", "c0")),)),), "there is no 'two'"),
        ((row_of(Cell(money("1"))), Figures((Figure("F", money("1"), None, ("one", "r", "c0")),))), "there is no 'r'"),
        (
            (
                row_of(
                    Cell(Measured(Decimal(2), "metric_ton", True)),
                    Cell(UnitPrice(Decimal(3), "USD", "short_ton")),
                    Cell(money("6"), computed=Product(("c0", "c1"))),
                ),
            ),
            "with a price by",
        ),
    ],
)  # fmt: skip
def test_a_document_that_contradicts_itself_cannot_be_built(parts: tuple[Part, ...], complaint: str) -> None:
    with pytest.raises(ValueError, match=complaint):
        document(*parts)


def test_a_moment_without_its_time_zone_is_refused() -> None:
    with pytest.raises(ValueError, match="time zone"):
        replace(BASE, created=BASE.created.replace(tzinfo=None))


def step(value: str) -> DerivationStep:
    return DerivationStep(
        name="Sand",
        value=value,
        unit="short_ton",
        shown=value,
        formula="m",
        inputs=[],
        source="Delivery tickets",
    )


def test_an_id_stands_for_one_derivation() -> None:
    derived = Derived()
    assert derived.why("sand", "The sand", [step("10")]) == "sand"
    assert derived.why("sand", "The sand", [step("10")]) == "sand"
    for title, value in (("The gravel", "10"), ("The sand", "11")):
        with pytest.raises(ValueError, match="two derivations are called 'sand'"):
            derived.why("sand", title, [step(value)])


CENTS = st.integers(-(10**9), 10**9).map(lambda cents: money(Decimal(cents).scaleb(-2)))


@settings(deadline=None)
@given(st.lists(CENTS, min_size=1, max_size=20))
def test_a_sum_of_rows_holds_to_the_cent_and_any_other_is_refused(amounts: list[Value]) -> None:
    numbers = [number_of(amount) or Decimal() for amount in amounts]
    rows = [Row(f"r{at}", (Cell(str(at)), Cell(amount))) for at, amount in enumerate(amounts)]
    keys = tuple(row.key for row in rows)

    def table(total: Decimal) -> Table:
        last = Row("sum", (Cell("Sum"), Cell(money(total), computed=Rows(keys))), Weight.TOTAL)
        return Table("t", "T", (Column("n", "N"), Column("m", "M", Kind.MONEY)), (*rows, last))

    document(table(sum(numbers)))  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="printed"):
        document(table(sum(numbers) + Decimal("0.01")))


def computed_row(
    relation: Relation, kind: Callable[[Decimal], Value], *values: Value
) -> Callable[[Decimal], Document]:
    cells = [Cell(value) for value in values]
    return lambda due: document(row_of(*cells, Cell(kind(due), computed=relation)))


@settings(deadline=None)
@given(st.decimals(0, 10**5, places=3), st.decimals(0, 10**4, places=4))
def test_quantity_times_price_is_the_amount_rounded_half_up(quantity: Decimal, price: Decimal) -> None:
    values = Measured(quantity, "short_ton", True), UnitPrice(price, "USD", "short_ton")
    due = (quantity * price).quantize(Decimal("0.01"), ROUND_HALF_UP)
    built = computed_row(Product(("c0", "c1")), money, *values)
    assert built(due)
    with pytest.raises(ValueError, match="printed"):
        built(due + Decimal("0.01"))


def test_a_share_is_the_hundredth_part_and_a_ratio_is_in_percent() -> None:
    assert computed_row(Product(("c0", "c1")), money, money("200"), Share(Decimal("7.25")))(Decimal("14.50"))
    assert computed_row(Ratio("c0", "c1"), Share, money("1"), money("3"))(Decimal("33.3"))
    assert computed_row(Columns(("c0",), ("c1",)), money, money("1"), money("3"))(Decimal("-2"))


def test_a_reader_of_the_other_units_gets_sums_of_what_is_printed() -> None:
    areas = next(table for table in in_reader_units(as_composed()).tables if table.id == "areas")
    sizes = [value for value in areas.values(1) if isinstance(value, Measured)]
    assert {size.unit for size in sizes} == {"square_foot"}
    assert sum(size.value for size in sizes[:-1]) == sizes[-1].value
    # 412 m2 are 4434.73 square feet: 1 foot is 0.3048 m exactly (NIST Handbook 44, Appendix C).
    assert sizes[0].value == Decimal("4435")


def test_what_is_bought_by_a_unit_stays_in_it() -> None:
    lines = next(
        table for table in in_reader_units(as_composed("fr-CA", metric=True)).tables if table.id == "lines"
    )
    assert {value.unit for value in lines.values(3) if isinstance(value, Measured)} == {
        "short_ton", "hour", "square_foot", "lump_sum",
    }  # fmt: skip


def test_a_document_in_its_readers_units_already_is_left_as_it_is() -> None:
    once = in_reader_units(as_composed())
    assert once != as_composed()
    assert in_reader_units(once) == once


@settings(deadline=None)
@given(st.decimals("0.001", 10**6, places=3), st.sampled_from(["square_foot", "acre", "hectare"]))
def test_a_converted_quantity_has_four_digits_or_more(value: Decimal, unit: str) -> None:
    one = Measured(value, "square_meter")
    shown, exact = in_unit([one], unit)[0], converted(one, unit)
    assert abs(shown.value - Decimal(exact.numerator) / Decimal(exact.denominator)) <= max(
        Decimal("0.0005"), shown.value / 1000
    )


def test_derivations_are_numbered_in_their_order() -> None:
    numbers = sample().numbers
    assert list(numbers.values()) == list(range(1, 41))
    assert isinstance(sample().parts[-1], Appendix)
