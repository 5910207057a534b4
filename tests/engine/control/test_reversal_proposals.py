"""Pairs of a posting and the one that takes it back, as they are proposed."""

from collections.abc import Sequence
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from swardcost_api.engine.control.reversals import TIES, Candidate, Proposal, Tie, propose, says_reversal


def posting(key: str, amount: int, day: int, description: str = "", **more: str) -> Candidate:
    return Candidate(key, more.pop("account", "6410"), amount, day, description, **more)


def pairs(*candidates: Candidate, within: int = 30) -> list[tuple[str, str, tuple[Tie, ...]]]:
    return [(one.original.key, one.reversal.key, one.ties) for one in propose(candidates, within)]


def test_an_opposite_amount_alone_is_no_reversal() -> None:
    assert pairs(posting("a", 500, 1), posting("b", -500, 2)) == []
    assert pairs(posting("a", 500, 1, reference="T-1"), posting("b", -501, 2, reference="T-1")) == []
    assert pairs(posting("a", 0, 1, reference="T-1"), posting("b", 0, 2, reference="T-1")) == []
    other = posting("b", -500, 2, reference="T-1", account="6420")
    assert pairs(posting("a", 500, 1, reference="T-1"), other) == []


def test_a_reference_journal_vendor_or_word_ties_it() -> None:
    assert pairs(posting("a", 500, 1, reference="T-1"), posting("b", -500, 2, reference="t-1")) == [
        ("a", "b", ("reference",))
    ]
    assert pairs(posting("a", 500, 1, journal_id="J9"), posting("b", -500, 2, journal_id="J9"))[0][2] == (
        "journal_id",
    )
    assert pairs(posting("a", -500, 1, vendor="Émile"), posting("b", 500, 2, vendor="ÉMILE"))[0][2] == (
        "vendor",
    )
    assert pairs(posting("a", 500, 1), posting("b", -500, 2, "Reversal of sand"))[0][2] == ("words",)
    assert pairs(posting("a", 500, 1, "Reversal of sand"), posting("b", -500, 2)) == []


def test_words_that_say_reversal() -> None:
    for text in (
        "VOID 1042",
        "reversed entry",
        "To correct March",
        "Correction",
        "cancelled order",
        "Voided",
    ):
        assert says_reversal(text), text
    for text in ("Avoid wet sand", "Incorrectly", "Irreversible damage", "Sand"):
        assert not says_reversal(text), text


def test_it_comes_after_its_original_within_so_many_days() -> None:
    sides = [posting("a", 500, 10, reference="T-1"), posting("b", -500, 40, reference="T-1")]
    assert len(pairs(*sides, within=30)) == 1
    assert pairs(*sides, within=29) == []
    credit_first = [posting("a", -500, 10, reference="T-1"), posting("b", 500, 12, reference="T-1")]
    assert pairs(*credit_first) == [("a", "b", ("reference",))]


def test_on_one_day_the_one_that_says_so_is_the_reversal_or_else_the_credit() -> None:
    assert pairs(posting("z", 500, 1, reference="T-1"), posting("a", -500, 1, reference="T-1"))[0][:2] == (
        "z",
        "a",
    )
    said = posting("z", 500, 1, "Void", reference="T-1"), posting("a", -500, 1, reference="T-1")
    assert pairs(*said)[0][:2] == ("a", "z")


def test_the_stronger_tie_wins_then_the_nearer_day() -> None:
    near = posting("near", 500, 9, vendor="Alder Creek")
    same = posting("same", 500, 1, vendor="Alder Creek", reference="T-1")
    reversal = posting("back", -500, 10, vendor="Alder Creek", reference="T-1")
    assert pairs(near, same, reversal) == [("same", "back", ("reference", "vendor"))]
    plain = posting("back", -500, 10, vendor="Alder Creek")
    assert pairs(near, same, plain) == [("near", "back", ("vendor",))]


def test_the_best_match_comes_first() -> None:
    found = pairs(
        posting("a", 500, 1, vendor="V"), posting("b", -500, 3, vendor="V"),
        posting("c", 700, 1, reference="R"), posting("d", -700, 9, reference="R"),
        posting("e", 900, 1, vendor="V"), posting("f", -900, 2, vendor="V"),
    )  # fmt: skip
    assert [one[1] for one in found] == ["d", "f", "b"]


def ties_of(original: Candidate, reversal: Candidate) -> tuple[Tie, ...]:
    same: dict[Tie, bool] = {
        "reference": original.reference.casefold() == reversal.reference.casefold() != "",
        "journal_id": original.journal_id.casefold() == reversal.journal_id.casefold() != "",
        "words": says_reversal(reversal.description),
        "vendor": original.vendor.casefold() == reversal.vendor.casefold() != "",
    }
    return tuple(tie for tie in TIES if same[tie])


def one_by_one(candidates: Sequence[Candidate], within: int) -> list[Any]:
    """The same by looking at every pair there could be, the best first."""

    def order(one: Candidate) -> tuple[int, bool, bool, str]:
        return one.day, says_reversal(one.description), one.amount_minor < 0, one.key

    ordered = sorted(candidates, key=order)
    possible = []
    for later, reversal in enumerate(ordered):
        for earlier, original in enumerate(ordered[:later]):
            days, ties = reversal.day - original.day, ties_of(original, reversal)
            if (
                original.account == reversal.account
                and original.amount_minor == -reversal.amount_minor != 0
                and days <= within
                and ties
            ):
                strength = [tie not in ties for tie in TIES]
                possible.append((strength, days, -earlier, later, original.key, reversal.key, ties))
    taken: set[str] = set()
    found = []
    for *_, original_key, reversal_key, ties in sorted(possible):
        if not taken & {original_key, reversal_key}:
            taken |= {original_key, reversal_key}
            found.append((original_key, reversal_key, ties))
    return found


_POSTINGS = st.lists(
    st.tuples(
        st.sampled_from([5, 5, 5, -5, -5, 7, -7]), st.integers(1, 8), st.sampled_from(["", "", "Void"]),
        st.sampled_from(["", "V", "W"]), st.sampled_from(["", "R"]), st.sampled_from(["", "J"]),
    ),
    max_size=14,
)  # fmt: skip


@settings(max_examples=150)
@given(rows=_POSTINGS, within=st.integers(0, 6), data=st.data())
def test_it_finds_what_looking_at_every_pair_finds_in_any_order(
    rows: list[tuple[int, int, str, str, str, str]], within: int, data: st.DataObject
) -> None:
    candidates = [
        posting(f"{number:02d}", amount, day, text, vendor=vendor, reference=reference, journal_id=journal)
        for number, (amount, day, text, vendor, reference, journal) in enumerate(rows)
    ]
    expected = one_by_one(candidates, within)
    found = propose(data.draw(st.permutations(candidates)), within)
    assert sorted((one.original.key, one.reversal.key, one.ties) for one in found) == sorted(expected)
    assert found == propose(candidates, within)
    keys = [key for one in found for key in (one.original.key, one.reversal.key)]
    assert len(keys) == len(set(keys))
    strengths = [([tie not in one.ties for tie in TIES], one.days) for one in found]
    assert strengths == sorted(strengths)


def test_thousands_of_equal_amounts_are_paired_in_no_time() -> None:
    many = [
        posting(f"{n:05d}", 500 if n % 2 else -500, n // 10, "Void" if n % 3 else "", vendor="Crew")
        for n in range(8000)
    ]
    found: list[Proposal] = propose(many, 30)
    assert len({key for one in found for key in (one.original.key, one.reversal.key)}) == 2 * len(found)
    assert len(found) > 3900
