"""Methods on soil, turf and hauling: what they refuse where, and what their options change."""

import copy
import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError
from swardcost_api.faults import faults_of
from swardcost_api.methods.registry import METHODS


def changed(name: str, **changes: Any) -> dict[str, Any]:
    """The method's example with parameters changed; a name such as `cycle__fleet` reaches inside."""
    document = copy.deepcopy(METHODS[name].example.parameters)
    for path, value in changes.items():
        *outer, last = path.split("__")
        place = document
        for key in outer:
            place = place[key]
        if value is None:
            place.pop(last, None)
        else:
            place[last] = value
    return document


def measured(name: str, area_m2: float = 100.0, **changes: Any) -> dict[str, float]:
    method = METHODS[name]
    document = json.dumps(changed(name, **changes))
    parameters = method.parameters.model_validate_json(document, strict=True)
    return {measure.name: measure.value for measure in method.take_off(parameters, area_m2)}


def refusals(name: str, **changes: Any) -> dict[str, str]:
    with pytest.raises(ValidationError) as refused:
        measured(name, **changes)
    return {fault.pointer: fault.expected for fault in faults_of(refused.value)}


def quantity(value: str, unit: str) -> dict[str, str]:
    return {"value": value, "unit": unit}


@pytest.mark.parametrize(
    ("name", "changes", "place"),
    [
        ("soil_layer", {"settlement_percent": "100"}, "/settlement_percent"),
        ("soil_layer", {"material": {}}, "/material/dry_bulk_density"),
        ("soil_layer", {"truck": {}}, "/truck"),
        ("amendment_tilled", {"amendment_percent": "0"}, "/amendment_percent"),
        ("amendment_tilled", {"amendment_percent": "100"}, "/amendment_percent"),
        ("root_zone_section", {"freeboard": quantity("19", "inch")}, "/freeboard"),
        ("root_zone_section", {"gravel__settlement_percent": "120"}, "/gravel/settlement_percent"),
        ("topsoil_strip", {"loose_factor": "0.9"}, "/loose_factor"),
        ("topsoil_strip", {"loss_percent": "100"}, "/loss_percent"),
        ("spoil_and_fill", {"state": "wet"}, "/state"),
        ("spoil_and_fill", {"factors": {}}, "/factors"),
        ("spoil_and_fill", {"factors": {"loose_factor": "1.2"}}, "/factors"),
        ("spoil_and_fill", {"factors": {"soil": "sand", "compacted_factor": "1.2"}}, "/factors"),
        ("spoil_and_fill", {"material": None}, ""),
        ("cut_and_fill", {"usable_percent": "101"}, "/usable_percent"),
        (
            "cut_and_fill",
            {"cut_volume": quantity("0", "liter"), "fill_volume": quantity("0", "liter")},
            "/fill_volume",
        ),
        ("cross_sections", {"sections": [{"station": quantity("0", "foot")}]}, "/sections"),
        ("cross_sections", {"sections": [{"station": quantity("0", "foot")}] * 2}, "/sections"),
        ("cross_sections", {"rule": "prismoidal"}, "/sections"),
        ("grid_cut", {"depth_unit": "acre"}, "/depth_unit"),
        ("grid_cut", {"depths": [["1", "1"], ["1"]]}, "/depths"),
        ("grid_cut", {"depths": [["0", "0"], ["0", "0"]]}, "/depths"),
        ("sod_strip", {"loose_factor": "0.5"}, "/loose_factor"),
        ("sprigging", {"sprig_rate": quantity("800", "us_bushel")}, "/sprig_rate"),
        ("seeding", {"purity_percent": "100.5"}, "/purity_percent"),
        ("seeding", {"germination_percent": "0"}, "/germination_percent"),
        ("seeding", {"rate_of": None}, "/rate_of"),
        ("grow_in", {"feeding": None, "water": None}, ""),
        ("grow_in", {"water__efficiency_percent": "0"}, "/water/efficiency_percent"),
        ("hauling", {"cycle__fleet__haulers": 0}, "/cycle/fleet/haulers"),
        ("hauling", {"cycle__fleet__shift_time": quantity("10", "minute")}, "/cycle/fleet"),
        ("stockpile_haul", {"piles": [{"name": "A", "mass": quantity("900", "short_ton")}] * 2}, "/piles"),
        ("stockpile_haul", {"piles": [{"name": "A", "mass": quantity("900", "short_ton")}]}, "/places"),
        (
            "stockpile_haul",
            {
                "piles": [
                    {"name": "North pile", "mass": quantity("10", "short_ton")},
                    {"name": "South pile", "mass": quantity("10", "short_ton")},
                ]
            },
            "/places",
        ),
    ],
)
def test_nonsense_is_refused_at_its_place_when_the_scope_is_written(
    name: str, changes: dict[str, Any], place: str
) -> None:
    assert place in refusals(name, **changes)


def test_a_bushel_is_never_guessed() -> None:
    expected = refusals("sprigging", sprig_rate=quantity("800", "bushel_per_acre"))["/sprig_rate"]
    assert "a unit listed at /v1/units" in expected


