"""Terms of purchase that contradict themselves are refused with what was expected."""

from typing import Any

import pytest
from buying import terms_of
from pydantic import ValidationError

TIER = {"from_quantity": "100", "unit_price": "36"}


@pytest.mark.parametrize(
    ("fields", "kind"),
    [
        ({"breaks": {"apply": "each_tier", "tiers": []}}, "too_short"),
        ({"breaks": {"apply": "each_tier", "tiers": [TIER, TIER]}}, "tiers_overlap"),
        ({"breaks": {"apply": "each_tier", "tiers": [TIER | {"below": "200"}]}}, "tiers_apart"),
        ({"breaks": {"apply": "each_tier",
          "tiers": [TIER | {"below": "200"}, {"from_quantity": "250", "unit_price": "34"}]}}, "tiers_apart"),
        ({"breaks": {"apply": "each_tier",
          "tiers": [TIER | {"below": "200"}, {"from_quantity": "150", "unit_price": "34"}]}}, "tiers_apart"),
        ({"bands": {"contract_quantity": "100"}}, "no_band_price"),
        ({"bands": {"contract_quantity": "100", "price_under": "3"},
          "breaks": {"apply": "each_tier", "tiers": [TIER]}}, "breaks_and_bands"),
        ({"bands": {"contract_quantity": "100", "price_under": "3", "under_percent": "101"}}, "under_percent"),
        ({"surcharges": [{"name": "Fuel"}]}, "one_way"),
        ({"surcharges": [{"name": "Fuel", "percent": "1", "per_unit": "1"}]}, "one_way"),
        ({"surcharges": [{"name": "Fuel", "per_unit": "1", "on": "both"}]}, "on_needs_percent"),
        ({"surcharges": [{"name": "Fuel", "percent": "1"}] * 2}, "surcharge_twice"),
        ({"surcharges": [{"name": "Fuel", "percent": "1", "on": "delivery"}]}, "surcharge_on_nothing"),
        ({"delivery": {"by": "zone", "zone": "B", "zones": [{"name": "A", "charge": "1"}]}}, "zone_unknown"),
        ({"delivery": {"by": "zone", "zone": "A", "zones": [{"name": "A", "charge": "1"}] * 2}}, "zone_twice"),
        ({"increment_name": "load"}, "increment_name"),
        ({"increment": "22", "increment_name": "x" * 31}, "string_too_long"),
        ({"increment": "0"}, "not_positive"),
    ],
)  # fmt: skip
def test_terms_that_do_not_fit_together_are_refused(fields: dict[str, Any], kind: str) -> None:
    with pytest.raises(ValidationError) as refused:
        terms_of(**fields)
    assert [fault["type"] for fault in refused.value.errors()] == [kind]


def test_tiers_may_say_where_they_end_and_come_in_any_order() -> None:
    tiers = [{"from_quantity": "200", "unit_price": "34"}, TIER | {"below": "200"}]
    breaks = terms_of(breaks={"apply": "each_tier", "tiers": tiers}).breaks
    assert breaks is not None
    assert len(breaks.tiers) == 2
