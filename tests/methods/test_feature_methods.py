"""Methods of work on single features: what they refuse where, and what they give when parts are left out."""

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import BaseModel
from swardcost_api.methods.registry import METHODS
from swardcost_api.units import UNITS
from test_builtin_methods import measured, quantity, refusals

SIZED = ["tee_building", "bunker_removal", "bunker_rebuilding"]
FEATURES = [
    *SIZED, "drainage", "tree_planting", "green_surround", "cart_path", "bank_reestablishment", "brush_mulching",
    "mulch_bed", "fence", "irrigation_move", "clubhouse_room", "counted_items",
]  # fmt: skip


def values(name: str, area_m2: float = 0.0, **changed: Any) -> dict[str, float]:
    return {one.name: one.value for one in measured(METHODS[name], area_m2, **changed).values()}


def part(name: str, parameter: str, **changed: Any) -> dict[str, Any]:
    """One parameter of a method's example with some of its own changed."""
    document = METHODS[name].example.parameters[parameter] | changed
    return {key: value for key, value in document.items() if value is not None}


@pytest.mark.parametrize("name", SIZED)
def test_the_size_is_that_of_the_areas_where_none_is_stated(name: str) -> None:
    assert values(name, 500.0, area=None)["area"] == 500.0
    assert values(name, 500.0, area=quantity("100", "square_meter"))["area"] == 100.0


@pytest.mark.parametrize("name", SIZED)
def test_without_any_size_nothing_is_measured_rather_than_zero(name: str) -> None:
    assert values(name, 0.0, area=None) == {}


def test_laterals_and_tree_grids_take_the_areas_where_none_is_stated() -> None:
    laterals = part("drainage", "laterals", area=None)
    assert values("drainage", 45.72, laterals=laterals)["lateral_length"] == pytest.approx(10)
    assert values("drainage", 0.0, laterals=laterals) == {}
    grid = part("tree_planting", "grid", area=None)
    assert values("tree_planting", 4046.8564224, grid=grid)["trees"] == 538
    assert values("tree_planting", 0.0, grid=grid) == {}


@pytest.mark.parametrize(
    ("name", "changed", "place"),
    [
        ("drainage", {"main_length": None, "laterals": None}, ""),
        ("drainage", {"pipe_diameter": quantity("7", "inch")}, "/pipe_diameter"),
        ("drainage", {"cover_depth": quantity("8", "inch")}, "/cover_depth"),
        ("drainage", {"cover_depth": None}, "/cover"),
        ("drainage", {"outlets": 0}, "/outlets"),
        ("tee_building", {"mean_cut": quantity("1", "foot")}, ""),
        ("tee_building", {"points": None}, ""),
        ("tee_building", {"points": None, "mean_cut": quantity("0", "foot")}, ""),
        ("tee_building", {"compacted_percent": "0"}, "/compacted_percent"),
        ("tee_building", {"drain": None}, "/spoil"),
        ("bunker_rebuilding", {"old_sand": None, "drain": None}, "/spoil"),
        ("bunker_removal", {"topsoil_depth": quantity("24", "inch")}, "/topsoil_depth"),
        (
            "bunker_rebuilding",
            {"faces": {"percent": "100", "slope_percent": "75", "sand_depth": quantity("2", "inch")}},
            "/faces/percent",
        ),
        ("green_surround", {"strip_depth": None}, "/spoil"),
        ("cart_path", {"edges": 3}, "/edges"),
        ("bank_reestablishment", {"height": quantity("3", "foot")}, "/stone"),
        ("bank_reestablishment", {"cut_depth": None}, "/spoil"),
        (
            "bank_reestablishment",
            {"geotextile": {"roll_width": quantity("4", "foot"), "lap": quantity("48", "inch")}},
            "/geotextile/lap",
        ),
        (
            "bank_reestablishment",
            {
                "stone": None,
                "geotextile": {
                    "placement": "under_stone",
                    "roll_width": quantity("4", "foot"),
                    "lap": quantity("1", "foot"),
                },
            },
            "/geotextile",
        ),
        ("brush_mulching", {"stands": []}, "/stands"),
        ("tree_planting", {"trees": 5}, ""),
        ("tree_planting", {"grid": None}, ""),
        ("tree_planting", {"pit": None}, "/spoil"),
        ("mulch_bed", {"old_depth": quantity("3", "inch")}, "/old_depth"),
        ("fence", {"stretches": []}, "/stretches"),
        ("irrigation_move", {"heads": 0}, "/heads"),
        ("clubhouse_room", {"height": quantity("0.5", "foot")}, "/windows"),
        ("counted_items", {"count": 1.5}, "/count"),
    ],
)
def test_what_cannot_be_is_refused_at_its_place(name: str, changed: dict[str, Any], place: str) -> None:
    assert list(refusals(name, **changed)) == [place]


