"""Whole working days out of hours."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from printed_formula import redo
from swardcost_api.engine.schedule.durations import working_days_of
from swardcost_api.units import UNITS


@pytest.mark.parametrize(
    ("work", "sharing", "shift", "days"),
    [(8, 1, 8, 1), (8.1, 1, 8, 2), (0.1, 4, 8, 1), (150, 4, 8, 5), (24, 3, 8, 1), (0.1 + 0.2, 1, 0.3, 1)],
)
def test_a_part_of_a_day_counts_as_a_day(work: float, sharing: int, shift: float, days: int) -> None:
    assert working_days_of(work_h=work, side_by_side=sharing, shift_h=shift).duration_days == days


@pytest.mark.parametrize("wrong", [{"work_h": 0}, {"work_h": math.nan}, {"side_by_side": 0}, {"shift_h": -1}])
def test_hours_that_make_no_sense_are_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="expected"):
        working_days_of(**{"work_h": 8.0, "side_by_side": 1, "shift_h": 8.0} | wrong)  # type: ignore[arg-type]


def test_every_printed_formula_gives_the_printed_figure() -> None:
    for step in working_days_of(work_h=150, side_by_side=4, shift_h=9).steps.values():
        assert redo(step.formula, {one.name: one.value for one in step.inputs}) == pytest.approx(step.value)
        assert all(UNITS[unit].si_unit == unit for unit in (step.unit, *(one.unit for one in step.inputs)))
        assert step.source


HOURS = st.floats(0.01, 5_000)


@given(HOURS, HOURS, st.integers(1, 20), st.floats(1, 24))
def test_more_hours_never_take_fewer_days_and_more_machines_never_more(
    work: float, more: float, sharing: int, shift: float
) -> None:
    days = working_days_of(work_h=work, side_by_side=sharing, shift_h=shift).duration_days
    assert working_days_of(work_h=work + more, side_by_side=sharing, shift_h=shift).duration_days >= days
    assert working_days_of(work_h=work, side_by_side=sharing + 1, shift_h=shift).duration_days <= days
    assert days - 1 <= work / sharing / shift <= days * (1 + 1e-9)
