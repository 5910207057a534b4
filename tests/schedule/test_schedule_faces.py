"""The schedule as CSV and as text."""

import csv
import io

from conftest import Api
from schedule_factories import CORING, a_closure, a_green, after, an_item_of_work, days

USD = {"amount": "1000.00", "currency": "USD"}


def a_schedule(api: Api) -> str:
    project = a_closure(api, revenue_lost={"per_day": USD}, weather_days=0, closed_days=[
        {"day": "2026-09-15", "reason": "Charity day"},
    ])  # fmt: skip
    core = an_item_of_work(
        api,
        project,
        days("2") | {"invasive": True, "recovery_days": 6},
        CORING,
        areas=[a_green(api)],
        name="Core",
    )
    an_item_of_work(api, project, days("1") | {"predecessors": [after(core)]}, name="=Sand")
    an_item_of_work(api, project, None, name="Signs")
    return project


def faces(api: Api, project: str, accept: str) -> str:
    answers = {api.get(f"/projects/{project}/schedule", headers={"Accept": accept}).text for _ in range(2)}
    assert len(answers) == 1
    return answers.pop()


def test_csv_has_a_row_for_each_task_and_each_item_without_days(api: Api) -> None:
    rows = list(csv.DictReader(io.StringIO(faces(api, a_schedule(api), "text/csv"))))
    assert [(row["number"], row["scope_item"], row["starts_on"], row["critical"]) for row in rows] == [
        ("1", "Core", "2026-09-14", "yes"), ("2", "'=Sand", "2026-09-17", "no"), ("3", "Signs", "", ""),
    ]  # fmt: skip
    assert rows[2]["why"] == "not scheduled: It has no task."


def test_text_answers_first_and_draws_a_sign_for_each_day(api: Api) -> None:
    lines = faces(api, a_schedule(api), "text/plain").splitlines()
    assert "Course reopens    2026-09-23 (fits with 19 days to spare)" in lines[:6]
    assert "Revenue lost      9000.00 USD" in lines
    assert "A further day     1000.00 USD" in lines
    # Monday and Wednesday are worked, Tuesday is off, then six days of recovery.
    assert "  1  Core   critical  #o#~~~~ ~~....." in lines
    assert "  2  =Sand  float 3   ...#... ......." in lines
    assert "  3  Signs: It has no task." in lines
    assert "     2026-09-15  Charity day" in lines


def test_long_schedules_have_a_sign_for_each_week(api: Api) -> None:
    project = a_closure(api)
    an_item_of_work(api, project, days("100") | {"recovery_days": 14}, name="Wall")
    assert "  1  Wall  critical  " + "#" * 20 + "~~" in faces(api, project, "text/plain")


def test_another_media_type_is_refused(api: Api) -> None:
    refused = api.get(f"/projects/{a_closure(api)}/schedule", headers={"Accept": "image/png"})
    assert refused.status_code == 406