@pytest.mark.parametrize(
    ("name", "parameter", "changed", "place"),
    [
        ("tree_planting", "pit", {"diameter": quantity("23", "inch")}, "/pit/diameter"),
        ("tree_planting", "pit", {"depth": quantity("17", "inch")}, "/pit/depth"),
        ("fence", "footing", {"post_diameter": quantity("1", "foot")}, "/footing/post_diameter"),
        ("tee_building", "drain", {"pipe_diameter": quantity("9", "inch")}, "/drain/pipe_diameter"),
        ("bank_reestablishment", "geotextile", {"placement": "under_sod"}, "/geotextile/placement"),
    ],
)
def test_parts_that_do_not_fit_are_refused_at_their_place(
    name: str, parameter: str, changed: dict[str, Any], place: str
) -> None:
    assert list(refusals(name, **{parameter: part(name, parameter, **changed)})) == [place]


def test_stands_are_each_named_once_and_make_up_the_whole() -> None:
    light, heavy = METHODS["brush_mulching"].example.parameters["stands"]
    assert refusals("brush_mulching", stands=[light, light]) == {"/stands": "each density once"}
    assert refusals("brush_mulching", stands=[light, heavy | {"percent": "45"}]) == {
        "/stands": "parts that add up to 100 percent, not 95"
    }


def test_mean_depths_stand_in_for_surveyed_points() -> None:
    found = values(
        "tee_building", points=None, mean_cut=quantity("0.2", "foot"), mean_fill=quantity("0.3", "foot")
    )
    assert found == pytest.approx(METHODS["tee_building"].example.expected)


def test_a_stated_count_of_trees_needs_no_area() -> None:
    assert values("tree_planting", grid=None, trees=538) == pytest.approx(
        METHODS["tree_planting"].example.expected
    )


def test_a_drain_of_gravel_alone_has_no_pipe() -> None:
    found = values("drainage", pipe_diameter=None, cover_depth=None, cover=None)
    assert not {"pipe_volume", "pipe_to_order", "cover_volume"} & set(found)
    assert found["gravel_volume"] == found["trench_volume"]


def test_dug_soil_that_covers_a_drain_is_not_hauled_off() -> None:
    brought, back = values("drainage"), values("drainage", cover=None)
    assert brought["spoil_volume"] == brought["trench_volume"]
    assert back["spoil_volume"] == pytest.approx(back["trench_volume"] - back["cover_volume"])
    assert back["loose_spoil"] == pytest.approx(1.25 * back["spoil_volume"])
    assert not {"cover_to_bring_in", "cover_mass"} & set(back)


def test_the_trench_of_a_tee_drain_is_covered_by_its_root_zone_or_by_what_was_dug() -> None:
    drain = part("tee_building", "drain", cover_depth=quantity("2", "inch"))
    zone, soil = values("tee_building", drain=drain), values("tee_building", drain=drain, root_zone=None)
    assert zone["root_zone_in_place"] == pytest.approx(zone["root_zone_volume"] + zone["cover_volume"])
    assert zone["spoil_volume"] == zone["trench_volume"]
    assert soil["spoil_volume"] == pytest.approx(soil["trench_volume"] - soil["cover_volume"])
    assert "root_zone_in_place" not in soil


