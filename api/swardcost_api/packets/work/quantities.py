"""The work of a scope in figures: holes, cores, sand, loads, sod and what else its methods measure, added up."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal

from swardcost_api.derivations import steps_for
from swardcost_api.estimates.service import ScopeEntry
from swardcost_api.methods.frame import Measure
from swardcost_api.packets.document import (
    Cell,
    Column,
    Figure,
    Figures,
    Given,
    Kind,
    Paragraph,
    Part,
    Row,
    Section,
    Step,
    Table,
    Weight,
)
from swardcost_api.packets.relations import Rows
from swardcost_api.packets.telling import Told
from swardcost_api.packets.values import Measured
from swardcost_api.packets.work.facts import WorkFacts

_DIGITS, _MOST_PLACES = 4, 3
WHOLE = frozenset(
    {"hole", "load", "trip", "pallet", "roll", "big_roll", "slab", "tree", "head", "each", "bag"}
)
"""Units that are only counted."""


@dataclass(frozen=True, slots=True)
class Counted:
    """What is added up over a scope: of each scope item the first of these measures that it has.

    A measure can be limited to some methods, since another may repeat what the first did.
    """

    key: str
    unit: str
    measures: Sequence[str]
    methods: frozenset[str] = frozenset()


_CORING = frozenset({"hollow_tine_aeration", "solid_tine_aeration", "drill_and_fill", "sand_injection"})
COUNTED = (
    Counted("holes", "hole", ("holes",), _CORING),
    Counted("slits", "meter", ("slit_length",)),
    Counted("cores", "cubic_meter", ("core_volume", "removed_volume"), _CORING | {"cultivation_program"}),
    Counted("cores-removed", "cubic_meter", ("collected_volume",)),
    Counted("debris", "kilogram", ("debris_mass",)),
    Counted("sand", "kilogram", ("sand_mass",)),
    Counted("material", "kilogram", ("material_mass", "amendment_mass")),
    Counted("gravel", "kilogram", ("gravel_mass",)),
    Counted("root-zone", "kilogram", ("root_zone_mass",)),
    Counted("loads", "load", ("loads", "spoil_loads")),
    Counted("trips", "trip", ("trips",)),
    Counted("sod", "square_meter", ("sod_area", "sod_to_order")),
    Counted("pallets", "pallet", ("pallets",)),
    Counted("stripped", "square_meter", ("strip_area",)),
    Counted("seed", "kilogram", ("seed_mass",)),
    Counted("brush", "square_meter", ("area",), frozenset({"brush_mulching"})),
    Counted("chips", "cubic_meter", ("chip_volume",)),
    Counted("trees", "tree", ("trees",)),
    Counted("drains", "meter", ("drain_length",)),
    Counted("paths", "square_meter", ("path_surface",)),
    Counted("fence", "meter", ("fence_length",)),
    Counted("stone", "kilogram", ("stone_mass",)),
    Counted("crew", "hour", ("crew_time",)),
    Counted("machines", "hour", ("machine_time",)),
)
"""In the order in which they are told."""

_SAND_VOLUMES = frozenset({"sand_volume", "sand_to_bring_in"})

Found = Sequence[tuple[ScopeEntry, Measure]]


def quantities(telling: Told[WorkFacts]) -> Iterator[Part]:
    """What the work comes to, each figure with what it is added up from."""
    say, found = telling.say, found_quantities(telling.facts.scope)
    yield Section("quantities", say("The work in figures"))
    if not found:
        yield Paragraph(say("The methods of this work measure nothing that can be added up."))
        return
    yield Paragraph(
        say(
            "These are the figures by which the work was planned, computed from the ground and the way of working."
        )
    )
    many = {key: one for key, one in found.items() if len(one) > 1}
    tables = {key: _table(telling, key, one) for key, one in many.items()}
    yield Figures(
        tuple(_figure(telling, key, one, tables.get(key)) for key, one in found.items()), large=False
    )
    yield from tables.values()
    massless = [
        entry.name
        for entry, measures in telling.facts.scope
        if "sand_mass" not in measures and not _SAND_VOLUMES.isdisjoint(measures)
    ]
    if massless:
        yield Paragraph(
            say(
                "The sand of this work is not in the figures, since its bulk density is not known: %(names)s.",
                names=telling.listed(massless),
            )
        )


def found_quantities(scope: Sequence[tuple[ScopeEntry, Mapping[str, Measure]]]) -> dict[str, Found]:
    """The scope items that have a part in each figure, with that part; figures that nothing measures are absent."""
    found: dict[str, Found] = {}
    for counted in COUNTED:
        parts = [
            (entry, measure)
            for entry, measures in scope
            if not counted.methods or entry.method.name in counted.methods
            if (measure := _first(measures, counted)) is not None
        ]
        if parts:
            found[counted.key] = parts
    return found


def headline(telling: Told[WorkFacts], keys: Sequence[str]) -> Iterator[Figure]:
    """Some of the figures in large type."""
    found = found_quantities(telling.facts.scope)
    for key in keys:
        if key in found:
            one = _figure(telling, key, found[key], None)
            yield replace(one, label=telling.say("%(name)s, planned", name=one.label))


def in_round(value: float, unit: str) -> Measured:
    """A quantity as it is printed: counts whole, others with four digits or more and at most three decimals."""
    number = Decimal(str(value))
    places = 0 if unit in WHOLE else min(max(_DIGITS - len(str(int(abs(number)))), 0), _MOST_PLACES)
    return Measured(number.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP), unit)


def quantity_name(telling: Told[WorkFacts], key: str) -> str:
    """What a figure of the work is called."""
    say = telling.say
    return {
        "holes": say("Holes punched"), "slits": say("Slits cut, in length"),
        "cores": say("Cores and soil taken out of the ground"), "cores-removed": say("Cores removed from the turf"),
        "debris": say("Debris taken away"), "sand": say("Sand brought in"),
        "material": say("Soil, mulch and amendments brought in"), "gravel": say("Gravel brought in"),
        "root-zone": say("Root zone mix brought in"), "loads": say("Loads"), "trips": say("Round trips"),
        "sod": say("Sod, with waste"), "pallets": say("Pallets of sod"), "stripped": say("Old turf stripped"),
        "seed": say("Seed"), "brush": say("Brush cleared"), "chips": say("Wood chips"), "trees": say("Trees planted"),
        "drains": say("Drains laid"), "paths": say("Paths paved"), "fence": say("Fence built"),
        "stone": say("Stone brought in"), "crew": say("Hours of people"), "machines": say("Hours of machines"),
    }[key]  # fmt: skip


def _first(measures: Mapping[str, Measure], counted: Counted) -> Measure | None:
    for name in counted.measures:
        measure = measures.get(name)
        if measure is not None and measure.unit == counted.unit:
            return measure
    return None


def _figure(telling: Told[WorkFacts], key: str, found: Found, table: Table | None) -> Figure:
    name = quantity_name(telling, key)
    same_as = None if table is None else (table.id, "total", "amount")
    return Figure(name, _total(found), _why(telling, key, found), same_as)


def _total(found: Found) -> Measured:
    """The sum of the parts as they are printed, so that it can be redone by hand."""
    unit = found[0][1].unit
    return Measured(sum((in_round(one.value, unit).value for _, one in found), Decimal()), unit)


def _table(telling: Told[WorkFacts], key: str, found: Found) -> Table:
    say, name = telling.say, quantity_name(telling, key)
    why = _why(telling, key, found)
    rows = [
        Row(f"r{number}", (Cell(entry.name), Cell(in_round(measure.value, measure.unit), why)))
        for number, (entry, measure) in enumerate(found, start=1)
    ]
    follows = Rows(tuple(row.key for row in rows))
    rows.append(Row("total", (Cell(say("Together")), Cell(_total(found), why, follows)), Weight.TOTAL))
    columns = (Column("what", say("Work")), Column("amount", name, Kind.QUANTITY))
    return Table(f"work-{key}", name, columns, tuple(rows))


def _why(telling: Told[WorkFacts], key: str, found: Found) -> str | None:
    name, club = quantity_name(telling, key), telling.writing.club
    steps = [step for _, measure in found for step in steps_for(measure.derivation, club)]
    parts = tuple(Given(entry.name, in_round(one.value, one.unit)) for entry, one in found)
    total = Step(name, _total(found), "sum over the scope items", parts, "the take-off of this work")
    return telling.why(f"work-{key}", name, steps, (total,))
