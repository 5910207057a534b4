"""Where the committed contract is."""

from pathlib import Path

TOP = Path(__file__).parents[2]
OPENAPI = TOP / "openapi"
EXAMPLES = OPENAPI / "examples"
