"""What is ordered and what is hauled off: material with allowance, goods with waste, spoil, whole packs."""

from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working, whole_up

ALLOWANCE = "common practice: waste and settlement as a share of the volume in place"
WASTE = "common practice: cutting and rejects as a share of what is covered"
DENSITY = "definition of bulk density: mass / volume"
SWELL = "definition of swell: what a volume in place gains when it is dug up"
WHOLE = "common practice: sold or hauled whole"


@dataclass(frozen=True, slots=True)
class Delivered:
    """Loose material to bring in; its mass where a bulk density is known."""

    volume_m3: float
    mass_kg: float | None
    steps: Steps = field(repr=False, compare=False)


def material_to_bring_in(
    *,
    material: str,
    volume_m3: float,
    volume_name: str,
    allowance_share: float = 0.0,
    bulk_density_kg_per_m3: float | None = None,
) -> Delivered:
    """Gravel, soil, stone or the like to bring in for a volume in place.

    ::

        material to bring in = volume in place x (1 + allowance)
        material mass        = material to bring in x bulk density

    Volumes in cubic metres, density in kilograms to the cubic metre, allowance as a share of the volume in
    place. `material` leads the names of the steps; `volume_name` is the step that the volume comes from.
    Limits: the density must be that of the material as it is weighed, loose, at its moisture.

    Raises `ValueError` for figures that are not above zero (the allowance may be zero).

    Examples
    --------
    >>> material_to_bring_in(material="gravel", volume_m3=10, volume_name="bed", allowance_share=0.5).volume_m3
    15.0

    References
    ----------
    Definition of bulk density.
    """
    work = Working()
    share, density = f"{material} allowance", f"{material} bulk density"
    in_place = work.given(volume_name, volume_m3, "cubic_meter")
    allowance = work.given(share, allowance_share, "ratio", zero=True)
    volume = work.step(
        f"{material} to bring in", in_place * (1 + allowance), "cubic_meter", f"{volume_name} x (1 + {share})",
        volume_name, share, source=ALLOWANCE,
    )  # fmt: skip
    mass = None
    if bulk_density_kg_per_m3 is not None:
        weight = work.given(density, bulk_density_kg_per_m3, "kilogram_per_cubic_meter")
        mass = work.step(
            f"{material} mass", volume * weight, "kilogram", f"{material} to bring in x {density}",
            f"{material} to bring in", density, source=DENSITY,
        )  # fmt: skip
    return Delivered(volume, mass, work.steps)


@dataclass(frozen=True, slots=True)
class Ordered:
    """Goods to order, in the unit of what they cover."""

    amount: float
    steps: Steps = field(repr=False, compare=False)


def goods_to_order(
    *, goods: str, amount: float, amount_name: str, unit: str, waste_share: float = 0.0
) -> Ordered:
    """Pipe, sod, fabric or the like to order for a length or an area.

    ::

        goods to order = length or area x (1 + waste)

    `amount` in `unit`, an SI unit of length or area; waste as a share of it. Limits: off-cuts of short or
    curved pieces waste more than the usual share.

    Raises `ValueError` for an amount that is not above zero or a negative waste.

    References
    ----------
    Common practice.
    """
    work = Working()
    share = f"{goods} waste"
    covered = work.given(amount_name, amount, unit)
    waste = work.given(share, waste_share, "ratio", zero=True)
    ordered = work.step(
        f"{goods} to order", covered * (1 + waste), unit, f"{amount_name} x (1 + {share})",
        amount_name, share, source=WASTE,
    )  # fmt: skip
    return Ordered(ordered, work.steps)


@dataclass(frozen=True, slots=True)
class Packs:
    """Whole packs: as computed, and to buy."""

    computed: float
    whole: int
    steps: Steps = field(repr=False, compare=False)


def packs_of(
    *, packs: str, amount: float, amount_name: str, unit: str, content: float, counted: str = "each"
) -> Packs:
    """Whole bags, boxes, lengths or the like that hold an amount.

    ::

        packs = amount / content of one, rounded up

    `amount` and `content` in `unit`; `packs` is their name in the plural and `counted` the unit they are
    counted in. Limits: the content is what one covers or holds in place, after opening and spreading.

    Raises `ValueError` for figures that are not above zero.

    Examples
    --------
    Bags of 3 cubic feet that hold a cubic yard:

    >>> packs_of(packs="bags", amount=0.9144**3, amount_name="mulch to bring in", unit="cubic_meter",
    ...          content=3 * 0.3048**3, counted="bag").whole
    9

    References
    ----------
    Common practice.
    """
    work = Working()
    one = f"content of one of the {packs}"
    computed = work.given(amount_name, amount, unit) / work.given(one, content, unit)
    whole = whole_up(computed)
    work.step(
        packs, whole, counted, f"{amount_name} / {one}, rounded up to whole {packs}", amount_name, one, source=WHOLE
    )  # fmt: skip
    return Packs(computed, whole, work.steps)


@dataclass(frozen=True, slots=True)
class Spoil:
    """What is dug up, loose; loads where the box is known."""

    loose_volume_m3: float
    loads: int | None
    steps: Steps = field(repr=False, compare=False)


def spoil_to_haul(
    *, volume_m3: float, volume_name: str, swell_share: float = 0.0, box_volume_m3: float | None = None
) -> Spoil:
    """Loose volume and whole loads of what is dug up.

    ::

        loose spoil = volume in place x (1 + swell)
        spoil loads = loose spoil / box volume, rounded up

    Volumes in cubic metres, swell as a share of the volume in place. Limits: the payload by weight is not
    looked at, which for wet soil and stone is often reached first.

    Raises `ValueError` for figures that are not above zero (the swell may be zero).

    References
    ----------
    Definition of swell.
    """
    work = Working()
    in_place = work.given(volume_name, volume_m3, "cubic_meter")
    swell = work.given("swell", swell_share, "ratio", zero=True)
    loose = work.step(
        "loose spoil", in_place * (1 + swell), "cubic_meter", f"{volume_name} x (1 + swell)",
        volume_name, "swell", source=SWELL,
    )  # fmt: skip
    loads = None
    if box_volume_m3 is not None:
        box = work.given("box volume", box_volume_m3, "cubic_meter")
        loads = whole_up(loose / box)
        work.step(
            "spoil loads", loads, "load", "loose spoil / box volume, rounded up to whole loads",
            "loose spoil", "box volume", source=WHOLE,
        )  # fmt: skip
    return Spoil(loose, loads, work.steps)
