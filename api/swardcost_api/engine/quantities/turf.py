"""Sod: old sod to strip, the area to order, and the slabs, rolls and pallets it comes in."""

from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working, whole_up

SOLD_AS = ("slab", "roll", "big_roll", "pallet")


@dataclass(frozen=True, slots=True)
class Sod:
    """Sod to order for an area."""

    sod_area_m2: float
    steps: Steps = field(repr=False, compare=False)


def sod_to_order(
    *, area_m2: float, waste_share: float = 0.0, perimeter_m: float = 0.0, edge_strip_m: float = 0.0
) -> Sod:
    """Area of sod to order for an area to be covered.

    ::

        sod area = area x (1 + waste) + perimeter x edge strip

    Area in square metres, waste for cutting and rejects as a share of it. Along edges, pieces are laid over
    the line and cut off: the perimeter of all the areas and the width of the strip lost there, in metres.
    Small and winding areas have much edge to their size, which a share of the area does not see. Limits: give
    the loss at edges once, as a strip or inside the share.

    Raises `ValueError` for an area that is not above zero or negative figures.

    References
    ----------
    Common practice; geometry.
    """
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    waste = work.given("waste", waste_share, "ratio", zero=True)
    perimeter = work.given("perimeter", perimeter_m, "meter", zero=True)
    strip = work.given("edge strip", edge_strip_m, "meter", zero=True)
    if perimeter == 0:
        sod = work.step(
            "sod area", area * (1 + waste), "square_meter", "area x (1 + waste)", "area", "waste",
            source="common practice: waste as a share of the area to be covered",
        )  # fmt: skip
        return Sod(sod, work.steps)
    sod = work.step(
        "sod area", area * (1 + waste) + perimeter * strip, "square_meter",
        "area x (1 + waste) + perimeter x edge strip", "area", "waste", "perimeter", "edge strip",
        source="common practice: waste as a share of the area, and a strip cut off along its edge",
    )  # fmt: skip
    return Sod(sod, work.steps)


@dataclass(frozen=True, slots=True)
class SodUnits:
    """Slabs, rolls, big rolls or pallets: as computed, and whole."""

    computed: float
    whole: int
    steps: Steps = field(repr=False, compare=False)


def sod_units(*, sod_area_m2: float, coverage_m2: float, unit: str) -> SodUnits:
    """Whole slabs, rolls, big rolls or pallets that cover an area of sod.

    ::

        units = sod area / coverage of one, rounded up

    Areas in square metres; `unit` is ``"slab"``, ``"roll"``, ``"big_roll"`` or ``"pallet"``. Limits: the
    coverage is what the grower sells as one; pallets are often sold by a rounded coverage.

    Raises `ValueError` for areas that are not above zero or another unit.

    Examples
    --------
    A 450 square foot pallet holds 168.75 slabs of 16 x 24 in:

    >>> sod_units(sod_area_m2=450 * 0.3048**2, coverage_m2=16 * 24 * 0.0254**2, unit="slab").whole
    169

    References
    ----------
    Geometry; sizes of slabs and rolls from growers' tables.
    """
    if unit not in SOLD_AS:
        raise ValueError(f"unit: expected slab, roll, big_roll or pallet; got {unit!r}")
    words = unit.replace("_", " ")
    work = Working()
    area = work.given("sod area", sod_area_m2, "square_meter")
    coverage = work.given(f"{words} coverage", coverage_m2, "square_meter")
    computed = area / coverage
    whole = whole_up(computed)
    work.step(
        f"{words}s", whole, unit, f"sod area / {words} coverage, rounded up to whole {words}s",
        "sod area", f"{words} coverage", source="common practice: sold whole",
    )  # fmt: skip
    return SodUnits(computed, whole, work.steps)


@dataclass(frozen=True, slots=True)
class SodStrip:
    """Old sod taken off: its volume in the ground, loose in the pile, and its mass."""

    volume_m3: float
    loose_volume_m3: float
    mass_kg: float
    steps: Steps = field(repr=False, compare=False)


def sod_strip(
    *, area_m2: float, thickness_m: float, bulk_density_kg_per_m3: float, loose_factor: float = 1.0
) -> SodStrip:
    """Volume and mass of sod that is stripped and hauled away.

    ::

        strip volume = area x thickness
        loose volume = strip volume x loose factor
        strip mass   = strip volume x bulk density

    Area in square metres, the thickness of the cut in metres, density of the sod *in the ground*, moist, in
    kilograms to the cubic metre; the loose factor is the volume in the pile or truck to the volume in the
    ground. Limits: an even cut; wet sod weighs far more than dry.

    Raises `ValueError` for figures that are not above zero or a loose factor below 1.

    References
    ----------
    Geometry; definition of bulk density.
    """
    if loose_factor < 1:
        raise ValueError(
            f"loose factor: expected 1 or more, since nothing packs by digging; got {loose_factor!r}"
        )
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    thickness = work.given("thickness", thickness_m, "meter")
    density = work.given("bulk density", bulk_density_kg_per_m3, "kilogram_per_cubic_meter")
    factor = work.given("loose factor", loose_factor, "ratio")
    volume = work.step(
        "strip volume", area * thickness, "cubic_meter", "area x thickness", "area", "thickness",
        source="geometry: volume of a layer",
    )  # fmt: skip
    loose = work.step(
        "loose volume", volume * factor, "cubic_meter", "strip volume x loose factor",
        "strip volume", "loose factor", source="the loose factor, as given",
    )  # fmt: skip
    mass = work.step(
        "strip mass", volume * density, "kilogram", "strip volume x bulk density",
        "strip volume", "bulk density", source="definition of bulk density: mass / volume",
    )  # fmt: skip
    return SodStrip(volume, loose, mass, work.steps)
