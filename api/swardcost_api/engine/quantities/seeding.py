"""Turf from sprigs and seed, and what it takes to grow it in: mulch, nutrients and water."""

from dataclasses import dataclass, field

from swardcost_api.engine.quantities.working import Steps, Working, whole_up

RATE = "definition of a rate to the area"
FLOW = "definition of a flow: volume / time"


@dataclass(frozen=True, slots=True)
class Sprigs:
    """Sprigs to order, by volume."""

    sprig_volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def sprigs_to_order(*, area_m2: float, rate_m3_per_m2: float, waste_share: float = 0.0) -> Sprigs:
    """Volume of sprigs for an area.

    ::

        sprig volume = area x rate x (1 + waste)

    Area in square metres, the rate in cubic metres to the square metre. A rate in bushels means nothing until
    the bushel is named: the US struck bushel holds 1.2445 cubic feet, bushels of the sprig trade about 0.4 or
    0.32. Limits: sprigs are measured loose; a packed load holds more.

    Raises `ValueError` for figures that are not above zero (waste may be zero).

    References
    ----------
    NIST Handbook 44, Appendix C (struck bushel of 2,150.42 cubic inches); sod growers for the smaller ones.
    """
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    rate = work.given("sprig rate", rate_m3_per_m2, "cubic_meter_per_square_meter")
    waste = work.given("waste", waste_share, "ratio", zero=True)
    volume = work.step(
        "sprig volume", area * rate * (1 + waste), "cubic_meter", "area x sprig rate x (1 + waste)",
        "area", "sprig rate", "waste", source=RATE,
    )  # fmt: skip
    return Sprigs(volume, work.steps)


@dataclass(frozen=True, slots=True)
class Seed:
    """Seed to buy, and the pure live seed in it."""

    pure_live_share: float
    seed_mass_kg: float
    live_seed_mass_kg: float
    steps: Steps = field(repr=False, compare=False)


def seed_to_buy(
    *,
    area_m2: float,
    rate_kg_per_m2: float,
    purity_share: float,
    germination_share: float,
    rate_is_live_seed: bool,
    waste_share: float = 0.0,
) -> Seed:
    """Mass of seed out of the bag for an area.

    ::

        pure live share = purity x germination
        seed mass       = area x rate x (1 + waste), divided by the pure live share for a rate of live seed
        live seed mass  = seed mass x pure live share

    Area in square metres, the rate in kilograms to the square metre, either of pure live seed or of seed out
    of the bag; purity and germination as the seed label gives them, as shares. Limits: germination in the test
    is not emergence in the field.

    Raises `ValueError` for figures that are not above zero (waste may be zero) or shares above 1.

    Examples
    --------
    92 % pure seed of which 80 % germinates is 74 % pure live seed:

    >>> seed = seed_to_buy(area_m2=1, rate_kg_per_m2=1, purity_share=0.92, germination_share=0.80,
    ...                    rate_is_live_seed=True)
    >>> round(seed.pure_live_share, 2)
    0.74

    References
    ----------
    Pennsylvania State University Extension, Calculating the Price of Pure Live Seed; Texas Department of
    Transportation, Pure live seed.
    """
    for name, share in (("purity", purity_share), ("germination", germination_share)):
        if share > 1:
            raise ValueError(f"{name}: expected a share of at most 1; got {share!r}")
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    rate = work.given("seed rate", rate_kg_per_m2, "kilogram_per_square_meter")
    purity = work.given("purity", purity_share, "ratio")
    germination = work.given("germination", germination_share, "ratio")
    waste = work.given("waste", waste_share, "ratio", zero=True)
    share = work.step(
        "pure live share", purity * germination, "ratio", "purity x germination", "purity", "germination",
        source="definition of pure live seed",
    )  # fmt: skip
    formula, inputs = "area x seed rate x (1 + waste)", ["area", "seed rate", "waste"]
    mass = area * rate * (1 + waste)
    if rate_is_live_seed:
        mass, formula, inputs = mass / share, f"{formula} / pure live share", [*inputs, "pure live share"]
    bought = work.step("seed mass", mass, "kilogram", formula, *inputs, source=RATE)
    live = work.step(
        "live seed mass", bought * share, "kilogram", "seed mass x pure live share",
        "seed mass", "pure live share", source="definition of pure live seed",
    )  # fmt: skip
    return Seed(share, bought, live, work.steps)


