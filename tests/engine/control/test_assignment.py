"""Rule matching."""

from itertools import pairwise
from uuid import UUID

from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.control.assignment import (
    AssignmentRule,
    Share,
    matcher,
    matcher_of_all,
    split_by_shares,
)

LINE = UUID(int=99)


def rule(number: int, priority: int = 0, **conditions: object) -> AssignmentRule:
    return AssignmentRule(UUID(int=number), priority, LINE, **conditions)  # type: ignore[arg-type]


def found(
    *rules: AssignmentRule, day: str = "2026-03-15", account: str = "1520-10", amount: int = 5000,
    text: str = "Topdressing Sand", vendor: str = "Alder Creek",
) -> int | None:  # fmt: skip
    one = matcher(rules)(day, account, amount, text, vendor)
    return one.id.int if one is not None else None


def test_every_condition_of_a_rule_must_hold() -> None:
    whole = rule(
        1, account_prefix="1520", text_contains="SAND", vendor_contains="creek", date_from="2026-03-15",
        date_to="2026-03-15", amount_min=5000, amount_max=5000,
    )  # fmt: skip
    assert found(whole) == 1
    assert found(whole, account="152") is None
    assert found(whole, text="Sod") is None
    assert found(whole, vendor="") is None
    assert found(whole, day="2026-03-14") is None
    assert found(whole, day="2026-03-16") is None
    assert found(whole, amount=4999) is None
    assert found(whole, amount=5001) is None


def test_an_account_is_matched_whole_and_a_prefix_from_its_start() -> None:
    assert found(rule(1, account="1520")) is None
    assert found(rule(1, account="1520-10")) == 1
    assert found(rule(1, account_prefix="520")) is None


def test_letter_case_is_folded_beyond_ascii() -> None:
    assert found(rule(1, text_contains="STRASSE"), text="Sand, Weiherstraße 3") == 1
    assert found(rule(1, vendor_contains="émile"), vendor="ÉMILE ET FILS") == 1


def test_the_lowest_priority_number_wins_then_the_older_rule() -> None:
    assert found(rule(1, 20, account="1520-10"), rule(2, 10, account="1520-10")) == 2
    assert found(rule(5, 10, account="1520-10"), rule(4, 10, account_prefix="1")) == 4


def test_a_project_code_is_matched_whole() -> None:
    one = matcher([rule(1, project_code="CL-2026")])
    assert one("2026-03-15", "1520-10", 5000, "Sand", "", "CL-2026") is not None
    for project in ("", "CL-2026-1", "cl-2026"):
        assert one("2026-03-15", "1520-10", 5000, "Sand", "", project) is None


_RULES = st.lists(
    st.builds(
        lambda number, priority, prefix, text, least: rule(
            number, priority, account_prefix=prefix, text_contains=text, amount_min=least
        ),
        st.integers(1, 10**6), st.integers(0, 3), st.sampled_from([None, "1", "15", "2"]),
        st.sampled_from([None, "sand", "sod"]), st.sampled_from([None, 0, 100]),
    ),
    max_size=8, unique_by=lambda one: one.id,
)  # fmt: skip
_POSTINGS = st.tuples(
    st.just("2026-03-01"), st.sampled_from(["1", "150", "200"]), st.integers(-200, 200),
    st.sampled_from(["Sand", "SOD and sand", ""]), st.just(""),
)  # fmt: skip


@given(rules=_RULES, postings=st.lists(_POSTINGS, max_size=5), data=st.data())
def test_the_order_in_which_rules_are_given_does_not_matter(
    rules: list[AssignmentRule], postings: list[tuple[str, str, int, str, str]], data: st.DataObject
) -> None:
    shuffled = data.draw(st.permutations(rules))
    one, other = matcher(rules), matcher(shuffled)
    for posting in postings:
        taken = one(*posting)
        assert taken == other(*posting)
        alone = [rule for rule in rules if matcher([rule])(*posting) is not None]
        assert taken == min(alone, key=lambda rule: (rule.priority, rule.id), default=None)
        assert list(matcher_of_all(shuffled)(*posting)) == sorted(
            alone, key=lambda rule: (rule.priority, rule.id)
        )


@given(
    amount=st.integers(-(10**12), 10**12),
    cuts=st.lists(st.integers(1, 10**8 - 1), min_size=1, max_size=6, unique=True),
)
def test_shares_of_an_amount_sum_to_it_and_none_is_a_cent_off(amount: int, cuts: list[int]) -> None:
    bounds = [0, *sorted(cuts), 10**8]
    shares = [Share(UUID(int=n), high - low) for n, (low, high) in enumerate(pairwise(bounds))]
    parts = split_by_shares(amount, shares)
    assert sum(parts) == amount
    for part, share in zip(parts, shares, strict=True):
        assert abs(part * 10**8 - amount * share.percent_micros) < 10**8
