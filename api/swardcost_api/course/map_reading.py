"""Reading a map: a GeoJSON FeatureCollection (RFC 7946) as areas to be, with every fault and its place.

Nothing here knows what the course has already.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import IO, Any

from pydantic import ValidationError
from pydantic_core import from_json
from swardcost_model import problems
from swardcost_model.course import NewArea
from swardcost_model.course_map import MAX_FEATURES, MapNote
from swardcost_model.problems import Fault, ProblemError

from swardcost_api.engine.quantities.geodesy import Mapped, Position, measure_polygons
from swardcost_api.engine.quantities.outlines import flaw_in, tidy
from swardcost_api.faults import FAULTS_SHOWN, faults_of, json_pointer, shown

MAX_BYTES = 16 * 1024 * 1024
MAX_POSITIONS = 200_000

_Path = tuple[str | int, ...]
_ALIASES = {"kind": "area_kind", "name": "title", "hole": "hole_number"}
_WGS_84_NAMES = frozenset({"URN:OGC:DEF:CRS:OGC:1.3:CRS84", "URN:OGC:DEF:CRS:OGC::CRS84", "OGC:CRS84", "EPSG:4326",
                           "URN:OGC:DEF:CRS:EPSG::4326"})  # fmt: skip
_SOUTHERNMOST_DEG = -60.0
"""Latitude beyond which there is Antarctica and no golf course."""
_WITHOUT_SURFACE = frozenset({"Point", "MultiPoint", "LineString", "MultiLineString", "GeometryCollection"})


@dataclass(frozen=True, slots=True)
class DrawnArea:
    """A feature as an area to be; without an outline it may bring a size of its own."""

    pointer: str
    fields: NewArea
    geometry: dict[str, Any] | None
    measured: Mapped | None


@dataclass
class MapReading:
    """What a map holds."""

    areas: list[DrawnArea] = field(default_factory=list)
    skipped: int = 0
    notes: list[MapNote] = field(default_factory=list)
    positions: int = 0


class _Faulty(Exception):
    """A feature cannot be used."""

    def __init__(self, *faults: Fault) -> None:
        super().__init__()
        self.faults = faults


def read_map(upload: IO[bytes]) -> MapReading:
    """The areas of a map.

    Raises `too-large`, `invalid-request` where it is no JSON, and `invalid-values` with a JSON Pointer for each
    fault, of which at most one a ring is told.
    """
    features = _features(_parsed(upload))
    reading = MapReading()
    faults: list[Fault] = []
    seen: dict[str, str] = {}
    for index, feature in enumerate(features):
        path: _Path = ("features", index)
        try:
            area = _feature(reading, feature, path)
            if area is None:
                reading.skipped += 1
                continue
            if area.fields.name in seen:
                other = seen[area.fields.name]
                raise _faulty(
                    (*path, "properties", "name"), f"a name other than that of {other}", area.fields.name
                )
        except _Faulty as faulty:
            faults += faulty.faults
            if len(faults) >= FAULTS_SHOWN:
                break
            continue
        seen[area.fields.name] = area.pointer
        reading.areas.append(area)
    if faults:
        raise _refused(faults[:FAULTS_SHOWN])
    return reading


def _parsed(upload: IO[bytes]) -> Any:
    content = upload.read(MAX_BYTES + 1)
    if len(content) > MAX_BYTES:
        raise ProblemError(problems.TOO_LARGE, f"A map may have {MAX_BYTES} bytes.")
    try:
        return from_json(content.removeprefix(b"\xef\xbb\xbf"), allow_inf_nan=False)
    except ValueError as error:
        fault = Fault(pointer="", expected="JSON in UTF-8, without NaN and Infinity", got=shown(str(error)))
        raise ProblemError(
            problems.INVALID_REQUEST, "The map cannot be read; nothing was changed.", [fault]
        ) from None


def _features(document: Any) -> list[Any]:
    """The features of the document, if it is a FeatureCollection in longitude and latitude."""
    if not isinstance(document, dict) or document.get("type") != "FeatureCollection":
        got = document.get("type") if isinstance(document, dict) else document
        raise _refused([Fault(pointer="/type", expected="FeatureCollection (RFC 7946)", got=shown(got))])
    features = document.get("features")
    if not isinstance(features, list) or not 1 <= len(features) <= MAX_FEATURES:
        got = f"{len(features)} features" if isinstance(features, list) else shown(features)
        raise _refused(
            [Fault(pointer="/features", expected=f"a list of 1 to {MAX_FEATURES} features", got=got)]
        )
    try:
        _check_crs(document, ())
    except _Faulty as faulty:
        raise _refused(list(faulty.faults)) from None
    return features


def _check_crs(member: Mapping[str, Any], path: _Path) -> None:
    """The `crs` of older GeoJSON, allowed where it says what RFC 7946 says anyway."""
    crs = member.get("crs")
    if crs is None:
        return
    properties = crs.get("properties") if isinstance(crs, dict) else None
    name = properties.get("name") if isinstance(properties, dict) else None
    if not isinstance(name, str) or name.upper() not in _WGS_84_NAMES:
        raise _faulty((*path, "crs"), "no `crs`, or WGS 84 (urn:ogc:def:crs:OGC:1.3:CRS84)", name or crs)


def _feature(reading: MapReading, feature: Any, path: _Path) -> DrawnArea | None:
    """A feature as an area; none where it asks to be skipped."""
    if not isinstance(feature, dict) or feature.get("type") != "Feature":
        raise _faulty(
            (*path, "type"), "Feature", feature.get("type") if isinstance(feature, dict) else feature
        )
    _check_crs(feature, path)
    given = feature.get("properties")
    if not isinstance(given, dict):
        raise _faulty((*path, "properties"), "an object with kind and name", given)
    properties, keys = _known_properties(given)
    geometry = feature.get("geometry")
    if _is_skipped(properties.pop("skip", None), geometry, (*path, "properties", keys.get("skip", "skip"))):
        return None
    if geometry is not None:
        properties.pop("size", None)
    faults: list[Fault] = []
    try:
        fields = _fields(properties, keys, (*path, "properties"))
    except _Faulty as faulty:
        faults += faulty.faults
    try:
        drawn = None if geometry is None else _outline(reading, geometry, (*path, "geometry"))
    except _Faulty as faulty:
        faults += faulty.faults
    if faults:
        raise _Faulty(*faults)
    return DrawnArea(json_pointer(path), fields, *(drawn or (None, None)))


def _known_properties(given: Mapping[str, Any]) -> tuple[dict[str, Any], dict[str, str]]:
    """The properties that are understood, by their own names, and how the map spells each."""
    lowered = {key.lower(): key for key in reversed(list(given))}
    keys: dict[str, str] = {}
    for name in ("kind", "name", "hole", "size", "skip"):
        for spelling in (name, _ALIASES.get(name, name)):
            key = spelling if spelling in given else lowered.get(spelling)
            if key is not None and given[key] is not None:
                keys[name] = key
                break
    return {name: given[key] for name, key in keys.items()}, keys


def _is_skipped(skip: Any, geometry: Any, path: _Path) -> bool:
    if skip is None or skip is False:
        return False
    if skip is not True:
        raise _faulty(path, "true or false", skip)
    kind = geometry.get("type") if isinstance(geometry, dict) else geometry
    if kind is not None and kind not in {*_WITHOUT_SURFACE, "Polygon", "MultiPolygon"}:
        raise _faulty((*path[:2], "geometry", "type"), "a geometry type of RFC 7946", kind)
    return True


def _fields(properties: dict[str, Any], keys: Mapping[str, str], path: _Path) -> NewArea:
    if isinstance(properties.get("kind"), str):
        properties["kind"] = properties["kind"].strip().lower()
    if type(properties.get("name")) in (int, float):
        properties["name"] = str(properties["name"])
    hole = properties.get("hole")
    if isinstance(hole, str) and not hole.strip():
        del properties["hole"]
    elif isinstance(hole, bool):
        raise _faulty((*path, keys["hole"]), "the number of a hole", hole)
    try:
        return NewArea.model_validate(properties)
    except ValidationError as error:
        raise _Faulty(*_respelled(faults_of(error, path), keys, json_pointer(path))) from None


def _respelled(faults: Sequence[Fault], keys: Mapping[str, str], base: str) -> list[Fault]:
    """Faults that point to the properties as the map spells them."""
    pointers = {f"{base}/{name}": json_pointer((key,)) for name, key in keys.items()}
    return [
        fault.model_copy(update={"pointer": base + pointers[fault.pointer]})
        if fault.pointer in pointers
        else fault
        for fault in faults
    ]


def _outline(reading: MapReading, geometry: Any, path: _Path) -> tuple[dict[str, Any], Mapped]:
    """A geometry as it will be kept, and its measures."""
    kind = geometry.get("type") if isinstance(geometry, dict) else geometry
    if kind not in ("Polygon", "MultiPolygon"):
        expected = "Polygon or MultiPolygon, null, or the property `skip`: true"
        raise _faulty((*path, "type"), expected, kind)
    _check_crs(geometry, path)
    path = (*path, "coordinates")
    single = kind == "Polygon"
    raw = geometry.get("coordinates")
    polygons = [
        _polygon(reading, one, path if single else (*path, number))
        for number, one in enumerate([raw] if single else _list(raw, path))
    ]
    if not polygons:
        raise _faulty(path, "at least one polygon", raw)
    _check_order([position for polygon in polygons for ring in polygon for position in ring], path)

    def place(found: Sequence[int]) -> _Path:
        return (*path, *(found[1:] if single else found))

    flaw = flaw_in(polygons)
    if flaw is not None:
        raise _Faulty(Fault(pointer=json_pointer(place(flaw.place)), expected=flaw.expected, got=flaw.got))
    tidied, turned = tidy(polygons)
    reading.notes += [
        MapNote(pointer=json_pointer(place(ring)), mended="wound the other way round, by the right-hand rule")
        for ring in turned
    ]
    try:
        measured = measure_polygons(polygons=tidied)
    except ValueError as error:
        raise _faulty(path, "a polygon with a surface", str(error)) from None
    coordinates = [[[list(position) for position in ring] for ring in polygon] for polygon in tidied]
    return {"type": kind, "coordinates": coordinates[0] if single else coordinates}, measured


def _polygon(reading: MapReading, raw: Any, path: _Path) -> list[list[Position]]:
    rings = []
    for index, ring in enumerate(_list(raw, path)):
        positions = _list(ring, (*path, index))
        reading.positions += len(positions)
        if reading.positions > MAX_POSITIONS:
            got = f"more at {json_pointer((*path, index))}"
            raise _refused(
                [Fault(pointer="/features", expected=f"at most {MAX_POSITIONS} positions", got=got)]
            )
        rings.append([_position(one, (*path, index, place)) for place, one in enumerate(positions)])
    return rings


def _check_order(positions: Sequence[Position], path: _Path) -> None:
    """Refuse positions that are in no place of golf as they stand, and all in one with their numbers exchanged.

    Where both ways round are places of golf, nothing in the map tells which is meant.
    """
    latitudes_out = all(not _SOUTHERNMOST_DEG <= lat <= 90 for _, lat in positions)
    if not positions or not latitudes_out:
        return
    if all(abs(lat) <= 180 and _SOUTHERNMOST_DEG <= lon <= 90 for lon, lat in positions):
        lon, lat = positions[0]
        raise _Faulty(
            Fault(
                pointer=json_pointer(path),
                expected="longitude first and then latitude in each position (RFC 7946, section 3.1.1); these look "
                "like latitude first",
                got=f"longitude {lon!r}, latitude {lat!r}",
            )
        )


def _position(raw: Any, path: _Path) -> Position:
    """Longitude and latitude; a height and whatever follows are ignored (RFC 7946, section 3.1.1)."""
    if not isinstance(raw, list) or len(raw) < 2 or any(type(one) not in (int, float) for one in raw):
        raise _faulty(path, "a longitude and a latitude as numbers, and perhaps a height", raw)
    # Adding zero turns a negative zero into a plain one.
    lon, lat = (float(one) + 0.0 if abs(one) < 1e9 else math.inf for one in raw[:2])
    return lon, lat


def _list(raw: Any, path: _Path) -> list[Any]:
    if not isinstance(raw, list):
        raise _faulty(path, "a list", raw)
    return raw


def _faulty(path: _Path, expected: str, got: Any) -> _Faulty:
    return _Faulty(Fault(pointer=json_pointer(path), expected=expected, got=shown(got)))


def _refused(faults: list[Fault]) -> ProblemError:
    detail = f"The map has {len(faults)} faults; nothing was changed." if len(faults) > 1 else (
        "The map cannot be used; nothing was changed."
    )  # fmt: skip
    return ProblemError(problems.INVALID_VALUES, detail, faults)
