"""Brush mulching: machine hours by density of the stand, whole machine days, and the chips that stay."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working, whole_up

PACE = "definition of a production rate"


@dataclass(frozen=True, slots=True)
class Mulching:
    """Machine hours over stands of several densities."""

    machine_time_h: float
    steps: Steps = field(repr=False, compare=False)


def mulching_time(*, area_m2: float, stands: Mapping[str, tuple[float, float]]) -> Mulching:
    """Machine hours of an area whose stands go at paces of their own.

    ::

        time in light = area x share of light / pace in light
        machine time  = time in light + time in medium + ...

    Area in square metres; `stands` gives for each class of density its share of the area and its pace in
    square metres an hour. Shares add up to 1. Limits: slopes, wet ground and stumps are in the pace or not
    in the figure.

    Raises `ValueError` for no stands, figures that are not above zero, or shares that do not add up to 1.

    Examples
    --------
    >>> mulching_time(area_m2=1_000, stands={"light": (0.5, 500.0), "heavy": (0.5, 100.0)}).machine_time_h
    6.0

    References
    ----------
    Definition of a production rate.
    """
    total = math.fsum(share for share, _ in stands.values())
    if not math.isclose(total, 1, rel_tol=1e-9):
        raise ValueError(f"shares of the stands: expected 1 together; got {total!r}")
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    names, hours = [], []
    for density, (share, pace) in stands.items():
        part, speed, time = f"share of {density}", f"pace in {density}", f"time in {density}"
        work.given(part, share, "ratio")
        work.given(speed, pace, "square_meter_per_hour")
        hours.append(
            work.step(time, area * share / pace, "hour", f"area x {part} / {speed}", "area", part, speed, source=PACE)
        )  # fmt: skip
        names.append(time)
    machine = work.step("machine time", math.fsum(hours), "hour", " + ".join(names), *names)
    return Mulching(machine, work.steps)


@dataclass(frozen=True, slots=True)
class MachineDays:
    """Whole days that a machine is on the site."""

    days: int
    steps: Steps = field(repr=False, compare=False)


def machine_days(*, machine_time_h: float, day_h: float) -> MachineDays:
    """Whole days of a machine that is hired or paid by the day.

    ::

        machine days = machine time / hours in a day, rounded up

    Times in hours; the hours in a day are those at work. Limits: one machine; moving in and out is not in it.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    Common practice.
    """
    work = Working()
    hours = work.given("machine time", machine_time_h, "hour")
    day = work.given("hours in a day", day_h, "hour")
    days = whole_up(hours / day)
    work.step(
        "machine days", days, "work_day", "machine time / hours in a day, rounded up to whole days",
        "machine time", "hours in a day", source="common practice: paid by the whole day",
    )  # fmt: skip
    return MachineDays(days, work.steps)


@dataclass(frozen=True, slots=True)
class Chips:
    """Chips left by mulching, loose."""

    chip_volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def chips_left(*, area_m2: float, depth_m: float) -> Chips:
    """Volume of chips from the mean depth they lie at.

    ::

        chip volume = area x chip depth

    Area in square metres, mean depth in metres. Limits: a depth seen on a trial strip; chips settle.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    Geometry.
    """
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    depth = work.given("chip depth", depth_m, "meter")
    volume = work.step(
        "chip volume", area * depth, "cubic_meter", "area x chip depth", "area", "chip depth",
        source="geometry: volume of a layer",
    )  # fmt: skip
    return Chips(volume, work.steps)
