"""All tables of the service, gathered from the rooms, for migrations and drift checks."""


# import swardcost_api.budgets.tables
# import swardcost_api.catalog.tables

# import swardcost_api.estimates.tables
# import swardcost_api.ledger.tables
from swardcost_api.storage.columns import Table

METADATA = Table.metadata
