"""The checklist of an estimate in the language of a packet."""

import re

from swardcost_model.estimate_quality import CheckId, CheckState

from swardcost_api.estimates.service import COMMON_PRACTICE
from swardcost_api.packets.wording import Words

_STEP = re.compile(r"(.+), step (\d+)")
_STEPS = re.compile(r"(.+), steps (\d+) and (\d+)")


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
