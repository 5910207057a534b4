"""The entry point of the `swardcost` command, which says what is missing where only the client is installed."""

import sys


def main() -> None:
    """Run the command."""
    try:
        from swardcost_api.cli import main as run
    except ModuleNotFoundError as missing:
        sys.exit(
            f"only the client is installed ({missing.name} is missing): pip install 'swardcost[service]'"
        )
    run()
