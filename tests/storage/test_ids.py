"""Identifiers are version 7 UUIDs, in the order in which they were made."""

from datetime import UTC, datetime
from uuid import RFC_4122

from swardcost_api.storage.ids import new_id


def test_ids_are_time_ordered_uuids_of_version_7() -> None:
    made = [new_id() for _ in range(2000)]
    assert {(one.version, one.variant) for one in made} == {(7, RFC_4122)}
    assert len(set(made)) == len(made)
    milliseconds = made[-1].int >> 80
    assert abs(datetime.now(UTC).timestamp() * 1000 - milliseconds) < 60_000


def test_ids_of_one_millisecond_are_in_their_order() -> None:
    """As far as the clock steps by more than the 244 nanoseconds that an id can tell apart."""
    made = [new_id() for _ in range(2000)]
    instants = [one.int >> 64 for one in made]
    assert instants == sorted(instants)
    assert len({one >> 16 for one in instants}) < len(made), "several were made within one millisecond"
    assert len(set(instants)) > len(made) // 2
