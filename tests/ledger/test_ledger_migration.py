"""A ledger from before postings were split and months closed."""

import io
from contextlib import closing
from typing import Any, cast
from uuid import UUID

from conftest import CLUB, Api, Clock, found_club
from ledger_factories import COLUMNS, HEADER, SAND, SOD, a_budget
from swardcost_api.ledger.importing import ImportOrder, post_export, read_export
from swardcost_api.ledger.months import list_months
from swardcost_api.ledger.postings import PostingFilter, list_postings
from swardcost_api.ledger.profiles import create_profile
from swardcost_api.ledger.rules import create_rule, list_rules
from swardcost_api.operations import CSV
from swardcost_api.storage import migration
from swardcost_api.storage.database import Database
from swardcost_api.storage.work import OPERATOR, Transactions
from swardcost_model.ledger_assignment import NewRule
from swardcost_model.ledger_profiles import MappedColumns, NewProfile


def test_postings_and_rules_stay_what_they_were(empty_database_url: str) -> None:
    database, clock = Database(empty_database_url), Clock()
    migration.upgrade(database)
    found_club(database, CLUB, clock)
    budget, (sand, sod) = a_budget(Api(cast(Any, None), database, clock, ""))
    transactions = Transactions(database, CLUB, OPERATOR)
    halves = [{"budget_line_id": line, "percent": "50"} for line in (sand, sod)]
    with transactions.writing() as work:
        profile = create_profile(work, NewProfile(name="Detail", columns=MappedColumns(**COLUMNS)))
        for name, account, target in (
            ("Sand", "1520-10", {"budget_line_id": UUID(sand)}), ("Both", "9", {"shares": halves})
        ):  # fmt: skip
            rule = {"budget_id": UUID(budget), "name": name, "conditions": {"account": account}} | target
            create_rule(work, NewRule.model_validate(rule))
    order = ImportOrder(profile_id=profile.id, filename="", media_type=CSV)

    def put_in() -> tuple[int, int]:
        file = io.BytesIO((HEADER + SAND + SOD + "\r\n" * len(seen)).encode())
        with (
            closing(read_export(transactions, file, order)) as read,
            transactions.writing(read.connection) as work,
        ):
            done = post_export(work, read)
        return done.rows_posted, done.rows_known

    def now() -> Any:
        with transactions.reading() as work:
            postings = list_postings(work, 50, None, PostingFilter()).items
            return postings, list_rules(work, 50, None, None).items, list_months(work, None, None)

    seen: list[Any] = []
    assert put_in() == (2, 0)
    seen.append(now())
    migration.downgrade(database, "0015")
    migration.upgrade(database)
    seen.append(now())
    assert seen[1][0] == seen[0][0]
    assert seen[1][1] == [rule for rule in seen[0][1] if rule.name == "Sand"]
    assert seen[1][2] == seen[0][2]
    assert [(one.late, one.parts, one.project) for one in seen[1][0]] == [(False, [], None)] * 2
    assert put_in() == (0, 2)
    database.close()
