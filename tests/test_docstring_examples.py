"""The examples in docstrings are true."""

import doctest
import importlib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
MODULES = [
    ".".join(path.relative_to(ROOT / home).with_suffix("").parts)
    for home in ("api", "sdk", "shared")
    for path in sorted((ROOT / home).rglob("*.py"))
    if ">>> " in path.read_text(encoding="utf-8")
]


def test_there_are_examples() -> None:
    assert len(MODULES) > 40


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_of_a_module_are_true(name: str) -> None:
    ran = doctest.testmod(importlib.import_module(name))
    assert ran.attempted > 0
    assert ran.failed == 0
