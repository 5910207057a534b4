"""A program of cultivation: several kinds of passes on the same areas, over weeks or a year.

What passes add up to at the surface, what share of each band of the profile they take out and replace, the
sand they need against the sand that is bought, and how the whole compares with a goal.
"""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from swardcost_api.engine.derivation import Input, Step
from swardcost_api.engine.quantities.surface import CONVENTION, OVERLAP, areas_of, share_given, touched_by_any
from swardcost_api.engine.quantities.working import Steps, Working, fits

OPENED = "geometry: share of surface times depth"


@dataclass(frozen=True, slots=True)
class Program:
    """Several passes of any kind together. Shares are of the surface."""

    share_sum_of_passes: float
    share_touched_once: float
    steps: Steps = field(repr=False, compare=False)


def program(shares: Sequence[float]) -> Program:
    """What a program of passes opens: the sum of their shares, and the share that at least one has touched.

    ::

        sum     = p1 + p2 + ...
        touched = 1 - (1 - p1) x (1 - p2) x ...

    Each share is of the surface, above 0 and at most 1. Limits: the passes are assumed independent.

    Raises `ValueError` for an empty program or a share outside its range.

    References
    ----------
    Probability of independent events.
    """
    if not shares:
        raise ValueError("shares: expected the share of at least one pass; got none")
    work = Working()
    names = [f"share of pass {number}" for number in range(1, len(shares) + 1)]
    for name, share in zip(names, shares, strict=True):
        share_given(work, name, share)
    total = work.step(
        "share sum of passes", math.fsum(shares), "ratio", " + ".join(names), *names, source=CONVENTION
    )
    once = work.step(
        "share touched once", 1 - math.prod(1 - share for share in shares), "ratio",
        "1 - " + " x ".join(f"(1 - {name})" for name in names), *names, source=OVERLAP,
    )  # fmt: skip
    return Program(total, once, work.steps)


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgramPass:
    """One kind of pass within a program.

    `share` is what one run opens of the surface and `runs` how often it is run; `removed_share` is how much
    of the opened ground leaves it (1 for cores, 0 for solid tines), `filled_share` how much sand goes in
    for each volume opened (1 for holes filled to the top, more where a jet opens a cavity).
    """

    share: float
    depth_m: float
    runs: int = 1
    removed_share: float = 0.0
    filled_share: float = 0.0


def of_pass(steps: Steps, number: int) -> Steps:
    """The same steps with every figure named for its pass, so that passes can stand side by side."""
    names = {step.name for step in steps.values()}
    names |= {figure.name for step in steps.values() for figure in step.inputs}
    longest_first = sorted(names, key=lambda name: (-len(name), name))
    pattern = re.compile(rf"(?<!\w)({'|'.join(map(re.escape, longest_first))})(?!\w)")
    renamed = {name: f"pass {number} {name}" for name in names}
    return {
        renamed[step.name]: Step(
            renamed[step.name], step.value, step.unit,
            pattern.sub(lambda found: renamed[found.group()], step.formula),
            tuple([Input(renamed[figure.name], figure.value, figure.unit) for figure in step.inputs]),
            step.source,
        )
        for step in steps.values()
    }  # fmt: skip


def taken_in(work: Working, passes: Sequence[ProgramPass]) -> None:
    """Take in the figures of all passes. Raises `ValueError` for none, or for figures outside their range."""
    if not passes:
        raise ValueError("passes: expected at least one pass; got none")
    for number, one in enumerate(passes, 1):
        share = share_given(work, f"pass {number} share", one.share)
        work.given(f"pass {number} depth", one.depth_m, "meter")
        work.counted(f"pass {number} runs", one.runs)
        for name, part in (("removed", one.removed_share), ("filled", one.filled_share)):
            work.given(f"pass {number} {name} share", part, "ratio", zero=True)
            if not fits(share * part, share if name == "removed" else 1.0):
                most = "1" if name == "removed" else "1 / share of surface"
                raise ValueError(f"pass {number} {name} share: expected at most {most}; got {part!r}")


