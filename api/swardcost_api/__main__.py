"""`python -m swardcost_api` is the `swardcost` command."""

from swardcost_api.cli import main

main()
