"""Which room may import which, held over every import in the code."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

TOP = Path(__file__).parents[1]
API = TOP / "api" / "swardcost_api"
_PATH = re.compile(r"`((?:[\w.-]+/)*[\w.-]+\.(?:py|json)|(?:[\w.-]+/){2,})`")
"""A file, or a folder within another, as a page names it."""
FEATURES = {
    "course",
    "catalog",
    "methods",
    "estimates",
    "budgets",
    "ledger",
    "jobs",
    "commitments",
    "reports",
    "access",
    "schedule",
    "rates",
    "quotes",
    "risk",
    "alternatives",
    "capital",
    "packets",
}


def imports_of(path: Path) -> Iterator[str]:
    """Full dotted names of what a file imports."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def files_in(folder: Path) -> list[Path]:
    files = sorted(folder.rglob("*.py"))
    assert files, folder
    return files


@pytest.mark.parametrize(
    ("folder", "banned"),
    [
        (API / "engine", {"litestar", "sqlalchemy", "alembic", "pint", "httpx", "psycopg"}),
        (
            TOP / "shared" / "swardcost_model",
            {"litestar", "sqlalchemy", "swardcost_api", "swardcost", "numpy"},
        ),
        (TOP / "sdk" / "swardcost", {"litestar", "sqlalchemy", "swardcost_api", "numpy", "pint"}),
    ],
)
def test_low_rooms_know_nothing_of_the_libraries_above_them(folder: Path, banned: set[str]) -> None:
    for path in files_in(folder):
        assert not {name.split(".")[0] for name in imports_of(path)} & banned, path


def test_the_engine_uses_values_and_itself_alone() -> None:
    for path in files_in(API / "engine"):
        for name in imports_of(path):
            assert not name.startswith("swardcost_api.") or name.startswith("swardcost_api.engine"), (
                path,
                name,
            )


def test_only_the_web_room_knows_the_web_framework() -> None:
    for path in files_in(API):
        if "web" not in path.relative_to(API).parts:
            assert "litestar" not in {name.split(".")[0] for name in imports_of(path)}, path
            assert (
                not any(n.startswith("swardcost_api.web") for n in imports_of(path)) or path.name == "cli.py"
            ), path


def test_a_room_reaches_another_only_through_its_service() -> None:
    open_to_all = {"service", "frame", "registry"}
    for room in FEATURES:
        for path in files_in(API / room):
            for name in imports_of(path):
                parts = name.split(".")
                if len(parts) > 2 and parts[0] == "swardcost_api" and parts[1] in FEATURES - {room}:
                    assert parts[2] in open_to_all, (path, name)


def test_routes_see_no_tables() -> None:
    for path in API.glob("*/*routes.py"):
        names = set(imports_of(path))
        assert not any("sqlalchemy" in name or name.endswith("tables") for name in names), path


def test_no_file_is_named_for_nothing_or_grows_past_reading() -> None:
    for folder in ("api", "sdk", "shared", "tests", "migrations"):
        for path in (TOP / folder).rglob("*.py"):
            assert path.stem not in {"utils", "helpers", "common", "misc"}, path
            if "migrations" not in path.parts:
                assert len(path.read_text(encoding="utf-8").splitlines()) <= 500, path


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md"])
def test_files_that_the_pages_name_are_there(page: str) -> None:
    named = set(_PATH.findall((TOP / page).read_text(encoding="utf-8")))
    assert len(named) > 10
    names = {path.name for path in API.rglob("*.py")}
    missing = [
        one
        for one in sorted(named)
        if not any((top / one).exists() for top in (TOP, API, TOP / "tests")) and one not in names
    ]
    assert not missing
