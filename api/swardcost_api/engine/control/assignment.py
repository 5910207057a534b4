"""Which budget line a posting belongs to: the club's rules, tried in order of priority.

All conditions of a rule must hold. The lowest priority number is tried first; between equal
priorities the rule with the lower id, which is the older one.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from uuid import UUID

_ACCOUNTS_REMEMBERED = 10_000


@dataclass(frozen=True, slots=True)
class AssignmentRule:
    """A rule for the matcher: days as ISO 8601 text, signed amounts in minor units, bounds included."""

    id: UUID
    priority: int
    budget_line_id: UUID
    account: str | None = None
    account_prefix: str | None = None
    text_contains: str | None = None
    vendor_contains: str | None = None
    date_from: str | None = None
    date_to: str | None = None
    amount_min: int | None = None
    amount_max: int | None = None

    def takes_account(self, account: str) -> bool:
        """Whether the conditions on the account hold."""
        if self.account is not None and account != self.account:
            return False
        return self.account_prefix is None or account.startswith(self.account_prefix)


Matcher = Callable[[str, str, int, str, str], AssignmentRule | None]
"""The rule for a posting: ISO day, account, amount in minor units, description and vendor (or '')."""

_Condition = Callable[[str, int, str, str], bool]
"""Whether a condition holds for an ISO day, an amount, and a case-folded description and vendor."""


def matcher(rules: Iterable[AssignmentRule]) -> Matcher:
    """The function that finds the rule for a posting; the order in which the rules are given is of no matter."""
    ordered = sorted(rules, key=lambda rule: (rule.priority, rule.id))
    conditions = {rule.id: _conditions(rule) for rule in ordered}
    by_account: dict[str, list[tuple[AssignmentRule, list[_Condition]]]] = {}

    def rule_for(day: str, account: str, amount: int, description: str, vendor: str) -> AssignmentRule | None:
        candidates = by_account.get(account)
        if candidates is None:
            if len(by_account) >= _ACCOUNTS_REMEMBERED:
                by_account.clear()
            candidates = [(rule, conditions[rule.id]) for rule in ordered if rule.takes_account(account)]
            by_account[account] = candidates
        if not candidates:
            return None
        text, who = description.casefold(), vendor.casefold()
        for rule, wanted in candidates:
            if all(holds(day, amount, text, who) for holds in wanted):
                return rule
        return None

    return rule_for


def _conditions(rule: AssignmentRule) -> list[_Condition]:
    """The conditions of a rule beside that on the account."""
    found: list[_Condition] = []
    if (first := rule.date_from) is not None:
        found.append(lambda day, amount, text, vendor: day >= first)
    if (last := rule.date_to) is not None:
        found.append(lambda day, amount, text, vendor: day <= last)
    if (least := rule.amount_min) is not None:
        found.append(lambda day, amount, text, vendor: amount >= least)
    if (most := rule.amount_max) is not None:
        found.append(lambda day, amount, text, vendor: amount <= most)
    if rule.text_contains is not None:
        part = rule.text_contains.casefold()
        found.append(lambda day, amount, text, vendor: part in text)
    if rule.vendor_contains is not None:
        name = rule.vendor_contains.casefold()
        found.append(lambda day, amount, text, vendor: name in vendor)
    return found
