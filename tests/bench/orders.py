"""What a report needs besides postings: orders of a budget with tickets and invoices, and measured progress."""

from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal
from uuid import UUID

from swardcost_api.budgets.progress import measure_progress
from swardcost_api.budgets.service import LineState, line_states
from swardcost_api.commitments.invoices import enter_invoice
from swardcost_api.commitments.orders import create_commitment
from swardcost_api.commitments.receipts import receive
from swardcost_api.storage.work import UnitOfWork
from swardcost_model.commitments import CommitmentKind, NewCommitment, OrderedLineFields
from swardcost_model.deliveries import InvoiceLineFields, NewInvoice, NewReceipt, ReceivedLineFields
from swardcost_model.progress import NewMeasure
