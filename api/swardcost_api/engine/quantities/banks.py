"""Bank re-establishment: slope, excavation, stone, fabric, toe rolls, live stakes and planted slope."""

from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working, fits, whole_up

SLOPE = "geometry: Pythagoras on rise and run"
LAYER = "geometry: volume of a layer"
STRIPS = "geometry: each strip but the first covers its width less the lap"
GRID = "geometry: one stake to each cell of the spacing grid"


@dataclass(frozen=True, slots=True)
class Bank:
    """A bank of one cross-section: its slope, and what is planted of it."""

    slope_length_m: float
    slope_area_m2: float
    excavation_m3: float | None
    stone_area_m2: float | None
    stone_volume_m3: float | None
    planted_area_m2: float
    steps: Steps = field(repr=False, compare=False)


def bank_section(
    *,
    length_m: float,
    height_m: float,
    run_per_rise: float,
    cut_depth_m: float | None = None,
    stone_slope_length_m: float | None = None,
    stone_thickness_m: float | None = None,
) -> Bank:
    """Areas and volumes of a bank from its length and cross-section.

    ::

        slope length      = bank height x (1 + run per rise^2)^0.5
        slope area        = bank length x slope length
        excavation volume = slope area x cut depth
        stone area        = bank length x stone slope length
        stone volume      = stone area x stone thickness
        planted area      = slope area - stone area

    Lengths in metres, the bank along the water's edge; a slope of 3 to 1 has a run per rise of 3; the cut
    depth is the mean over the slope and square to it; stone covers the slope from the toe up. Limits: one
    section all along; a key at toe and top belongs to the slope length of the stone.

    Raises `ValueError` for figures that are not above zero, stone beyond the slope, or a stone length without
    its thickness.

    Examples
    --------
    A bank 3 m high with a run of 4 m has a slope of 5 m:

    >>> bank_section(length_m=10, height_m=3, run_per_rise=4 / 3).slope_length_m
    5.0

    References
    ----------
    Geometry. Cross-sections as in USDA NRCS, Engineering Field Handbook, chapter 16, Streambank and
    Shoreline Protection (from memory).
    """
    work = Working()
    length = work.given("bank length", length_m, "meter")
    height = work.given("bank height", height_m, "meter")
    ratio = work.given("run per rise", run_per_rise, "ratio")
    slope = work.step(
        "slope length", height * (1 + ratio**2) ** 0.5, "meter", "bank height x (1 + run per rise^2)^0.5",
        "bank height", "run per rise", source=SLOPE,
    )  # fmt: skip
    area = work.step(
        "slope area", length * slope, "square_meter", "bank length x slope length", "bank length", "slope length",
        source="geometry",
    )  # fmt: skip
    dug = stone_area = stone = None
    if cut_depth_m is not None:
        cut = work.given("cut depth", cut_depth_m, "meter")
        dug = work.step(
            "excavation volume", area * cut, "cubic_meter", "slope area x cut depth", "slope area", "cut depth",
            source=LAYER,
        )  # fmt: skip
    if (stone_slope_length_m is None) != (stone_thickness_m is None):
        raise ValueError("stone thickness: expected together with the stone's slope length; got one of them")
    if stone_slope_length_m is not None and stone_thickness_m is not None:
        if not fits(stone_slope_length_m, slope):
            raise ValueError(
                f"stone slope length: expected at most the slope length, {slope!r} meter; "
                f"got {stone_slope_length_m!r}"
            )
        covered = work.given("stone slope length", stone_slope_length_m, "meter")
        thickness = work.given("stone thickness", stone_thickness_m, "meter")
        stone_area = work.step(
            "stone area", length * covered, "square_meter", "bank length x stone slope length",
            "bank length", "stone slope length", source="geometry",
        )  # fmt: skip
        stone = work.step(
            "stone volume", stone_area * thickness, "cubic_meter", "stone area x stone thickness",
            "stone area", "stone thickness", source=LAYER,
        )  # fmt: skip
    planted = _planted(work, area, stone_area)
    return Bank(slope, area, dug, stone_area, stone, planted, work.steps)


