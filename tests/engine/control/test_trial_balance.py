"""A month's postings against a trial balance, account by account."""

from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.control.trial_balance import fingerprint_of, movement, reconcile

_MOVEMENTS = st.dictionaries(st.sampled_from(["6110", "6410", "7010", "7020"]), st.integers(-(10**9), 10**9))


def test_an_account_that_only_one_side_has_differs_by_all_of_it() -> None:
    found = reconcile({"6410": 60001, "6999": 500, "7000": 0}, {"6410": 60001, "7010": 8020})
    assert [(one.account, one.difference_minor, one.only_in) for one in found] == [
        ("6410", 0, None),
        ("6999", 500, "ledger"),
        ("7000", 0, "ledger"),
        ("7010", -8020, "trial_balance"),
    ]


def test_the_movement_of_a_balance_is_what_it_grew_by() -> None:
    assert movement(-1500, 500) == -2000


@given(ledger=_MOVEMENTS, stated=_MOVEMENTS)
def test_the_differences_sum_to_the_difference_of_the_sums(
    ledger: dict[str, int], stated: dict[str, int]
) -> None:
    found = reconcile(ledger, stated)
    assert {one.account for one in found} == {*ledger, *stated}
    assert sum(one.difference_minor for one in found) == sum(ledger.values()) - sum(stated.values())


@given(totals=st.lists(st.tuples(st.sampled_from(["", "a", "b"]), st.sampled_from(["1", "11"]), st.integers(),
                                 st.integers(1, 9)), max_size=5), data=st.data())  # fmt: skip
def test_a_fingerprint_knows_no_order_and_every_change(
    totals: list[tuple[str, str, int, int]], data: st.DataObject
) -> None:
    assert fingerprint_of(data.draw(st.permutations(totals))) == fingerprint_of(totals)
    for at, (line, account, amount, count) in enumerate(totals):
        changed = [*totals[:at], (line, account, amount + 1, count), *totals[at + 1 :]]
        assert fingerprint_of(changed) != fingerprint_of(totals)
    assert fingerprint_of([*totals, ("", "1", 0, 1)]) != fingerprint_of(totals)
