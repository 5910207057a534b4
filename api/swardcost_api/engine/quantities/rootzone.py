"""Root zones in layers: what a putting-green section holds when it has settled, and what is delivered for it."""

from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working

SECTION = "geometry: volume of a layer"
SETTLED = "definition of settlement as a share of the loose volume"


@dataclass(frozen=True, slots=True)
class SectionLayer:
    """One layer: its volume as built, and as delivered."""

    name: str
    volume_m3: float
    delivered_volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def section_layer(
    *, name: str, area_m2: float, depth_m: float, settlement_share: float = 0.0, waste_share: float = 0.0
) -> SectionLayer:
    """Volume of one layer of a section, settled and delivered.

    ::

        layer volume     = area x depth
        delivered volume = layer volume / (1 - settlement) x (1 + waste)

    Area in square metres, the settled depth in metres; settlement as a share of the loose volume, waste as a
    share of what would be delivered without it; `name` is the layer's name in the steps, such as
    ``"root zone"``. Limits: layers of even depth; the walls of the cavity upright.

    Raises `ValueError` for an area or depth that is not above zero, negative shares, or a settlement of 1 or
    more.

    Examples
    --------
    Twelve inches over 1,000 square feet are 37.04 cubic yards settled:

    >>> layer = section_layer(name="root zone", area_m2=92.90304, depth_m=0.3048)
    >>> round(layer.volume_m3 / 0.9144**3, 2)
    37.04

    References
    ----------
    Geometry. Usual depths: USGA, Recommendations for a Method of Putting Green Construction (12 in of root
    zone, give or take 1 in; at least 4 in of gravel; 2 to 4 in of intermediate layer where one is used).
    """
    if settlement_share >= 1:
        raise ValueError(f"settlement: expected a share below 1; got {settlement_share!r}")
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    depth = work.given(f"{name} depth", depth_m, "meter")
    settlement = work.given(f"{name} settlement", settlement_share, "ratio", zero=True)
    waste = work.given("waste", waste_share, "ratio", zero=True)
    volume = work.step(
        f"{name} volume", area * depth, "cubic_meter", f"area x {name} depth", "area", f"{name} depth",
        source=SECTION,
    )  # fmt: skip
    delivered = work.step(
        f"{name} delivered volume", volume / (1 - settlement) * (1 + waste), "cubic_meter",
        f"{name} volume / (1 - {name} settlement) x (1 + waste)",
        f"{name} volume", f"{name} settlement", "waste", source=SETTLED,
    )  # fmt: skip
    return SectionLayer(name, volume, delivered, work.steps)


@dataclass(frozen=True, slots=True)
class Cavity:
    """The ground dug out for a section."""

    section_depth_m: float
    cavity_volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def cavity(
    *,
    area_m2: float,
    root_zone_depth_m: float,
    gravel_depth_m: float,
    intermediate_layer_depth_m: float = 0.0,
    freeboard_m: float = 0.0,
) -> Cavity:
    """Depth and volume, in place, of the cavity that holds a section.

    ::

        section depth = root zone + intermediate layer + gravel - freeboard
        cavity volume = area x section depth

    Area in square metres, depths in metres; the freeboard is how far the finished surface is to stand above
    the present ground, and zero where it replaces it. Limits: upright walls; trenches of drains are apart.

    Raises `ValueError` for a root zone or gravel that is not above zero, negative figures, or a freeboard of
    the whole section or more.

    References
    ----------
    Geometry. USGA, Recommendations for a Method of Putting Green Construction: subgrade about 16 in below the
    finished surface, 18 to 20 in with an intermediate layer.
    """
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    top = work.given("root zone depth", root_zone_depth_m, "meter")
    middle = work.given("intermediate layer depth", intermediate_layer_depth_m, "meter", zero=True)
    gravel = work.given("gravel depth", gravel_depth_m, "meter")
    freeboard = work.given("freeboard", freeboard_m, "meter", zero=True)
    if freeboard >= top + middle + gravel:
        raise ValueError(
            f"freeboard: expected less than the section, {top + middle + gravel!r} meter; got {freeboard!r}"
        )
    depth = work.step(
        "section depth", top + middle + gravel - freeboard, "meter",
        "root zone depth + intermediate layer depth + gravel depth - freeboard",
        "root zone depth", "intermediate layer depth", "gravel depth", "freeboard", source=SECTION,
    )  # fmt: skip
    volume = work.step(
        "cavity volume", area * depth, "cubic_meter", "area x section depth", "area", "section depth",
        source=SECTION,
    )  # fmt: skip
    return Cavity(depth, volume, work.steps)
