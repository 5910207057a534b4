"""Choosing by a figure that is not settled: break-even, and how far a budget reaches."""

from swardcost_model.choosing import BreakEven, BreakEvenQuestion, BudgetReach, BudgetReachQuestion

from swardcost._sync.session import Session


class Choosing:
    """Questions to estimates, priced anew at other values; nothing is kept."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def break_even(self, question: BreakEvenQuestion) -> BreakEven:
        """Where one of two alternatives becomes cheaper than the other."""
        return self._session.post(BreakEven, "/v1/clubs/{club}/break-even", question)

    def budget_reach(self, question: BudgetReachQuestion) -> BudgetReach:
        """The largest or smallest value at which an estimate costs no more than the budget."""
        return self._session.post(BudgetReach, "/v1/clubs/{club}/budget-reach", question)