def _planted(work: Working, area: float, stone_area: float | None) -> float:
    if stone_area is None:
        return work.step("planted area", area, "square_meter", "slope area", "slope area", source="geometry")
    none = fits(area, stone_area)
    formula = "0 x (slope area - stone area)" if none else "slope area - stone area"
    return work.step(
        "planted area", 0.0 if none else area - stone_area, "square_meter", formula, "slope area", "stone area",
        source="geometry",
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Fabric:
    """Geotextile to order: whole strips down the slope, side by side with laps."""

    strip_length_m: float
    strips: int
    fabric_area_m2: float
    steps: Steps = field(repr=False, compare=False)


def lapped_fabric(
    *,
    length_m: float,
    slope_length_m: float,
    roll_width_m: float,
    lap_m: float,
    toe_anchor_m: float | None = None,
    top_anchor_m: float | None = None,
    slope_name: str = "slope length",
) -> Fabric:
    """Fabric for a bank, in whole strips that run down the slope and lap along it.

    ::

        fabric strip length = slope length + toe anchor + top anchor
        fabric strips       = max(1, (bank length - lap) / (roll width - lap)), rounded up
        fabric area         = fabric strips x roll width x fabric strip length

    All in metres; the slope length is what the fabric covers, `slope_name` the name of the step or figure that
    it comes from; an anchor is what goes into the trench at toe or top. Limits: no strip is pieced together from
    two rolls; what is left of a roll is not counted.

    Raises `ValueError` for figures that are not above zero (a lap may be zero) or a lap as wide as the roll.

    Examples
    --------
    Two strips of 12.5 with a lap of 2.5 reach 22.5, the third is laid whole:

    >>> lapped_fabric(length_m=25, slope_length_m=4, roll_width_m=12.5, lap_m=2.5).fabric_area_m2
    150.0

    References
    ----------
    Geometry of parallel strips.
    """
    work = Working()
    length = work.given("bank length", length_m, "meter")
    covered = work.given(slope_name, slope_length_m, "meter")
    roll = work.given("roll width", roll_width_m, "meter")
    lap = work.given("lap", lap_m, "meter", zero=True)
    if fits(roll, lap):
        raise ValueError(f"lap: expected less than the roll width, {roll!r} meter; got {lap!r}")
    anchors = {"toe anchor": toe_anchor_m, "top anchor": top_anchor_m}
    buried = {name: work.given(name, size, "meter") for name, size in anchors.items() if size is not None}
    strip = work.step(
        "fabric strip length", covered + sum(buried.values()), "meter", " + ".join([slope_name, *buried]),
        slope_name, *buried, source="geometry",
    )  # fmt: skip
    strips = whole_up((length - lap) / (roll - lap))
    work.step(
        "fabric strips", strips, "each",
        "max(1, (bank length - lap) / (roll width - lap)), rounded up to whole strips",
        "bank length", "lap", "roll width", source=STRIPS,
    )  # fmt: skip
    fabric = work.step(
        "fabric area", strips * roll * strip, "square_meter", "fabric strips x roll width x fabric strip length",
        "fabric strips", "roll width", "fabric strip length", source=STRIPS,
    )  # fmt: skip
    return Fabric(strip, strips, fabric, work.steps)


@dataclass(frozen=True, slots=True)
class Stakes:
    """Live stakes on a planted slope."""

    stakes: int
    steps: Steps = field(repr=False, compare=False)


def live_stakes(*, area_m2: float, spacing_m: float) -> Stakes:
    """Whole live stakes at one spacing both ways.

    ::

        live stakes = planted area / stake spacing^2, rounded up

    Area in square metres, spacing in metres. Limits: none for losses; add them as waste of the item bought.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    Geometry.
    """
    work = Working()
    area = work.given("planted area", area_m2, "square_meter")
    spacing = work.given("stake spacing", spacing_m, "meter")
    count = whole_up(area / spacing**2)
    work.step(
        "live stakes", count, "each", "planted area / stake spacing^2, rounded up to whole stakes",
        "planted area", "stake spacing", source=GRID,
    )  # fmt: skip
    return Stakes(count, work.steps)
