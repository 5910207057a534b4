"""Covers and digits: no placement that keeps a limit is left out, and what breaks it by a unit is."""

from itertools import chain, combinations
from math import ceil

from hypothesis import assume, given, settings
from hypothesis import strategies as st
from small_plans import a_project, a_question, a_reserve, all_placements, questions
from swardcost_api.engine.capital.candidates import Question, Starts
from swardcost_api.engine.capital.cover_rows import cover_of
from swardcost_api.engine.capital.digit_rows import BASE, digit_rows
from swardcost_api.engine.capital.kept_limits import Broken, broken_of_years
from swardcost_api.engine.capital.reserve_rows import Columns, floor_sums


def in_windows(question: Question, starts: Starts) -> bool:
    """Whether what starts together does, in a year in which it can."""
    return all(
        starts[key] in question.bundle_of[key].starts
        and all(starts.get(one.key) == starts[key] for one in question.bundle_of[key].members)
        for key in starts
    )


def breaks(question: Question, starts: Starts, limit: Broken) -> bool:
    return any(
        (one.family, one.year) == (limit.family, limit.year) for one in broken_of_years(question, starts)
    )


@settings(max_examples=120, deadline=None)
@given(question=questions(), data=st.data())
def test_a_cover_forbids_what_breaks_the_limit_and_nothing_that_keeps_it(
    question: Question, data: st.DataObject
) -> None:
    placements = [one for one in all_placements(question) if in_windows(question, one)]
    broken = [one for one in placements if any(broken_of_years(question, one))]
    assume(broken)
    starts = data.draw(st.sampled_from(broken))
    limit = data.draw(st.sampled_from(list(broken_of_years(question, starts))))
    cover = cover_of(question, starts, limit)

    def covered(placed: Starts) -> int:
        return sum((bundle.key, placed.get(bundle.key)) in cover.starts for bundle in question.bundles)

    assert covered(starts) > cover.most
    for placed in placements:
        if not breaks(question, placed, limit):
            assert covered(placed) <= cover.most, (placed, cover)


def test_of_twelve_that_are_a_cent_too_dear_for_four_no_four_are_chosen() -> None:
    """Told at once from any four of them: the four cheapest are too dear, so all are."""
    projects = [a_project(f"{n:02}", 25_000_000 + n, years=1) for n in range(12)]
    question = a_question(*projects, years=1, spending=[100_000_005])
    cover = cover_of(question, {f"{n:02}": 0 for n in (3, 5, 8, 11)}, Broken("spending", 0, 1))
    assert cover.starts == {(f"{n:02}", 0) for n in range(12)}
    assert cover.most == 3


def test_money_spent_sooner_covers_money_spent_later_and_not_the_reverse() -> None:
    projects = [a_project(key, 100, years=3) for key in "AB"]
    question = a_question(*projects, years=3, reserve=a_reserve(150, [None, 0, None], "2"))
    cover = cover_of(question, {"A": 1, "B": 1}, Broken("floor", 1, 1))
    assert cover.starts == {(key, year) for key in "AB" for year in (0, 1)}
    assert cover.most == 1


AMOUNTS = st.one_of(
    st.integers(0, 30), st.integers(BASE - 3, BASE + 3), st.integers(0, 20).map(lambda n: 30_000_000 + n),
    st.integers(0, 10**13),
)  # fmt: skip


@given(amounts=st.lists(AMOUNTS, min_size=1, max_size=7), data=st.data())
def test_digits_keep_exactly_what_the_sum_keeps(amounts: list[int], data: st.DataObject) -> None:
    chosen = data.draw(st.sets(st.integers(0, len(amounts) - 1)))
    most = max(sum(amounts[n] for n in chosen) + data.draw(st.integers(-2, 2)), 0)
    fitting = max(
        len(one)
        for one in chain.from_iterable(combinations(amounts, size) for size in range(len(amounts) + 1))
        if sum(one) <= most
    )
    columns = Columns([0.0] * len(amounts), [1.0] * len(amounts), [1] * len(amounts))
    rows = digit_rows(dict(enumerate(amounts)), most, fitting, columns)
    for size in range(len(amounts) + 1):
        for some in combinations(range(len(amounts)), size):
            values = dict.fromkeys(some, 1.0)
            kept = True
            for row, _, high in rows:
                sum_so_far = sum(values.get(n, 0.0) * value for n, value in row.items())
                carry = max(row, default=0)
                if carry >= len(amounts) and row[carry] < 0:
                    values[carry] = float(max(ceil((sum_so_far - high) / BASE), 0))
                    kept = kept and values[carry] <= columns.highs[carry]
                else:
                    kept = kept and sum_so_far <= high
            assert kept is (sum(amounts[n] for n in some) <= most)


@settings(max_examples=80, deadline=None)
@given(question=questions())
def test_a_floor_as_sums_leaves_out_no_placement_that_keeps_it(question: Question) -> None:
    reserve = question.limits.reserve
    assume(reserve is not None)
    assert reserve is not None
    starts = [(bundle, start) for bundle in question.bundles for start in bundle.starts]
    costs: list[dict[int, int]] = [{} for _ in starts]
    for cost, (bundle, start) in zip(costs, starts, strict=True):
        for one in bundle.members:
            for phase, minor in enumerate(one.costs_minor[start]):
                cost[start + phase] = cost.get(start + phase, 0) + minor
    for year in range(question.years):
        sums = floor_sums(reserve, costs, year)
        if sums is None:
            continue
        amounts, most = sums
        for placed in all_placements(question):
            if in_windows(question, placed) and not any(
                breaks(question, placed, Broken("floor", by)) for by in range(year + 1)
            ):
                spent = sum(
                    amounts.get(n, 0)
                    for n, (bundle, start) in enumerate(starts)
                    if placed.get(bundle.key) == start
                )
                assert spent <= most
