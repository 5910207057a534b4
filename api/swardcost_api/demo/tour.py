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

    def show(self, shown: Table) -> None:
        """A table."""
        self._console.print(shown)

    def price_list(self, items: Iterable[Item]) -> None:
        """The items that are not simply so much a unit, with what the vendor says beside the price."""
        shown = table(
            "Prices with terms", ("Item", "left"), ("Vendor", "left"), ("Unit price", "right"), ("Unit", "left"),
            ("What comes with it", "left"),
        )  # fmt: skip
        for item in items:
            if isinstance(item.terms, PurchaseTerms) and item.unit_price is not None:
                shown.add_row(
                    item.code,
                    item.vendor_name,
                    f"{item.unit_price.amount:,}",
                    words(item.unit),
                    _terms(item.terms),
                )
        self.show(shown)

    def estimate(self, estimate: Estimate, lines: Iterable[EstimateLine]) -> None:
        """The itemised lines, the markups and the total."""
        shown = table(
            f"Estimate {estimate.number}, revision {estimate.revision}: {estimate.name}",
            ("#", "right"), ("Work", "left"), ("Item", "left"), ("Quantity", "right"), ("Unit", "left"),
            ("Unit price", "right"), ("Amount", "right"),
        )  # fmt: skip
        work = ""
        for line in lines:
            price = f"{line.unit_price.amount:,}" if line.unit_price else "no price"
            amount = money(line.amount) if line.amount else "missing"
            quantity = f"{line.quantity:,}" if line.quantity is not None else "-"
            name = line.scope_item if line.scope_item != work else ""
            work = line.scope_item
            item = line.item if line.part == "price" else f"  {line.part.replace('_', ' ')}"
            shown.add_row(str(line.number), name, item, quantity, line.unit.replace("_", " "), price, amount)
        shown.add_section()
        shown.add_row("", "Direct cost", "", "", "", "", money(estimate.direct))
        for markup in estimate.markups:
            percent = f"{markup.percent:.3f}".rstrip("0").rstrip(".")
            shown.add_row("", markup.label, "", money(markup.base), "", f"{percent} %", money(markup.amount))
        shown.add_section()
        state = "" if estimate.complete else " (incomplete)"
        shown.add_row("", f"[bold]Total{state}", "", "", "", "", f"[bold]{money(estimate.total)}")
        self.show(shown)
        for warning in estimate.warnings:
            self.say(f"  {'gap  ' if warning.gap else 'doubt'} {warning.message}")

    def quotes(self, request: QuoteRequest, comparison: QuoteComparison) -> None:
        """The quotes on the same quantities, the cheapest first."""
        asked = [f"{one.quantity:,} {words(one.unit)}s of {one.item}" for one in request.items]
        shown = table(
            f"Quotes for {' and '.join(asked)}, levelled", ("Vendor", "left"),
            *((one.item, "right") for one in request.items), ("Fixed charge", "right"), ("Quoted", "right"),
            ("Left out", "right"), ("Levelled", "right"), ("Rank", "right"),
        )  # fmt: skip
        for quote in comparison.quotes:
            offered = (one.amount.amount for one in quote.items if one.amount and not one.from_catalog)
            fixed = quote.quoted.amount - sum(offered)
            shown.add_row(
                quote.vendor, *(_quoted(one) for one in quote.items), f"{fixed:,}" if fixed else "",
                money(quote.quoted), money(quote.added) if quote.added.amount else "",
                money(quote.levelled) if quote.levelled else "-", str(quote.rank or "-"),
            )  # fmt: skip
        self.show(shown)
        self.say("* left out by the vendor, so it counts at the catalog's price")

    def quality(self, quality: EstimateQuality) -> None:
        """Where the prices come from, how far the cost may lie from it, and what the checklist finds."""
        shown = table("Direct cost by price source", ("Source", "left"), ("Amount", "right"), ("%", "right"))
        for share in quality.price_sources:
            shown.add_row(share.price_source or "not stated", money(share.amount), f"{share.percent}")
        self.show(shown)
        if quality.band is not None:
            band = quality.band
            self.say(
                f"Class {band.estimate_class}: the final cost usually lies between {money(band.low)} and "
                f"{money(band.high)} ({band.low_percent:+} % to {band.high_percent:+} %)."
            )
        self.say(f"Checklist: {quality.met} of {quality.of} questions are met. Those that are not:")
        for check in quality.checks:
            if check.state in (CheckState.NOT_MET, CheckState.OPEN):
                self.say(f"  {words(check.state):<8} {check.question} {check.found}")
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
        shown = table(
            f"Why {money(line.amount) if line.amount else 'nothing'} for {line.item} in “{line.scope_item}”?",
            ("Figure", "left"), ("Value", "right"), ("Formula", "left"), ("Inputs", "left"),
        )  # fmt: skip
        for step in line.derivation:
            inputs = ", ".join(f"{figure.name} {figure.shown}" for figure in step.inputs)
            shown.add_row(step.name, step.shown, step.formula, inputs)
        self.show(shown)

    def faults(self, faults: Iterable[Fault]) -> None:
        """Rows of a file that cannot be used."""
        for fault in faults:
            self.say(f"  {fault.pointer}: expected {fault.expected}, got {fault.got!r}")

    def imported(self, done: ImportResult) -> None:
        """What an import did."""
        self.say(
            f"  {done.rows_read} rows read, {done.rows_posted} posted, {done.rows_known} known already, "
            f"{done.rows_assigned} assigned by rules; debits {money(done.debits)}, credits {money(done.credits)}"
        )

    def report(self, report: BudgetReport) -> None:
        """Budget versus actual, each section summing to the same total."""
        sections = {section.by: section for section in report.sections}
        for by in SECTIONS:
            self._console.print(self._section(report, sections[by]))
        self.say(
            f"All postings {money(report.all_postings)} = assigned {money(report.assigned)} + unassigned "
            f"{money(report.unassigned)} ({report.unassigned_postings} postings wait to be looked at)."
        )

    def _section(self, report: BudgetReport, section: ReportSection) -> Table:
        shown = table(
            SECTIONS[section.by], ("", "left"), ("Budget", "right"), ("Actual", "right"), ("Remaining", "right"),
            ("%", "right"),
        )  # fmt: skip
        for row in section.rows:
            shown.add_row(
                row.label,
                money(row.budget),
                money(row.actual),
                money(row.remaining),
                _percent(row.percent),
            )
        shown.add_section()
        for row in (report.to_this_budget, report.total):
            shown.add_row(
                f"[bold]{row.label}",
                money(row.budget),
                money(row.actual),
                money(row.remaining),
                _percent(row.percent),
            )
        return shown


def table(title: str, *columns: tuple[str, str]) -> Table:
    """A table with its columns, each heading with the side to which its cells keep."""
    shown = Table(title=title, title_justify="left", title_style="bold")
    for heading, justify in columns:
        shown.add_column(heading, justify=justify)  # type: ignore[arg-type]
    return shown


def money(amount: Money) -> str:
    """An amount with its thousands grouped, the currency left out."""
    return f"{amount.amount:,}"


def words(name: str) -> str:
    """A name of the API as words."""
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
        return money(item.amount) if item.amount else "-"
    price = item.unit_price.amount.normalize()
    shown = f"{price:,.2f}" if price == round(price, 2) else f"{price:,f}"
    return f"* {shown}" if item.from_catalog else shown


def _doubtful(prices: Iterable[DoubtfulPrice]) -> str:
    return ", ".join(f"{one.item} ({one.percent} %)" for one in prices)


def _percent(percent: Decimal | None) -> str:
    return f"{percent}" if percent is not None else "-"
