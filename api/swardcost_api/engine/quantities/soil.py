"""Soil moved: its states in place, loose and compacted, topsoil, amendments, and cut against fill.

A volume of soil means nothing without its state. *In place* is undisturbed ground (bank measure), *loose* is
dug up, in the pile or the truck, and *compacted* is placed and rolled. Factors are always volumes to one
volume in place, so a swell of 25 % is a loose factor of 1.25.
"""

from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal, get_args

from swardcost_api.engine.quantities.working import Steps, Working

State = Literal["in_place", "loose", "compacted"]

PRISM = "geometry: volume of a layer"
FACTORS = "soil conversion factors, as given"
BALANCE = "earthwork balance in volumes in place"


@dataclass(frozen=True, slots=True)
class SoilFactors:
    """Volumes to one volume in place, and who published them."""

    loose: float
    compacted: float
    source: str


SOIL_FACTORS = MappingProxyType(
    {
        "sand": SoilFactors(1.11, 0.95, "US military soil conversion table (reprint of table 10-1)"),
        "common_earth": SoilFactors(
            1.25, 0.90, "US Army FM 5-434 (2000), table 1-1: compacted read in an erratum, loose from memory"
        ),
        "clay": SoilFactors(1.43, 0.90, "US Army FM 5-434 (2000), table 1-1, from memory"),
        "blasted_rock": SoilFactors(1.50, 1.30, "US Army FM 5-434 (2000), table 1-1, from memory"),
        "coral": SoilFactors(1.50, 1.30, "US Army FM 5-434 (2000), table 1-1, from memory"),
    }
)
"""Typical factors of soils, for planning; a test of the soil at hand comes before them."""


@dataclass(frozen=True, slots=True)
class SoilVolumes:
    """One body of soil in its three states."""

    in_place_volume_m3: float
    loose_volume_m3: float
    compacted_volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def soil_volumes(
    *,
    volume_m3: float,
    state: State,
    loose_factor: float,
    compacted_factor: float,
    source: str = FACTORS,
) -> SoilVolumes:
    """Volumes in place, loose and compacted of soil that was measured in one of these states.

    ::

        in place  = measured / factor of its state (1 for in place)
        loose     = in place x loose factor
        compacted = in place x compacted factor

    Volume in cubic metres; factors are volumes to one volume in place, `source` says whose they are. Limits:
    factors are typical of a soil and its moisture, not of a site.

    Raises `ValueError` for figures that are not above zero, another state, or factors that make loose soil
    denser than in place or than compacted.

    Examples
    --------
    100 cubic metres of compacted fill in common earth are bought as 139 loose:

    >>> round(soil_volumes(volume_m3=100, state="compacted", loose_factor=1.25,
    ...                    compacted_factor=0.90).loose_volume_m3, 1)
    138.9

    References
    ----------
    US Army FM 5-434, Earthmoving Operations (2000), table 1-1, for the form of the conversion.
    """
    if state not in get_args(State):
        raise ValueError(f"state: expected in_place, loose or compacted; got {state!r}")
    _factors_agree(loose_factor, compacted_factor)
    work = Working()
    measured = work.given("measured volume", volume_m3, "cubic_meter")
    loose_by = work.given("loose factor", loose_factor, "ratio")
    compacted_by = work.given("compacted factor", compacted_factor, "ratio")

    factor = {"in_place": 1.0, "loose": loose_by, "compacted": compacted_by}[state]
    name = {"loose": "loose factor", "compacted": "compacted factor"}.get(state)
    in_place = work.step(
        "in place volume", measured / factor, "cubic_meter",
        "measured volume" if name is None else f"measured volume / {name}",
        *(["measured volume"] if name is None else ["measured volume", name]), source=source,
    )  # fmt: skip

    def other(words: State, by: float) -> float:
        if state == words:
            return work.step(
                f"{words} volume", measured, "cubic_meter", "measured volume", "measured volume",
                source="the volume, as given",
            )  # fmt: skip
        return work.step(
            f"{words} volume", in_place * by, "cubic_meter", f"in place volume x {words} factor",
            "in place volume", f"{words} factor", source=source,
        )  # fmt: skip

    return SoilVolumes(in_place, other("loose", loose_by), other("compacted", compacted_by), work.steps)


def _factors_agree(loose_factor: float, compacted_factor: float) -> None:
    if loose_factor < 1:
        raise ValueError(
            f"loose factor: expected 1 or more, since nothing packs by digging; got {loose_factor!r}"
        )
    if compacted_factor > loose_factor:
        raise ValueError(
            f"compacted factor: expected at most the loose factor, {loose_factor!r}; got {compacted_factor!r}"
        )


