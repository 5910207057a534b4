"""Why a project of a plan starts later than wanted, or is not done: what its wanted year would break or push away."""

import time
from dataclasses import dataclass, replace
from decimal import Decimal

from swardcost_api.engine.capital.candidates import Question
from swardcost_api.engine.capital.conflicts import Conflict
from swardcost_api.engine.capital.kept_limits import Broken, broken_limits
from swardcost_api.engine.capital.moved_words import Move, reason_in_words
from swardcost_api.engine.capital.timing import GAP, MOST_EXACT, NODES, Near, NoTiming, Timing, best_timing
from swardcost_api.engine.capital.timing_model import Effort

SECONDS = 60.0
"""For all the projects of a plan together; those that are not reached are told by the limits they would break."""
MOST_MOVES = 3
"""How many others may move to make room, in a plan of many starts to choose among; more only if these do not."""


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a project is not in the year it was wanted in (`target`).

    `broken` is what it would break there beside the others as they are. `gives_way` are the others that move in the
    best plan with it there, and `lost` what that plan is worth less, in points; below zero where the plan itself was
    not proven the best and this one is better. Where many starts are to choose among, that plan is the best of those
    in which up to `MOST_MOVES` others move, if there are such. `conflict` stands where no plan has it there. Where
    neither is known, `lost` and `conflict` are `None`.
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

    Each is put into that year with all else free, one question to the solver for each, or two, while the seconds last.
    """
    until = time.monotonic() + seconds
    return tuple(
        _reason(question, timing, one.key, until)
        for one in question.candidates.values()
        if (start := timing.starts[one.key]) is None or start > one.target
    )


def _reason(question: Question, timing: Timing, key: str, until: float) -> Reason:
    target, done = question.candidates[key].target, timing.done
    bundle = question.bundle_of[key]
    broken = tuple(
        broken_limits(question, done | {one.key: target for one in bundle.members})
        if target in bundle.starts
        else (Broken("window", target, key=o.key) for o in bundle.members if target not in question.starts(o))
    )
    with_it = _with_it(question, timing, key, until)
    moves: tuple[Move, ...] = ()
    lost = conflict = None
    if isinstance(with_it, Timing):
        lost = timing.worth - with_it.worth
        moves = tuple(
            Move(one, done.get(one), instead)
            for one, instead in with_it.starts.items()
            if instead != done.get(one) and question.bundle_of[one] is not bundle
        )
    elif with_it is not None:
        conflict = with_it.conflict
    words = reason_in_words(question, key, broken, moves, lost, conflict)
    return Reason(key, done.get(key), target, broken, moves, lost, conflict, words)


def _with_it(question: Question, timing: Timing, key: str, until: float) -> Timing | NoTiming | None:
    """The best plan with a project in its target year; `None` where no time is left to ask for it."""
    held = _held(question, key)
    many = sum(len(bundle.starts) for bundle in question.bundles) > MOST_EXACT
    for most_moves in (MOST_MOVES, None) if many else (None,):
        left = until - time.monotonic()
        if left <= 0:
            return None
        effort = Effort(NODES, left, GAP if most_moves is None else 0.0)
        found = best_timing(held, effort, near=Near(timing.done, most_moves), held=key)
        if isinstance(found, Timing):
            return found
    return found


def _held(question: Question, key: str) -> Question:
    """The question with a project required in its target year."""
    target = question.candidates[key].target
    candidates = [
        replace(one, required=True, earliest=target, latest=target) if one.key == key else one
        for one in question.candidates.values()
    ]
    return Question(question.first_year, question.years, candidates, question.limits, question.late_percent)
