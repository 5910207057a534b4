"""The demo as it was played, for all tests that look at what it printed and left."""

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

import pytest
from swardcost_api.demo.server import demo_server

AMOUNT = r"([+-]?[\d,]+\.\d\d)"
ONCE = pytest.mark.xdist_group("demo")
"""For tests of the demo, so that they share one process and it is played once."""


@dataclass(frozen=True)
class Played:
    """What the demo printed, and the folder that it left."""

    text: str
    folder: Path

    def amounts(self, pattern: str) -> list[Decimal]:
        """The amounts that the only line like this shows; `AMOUNT` stands for each."""
        found = re.findall(pattern.replace("AMOUNT", AMOUNT), self.text)
        assert len(found) == 1, pattern
        shown = found[0] if isinstance(found[0], tuple) else (found[0],)
        return [Decimal(one.replace(",", "")) for one in shown]

    @property
    def key(self) -> str:
        """The key of the club's owner."""
        found = re.search(r"KEY=(\S+)", self.text)
        assert found is not None
        return found[1]


@pytest.fixture(scope="session")
def played(tmp_path_factory: pytest.TempPathFactory) -> Played:
    into = tmp_path_factory.mktemp("demo")
    environment = os.environ | {"TMPDIR": str(into), "PYTHONIOENCODING": "utf-8"}
    done = subprocess.run(
        [sys.executable, "-m", "swardcost_api.demo"],
        env=environment, capture_output=True, text=True, encoding="utf-8", timeout=120, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return Played(done.stdout, next(into.glob("swardcost-demo-*")))


@pytest.fixture(scope="session")
def address(played: Played) -> Iterator[str]:
    """The club of the demo, served again."""
    with demo_server(played.folder) as server:
        yield server.url
