"""A course against what courses usually have: what to measure or type again before money is counted by it."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from uuid import UUID

from swardcost_model.course import AreaKind
from swardcost_model.course_map import AreaFeature, AreaProperties, PolygonGeometry
from swardcost_model.course_sanity import CourseSanity, Doubt, DoubtKind, KindTotal, UsualRange

from swardcost_api.access.service import read_club
from swardcost_api.course.service import areas_on_map
from swardcost_api.engine.quantities.course_sizes import (
    FULL_COURSE_HOLES,
    ONCE_A_HOLE,
    SOURCE,
    Range,
    usual_size,
    usual_total,
)
from swardcost_api.engine.quantities.geodesy import measure_polygons
from swardcost_api.storage.work import UnitOfWork
from swardcost_api.units import UNITS

MAP_TOLERANCE = 0.02
"""Share by which a stated size may differ from the surface within its outline before it is doubted."""
_LARGE = {"us_customary": "acre", "metric": "hectare"}
_SMALL = {"us_customary": "square_foot", "metric": "square_meter"}
"""Units of totals and of single areas, so that a figure and its bounds stand in the same one."""


def check_course(work: UnitOfWork, course_id: UUID, holes: int | None) -> CourseSanity:
    """Totals by kind and single areas against usual sizes, areas without a size, and kinds twice on a hole."""
    features = areas_on_map(work, course_id=course_id).features
    system = read_club(work).unit_system
    large, small = _LARGE[system], _SMALL[system]
    seen = {one.properties.hole for one in features} - {None}
    source = "stated"
    if holes is None:
        holes, source = len(seen), "the holes that areas belong to"
    if not holes:
        holes, source = FULL_COURSE_HOLES, "assumed: no area says which hole it belongs to"
    by_kind: dict[AreaKind, list[AreaFeature]] = defaultdict(list)
    for feature in features:
        by_kind[feature.properties.kind].append(feature)
    totals = [_total(kind, by_kind[kind], holes, large) for kind in AreaKind if kind in by_kind]
    doubts = [doubt for total in totals for doubt in _doubts_of_total(total, holes)]
    for kind in AreaKind:
        doubts += _doubts_of_kind(kind, by_kind.get(kind, []), small)
    return CourseSanity(course_id=course_id, holes=holes, holes_from=source, totals=totals, doubts=doubts)


def _total(kind: AreaKind, features: Sequence[AreaFeature], holes: int, unit: str) -> KindTotal:
    sizes = [one.properties.size_m2 for one in features if one.properties.size_m2 is not None]
    bound = usual_total(kind=kind, holes=holes)
    return KindTotal(
        kind=kind, areas=len(features), without_size=len(features) - len(sizes), size_m2=sum(sizes),
        shown=_shown(sum(sizes), unit), usual=_usual(bound, unit),
    )  # fmt: skip


def _doubts_of_total(total: KindTotal, holes: int) -> Iterator[Doubt]:
    usual = total.usual
    if usual is None or total.without_size == total.areas:
        return
    if not usual.least_m2 <= total.size_m2 <= usual.most_m2:
        missing = f", and {total.without_size} of them have no size" if total.without_size else ""
        yield Doubt(
            doubt=DoubtKind.TOTAL_UNUSUAL, kind=total.kind, area_ids=[], found_m2=total.size_m2, found=total.shown,
            usual=usual,
            message=f"All areas of kind {total.kind} take {total.shown}{missing}; usual on {holes} holes are"
            f" {usual.shown}.",
        )  # fmt: skip


def _doubts_of_kind(kind: AreaKind, features: Sequence[AreaFeature], unit: str) -> Iterator[Doubt]:
    bound = usual_size(kind=kind)
    by_hole: dict[int, list[AreaProperties]] = defaultdict(list)
    for feature in features:
        area = feature.properties
        if area.hole is not None:
            by_hole[area.hole].append(area)
        if area.size_m2 is None:
            message = f"{area.name} has no size; work on it cannot be priced."
            yield _doubt(DoubtKind.SIZE_MISSING, [area], message, None, None, unit)
            continue
        if bound is not None and not bound.holds(area.size_m2):
            message = (
                f"{area.name} measures {_shown(area.size_m2, unit)}; usual are {_range_shown(bound, unit)}."
            )
            yield _doubt(DoubtKind.SIZE_UNUSUAL, [area], message, area.size_m2, bound, unit)
        yield from _doubt_of_map(feature, unit)
    for hole, areas in sorted(by_hole.items()):
        if kind in ONCE_A_HOLE and len(areas) > 1:
            names = ", ".join(area.name for area in areas[:10])
            message = f"Hole {hole} has {len(areas)} areas of kind {kind}: {names}."
            yield _doubt(DoubtKind.TWICE_ON_A_HOLE, areas, message, None, None, unit)


def _doubt_of_map(feature: AreaFeature, unit: str) -> Iterator[Doubt]:
    """A size that was edited away from the outline it was measured in."""
    area, geometry = feature.properties, feature.geometry
    if geometry is None or area.size_m2 is None:
        return
    drawn = [geometry.coordinates] if isinstance(geometry, PolygonGeometry) else geometry.coordinates
    polygons = [[[(position[0], position[1]) for position in ring] for ring in polygon] for polygon in drawn]
    mapped_m2 = measure_polygons(polygons=polygons).area_m2
    if abs(area.size_m2 - mapped_m2) > MAP_TOLERANCE * mapped_m2:
        message = f"{area.name} is stated as {_shown(area.size_m2, unit)}; its outline holds {_shown(mapped_m2, unit)}."
        yield _doubt(DoubtKind.SIZE_DIFFERS_FROM_MAP, [area], message, area.size_m2, None, unit)


def _doubt(
    doubt: DoubtKind,
    areas: Sequence[AreaProperties],
    message: str,
    found_m2: float | None,
    bound: Range | None,
    unit: str,
) -> Doubt:
    return Doubt(
        doubt=doubt, kind=areas[0].kind, area_ids=[area.id for area in areas], message=message,
        found_m2=found_m2, found=None if found_m2 is None else _shown(found_m2, unit), usual=_usual(bound, unit),
    )  # fmt: skip


def _usual(bound: Range | None, unit: str) -> UsualRange | None:
    if bound is None:
        return None
    return UsualRange(
        least_m2=bound.least_m2, most_m2=bound.most_m2, shown=_range_shown(bound, unit), source=SOURCE
    )


def _range_shown(bound: Range, unit: str) -> str:
    return f"{_shown(bound.least_m2, unit)} to {_shown(bound.most_m2, unit)}"


def _shown(size_m2: float, unit: str) -> str:
    digits = f"{size_m2 / UNITS[unit].si_factor:,.2f}".rstrip("0").rstrip(".")
    return f"{digits} {unit.replace('_', ' ')}"
