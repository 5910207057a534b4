"""What pricing yields: printed lines, markups, warnings and cautions, and their sums."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from types import MappingProxyType

from swardcost_model.estimate_views import Heading
from swardcost_model.estimates import EstimateWarning

from swardcost_api.catalog.service import CatalogItem
from swardcost_api.course.service import AreaFacts
from swardcost_api.engine.derivation import Derivation
from swardcost_api.engine.pricing.charge import Part
from swardcost_api.engine.pricing.headings import HeadedLine, Key
from swardcost_api.engine.pricing.markups import AppliedMarkup
from swardcost_api.estimates.buying import Bought
from swardcost_api.estimates.choices import Choice
from swardcost_api.estimates.scopes import ScopeEntry
from swardcost_api.methods.frame import Measure

NONE_OF_THESE = "None of these"
_NAMED_BY_KEY = frozenset({Heading.GROUP, Heading.ACCOUNT, Heading.VENDOR, Heading.MONTH})


@dataclass(frozen=True, slots=True)
class Line:
    """A printed line: quantity x price is the amount. Without a measured size it has no quantity, and without
    a price or an item no amount.

    `resource` numbers what the scope names, over the whole scope; a resource bought with delivery or breaks has
    several lines. `needed`, in `needed_unit`, is how much of it there must be, however that is charged: on the first
    of its lines. `cash_minor` is the part of the amount that the operating budget does not hold already;
    `low_minor` and `high_minor` are the amount at the item's lowest and highest price. `parts` are the shares of
    the amount that belong to `areas`, the sized ones of its scope item: one for each, or none at all without an
    amount.
    """

    number: int
    entry: ScopeEntry
    resource: int
    code: str
    item: CatalogItem | None
    part: Part
    words: str
    quantity: Decimal | None
    unit: str
    rounding: str
    price: Decimal | None
    amount_minor: int | None
    cash_minor: int | None
    low_minor: int | None
    high_minor: int | None
    areas: Sequence[AreaFacts]
    parts: Sequence[int]
    derivation: Derivation
    needed: Decimal | None
    needed_unit: str

    @property
    def description(self) -> str:
        """The item's description, and what of it this line is for."""
        described = self.item.description if self.item else ""
        return f"{described}: {self.words}" if self.words and described else described or self.words


@dataclass
class PricedScope:
    """The outcome: lines, markups, warnings and cautions; every sum is over printed amounts.

    `purchases` are what the lines are printed from: a resource of a scope item with all its charges; `taken_off` are
    the scope items with their measures by name.
    """

    lines: list[Line] = field(default_factory=list)
    markups: tuple[AppliedMarkup, ...] = ()
    warnings: list[EstimateWarning] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    choices: list[Choice] = field(default_factory=list)
    purchases: list[Bought] = field(default_factory=list)
    taken_off: list[tuple[ScopeEntry, Mapping[str, Measure]]] = field(default_factory=list)
    cash_total_minor: int = 0
    low_total_minor: int = 0
    high_total_minor: int = 0

    @property
    def direct_minor(self) -> int:
        return sum(line.amount_minor or 0 for line in self.lines)

    @property
    def total_minor(self) -> int:
        return self.direct_minor + sum(markup.amount_minor for markup in self.markups)

    @property
    def complete(self) -> bool:
        return not any(warning.gap for warning in self.warnings) and all(
            line.amount_minor is not None for line in self.lines
        )


def headed(line: Line) -> HeadedLine:
    """A priced line as it is added up. Raises `ValueError` for one without an amount."""
    item, amount = line.item, line.amount_minor
    if item is None or amount is None:
        raise ValueError(f"line {line.number}: expected an amount")
    return HeadedLine(
        number=line.number, scope_item=str(line.entry.id), resource=line.resource, item=line.code,
        part=line.part.value, amount_minor=amount, cash_minor=amount if line.cash_minor is None else line.cash_minor,
        starts_on=line.entry.starts_on, ends_on=line.entry.ends_on, group=line.entry.group, item_kind=item.kind,
        account=item.account, vendor=item.vendor_name, price_source=item.price_source,
        areas=line.areas if line.parts else (), parts=line.parts,
    )  # fmt: skip


def key_in_words(heading: Heading, key: Key, names: Mapping[Key, str] = MappingProxyType({})) -> str:
    """What a key of a heading is called: by its name where it does not say it itself."""
    if key is None:
        return NONE_OF_THESE
    if key in names:
        return names[key]
    if heading is Heading.HOLE:
        return f"Hole {key}" if isinstance(key, int) else str(key)
    if heading in _NAMED_BY_KEY:
        return str(key)
    return str(key).replace("_", " ").capitalize()