@dataclass(frozen=True, slots=True)
class LooseLayer:
    """Loose material to bring in for a layer in place."""

    loose_volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def loose_for_layer(
    *, layer_volume_m3: float, settlement_share: float, waste_share: float = 0.0
) -> LooseLayer:
    """Loose material to bring in, so that a layer has its volume after it has settled.

    ::

        loose volume = layer volume / (1 - settlement) x (1 + waste)

    Volume in cubic metres; settlement is the part of the *loose* volume lost by settling or compaction: a
    loose depth of 12.5 that ends at 10 has settled by 20 %. Waste is a share of the settled volume brought in
    loose. Limits: settling into the layer below is not counted.

    Raises `ValueError` for a volume that is not above zero, negative shares, or a settlement of 1 or more.

    References
    ----------
    Definition of settlement; common practice for waste.
    """
    if settlement_share >= 1:
        raise ValueError(f"settlement: expected a share below 1; got {settlement_share!r}")
    work = Working()
    layer = work.given("layer volume", layer_volume_m3, "cubic_meter")
    settlement = work.given("settlement", settlement_share, "ratio", zero=True)
    waste = work.given("waste", waste_share, "ratio", zero=True)
    loose = work.step(
        "loose volume", layer / (1 - settlement) * (1 + waste), "cubic_meter",
        "layer volume / (1 - settlement) x (1 + waste)", "layer volume", "settlement", "waste",
        source="definition of settlement as a share of the loose volume",
    )  # fmt: skip
    return LooseLayer(loose, work.steps)


@dataclass(frozen=True, slots=True)
class Amendment:
    """Amendment worked into soil: the depth to spread, and its volume."""

    spread_depth_m: float
    amendment_volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def amendment_tilled(*, area_m2: float, tilled_depth_m: float, amendment_share: float) -> Amendment:
    """Amendment to spread, so that it makes up a share of the volume of the tilled layer.

    ::

        spread depth     = tilled depth x amendment share
        amendment volume = area x spread depth

    Area in square metres, the depth of the tilled layer after mixing in metres, the share by volume. Limits:
    volumes of soil and amendment are taken to add; fine soil that fills the voids of a coarse amendment makes
    less.

    Raises `ValueError` for figures that are not above zero or a share of 1 or more.

    Examples
    --------
    A fifth of the upper 15 cm is a layer of 3 cm:

    >>> round(amendment_tilled(area_m2=100, tilled_depth_m=0.15, amendment_share=0.2).spread_depth_m, 6)
    0.03

    References
    ----------
    Geometry.
    """
    if amendment_share >= 1:
        raise ValueError(f"amendment share: expected a share below 1; got {amendment_share!r}")
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    depth = work.given("tilled depth", tilled_depth_m, "meter")
    share = work.given("amendment share", amendment_share, "ratio")
    spread = work.step(
        "spread depth", depth * share, "meter", "tilled depth x amendment share",
        "tilled depth", "amendment share", source="definition of a share by volume",
    )  # fmt: skip
    volume = work.step(
        "amendment volume", area * spread, "cubic_meter", "area x spread depth", "area", "spread depth",
        source=PRISM,
    )  # fmt: skip
    return Amendment(spread, volume, work.steps)


@dataclass(frozen=True, slots=True)
class TopsoilBalance:
    """Topsoil stripped, piled up and spread again; what is left over, or wanting, in volumes in place."""

    stripped_volume_m3: float
    stockpile_volume_m3: float
    respread_volume_m3: float
    surplus_volume_m3: float
    shortfall_volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def strip_and_respread(
    *,
    area_m2: float,
    strip_depth_m: float,
    respread_depth_m: float,
    loose_factor: float,
    loss_share: float = 0.0,
) -> TopsoilBalance:
    """Volumes of topsoil that is stripped, stockpiled and spread again over the same area.

    ::

        stripped  = area x strip depth
        stockpile = stripped x loose factor
        respread  = area x respread depth
        surplus   = stripped x (1 - loss) - respread, or none
        shortfall = respread - stripped x (1 - loss), or none

    Area in square metres, depths in metres, the loss in handling as a share of what is stripped. Limits: soil
    that is spread is taken to settle to its volume in place.

    Raises `ValueError` for figures that are not above zero (loss, and a respread depth, may be zero), a loss
    of 1 or more, or a loose factor below 1.

    References
    ----------
    Geometry; balance of volumes in place.
    """
    if loss_share >= 1:
        raise ValueError(f"loss: expected a share below 1; got {loss_share!r}")
    _factors_agree(loose_factor, 1.0)
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    strip_depth = work.given("strip depth", strip_depth_m, "meter")
    respread_depth = work.given("respread depth", respread_depth_m, "meter", zero=True)
    factor = work.given("loose factor", loose_factor, "ratio")
    loss = work.given("loss", loss_share, "ratio", zero=True)
    stripped = work.step(
        "stripped volume", area * strip_depth, "cubic_meter", "area x strip depth", "area", "strip depth",
        source=PRISM,
    )  # fmt: skip
    pile = work.step(
        "stockpile volume", stripped * factor, "cubic_meter", "stripped volume x loose factor",
        "stripped volume", "loose factor", source=FACTORS,
    )  # fmt: skip
    spread = work.step(
        "respread volume", area * respread_depth, "cubic_meter", "area x respread depth",
        "area", "respread depth", source=PRISM,
    )  # fmt: skip
    kept = work.step(
        "topsoil kept", stripped * (1 - loss), "cubic_meter", "stripped volume x (1 - loss)",
        "stripped volume", "loss", source="common practice: loss as a share of what is handled",
    )  # fmt: skip
    surplus, shortfall = _over_and_under(work, "topsoil kept", kept, "respread volume", spread)
    return TopsoilBalance(stripped, pile, spread, surplus, shortfall, work.steps)