@dataclass(frozen=True, slots=True)
class ProgramWork:
    """What a program does to an area: shares and areas opened, volumes opened, removed and filled.

    Of the volumes removed and filled, the part still open when all is done, or the part added on top.
    """

    share_sum_of_passes: float
    share_touched_once: float
    area_sum_of_passes_m2: float
    area_touched_once_m2: float
    opened_volume_m3: float
    removed_volume_m3: float
    filled_volume_m3: float
    unfilled_volume_m3: float
    added_volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def program_work(*, area_m2: float, passes: Sequence[ProgramPass]) -> ProgramWork:
    """Shares, areas and volumes of a program of passes.

    ::

        sum             = p1 x n1 + p2 x n2 + ...
        touched         = 1 - (1 - p1)^n1 x (1 - p2)^n2 x ...
        opened volume   = sum of area x p x depth x n
        removed volume  = sum of opened volume x removed share
        filled volume   = sum of opened volume x filled share
        unfilled volume = removed - filled where more is removed; added volume = filled - removed elsewhere

    Area in square metres; p is the share of a run, n its number of runs. Volumes are sums of passes: each
    pass is counted as if it met firm ground, filled before the next.

    Limits: the passes are assumed independent; a pass into holes still open moves less than the figure.

    Raises `ValueError` for an empty program or figures outside their range.

    References
    ----------
    Geometry; probability of independent events.
    """
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    taken_in(work, passes)
    numbers = range(1, len(passes) + 1)
    shares, runs = [f"pass {n} share" for n in numbers], [f"pass {n} runs" for n in numbers]
    total = work.step(
        "share sum of passes", math.fsum(one.share * one.runs for one in passes), "ratio",
        " + ".join(f"{p} x {n}" for p, n in zip(shares, runs, strict=True)), *shares, *runs, source=CONVENTION,
    )  # fmt: skip
    once = work.step(
        "share touched once", touched_by_any((one.share, one.runs) for one in passes), "ratio",
        "1 - " + " x ".join(f"(1 - {p})^{n}" for p, n in zip(shares, runs, strict=True)), *shares, *runs,
        source=OVERLAP,
    )  # fmt: skip
    areas = areas_of(work, area, total, once)
    opened, removed, filled = _volumes(work, area, passes)
    unfilled = work.step(
        "unfilled volume", max(removed - filled, 0.0), "cubic_meter", "max(removed volume - filled volume, 0)",
        "removed volume", "filled volume",
    )  # fmt: skip
    added = work.step(
        "added volume", max(filled - removed, 0.0), "cubic_meter", "max(filled volume - removed volume, 0)",
        "filled volume", "removed volume",
    )  # fmt: skip
    return ProgramWork(total, once, *areas, opened, removed, filled, unfilled, added, work.steps)


def _volumes(work: Working, area: float, passes: Sequence[ProgramPass]) -> tuple[float, float, float]:
    totals = {"opened": 0.0, "removed": 0.0, "filled": 0.0}
    for number, one in enumerate(passes, 1):
        opened = work.step(
            f"pass {number} opened volume", area * one.share * one.depth_m * one.runs, "cubic_meter",
            f"area x pass {number} share x pass {number} depth x pass {number} runs",
            "area", f"pass {number} share", f"pass {number} depth", f"pass {number} runs", source=OPENED,
        )  # fmt: skip
        totals["opened"] += opened
        for name, part in (("removed", one.removed_share), ("filled", one.filled_share)):
            totals[name] += work.step(
                f"pass {number} {name} volume", opened * part, "cubic_meter",
                f"pass {number} opened volume x pass {number} {name} share",
                f"pass {number} opened volume", f"pass {number} {name} share", source=OPENED,
            )  # fmt: skip
    for name, total in totals.items():
        parts = [f"pass {number} {name} volume" for number in range(1, len(passes) + 1)]
        work.step(f"{name} volume", total, "cubic_meter", " + ".join(parts), *parts, source=CONVENTION)
    return totals["opened"], totals["removed"], totals["filled"]


@dataclass(frozen=True, slots=True)
class SandBought:
    """Mass of the sand that is bought."""

    bought_kg: float
    steps: Steps = field(repr=False, compare=False)


