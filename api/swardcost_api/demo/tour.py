"""What the tour prints: each stage of the main job in a readable form."""

from collections.abc import Iterable
from decimal import Decimal

from rich.console import Console
from rich.table import Table
from swardcost_model.estimates import Estimate, EstimateLine, EstimateLineDetail
from swardcost_model.ledger import ImportResult
from swardcost_model.problems import Fault
from swardcost_model.reports import BudgetReport, Heading, ReportSection
from swardcost_model.values import Money

SECTIONS: dict[Heading, str] = {
    "scope_item": "Budget versus actual by scope item",
    "account": "By account",
    "month": "By month",
}


class Tour:
    """Writes the tour to a console."""

    def __init__(self, console: Console) -> None:
        self._console = console

    def stage(self, number: int, title: str) -> None:
        """The heading of a stage."""
        self._console.print()
        self._console.rule(f"[bold]{number}. {title}", align="left")

    def say(self, text: str) -> None:
        """A sentence."""
        self._console.print(text, highlight=False, soft_wrap=True)

    def estimate(self, estimate: Estimate, lines: Iterable[EstimateLine]) -> None:
        """The itemised lines, the markups and the total."""
        table = _table(
            f"Estimate {estimate.number}, revision {estimate.revision}: {estimate.name}",
            ("#", "right"), ("Work", "left"), ("Item", "left"), ("Quantity", "right"), ("Unit", "left"),
            ("Unit price", "right"), ("Amount", "right"),
        )  # fmt: skip
        work = ""
        for line in lines:
            price = f"{line.unit_price.amount:,}" if line.unit_price else "no price"
            amount = _money(line.amount) if line.amount else "missing"
            quantity = f"{line.quantity:,}" if line.quantity is not None else "-"
            name = line.scope_item if line.scope_item != work else ""
            work = line.scope_item
            table.add_row(
                str(line.number), name, line.item, quantity, line.unit.replace("_", " "), price, amount
            )
        table.add_section()
        table.add_row("", "Direct cost", "", "", "", "", _money(estimate.direct))
        for markup in estimate.markups:
            percent = f"{markup.percent:.3f}".rstrip("0").rstrip(".")
            table.add_row(
                "", markup.label, "", _money(markup.base), "", f"{percent} %", _money(markup.amount)
            )
        table.add_section()
        state = "" if estimate.complete else " (incomplete)"
        table.add_row("", f"[bold]Total{state}", "", "", "", "", f"[bold]{_money(estimate.total)}")
        self._console.print(table)
        for warning in estimate.warnings:
            self.say(f"  {'gap  ' if warning.gap else 'doubt'} {warning.message}")

    def derivation(self, line: EstimateLineDetail) -> None:
        """Every step of a line, from the ground to the money."""
        table = _table(
            f"Why {_money(line.amount) if line.amount else 'nothing'} for {line.item} in “{line.scope_item}”?",
            ("Figure", "left"), ("Value", "right"), ("Formula", "left"), ("Inputs", "left"),
        )  # fmt: skip
        for step in line.derivation:
            inputs = ", ".join(f"{figure.name} {figure.shown}" for figure in step.inputs)
            table.add_row(step.name, step.shown, step.formula, inputs)
        self._console.print(table)

    def faults(self, faults: Iterable[Fault]) -> None:
        """Rows of a file that cannot be used."""
        for fault in faults:
            self.say(f"  {fault.pointer}: expected {fault.expected}, got {fault.got!r}")

    def imported(self, done: ImportResult) -> None:
        """What an import did."""
        self.say(
            f"  {done.rows_read} rows read, {done.rows_posted} posted, {done.rows_known} known already, "
            f"{done.rows_assigned} assigned by rules; debits {_money(done.debits)}, credits {_money(done.credits)}"
        )

    def report(self, report: BudgetReport) -> None:
        """Budget versus actual, each section summing to the same total."""
        sections = {section.by: section for section in report.sections}
        for by in SECTIONS:
            self._console.print(self._section(report, sections[by]))
        self.say(
            f"All postings {_money(report.all_postings)} = assigned {_money(report.assigned)} + unassigned "
            f"{_money(report.unassigned)} ({report.unassigned_postings} postings wait to be looked at)."
        )

    def _section(self, report: BudgetReport, section: ReportSection) -> Table:
        table = _table(
            SECTIONS[section.by], ("", "left"), ("Budget", "right"), ("Actual", "right"), ("Remaining", "right"),
            ("%", "right"),
        )  # fmt: skip
        for row in section.rows:
            table.add_row(
                row.label,
                _money(row.budget),
                _money(row.actual),
                _money(row.remaining),
                _percent(row.percent),
            )
        table.add_section()
        for row in (report.to_this_budget, report.total):
            table.add_row(
                f"[bold]{row.label}",
                _money(row.budget),
                _money(row.actual),
                _money(row.remaining),
                _percent(row.percent),
            )
        return table


def _table(title: str, *columns: tuple[str, str]) -> Table:
    table = Table(title=title, title_justify="left", title_style="bold")
    for heading, justify in columns:
        table.add_column(heading, justify=justify)  # type: ignore[arg-type]
    return table


def _money(money: Money) -> str:
    return f"{money.amount:,}"


def _percent(percent: Decimal | None) -> str:
    return f"{percent}" if percent is not None else "-"
