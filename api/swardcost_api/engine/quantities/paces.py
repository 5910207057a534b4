"""Hours of work that is paced along a line, over a computed area or by the piece; see also `production`."""

from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working

PACE = "definition of a production rate"
PIECES = "common practice: time for one, times how many"


@dataclass(frozen=True, slots=True)
class PacedTime:
    """Hours of one machine or crew along a line or over an area."""

    machine_time_h: float
    steps: Steps = field(repr=False, compare=False)


def time_along(*, length_m: float, pace_m_per_h: float, length_name: str = "length") -> PacedTime:
    """Hours of a length at a pace.

    ::

        machine time = length / production rate

    Length in metres, pace in metres an hour, with moving and setting up inside it. `length_name` is the step
    that the length comes from. Limits: one pace for the whole line.

    Raises `ValueError` for figures that are not above zero.

    Examples
    --------
    >>> time_along(length_m=120, pace_m_per_h=30).machine_time_h
    4.0

    References
    ----------
    Definition of a production rate.
    """
    work = Working()
    length = work.given(length_name, length_m, "meter")
    pace = work.given("production rate", pace_m_per_h, "meter_per_hour")
    hours = work.step(
        "machine time", length / pace, "hour", f"{length_name} / production rate", length_name, "production rate",
        source=PACE,
    )  # fmt: skip
    return PacedTime(hours, work.steps)


def time_over(*, area_m2: float, pace_m2_per_h: float, area_name: str) -> PacedTime:
    """Hours of an area that is itself computed, such as a slope or a strip, at a pace.

    ::

        machine time = area / production rate

    Area in square metres, pace in square metres an hour. `area_name` is the step that the area comes from.
    Limits: one pace for the whole area.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    Definition of a production rate.
    """
    work = Working()
    area = work.given(area_name, area_m2, "square_meter")
    pace = work.given("production rate", pace_m2_per_h, "square_meter_per_hour")
    hours = work.step(
        "machine time", area / pace, "hour", f"{area_name} / production rate", area_name, "production rate",
        source=PACE,
    )  # fmt: skip
    return PacedTime(hours, work.steps)


@dataclass(frozen=True, slots=True)
class PieceTime:
    """Hours of all people together for a number of pieces."""

    craft_time_h: float
    steps: Steps = field(repr=False, compare=False)


def time_by_piece(
    *,
    pieces: float,
    pieces_name: str,
    unit: str,
    time_each_h: float,
    crew_size: int = 1,
    hours_name: str = "craft time",
) -> PieceTime:
    """Hours of people for pieces of one kind.

    ::

        craft time = pieces x time for one x people

    `pieces` in `unit`, time in hours for one piece with `crew_size` people on it. Limits: no learning, no
    waiting; the time for one holds fetching and cleaning.

    Raises `ValueError` for figures that are not above zero or a crew that is not whole.

    References
    ----------
    Common practice.
    """
    work = Working()
    count = work.given(pieces_name, pieces, unit)
    each = work.given("time for one", time_each_h, "hour")
    crew = work.counted("crew size", crew_size)
    hours = work.step(
        hours_name, count * each * crew, "hour", f"{pieces_name} x time for one x crew size",
        pieces_name, "time for one", "crew size", source=PIECES,
    )  # fmt: skip
    return PieceTime(hours, work.steps)