def sand_bought(*, area_m2: float, rate_kg_per_m2: float) -> SandBought:
    """Mass of sand that is bought at so much to the area.

    ::

        sand bought = area x rate of sand bought

    Area in square metres, rate in kilograms to the square metre. Limits: the mass is of the sand as it is
    weighed.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    Arithmetic.
    """
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    rate = work.given("rate of sand bought", rate_kg_per_m2, "kilogram_per_square_meter")
    bought = work.step(
        "sand bought", area * rate, "kilogram", "area x rate of sand bought", "area", "rate of sand bought"
    )
    return SandBought(bought, work.steps)


@dataclass(frozen=True, slots=True)
class SandBalance:
    """Sand bought against sand needed: what is missing, or what is left over."""

    shortage_kg: float
    surplus_kg: float
    steps: Steps = field(repr=False, compare=False)


def sand_balance(*, needed_kg: float, bought_kg: float) -> SandBalance:
    """Shortage or surplus of the sand that is bought.

    ::

        sand shortage = sand mass - sand bought, or none
        sand surplus  = sand bought - sand mass, or none

    Masses in kilograms, of the same sand at the same moisture. Limits: sand bought wet and needed dry is
    less sand than its mass says.

    Raises `ValueError` for figures below zero, or no sand needed.

    References
    ----------
    Arithmetic.
    """
    work = Working()
    needed = work.given("sand mass", needed_kg, "kilogram")
    bought = work.given("sand bought", bought_kg, "kilogram", zero=True)
    shortage = work.step(
        "sand shortage", max(needed - bought, 0.0), "kilogram", "max(sand mass - sand bought, 0)",
        "sand mass", "sand bought",
    )  # fmt: skip
    surplus = work.step(
        "sand surplus", max(bought - needed, 0.0), "kilogram", "max(sand bought - sand mass, 0)",
        "sand bought", "sand mass",
    )  # fmt: skip
    return SandBalance(shortage, surplus, work.steps)


@dataclass(frozen=True, slots=True)
class GoalComparison:
    """How far a program is below or above a goal, by both conventions. Shares are of the surface."""

    short_of_goal_by_sum: float
    short_of_goal_touched_once: float
    over_goal_by_sum: float
    over_goal_touched_once: float
    steps: Steps = field(repr=False, compare=False)


def against_goal(
    *, share_sum_of_passes: float, share_touched_once: float, at_least_share: float, at_most_share: float
) -> GoalComparison:
    """A program's shares against a goal of the year, from a least to a most share of the surface.

    ::

        short of goal = goal at least - share, or none
        over goal     = share - goal at most, or none

    Limits: the goal is a range of opinion, not a standard: 15 to 20 % of a green a year by one pair of
    authors, 10 to 20 % as quoted elsewhere, 16 to 17 % by a university. It is meant by the sum of passes;
    what counts toward it (cores only, or all that opens the surface) differs too.

    Raises `ValueError` for figures below zero or a range that does not run upwards.

    References
    ----------
    P. O'Brien and C. Hartwiger, USGA Green Section Record, 2001 and 2003, as quoted in the trade press.
    """
    work = Working()
    shares = {
        "by sum": ("share sum of passes", work.given("share sum of passes", share_sum_of_passes, "ratio")),
        "touched once": ("share touched once", share_given(work, "share touched once", share_touched_once)),
    }
    least = work.given("goal at least", at_least_share, "ratio", zero=True)
    most = work.given("goal at most", at_most_share, "ratio")
    if not fits(least, most):
        raise ValueError(f"goal at most: expected at least the lower end, {least!r}; got {most!r}")
    short = [
        work.step(
            f"short of goal {way}", max(least - share, 0.0), "ratio", f"max(goal at least - {name}, 0)",
            "goal at least", name, source="the goal as given",
        )
        for way, (name, share) in shares.items()
    ]  # fmt: skip
    over = [
        work.step(
            f"over goal {way}", max(share - most, 0.0), "ratio", f"max({name} - goal at most, 0)",
            name, "goal at most", source="the goal as given",
        )
        for way, (name, share) in shares.items()
    ]  # fmt: skip
    return GoalComparison(short[0], short[1], over[0], over[1], work.steps)
