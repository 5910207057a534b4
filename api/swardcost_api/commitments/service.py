"""What other rooms use of commitments."""

from swardcost_api.commitments.accruals import Accrual as Accrual
from swardcost_api.commitments.accruals import accruals_by_month as accruals_by_month
from swardcost_api.commitments.positions import LineCommitment as LineCommitment
from swardcost_api.commitments.positions import billed_of_budget as billed_of_budget
from swardcost_api.commitments.positions import committed_by_line as committed_by_line
from swardcost_api.commitments.registers import commitment_register as commitment_register
from swardcost_api.commitments.standing import LUMP_SUM as LUMP_SUM
from swardcost_api.commitments.standing import NOT_ORDERED as NOT_ORDERED
from swardcost_api.commitments.standing import Bill as Bill
from swardcost_api.commitments.standing import Wanted as Wanted
