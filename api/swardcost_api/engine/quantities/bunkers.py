"""Bunkers: sand out, the hollow filled and sodded over; or floor and faces lined and new sand in."""

from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working, fits

LAYER = "geometry: volume of a layer"
SLOPE = "geometry: a slope is longer than its plan by (1 + slope^2)^0.5"


@dataclass(frozen=True, slots=True)
class SandOut:
    """Old sand taken out; its mass where a bulk density is known."""

    volume_m3: float
    mass_kg: float | None
    steps: Steps = field(repr=False, compare=False)


def sand_out(*, area_m2: float, depth_m: float, bulk_density_kg_per_m3: float | None = None) -> SandOut:
    """Old sand taken out of bunkers.

    ::

        sand out volume = area x old sand depth
        sand out mass   = sand out volume x old sand bulk density

    Area in plan in square metres, mean depth in metres, density in kilograms to the cubic metre. Limits: old
    sand is wet and mixed with soil; probe its depth, and take the density of what is weighed.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    Geometry; definition of bulk density.
    """
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    depth = work.given("old sand depth", depth_m, "meter")
    volume = work.step(
        "sand out volume", area * depth, "cubic_meter", "area x old sand depth", "area", "old sand depth", source=LAYER
    )  # fmt: skip
    mass = None
    if bulk_density_kg_per_m3 is not None:
        density = work.given("old sand bulk density", bulk_density_kg_per_m3, "kilogram_per_cubic_meter")
        mass = work.step(
            "sand out mass", volume * density, "kilogram", "sand out volume x old sand bulk density",
            "sand out volume", "old sand bulk density", source="definition of bulk density: mass / volume",
        )  # fmt: skip
    return SandOut(volume, mass, work.steps)


@dataclass(frozen=True, slots=True)
class Hollow:
    """What fills a bunker that is taken out. Volumes are in place, compacted."""

    fill_volume_m3: float
    topsoil_volume_m3: float | None
    steps: Steps = field(repr=False, compare=False)


def fill_hollow(*, area_m2: float, depth_m: float, topsoil_depth_m: float | None = None) -> Hollow:
    """Fill that brings an emptied bunker up to its surrounds, under a layer of topsoil if there is one.

    ::

        topsoil volume = area x topsoil depth
        fill volume    = area x hollow depth - topsoil volume

    Area in plan in square metres; the hollow depth is the mean depth of the emptied bunker below the new
    grade, in metres. Limits: compaction and settlement belong into the allowance of the fill.

    Raises `ValueError` for figures that are not above zero, or topsoil as deep as the hollow.

    References
    ----------
    Geometry.
    """
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    depth = work.given("hollow depth", depth_m, "meter")
    topsoil = None
    if topsoil_depth_m is not None:
        layer = work.given("topsoil depth", topsoil_depth_m, "meter")
        if fits(depth, layer):
            raise ValueError(f"topsoil depth: expected less than the hollow depth; got {layer!r} meter")
        topsoil = work.step(
            "topsoil volume", area * layer, "cubic_meter", "area x topsoil depth", "area", "topsoil depth",
            source=LAYER,
        )  # fmt: skip
    taken = () if topsoil is None else ("topsoil volume",)
    fill = work.step(
        "fill volume", area * depth - (topsoil or 0.0), "cubic_meter", " - ".join(["area x hollow depth", *taken]),
        "area", "hollow depth", *taken, source=LAYER,
    )  # fmt: skip
    return Hollow(fill, topsoil, work.steps)


@dataclass(frozen=True, slots=True)
class Basin:
    """Floor and faces of bunkers, and the sand on them in place."""

    floor_area_m2: float
    face_area_m2: float | None
    surface_m2: float
    sand_volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def floor_and_faces(
    *,
    area_m2: float,
    floor_sand_depth_m: float,
    face_share: float = 0.0,
    face_slope: float | None = None,
    face_sand_depth_m: float | None = None,
) -> Basin:
    """True surface of bunkers, which a liner covers, and the sand that lies on it.

    ::

        floor area      = area x (1 - face share)
        face area       = area x face share x (1 + face slope^2)^0.5
        bunker surface  = floor area + face area
        new sand volume = floor area x floor sand depth + face area x face sand depth

    Area in plan in square metres; the face share is the part of it that slopes, from 0 to below 1; the slope
    is rise over run; depths square to the surface, in metres. Limits: one mean slope for all faces.

    Raises `ValueError` for figures out of these ranges, or faces without their slope and depth.

    Examples
    --------
    Faces at 3 to 4 are a quarter larger than their plan:

    >>> floor_and_faces(area_m2=100, floor_sand_depth_m=0.1, face_share=0.4, face_slope=0.75,
    ...                 face_sand_depth_m=0.05).face_area_m2
    50.0

    References
    ----------
    Geometry of inclined planes.
    """
    if not 0 <= face_share < 1:
        raise ValueError(f"face share: expected zero or more and below 1; got {face_share!r}")
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    share = work.given("face share", face_share, "ratio", zero=True)
    floor_depth = work.given("floor sand depth", floor_sand_depth_m, "meter")
    floor = work.step(
        "floor area", area * (1 - share), "square_meter", "area x (1 - face share)", "area", "face share",
        source="geometry",
    )  # fmt: skip
    if share == 0:
        surface = work.step("bunker surface", floor, "square_meter", "floor area", "floor area")
        sand = work.step(
            "new sand volume", floor * floor_depth, "cubic_meter", "floor area x floor sand depth",
            "floor area", "floor sand depth", source=LAYER,
        )  # fmt: skip
        return Basin(floor, None, surface, sand, work.steps)
    if face_slope is None or face_sand_depth_m is None:
        raise ValueError("face slope: expected with the depth of sand on the faces, as faces have a share")
    slope = work.given("face slope", face_slope, "ratio")
    face_depth = work.given("face sand depth", face_sand_depth_m, "meter")
    face = work.step(
        "face area", area * share * (1 + slope**2) ** 0.5, "square_meter",
        "area x face share x (1 + face slope^2)^0.5", "area", "face share", "face slope", source=SLOPE,
    )  # fmt: skip
    surface = work.step(
        "bunker surface", floor + face, "square_meter", "floor area + face area", "floor area", "face area"
    )
    sand = work.step(
        "new sand volume", floor * floor_depth + face * face_depth, "cubic_meter",
        "floor area x floor sand depth + face area x face sand depth",
        "floor area", "floor sand depth", "face area", "face sand depth", source=LAYER,
    )  # fmt: skip
    return Basin(floor, face, surface, sand, work.steps)
