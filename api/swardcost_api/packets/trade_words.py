"""What kinds of areas, items, prices, markups and alternates are called in the language of a packet."""

import re

from swardcost_model.alternates import AlternateKind
from swardcost_model.catalog import ItemKind, PriceSource
from swardcost_model.course import AreaKind
from swardcost_model.estimates import LinePart, MarkupKind

from swardcost_api.packets.wording import Words

_STEP = re.compile(r"(.+), step (\d+)")
_STEPS = re.compile(r"(.+), steps (\d+) and (\d+)")


def part_name(words: Words, part: LinePart) -> str:
    """What of an item a line is for; empty for its price."""
    return {
        LinePart.PRICE: "",
        LinePart.MINIMUM_CHARGE: words.say("up to the minimum charge"),
        LinePart.DELIVERY: words.say("delivery"),
        LinePart.PICK_UP: words.say("pick-up"),
        LinePart.SURCHARGE: words.say("surcharge"),
        LinePart.MOBILIZATION: words.say("mobilization"),
        LinePart.RENTAL: words.say("rental"),
        LinePart.OVER_HOURS: words.say("hours beyond those in the rental"),
        LinePart.DAMAGE_WAIVER: words.say("damage waiver"),
        LinePart.FUEL: words.say("fuel"),
    }[part]


def markup_name(words: Words, kind: MarkupKind) -> str:
    """The name of a markup."""
    return {
        MarkupKind.TAX: words.say("Tax on taxable items"),
        MarkupKind.OVERHEAD: words.say("In-house overhead"),
        MarkupKind.ESCALATION: words.say("Escalation to the mid-point of the work"),
        MarkupKind.CONTINGENCY: words.say("Contingency"),
    }[kind]


def source_name(words: Words, source: PriceSource | None) -> str:
    """Where a price comes from."""
    if source is None:
        return words.say("No source stated")
    return {
        PriceSource.CONTRACT: words.say("Contract"),
        PriceSource.INVOICE: words.say("Invoice"),
        PriceSource.QUOTE: words.say("Quote"),
        PriceSource.ALLOWANCE: words.say("Allowance"),
        PriceSource.ESTIMATE: words.say("Own estimate"),
    }[source]


def item_kind_name(words: Words, key: str | None) -> str:
    """What kind of thing is paid for."""
    names = {
        ItemKind.MATERIAL: words.say("Material"),
        ItemKind.SOD: words.say("Sod"),
        ItemKind.CONTRACT: words.say("Contract work"),
        ItemKind.RENTAL: words.say("Hired machines"),
        ItemKind.LABOR: words.say("Own labor"),
        ItemKind.OWNED_MACHINE: words.say("Own machines"),
        ItemKind.FREIGHT: words.say("Freight"),
        ItemKind.DISPOSAL: words.say("Disposal"),
        ItemKind.FEE: words.say("Fees"),
    }
    return words.say("Of no kind") if key is None else names[ItemKind(key)]


def area_kind_name(words: Words, key: str | None) -> str:
    """What areas of a golf course are, in the plural."""
    names = {
        AreaKind.GREEN: words.say("Greens"),
        AreaKind.TEE: words.say("Tees"),
        AreaKind.FAIRWAY: words.say("Fairways"),
        AreaKind.APPROACH: words.say("Approaches"),
        AreaKind.COLLAR: words.say("Collars"),
        AreaKind.BUNKER: words.say("Bunkers"),
        AreaKind.ROUGH: words.say("Rough"),
        AreaKind.NATIVE: words.say("Native areas"),
        AreaKind.BANK: words.say("Banks"),
        AreaKind.POND: words.say("Ponds"),
        AreaKind.PATH: words.say("Paths"),
        AreaKind.PRACTICE: words.say("Practice areas"),
        AreaKind.NURSERY: words.say("Nurseries"),
        AreaKind.BUILDING: words.say("Buildings"),
        AreaKind.OTHER: words.say("Other areas"),
    }
    if key is None:
        return words.say("On no area")
    return names[AreaKind(key)]


def alternate_kind_name(words: Words, kind: AlternateKind) -> str:
    """What taking an alternate does to the scope."""
    return {
        AlternateKind.ADD: words.say("Adds work"),
        AlternateKind.DEDUCT: words.say("Leaves work out"),
        AlternateKind.SUBSTITUTE: words.say("Puts other work in its place"),
    }[kind]
