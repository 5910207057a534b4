"""Fences: posts by stretches between ends, corners and gates; rails, mesh, and concrete around posts."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working, fits, whole_up

SPACES = "geometry: a stretch of n equal spaces has a post at each end of every space"
CYLINDER = "geometry: volume of a cylinder"


@dataclass(frozen=True, slots=True)
class FenceLine:
    """A fence: its length without gates, the spaces between its posts, and the posts."""

    length_m: float
    spaces: int
    posts: int
    steps: Steps = field(repr=False, compare=False)


def fence_line(
    *, stretches_m: Sequence[float], post_spacing_m: float, gates: int = 0, closed: bool = False
) -> FenceLine:
    """Posts of a fence whose straight stretches meet at corners and gates.

    ::

        spaces of a stretch = stretch / post spacing, rounded up
        post spaces         = spaces of all stretches
        posts               = post spaces + gates + 1, or without the 1 for a fence that closes on itself

    Lengths in metres; a stretch ends at an end, a corner or a gate, gates not counted in its length; the
    spacing is the largest allowed and evened out within a stretch. A gate stands between two posts, which
    are the last of its neighbouring stretches. Limits: one line; separate fences are taken off separately.

    Raises `ValueError` for no stretches, figures that are not above zero, or gates that are not whole.

    Examples
    --------
    100 ft at 8 ft takes 13 spaces and 14 posts:

    >>> fence_line(stretches_m=[30.48], post_spacing_m=2.4384).posts
    14

    References
    ----------
    Common practice: spaces plus one.
    """
    if not stretches_m:
        raise ValueError("stretches: expected the length of at least one; got none")
    work = Working()
    spacing = work.given("post spacing", post_spacing_m, "meter")
    stretches = [f"stretch {number}" for number in range(1, len(stretches_m) + 1)]
    counts = []
    for name, stretch in zip(stretches, stretches_m, strict=True):
        work.given(name, stretch, "meter")
        counts.append(whole_up(stretch / spacing))
        work.step(
            f"spaces of {name}", counts[-1], "each", f"{name} / post spacing, rounded up to whole spaces",
            name, "post spacing", source=SPACES,
        )  # fmt: skip
    length = work.step("fence length", math.fsum(stretches_m), "meter", " + ".join(stretches), *stretches)
    of_each = [f"spaces of {name}" for name in stretches]
    work.step("post spaces", sum(counts), "each", " + ".join(of_each), *of_each)
    parts = ["post spaces"]
    if gates:
        work.counted("gates", gates)
        parts.append("gates")
    posts = sum(counts) + gates + (0 if closed else 1)
    formula = " + ".join(parts if closed else [*parts, "1"])
    work.step("posts", posts, "each", formula, *parts, source=SPACES)
    return FenceLine(length, sum(counts), posts, work.steps)


@dataclass(frozen=True, slots=True)
class Rails:
    """Rails from post to post, or mesh and wire along the fence."""

    rails: int | None
    mesh_area_m2: float | None
    steps: Steps = field(repr=False, compare=False)


def rails_and_mesh(
    *,
    post_spaces: int,
    fence_length_m: float,
    rails_per_space: int | None = None,
    mesh_height_m: float | None = None,
) -> Rails:
    """Whole rails, each one space long, and the area of mesh.

    ::

        rails     = post spaces x rails per space
        mesh area = fence length x mesh height

    Lengths in metres. Limits: rails are bought for the post spacing; mesh without waste.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    Geometry.
    """
    work = Working()
    spaces = work.counted("post spaces", post_spaces)
    length = work.given("fence length", fence_length_m, "meter")
    rails = mesh = None
    if rails_per_space is not None:
        rails = spaces * work.counted("rails per space", rails_per_space)
        work.step("rails", rails, "each", "post spaces x rails per space", "post spaces", "rails per space")
    if mesh_height_m is not None:
        height = work.given("mesh height", mesh_height_m, "meter")
        mesh = work.step(
            "mesh area", length * height, "square_meter", "fence length x mesh height", "fence length", "mesh height",
            source="geometry",
        )  # fmt: skip
    return Rails(rails, mesh, work.steps)


@dataclass(frozen=True, slots=True)
class Footings:
    """Concrete around posts."""

    concrete_volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def post_footings(
    *, posts: int, hole_diameter_m: float, hole_depth_m: float, post_diameter_m: float
) -> Footings:
    """Concrete in the holes of posts that stand to the bottom.

    ::

        concrete volume = posts x pi / 4 x (hole diameter^2 - post diameter^2) x hole depth

    Lengths in metres. Limits: straight holes, round posts (a square one displaces 4 / pi times as much), no
    gravel below; holes in the ground run wider than the auger.

    Raises `ValueError` for figures that are not above zero or a post that does not fit its hole.

    References
    ----------
    Geometry.
    """
    work = Working()
    count = work.counted("posts", posts)
    hole = work.given("hole diameter", hole_diameter_m, "meter")
    depth = work.given("hole depth", hole_depth_m, "meter")
    post = work.given("post diameter", post_diameter_m, "meter")
    if fits(hole, post):
        raise ValueError(f"post diameter: expected less than the hole's, {hole!r} meter; got {post!r}")
    volume = work.step(
        "concrete volume", count * math.pi / 4 * (hole**2 - post**2) * depth, "cubic_meter",
        "posts x pi / 4 x (hole diameter^2 - post diameter^2) x hole depth",
        "posts", "hole diameter", "post diameter", "hole depth", source=CYLINDER,
    )  # fmt: skip
    return Footings(volume, work.steps)
