"""The months that a packet may be told through."""

from swardcost_model import problems
from swardcost_model.problems import Fault, ProblemError

from swardcost_api.engine.control.months import months_between

MOST_MONTHS_AHEAD = 36
"""A packet has rows and bars for the months up to the one that counts; what is further ahead is a mistake."""


def refuse_far_ahead(through: str, this_month: str) -> None:
    """Raise `invalid-values` for a month years ahead."""
    if len(months_between(this_month, through)) > MOST_MONTHS_AHEAD:
        expected = f"at most {MOST_MONTHS_AHEAD} months from {this_month} on"
        fault = Fault(pointer="/through", expected=expected, got=through)
        raise ProblemError(problems.INVALID_VALUES, "So far ahead there is nothing to tell.", [fault])


def refuse_before(first: str, through: str, of: str = "of the budget") -> None:
    """Raise `invalid-values` for a month before the first that the budget, or whatever it is `of`, has anything in."""
    if through < first:
        fault = Fault(pointer="/through", expected=f"{first}, the first month {of}, or later", got=through)
        raise ProblemError(problems.INVALID_VALUES, "So early there is nothing to tell.", [fault])
