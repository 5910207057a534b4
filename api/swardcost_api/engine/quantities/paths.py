"""Cart paths: pavement, base and edges of a new path, and what an old one leaves to haul off."""

from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working

PRISM = "geometry: volume of a strip of one thickness"
DENSITY = "definition of density: mass / volume"


@dataclass(frozen=True, slots=True)
class Path:
    """A path as built. Volumes are in place, compacted."""

    surface_m2: float
    pavement_volume_m3: float
    base_area_m2: float | None
    base_volume_m3: float | None
    edge_length_m: float | None
    steps: Steps = field(repr=False, compare=False)


def cart_path(
    *,
    length_m: float,
    width_m: float,
    thickness_m: float,
    base_depth_m: float | None = None,
    base_beyond_m: float = 0.0,
    edges: int = 0,
) -> Path:
    """Surface, pavement, base and edges of a path.

    ::

        path surface    = path length x path width
        pavement volume = path surface x pavement thickness
        base area       = path length x (path width + 2 x base beyond edge)
        base volume     = base area x base depth
        edge length     = path length x edges

    Lengths in metres, measured along the middle of the path; `edges` is how many sides have a curb or edging.
    Limits: widenings at tees and turnouts are paths of their own.

    Raises `ValueError` for figures that are not above zero or other edges than 0, 1 or 2.

    Examples
    --------
    100 ft of 8 ft path, 4 in thick, is 9.877 cubic yards:

    >>> path = cart_path(length_m=30.48, width_m=2.4384, thickness_m=0.1016)
    >>> round(path.pavement_volume_m3 / 0.9144**3, 3)
    9.877

    References
    ----------
    Geometry.
    """
    if edges not in (0, 1, 2):
        raise ValueError(f"edges: expected 0, 1 or 2 sides; got {edges!r}")
    work = Working()
    length = work.given("path length", length_m, "meter")
    width = work.given("path width", width_m, "meter")
    thickness = work.given("pavement thickness", thickness_m, "meter")
    surface = work.step(
        "path surface", length * width, "square_meter", "path length x path width", "path length", "path width",
        source="geometry",
    )  # fmt: skip
    pavement = work.step(
        "pavement volume", surface * thickness, "cubic_meter", "path surface x pavement thickness",
        "path surface", "pavement thickness", source=PRISM,
    )  # fmt: skip
    base_area = base = edge = None
    if base_depth_m is not None:
        depth = work.given("base depth", base_depth_m, "meter")
        beyond = work.given("base beyond edge", base_beyond_m, "meter", zero=True)
        base_area = work.step(
            "base area", length * (width + 2 * beyond), "square_meter",
            "path length x (path width + 2 x base beyond edge)",
            "path length", "path width", "base beyond edge", source="geometry",
        )  # fmt: skip
        base = work.step(
            "base volume", base_area * depth, "cubic_meter", "base area x base depth", "base area", "base depth",
            source=PRISM,
        )  # fmt: skip
    if edges:
        work.counted("edges", edges)
        edge = work.step(
            "edge length", length * edges, "meter", "path length x edges", "path length", "edges", source="geometry"
        )  # fmt: skip
    return Path(surface, pavement, base_area, base, edge, work.steps)


@dataclass(frozen=True, slots=True)
class OldPath:
    """Rubble of an old path, measured in place."""

    volume_m3: float
    mass_kg: float | None
    steps: Steps = field(repr=False, compare=False)


def path_removal(
    *, length_m: float, width_m: float, thickness_m: float, density_kg_per_m3: float | None = None
) -> OldPath:
    """Volume in place of an old path, and its mass where the density is known.

    ::

        rubble volume = old path length x old path width x old path thickness
        rubble mass   = rubble volume x old pavement density

    Lengths in metres, density in kilograms to the cubic metre. Limits: broken pavement is bulkier than in
    place (see `materials.spoil_to_haul`); thin old paths vary much in thickness.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    Geometry; definition of density.
    """
    work = Working()
    length = work.given("old path length", length_m, "meter")
    width = work.given("old path width", width_m, "meter")
    thickness = work.given("old path thickness", thickness_m, "meter")
    volume = work.step(
        "rubble volume", length * width * thickness, "cubic_meter",
        "old path length x old path width x old path thickness",
        "old path length", "old path width", "old path thickness", source=PRISM,
    )  # fmt: skip
    mass = None
    if density_kg_per_m3 is not None:
        density = work.given("old pavement density", density_kg_per_m3, "kilogram_per_cubic_meter")
        mass = work.step(
            "rubble mass", volume * density, "kilogram", "rubble volume x old pavement density",
            "rubble volume", "old pavement density", source=DENSITY,
        )  # fmt: skip
    return OldPath(volume, mass, work.steps)
