"""Sod: the area to order, and the slabs, rolls and pallets it comes in."""

from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working, whole_up


@dataclass(frozen=True, slots=True)
class Sod:
    """Sod to order for an area."""

    sod_area_m2: float
    steps: Steps = field(repr=False, compare=False)


def sod_to_order(*, area_m2: float, waste_share: float = 0.0) -> Sod:
    """Area of sod to order for an area to be covered.

    ::

        sod area = area x (1 + waste)

    Area in square metres, waste for cutting and rejects as a share of it. Limits: edges and steep curves
    waste more than the usual share on small areas.

    Raises `ValueError` for an area that is not above zero or a negative waste.

    References
    ----------
    Common practice.
    """
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    waste = work.given("waste", waste_share, "ratio", zero=True)
    sod = work.step(
        "sod area", area * (1 + waste), "square_meter", "area x (1 + waste)", "area", "waste",
        source="common practice: waste as a share of the area to be covered",
    )  # fmt: skip
    return Sod(sod, work.steps)


@dataclass(frozen=True, slots=True)
class SodUnits:
    """Slabs, rolls or pallets: as computed, and whole."""

    computed: float
    whole: int
    steps: Steps = field(repr=False, compare=False)


def sod_units(*, sod_area_m2: float, coverage_m2: float, unit: str) -> SodUnits:
    """Whole slabs, rolls or pallets that cover an area of sod.

    ::

        units = sod area / coverage of one, rounded up

    Areas in square metres; `unit` is ``"slab"``, ``"roll"`` or ``"pallet"``. Limits: the coverage is what
    the grower sells as one; pallets are often sold by a rounded coverage.

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
    if unit not in ("slab", "roll", "pallet"):
        raise ValueError(f"unit: expected slab, roll or pallet; got {unit!r}")
    work = Working()
    area = work.given("sod area", sod_area_m2, "square_meter")
    coverage = work.given(f"{unit} coverage", coverage_m2, "square_meter")
    computed = area / coverage
    whole = whole_up(computed)
    work.step(
        f"{unit}s", whole, unit, f"sod area / {unit} coverage, rounded up to whole {unit}s",
        "sod area", f"{unit} coverage", source="common practice: sold whole",
    )  # fmt: skip
    return SodUnits(computed, whole, work.steps)
