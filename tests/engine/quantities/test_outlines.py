"""Soundness of outlines drawn on a map: every flaw with its place, and rings put right."""

import math
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st
from swardcost_api.engine.quantities.geodesy import Polygon, Position
from swardcost_api.engine.quantities.outlines import LONGEST_OUTLINE, flaw_in, tidy


def box(lon: float, lat: float, side: float) -> list[Position]:
    return [(lon, lat), (lon + side, lat), (lon + side, lat + side), (lon, lat + side), (lon, lat)]


SHELL = box(0.0, 0.0, 0.1)
BOW_TIE = [(0.0, 0.0), (0.02, 0.02), (0.02, 0.0), (0.0, 0.02), (0.0, 0.0)]

FLAWS: list[tuple[str, list[Polygon], tuple[int, ...], str]] = [
    ("no ring", [[]], (0,), "no ring"),
    ("open", [[SHELL[:-1]]], (0, 0, 3), "[0.0, 0.1]"),
    ("three positions", [[[(0, 0), (1, 1), (0, 0)]]], (0, 0), "3 positions"),
    ("repeats only", [[[(0, 0), (0, 0), (0, 1), (0, 1), (0, 0)]]], (0, 0), "5 positions"),
    ("not a number", [[[(0.0, 0.0), (math.nan, 0.0), (1.0, 1.0), (0.0, 0.0)]]], (0, 0, 1), "nan"),
    ("metres", [[[(0.0, 0.0), (500_000.0, 1.0), (1.0, 1.0), (0.0, 0.0)]]], (0, 0, 1), "500000.0"),
    ("pole", [[[(0.0, 89.5), (0.1, 90.0), (0.0, 90.0), (0.0, 89.5)]]], (0, 0, 1), "latitude 90.0"),
    ("antimeridian", [[[(179.9, 0.0), (-179.9, 0.0), (-179.9, 0.1), (179.9, 0.0)]]], (), "-179.9 to 179.9"),
    ("around the pole", [[[(0, 89), (90, 89), (180, 89), (-90, 89), (0, 89)]]], (), "-90 to 180"),
    ("a continent", [[box(0.0, 0.0, 20.0)]], (), "20 degrees"),
    ("crossing", [[BOW_TIE]], (0, 0, 0), "edge 0 of ring 0 of polygon 0 and edge 2 of ring 0"),
    ("spike", [[[*SHELL[:3], (0.1, 0.2), *SHELL[2:]]]], (0, 0, 1), "latitude 0.1"),
    ("hole outside", [[SHELL, box(0.2, 0.2, 0.01)]], (0, 1, 0), "hole lies outside shell"),
    ("hole across the edge", [[SHELL, box(0.095, 0.02, 0.01)]], (0, 0, 1), "of ring 1 of polygon 0"),
    ("hole in a hole", [[SHELL, box(0.01, 0.01, 0.05), box(0.02, 0.02, 0.01)]], (0, 2, 0), "nested"),
    (
        "holes overlap",
        [[SHELL, box(0.01, 0.01, 0.03), box(0.03, 0.02, 0.03)]],
        (0, 1),
        "of ring 2 of polygon 0",
    ),
    ("polygons overlap", [[SHELL], [box(0.05, 0.05, 0.1)]], (0, 0), "of polygon 1"),
    ("polygon in a polygon", [[SHELL], [box(0.05, 0.05, 0.01)]], (1, 0, 0), "nested shells"),
]


@pytest.mark.parametrize(
    ("polygons", "place", "got"), [pytest.param(*rest, id=name) for name, *rest in FLAWS]
)
def test_a_flaw_is_told_with_its_place(polygons: list[Polygon], place: tuple[int, ...], got: str) -> None:
    flaw = flaw_in(polygons)
    assert flaw is not None
    # Where two rings cross twice, either crossing may be told.
    assert flaw.place[: len(place) or None] == place, flaw
    assert got in flaw.got, flaw


def test_a_crossing_is_told_in_longitude_and_latitude() -> None:
    flaw = flaw_in([[BOW_TIE]])
    assert flaw is not None
    assert "longitude 0.01, latitude 0.01" in flaw.got


@pytest.mark.parametrize(
    "polygons",
    [
        [[SHELL]],
        [[SHELL[::-1]]],
        [[SHELL, box(0.01, 0.01, 0.02), box(0.05, 0.05, 0.02)]],
        [[SHELL], [box(0.3, 0.3, 0.01)]],
        [[[SHELL[0], SHELL[0], *SHELL[1:], SHELL[0]]]],
        [[SHELL, box(0.01, 0.01, 0.05)], [box(0.02, 0.02, 0.01)]],
    ],
    ids=["plain", "clockwise", "holes", "two", "repeated positions", "an island in a hole"],
)
def test_sound_outlines_have_no_flaw(polygons: list[Polygon]) -> None:
    assert flaw_in(polygons) is None


def test_rings_are_turned_by_the_right_hand_rule_and_told() -> None:
    hole = box(0.02, 0.02, 0.01)
    tidied, turned = tidy([[SHELL, hole], [box(0.2, 0.2, 0.1)[::-1]]])
    assert turned == [(0, 1), (1, 0)]
    assert tidied == [[SHELL, hole[::-1]], [box(0.2, 0.2, 0.1)]]
    assert tidy(tidied) == (tidied, [])


def test_repeated_positions_are_dropped() -> None:
    assert tidy([[[SHELL[0], SHELL[0], *SHELL[1:], SHELL[0]]]]) == ([[SHELL]], [])


def test_the_longest_outline_is_checked_in_a_moment_however_it_is_drawn() -> None:
    teeth = []
    for tooth in range(LONGEST_OUTLINE // 2 - 1):
        low, high = (tooth * 1e-7, 0.0), (0.5 + tooth * 1e-7, 0.5)
        teeth += [low, high] if tooth % 2 == 0 else [high, low]
    comb = [*teeth, (0.9, -0.05), teeth[0]]
    started = time.perf_counter()
    assert flaw_in([[comb]]) is None
    assert time.perf_counter() - started < 20
    too_long = flaw_in([[[teeth[0], *teeth, *teeth[-1:], teeth[-1], teeth[0]]]])
    assert too_long is not None
    assert "at most 10000 positions" in too_long.expected


@given(
    corners=st.lists(st.floats(0.2, 1.0), min_size=3, max_size=30),
    lon=st.floats(-170, 170), lat=st.floats(-60, 60),
)  # fmt: skip
def test_a_star_around_a_point_is_sound_until_two_corners_change_places(
    corners: list[float], lon: float, lat: float
) -> None:
    turns = [2 * math.pi * number / len(corners) for number in range(len(corners))]
    star = [
        (lon + 0.001 * reach * math.cos(turn), lat + 0.001 * reach * math.sin(turn))
        for reach, turn in zip(corners, turns, strict=True)
    ]
    assert flaw_in([[[*star, star[0]]]]) is None
    if len(star) == 4:
        star[1], star[2] = star[2], star[1]
        assert flaw_in([[[*star, star[0]]]]) is not None
