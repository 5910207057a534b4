"""Why a project of a plan starts later than wanted, or is not done: what its wanted year would break or push away."""

import time
from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from swardcost_api.engine.capital.candidates import Question, Starts, in_points
from swardcost_api.engine.capital.conflicts import Conflict
from swardcost_api.engine.capital.kept_limits import Broken, broken_limits
from swardcost_api.engine.capital.moved_words import Move, reason_in_words
from swardcost_api.engine.capital.nearby_plans import NearbyPlans
from swardcost_api.engine.capital.timing import GAP, MOST_EXACT, NODES, NoTiming, Timing, best_timing
from swardcost_api.engine.capital.timing_model import Effort

SECONDS = 60.0
"""For all the projects of a plan together; those that are not reached are told by the limits they would break."""
MOVES = (3, 4, 5, 6)
"""How many others may move to make room, in a plan of many starts to choose among; more only if these do not."""


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a project is not in the year it was wanted in (`target`).

    `broken` is what it would break there beside the others as they are. `gives_way` are the others that move in the
    best plan with it there, and `lost` what that plan is worth less, in points; below zero where the plan itself was
    not proven the best and this one is better. Where many starts are to choose among, that plan is the best of those
    in which as few others move as `MOVES` allow, if there are such. `conflict` stands where no plan has it there.
    Where neither is known, `lost` and `conflict` are `None`.
    """

    key: str
    start: int | None
    target: int
    broken: tuple[Broken, ...]
    gives_way: tuple[Move, ...]
    lost: Decimal | None
    conflict: Conflict | None
    words: str


def why_moved(question: Question, timing: Timing, seconds: float = SECONDS) -> tuple[Reason, ...]:
    """A reason for each project that starts after its wanted year, or the first of its window, or is not done.

    Each is put into that year with all else free. Plans near to the one that is explained are looked through first,
    and where that is not enough the solver is asked; whoever is left shares the seconds that are.
    """
    until = time.monotonic() + seconds
    moved = [
        one.key
        for one in question.candidates.values()
        if (start := timing.starts[one.key]) is None or start > one.target
    ]
    found = _nearby(question, timing, moved, until) if moved and seconds > 0 else {}
    few = sum(len(bundle.starts) for bundle in question.bundles) <= MOST_EXACT
    unknown = moved if few else [key for key in moved if key not in found]
    conflicts = {}
    for number, key in enumerate(unknown):
        left = (until - time.monotonic()) / (len(unknown) - number)
        if left <= 0:
            break
        asked = best_timing(_held(question, key), Effort(NODES, left, GAP), near=timing.done, held=key)
        if isinstance(asked, NoTiming):
            conflicts[key] = asked.conflict
        elif key not in found or question.worth_of(asked.done) >= question.worth_of(found[key]):
            found[key] = asked.done
    return tuple(_reason(question, timing, key, found.get(key), conflicts.get(key)) for key in moved)


def _nearby(question: Question, timing: Timing, moved: list[str], until: float) -> dict[str, Starts]:
    """The best plan with each project in its target year and few others moved, where there is one."""
    nearby = NearbyPlans(question, timing.done)
    found: dict[str, Starts] = {}
    for key in moved:
        for most_moves in MOVES:
            if time.monotonic() >= until:
                return found
            plan = nearby.best_with(key, question.candidates[key].target, most_moves)
            if plan is not None:
                found[key] = plan
                break
    return found


def _reason(
    question: Question,
    timing: Timing,
    key: str,
    with_it: Mapping[str, int] | None,
    conflict: Conflict | None,
) -> Reason:
    target, done = question.candidates[key].target, timing.done
    bundle = question.bundle_of[key]
    broken = tuple(
        broken_limits(question, done | {one.key: target for one in bundle.members})
        if target in bundle.starts
        else (Broken("window", target, key=o.key) for o in bundle.members if target not in question.starts(o))
    )
    moves: tuple[Move, ...] = ()
    lost = None
    if with_it is not None:
        lost = timing.worth - in_points(question.worth_of(with_it))
        moves = tuple(
            Move(one, done.get(one), with_it.get(one))
            for one in question.candidates
            if with_it.get(one) != done.get(one) and question.bundle_of[one] is not bundle
        )
    words = reason_in_words(question, key, broken, moves, lost, conflict)
    return Reason(key, done.get(key), target, broken, moves, lost, conflict, words)


def _held(question: Question, key: str) -> Question:
    """The question with a project required in its target year."""
    target = question.candidates[key].target
    candidates = [
        replace(one, required=True, earliest=target, latest=target) if one.key == key else one
        for one in question.candidates.values()
    ]
    return Question(question.first_year, question.years, candidates, question.limits, question.late_percent)
