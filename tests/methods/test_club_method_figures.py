"""Figures of a club's own methods: the built-in ones copied, and needs that follow their driver."""

import json
from typing import Any

import pytest
from club_method_factories import FEEDING
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.methods.club_checks import faults_in
from swardcost_api.methods.club_methods import club_method, method_of
from swardcost_api.methods.frame import Method
from swardcost_api.methods.registry import METHODS
from swardcost_model.club_methods import ClubMethodFields

ALL = [pytest.param(method, id=name) for name, method in METHODS.items()]


def fields_of(**document: Any) -> ClubMethodFields:
    fields = ClubMethodFields.model_validate_json(json.dumps({"title": "Ours"} | document), strict=True)
    assert faults_in(fields) == []
    return fields


def pounds_of(amount: str, minimum: str | None, waste: str = "0") -> ClubMethodFields:
    line = {
        "name": "iron", "item": "IRON", "waste_percent": waste,
        "rate": {"amount": {"value": amount, "unit": "pound"}, "per": {"value": "1", "unit": "thousand_square_feet"}},
        "minimum": None if minimum is None else {"value": minimum, "unit": "pound"},
    }  # fmt: skip
    return fields_of(driver={"name": "fed_area", "unit": "acre"}, lines=[line])


def need(fields: ClubMethodFields, area_m2: float) -> float:
    method = method_of("ours", 1, fields)
    found = method.take_off(method.parameters_as_typed({}), area_m2)
    return next(measure.value for measure in found if measure.name == "iron")


@pytest.mark.parametrize("method", ALL)
@given(area_m2=st.floats(10, 1e5))
def test_a_copy_with_all_parameters_set_yields_exactly_what_the_built_in_method_does(
    method: Method, area_m2: float
) -> None:
    copied = method_of(
        "ours", 1, fields_of(base={"method": method.name, "presets": method.example.parameters})
    )
    given_directly = method.parameters_as_typed(method.example.parameters)
    assert copied.take_off(copied.parameters_as_typed({}), area_m2) == method.take_off(
        given_directly, area_m2
    )
    assert copied.take_off(copied.parameters_as_stored({}), area_m2) == method.take_off(
        given_directly, area_m2
    )
    assert (copied.needs_areas, copied.measures, copied.cautions) == (
        method.needs_areas, method.measures, method.cautions,
    )  # fmt: skip


rates = st.decimals("0.01", "500", places=2).map(str)


@given(rate=rates, area_m2=st.floats(1, 1e6), more=st.floats(1, 3))
def test_more_area_never_needs_less_and_twice_the_rate_needs_twice(
    rate: str, area_m2: float, more: float
) -> None:
    assert need(pounds_of(rate, None), area_m2 * more) >= need(pounds_of(rate, None), area_m2)
    twice = str(2 * float(rate))
    assert need(pounds_of(twice, None), area_m2) == pytest.approx(2 * need(pounds_of(rate, None), area_m2))


@given(rate=rates, least=rates, area_m2=st.floats(1, 1e6))
def test_a_need_is_the_larger_of_the_rate_and_the_minimum(rate: str, least: str, area_m2: float) -> None:
    by_rate = need(pounds_of(rate, None), area_m2)
    assert need(pounds_of(rate, least), area_m2) == max(by_rate, float(least) * 0.45359237)


@given(acres=st.decimals("0.01", "200", places=4))
def test_a_rate_in_other_units_of_the_same_worth_gives_the_same_need(acres: Any) -> None:
    metric = pounds_of("2", None).model_dump(mode="json")
    metric["lines"][0]["rate"] = {
        "amount": {"value": "907.18474", "unit": "gram"},
        "per": {"value": "92.90304", "unit": "square_meter"},
    }
    area_m2 = float(acres) * 4046.8564224
    assert need(ClubMethodFields.model_validate(metric), area_m2) == pytest.approx(
        need(pounds_of("2", None), area_m2)
    )


def test_a_revision_is_built_once() -> None:
    document = json.dumps(
        fields_of(**{k: v for k, v in FEEDING.items() if k not in ("name", "title")}).model_dump(mode="json")
    )
    assert club_method("ours", 1, document) is club_method("ours", 1, document)
    assert club_method("ours", 2, document).revision == 2


def test_waste_goes_to_the_purchase_and_not_into_the_need() -> None:
    assert need(pounds_of("2", None, waste="10"), 1_000) == need(pounds_of("2", None), 1_000)
    assert method_of("ours", 1, pounds_of("2", None, waste="10")).resources[0]["waste_percent"] == "10"
