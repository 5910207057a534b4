"""Irrigation heads and pipe moved in the course of other work: trench, fittings and wire.

Only quantities: pressures, flows and spacing of heads are a matter of design for those licensed to do it.
"""

from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working

PRISM = "geometry: volume of a trench of one section"


@dataclass(frozen=True, slots=True)
class PipeTrench:
    """A trench for pipe, dug and put back."""

    volume_m3: float
    surface_m2: float
    steps: Steps = field(repr=False, compare=False)


def pipe_trench(*, length_m: float, width_m: float, depth_m: float) -> PipeTrench:
    """Volume and surface of a trench for irrigation pipe.

    ::

        trench surface = pipe length x trench width
        trench volume  = trench surface x trench depth

    Lengths in metres. Limits: upright walls; the small pipe is not deducted from the backfill.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    Geometry.
    """
    work = Working()
    length = work.given("pipe length", length_m, "meter")
    width = work.given("trench width", width_m, "meter")
    depth = work.given("trench depth", depth_m, "meter")
    surface = work.step(
        "trench surface", length * width, "square_meter", "pipe length x trench width", "pipe length", "trench width",
        source="geometry",
    )  # fmt: skip
    volume = work.step(
        "trench volume", surface * depth, "cubic_meter", "trench surface x trench depth",
        "trench surface", "trench depth", source=PRISM,
    )  # fmt: skip
    return PipeTrench(volume, surface, work.steps)


@dataclass(frozen=True, slots=True)
class HeadsMoved:
    """Fittings and wire of heads that are moved."""

    fittings: int | None
    wire_length_m: float | None
    steps: Steps = field(repr=False, compare=False)


def heads_moved(
    *,
    heads: int,
    fittings_per_head: int | None = None,
    wire_per_head_m: float | None = None,
    wire_runs: int = 1,
) -> HeadsMoved:
    """Fittings, and length of wire, for heads that are moved.

    ::

        fittings    = heads x fittings per head
        wire length = heads x wire per head x wire runs

    Wire in metres from the splice to the head, with its slack; `wire_runs` conductors side by side. Limits:
    wire along a new main is not in it.

    Raises `ValueError` for figures that are not above zero.

    Examples
    --------
    >>> heads_moved(heads=6, wire_per_head_m=5, wire_runs=2).wire_length_m
    60

    References
    ----------
    Common practice.
    """
    work = Working()
    count = work.counted("heads", heads)
    fittings = wire = None
    if fittings_per_head is not None:
        fittings = count * work.counted("fittings per head", fittings_per_head)
        work.step("fittings", fittings, "each", "heads x fittings per head", "heads", "fittings per head")
    if wire_per_head_m is not None:
        each = work.given("wire per head", wire_per_head_m, "meter")
        runs = work.counted("wire runs", wire_runs)
        wire = work.step(
            "wire length", count * each * runs, "meter", "heads x wire per head x wire runs",
            "heads", "wire per head", "wire runs",
        )  # fmt: skip
    return HeadsMoved(fittings, wire, work.steps)