def test_old_sand_and_trench_soil_of_a_bunker_share_their_loads() -> None:
    both = values("bunker_rebuilding")
    assert both["spoil_volume"] == pytest.approx(both["sand_out_volume"] + both["trench_volume"])
    assert both["sand_in_place"] == pytest.approx(both["new_sand_volume"] + both["cover_volume"])
    trench, sand = values("bunker_rebuilding", old_sand=None), values("bunker_rebuilding", drain=None)
    assert trench["spoil_volume"] == both["trench_volume"]
    assert sand["spoil_volume"] == both["sand_out_volume"]
    assert sand["sand_in_place"] == sand["new_sand_volume"]
    assert "spoil_volume" not in values("bunker_rebuilding", spoil=None)


def test_fabric_lies_under_the_stone_unless_it_is_said_or_there_is_none() -> None:
    def fabric(**changed: Any) -> float:
        anchorless = {"toe_anchor": None, "top_anchor": None}
        laid = part("bank_reestablishment", "geotextile", **anchorless, **changed.pop("placed", {}))
        found = values("bank_reestablishment", geotextile=laid, **changed)
        assert found["fabric_strips"] == 20
        return found["fabric_area"]

    wide = 20 * 12.5 * 0.3048
    stone, slope = 4 * 0.3048, 7.5 * 0.3048
    assert fabric() == fabric(placed={"placement": "under_stone"}) == pytest.approx(wide * stone)
    assert fabric(placed={"placement": "whole_slope"}) == pytest.approx(wide * slope)
    assert fabric(stone=None) == pytest.approx(wide * slope)


def test_a_room_with_no_pace_has_no_hours() -> None:
    found = values(
        "clubhouse_room",
        doors=None,
        windows=None,
        wall_paint=None,
        ceiling_paint=None,
        flooring=None,
        skirting=None,
    )
    assert list(found) == ["floor_area", "ceiling_area", "wall_area", "skirting_length"]


def test_a_bank_all_of_stone_has_nothing_to_plant() -> None:
    stone = part("bank_reestablishment", "stone", slope_length=quantity("7.5", "foot"))
    found = values("bank_reestablishment", stone=stone)
    assert found["planted_area"] == pytest.approx(0, abs=1e-9)
    assert not {"live_stakes", "sod_to_order"} & set(found)


@pytest.mark.parametrize("name", FEATURES)
def test_examples_of_nested_parameters_hold(name: str) -> None:
    def models(model: type[BaseModel]) -> Any:
        yield model
        for field in model.model_fields.values():
            for kind in (field.annotation, *getattr(field.annotation, "__args__", ())):
                if isinstance(kind, type) and issubclass(kind, BaseModel) and kind is not model:
                    yield from models(kind)

    for model in models(METHODS[name].parameters):
        written = {key: field.examples[0] for key, field in model.model_fields.items() if field.examples}
        needed = {key for key, field in model.model_fields.items() if field.is_required()}
        if model is not METHODS[name].parameters and needed <= set(written):
            model.model_validate_json(json.dumps(written), strict=True)


lengths = st.decimals("0.001", "100000", places=3).map(lambda value: quantity(format(value, "f"), "foot"))


@given(lengths, lengths, lengths, lengths)
def test_a_drain_that_is_accepted_when_written_never_fails_when_priced(
    length: Any, width: Any, depth: Any, pipe: Any
) -> None:
    try:
        found = values(
            "drainage",
            main_length=length,
            trench_width=width,
            trench_depth=depth,
            pipe_diameter=pipe,
            cover_depth=None,
            cover=None,
        )
    except ValueError:
        return
    assert found["gravel_volume"] > 0


@pytest.mark.parametrize("name", FEATURES)
@pytest.mark.parametrize("unit", ["foot", "meter"])
def test_units_do_not_change_the_answer(name: str, unit: str) -> None:
    """The example with every length of a foot or an inch written in metres or feet instead."""

    def rewritten(value: Any) -> Any:
        if isinstance(value, list):
            return [rewritten(one) for one in value]
        if not isinstance(value, dict):
            return value
        if set(value) == {"value", "unit"} and value["unit"] in ("foot", "inch"):
            size = float(value["value"]) * UNITS[value["unit"]].si_factor / UNITS[unit].si_factor
            return quantity(f"{size:.6f}", unit)
        return {key: rewritten(one) for key, one in value.items()}

    method = METHODS[name]
    area = float(method.example.expected.get("area", 0.0))
    found = values(name, area, **rewritten(method.example.parameters))
    assert found == pytest.approx(method.example.expected, rel=1e-4)
