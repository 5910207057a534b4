"""HTTP operations of break-even, budget reach and studies of life-cycle cost."""

from uuid import UUID

from swardcost_model import problems
from swardcost_model.choosing import BreakEven, BudgetReach
from swardcost_model.life_cycle import (
    LifeCycleFigures,
    LifeCycleStudy,
    LifeCycleStudyChange,
    NewLifeCycleStudy,
)
from swardcost_model.paging import Page

from swardcost_api.alternatives import break_even, budget_reach, life_cycle_figures, life_cycle_studies
from swardcost_api.alternatives.break_even import BreakEvenSides
from swardcost_api.alternatives.budget_reach import BudgetToReach
from swardcost_api.alternatives.life_cycle_faces import life_cycle_csv
from swardcost_api.alternatives.life_cycle_figures import StudyToTell
from swardcost_api.alternatives.routes import PLANNERS
from swardcost_api.alternatives.routes import room as room
from swardcost_api.operations import CLUB, CSV, EVERYONE, Cursor, Face, Limit
from swardcost_api.storage.work import UnitOfWork

STUDIES = CLUB + "/life-cycle-studies"


@room.ask(
    CLUB + "/break-even", "Find where an alternative becomes cheaper", needs=EVERYONE,
    problems=[problems.WRONG_STATE], reads=break_even.read_break_even,
)  # fmt: skip
def find_break_even(asked: BreakEvenSides) -> BreakEven:
    """Two estimates, or an estimate and a stated cost, over the values of an area, days, hours, a price, a parameter
    of a method, or years of use.

    Both are priced anew, whole, at every value that is named, so that whole loads, minimum charges, price breaks and
    rental periods count. Costs may jump and change order several times: every place that was found is told, and
    whether some may have been missed. Nothing is kept.
    """
    return break_even.find_break_even(asked)


@room.ask(
    CLUB + "/budget-reach", "Find how far a budget reaches", needs=EVERYONE,
    problems=[problems.WRONG_STATE], reads=budget_reach.read_budget_reach,
)  # fmt: skip
def find_budget_reach(asked: BudgetToReach) -> BudgetReach:
    """The largest or smallest area, depth, rate, price or length of work at which an estimate costs no more than the
    budget, with its cost there and at the next value. Nothing is kept."""
    return budget_reach.find_reach(asked)


@room.create(STUDIES, "Study life-cycle cost", needs=PLANNERS, problems=[problems.INVALID_VALUES])
def create_life_cycle_study(work: UnitOfWork, data: NewLifeCycleStudy) -> LifeCycleStudy:
    """Keep ways of having something with what each costs over the years; the first is the base case of the others."""
    return life_cycle_studies.create_study(work, data)


@room.read(STUDIES, "List the life-cycle studies")
def list_life_cycle_studies(
    work: UnitOfWork, limit: Limit = 50, cursor: Cursor = None
) -> Page[LifeCycleStudy]:
    return life_cycle_studies.list_studies(work, limit, cursor)


@room.read(STUDIES + "/{study_id}", "Read a life-cycle study")
def read_life_cycle_study(work: UnitOfWork, study_id: UUID) -> LifeCycleStudy:
    return life_cycle_studies.read_study(work, study_id)


@room.read(
    STUDIES + "/{study_id}/figures", "Count a life-cycle study", reads=life_cycle_figures.read_figures,
    faces=[Face(CSV, life_cycle_csv)],
)  # fmt: skip
def read_life_cycle_figures(asked: StudyToTell) -> LifeCycleFigures:
    """Present value by kind and year, annual equivalent, and against the first alternative: net savings,
    savings-to-investment ratio, rates of return and payback, each with its derivation."""
    return life_cycle_figures.figures_of(asked)


@room.edit(
    STUDIES + "/{study_id}", "Edit a life-cycle study", needs=PLANNERS, problems=[problems.INVALID_VALUES]
)
def change_life_cycle_study(
    work: UnitOfWork, study_id: UUID, data: LifeCycleStudyChange, if_match: int
) -> LifeCycleStudy:
    return life_cycle_studies.change_study(work, study_id, data, if_match)


@room.remove(STUDIES + "/{study_id}", "Delete a life-cycle study", needs=PLANNERS)
def delete_life_cycle_study(work: UnitOfWork, study_id: UUID, if_match: int) -> None:
    """The estimates stay."""
    life_cycle_studies.delete_study(work, study_id, if_match)
