"""Sales tax on taxable lines: one percentage on all, or the dated rates of a place, with exemption certificates."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from itertools import groupby, pairwise

from swardcost_api.engine.derivation import Derivation
from swardcost_api.engine.pricing.costed import CostedLine
from swardcost_api.engine.pricing.percentage import (
    TERMS_OF_THE_ESTIMATE,
    checked_percent,
    percent_of,
    percent_step,
)

TAXABLE = "taxable lines"


@dataclass(frozen=True, slots=True)
class TaxRate:
    """What a place charges on a class of things, from a day on until another, both included.

    The percentage is all that is charged there: state, county and city added up.
    """

    place: str
    tax_class: str
    percent: Decimal
    valid_from: date
    valid_until: date | None
    source: str


@dataclass(frozen=True, slots=True)
class Exemption:
    """A certificate that frees from tax at a place, or everywhere; for some classes, or for all."""

    number: str
    place: str | None
    tax_classes: frozenset[str] | None
    valid_from: date
    valid_until: date | None
    words: str = ""

    def frees(self, place: str, tax_class: str, on: date) -> bool:
        """Whether the certificate holds for this class at this place on this day."""
        return (
            self.place in (None, place)
            and (self.tax_classes is None or tax_class in self.tax_classes)
            and _holds(self, on)
        )


@dataclass(frozen=True, slots=True)
class TaxAtPlace:
    """Where and when things are received, and the rates and certificates that are known."""

    place: str
    on: date
    rates: Sequence[TaxRate]
    exemptions: Sequence[Exemption] = ()


@dataclass(frozen=True, slots=True)
class TaxLine:
    """A printed line of tax: base x percent / 100, rounded half up to the minor unit, is the amount.

    `lines` are the indices of the lines it is charged on; `source` says where the rate comes from.
    """

    words: str
    base_minor: int
    percent: Decimal
    amount_minor: int
    lines: tuple[int, ...]
    source: str
    steps: Derivation = field(repr=False, compare=False)


@dataclass(frozen=True, slots=True)
class TaxGap:
    """Taxable lines, by index, whose class has no rate at the place on the day: their tax is not known, not zero."""

    place: str
    tax_class: str
    on: date
    lines: tuple[int, ...]

    @property
    def words(self) -> str:
        return f"No tax rate is known for class {self.tax_class} at {self.place} on {self.on}."


@dataclass(frozen=True, slots=True)
class Tax:
    """The printed lines of tax, and what could not be taxed for want of a rate."""

    lines: tuple[TaxLine, ...]
    gaps: tuple[TaxGap, ...] = ()


def tax_on_all(lines: Sequence[CostedLine], percent: Decimal, currency: str) -> Tax:
    """One percentage on all taxable lines, whatever their class: one printed line, even of nothing.

    Raises `ValueError` for a percentage below zero.
    """
    taxed = tuple(index for index, line in enumerate(lines) if line.taxable)
    checked_percent("tax", percent)
    return Tax((_tax_line(lines, taxed, "", percent, currency, TERMS_OF_THE_ESTIMATE),))


def tax_lines(
    lines: Sequence[CostedLine],
    rates: Iterable[TaxRate],
    exemptions: Iterable[Exemption],
    place: str,
    on: date,
    currency: str,
) -> Tax:
    """Tax by the rates of a place on a day: one printed line for each class of things, by name.

    ::

        tax of a class = sum of its taxable lines x percent / 100, rounded half up to the minor unit

    `on` is the day on which things are received, not the one on which they are priced. A class that a
    certificate frees is printed at zero percent with the number of the certificate, the first by number where
    several hold; it needs no rate. A taxable class without certificate or rate is a gap and is not printed.

    Limits: tax is computed on the sum of each class, as on one invoice; vendors' own invoices may differ by
    cents. Thresholds and caps on single articles are not known here.

    Raises `ValueError` for two rates of a place and class that hold on the same day, for days in the wrong
    order, or for a rate below zero.

    References
    ----------
    Minnesota Revenue, Revenue Notice 05-08 (half a cent and more is a further cent; on the item or on the
    invoice; state and local rates added up) and "Sales During Transitional Periods" (goods are taxed at the
    rate of the day on which the buyer takes possession).
    """
    rates = list(rates)
    refuse_overlaps(rates)
    percent_by_class = {rate.tax_class: rate for rate in rates if rate.place == place and _holds(rate, on)}
    certificates = sorted(exemptions, key=lambda one: (one.number, one.words))
    printed: list[TaxLine] = []
    gaps: list[TaxGap] = []
    for tax_class, taxed in _by_class(lines):
        certificate = next((one for one in certificates if one.frees(place, tax_class, on)), None)
        rate = percent_by_class.get(tax_class)
        if certificate is not None:
            exempt = f"exempt by certificate {certificate.number}"
            exempt += f" ({certificate.words})" if certificate.words else ""
            words = f"{tax_class}, {place}, {exempt}"
            printed.append(_tax_line(lines, taxed, words, Decimal(0), currency, exempt))
        elif rate is not None:
            source = f"{rate.source}: {tax_class} at {place} {_since(rate)}"
            words = f"{tax_class}, {place}"
            printed.append(_tax_line(lines, taxed, words, rate.percent, currency, source))
        else:
            gaps.append(TaxGap(place, tax_class, on, taxed))
    return Tax(tuple(printed), tuple(gaps))


def refuse_overlaps(rates: Iterable[TaxRate]) -> None:
    """Raise `ValueError` unless a place has at most one rate for a class on any day, and each makes sense."""
    ordered = sorted(rates, key=lambda one: (one.place, one.tax_class, one.valid_from))
    for rate in ordered:
        where = f"tax rate of {rate.place}, {rate.tax_class}"
        checked_percent(where, rate.percent)
        if rate.valid_until is not None and rate.valid_until < rate.valid_from:
            raise ValueError(
                f"{where}: expected it to end on {rate.valid_from} or later; got {rate.valid_until}"
            )
    for (place, tax_class), of_class in groupby(ordered, key=lambda one: (one.place, one.tax_class)):
        for earlier, later in pairwise(of_class):
            if earlier.valid_until is None or earlier.valid_until >= later.valid_from:
                raise ValueError(
                    f"tax rates of {place}, {tax_class}: expected one on any day; got {earlier.percent} percent "
                    f"{_since(earlier)} and {later.percent} percent {_since(later)}"
                )


def _by_class(lines: Sequence[CostedLine]) -> list[tuple[str, tuple[int, ...]]]:
    """The taxable lines of each class, by the name of the class."""
    classes: dict[str, list[int]] = {}
    for index, line in enumerate(lines):
        if line.taxable:
            classes.setdefault(line.tax_class, []).append(index)
    return [(name, tuple(classes[name])) for name in sorted(classes)]


def _tax_line(
    lines: Sequence[CostedLine],
    taxed: tuple[int, ...],
    words: str,
    percent: Decimal,
    currency: str,
    source: str,
) -> TaxLine:
    base = sum(lines[index].amount_minor for index in taxed)
    step = percent_step("tax", TAXABLE, base, percent, currency, source)
    return TaxLine(words, base, percent, percent_of(base, percent), taxed, source, (step,))


def _holds(one: TaxRate | Exemption, on: date) -> bool:
    return one.valid_from <= on and (one.valid_until is None or on <= one.valid_until)


def _since(rate: TaxRate) -> str:
    until = "on" if rate.valid_until is None else f"to {rate.valid_until}"
    return f"from {rate.valid_from} {until}"
