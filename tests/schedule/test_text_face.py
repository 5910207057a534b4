"""The schedule as text: lines that keep their width whatever the names, and words that agree with their numbers."""

import unicodedata

import pytest
from conftest import Api
from hypothesis import example, given
from hypothesis import strategies as st
from rich.cells import cell_len
from schedule_factories import CORING, HAULING, a_closure, a_green, after, an_item_of_work, by_measure, days
from swardcost_api.schedule.text_face import MOST_COLUMNS, MOST_COLUMNS_OF_A_NAME, wrapped
from swardcost_api.schedule.words import counted, listed

JOINERS = set("\u200c\u200d")
LONGEST = 200
"""Characters that a name may have."""
HOSTILE = {
    "one word": "x" * LONGEST,
    "many words": ("Slice the greens in two directions, then roll them twice and blow the debris off " * 3)[:LONGEST],
    "wide": ("果岭打孔并铺沙以及清理所有碎屑然后滚压两遍直到表面完全平整为止再浇水三次" * 6)[:LONGEST],
    "turned": "Sand \u202egnisrever\u202c and \x9b2Jescapes\u2028with a line of its own",
}  # fmt: skip


def text_of(api: Api, project: str) -> list[str]:
    response = api.get(f"/projects/{project}/schedule", headers={"Accept": "text/plain"})
    assert response.status_code == 200, response.text
    return response.text.split("\n")


@given(st.text(max_size=LONGEST), st.integers(2, 40))
@example("e\u0301" * 30, 7)
@example("果" * 30, 7)
def test_wrapped_text_keeps_its_columns_and_every_visible_character(text: str, columns: int) -> None:
    lines = wrapped(text, columns)
    assert all(cell_len(line) <= columns for line in lines)
    whole = wrapped(text, 10_000)
    assert len(whole) == 1
    assert "".join(lines).replace(" ", "") == whole[0].replace(" ", "")
    assert not any(unicodedata.category(c) in {"Cc", "Cf"} for line in lines for c in set(line) - JOINERS)


@given(st.lists(st.text("abc", min_size=1, max_size=6), min_size=1, max_size=20))
def test_words_that_fit_are_never_broken(words: list[str]) -> None:
    assert " ".join(wrapped(" ".join(words), 6)).split() == words


@pytest.mark.parametrize("name", HOSTILE.values(), ids=HOSTILE.keys())
def test_hostile_names_leave_the_bars_in_their_column_and_no_line_too_long(api: Api, name: str) -> None:
    project = a_closure(api, closed_days=[{"day": "2026-09-15", "reason": name}])
    first = an_item_of_work(api, project, days("3"), name=name)
    an_item_of_work(api, project, days("1") | {"predecessors": [after(first)]}, name="Roll")
    an_item_of_work(api, project, None, name=name)
    lines = text_of(api, project)
    assert all(cell_len(line) <= MOST_COLUMNS for line in lines)
    assert not any(set(line) & set("\u202e\u202c\x9b\u2028") for line in lines)
    bars = [line for line in lines if "  critical  " in line]
    assert [bar[-7:] for bar in bars] == ["#o##...", "....#.."]
    assert len({cell_len(bar) for bar in bars}) == 1
    assert all(cell_len(bar.split("  critical")[0]) <= 5 + MOST_COLUMNS_OF_A_NAME for bar in bars)


def test_a_name_longer_than_its_column_goes_on_below_it(api: Api) -> None:
    project = a_closure(api)
    an_item_of_work(api, project, days("1"), name="Bring in the sand and haul it to the work")
    lines = text_of(api, project)
    place = lines.index("  1  Bring in the sand and haul it to  critical  #......")
    assert lines[place + 1] == "     the work"


def test_one_is_told_in_the_singular(api: Api) -> None:
    project = a_closure(api, weather_days=1, closure_last_day="2026-09-22")
    first = an_item_of_work(api, project, days("2") | {"latest_finish": "2026-09-14"}, name="Sand")
    an_item_of_work(api, project, days("1") | {"predecessors": [after(first, lag_days=1)]}, name="Roll")
    an_item_of_work(api, project, by_measure("machine_time", side_by_side=1), HAULING, name="Haul")
    lines = text_of(api, project)
    assert "For weather       1 working day" in lines
    assert "Course reopens    2026-09-19 (fits with 4 days to spare)" in lines
    assert "  2  2026-09-17 to 2026-09-17  Starts after the finish of 1 Sand, 1 working day later." in lines
    assert "  -  Sand finishes 1 day after its latest finish." in lines
    assert any(line.endswith(("6.7 loads a day.", "6.7 trips a day.")) for line in lines)


def test_a_gap_to_the_bound_is_told_in_the_head(api: Api, monkeypatch: pytest.MonkeyPatch) -> None:
    # So small a limit that the solver is not asked. The rule starts with the longest work, whose recovery is not.
    monkeypatch.setattr("swardcost_api.engine.schedule.exact.MOST_STARTS", 1)
    project = a_closure(api, crews=[{"name": "Crew", "people": 2}])
    for name, long, people, recovery in (("Sand", 1, 2, 0), ("Core", 4, 2, 4), ("Roll", 4, 1, 0)):
        work = days(str(long)) | {"crew": "Crew", "people": people, "recovery_days": recovery}
        an_item_of_work(api, project, work, name=name)
    lines = text_of(api, project)
    schedule = api.get(f"/projects/{project}/schedule").json()
    solution = schedule["solution"]
    assert solution["rule"] == "priority_rule"
    assert solution["gap_days"] > 0
    gap = f"before {solution['not_before']}, {solution['gap_days']} days earlier."
    assert f"No schedule of these tasks reopens the course {gap}" in lines[:12]


def test_a_green_that_recovers_is_drawn_to_the_day_before_it_is_open(api: Api) -> None:
    project = a_closure(api)
    work = days("1") | {"invasive": True, "recovery_days": 1}
    an_item_of_work(api, project, work, CORING, areas=[a_green(api)], name="Core")
    assert "  1  Core  critical  #~....." in text_of(api, project)


def test_counts_and_lists_agree_with_their_numbers() -> None:
    assert [counted(n, "working day") for n in (0, 1, 2, 1200)] == [
        "0 working days", "1 working day", "2 working days", "1,200 working days",
    ]  # fmt: skip
    assert [listed(list("ABCD")[:n], "area", 2) for n in (1, 2, 3, 4)] == [
        "A", "A and B", "A, B and 1 more area", "A, B and 2 more areas",
    ]  # fmt: skip
