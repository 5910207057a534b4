"""Profiles that need no mapping: layouts that are published, or that most exports of detail follow.

References
----------
AICPA Audit Data Standards, General Ledger Standard (July 2015): field names of the flat-file GL detail, from memory.
"""

from swardcost_model.ledger_profiles import MappedColumns, ProfileFields, RowTest

READY: tuple[ProfileFields, ...] = (
    ProfileFields(
        name="AICPA audit data standard: GL detail",
        columns=MappedColumns(
            date="Effective_Date",
            account="GL_Account_Number",
            description="JE_Line_Description",
            amount="Amount",
            debit_or_credit="Amount_Credit_Debit_Indicator",
            currency="Amount_Currency",
            journal_id="Journal_ID",
            journal_line="Journal_ID_Line_Number",
        ),
    ),
    ProfileFields(
        name="Debit and credit columns",
        columns=MappedColumns(
            date="Date", account="Account", description="Description", debit="Debit", credit="Credit"
        ),
        date_format="MM/DD/YYYY",
    ),
    ProfileFields(
        name="Printed ledger with headings, subtotals and balances",
        columns=MappedColumns(
            date="Date", account="Account", description="Description", debit="Debit", credit="Credit",
            balance="Balance",
        ),
        date_format="MM/DD/YYYY",
        fill_down=["account"],
        opening_balances=[RowTest(column="Description", begins_with=["Opening balance", "Beginning balance"])],
        skip_rows=[
            RowTest(column="Account", begins_with=["Total"]),
            RowTest(column="Description", begins_with=["Total", "Ending balance"]),
            RowTest(column="Date", blank=True),
        ],
    ),
)  # fmt: skip
"""In the order in which they are listed. Each can be saved as it is, or changed first."""