@dataclass(frozen=True, slots=True)
class Bags:
    """Whole bags of a product."""

    bags: int
    steps: Steps = field(repr=False, compare=False)


def bags_of(*, mass_kg: float, bag_mass_kg: float, product: str) -> Bags:
    """Whole bags that hold a mass of seed, mulch or fertilizer.

    ::

        bags = mass / mass of one bag, rounded up

    Masses in kilograms; `product` is its name in the steps: the mass is the step "<product> mass". Limits:
    bags are not shared with other work.

    Raises `ValueError` for figures that are not above zero.

    References
    ----------
    Common practice: bags are bought whole.
    """
    work = Working()
    name = f"{product} mass"
    mass = work.given(name, mass_kg, "kilogram")
    one = work.given(f"{product} bag mass", bag_mass_kg, "kilogram")
    whole = whole_up(mass / one)
    work.step(
        f"{product} bags", whole, "bag", f"{name} / {product} bag mass, rounded up to whole bags",
        name, f"{product} bag mass", source="common practice: bought whole",
    )  # fmt: skip
    return Bags(whole, work.steps)


@dataclass(frozen=True, slots=True)
class Hydromulch:
    """Mulch sprayed on, the tanks it takes and the water in them."""

    mulch_mass_kg: float
    tank_loads: int
    mulch_water_m3: float
    steps: Steps = field(repr=False, compare=False)


def hydromulch(
    *,
    area_m2: float,
    mulch_rate_kg_per_m2: float,
    mulch_per_tank_kg: float,
    tank_volume_m3: float,
    waste_share: float = 0.0,
) -> Hydromulch:
    """Mulch, tank loads and water of hydromulching.

    ::

        mulch mass  = area x mulch rate x (1 + waste)
        tank loads  = mulch mass / mulch in one tank, rounded up
        mulch water = mulch mass / mulch in one tank x tank volume

    Area in square metres, rate in kilograms to the square metre, the mulch mixed into one tank in kilograms and
    the water of one tank in cubic metres. Limits: the last tank is mixed for what is left; water to rinse and
    the volume of the mulch itself are not counted.

    Raises `ValueError` for figures that are not above zero (waste may be zero).

    References
    ----------
    Definition of a rate. Usual rates: USDA Natural Resources Conservation Service, Wyoming, Hydroseeding and
    Hydromulching fact sheet (1,500 to 2,000 lb of wood fiber an acre; tanks of 1,000 to 3,000 gallons).
    """
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    rate = work.given("mulch rate", mulch_rate_kg_per_m2, "kilogram_per_square_meter")
    per_tank = work.given("mulch per tank", mulch_per_tank_kg, "kilogram")
    tank = work.given("tank volume", tank_volume_m3, "cubic_meter")
    waste = work.given("waste", waste_share, "ratio", zero=True)
    mass = work.step(
        "mulch mass", area * rate * (1 + waste), "kilogram", "area x mulch rate x (1 + waste)",
        "area", "mulch rate", "waste", source=RATE,
    )  # fmt: skip
    loads = whole_up(mass / per_tank)
    work.step(
        "tank loads", loads, "load", "mulch mass / mulch per tank, rounded up to whole loads",
        "mulch mass", "mulch per tank", source="common practice: a part of a tank is mixed and driven too",
    )  # fmt: skip
    water = work.step(
        "mulch water", mass / per_tank * tank, "cubic_meter", "mulch mass / mulch per tank x tank volume",
        "mulch mass", "mulch per tank", "tank volume", source="proportion",
    )  # fmt: skip
    return Hydromulch(mass, loads, water, work.steps)


@dataclass(frozen=True, slots=True)
class Feeding:
    """Nutrient put down, and the product that holds it."""

    nutrient_mass_kg: float
    product_mass_kg: float
    steps: Steps = field(repr=False, compare=False)


