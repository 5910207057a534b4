"""Sand and other loose material: layers by depth or by rate, volume and mass, allowances and states.

Bulk density is always given by the caller. It differs from pit to pit and with moisture by a fifth or more:
a load weighed wet and a volume read from a dry table do not meet.
"""

from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working

PRISM = "geometry: volume of a layer"
DENSITY = "definition of bulk density: mass / volume"


@dataclass(frozen=True, slots=True)
class Layer:
    """A layer over an area: its depth after all applications, and its volume in place."""

    depth_m: float
    volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def layer_by_depth(*, area_m2: float, depth_m: float, applications: int = 1) -> Layer:
    """Volume in place of a layer of a depth, applied once or several times.

    ::

        volume = area x depth x applications

    Area in square metres, the depth of one application in metres. Limits: an even layer; sand dropped into
    open holes or canopy is not counted, nor is settlement (see `supply`).

    Raises `ValueError` for figures that are not above zero.

    Examples
    --------
    One inch over 1,000 square feet is 3.086 cubic yards:

    >>> round(layer_by_depth(area_m2=92.90304, depth_m=0.0254).volume_m3 / 0.9144**3, 3)
    3.086

    References
    ----------
    Geometry. The trade's factor of 0.0031 cubic yard to the square foot and inch is the same, rounded.
    """
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    depth = work.given("depth per application", depth_m, "meter")
    count = work.counted("applications", applications)
    total = work.step(
        "layer depth", depth * count, "meter", "depth per application x applications",
        "depth per application", "applications",
    )  # fmt: skip
    return _layer(work, area, total)


def layer_by_rate(*, area_m2: float, rate_m3_per_m2: float, applications: int = 1) -> Layer:
    """Volume in place of a dressing given as volume to the area, applied once or several times.

    ::

        depth  = rate x applications
        volume = area x depth

    Area in square metres, the rate of one application in cubic metres to the square metre. Limits: as for
    `layer_by_depth`; the depth is the average one.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    Geometry. Rates of light dressings: USGA Northeast Region update, 2014.
    """
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    rate = work.given("rate per application", rate_m3_per_m2, "cubic_meter_per_square_meter")
    count = work.counted("applications", applications)
    total = work.step(
        "layer depth", rate * count, "meter", "rate per application x applications",
        "rate per application", "applications",
    )  # fmt: skip
    return _layer(work, area, total)


def _layer(work: Working, area: float, depth: float) -> Layer:
    volume = work.step(
        "layer volume", area * depth, "cubic_meter", "area x layer depth", "area", "layer depth", source=PRISM
    )
    return Layer(depth, volume, work.steps)


@dataclass(frozen=True, slots=True)
class Supply:
    """Sand to bring in: its volume with allowance, and its mass."""

    volume_m3: float
    mass_kg: float
    steps: Steps = field(repr=False, compare=False)


def supply(
    *,
    volume_m3: float,
    bulk_density_kg_per_m3: float,
    allowance_share: float = 0.0,
    volume_name: str = "layer volume",
) -> Supply:
    """Volume and mass of sand to bring in for a volume in place.

    ::

        sand volume = volume in place x (1 + allowance)
        sand mass   = sand volume x bulk density

    Volume in cubic metres, density in kilograms to the cubic metre, the allowance for waste and settlement
    as a share of the volume in place. `volume_name` is the name of the step that the volume comes from.
    Limits: the density must be that of the sand as it is weighed, loose, at its moisture.

    Raises `ValueError` for figures that are not above zero (the allowance may be zero).

    References
    ----------
    Definition of bulk density.
    """
    work = Working()
    in_place = work.given(volume_name, volume_m3, "cubic_meter")
    density = work.given("bulk density", bulk_density_kg_per_m3, "kilogram_per_cubic_meter")
    allowance = work.given("allowance", allowance_share, "ratio", zero=True)
    volume = work.step(
        "sand volume", in_place * (1 + allowance), "cubic_meter", f"{volume_name} x (1 + allowance)",
        volume_name, "allowance", source="common practice: waste and settlement as a share of the volume in place",
    )  # fmt: skip
    mass = work.step(
        "sand mass", volume * density, "kilogram", "sand volume x bulk density",
        "sand volume", "bulk density", source=DENSITY,
    )  # fmt: skip
    return Supply(volume, mass, work.steps)


