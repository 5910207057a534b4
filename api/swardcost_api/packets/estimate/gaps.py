"""What an estimate does not know or doubts, the dangers of its work, and who approves it."""

from collections import Counter
from collections.abc import Iterator

from swardcost_model.estimates import EstimateStatus, EstimateWarning, WarningKind

from swardcost_api.packets.document import Cautions, Listing, Paragraph, Part, Section, Signature, SignOff
from swardcost_api.packets.estimate.method_cautions import told_cautions
from swardcost_api.packets.estimate.tables import line_label
from swardcost_api.packets.estimate.telling import Telling
from swardcost_api.packets.estimate.totals import with_total


def gap_sentences(telling: Telling) -> list[str]:
    """What makes the estimate incomplete."""
    return _sentences(telling, gap=True)


def warnings(telling: Telling) -> Iterator[Part]:
    """Gaps, and what a reader should know beside them."""
    say = telling.say
    gaps, doubts = gap_sentences(telling), _sentences(telling, gap=False)
    yield Section("gaps", say("Gaps and doubts"))
    if not gaps and not doubts:
        yield Paragraph(say("No gap was found, and nothing that would be in doubt."))
    if gaps:
        yield Paragraph(say("What is missing, and in no sum:"))
        yield Listing(telling.entries(gaps))
    if doubts:
        yield Paragraph(say("What is in the sums and in doubt:"))
        yield Listing(telling.entries(doubts))


def cautions(telling: Telling) -> Iterator[Part]:
    """The dangers of the work, and what an estimate is."""
    say = telling.say
    yield Section("cautions", say("Cautions"))
    yield Cautions((
        say(
            "The costs are estimates for planning and no offer. Local codes and licensed practice decide what is "
            "done and how."
        ),
        *told_cautions(telling.writing.words, telling.facts.estimate.cautions),
    ))  # fmt: skip


def sign_off(telling: Telling) -> Iterator[Part]:
    """Who issued, decided and is to sign."""
    say, estimate = telling.say, telling.facts.estimate
    yield Section("approvals", say("Approvals"))
    basis = telling.facts.quality.basis
    signatures = []
    if basis.prepared_by is not None:
        signatures.append(Signature(say("Prepared by"), basis.prepared_by, basis.prepared_on))
    if basis.checked_by is not None:
        signatures.append(Signature(say("Checked by"), basis.checked_by, basis.checked_on))
    if estimate.issued_at is not None:
        signatures.append(Signature(say("Issued by"), estimate.issued_by or "", estimate.issued_at.date()))
    if estimate.decided_at is not None:
        role = say("Accepted by") if estimate.status is EstimateStatus.ACCEPTED else say("Declined by")
        signatures.append(Signature(role, estimate.decided_by or "", estimate.decided_at.date()))
    else:
        signatures += [Signature(say("For the finance committee")), Signature(say("For the board"))]
    names = {"number": estimate.number, "revision": estimate.revision, "total": with_total(telling)}
    statements = {
        EstimateStatus.DRAFT: say(
            "Draft of estimate %(number)s, revision %(revision)s, looked through. Signing it approves no spending.",
            **names,
        ),
        EstimateStatus.ISSUED: say(
            "Estimate %(number)s, revision %(revision)s, %(total)s, is accepted as it stands in this packet.",
            **names,
        ),
        EstimateStatus.ACCEPTED: say(
            "Estimate %(number)s, revision %(revision)s, %(total)s, was accepted.", **names
        ),
        EstimateStatus.DECLINED: say(
            "Estimate %(number)s, revision %(revision)s, %(total)s, was declined.", **names
        ),
    }
    statement = statements[estimate.status]
    if estimate.superseded_by is not None and estimate.decided_at is None:
        statement = say(
            "Estimate %(number)s, revision %(revision)s, looked through. A later revision was issued, so signing this "
            "one approves nothing.",
            **names,
        )
    yield SignOff(statement, tuple(signatures))


def _sentences(telling: Telling, *, gap: bool) -> list[str]:
    """The warnings in sentences of their own, alike ones once."""
    found = [one for one in telling.facts.estimate.warnings if one.gap is gap]
    many = Counter((one.kind, one.line, one.scope_item_id) for one in found)
    firsts = {(one.kind, one.line, one.scope_item_id): one for one in reversed(found)}
    return [_sentence(telling, firsts[key], number) for key, number in many.items()]


def _sentence(telling: Telling, warning: EstimateWarning, number: int) -> str:
    say = telling.say
    line = next((one for one in telling.facts.lines if one.number == warning.line), None)
    item_id = (
        line.scope_item_id if warning.scope_item_id is None and line is not None else warning.scope_item_id
    )
    scope = telling.facts.scope_names.get(item_id) if item_id is not None else None
    of_line = "" if line is None else say(
        "line %(number)s, %(item)s in %(work)s", number=line.number, item=line_label(telling, line),
        work=line.scope_item,
    )  # fmt: skip
    match warning.kind:
        case WarningKind.MISSING_SIZE:
            return telling.counted(
                "%(number)s area of %(work)s has no size and is not in its figures.",
                "%(number)s areas of %(work)s have no size and are not in its figures.",
                number, work=scope or say("the scope"),
            )  # fmt: skip
        case WarningKind.NOTHING_PRICED if scope is not None:
            return say("%(work)s names nothing that it takes, so nothing of it is priced.", work=scope)
        case WarningKind.NOTHING_PRICED:
            return say("The project has no scope, so there is nothing to price.")
        case WarningKind.NO_TAX_RATE if line is None:
            return telling.counted(
                "For %(number)s group of taxable lines no tax rate is known.",
                "For %(number)s groups of taxable lines no tax rate is known.", number,
            )  # fmt: skip
        case WarningKind.NO_INDEX if line is None:
            return telling.counted(
                "For %(number)s group of lines the price index does not reach to the middle of the work.",
                "For %(number)s groups of lines the price index does not reach to the middle of the work.", number,
            )  # fmt: skip
        case WarningKind.NO_ACCOUNT if line is None:
            return say("Contingency names no account and is spread over the accounts of the lines.")
    return say(
        "%(doubt)s: %(where)s.",
        doubt=_doubt(telling, warning.kind),
        where=of_line or scope or say("the scope"),
    )


def _doubt(telling: Telling, kind: WarningKind) -> str:
    say = telling.say
    return {
        WarningKind.UNPRICED: say("No price"),
        WarningKind.MISSING_ITEM: say("Not in the price list"),
        WarningKind.MISSING_SIZE: say("No size"),
        WarningKind.NOTHING_PRICED: say("Nothing priced"),
        WarningKind.NO_TAX_RATE: say("No tax rate is known"),
        WarningKind.NO_INDEX: say("The price index does not reach so far"),
        WarningKind.OFFER_UNIT: say("The offer chosen is by a unit that cannot be used"),
        WarningKind.STALE: say("The price is old, or no longer valid"),
        WarningKind.NOT_VALID_AT_WORK: say("The price does not hold when the work begins"),
        WarningKind.LATE_ORDER: say("It had to be ordered earlier to arrive in time"),
        WarningKind.CHEAPER_BREAK: say("A larger order would cost less in all"),
        WarningKind.OVERRUN: say(
            "The hours of the machine do not fit the days of the work, so it is hired longer"
        ),
        WarningKind.NO_ACCOUNT: say("No ledger account"),
        WarningKind.OFFER_QUANTITY: say("The lump sum was offered for another quantity"),
        WarningKind.OFFER_SCOPE: say("The lump sum was offered without this work"),
    }[kind]
