"""Assets as a capital plan needs them: when each is due, how much of its life is used, and what another one costs."""

from collections.abc import Iterable
from decimal import Decimal
from uuid import UUID

from pydantic import Field
from sqlalchemy import select
from swardcost_model.assets import Asset, AssetFigures, BookValue
from swardcost_model.plan_figures import GapKind
from swardcost_model.values import Amount, Money, Percent, Value

from swardcost_api.capital.asset_figures import figures_of, read_register
from swardcost_api.capital.tables import AssetRow, CapitalPlanRow
from swardcost_api.engine.capital.lives import age_used, age_used_by_judgement, due_year
from swardcost_api.storage.work import UnitOfWork


class PlanAsset(Value):
    """An asset as a plan counts it, and as an issued plan keeps it; null where something is not known."""

    id: UUID
    code: str
    name: str
    in_use_since: int | None
    life_years: Amount | None
    life_range: tuple[Amount, Amount] | None = Field(
        default=None, description="The least and most years; null in plans issued before it was kept."
    )
    years_left: Amount | None = Field(description="As somebody judged in `judged_in`.")
    judged_in: int | None
    cost: Money | None
    cost_range: tuple[Percent, Percent] | None
    growth_group: str | None
    replaced: bool
    book: BookValue | None = None

    @property
    def due_in(self) -> int | None:
        """The year in which it is due: by judgement, else by its likely life."""
        if self.years_left is not None and self.judged_in is not None:
            return due_year(self.judged_in, self.years_left)
        if self.in_use_since is None or self.life_years is None:
            return None
        return due_year(self.in_use_since, self.life_years)

    @property
    def gap(self) -> tuple[GapKind, str] | None:
        """What keeps it out of the fully funded balance, as a kind and in words."""
        if self.cost is None:
            return "asset_cost", "what another one costs"
        if self.life_years is None:
            return "asset_life", "how long it lasts"
        if self.in_use_since is None and self.years_left is None:
            return "asset_age", "since when it is in use"
        return None

    def age_used_in(self, year: int, replaced_in: int | None) -> Decimal:
        """Years of its life used up at the end of a year, where it was last replaced in `replaced_in`.

        Only for an asset without a gap.
        """
        assert self.life_years is not None
        if replaced_in is not None:
            return age_used(replaced_in, year, self.life_years)
        if self.years_left is not None and self.judged_in is not None:
            return age_used_by_judgement(self.years_left, self.judged_in, year, self.life_years)
        assert self.in_use_since is not None
        return age_used(self.in_use_since, year, self.life_years)


def assets_of_plan(work: UnitOfWork, plan_id: UUID) -> list[PlanAsset]:
    """The assets as they stood when the plan was issued; of a draft, as they stand now."""
    kept = work.session.scalar(
        select(CapitalPlanRow.assets).where(
            CapitalPlanRow.club_id == work.club_id, CapitalPlanRow.id == plan_id
        )
    )
    if kept is not None:
        return [PlanAsset.model_validate(one) for one in kept]
    return assets_as_they_stand(work)


def assets_as_they_stand(work: UnitOfWork) -> list[PlanAsset]:
    """Every asset of the club, by code."""
    known = read_register(work)
    return [
        _plan_asset(one, figures_of(one, known)) for one in sorted(known.assets, key=lambda one: one.code)
    ]


def asset_ids(work: UnitOfWork, among: Iterable[UUID]) -> set[UUID]:
    """Those of some ids that are assets of the club; nobody deletes them until this unit of work ends."""
    statement = select(AssetRow.id).where(AssetRow.club_id == work.club_id, AssetRow.id.in_(set(among)))
    return set(work.session.scalars(statement.with_for_update(read=True, key_share=True)))


def _plan_asset(asset: Asset, figures: AssetFigures) -> PlanAsset:
    judged = asset.condition if asset.condition and asset.condition.years_left is not None else None
    cost = figures.replacement_cost
    return PlanAsset(
        id=asset.id, code=asset.code, name=asset.name, in_use_since=asset.in_use_since,
        life_years=figures.life.likely if figures.life else None,
        life_range=(figures.life.low, figures.life.high) if figures.life else None,
        years_left=judged.years_left if judged else None, judged_in=judged.on.year if judged else None,
        cost=cost if cost and cost.amount >= 0 else None, cost_range=asset.cost_range,
        growth_group=asset.growth_group, replaced=asset.replaced, book=asset.book,
    )  # fmt: skip
