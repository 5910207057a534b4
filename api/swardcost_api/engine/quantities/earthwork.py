"""Volumes of earth out of surveys: between cross sections, and on a grid of levelled points."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working

END_AREA = "surveying texts: average end area"
PRISMOID = "surveying texts: prismoidal formula"
CORNERS = "surveying texts: four-corner average, cut and fill apart where both meet in a cell"


@dataclass(frozen=True, slots=True)
class SectionVolume:
    """Volume between the first and the last of several cross sections."""

    volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def average_end_area(
    *, stations_m: Sequence[float], areas_m2: Sequence[float], kind: str = "earth"
) -> SectionVolume:
    """Volume between cross sections by average end areas.

    ::

        between two sections = (first area + second area) / 2 x length between them
        volume               = sum over all pairs

    Stations along the line in metres, rising; areas of the sections in square metres, where a section of zero
    is one where the work begins or ends; `kind` names what is dug or filled in the steps. Limits: exact for
    wedges and prisms, too much for ground that tapers to a point (by half for a pyramid): see
    `prismoidal_volume`.

    Raises `ValueError` for fewer than two sections, stations that do not rise, negative areas, or areas that
    are all zero.

    Examples
    --------
    >>> average_end_area(stations_m=[0, 20], areas_m2=[5, 15]).volume_m3
    200.0

    References
    ----------
    Surveying texts; US Navy Equipment Operator training manual (NAVEDTRA 14080), which folds the yards into a
    constant of 1.85 for lengths in hundreds of feet.
    """
    work, names = _sections(stations_m, areas_m2, kind)
    parts = []
    for number in range(1, len(stations_m)):
        here, before = names[number], names[number - 1]
        part = f"{kind} volume {number} to {number + 1}"
        work.step(
            part,
            (areas_m2[number - 1] + areas_m2[number]) / 2 * (stations_m[number] - stations_m[number - 1]),
            "cubic_meter",
            f"({before[1]} + {here[1]}) / 2 x ({here[0]} - {before[0]})",
            before[1], here[1], here[0], before[0], source=END_AREA,
        )  # fmt: skip
        parts.append(part)
    return _total(work, kind, parts, END_AREA)


def prismoidal_volume(
    *, stations_m: Sequence[float], areas_m2: Sequence[float], kind: str = "earth"
) -> SectionVolume:
    """Volume between evenly spaced cross sections by the prismoidal formula.

    ::

        of three sections = (first area + 4 x middle area + last area) / 6 x length from first to last
        volume            = sum over all such threes

    Arguments as for `average_end_area`, but an odd number of sections, each middle one half way between its
    neighbours. Limits: exact where the section changes with the square of the length, as in prisms, wedges and
    pyramids.

    Raises `ValueError` as `average_end_area` does, and for an even number of sections or a middle section
    that is off the middle by more than a thousandth of the length.

    Examples
    --------
    A pyramid of base 12 and height 10, whose middle section is a quarter of its base:

    >>> prismoidal_volume(stations_m=[0, 5, 10], areas_m2=[12, 3, 0]).volume_m3
    40.0

    References
    ----------
    Surveying texts (prismoidal formula, Simpson's rule).
    """
    work, names = _sections(stations_m, areas_m2, kind)
    if len(stations_m) % 2 == 0:
        raise ValueError(
            f"sections: expected an odd number, with a middle one to each pair; got {len(stations_m)}"
        )
    parts = []
    for number in range(2, len(stations_m), 2):
        first, middle, last = (stations_m[place] for place in (number - 2, number - 1, number))
        if abs((middle - first) - (last - middle)) > 1e-3 * (last - first):
            raise ValueError(
                f"station {number}: expected half way between its neighbours, {(first + last) / 2!r} meter; "
                f"got {middle!r}"
            )
        begin, centre, end = names[number - 2], names[number - 1], names[number]
        part = f"{kind} volume {number - 1} to {number + 1}"
        work.step(
            part,
            (areas_m2[number - 2] + 4 * areas_m2[number - 1] + areas_m2[number]) / 6 * (last - first),
            "cubic_meter",
            f"({begin[1]} + 4 x {centre[1]} + {end[1]}) / 6 x ({end[0]} - {begin[0]})",
            begin[1], centre[1], end[1], end[0], begin[0], source=PRISMOID,
        )  # fmt: skip
        parts.append(part)
    return _total(work, kind, parts, PRISMOID)


def _sections(
    stations: Sequence[float], areas: Sequence[float], kind: str
) -> tuple[Working, list[tuple[str, str]]]:
    if len(stations) != len(areas) or len(stations) < 2:
        raise ValueError(
            f"sections: expected two or more, each with a station and an area; "
            f"got {len(stations)} stations and {len(areas)} areas"
        )
    if not any(areas):
        raise ValueError("areas: expected at least one above zero; got none")
    work = Working()
    names = []
    for number, (station, area) in enumerate(zip(stations, areas, strict=True), 1):
        if number > 1 and not station > stations[number - 2]:
            raise ValueError(
                f"station {number}: expected beyond the one before, {stations[number - 2]!r} meter; got {station!r}"
            )
        name = (f"station {number}", f"{kind} area {number}")
        work.given(name[0], station, "meter", zero=True)
        work.given(name[1], area, "square_meter", zero=True)
        names.append(name)
    return work, names


def _total(work: Working, kind: str, parts: Sequence[str], source: str) -> SectionVolume:
    volume = math.fsum(work.steps[part].value for part in parts)
    work.step(f"{kind} volume", volume, "cubic_meter", " + ".join(parts), *parts, source=source)
    return SectionVolume(volume, work.steps)


@dataclass(frozen=True, slots=True)
class GridVolume:
    """Cut and fill under a grid of levelled points."""

    cut_volume_m3: float
    fill_volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def grid_volume(
    *, cell_length_m: float, cell_width_m: float, corner_cuts_m: Sequence[Sequence[float]]
) -> GridVolume:
    """Cut and fill of a grid of rectangular cells, from the cut at each corner.

    ::

        cut of a cell  = cell area x (sum of its cuts)^2 / (4 x (sum of its cuts + sum of its fills))
        fill of a cell = cell area x (sum of its fills)^2 / (4 x (sum of its cuts + sum of its fills))

    With no fill at its corners, a cell's cut is its area times the average of the four. Sides of a cell in
    metres; `corner_cuts_m` holds the rows of corners, each the depth from the ground down to the finished
    level in metres: negative where it is to be filled. Limits: ground that runs evenly between corners; a
    rise or hollow inside a cell is not seen.

    Raises `ValueError` for sides that are not above zero, fewer than two rows or columns, rows of different
    lengths, depths that are no numbers, or a grid without any cut or fill.

    Examples
    --------
    A cell of 10 x 10 m, cut by 1 m at all corners:

    >>> grid_volume(cell_length_m=10, cell_width_m=10, corner_cuts_m=[[1, 1], [1, 1]]).cut_volume_m3
    100.0

    References
    ----------
    Surveying texts (borrow pit or grid method); US Soil Conservation Service, National Engineering Handbook,
    section 15, Land Leveling (four-point method), from memory.
    """
    columns = len(corner_cuts_m[0]) if corner_cuts_m else 0
    if len(corner_cuts_m) < 2 or columns < 2 or any(len(row) != columns for row in corner_cuts_m):
        raise ValueError(
            "corner cuts: expected two or more rows of equally many corners, two or more; "
            f"got rows of {[len(row) for row in corner_cuts_m]}"
        )
    if not any(any(row) for row in corner_cuts_m):
        raise ValueError("corner cuts: expected at least one other than zero; got none")
    work = Working()
    length = work.given("cell length", cell_length_m, "meter")
    width = work.given("cell width", cell_width_m, "meter")
    cell = work.step(
        "cell area", length * width, "square_meter", "cell length x cell width", "cell length", "cell width"
    )
    corners = [
        [_corner(work, f"{row}.{column}", cut) for column, cut in enumerate(cuts, 1)]
        for row, cuts in enumerate(corner_cuts_m, 1)
    ]
    parts: dict[str, list[str]] = {"cut": [], "fill": []}
    for row in range(len(corners) - 1):
        for column in range(columns - 1):
            around = [corners[row + down][column + right] for down in (0, 1) for right in (0, 1)]
            for kind, part in _cell(work, cell, f"{row + 1}.{column + 1}", around):
                parts[kind].append(part)
    totals = [
        work.step(
            f"{kind} volume", math.fsum(work.steps[part].value for part in parts[kind]), "cubic_meter",
            " + ".join(parts[kind]) or "0", *parts[kind], source=CORNERS,
        )
        for kind in ("cut", "fill")
    ]  # fmt: skip
    return GridVolume(totals[0], totals[1], work.steps)


def _corner(work: Working, place: str, cut: float) -> tuple[str, str, float]:
    kind = "fill" if cut < 0 else "cut"
    name = f"{kind} at corner {place}"
    return kind, name, work.given(name, abs(cut), "meter", zero=True)


def _cell(
    work: Working, cell: float, place: str, around: Sequence[tuple[str, str, float]]
) -> list[tuple[str, str]]:
    """Steps of one cell; the kinds of work in it, each with the step that holds its volume."""
    sums = {}
    for kind in ("cut", "fill"):
        figures = [(name, depth) for its_kind, name, depth in around if its_kind == kind and depth > 0]
        if figures:
            names = [name for name, _ in figures]
            sums[kind] = work.step(
                f"{kind} sum of cell {place}", math.fsum(depth for _, depth in figures), "meter",
                " + ".join(names), *names, source=CORNERS,
            )  # fmt: skip
    found = []
    for kind, total in sums.items():
        name, own = f"{kind} of cell {place}", f"{kind} sum of cell {place}"
        if len(sums) == 1:
            work.step(
                name,
                cell * total / 4,
                "cubic_meter",
                f"cell area x {own} / 4",
                "cell area",
                own,
                source=CORNERS,
            )
        else:
            both = [f"{each} sum of cell {place}" for each in sums]
            work.step(
                name, cell * total * (total / (4 * sum(sums.values()))), "cubic_meter",
                f"cell area x {own}^2 / (4 x ({' + '.join(both)}))", "cell area", *both, source=CORNERS,
            )  # fmt: skip
        found.append((kind, name))
    return found
