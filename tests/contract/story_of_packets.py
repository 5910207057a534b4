"""The part of the story in which packets are read as drafts, issued, and shared by links."""

from typing import Any

from swardcost_model.capital_plans import PlanStatus
from swardcost_model.packets import NewPacket, NewPacketLink, PacketKind, PacketStatus

THROUGH = "2026-09"


def the_packets(client: Any) -> None:
    """Each kind as a draft; one issued twice, the second in place of the first, shared and no longer shared."""
    budget = next(iter(client.budgets.list()))
    plan = next(iter(client.capital_plans.list(status=PlanStatus.LOCKED)))
    told = client.postings.export()
    assert client.postings.export_csv().count("\r\n") > told.postings
    subjects = {
        PacketKind.ESTIMATE: (budget.estimate_id, None), PacketKind.BUDGET: (budget.id, THROUGH),
        PacketKind.CAPITAL_PLAN: (plan.id, THROUGH), PacketKind.WORK_REPORT: (budget.id, THROUGH),
    }  # fmt: skip
    for kind, (subject_id, through) in subjects.items():
        draft = client.packets.draft(kind, subject_id, through=through)
        assert draft.title
    page = client.packets.draft_file(PacketKind.BUDGET, budget.id, "html", through=THROUGH, locale="fr-CA")
    assert page.startswith(b"<!doctype html>")
    asked: dict[str, Any] = {"kind": PacketKind.BUDGET, "subject_id": budget.id, "through": THROUGH}
    first = client.packets.issue(NewPacket(**asked))
    second = client.packets.issue(
        NewPacket(**asked, decision_asked="To take note", supersedes=first.id, locale="en-CA")
    )
    assert client.packets.read(first.id).status is PacketStatus.SUPERSEDED
    assert [one.number for one in client.packets.list(kind=PacketKind.BUDGET)] == [
        first.number,
        second.number,
    ]
    assert client.packets.file(second.id, "pdf").startswith(b"%PDF-")
    assert client.packets.file(second.id, "xlsx").startswith(b"PK")
    assert b'"parts"' in client.packets.file(second.id, "json")
    link = client.packets.share(second.id, NewPacketLink(name="Autumn meeting", valid_days=14))
    assert link.path.endswith(link.token)
    assert [one.id for one in client.packets.links(second.id)] == [link.id]
    assert client.packets.revoke(link.id).revoked_at is not None
