"""What cultivation leaves on the turf: cores, auger spoil and thatch, loose on the ground, in loads to haul."""

from dataclasses import dataclass, field

from swardcost_api.engine.quantities.hauling import WHOLE
from swardcost_api.engine.quantities.working import Steps, Working, whole_up

SWELL = "soil conversion factors, as given"
DENSITY = "definition of bulk density: mass / volume"
CUT_ONCE = "geometry: ground that has been cut out is not there to be cut again"


@dataclass(frozen=True, slots=True)
class Debris:
    """Ground taken up: its volume as it lay in place, its volume loose, and its mass."""

    collected_volume_m3: float
    loose_volume_m3: float
    mass_kg: float
    steps: Steps = field(repr=False, compare=False)


def collected_debris(
    *,
    volume_m3: float,
    loose_factor: float,
    bulk_density_kg_per_m3: float,
    collected_share: float = 1.0,
    volume_name: str = "core volume",
) -> Debris:
    """Cores or auger spoil to take away, loose and by mass.

    ::

        collected volume = volume in place x collected share
        loose volume     = collected volume x loose factor
        debris mass      = collected volume x bulk density in place

    Volume in cubic metres, density in kilograms to the cubic metre of ground *as it lay in place*, at its
    moisture. The factor is above 1: a swell of 25 % is 1.25. The collected share is what is not worked back
    in. `volume_name` is the name of the step that the volume comes from.

    Limits: one factor and one density for all of it; thatch, root zone and soil differ.

    Raises `ValueError` for figures that are not above zero, or a collected share above 1.

    Examples
    --------
    >>> cores = collected_debris(volume_m3=2, loose_factor=1.25, bulk_density_kg_per_m3=1_500)
    >>> (cores.loose_volume_m3, cores.mass_kg)
    (2.5, 3000.0)

    References
    ----------
    Definitions of swell and bulk density; factors by soil are in the US military soil conversion table.
    """
    work = Working()
    in_place = work.given(volume_name, volume_m3, "cubic_meter")
    part = work.given("collected share", collected_share, "ratio")
    if part > 1:
        raise ValueError(f"collected share: expected at most 1; got {part!r}")
    factor = work.given("loose factor", loose_factor, "ratio")
    density = work.given("bulk density in place", bulk_density_kg_per_m3, "kilogram_per_cubic_meter")
    collected = work.step(
        "collected volume", in_place * part, "cubic_meter", f"{volume_name} x collected share",
        volume_name, "collected share", source="common practice: a part of the cores may be worked back in",
    )  # fmt: skip
    loose = work.step(
        "loose volume", collected * factor, "cubic_meter", "collected volume x loose factor",
        "collected volume", "loose factor", source=SWELL,
    )  # fmt: skip
    mass = work.step(
        "debris mass", collected * density, "kilogram", "collected volume x bulk density in place",
        "collected volume", "bulk density in place", source=DENSITY,
    )  # fmt: skip
    return Debris(collected, loose, mass, work.steps)


@dataclass(frozen=True, slots=True)
class VerticutDebris:
    """What vertical mowing throws out: thatch, the soil below it, and both together."""

    thatch_volume_m3: float
    soil_volume_m3: float
    debris_volume_m3: float
    loose_volume_m3: float
    mass_kg: float
    steps: Steps = field(repr=False, compare=False)


