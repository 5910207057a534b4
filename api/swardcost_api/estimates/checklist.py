"""The checklist of an estimate: what figures answer by themselves, and what a person must confirm.

The questions follow the twelve steps of a public estimating guide (GAO-20-195G) as far as they concern a club's
work; those about the ground are common practice.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from swardcost_model.estimate_quality import Basis, Check, CheckId, CheckState, Confirmation
from swardcost_model.estimates import Estimate, MarkupKind, WarningKind

from swardcost_api.engine.pricing.bought import in_words, plural

GUIDE = "GAO-20-195G, Cost Estimating and Assessment Guide"
COMMON_PRACTICE = "common practice"
FIRM_PERCENT = Decimal(60)
"""Share of the direct cost that should rest on quotes, contracts or invoices."""

Finding = tuple[CheckState, str]
_NOTHING_YET: Finding = (CheckState.OPEN, "There is nothing in it yet.")
_NOT_PRICED = "Nothing is priced yet."
_NO_PRICE = {
    WarningKind.UNPRICED, WarningKind.MISSING_ITEM, WarningKind.NOTHING_PRICED, WarningKind.NO_TAX_RATE,
    WarningKind.NO_INDEX, WarningKind.OFFER_UNIT,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Facts:
    """What the checklist looks at, beside the basis: counts are of items, not of their lines."""

    estimate: Estimate
    firm_percent: Decimal
    priced: int
    """Items with an amount."""
    ranged: int
    """Items whose price has a range in the edition."""
    simulated: int
    """Figures with a range that is stated for the simulation."""
    taxable: bool
    without_account: int
    compared: int


def checked(basis: Basis, facts: Facts) -> list[Check]:
    """Every question with what was found; a person's answer settles what figures leave open."""
    answers = {one.check: one for one in basis.confirmations}
    return [
        Check(
            id=question.id, question=question.words, source=question.source,
            **dict(zip(("state", "found"), question.settle(basis, facts, answers.get(question.id)), strict=True)),
        )
        for question in QUESTIONS
    ]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Question:
    """A question, where it comes from, and how figures answer it; `None` where only a person can."""

    id: CheckId
    words: str
    source: str
    find: Callable[[Basis, Facts], Finding] | None = None

    def settle(self, basis: Basis, facts: Facts, answer: Confirmation | None) -> Finding:
        """What was found; what figures show is not overruled by an answer, except that it does not apply."""
        if answer is not None and answer.met is None:
            return CheckState.NOT_APPLICABLE, answer.note or "Stated not to apply."
        if self.find is not None:
            return self.find(basis, facts)
        if answer is None:
            return CheckState.OPEN, "Nobody has confirmed it."
        return (CheckState.MET if answer.met else CheckState.NOT_MET), answer.note or "Confirmed by a person."


def _found(met: bool, words: str) -> Finding:
    return (CheckState.MET if met else CheckState.NOT_MET), words


def _counted(count: int, name: str) -> str:
    return f"{count} {name if count == 1 else plural(name)}"


def _written(text: str, what: str) -> Finding:
    return _found(bool(text), f"{what} is written." if text else f"{what} is not written.")


def _listed(entries: Sequence[str], what: str) -> Finding:
    return _found(bool(entries), f"{len(entries)} stated." if entries else f"No {what} is stated.")


def _without(facts: Facts, kinds: set[WarningKind], good: str) -> Finding:
    found = [warning.message for warning in facts.estimate.warnings if warning.kind in kinds]
    return _found(not found, good if not found else f"{len(found)} found, the first: {found[0]}")


def _measured(_: Basis, facts: Facts) -> Finding:
    work = facts.estimate.work
    found = _without(facts, {WarningKind.MISSING_SIZE}, "Every area has a size.")
    if found[0] is CheckState.NOT_MET or work is None or work.area_worked is not None:
        return found
    return (CheckState.NOT_APPLICABLE, "It works on no area.") if facts.estimate.line_count else _NOTHING_YET


def _priced(_: Basis, facts: Facts) -> Finding:
    found = _without(facts, _NO_PRICE, "Everything is priced.")
    return found if found[0] is CheckState.NOT_MET or facts.priced else (CheckState.NOT_MET, _NOT_PRICED)


def _current(_: Basis, facts: Facts) -> Finding:
    found = _without(facts, {WarningKind.STALE, WarningKind.NOT_VALID_AT_WORK}, "No price is old or expired.")
    return found if found[0] is CheckState.NOT_MET or facts.priced else (CheckState.OPEN, _NOT_PRICED)


def _firm(_: Basis, facts: Facts) -> Finding:
    if not facts.priced:
        return CheckState.OPEN, _NOT_PRICED
    return _found(facts.firm_percent >= FIRM_PERCENT, f"{in_words(facts.firm_percent)} % do.")


def _ranged(_: Basis, facts: Facts) -> Finding:
    told = [
        f"{_counted(number, name)} {'has' if number == 1 else 'have'} {what}."
        for number, name, what in (
            (facts.ranged, "item", "a range of prices"),
            (facts.simulated, "figure", "a range stated for the simulation"),
        )
        if number
    ]
    return _found(bool(told), " ".join(told) or "Nothing has a range.")


