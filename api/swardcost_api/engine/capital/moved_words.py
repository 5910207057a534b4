"""Why a project is not in its wanted year, in words: what it would break, and who would have to give way."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from swardcost_api.engine.capital.candidates import Question
from swardcost_api.engine.capital.conflict_words import Part, limits_in_words, listed, quoted
from swardcost_api.engine.capital.conflicts import Conflict
from swardcost_api.engine.capital.kept_limits import Broken


@dataclass(frozen=True, slots=True)
class Move:
    """Another project that gives way: from the year it has to the one it would have; `None` where it is not done."""

    key: str
    start: int | None
    instead: int | None


def reason_in_words(
    question: Question,
    key: str,
    broken: Sequence[Broken],
    moves: Sequence[Move],
    lost: Decimal | None,
    conflict: Conflict | None,
) -> str:
    """A sentence or two: what stands in the way, what would give way and what that costs, as far as it is known."""
    if conflict is not None:
        return conflict.words
    name = f"{quoted(question, key)} in {question.year(question.candidates[key].target)}"
    told = []
    if broken:
        told.append(f"{name} would break {listed(_broken(question, broken))} beside the others as they are.")
    if lost is None:
        told.append("What would have to give way was not found in the time allowed.")
        return " ".join(told)
    cost = f"the plan would {_change(lost)}"
    if moves:
        told.append(f"{'It' if told else name} would {listed(_moves(question, moves))}; {cost}.")
    else:
        told.append(f"{'It' if told else name} would move no other; {cost}.")
    return " ".join(told)


def _change(lost: Decimal) -> str:
    if not lost:
        return "be worth the same"
    size = f"{abs(lost).normalize():f}"
    return f"be worth {size} point{'' if size == '1' else 's'} {'less' if lost > 0 else 'more'}"


def _moves(question: Question, moves: Sequence[Move]) -> list[str]:
    """What happens to the others: those pushed, brought forward, left out and brought in."""
    pushed, forward, out, brought = [], [], [], []
    for one in moves:
        name = quoted(question, one.key)
        if one.instead is None:
            out.append(name)
        elif one.start is None:
            brought.append(f"{name} in {question.year(one.instead)}")
        elif one.instead > one.start:
            pushed.append(f"{name} to {question.year(one.instead)}")
        else:
            forward.append(f"{name} to {question.year(one.instead)}")
    groups = (("push", pushed), ("leave out", out), ("bring forward", forward), ("bring in", brought))
    return [f"{verb} {listed(names)}" for verb, names in groups if names]


def _broken(question: Question, broken: Sequence[Broken]) -> list[str]:
    """The limits that would be broken: those of years, then what must go before, then windows."""
    words = limits_in_words(question, [Part(one.family, one.year) for one in broken])
    for one in broken:
        if one.family == "after":
            words.append(f"the order after {quoted(question, one.other)}")
        elif one.family == "window":
            words.append(f"the window of {quoted(question, one.key)}")
    return words
