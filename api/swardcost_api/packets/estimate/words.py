"""What the parts of an estimate are called in the language of a packet."""

import re

from swardcost_model.alternates import AlternateKind
from swardcost_model.catalog import ItemKind, PriceSource
from swardcost_model.course import AreaKind
from swardcost_model.estimate_quality import CheckId, CheckState
from swardcost_model.estimates import LinePart, MarkupKind

from swardcost_api.estimates.service import COMMON_PRACTICE
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


def check_state_name(words: Words, state: CheckState) -> str:
    """What was found on a question."""
    return {
        CheckState.MET: words.say("Yes"),
        CheckState.NOT_MET: words.say("No"),
        CheckState.NOT_APPLICABLE: words.say("Does not apply"),
        CheckState.OPEN: words.say("Open"),
    }[state]


def check_source(words: Words, source: str) -> str:
    """What asks a question of the checklist; guides keep their names."""
    if source == COMMON_PRACTICE:
        return words.say("common practice")
    if step := _STEP.fullmatch(source):
        return words.say("%(guide)s, step %(number)s", guide=step[1], number=step[2])
    if steps := _STEPS.fullmatch(source):
        return words.say(
            "%(guide)s, steps %(first)s and %(last)s", guide=steps[1], first=steps[2], last=steps[3]
        )
    return source


def check_question(words: Words, check: CheckId, firm: str) -> str:
    """A question of the checklist; `firm` is the share of firm prices that it asks for, as it is printed."""
    return {
        CheckId.PURPOSE: words.say("Is it said what the estimate is for and who decides by it?"),
        CheckId.SCOPE: words.say("Is the work described in words?"),
        CheckId.ASSUMPTIONS: words.say("Are the assumptions stated?"),
        CheckId.EXCLUSIONS: words.say("Is it said what is left out?"),
        CheckId.SOURCES: words.say("Are the sources of quantities and prices named?"),
        CheckId.CLASS: words.say("Is it said how far the scope is defined?"),
        CheckId.ALL_MEASURED: words.say("Has every area a size?"),
        CheckId.ALL_PRICED: words.say("Has everything a price, and every scope item what it takes?"),
        CheckId.PRICES_CURRENT: words.say("Do the prices hold today and when the work is done?"),
        CheckId.PRICES_FIRM: words.say(
            "Do at least %(percent)s of the direct cost rest on quotes, contracts or invoices?", percent=firm
        ),
        CheckId.RANGES: words.say("Are figures that are uncertain given as ranges?"),
        CheckId.CONTINGENCY: words.say("Is there a contingency, on a line of its own?"),
        CheckId.ESCALATION: words.say("Are prices escalated to the middle of the work?"),
        CheckId.TAX: words.say("Is sales tax on its own line?"),
        CheckId.ACCOUNTS: words.say("Has every line a ledger account?"),
        CheckId.CHECKED: words.say("Has somebody other than its author checked it?"),
        CheckId.SITE_SEEN: words.say("Were the areas walked and measured, not only drawn?"),
        CheckId.UTILITIES_LOCATED: words.say(
            "Are buried utilities and irrigation located, or their locating priced?"
        ),
        CheckId.PERMITS: words.say(
            "Are permits for work at ponds, wetlands and trees known, or stated as not needed?"
        ),
        CheckId.COMPARED: words.say("Were offers compared for what is bought on a quote?"),
    }[check]