def _accounted(_: Basis, facts: Facts) -> Finding:
    if not facts.estimate.line_count:
        return _NOTHING_YET
    found = _without(facts, {WarningKind.NO_ACCOUNT}, "Every line has an account.")
    if found[0] is CheckState.MET and facts.without_account:
        verb = "has" if facts.without_account == 1 else "have"
        return CheckState.NOT_MET, f"{_counted(facts.without_account, 'item')} {verb} no account."
    return found


def _has_markup(facts: Facts, kind: MarkupKind, words: str) -> Finding:
    lines = [markup for markup in facts.estimate.markups if markup.kind == kind]
    return _found(bool(lines), f"{lines[0].label}: {in_words(lines[0].percent)} %." if lines else words)


def _escalated(_: Basis, facts: Facts) -> Finding:
    estimate = facts.estimate
    if estimate.starts_on <= estimate.price_date:
        return CheckState.NOT_APPLICABLE, "The work begins no later than the date of the prices."
    return _has_markup(facts, MarkupKind.ESCALATION, "Work after the date of the prices is not escalated.")


def _taxed(_: Basis, facts: Facts) -> Finding:
    if not facts.estimate.line_count:
        return _NOTHING_YET
    if not facts.taxable:
        return CheckState.NOT_APPLICABLE, "Nothing in it is taxable."
    return _has_markup(facts, MarkupKind.TAX, "It has taxable lines and no tax.")


QUESTIONS = (
    Question(CheckId.PURPOSE, "Is it said what the estimate is for and who decides by it?", f"{GUIDE}, step 1",
             lambda basis, _: _written(basis.purpose, "The purpose")),
    Question(CheckId.SCOPE, "Is the work described in words?", f"{GUIDE}, step 3",
             lambda basis, _: _written(basis.scope_note, "The scope")),
    Question(CheckId.ASSUMPTIONS, "Are ground rules and assumptions stated?", f"{GUIDE}, step 5",
             lambda basis, _: _listed(basis.assumptions, "assumption")),
    Question(CheckId.EXCLUSIONS, "Is it said what is not included?", f"{GUIDE}, step 5",
             lambda basis, _: _listed(basis.exclusions, "exclusion")),
    Question(CheckId.SOURCES, "Are the sources of quantities and prices named?", f"{GUIDE}, step 6",
             lambda basis, _: _listed(basis.sources, "source")),
    Question(CheckId.CLASS, "Is it said how far the scope is defined?", "AACE 56R-08",
             lambda basis, _: _found(basis.estimate_class is not None, f"Class {basis.estimate_class}."
                                     if basis.estimate_class else "No class is stated.")),
    Question(CheckId.ALL_MEASURED, "Has every area a size?", f"{GUIDE}, step 6", _measured),
    Question(CheckId.ALL_PRICED, "Has everything a price, and every scope item its resources?", f"{GUIDE}, step 7",
             _priced),
    Question(CheckId.PRICES_CURRENT, "Do the prices hold today and when the work is done?", f"{GUIDE}, step 6",
             _current),
    Question(CheckId.PRICES_FIRM, f"Do at least {FIRM_PERCENT} % of the direct cost rest on quotes, contracts or "
             "invoices?", COMMON_PRACTICE, _firm),
    Question(CheckId.COMPARED, "Were offers compared for what is bought on a quote?", COMMON_PRACTICE,
             lambda _, facts: _found(facts.compared > 0,
                                     f"Offers were compared for {_counted(facts.compared, 'item')}.")),
    Question(CheckId.RANGES, "Are figures that are uncertain given as ranges?", f"{GUIDE}, steps 8 and 9", _ranged),
    Question(CheckId.CONTINGENCY, "Is there a contingency, on a line of its own?", f"{GUIDE}, step 9",
             lambda _, facts: _has_markup(facts, MarkupKind.CONTINGENCY, "There is no contingency.")),
    Question(CheckId.ESCALATION, "Are prices escalated to the middle of the work?", "US GSA P-120 cost guide",
             _escalated),
    Question(CheckId.TAX, "Is sales tax on its own line?", COMMON_PRACTICE, _taxed),
    Question(CheckId.ACCOUNTS, "Has every line a ledger account?", COMMON_PRACTICE, _accounted),
    Question(CheckId.CHECKED, "Has somebody other than its author checked it?", f"{GUIDE}, step 7",
             lambda basis, _: _found(basis.checked_by is not None, f"Checked by {basis.checked_by}."
                                     if basis.checked_by else "Nobody is named as its checker.")),
    Question(CheckId.SITE_SEEN, "Were the areas walked and measured, not only drawn?", COMMON_PRACTICE),
    Question(CheckId.UTILITIES_LOCATED, "Are buried utilities and irrigation located, or their locating priced?",
             COMMON_PRACTICE),
    Question(CheckId.PERMITS, "Are permits for work at ponds, wetlands and trees known, or stated as not needed?",
             COMMON_PRACTICE),
)  # fmt: skip
