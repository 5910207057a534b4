"""Which postings look like the reversal of an earlier one: proposals for a person to confirm, never more.

A reversal has the account and exactly the opposite amount of its original, on the same day or within so many days
after it, and something that ties the two together: a reference, a journal entry, a vendor, or words.
"""

import heapq
import re
from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

Tie = Literal["reference", "journal_id", "words", "vendor"]
TIES: tuple[Tie, ...] = ("reference", "journal_id", "words", "vendor")
"""What may tie a reversal to its original, the strongest first: each outweighs all those after it together."""

_WORDS = re.compile(r"\b(?:revers|void|correct|cancel)\w*")


@dataclass(frozen=True, slots=True)
class Candidate:
    """A posting that may be paired: its key, account, amount in minor units, day as an ordinal number, and texts."""

    key: str
    account: str
    amount_minor: int
    day: int
    description: str
    vendor: str = ""
    reference: str = ""
    journal_id: str = ""


@dataclass(frozen=True, slots=True)
class Proposal:
    """A pair that may belong together, and what ties it."""

    original: Candidate
    reversal: Candidate
    ties: tuple[Tie, ...]

    @property
    def days(self) -> int:
        """Days from the original to its reversal."""
        return self.reversal.day - self.original.day


def says_reversal(description: str) -> bool:
    """Whether a description has a word such as reversal, reversed, void, correction or cancelled.

    >>> says_reversal("VOID check 1042"), says_reversal("Avoid wet sand")
    (True, False)
    """
    return _WORDS.search(description.casefold()) is not None


def propose(candidates: Iterable[Candidate], within_days: int) -> list[Proposal]:
    """Pairs of an original and its reversal, each posting in at most one, the best match first.

    A pair tied by more, and by stronger ties, goes before others; then the one with fewer days between; then the
    original that comes last before the reversal; then the earlier reversal. On one day the posting whose description
    says so is the reversal, or else the credit. The order in which candidates are given is of no matter.
    """
    alike: dict[Hashable, list[Candidate]] = defaultdict(list)
    for candidate in candidates:
        if candidate.amount_minor:
            alike[candidate.account, abs(candidate.amount_minor)].append(candidate)
    found: list[tuple[int, int, Proposal]] = []
    for group in alike.values():
        if len({candidate.amount_minor for candidate in group}) == 2:
            found += _pairs(sorted(group, key=_order), within_days)
    found.sort(key=lambda one: (one[0], one[1], _order(one[2].reversal), _order(one[2].original)))
    return [proposal for _, _, proposal in found]


def _order(candidate: Candidate) -> tuple[int, bool, bool, str]:
    """Of two opposite postings the one that comes first in this order is the original."""
    return candidate.day, says_reversal(candidate.description), candidate.amount_minor < 0, candidate.key


def _tiers() -> list[tuple[Tie, ...]]:
    """Every set of ties, the strongest first."""
    sets = [ties for size in range(1, len(TIES) + 1) for ties in combinations(TIES, size)]
    return sorted(sets, key=lambda ties: [tie not in ties for tie in TIES])


_TIERS = _tiers()
_KEYS: dict[Tie, Callable[[Candidate], str]] = {
    "reference": lambda candidate: candidate.reference.casefold(),
    "journal_id": lambda candidate: candidate.journal_id.casefold(),
    "vendor": lambda candidate: candidate.vendor.casefold(),
}


def _pairs(group: Sequence[Candidate], within_days: int) -> list[tuple[int, int, Proposal]]:
    """The pairs among postings of one account and amount in their order: the tier of each, its days, and itself.

    Whatever a stronger tier could have paired is paired already when a weaker one is looked at, so that a pair of a
    tier has the ties of that tier and no others.
    """
    free = set(range(len(group)))
    reversing = [says_reversal(candidate.description) for candidate in group]
    found = []
    for tier, ties in enumerate(_TIERS):
        keys = [_KEYS[tie] for tie in ties if tie != "words"]
        tied: dict[Hashable, list[int]] = defaultdict(list)
        for at in sorted(free):
            key = tuple(read(group[at]) for read in keys)
            if all(key):
                tied[key].append(at)
        for places in tied.values():
            wanted = [at for at in places if "words" not in ties or reversing[at]]
            for original, reversal in _nearest_first(group, places, wanted, within_days):
                free -= {original, reversal}
                proposal = Proposal(group[original], group[reversal], ties)
                found.append((tier, proposal.days, proposal))
    return found


def _nearest_first(
    group: Sequence[Candidate], places: Sequence[int], reversals: Sequence[int], within_days: int
) -> list[tuple[int, int]]:
    """Pair places of a group, always the nearest two that are left; `reversals` are those that may be one."""
    by_sign: dict[bool, list[int]] = {True: [], False: []}
    for at in places:
        by_sign[group[at].amount_minor > 0].append(at)
    taken: set[int] = set()
    # Where, in its side, the last original that is not taken may be before a reversal.
    before: dict[int, int] = {}
    nearest: list[tuple[int, int, int]] = []

    def look(reversal: int) -> None:
        side = by_sign[group[reversal].amount_minor < 0]
        at = before[reversal]
        while at >= 0 and side[at] in taken:
            at -= 1
        before[reversal] = at
        if at >= 0 and (days := group[reversal].day - group[side[at]].day) <= within_days:
            heapq.heappush(nearest, (days, -side[at], reversal))

    for sign, side in by_sign.items():
        opposite, at = by_sign[not sign], -1
        for one in side:
            while at + 1 < len(opposite) and opposite[at + 1] < one:
                at += 1
            before[one] = at
    for reversal in reversals:
        look(reversal)
    found = []
    while nearest:
        _, minus_original, reversal = heapq.heappop(nearest)
        original = -minus_original
        if reversal in taken:
            continue
        if original in taken:
            look(reversal)
            continue
        taken |= {original, reversal}
        found.append((original, reversal))
    return found
