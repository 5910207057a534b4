"""The assets that fall due within a capital plan: when, at what cost, in which condition, and what replaces them."""

from collections.abc import Iterator, Mapping
from uuid import UUID

from swardcost_model.assets import Condition, RegisteredAsset
from swardcost_model.capital_plans import Decided

from swardcost_api.capital.service import CountedProject, PlanAsset
from swardcost_api.packets.capital.telling import Telling, asset_name
from swardcost_api.packets.document import Cell, Column, Kind, Paragraph, Part, Row, Section, Table, Weight
from swardcost_api.packets.relations import Rows
from swardcost_api.packets.telling import money_sum
from swardcost_api.packets.values import Measured


def assets(telling: Telling) -> Iterator[Part]:
    """The assets due within the plan or overdue, and those of which nobody knows when they are due."""
    say, facts = telling.say, telling.facts
    yield Section("assets", say("Assets that fall due"))
    if not facts.counted.assets:
        yield Paragraph(say("The register has no assets, so nothing is known of what falls due."))
        return
    last = facts.figures.last_year
    replaced = [one for one in facts.counted.assets if one.replaced]
    due = sorted(
        (one for one in replaced if one.due_in is not None and one.due_in <= last),
        key=lambda one: (one.due_in or 0, one.code),
    )
    yield Paragraph(_counts(telling, len(replaced), len(due)))
    if due:
        yield _due(telling, due)
    unknown = [asset_name(one) for one in replaced if one.due_in is None]
    if unknown:
        yield Paragraph(say(
            "When these are due is not known: %(assets)s.", assets=telling.listed(unknown)
        ))  # fmt: skip


def _counts(telling: Telling, all_of_them: int, due: int) -> str:
    last = telling.facts.figures.last_year
    if not all_of_them:
        return telling.say("No asset of the register is replaced when its life has ended.")
    register = telling.counted(
        "One asset is replaced when its life has ended.",
        "%(number)s assets are replaced when their lives have ended.",
        all_of_them,
    )
    if not due:
        return f"{register} " + telling.say("None of them is known to fall due by %(year)s.", year=last)
    return f"{register} " + telling.counted(
        "One of them falls due by %(year)s, or is overdue.",
        "%(number)s of them fall due by %(year)s, or are overdue.",
        due, year=last,
    )  # fmt: skip


def _due(telling: Telling, due: list[PlanAsset]) -> Table:
    say, facts = telling.say, telling.facts
    columns = (
        Column("name", say("Asset")), Column("due", say("Due in")), Column("since", say("In use since")),
        Column("life", say("Life in years"), Kind.QUANTITY), telling.money("cost", say("Replacement cost")),
        Column("condition", say("Condition")), Column("project", say("Replaced by")),
    )  # fmt: skip
    replacing = replaced_by(telling)
    rows = [_row(telling, place, one, replacing) for place, one in enumerate(due, start=1)]
    total = money_sum([one.cost for one in due], facts.currency)
    keys = tuple(one.key for one in rows)
    rows.append(Row(
        "total", (Cell(say("Total")), *[Cell()] * 3, Cell(total, computed=Rows(keys)), Cell(), Cell()), Weight.TOTAL
    ))  # fmt: skip
    notes = [say("Replacement costs as they are stated in the register, before any growth.")]
    if any(one.cost is None for one in due):
        notes.append(say("Assets without a known cost are not in the total."))
    if facts.decided_on:
        notes.append(
            say("As the assets stood when the plan was issued; conditions as the register has them now.")
        )
    return Table(
        "assets-due",
        say("Assets due by %(year)s", year=facts.figures.last_year),
        columns,
        tuple(rows),
        tuple(notes),
    )


def replaced_by(telling: Telling) -> Mapping[UUID, list[CountedProject]]:
    """The projects that replace each asset, by year."""
    found: dict[UUID, list[CountedProject]] = {}
    for project in telling.facts.counted.projects:
        for asset_id in project.stated.asset_ids:
            found.setdefault(asset_id, []).append(project)
    return {key: sorted(items, key=lambda one: one.last_year or 9999) for key, items in found.items()}


def _row(
    telling: Telling, place: int, asset: PlanAsset, replacing: Mapping[UUID, list[CountedProject]]
) -> Row:
    say, registered = telling.say, telling.facts.register.get(asset.id)
    overdue = asset.due_in is not None and asset.due_in < telling.facts.plan.first_year
    due = say("%(year)s, overdue", year=asset.due_in) if overdue else str(asset.due_in)
    names = [_replacing(telling, one) for one in replacing.get(asset.id, [])]
    why = _why(telling, asset, registered)
    same_due = registered is not None and registered.figures.due_in == asset.due_in
    same_cost = registered is not None and registered.figures.replacement_cost == asset.cost
    condition = None if registered is None else registered.asset.condition
    return Row(f"s{place}", (
        Cell(asset_name(asset)), Cell(due, why if same_due else None),
        Cell(None if asset.in_use_since is None else str(asset.in_use_since)),
        Cell(None if asset.life_years is None else Measured(asset.life_years, "each")),
        Cell(asset.cost, why if same_cost and asset.cost is not None else None),
        Cell(condition_words(telling, condition)),
        Cell(telling.listed(names) if names else say("No project")),
    ), note=condition.note if condition is not None else "")  # fmt: skip


def _replacing(telling: Telling, project: CountedProject) -> str:
    """A project that replaces an asset, with its year or what was decided against it."""
    say, decision = telling.say, project.stated.decision
    told = {"project": telling.label(project.stated)}
    if decision is not None and decision.decided is Decided.DECLINED:
        return say("%(project)s, declined", **told)
    if decision is not None and decision.decided is Decided.DEFERRED:
        if decision.deferred_to is None:
            return say("%(project)s, deferred", **told)
        return say("%(project)s, deferred to %(year)s", **told, year=decision.deferred_to)
    if project.last_year is None:
        return say("%(project)s, not dated", **told)
    return say("%(project)s, %(year)s", **told, year=project.last_year)


def _why(telling: Telling, asset: PlanAsset, registered: RegisteredAsset | None) -> str | None:
    if registered is None:
        return None
    title = telling.say("Asset %(asset)s", asset=asset_name(asset))
    return telling.why(f"asset-{asset.id}", title, registered.figures.derivation)


def condition_words(telling: Telling, condition: Condition | None) -> str:
    """What somebody found an asset to be like, and when."""
    say = telling.say
    if condition is None:
        return say("Not looked at")
    grades = {5: say("as new"), 4: say("good"), 3: say("fair"), 2: say("poor"), 1: say("at its end")}
    found = say(
        "%(grade)s of 5, %(words)s, %(day)s",
        grade=condition.grade, words=grades[condition.grade], day=telling.day(condition.on),
    )  # fmt: skip
    if condition.by:
        found = say("%(condition)s, %(who)s", condition=found, who=condition.by)
    if condition.years_left is None:
        return found
    left = telling.writing.words.counted(
        "judged to last %(number)s year more", "judged to last %(number)s years more", condition.years_left,
        number=telling.writing.format.number(condition.years_left),
    )  # fmt: skip
    return say("%(condition)s; %(left)s", condition=found, left=left)
