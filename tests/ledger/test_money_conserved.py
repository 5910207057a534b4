"""Whatever is done to postings, in whatever order: not a cent is lost, made, or moved in a closed month."""

from collections import defaultdict
from decimal import Decimal
from itertools import count
from typing import Any

from conftest import Api
from hypothesis import given, settings
from hypothesis import strategies as st
from ledger_factories import a_budget, a_rule, postings
from month_factories import a_row, act, amounts, close, halves, paired, posted, state_what_is_posted
from swardcost_api.ledger.service import posting_totals
from swardcost_api.storage.work import OPERATOR, UnitOfWork

Document = dict[str, Any]
ROWS = [
    a_row("2024-03-05", "100.01", "Sand", vendor="Alder Creek", reference="T-1"),
    a_row("2024-03-09", "-100.01", "Void sand", vendor="Alder Creek", reference="T-1"),
    a_row("2024-03-11", "0.01", "Cent", "7010"),
    a_row("2024-04-02", "-100.01", "Sand again", vendor="Alder Creek"),
    a_row("2024-04-03", "37.77", "Crew", "6110"),
    a_row("2024-04-04", "100.01", "Sand once more", vendor="Alder Creek"),
]
_NUMBERS = count(1)
_STEPS = st.lists(
    st.tuples(
        st.sampled_from(
            ["import", "assign", "shares", "amounts", "unsplit", "pair", "pair", "undo", "apply", "void", "close",
             "reopen"]
        ),
        st.integers(0, 5),
        st.integers(0, 5),
    ),
    min_size=4,
    max_size=14,
)  # fmt: skip


def do(api: Api, lines: list[str], what: str, first: int, second: int) -> None:
    """One step; it may well be refused."""
    known, pairs = postings(api), api.get("/ledger/reversals").json()["items"]
    of_pairs = [one for one in known if any(one["id"] == pair["original"]["id"] for pair in pairs)]
    choice = of_pairs if of_pairs and first > 2 else known
    one = choice[first % len(choice)] if choice else None
    line = [*lines, None][second % 3]
    if what == "import":
        posted(api, *ROWS[: first + 1], *ROWS[second:])
    elif what == "apply":
        assert api.post("/ledger/assignments/apply").status_code == 200
    elif what == "void":
        for made in api.get("/ledger/imports").json()["items"][:1]:
            api.post(f"/ledger/imports/{made['id']}/void", json={"reason": "Wrong"})
    elif what == "undo":
        for pair in pairs[:1]:
            api.post(f"/ledger/reversals/{pair['id']}/undo", json={"reason": "Wrong"})
    elif what == "close":
        month = ("2024-03", "2024-04")[first % 2]
        if api.get(f"/ledger/months/{month}").json()["status"] == "open":
            state_what_is_posted(api, month)
            close(api, month, accept_unassigned="Not of the project")
    elif what == "reopen":
        last = api.get("/ledger/months").json()["closed_through"]
        api.post(f"/ledger/months/{last}/reopen", json={"reason": "Forgotten"})
    elif what == "pair":
        for found in api.get("/ledger/reversals/proposals").json()["items"][first % 2 :][:1]:
            assert paired(api, found["original"], found["reversal"]).status_code == 201
    elif one is None:
        return
    elif what == "assign":
        act(api, one, "assign", budget_line_id=line)
    elif what == "unsplit":
        act(api, one, "unsplit")
    elif what == "shares":
        act(api, one, "split", shares=halves(*lines, percent=(f"{second + 1}", f"{99 - second}")))
    elif what == "amounts":
        whole = Decimal(one["amount"]["amount"])
        part = (whole / (second + 2)).quantize(Decimal("0.01"))
        act(api, one, "split", amounts=amounts(**{lines[0]: str(part), lines[1]: str(whole - part)}))


def checked(api: Api, closed: dict[str, str]) -> None:
    """Every sum agrees with the postings, pairs leave nothing, and closed months are as they were."""
    known = {one["id"]: one for one in postings(api)}
    expected: dict[tuple[str | None, str, str], Decimal] = defaultdict(Decimal)
    for one in known.values():
        whole = Decimal(one["amount"]["amount"])
        if one["parts"]:
            assert one["budget_line_id"] is None
            assert sum(Decimal(part["amount"]["amount"]) for part in one["parts"]) == whole
            for part in one["parts"]:
                expected[part["budget_line_id"], one["account"], one["month"]] += Decimal(
                    part["amount"]["amount"]
                )
        else:
            expected[one["budget_line_id"], one["account"], one["month"]] += whole
    with api.database.reading() as session:
        totals = posting_totals(UnitOfWork(session, api.club, OPERATOR))
    found = {
        (str(one.budget_line_id) if one.budget_line_id else None, one.account, one.month): one.amount_minor
        for one in totals
    }
    assert found == {key: amount * 100 for key, amount in expected.items()}
    for pair in api.get("/ledger/reversals").json()["items"]:
        original, reversal = known[pair["original"]["id"]], known[pair["reversal"]["id"]]
        assert original["reversal_id"] == reversal["reversal_id"] == pair["id"]
        assert reversal["assigned_by"] == "pair"
        assert reversal["budget_line_id"] == original["budget_line_id"]
        assert [(one["budget_line_id"], -Decimal(one["amount"]["amount"])) for one in reversal["parts"]] == [
            (one["budget_line_id"], Decimal(one["amount"]["amount"])) for one in original["parts"]
        ]
    assert {one["id"] for one in known.values() if one["assigned_by"] == "pair"} == {
        pair["reversal"]["id"] for pair in api.get("/ledger/reversals").json()["items"]
    }
    listed = api.get("/ledger/months").json()
    for summary in listed["items"]:
        month = api.get(f"/ledger/months/{summary['month']}").json()
        if month["closed_at"] is None:
            closed.pop(summary["month"], None)
        else:
            assert month["unchanged"]
            assert closed.setdefault(summary["month"], month["fingerprint"]) == month["fingerprint"]


@settings(max_examples=4)
@given(steps=_STEPS)
def test_money_is_conserved_in_any_order_of_assigning_splitting_pairing_and_closing(
    api: Api, steps: list[tuple[str, int, int]]
) -> None:
    club = api.of_new_club(f"club-{next(_NUMBERS)}")
    budget, lines = a_budget(club)
    a_rule(club, budget, lines[0], conditions={"text_contains": "sand", "date_to": "2024-04-03"})
    both = {"budget_id": budget, "name": "Both", "conditions": {"account": "6110"}, "shares": halves(*lines)}
    club.created("/ledger/rules", both)
    posted(club, *ROWS)
    closed: dict[str, str] = {}
    for step in steps:
        do(club, lines, *step)
        checked(club, closed)
