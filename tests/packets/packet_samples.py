"""An invented packet with every kind of part, as long and with as hostile names as a test wants."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal

from packet_tables import areas_table, derivations, group_chart, lines_table, summary_table
from swardcost_api.packets.document import (
    Appendix,
    Cautions,
    Document,
    Figure,
    Figures,
    Listing,
    Mark,
    Paragraph,
    Part,
    Section,
    Signature,
    SignOff,
    Table,
)
from swardcost_api.packets.reader_units import in_reader_units
from swardcost_api.packets.values import Measured, MonthOf, Share, UnitPrice
from swardcost_model.values import Money

NAMES = (
    "Topdressing sand, washed",
    "Hollow-tine aeration, contractor",
    "Kiln-dried sand, bulk",
    "Sod, bentgrass, rolls",
    "Bunker edging and removal",
    "Clearing of brush at the pond",
    "Haulage within the course",
    "Drainage gravel",
    "Hire of a tracked carrier",
    "Mending of the pond bank",
)
HOSTILE = (
    "<script>alert('x')</script><img src=x onerror=alert(1)>",
    '=HYPERLINK("https://example.org","x")',
    "+1+cmd|' /C calc'!A0",
    "-2+3",
    "@SUM(A1:A9)",
    "abc\u202egnirts desrever\u202c \u2067open isolate",
    '#set page(fill: red) $x$ *bold* #read("/etc/passwd") `raw` <label> @ref \\ //',
    "w" * 300,
    "{{ packet.club }} {% raw %} %(name)s {0}",
    "\u05e9\u05dc\u05d5\u05dd \u0645\u0631\u062d\u0628\u0627 \u65e5\u672c \U0001f600 & \" ' <!-- ]]>",
)


def sample(
    locale: str = "en-US",
    names: Sequence[str] = NAMES,
    lines: int = 24,
    explained: int = 40,
    metric: bool = False,
    club: str = "Heron Mere Golf Club",
) -> Document:
    """The packet: figures, tables, a chart, derivations, cautions and lines to sign, in the units of its reader."""
    return in_reader_units(as_composed(locale, names, lines, explained, metric, club))


def noted(table: Table, names: Sequence[str]) -> Table:
    """The table with notes on a row, on two of its cells and on itself."""
    first, *others = table.rows
    label, size, *cells = first.cells
    noted_cells = (replace(label, note=names[1]), replace(size, note=f"At least: {names[3]}"), *cells)
    last = replace(others[-1], note=names[4])
    rows = (replace(first, cells=noted_cells), *others[:-1], last)
    return replace(table, rows=rows, notes=(names[1], "Measured in March."))


def as_composed(
    locale: str = "en-US",
    names: Sequence[str] = NAMES,
    lines: int = 24,
    explained: int = 40,
    metric: bool = False,
    club: str = "Heron Mere Golf Club",
) -> Document:
    """The same with its quantities in the units in which they were stated."""
    table = lines_table(lines, names, explained)
    direct = table.cell("total", "amount").value
    assert isinstance(direct, Money)
    summary = summary_table(direct)
    total = summary.cell("total", "amount").value
    assert isinstance(total, Money)
    parts: tuple[Part, ...] = (
        Section("decision", "What is asked"),
        Paragraph(f"Approve the August closure of {names[0]} as estimated.", "ask"),
        Paragraph(
            "The course closes for three weeks in August. This is what the work costs and why.", "lead"
        ),
        Figures(
            (
                Figure("Total", total, "line-2", ("summary", "total", "amount")),
                Figure("Direct cost", direct, "line-1", ("lines", "total", "amount")),
                Figure(
                    "Sand to buy",
                    Measured(Decimal("412.50"), "short_ton", True),
                    "line-3",
                    None,
                    names[2],
                ),
                Figure("Ground worked on", Measured(Decimal("20350"), "square_meter"), "line-4"),
            )
        ),
        Section("scope", "What is included"),
        Listing(("Hollow-tine aeration of all greens", names[1], names[2])),
        noted(areas_table(names), names),
        Section("cost", "Cost"),
        summary,
        Section("cost-groups", "By group", 3),
        group_chart(table),
        Section("cost-lines", "By line", 3),
        table,
        Section("basis", "Basis and cautions"),
        Figures(
            (
                Figure("Price list", "Edition of March 2026"),
                Figure("Prices of", date(2026, 3, 1)),
                Figure("Work in", MonthOf(2026, 8)),
                Figure("Sales tax", Share(Decimal("7.25"))),
                Figure("Sand", UnitPrice(Decimal("38.5"), "USD", "short_ton")),
                Figure("Loads", Measured(Decimal(21), "load")),
            ),
            large=False,
        ),
        Cautions(
            (
                "Have buried utilities located before tines go in.",
                "Dry sand sheds silica dust: wet it.",
                names[3],
            )
        ),
        Section("approvals", "Approvals"),
        SignOff(
            "The committee approves the total above.",
            (
                Signature("Chair of the finance committee", names[4]),
                Signature("Superintendent", "", date(2026, 4, 2)),
            ),
        ),
        Section("how", "How this was computed"),
        Appendix(tuple(derivations(explained, names))),
    )
    return Document(
        title=f"Estimate: {names[0]}",
        subtitle="Own crew, hollow tines",
        club=club,
        locale=locale,
        unit_system="metric" if metric else "us_customary",
        ton="metric_ton" if metric else "short_ton",
        created=datetime(2026, 4, 1, 9, 30, tzinfo=UTC),
        mark=Mark("issued", "2026-07"),
        parts=parts,
    )
