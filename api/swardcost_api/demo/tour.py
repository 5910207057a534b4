"""What the tour prints: each stage of the main job in a readable form."""

from collections.abc import Iterable
from decimal import Decimal

from rich.console import Console
from rich.table import Table
from swardcost_model.catalog import Item
from swardcost_model.estimate_quality import CheckState, DoubtfulPrice, EstimateQuality
from swardcost_model.estimates import Estimate, EstimateLine, EstimateLineDetail
from swardcost_model.ledger import ImportResult
from swardcost_model.price_terms import ByLoad, PurchaseTerms
from swardcost_model.problems import Fault
from swardcost_model.quotes import LevelledItem, QuoteComparison, QuoteRequest
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

    def price_list(self, items: Iterable[Item]) -> None:
        """The items that are not simply so much a unit, with what the vendor says beside the price."""
        table = _table(
            "Prices with terms", ("Item", "left"), ("Vendor", "left"), ("Unit price", "right"), ("Unit", "left"),
            ("What comes with it", "left"),
        )  # fmt: skip
        for item in items:
            if isinstance(item.terms, PurchaseTerms) and item.unit_price is not None:
                table.add_row(
                    item.code,
                    item.vendor_name,
                    f"{item.unit_price.amount:,}",
                    _words(item.unit),
                    _terms(item.terms),
                )
        self._console.print(table)

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
            item = line.item if line.part == "price" else f"  {line.part.replace('_', ' ')}"
            table.add_row(str(line.number), name, item, quantity, line.unit.replace("_", " "), price, amount)
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

    def quotes(self, request: QuoteRequest, comparison: QuoteComparison) -> None:
        """The quotes on the same quantities, the cheapest first."""
        asked = [f"{one.quantity:,} {_words(one.unit)}s of {one.item}" for one in request.items]
        table = _table(
            f"Quotes for {' and '.join(asked)}, levelled", ("Vendor", "left"),
            *((one.item, "right") for one in request.items), ("Fixed charge", "right"), ("Quoted", "right"),
            ("Left out", "right"), ("Levelled", "right"), ("Rank", "right"),
        )  # fmt: skip
        for quote in comparison.quotes:
            offered = (one.amount.amount for one in quote.items if one.amount and not one.from_catalog)
            fixed = quote.quoted.amount - sum(offered)
            table.add_row(
                quote.vendor, *(_quoted(one) for one in quote.items), f"{fixed:,}" if fixed else "",
                _money(quote.quoted), _money(quote.added) if quote.added.amount else "",
                _money(quote.levelled) if quote.levelled else "-", str(quote.rank or "-"),
            )  # fmt: skip
        self._console.print(table)
        self.say("* left out by the vendor, so it counts at the catalog's price")

    def quality(self, quality: EstimateQuality) -> None:
        """Where the prices come from, how far the cost may lie from it, and what the checklist finds."""
        table = _table("Direct cost by price source", ("Source", "left"), ("Amount", "right"), ("%", "right"))
        for share in quality.price_sources:
            table.add_row(share.price_source or "not stated", _money(share.amount), f"{share.percent}")
        self._console.print(table)
        if quality.band is not None:
            band = quality.band
            self.say(
                f"Class {band.estimate_class}: the final cost usually lies between {_money(band.low)} and "
                f"{_money(band.high)} ({band.low_percent:+} % to {band.high_percent:+} %)."
            )
        self.say(f"Checklist: {quality.met} of {quality.of} questions are met. Those that are not:")
        for check in quality.checks:
            if check.state in (CheckState.NOT_MET, CheckState.OPEN):
                self.say(f"  {_words(check.state):<8} {check.question} {check.found}")
        if quality.choices:
            offers = (f"{one.item} from {one.vendor} (of {one.offers_compared})" for one in quality.choices)
            self.say(f"Chosen offers: {', '.join(offers)}.")
        for name, prices in (
            ("old", quality.stale),
            ("from one vendor's quote alone", quality.single_source),
        ):
            if prices:
                self.say(f"Prices {name}: {_doubtful(prices)}.")

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


def _words(name: str) -> str:
    return name.replace("_", " ")


def _terms(terms: PurchaseTerms) -> str:
    """Purchase terms in a few words; quantities are in the item's unit."""
    said = []
    if terms.breaks is not None:
        beginning = "all of it" if terms.breaks.apply == "whole_quantity" else "what is beyond"
        said += [
            f"{beginning} at {tier.unit_price} from {tier.from_quantity:,}" for tier in terms.breaks.tiers
        ]
    if terms.increment is not None:
        said.append(f"whole {terms.increment_name or 'package'}s of {terms.increment:,}")
    if terms.minimum_order is not None:
        said.append(f"at least {terms.minimum_order:,} sold")
    if terms.minimum_charge is not None:
        said.append(f"at least {terms.minimum_charge:,} charged")
    if isinstance(terms.delivery, ByLoad):
        said.append(f"delivery {terms.delivery.charge:,} for each load of {terms.delivery.load_size:,}")
    if terms.lead_time_days is not None:
        said.append(f"{terms.lead_time_days} days from order")
    return "; ".join(said)


def _quoted(item: LevelledItem) -> str:
    if item.unit_price is None:
        return _money(item.amount) if item.amount else "-"
    price = item.unit_price.amount.normalize()
    shown = f"{price:,.2f}" if price == round(price, 2) else f"{price:,f}"
    return f"* {shown}" if item.from_catalog else shown


def _doubtful(prices: Iterable[DoubtfulPrice]) -> str:
    return ", ".join(f"{one.item} ({one.percent} %)" for one in prices)


def _percent(percent: Decimal | None) -> str:
    return f"{percent}" if percent is not None else "-"