def product_for_nutrient(
    *, area_m2: float, nutrient_rate_kg_per_m2: float, nutrient_share: float, applications: int = 1
) -> Feeding:
    """Mass of a fertilizer product for a rate of one nutrient.

    ::

        nutrient mass = area x nutrient rate x applications
        product mass  = nutrient mass / share of the nutrient in the product

    Area in square metres, the rate of one application in kilograms of nutrient to the square metre; the share
    as on the label (24 % is 0.24). Limits: phosphorus and potassium are labelled as oxides, so give their rates
    as oxides too.

    Raises `ValueError` for figures that are not above zero, a share above 1, or applications not whole.

    References
    ----------
    University of Maryland, Bay-Wise worksheet (product from a rate of nitrogen).
    """
    if nutrient_share > 1:
        raise ValueError(f"nutrient share: expected at most 1; got {nutrient_share!r}")
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    rate = work.given("nutrient rate", nutrient_rate_kg_per_m2, "kilogram_per_square_meter")
    share = work.given("nutrient share", nutrient_share, "ratio")
    count = work.counted("feedings", applications)
    nutrient = work.step(
        "nutrient mass", area * rate * count, "kilogram", "area x nutrient rate x feedings",
        "area", "nutrient rate", "feedings", source=RATE,
    )  # fmt: skip
    product = work.step(
        "product mass", nutrient / share, "kilogram", "nutrient mass / nutrient share",
        "nutrient mass", "nutrient share", source="definition of the label's percentage",
    )  # fmt: skip
    return Feeding(nutrient, product, work.steps)


@dataclass(frozen=True, slots=True)
class Watering:
    """Water put on over weeks."""

    water_volume_m3: float
    steps: Steps = field(repr=False, compare=False)


def watering(
    *, area_m2: float, depth_per_week_m: float, weeks: float = 1.0, efficiency_share: float = 1.0
) -> Watering:
    """Volume of water for a depth a week.

    ::

        water volume = area x depth per week x weeks / efficiency

    Area in square metres, depth in metres; the efficiency is the part of the water that reaches the turf it is
    meant for. Limits: rain is not taken off; give the depth that is left after it.

    Raises `ValueError` for figures that are not above zero or an efficiency above 1.

    References
    ----------
    Geometry; US Geological Survey water conversion list, 1990 (an inch on an acre is 27,154 gallons).
    """
    if efficiency_share > 1:
        raise ValueError(f"efficiency: expected at most 1; got {efficiency_share!r}")
    work = Working()
    area = work.given("area", area_m2, "square_meter")
    depth = work.given("depth per week", depth_per_week_m, "meter")
    count = work.given("weeks", weeks, "each")
    efficiency = work.given("efficiency", efficiency_share, "ratio")
    volume = work.step(
        "water volume", area * depth * count / efficiency, "cubic_meter",
        "area x depth per week x weeks / efficiency", "area", "depth per week", "weeks", "efficiency",
        source="geometry: volume of a layer",
    )  # fmt: skip
    return Watering(volume, work.steps)


@dataclass(frozen=True, slots=True)
class RunTime:
    """Hours that a flow runs."""

    run_time_h: float
    steps: Steps = field(repr=False, compare=False)


def run_time(*, water_volume_m3: float, flow_m3_per_h: float) -> RunTime:
    """Hours of watering for a volume at a flow.

    ::

        run time = water volume / flow

    Volume in cubic metres, flow in cubic metres an hour. Limits: one flow at a time; stations that run
    together share it or add theirs up.

    Raises `ValueError` for figures that are not above zero.

    Examples
    --------
    An inch on 600 square feet at 6 gallons a minute takes 62.3 minutes:

    >>> water = 600 * 0.3048**2 * 0.0254
    >>> round(run_time(water_volume_m3=water, flow_m3_per_h=6 * 0.003785411784 * 60).run_time_h * 60, 1)
    62.3

    References
    ----------
    Definition of a flow.
    """
    work = Working()
    volume = work.given("water volume", water_volume_m3, "cubic_meter")
    flow = work.given("flow", flow_m3_per_h, "cubic_meter_per_hour")
    hours = work.step(
        "run time", volume / flow, "hour", "water volume / flow", "water volume", "flow", source=FLOW
    )
    return RunTime(hours, work.steps)
