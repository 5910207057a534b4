"""Which limits of a plan cannot be kept together: few enough that without any one of them there is a way.

Limits are taken away, first many at once and then one by one, and stay away where there is still no plan.

References
----------
Chinneck and Dravnieks, "Locating Minimal Infeasible Constraint Sets in Linear Programs", ORSA Journal on Computing 3,
1991: the deletion filter (from memory).
"""

import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from swardcost_api.engine.capital.candidates import Limits, Question
from swardcost_api.engine.capital.conflict_words import Part, in_words
from swardcost_api.engine.capital.timing_model import Effort, TimingModel

NODES = 500
SECONDS = 20.0
MOST_ASKED = 300
"""Questions put to the solver before a conflict is told as far as it is narrowed."""


@dataclass(frozen=True, slots=True)
class Conflict:
    """Limits that no plan keeps together; `narrowed` tells that without any one of them some plan keeps the others."""

    parts: tuple[Part, ...]
    narrowed: bool
    words: str


def conflict_in(question: Question, seconds: float = SECONDS, fixed: str | None = None) -> Conflict:
    """The conflict of a question that no plan answers, in parts and in words.

    `fixed` names a project that the question holds in one year, so that the words speak of it. Where the search runs
    out of seconds or questions, what is left is told as not narrowed.
    """
    search = _Search(question, time.monotonic() + seconds)
    parts = list(_parts(question))
    for family in ("after", "floor", "closure_days", "spending"):
        without = [part for part in parts if part.family != family]
        if len(without) < len(parts) and not search.possible(without):
            parts = without
    size = max(len(parts) // 2, 1)
    while size:
        place = 0
        while place < len(parts):
            without = parts[:place] + parts[place + size :]
            if search.possible(without):
                place += size
            else:
                parts = without
        size //= 2
    kept = tuple(sorted(parts, key=lambda part: (part.family, part.year or 0, part.key, part.other)))
    return Conflict(kept, not search.ran_out, in_words(question, kept, fixed))


def _parts(question: Question) -> Iterator[Part]:
    """All that a plan must keep and may be asked to give up, what is told last first."""
    limits = question.limits
    candidates = question.candidates.values()
    for one in candidates:
        yield from (Part("after", key=one.key, other=link.key) for link in one.after)
    if limits.reserve is not None:
        yield from _of_years("floor", limits.reserve.floors_minor)
    yield from _of_years("closure_days", limits.closure_days)
    yield from (Part("required", key=one.key) for one in candidates if one.required)
    yield from _of_years("spending", limits.spending_minor)


def _of_years(family: str, figures: Iterable[int | None]) -> Iterator[Part]:
    return (Part(family, year) for year, figure in enumerate(figures) if figure is not None)  # type: ignore[arg-type]


class _Search:
    """Asks whether a plan keeps some of a question's limits, within bounds of its own."""

    def __init__(self, question: Question, until: float) -> None:
        self.question = question
        self.until = until
        self.asked = 0
        self.ran_out = False

    def possible(self, parts: list[Part]) -> bool:
        """Whether some plan keeps these; where that was not found out, it is taken to be so."""
        left = self.until - time.monotonic()
        if left <= 0 or self.asked >= MOST_ASKED:
            self.ran_out = True
            return True
        self.asked += 1
        model = TimingModel(self._with(set(parts)))
        answered = model.most([0] * len(model.variables), Effort(NODES, left))
        self.ran_out = self.ran_out or (answered.gave_up and answered.starts is None)
        return answered.starts is not None or answered.gave_up

    def _with(self, parts: set[Part]) -> Question:
        """The question with these parts alone, of the projects that its required ones need: others only take."""
        question = self.question
        links = {
            one.key: tuple(link for link in one.after if Part("after", key=one.key, other=link.key) in parts)
            for one in question.candidates.values()
        }
        required = {part.key for part in parts if part.family == "required"}
        needed, waiting = set(), list(required)
        while waiting:
            for one in question.bundle_of[waiting.pop()].members:
                if one.key not in needed:
                    needed.add(one.key)
                    waiting += [link.key for link in links[one.key]]
        chosen = [
            replace(one, required=one.key in required, after=links[one.key])
            for one in question.candidates.values()
            if one.key in needed
        ]
        limits, reserve = question.limits, question.limits.reserve

        def kept(family: str, figures: Iterable[int | None]) -> tuple[int | None, ...]:
            return tuple(
                figure if Part(family, year) in parts else None  # type: ignore[arg-type]
                for year, figure in enumerate(figures)
            )

        narrower = Limits(
            kept("spending", limits.spending_minor),
            kept("closure_days", limits.closure_days),
            reserve and replace(reserve, floors_minor=kept("floor", reserve.floors_minor)),
        )
        return Question(question.first_year, question.years, chosen, narrower, question.late_percent)
