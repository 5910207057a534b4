"""The demo runs, and the README shows what it really prints."""

import os
import re
import subprocess
import sys
from pathlib import Path

README = Path(__file__).parents[2] / "README.md"
EXCERPT = re.compile(r"```text\n(.*?)```", re.DOTALL)


def test_the_demo_runs_and_prints_what_the_readme_shows(tmp_path: Path) -> None:
    environment = os.environ | {"TMPDIR": str(tmp_path), "PYTHONIOENCODING": "utf-8"}
    done = subprocess.run(
        [sys.executable, "-m", "swardcost_api.demo"],
        env=environment, capture_output=True, text=True, encoding="utf-8", timeout=120, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    printed = {line.strip() for line in done.stdout.splitlines()}
    excerpts = EXCERPT.findall(README.read_text(encoding="utf-8"))
    assert len(excerpts) == 7
    for excerpt in excerpts:
        missing = [line for line in excerpt.splitlines() if line.strip() not in printed]
        assert missing == []