def verticut_debris(
    *,
    area_m2: float,
    share_touched_once: float,
    depth_m: float,
    thatch_depth_m: float,
    thatch_density_kg_per_m3: float,
    soil_density_kg_per_m3: float,
    loose_factor: float,
) -> VerticutDebris:
    """Thatch and soil that vertical mowing throws out, by depth and share of the blades.

    ::

        thatch volume = area x share touched once x min(depth, thatch depth)
        soil volume   = area x share touched once x max(depth - thatch depth, 0)
        loose volume  = (thatch volume + soil volume) x loose factor
        debris mass   = thatch volume x thatch density + soil volume x soil density

    Area in square metres, depths in metres from the top of the thatch, densities in kilograms to the cubic
    metre in place and at their moisture. The share is that of all runs, touched once.

    Limits: leaf and stolons cut above the thatch are not in it; torn edges and slits that close give more
    or less. Thatch is far lighter than soil and its density depends on the sand in it: weigh a plug.

    Raises `ValueError` for figures that are not above zero, or a share above 1.

    References
    ----------
    Geometry of strips. Thatch is lighter than soil, by how much depends on the soil in it: Hurto, Turgeon
    and Spomer, Agronomy Journal 72, 1980.
    """
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    share = work.given("share touched once", share_touched_once, "ratio")
    if share > 1:
        raise ValueError(f"share touched once: expected at most 1; got {share!r}")
    depth = work.given("depth", depth_m, "meter")
    thatch_depth = work.given("thatch depth", thatch_depth_m, "meter")
    thatch_density = work.given("thatch bulk density", thatch_density_kg_per_m3, "kilogram_per_cubic_meter")
    soil_density = work.given("soil bulk density", soil_density_kg_per_m3, "kilogram_per_cubic_meter")
    factor = work.given("loose factor", loose_factor, "ratio")
    thatch = work.step(
        "thatch volume", area * share * min(depth, thatch_depth), "cubic_meter",
        "area x share touched once x min(depth, thatch depth)",
        "area", "share touched once", "depth", "thatch depth", source=CUT_ONCE,
    )  # fmt: skip
    soil = work.step(
        "soil volume", area * share * max(depth - thatch_depth, 0.0), "cubic_meter",
        "area x share touched once x max(depth - thatch depth, 0)",
        "area", "share touched once", "depth", "thatch depth", source=CUT_ONCE,
    )  # fmt: skip
    debris = work.step(
        "debris volume", thatch + soil, "cubic_meter", "thatch volume + soil volume",
        "thatch volume", "soil volume",
    )  # fmt: skip
    loose = work.step(
        "loose volume", debris * factor, "cubic_meter", "debris volume x loose factor",
        "debris volume", "loose factor", source=SWELL,
    )  # fmt: skip
    mass = work.step(
        "debris mass", thatch * thatch_density + soil * soil_density, "kilogram",
        "thatch volume x thatch bulk density + soil volume x soil bulk density",
        "thatch volume", "thatch bulk density", "soil volume", "soil bulk density", source=DENSITY,
    )  # fmt: skip
    return VerticutDebris(thatch, soil, debris, loose, mass, work.steps)


@dataclass(frozen=True, slots=True)
class DebrisLoads:
    """Whole loads by what fills first, the box or the payload, and their round trips."""

    loads_by_volume: int
    loads_by_mass: int
    loads: int
    trips: int
    steps: Steps = field(repr=False, compare=False)


def debris_loads(
    *, loose_volume_m3: float, mass_kg: float, box_volume_m3: float, payload_kg: float
) -> DebrisLoads:
    """Whole loads of debris, limited by the box or by the payload.

    ::

        loads by volume = loose volume / box volume, rounded up
        loads by mass   = debris mass / payload, rounded up
        loads           = the larger of the two, one round trip each

    Volumes in cubic metres, loose; masses in kilograms. Limits: every load but the last is taken as full.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    Common practice.
    """
    work = Working()
    loose = work.given("loose volume", loose_volume_m3, "cubic_meter")
    mass = work.given("debris mass", mass_kg, "kilogram")
    box = work.given("box volume", box_volume_m3, "cubic_meter")
    payload = work.given("payload", payload_kg, "kilogram")
    by_volume, by_mass = whole_up(loose / box), whole_up(mass / payload)
    work.step(
        "loads by volume", by_volume, "load", "loose volume / box volume, rounded up to whole loads",
        "loose volume", "box volume", source=WHOLE,
    )  # fmt: skip
    work.step(
        "loads by mass", by_mass, "load", "debris mass / payload, rounded up to whole loads",
        "debris mass", "payload", source=WHOLE,
    )  # fmt: skip
    loads = max(by_volume, by_mass)
    work.step(
        "loads", loads, "load", "max(loads by volume, loads by mass)", "loads by volume", "loads by mass",
        source="common practice: a load is full by volume or by weight, whichever comes first",
    )  # fmt: skip
    work.step("trips", loads, "trip", "loads, one round trip each", "loads", source=WHOLE)
    return DebrisLoads(by_volume, by_mass, loads, loads, work.steps)