def volume_of_mass(*, mass_kg: float, bulk_density_kg_per_m3: float) -> Supply:
    """Volume of a mass of sand: a delivery ticket in tons as cubic metres in the pile.

    ::

        sand volume = sand mass / bulk density

    Mass in kilograms, density in kilograms to the cubic metre. Limits: as for `supply`.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    Definition of bulk density.
    """
    work = Working()
    mass = work.given("sand mass", mass_kg, "kilogram")
    density = work.given("bulk density", bulk_density_kg_per_m3, "kilogram_per_cubic_meter")
    volume = work.step(
        "sand volume", mass / density, "cubic_meter", "sand mass / bulk density",
        "sand mass", "bulk density", source=DENSITY,
    )  # fmt: skip
    return Supply(volume, mass, work.steps)


@dataclass(frozen=True, slots=True)
class MoistDensity:
    """Bulk density of material with the water it carries."""

    bulk_density_kg_per_m3: float
    steps: Steps = field(repr=False, compare=False)


def moist_density(*, dry_bulk_density_kg_per_m3: float, moisture_share: float, material: str) -> MoistDensity:
    """Bulk density of moist material, from its dry density and its moisture by mass.

    ::

        bulk density = dry bulk density x (1 + moisture)

    Density in kilograms to the cubic metre; moisture is the mass of water to the mass of *dry* material (the
    gravimetric water content of a soil test); `material` leads the names of the steps. Limits: the volume is
    taken as unchanged, though moist sand dumped loose bulks up by as much as a quarter; give the dry density
    of the state that is hauled.

    Raises `ValueError` for a density that is not above zero or a negative moisture.

    Examples
    --------
    Sand of 1,600 kg to the cubic metre at 5 % moisture:

    >>> moist_density(dry_bulk_density_kg_per_m3=1_600, moisture_share=0.05,
    ...               material="sand").bulk_density_kg_per_m3
    1680.0

    References
    ----------
    Definition of the gravimetric water content (ASTM D2216) and of bulk density.
    """
    work = Working()
    dry_name, moisture_name = f"{material} dry bulk density", f"{material} moisture"
    dry = work.given(dry_name, dry_bulk_density_kg_per_m3, "kilogram_per_cubic_meter")
    moisture = work.given(moisture_name, moisture_share, "ratio", zero=True)
    moist = work.step(
        f"{material} bulk density", dry * (1 + moisture), "kilogram_per_cubic_meter",
        f"{dry_name} x (1 + {moisture_name})", dry_name, moisture_name,
        source="definition of the gravimetric water content",
    )  # fmt: skip
    return MoistDensity(moist, work.steps)


@dataclass(frozen=True, slots=True)
class VolumeMass:
    """Mass of a volume of material."""

    mass_kg: float
    steps: Steps = field(repr=False, compare=False)


def mass_of_volume(
    *, volume_m3: float, volume_name: str, bulk_density_kg_per_m3: float, material: str
) -> VolumeMass:
    """Mass of a loose volume of material.

    ::

        mass = volume x bulk density

    Volume in cubic metres, density in kilograms to the cubic metre; `volume_name` is the step that the volume
    comes from, `material` leads the names of the density and the mass. Limits: the density must be that of the
    volume's state and moisture.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    Definition of bulk density.
    """
    work = Working()
    volume = work.given(volume_name, volume_m3, "cubic_meter")
    density_name = f"{material} bulk density"
    density = work.given(density_name, bulk_density_kg_per_m3, "kilogram_per_cubic_meter")
    mass = work.step(
        f"{material} mass", volume * density, "kilogram", f"{volume_name} x {density_name}",
        volume_name, density_name, source=DENSITY,
    )  # fmt: skip
    return VolumeMass(mass, work.steps)


@dataclass(frozen=True, slots=True)
class StateChange:
    """A volume of earth or sand in another state."""

    volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def change_of_state(*, in_place_volume_m3: float, state_factor: float) -> StateChange:
    """Volume of material dug up or compacted, from its volume in place.

    ::

        volume in new state = volume in place x factor

    Volume in cubic metres; the factor is above 1 for loose material (a swell of 30 % is 1.30) and usually
    below 1 for compacted. Limits: factors are typical of a soil and moisture, not of a site.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    US military soil conversion table (sand: 1.11 loose, 0.95 compacted).
    """
    work = Working()
    in_place = work.given("volume in place", in_place_volume_m3, "cubic_meter")
    factor = work.given("state factor", state_factor, "ratio")
    volume = work.step(
        "volume in new state", in_place * factor, "cubic_meter", "volume in place x state factor",
        "volume in place", "state factor", source="soil conversion factors, as given",
    )  # fmt: skip
    return StateChange(volume, work.steps)