def test_the_kind_of_bushel_changes_the_sprigs() -> None:
    def sprigs(unit: str) -> float:
        return measured("sprigging", sprig_rate=quantity("800", unit))["sprig_volume"]

    struck = sprigs("us_bushel_per_acre")
    assert sprigs("sprig_bushel_0_4_cubic_foot_per_acre") / struck == pytest.approx(0.4 / 1.2445, rel=1e-4)


def test_factors_of_ones_own_go_before_the_table() -> None:
    def loose(**factors: str) -> float:
        return measured("spoil_and_fill", factors=factors)["loose_volume"]

    assert loose(soil="sand") == pytest.approx(764.554857984 * 1.11)
    assert loose(soil="sand", loose_factor="1.2") == pytest.approx(764.554857984 * 1.2)


def test_soil_without_a_truck_or_a_density_is_still_measured() -> None:
    found = measured("spoil_and_fill", truck=None, material=None)
    assert list(found) == ["in_place_volume", "loose_volume", "compacted_volume"]


def test_a_box_alone_needs_no_density() -> None:
    found = measured("spoil_and_fill", material=None, truck={"box_volume": quantity("7", "cubic_yard")})
    assert found["loads"] == 186


def test_wet_soil_may_fill_the_payload_before_the_box() -> None:
    truck = {"payload": quantity("6", "short_ton"), "box_volume": quantity("7", "cubic_yard")}
    assert measured("spoil_and_fill", truck=truck)["loads"] == 270


def test_a_section_without_an_intermediate_layer_is_dug_less_deep() -> None:
    found = measured("root_zone_section", intermediate_layer=None)
    assert found["section_depth"] == pytest.approx(16 * 0.0254)
    assert not any(name.startswith("intermediate") for name in found)


def test_edges_take_more_sod_than_the_area() -> None:
    edges = {"perimeter": quantity("100", "meter"), "strip_width": quantity("0.2", "meter")}
    plain, edged = measured("sodding"), measured("sodding", edges=edges)
    assert edged["sod_area"] - plain["sod_area"] == pytest.approx(20)


def test_a_rate_of_bulk_seed_is_bought_as_it_is() -> None:
    live, bulk = measured("seeding"), measured("seeding", rate_of="bulk_seed")
    assert bulk["seed_mass"] == pytest.approx(live["seed_mass"] * 0.68)


def test_prismoidal_sections_hold_less_than_end_areas_where_ground_tapers() -> None:
    sections = [
        {"station": quantity(station, "meter"), "cut_area": quantity(area, "square_meter")}
        for station, area in (("0", "12"), ("5", "3"), ("10", "0"))
    ]
    assert measured("cross_sections", sections=sections, rule="prismoidal")["cut_volume"] == pytest.approx(40)
    assert measured("cross_sections", sections=sections)["cut_volume"] == pytest.approx(45)


def test_a_small_box_takes_more_trips_than_the_payload_says() -> None:
    box = {"volume": quantity("54", "cubic_foot"), "bulk_density": quantity("100", "pound_per_cubic_foot")}
    found = measured("hauling", box=box)
    assert found["loads"] == found["most_trips"] == found["fewest_trips"] == 556


def test_a_faster_way_back_saves_hours() -> None:
    assert measured("hauling", cycle__empty_speed=quantity("12", "mile_per_hour"))["machine_time"] < 150


def test_haulers_beyond_the_trips_are_not_paid() -> None:
    few = {"haulers": 3, "shift_time": quantity("8", "hour")}
    load = {"mass": quantity("9", "short_ton"), "payload_at_most": None}
    three, many = (measured("hauling", **load, cycle__fleet=few | {"haulers": count}) for count in (3, 12))
    assert (three["trips"], many["haulers_used"]) == (3, 3)
    assert 60 * many["haul_duration"] == pytest.approx(18 + 2 * 5)
    assert many["fleet_time"] == three["fleet_time"] == pytest.approx(3 * many["haul_duration"])


def test_the_least_haul_is_the_shortest_there_is() -> None:
    nearest, least = measured("stockpile_haul"), measured("stockpile_haul", plan="least_haul")
    assert nearest["average_haul_distance"] == pytest.approx(1_100)
    assert least["average_haul_distance"] == least["least_average_haul_distance"] == pytest.approx(620)
    assert least["machine_time"] < nearest["machine_time"]


depths = st.decimals("-10", "10", places=2).map(str)


@given(st.lists(st.lists(depths, min_size=3, max_size=3), min_size=2, max_size=5))
def test_a_grid_that_is_accepted_never_fails_when_priced(rows: list[list[str]]) -> None:
    try:
        found = measured("grid_cut", depths=rows)
    except ValidationError:
        return
    assert found["cut_volume"] + found["fill_volume"] > 0


@given(
    st.sampled_from(["1", "7.5", "480", "90000"]), st.sampled_from(["minute", "hour"]), st.integers(1, 200)
)
def test_a_fleet_that_is_accepted_never_fails_when_priced(value: str, unit: str, haulers: int) -> None:
    fleet = {"haulers": haulers, "shift_time": quantity(value, unit)}
    try:
        found = measured("hauling", cycle__fleet=fleet)
    except ValidationError:
        return
    assert found["shifts"] >= 1
