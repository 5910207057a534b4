"""What others need of capital plans: a plan as it is counted, its figures, its money, and the plan before."""

from swardcost_api.capital.asset_figures import KnownAssets as KnownAssets
from swardcost_api.capital.asset_figures import read_register as read_register
from swardcost_api.capital.asset_figures import register_of as register_of
from swardcost_api.capital.counted_plans import CountedPlan as CountedPlan
from swardcost_api.capital.counted_plans import CountedProject as CountedProject
from swardcost_api.capital.counted_plans import read_counted_plan as read_counted_plan
from swardcost_api.capital.deferrals import DeferralQuestion as DeferralQuestion
from swardcost_api.capital.deferrals import deferrals_of as deferrals_of
from swardcost_api.capital.least_contributions import ContributionQuestion as ContributionQuestion
from swardcost_api.capital.least_contributions import least_of as least_of
from swardcost_api.capital.move_causes import BothPlans as BothPlans
from swardcost_api.capital.plan_assets import PlanAsset as PlanAsset
from swardcost_api.capital.plan_figures import FiguresQuestion as FiguresQuestion
from swardcost_api.capital.plan_figures import figures_of as figures_of
from swardcost_api.capital.plan_moves import moves_of as moves_of
from swardcost_api.capital.plan_moves import read_both as read_both
from swardcost_api.capital.plan_rows import read_plan as read_plan
from swardcost_api.capital.plan_standing import StandingQuestion as StandingQuestion
from swardcost_api.capital.plan_standing import read_standing as read_standing
from swardcost_api.capital.plan_standing import standing_of as standing_of
from swardcost_api.capital.plan_years import renewals as renewals