def _over_and_under(work: Working, have: str, had: float, need: str, needed: float) -> tuple[float, float]:
    """Steps of what is left over and what is wanting, in volumes in place."""
    return (
        work.step(
            "surplus volume", max(had - needed, 0.0), "cubic_meter", f"max({have} - {need}, 0)", have, need,
            source=BALANCE,
        ),
        work.step(
            "shortfall volume", max(needed - had, 0.0), "cubic_meter", f"max({need} - {have}, 0)", need, have,
            source=BALANCE,
        ),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class EarthBalance:
    """Cut against fill: what to haul out and what to bring in, in place and loose."""

    fill_in_place_m3: float
    usable_cut_m3: float
    surplus_volume_m3: float
    shortfall_volume_m3: float
    spoil_volume_m3: float
    spoil_loose_volume_m3: float
    borrow_loose_volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def earth_balance(
    *,
    cut_volume_m3: float,
    fill_volume_m3: float,
    loose_factor: float,
    compacted_factor: float,
    usable_share: float = 1.0,
    source: str = FACTORS,
) -> EarthBalance:
    """Balance of a cut, measured in place, against a fill, measured compacted.

    ::

        fill in place = fill / compacted factor
        usable cut    = cut x usable share
        surplus       = usable cut - fill in place, or none
        shortfall     = fill in place - usable cut, or none
        spoil         = surplus + cut - usable cut
        spoil loose   = spoil x loose factor
        borrow loose  = shortfall x loose factor

    Volumes in cubic metres, one of cut and fill may be zero; `usable_share` is the part of the cut that is
    good enough to fill with. Limits: soil brought in is taken to swell and shrink as the cut does; where it
    does not, convert it apart with `soil_volumes`.

    Raises `ValueError` for no cut and no fill at all, negative figures, a usable share above 1, or factors
    that make loose soil denser than in place or than compacted.

    References
    ----------
    US Army FM 5-434, Earthmoving Operations (2000), chapter 1: cut is measured in place, fill compacted.
    """
    _factors_agree(loose_factor, compacted_factor)
    if usable_share > 1:
        raise ValueError(f"usable share: expected at most 1; got {usable_share!r}")
    if cut_volume_m3 == fill_volume_m3 == 0:
        raise ValueError("cut volume: expected more than zero where there is no fill; got 0")
    work = Working()
    cut = work.given("cut volume", cut_volume_m3, "cubic_meter", zero=True)
    fill = work.given("fill volume", fill_volume_m3, "cubic_meter", zero=True)
    loose = work.given("loose factor", loose_factor, "ratio")
    compacted = work.given("compacted factor", compacted_factor, "ratio")
    share = work.given("usable share", usable_share, "ratio", zero=True)
    needed = work.step(
        "fill in place", fill / compacted, "cubic_meter", "fill volume / compacted factor",
        "fill volume", "compacted factor", source=source,
    )  # fmt: skip
    usable = work.step(
        "usable cut", cut * share, "cubic_meter", "cut volume x usable share", "cut volume", "usable share",
        source=BALANCE,
    )  # fmt: skip
    surplus, shortfall = _over_and_under(work, "usable cut", usable, "fill in place", needed)
    spoil = work.step(
        "spoil volume", surplus + cut - usable, "cubic_meter", "surplus volume + cut volume - usable cut",
        "surplus volume", "cut volume", "usable cut", source=BALANCE,
    )  # fmt: skip
    spoil_loose = work.step(
        "spoil loose volume", spoil * loose, "cubic_meter", "spoil volume x loose factor",
        "spoil volume", "loose factor", source=source,
    )  # fmt: skip
    borrow_loose = work.step(
        "borrow loose volume", shortfall * loose, "cubic_meter", "shortfall volume x loose factor",
        "shortfall volume", "loose factor", source=source,
    )  # fmt: skip
    return EarthBalance(needed, usable, surplus, shortfall, spoil, spoil_loose, borrow_loose, work.steps)
