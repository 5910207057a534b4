"""Which budget line a posting belongs to: the club's rules, tried in order of priority, and splits over lines.

All conditions of a rule must hold. The lowest priority number is tried first; between equal
priorities the rule with the lower id, which is the older one.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol
from uuid import UUID

from swardcost_api.engine.pricing.allocation import split_exactly

_ACCOUNTS_REMEMBERED = 10_000


@dataclass(frozen=True, slots=True)
class Share:
    """What part of a posting goes to a budget line, in millionths of a percent."""

    budget_line_id: UUID
    percent_micros: int


@dataclass(frozen=True, slots=True)
class AssignmentRule:
    """A rule for the matcher: days as ISO 8601 text, signed amounts in minor units, bounds included.

    It gives postings to one line, or splits them over the lines of its shares.
    """

    id: UUID
    priority: int
    budget_line_id: UUID | None
    account: str | None = None
    account_prefix: str | None = None
    text_contains: str | None = None
    vendor_contains: str | None = None
    date_from: str | None = None
    date_to: str | None = None
    amount_min: int | None = None
    amount_max: int | None = None
    project_code: str | None = None
    shares: tuple[Share, ...] = ()

    def takes_account(self, account: str) -> bool:
        """Whether the conditions on the account hold."""
        if self.account is not None and account != self.account:
            return False
        return self.account_prefix is None or account.startswith(self.account_prefix)


class Matcher(Protocol):
    """The rule for a posting: ISO day, account, amount in minor units, description, vendor and project (or '')."""

    def __call__(
        self, day: str, account: str, amount: int, description: str, vendor: str, project: str = ""
    ) -> AssignmentRule | None: ...


class AllMatcher(Protocol):
    """Every rule that a posting meets, in the order in which they are tried."""

    def __call__(
        self, day: str, account: str, amount: int, description: str, vendor: str, project: str = ""
    ) -> Sequence[AssignmentRule]: ...


_Condition = Callable[[str, int, str, str, str], bool]
"""Whether a condition holds for an ISO day, an amount, a case-folded description and vendor, and a project."""

_Candidates = Callable[[str], list[tuple[AssignmentRule, list[_Condition]]]]
"""The rules that may take postings to an account, in the order in which they are tried, with their conditions."""


def matcher(rules: Iterable[AssignmentRule]) -> Matcher:
    """The function that finds the rule for a posting; the order in which the rules are given is of no matter."""
    candidates_for = _by_account(rules)

    def rule_for(
        day: str, account: str, amount: int, description: str, vendor: str, project: str = ""
    ) -> AssignmentRule | None:
        candidates = candidates_for(account)
        if not candidates:
            return None
        text, who = description.casefold(), vendor.casefold()
        for rule, wanted in candidates:
            if all(holds(day, amount, text, who, project) for holds in wanted):
                return rule
        return None

    return rule_for


def matcher_of_all(rules: Iterable[AssignmentRule]) -> AllMatcher:
    """The function that finds every rule whose conditions a posting meets, the one that takes it first."""
    candidates_for = _by_account(rules)

    def rules_for(
        day: str, account: str, amount: int, description: str, vendor: str, project: str = ""
    ) -> list[AssignmentRule]:
        candidates = candidates_for(account)
        if not candidates:
            return []
        text, who = description.casefold(), vendor.casefold()
        return [
            rule
            for rule, wanted in candidates
            if all(holds(day, amount, text, who, project) for holds in wanted)
        ]

    return rules_for


def split_by_shares(amount_minor: int, shares: Sequence[Share]) -> list[int]:
    """The part of an amount, in minor units, that goes to each share's line: by largest remainder, so that they sum
    to the amount.

    Examples
    --------
    >>> third = 33_333_333
    >>> split_by_shares(100_00, [Share(UUID(int=n), third + (n == 3)) for n in (1, 2, 3)])
    [3333, 3333, 3334]
    """
    return split_exactly(amount_minor, [share.percent_micros for share in shares])


def _by_account(rules: Iterable[AssignmentRule]) -> _Candidates:
    ordered = sorted(rules, key=lambda rule: (rule.priority, rule.id))
    conditions = {rule.id: _conditions(rule) for rule in ordered}
    by_account: dict[str, list[tuple[AssignmentRule, list[_Condition]]]] = {}

    def candidates_for(account: str) -> list[tuple[AssignmentRule, list[_Condition]]]:
        candidates = by_account.get(account)
        if candidates is None:
            if len(by_account) >= _ACCOUNTS_REMEMBERED:
                by_account.clear()
            candidates = [(rule, conditions[rule.id]) for rule in ordered if rule.takes_account(account)]
            by_account[account] = candidates
        return candidates

    return candidates_for


def _conditions(rule: AssignmentRule) -> list[_Condition]:
    """The conditions of a rule beside that on the account."""
    found: list[_Condition] = []
    if (first := rule.date_from) is not None:
        found.append(lambda day, amount, text, vendor, project: day >= first)
    if (last := rule.date_to) is not None:
        found.append(lambda day, amount, text, vendor, project: day <= last)
    if (least := rule.amount_min) is not None:
        found.append(lambda day, amount, text, vendor, project: amount >= least)
    if (most := rule.amount_max) is not None:
        found.append(lambda day, amount, text, vendor, project: amount <= most)
    if (code := rule.project_code) is not None:
        found.append(lambda day, amount, text, vendor, project: project == code)
    if rule.text_contains is not None:
        part = rule.text_contains.casefold()
        found.append(lambda day, amount, text, vendor, project: part in text)
    if rule.vendor_contains is not None:
        name = rule.vendor_contains.casefold()
        found.append(lambda day, amount, text, vendor, project: name in vendor)
    return found
